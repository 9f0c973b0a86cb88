//! Figures rounded for reading: volumes, areas and lengths to 0.01. Hours and money keep every digit, and have
//! the places of their unit at least. What programs get is never rounded.

use hod_units::{Currency, Decimal, Rounding, fixed, parse_decimal, round};
use hod_wire::v1::Unit;

/// Places of a volume, an area or a length in a table.
pub const MEASURE_PLACES: u32 = 2;

/// Places of hours in a table, at the least: so many an estimate gives, and no fewer, or they would not add up.
const HOURS_PLACES: u32 = 2;

/// A measure in a table; as it came when it is no number.
pub fn measure(figure: &str) -> String {
    rounded(figure, MEASURE_PLACES)
}

/// A figure to so many places; as it came when it is no number.
pub fn rounded(figure: &str, places: u32) -> String {
    match parse_decimal(figure) {
        Ok(number) => fixed(round(number, places, Rounding::default()), places),
        Err(_) => figure.to_owned(),
    }
}

/// Hours in a table.
pub fn hours(figure: &str) -> String {
    padded(figure, HOURS_PLACES)
}

/// A quantity of an estimate with the places that its unit is ordered or counted in; a percentage as it came.
pub fn quantity(figure: &str, unit: Unit) -> String {
    match unit {
        Unit::H => hours(figure),
        Unit::M | Unit::M2 | Unit::M3 | Unit::T => padded(figure, MEASURE_PLACES),
        Unit::L
        | Unit::Kg
        | Unit::Bale
        | Unit::Bag
        | Unit::Roll
        | Unit::Each
        | Unit::Load
        | Unit::Km
        | Unit::Day
        | Unit::Week
        | Unit::Trip
        | Unit::Visit
        | Unit::Night
        | Unit::PersonDay
        | Unit::Sum => padded(figure, 0),
        Unit::Batch
        | Unit::Lift
        | Unit::Percent
        | Unit::Money
        | Unit::Number
        | Unit::KgPerM3
        | Unit::Mm
        | Unit::Unspecified => figure.to_owned(),
    }
}

/// A measured quantity: whole pieces as they are, millimetres whole, all else rounded for reading.
pub fn measured(figure: &str, unit: Unit) -> String {
    match unit {
        Unit::Bale
        | Unit::Bag
        | Unit::Roll
        | Unit::Each
        | Unit::Batch
        | Unit::Lift
        | Unit::Load
        | Unit::Trip
        | Unit::Visit
        | Unit::Night
        | Unit::Sum => padded(figure, 0),
        Unit::Mm => rounded(figure, 0),
        Unit::M
        | Unit::M2
        | Unit::M3
        | Unit::L
        | Unit::Kg
        | Unit::T
        | Unit::H
        | Unit::Percent
        | Unit::Money
        | Unit::Number
        | Unit::KgPerM3
        | Unit::Km
        | Unit::Day
        | Unit::Week
        | Unit::PersonDay
        | Unit::Unspecified => measure(figure),
    }
}

/// A figure with so many places at least.
fn padded(figure: &str, places: u32) -> String {
    match parse_decimal(figure) {
        Ok(number) => fixed(number, places),
        Err(_) => figure.to_owned(),
    }
}

/// Money with at least the currency's own places: a unit price may have more, and keeps them.
pub fn money(figure: &str, currency_code: &str) -> String {
    match (parse_decimal(figure), Currency::parse(currency_code)) {
        (Ok(amount), Ok(currency)) => fixed(amount, currency.minor_units()),
        _ => figure.to_owned(),
    }
}

/// Whether a figure is nothing: 0, or not given.
pub fn is_zero(figure: &str) -> bool {
    figure.is_empty() || parse_decimal(figure).is_ok_and(|number| number.is_zero())
}

/// The sum of figures, for a total that the contract does not carry; nothing when one is no number.
pub fn sum<'figure>(figures: impl IntoIterator<Item = &'figure str>) -> Option<String> {
    let sum = figures.into_iter().try_fold(Decimal::ZERO, |sum, figure| {
        sum.checked_add(parse_decimal(figure).ok()?)
    })?;
    Some(sum.to_string())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn money_has_the_places_of_its_currency_and_loses_none() {
        assert_eq!(money("3.6", "EUR"), "3.60");
        assert_eq!(money("0.0125", "EUR"), "0.0125");
        assert_eq!(money("120", "JPY"), "120");
        assert_eq!(money("", "EUR"), "");
    }

    #[test]
    fn a_quantity_has_the_places_of_its_unit() {
        for (figure, unit, shown) in [
            ("1.2", Unit::H, "1.20"),
            ("15.7", Unit::M3, "15.70"),
            ("20", Unit::T, "20.00"),
            ("24", Unit::Bale, "24"),
            ("5301.00", Unit::L, "5301"),
            ("6", Unit::Percent, "6"),
            ("8.25", Unit::Percent, "8.25"),
        ] {
            assert_eq!(quantity(figure, unit), shown);
        }
    }

    #[test]
    fn a_figure_is_rounded_once_and_half_away_from_zero() {
        assert_eq!(measure("5.554999"), "5.55");
        assert_eq!(measure("5.555"), "5.56");
        assert_eq!(measure("12"), "12.00");
        assert_eq!(hours("0.05"), "0.05");
        assert_eq!(hours("12"), "12.00");
        assert_eq!(hours("12.345"), "12.345", "no digit is lost");
        assert_eq!(measure("n/a"), "n/a");
        assert_eq!(measured("12.3456", Unit::M2), "12.35");
        assert_eq!(measured("812", Unit::Each), "812");
        assert_eq!(measured("344.227", Unit::Mm), "344");
        assert_eq!(sum(["1.25", "2.50"]), Some("3.75".to_owned()));
        assert_eq!(sum(["1.25", ""]), None);
    }
}
