//! What commands that change something share: which thing, which of its fields, and how the change is made once.

use clap::Args;
use clap::builder::{PossibleValuesParser, TypedValueParser};
use hod_units::{Density, DensityUnit, QuantityFault, Rounding, canonical, parse_decimal, round};
use hod_wire::v1::{PricePart, Unit};
use prost_types::FieldMask;
use uuid::Uuid;

use crate::exit;
use crate::fault::Failure;
use crate::text::quoted;
use crate::word::{self, Word};

/// Which thing.
#[derive(Debug, Args)]
pub struct Which {
    /// Its id, such as `long-acre`.
    #[arg(value_name = "ID")]
    pub id: String,
}

/// A thing to be made.
#[derive(Debug, Args)]
pub struct Create<F: Args> {
    /// Its id: lower-case letters, digits and hyphens, starting with a letter.
    #[arg(value_name = "ID")]
    pub id: String,
    /// What it is.
    #[command(flatten)]
    pub fields: F,
    /// How it is written.
    #[command(flatten)]
    pub writing: Writing,
}

/// A thing to be changed: what is given is changed, the rest is left.
#[derive(Debug, Args)]
pub struct Update<F: Args> {
    /// Its id.
    #[arg(value_name = "ID")]
    pub id: String,
    /// What changes.
    #[command(flatten)]
    pub fields: F,
    /// The tag of the version you read; refused when it has changed since.
    #[arg(long, value_name = "TAG")]
    pub etag: Option<String>,
    /// How it is written.
    #[command(flatten)]
    pub writing: Writing,
}

/// How a change is made.
#[derive(Debug, Args)]
pub struct Writing {
    /// Check everything and keep nothing.
    #[arg(long)]
    pub dry_run: bool,
    /// A UUID of your own: the same request sent again acts once and gives the same answer.
    #[arg(long, value_name = "UUID")]
    pub request_id: Option<Uuid>,
}

impl Writing {
    /// The id given, or a new one.
    pub fn request_id(&self) -> String {
        self.request_id.unwrap_or_else(Uuid::new_v4).to_string()
    }

    /// What was done, in a word for the sentence.
    pub fn done(&self, done: &str) -> String {
        self::done(self.dry_run, done)
    }
}

/// What was done, or what would have been.
pub fn done(is_dry_run: bool, done: &str) -> String {
    if is_dry_run {
        format!("would be {done}; nothing was kept")
    } else {
        done.to_owned()
    }
}

/// Since when, and until when where a later one is there already.
pub fn in_force(start_date: &str, end_date: &str) -> String {
    if end_date.is_empty() {
        format!("in force from {start_date}")
    } else {
        format!("in force from {start_date} to {end_date}")
    }
}

/// The fields that an update names, filled as they are given.
#[derive(Debug, Default)]
pub struct Mask {
    paths: Vec<String>,
}

impl Mask {
    /// A field that is set when a value is given.
    pub fn set<T>(&mut self, path: &str, field: &mut T, given: Option<T>) {
        if let Some(value) = given {
            *field = value;
            self.paths.push(path.to_owned());
        }
    }

    /// A list that is replaced when any of it is given.
    pub fn replace<T>(&mut self, path: &str, field: &mut Vec<T>, given: Vec<T>) {
        if !given.is_empty() {
            *field = given;
            self.paths.push(path.to_owned());
        }
    }

    /// A list that is replaced when any of it is given, and taken away by a word for none of it.
    pub fn replace_or_clear<T>(&mut self, path: &str, field: &mut Vec<T>, given: Vec<Option<T>>) {
        if !given.is_empty() {
            *field = given.into_iter().flatten().collect();
            self.paths.push(path.to_owned());
        }
    }

    /// For the request; refused when nothing is to change.
    pub fn named(self) -> Result<Option<FieldMask>, Failure> {
        if self.paths.is_empty() {
            return Err(Failure::plain(
                exit::USAGE,
                "there is nothing to change: no field was given",
            )
            .hinting("give a field with its flag; `--help` lists them"));
        }
        Ok(Some(FieldMask { paths: self.paths }))
    }
}

/// Sets those fields of a message that flags of the same names give; the path of each begins with the text.
macro_rules! fill {
    ($mask:ident, $within:literal, $into:ident from $from:ident { $($field:ident),* $(,)? }) => {
        $($mask.set(concat!($within, stringify!($field)), &mut $into.$field, $from.$field);)*
    };
}
pub(super) use fill;

/// Reads one of the words of a closed list into its number.
pub fn words<W: Word>() -> impl TypedValueParser<Value = i32> {
    PossibleValuesParser::new(word::all::<W>())
        .map(|text| word::read::<W>(&text).map_or(0, Into::into))
}

/// The units that something can be bought in.
const PURCHASE_UNITS: [Unit; 10] = [
    Unit::M3,
    Unit::T,
    Unit::Kg,
    Unit::L,
    Unit::M,
    Unit::M2,
    Unit::Bale,
    Unit::Bag,
    Unit::Roll,
    Unit::Each,
];

