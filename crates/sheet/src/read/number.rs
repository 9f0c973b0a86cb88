//! Numbers of a file. What people and programs write otherwise, each in the manner of its country, is told apart: a
//! decimal comma, a thousands separator, a currency sign.

use hod_units::{Decimal, NumberFault, canonical, parse_decimal};

use crate::fault::quoted;

/// What a number may be.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Bounds {
    pub least: Least,
    pub most: Decimal,
    /// Most decimals.
    pub places: u32,
}

/// The lower bound.
#[derive(Debug, Clone, Copy)]
pub(crate) enum Least {
    /// This or more.
    From(Decimal),
    /// More than zero.
    AboveZero,
}

/// Why a text is no number, or not one of those expected.
pub(crate) type Fault = (&'static str, String);

/// Reads a number within bounds.
pub(crate) fn number(text: &str, bounds: &Bounds) -> Result<Decimal, Fault> {
    let number = parse_decimal(text).map_err(|fault| unreadable(text, &fault))?;
    let is_low = match bounds.least {
        Least::From(least) => number < least,
        Least::AboveZero => number <= Decimal::ZERO,
    };
    if is_low || bounds.most < number {
        let least = match bounds.least {
            Least::From(least) => format!("from {}", canonical(least)),
            Least::AboveZero => "above 0 and at most".to_owned(),
        };
        let to = if matches!(bounds.least, Least::From(_)) {
            " to"
        } else {
            ""
        };
        let most = canonical(bounds.most);
        return Err((
            "OUT_OF_RANGE",
            format!("{text} is out of range; give a number {least}{to} {most}"),
        ));
    }
    if bounds.places < number.normalize().scale() {
        let places = bounds.places;
        return Err((
            "TOO_MANY_PLACES",
            format!("{text} has more decimals than are kept; give at most {places}"),
        ));
    }
    Ok(number)
}

/// The words for a text that is no number.
fn unreadable(text: &str, fault: &NumberFault) -> Fault {
    let found = quoted(text);
    if let Some(fault) = comma(text) {
        return fault;
    }
    let separates = |mark: char| is_between_digits(text, mark);
    if separates(' ')
        || separates('\u{a0}')
        || separates('\u{202f}')
        || separates('\'')
        || separates('\u{2019}')
        || separates('_')
        || 1 < text.matches('.').count() && separates('.')
    {
        let message = format!(
            "{found} has thousands separators; write the digits without them, such as 1234.50"
        );
        return ("THOUSANDS_SEPARATOR", message);
    }
    let reason = match fault {
        NumberFault::TooManyPlaces { .. } => "TOO_MANY_PLACES",
        NumberFault::TooLong { .. } => "OUT_OF_RANGE",
        NumberFault::Empty => "MISSING",
        NumberFault::Blank { .. }
        | NumberFault::Underscore { .. }
        | NumberFault::Comma { .. }
        | NumberFault::PlusSign { .. }
        | NumberFault::Exponent { .. }
        | NumberFault::NotANumber { .. }
        | NumberFault::BarePoint { .. } => "NOT_A_NUMBER",
    };
    (reason, fault.to_string())
}

/// What a comma between digits stands for.
fn comma(text: &str) -> Option<Fault> {
    if !is_between_digits(text, ',') {
        return None;
    }
    let found = quoted(text);
    let (before, after) = text.rsplit_once(',')?;
    let is_last_mark = !after.contains('.');
    let is_a_thousand = after.len() == 3 && !before.contains('.');
    if !is_last_mark || before.contains(',') {
        let message = format!(
            "{found} has thousands separators; write the digits without them, such as 1234.50"
        );
        return Some(("THOUSANDS_SEPARATOR", message));
    }
    if is_a_thousand {
        let message = format!(
            "{found} has a comma that may stand for thousands or for decimals; \
             write {before}{after} for the one or {before}.{after} for the other"
        );
        return Some(("THOUSANDS_SEPARATOR", message));
    }
    let message = format!("{found} has a decimal comma; write a decimal point, such as 4.80");
    Some(("DECIMAL_COMMA", message))
}

/// Whether the mark stands somewhere with a digit on each side.
fn is_between_digits(text: &str, mark: char) -> bool {
    let is_digit = |c: Option<char>| c.is_some_and(|c| c.is_ascii_digit());
    text.match_indices(mark).any(|(at, found)| {
        let (before, after) = (&text[..at], &text[at + found.len()..]);
        is_digit(before.chars().next_back()) && is_digit(after.chars().next())
    })
}

#[cfg(test)]
mod tests {
    use rust_decimal::dec;

    use super::*;

    const MONEY: Bounds = Bounds {
        least: Least::From(Decimal::ZERO),
        most: dec!(999999999),
        places: 6,
    };

    #[test]
    fn a_number_is_read_with_a_decimal_point() {
        assert_eq!(number("4.80", &MONEY), Ok(dec!(4.80)));
        assert_eq!(number("0", &MONEY), Ok(dec!(0)));
    }

    #[test]
    fn what_is_written_otherwise_is_told_apart() {
        for (text, expected) in [
            ("4,80", "DECIMAL_COMMA"),
            ("1.234,50", "DECIMAL_COMMA"),
            ("12,3456", "DECIMAL_COMMA"),
            ("1,234.50", "THOUSANDS_SEPARATOR"),
            ("1,234", "THOUSANDS_SEPARATOR"),
            ("1,234,567", "THOUSANDS_SEPARATOR"),
            ("1 234.50", "THOUSANDS_SEPARATOR"),
            ("1\u{a0}234", "THOUSANDS_SEPARATOR"),
            ("1\u{202f}234", "THOUSANDS_SEPARATOR"),
            ("1'234.50", "THOUSANDS_SEPARATOR"),
            ("1_234", "THOUSANDS_SEPARATOR"),
            ("1.234.567", "THOUSANDS_SEPARATOR"),
            ("", "MISSING"),
            ("on request", "NOT_A_NUMBER"),
            ("EUR 4.80", "NOT_A_NUMBER"),
            ("€4.80", "NOT_A_NUMBER"),
            ("5%", "NOT_A_NUMBER"),
            ("1e3", "NOT_A_NUMBER"),
            (".5", "NOT_A_NUMBER"),
            ("NaN", "NOT_A_NUMBER"),
            ("4.1234567", "TOO_MANY_PLACES"),
            ("4.1234567890123", "TOO_MANY_PLACES"),
            ("-1", "OUT_OF_RANGE"),
            ("1000000000", "OUT_OF_RANGE"),
            ("12345678901234567890", "OUT_OF_RANGE"),
        ] {
            let found = number(text, &MONEY).map_err(|(reason, _)| reason);
            assert_eq!(found, Err(expected), "{text}");
        }
    }

    #[test]
    fn zero_is_not_above_zero() {
        let pack = Bounds {
            least: Least::AboveZero,
            ..MONEY
        };
        assert_eq!(
            number("0", &pack).map_err(|(_, message)| message),
            Err("0 is out of range; give a number above 0 and at most 999999999".into())
        );
        assert_eq!(number("0.5", &pack), Ok(dec!(0.5)));
    }
}
