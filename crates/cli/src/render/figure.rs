//! Figures rounded for reading: volumes, areas and lengths to 0.01, hours to 0.1. What programs get is never rounded.

use hod_units::{Currency, Decimal, Rounding, fixed, parse_decimal, round};

/// Places of a volume, an area or a length in a table.
pub const MEASURE_PLACES: u32 = 2;

/// Places of hours in a table.
pub const HOURS_PLACES: u32 = 1;

/// A figure at so many places; as it came when it is no number.
pub fn rounded(figure: &str, places: u32) -> String {
    match parse_decimal(figure) {
        Ok(number) => fixed(round(number, places, Rounding::default()), places),
        Err(_) => figure.to_owned(),
    }
}

/// A measure in a table.
pub fn measure(figure: &str) -> String {
    rounded(figure, MEASURE_PLACES)
}

/// Hours in a table.
pub fn hours(figure: &str) -> String {
    rounded(figure, HOURS_PLACES)
}

/// Money with at least the currency's own places: a unit price may have more, and keeps them.
pub fn money(figure: &str, currency_code: &str) -> String {
    match (parse_decimal(figure), Currency::parse(currency_code)) {
        (Ok(amount), Ok(currency)) => fixed(amount, currency.minor_units()),
        _ => figure.to_owned(),
    }
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
    fn a_figure_is_rounded_once_and_half_away_from_zero() {
        assert_eq!(measure("5.554999"), "5.55");
        assert_eq!(measure("5.555"), "5.56");
        assert_eq!(measure("12"), "12.00");
        assert_eq!(hours("0.05"), "0.1");
        assert_eq!(hours("12.34"), "12.3");
        assert_eq!(measure("n/a"), "n/a");
        assert_eq!(sum(["1.25", "2.50"]), Some("3.75".to_owned()));
        assert_eq!(sum(["1.25", ""]), None);
    }
}