/// Reads the word of a unit that something can be bought in.
pub fn purchase_units() -> impl TypedValueParser<Value = i32> {
    PossibleValuesParser::new(PURCHASE_UNITS.map(|unit| word::of::<Unit>(unit.into())))
        .map(|text| word::read::<Unit>(&text).map_or(0, Into::into))
}

/// Takes a number as it is written; what is wrong with it the server says, but for an empty text, such as that of a
/// variable that is not set: on the wire it takes the figure away.
pub fn number(text: &str) -> Result<String, String> {
    given(text, "a number is needed, such as 12.5; write 0 for none")
}

/// Takes a number that may not be known, where 0 would be one: the word `none` takes it away.
pub fn number_or_none(text: &str) -> Result<String, String> {
    match text {
        "none" => Ok(String::new()),
        text => given(
            text,
            "a number is needed, such as 12.5; write none to take it away",
        ),
    }
}

/// Takes a density in kg/m3 as it is written, and one with its unit converted and to 0.01 kg/m3.
pub fn density(text: &str) -> Result<String, String> {
    let text = number(text)?;
    if parse_decimal(&text).is_ok() {
        return Ok(text);
    }
    match Density::parse(&text, DensityUnit::KilogramPerCubicMetre) {
        Ok(density) => Ok(canonical(round(
            density.kg_per_cubic_metre(),
            2,
            Rounding::default(),
        ))),
        // As with every number, the server says what is wrong with it.
        Err(QuantityFault::Number(_)) => Ok(text),
        Err(fault) => Err(fault.to_string()),
    }
}

/// Takes a date as it is written, but for an empty text.
pub fn date(text: &str) -> Result<String, String> {
    given(text, "a date is needed, such as 2026-05-01")
}

/// Reads the version of a list.
pub fn version(text: &str) -> Result<i64, String> {
    let text = given(text, "a whole number is needed, such as 12")?;
    text.parse()
        .map_err(|_| "write a whole number, such as 12".to_owned())
}

fn given(text: &str, needed: &str) -> Result<String, String> {
    if text.trim().is_empty() {
        Err(format!("nothing was given where {needed}"))
    } else {
        Ok(text.to_owned())
    }
}

/// Reads `NAME=VALUE`.
pub fn pair(text: &str) -> Result<(String, String), String> {
    match text.split_once('=') {
        Some((name, value)) if !name.is_empty() && !value.is_empty() => {
            Ok((name.to_owned(), value.to_owned()))
        }
        _ => Err("write NAME=NUMBER, such as subsoil=1".to_owned()),
    }
}

/// A label with a percentage or an amount: `holiday pay=8.33%`, `tools=0.60`.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Labelled {
    pub label: String,
    /// Empty where there is an amount.
    pub percent: String,
    /// Empty where there is a percentage.
    pub amount: String,
}

/// Reads `LABEL=PERCENT%` or `LABEL=AMOUNT`.
pub fn labelled(text: &str) -> Result<Labelled, String> {
    let told = || {
        "write LABEL=PERCENT% or LABEL=AMOUNT, such as \"holiday pay=8.33%\" or \"tools=0.60\""
            .to_owned()
    };
    let (label, value) = text.rsplit_once('=').ok_or_else(told)?;
    let (label, value) = (label.trim(), value.trim());
    let (percent, amount) = match value.strip_suffix('%') {
        Some(percent) => (percent.trim(), ""),
        None => ("", value),
    };
    if label.is_empty() || (percent.is_empty() && amount.is_empty()) {
        return Err(told());
    }
    Ok(Labelled {
        label: label.to_owned(),
        percent: percent.to_owned(),
        amount: amount.to_owned(),
    })
}

/// What is given for some parts of a price: `VAT=20%:material,labour`. Without parts it is for all of them.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct OnParts {
    pub labelled: Labelled,
    pub parts: Vec<i32>,
}

