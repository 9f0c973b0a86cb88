//! The known traps of decimals, money and dates, each met through the public interface as a caller would.
//! Where the trap is the decimal library's own, the test shows it springing beside the way that does not.

use hod_units::{
    Currency, DateRange, Decimal, Money, NumberFault, Rounding, canonical, fixed, parse_date,
    parse_decimal, round,
};

fn number(text: &str) -> Decimal {
    parse_decimal(text).expect(text)
}

fn euros(text: &str) -> Money {
    Money::new(number(text), Currency::parse("EUR").expect("in the list"))
}

#[test]
fn a_tie_rounds_as_a_numeric_column_does() {
    // Into numeric(12,2) Postgres puts 2.345 as 2.35 and 0.125 as 0.13.
    assert_eq!(
        canonical(round(number("2.345"), 2, Rounding::default())),
        "2.35"
    );
    assert_eq!(
        canonical(round(number("0.125"), 2, Rounding::default())),
        "0.13"
    );
}

#[test]
fn lines_are_rounded_before_they_are_added() {
    // Three lines of 10.005: rounded first 10.01 each, 30.03 in all; added first 30.015, which would be 30.02.
    let line = euros("10.005");
    let shown = [line.rounded(Rounding::default()); 3];
    assert_eq!(shown[0].to_string(), "10.01 EUR");
    assert_eq!(
        Money::checked_sum(line.currency(), shown)
            .expect("small")
            .to_string(),
        "30.03 EUR"
    );
    let added = Money::checked_sum(line.currency(), [line; 3]).expect("small");
    assert_eq!(added.rounded(Rounding::default()).to_string(), "30.02 EUR");
}

#[test]
fn an_amount_with_too_many_decimals_is_seen_before_a_column_rounds_it() {
    assert!(!euros("10.005").is_rounded());
    assert!(euros("10.005").rounded(Rounding::default()).is_rounded());
}

#[test]
fn what_is_not_a_number_is_refused() {
    for text in ["NaN", "nan", "Infinity", "-inf", "null"] {
        assert_eq!(
            parse_decimal(text),
            Err(NumberFault::NotANumber {
                found: format!("\"{text}\"")
            })
        );
    }
}

#[test]
fn a_range_without_a_day_cannot_be_made() {
    let day = parse_date("2026-05-01").expect("a date");
    assert!(DateRange::new(day, Some(day)).is_err());
    assert!(DateRange::new(day, day.succ_opt()).is_ok());
}

#[test]
fn the_last_day_shown_is_the_day_before_the_end_kept() {
    let range = DateRange::new(
        parse_date("2026-05-01").expect("a date"),
        Some(parse_date("2026-06-01").expect("a date")),
    );
    assert_eq!(
        range.expect("a month").to_string(),
        "2026-05-01 to 2026-05-31"
    );
}

#[test]
fn overflow_and_division_by_zero_give_nothing_and_do_not_panic() {
    assert_eq!(Decimal::MAX.checked_mul(Decimal::TWO), None);
    assert_eq!(Decimal::ONE.checked_div(Decimal::ZERO), None);
    assert!(euros("999999999999999").checked_mul(Decimal::MAX).is_err());
}

#[test]
fn forty_digits_are_refused_where_the_library_shortens_them() {
    let text = "1.234567890123456789012345678901234567890";
    assert_ne!(text.parse::<Decimal>().expect("the trap").to_string(), text);
    assert!(matches!(
        parse_decimal(text),
        Err(NumberFault::TooManyPlaces { places: 39, .. })
    ));
}

#[test]
fn separators_are_refused_where_the_library_skips_them() {
    assert_eq!(
        Decimal::from_str_exact("1_000").expect("the trap"),
        Decimal::ONE_THOUSAND
    );
    assert!(matches!(
        parse_decimal("1_000"),
        Err(NumberFault::Underscore { .. })
    ));
    assert!(matches!(
        parse_decimal("1,000"),
        Err(NumberFault::Comma { .. })
    ));
    assert_eq!(parse_decimal(""), Err(NumberFault::Empty));
}

#[test]
fn equal_numbers_print_alike() {
    let (short, long) = (number("1.0"), number("1.00"));
    assert_eq!(short, long);
    assert_ne!(short.to_string(), long.to_string());
    assert_eq!(canonical(short), canonical(long));
    assert_eq!(fixed(short, 2), fixed(long, 2));
}

#[test]
fn zero_never_prints_a_minus() {
    let cut = round(number("-0.004"), 2, Rounding::default());
    assert_eq!(canonical(cut), "0");
    assert_eq!(
        euros("-0.004").rounded(Rounding::default()).to_string(),
        "0.00 EUR"
    );
}
