//! Numbers of a job file: their digits as written, or a sentence on why not.
//! A length may also be written as text with its unit (`"20'4\""`, `"450 mm"`) and is then converted, exactly.

use hod_units::{Decimal, Length, LengthUnit, canonical, parse_decimal};

use crate::text::quoted;

/// What a number of the file measures.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Measure {
    /// A length whose key ends in `_m`.
    Metres,
    /// A length whose key ends in `_mm`.
    Millimetres,
    /// Degrees, percent, litres: bare numbers only.
    Bare,
}

impl Measure {
    fn of(self, length: Length) -> Decimal {
        match self {
            Self::Millimetres => length.mm(),
            Self::Metres | Self::Bare => length.metres(),
        }
    }

    fn unit(self) -> LengthUnit {
        match self {
            Self::Millimetres => LengthUnit::Millimetre,
            Self::Metres | Self::Bare => LengthUnit::Metre,
        }
    }

    /// A number in its unit, as an example in a sentence.
    fn with_unit(self, number: &str) -> String {
        match self {
            Self::Metres => format!("\"{number} m\""),
            Self::Millimetres => format!("\"{number} mm\""),
            Self::Bare => number.to_owned(),
        }
    }
}

/// A bare number, which stays as it is written.
pub(super) fn bare(text: &str) -> Result<String, String> {
    match parse_decimal(text) {
        Ok(_) => Ok(text.to_owned()),
        Err(refusal) => Err(refusal.to_string()),
    }
}

/// A number in quotes: a length with its unit, and nothing else.
pub(super) fn in_quotes(text: &str, measure: Measure) -> Result<String, String> {
    if parse_decimal(text.trim()).is_ok() {
        return Err(number_as_text(text.trim(), measure));
    }
    if measure == Measure::Bare {
        return Err(format!(
            "{} is text; write a number without quotes, such as 12.5",
            quoted(text)
        ));
    }
    let length = Length::parse(text, measure.unit()).map_err(|refusal| refusal.to_string())?;
    let number = canonical(measure.of(length));
    // A length with many decimals may have more than fit once it is converted.
    bare(&number)
}

/// Why a value on a line that is not TOML is no number; `None` when there is nothing wrong with it as one.
pub(super) fn broken(text: &str, measure: Measure) -> Option<String> {
    let inside = text.trim_matches(['"', '\'']);
    let trailing_mark = text
        .strip_prefix('"')
        .and_then(|text| text.strip_suffix('"'));
    let length = trailing_mark.unwrap_or(text);
    if text.is_empty() {
        return Some("nothing was given where a number is needed, such as 6.20".to_owned());
    }
    if measure != Measure::Bare && is_length_with_unit(length, measure) {
        let escaped = length.replace('"', "\\\"");
        return Some(format!(
            "a length with its unit stands in quotes, and an inch mark in it has a backslash: \"{escaped}\""
        ));
    }
    bare(if inside.is_empty() { text } else { inside })
        .err()
        .or_else(|| leading_zero(text))
}

/// TOML takes no number that starts with a zero too many.
fn leading_zero(text: &str) -> Option<String> {
    let digits = text.strip_prefix('-').unwrap_or(text);
    let has_zero = digits.starts_with('0') && digits[1..].starts_with(|c: char| c.is_ascii_digit());
    has_zero.then(|| {
        format!(
            "{} starts with a zero that is none of its digits; write 7 for 007",
            quoted(text)
        )
    })
}

/// A whole number of things.
pub(super) fn count(text: &str) -> Result<i32, String> {
    let number = parse_decimal(text).map_err(|refusal| refusal.to_string())?;
    let is_whole = !text.contains('.');
    match text.parse() {
        Ok(count) if is_whole => Ok(count),
        _ if is_whole => Err(format!("{number} is more than can be counted here")),
        _ => Err(format!("{} is not a whole number", quoted(text))),
    }
}

fn number_as_text(text: &str, measure: Measure) -> String {
    let bare = format!(
        "{} is a number in quotes; write it without them, {text}",
        quoted(text)
    );
    match measure {
        Measure::Bare => bare,
        Measure::Metres | Measure::Millimetres => {
            format!("{bare}, or with its unit, {}", measure.with_unit(text))
        }
    }
}

fn is_length_with_unit(text: &str, measure: Measure) -> bool {
    parse_decimal(text).is_err() && Length::parse(text, measure.unit()).is_ok()
}