/// Reads `LABEL=PERCENT%` or `LABEL=AMOUNT`, with `:PART,PART` behind it where it is not for all; `none` takes all away.
pub fn on_parts(text: &str) -> Result<Option<OnParts>, String> {
    if text == "none" {
        return Ok(None);
    }
    let (value, parts) = match text.rsplit_once('=').zip(text.rsplit_once(':')) {
        Some(((label, _), (value, parts))) if label.len() < value.len() => (value, parts),
        _ => (text, ""),
    };
    let part = |word: &str| {
        let part = word::read::<PricePart>(word.trim()).map(Into::into);
        part.ok_or_else(|| {
            let known = word::all::<PricePart>().join(", ");
            format!("{} is no part of a price; use {known}", quoted(word))
        })
    };
    let parts = parts.split(',').filter(|part| !part.is_empty());
    Ok(Some(OnParts {
        labelled: labelled(value)?,
        parts: parts.map(part).collect::<Result<_, _>>()?,
    }))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_has_a_label_has_a_percentage_or_an_amount() {
        let read = |text: &str| labelled(text).map(|it| (it.label, it.percent, it.amount));
        let told = |label: &str, percent: &str, amount: &str| {
            Ok((label.to_owned(), percent.to_owned(), amount.to_owned()))
        };
        assert_eq!(read("holiday pay=8.33%"), told("holiday pay", "8.33", ""));
        assert_eq!(read("tools = 0.60"), told("tools", "", "0.60"));
        for text in ["tools", "tools=", "=5%", "tools=%"] {
            assert!(labelled(text).is_err(), "{text}");
        }
    }

    #[test]
    fn a_tax_is_on_the_parts_behind_its_colon_or_on_all() {
        let parts = |text: &str| on_parts(text).map(|it| it.map(|it| it.parts));
        assert_eq!(parts("VAT=20%"), Ok(Some(Vec::new())));
        assert_eq!(
            parts("VAT=20%:material,labour"),
            Ok(Some(vec![
                PricePart::Material.into(),
                PricePart::Labour.into()
            ]))
        );
        // A colon in the label is the label's.
        let read = on_parts("Tax: reduced=5%").ok().flatten();
        assert_eq!(
            read.map(|it| it.labelled.label),
            Some("Tax: reduced".to_owned())
        );
        assert_eq!(on_parts("none"), Ok(None));
        assert!(parts("VAT=20%:walls").is_err_and(|told| told.starts_with("\"walls\" is no part")));
    }

    #[test]
    fn a_pair_has_both_sides() {
        assert_eq!(pair("sand=1.5"), Ok(("sand".to_owned(), "1.5".to_owned())));
        for text in ["sand", "sand=", "=1", ""] {
            assert!(pair(text).is_err(), "{text}");
        }
    }

    #[test]
    fn a_price_with_an_end_is_told_with_it() {
        assert_eq!(in_force("2026-05-01", ""), "in force from 2026-05-01");
        let told = in_force("2026-05-01", "2026-05-31");
        assert_eq!(told, "in force from 2026-05-01 to 2026-05-31");
        assert_eq!(
            done(true, &told),
            "would be in force from 2026-05-01 to 2026-05-31; nothing was kept"
        );
    }

    #[test]
    fn purchase_units_are_those_that_can_be_bought() {
        let units = purchase_units();
        let read = |text: &str| {
            let command =
                clap::Command::new("x").arg(clap::Arg::new("unit").value_parser(units.clone()));
            command
                .try_get_matches_from(["x", text])
                .ok()?
                .get_one::<i32>("unit")
                .copied()
        };
        for unit in PURCHASE_UNITS {
            assert_eq!(read(word::of::<Unit>(unit.into())), Some(unit.into()));
        }
        for word in [
            "h",
            "batch",
            "lift",
            "percent",
            "money",
            "number",
            "kg-per-m3",
            "mm",
        ] {
            assert_eq!(read(word), None, "{word}");
        }
    }

    #[test]
    fn only_the_word_takes_an_unknown_figure_away() {
        assert_eq!(number_or_none("none"), Ok(String::new()));
        assert_eq!(number_or_none("42.5"), Ok("42.5".to_owned()));
        assert_eq!(number("-1,5"), Ok("-1,5".to_owned()), "the server says why");
        assert_eq!(version("3"), Ok(3));
        for text in ["", " "] {
            assert!(number(text).is_err_and(|told| told.ends_with("write 0 for none")));
            assert!(number_or_none(text).is_err_and(|told| told.contains("write none")));
            assert!(date(text).is_err());
            assert!(version(text).is_err());
        }
        assert!(version("3.5").is_err());
    }

    #[test]
    fn a_density_may_come_with_its_unit() {
        // 1 lb/ft3 is 0.45359237 / 0.028316846592 = 16.018463 kg/m3.
        for (text, sent) in [
            ("240", "240"),
            ("240.125", "240.125"),
            ("240 kg/m3", "240"),
            ("15 pcf", "240.28"),
            ("25lb/ft3", "400.46"),
            ("-1,5", "-1,5"),
            ("fifteen", "fifteen"),
        ] {
            assert_eq!(density(text), Ok(sent.to_owned()));
        }
        assert_eq!(
            density("15 lb"),
            Err("\"lb\" is not a unit known here; use kg/m3 or lb/ft3".to_owned())
        );
        assert!(density(" ").is_err_and(|told| told.starts_with("nothing was given")));
    }

    #[test]
    fn an_update_that_changes_nothing_is_refused() {
        let mut mask = Mask::default();
        let mut name = "before".to_owned();
        mask.set("display_name", &mut name, None);
        assert_eq!(
            mask.named().err().map(|failure| failure.code),
            Some(exit::USAGE)
        );

        let mut mask = Mask::default();
        mask.set("display_name", &mut name, Some(String::new()));
        let paths = mask.named().ok().flatten().map(|mask| mask.paths);
        assert_eq!(paths, Some(vec!["display_name".to_owned()]));
        assert_eq!(name, "", "a text given empty is taken away");
    }
}
