//! Variations under an accepted quote: what they come to, and what is refused.

use hod_domain::quote::{VariationTerm, VariationTerms, VariedQuote, variation};
use hod_domain::region::{PricePart, Tax, TaxBasis, Taxes};
use hod_domain::unit::Unit;
use hod_units::{Decimal, Rounding};
use rust_decimal::dec;

use crate::sample::{day, euro, money, tax};

fn quote() -> VariedQuote {
    let on_labour = Tax {
        parts: vec![PricePart::Labour],
        ..tax("reduced", dec!(9))
    };
    VariedQuote {
        currency: euro(),
        rounding: Rounding::default(),
        taxes: Taxes {
            each: vec![tax("VAT", dec!(21)), on_labour],
            basis: TaxBasis::Invoice,
        },
        accepted_on: Some(day("2026-04-01")),
    }
}

fn line(quantity: Decimal, unit_price: Decimal) -> VariationTerm {
    VariationTerm {
        item: "niche".to_owned(),
        quantity,
        unit: Unit::Each,
        unit_price,
    }
}

fn agreed(lines: Vec<VariationTerm>) -> VariationTerms {
    VariationTerms {
        agreed_date: day("2026-05-01"),
        days: 0,
        lines,
        tax_labels: Vec::new(),
    }
}

fn reasons(quote: &VariedQuote, terms: &VariationTerms) -> Vec<(String, &'static str)> {
    let faults = variation(quote, terms, day("2026-06-01")).expect_err("refused");
    faults
        .into_iter()
        .map(|fault| (fault.field, fault.reason))
        .collect()
}

#[test]
fn the_taxes_on_the_whole_price_are_on_it_unless_others_are_named() {
    let terms = agreed(vec![line(dec!(2), dec!(50))]);
    let named = |labels: &[&str]| VariationTerms {
        tax_labels: labels.iter().map(|label| (*label).to_owned()).collect(),
        ..terms.clone()
    };
    let table = [
        (vec![], vec![("VAT", dec!(21.00))], dec!(121.00)),
        (vec!["VAT"], vec![("VAT", dec!(21.00))], dec!(121.00)),
        (vec!["reduced"], vec![("reduced", dec!(9.00))], dec!(109.00)),
        (
            vec!["reduced", "VAT"],
            vec![("VAT", dec!(21.00)), ("reduced", dec!(9.00))],
            dec!(130.00),
        ),
    ];
    for (labels, taxes, total) in table {
        let varied = variation(&quote(), &named(&labels), day("2026-06-01")).expect("it holds");
        let told: Vec<(&str, Decimal)> = varied
            .taxes
            .iter()
            .map(|tax| (tax.label.as_str(), tax.amount.amount()))
            .collect();
        assert_eq!(told, taxes, "{labels:?}");
        assert_eq!(varied.total, money(total), "{labels:?}");
        assert!(
            varied
                .taxes
                .iter()
                .all(|tax| tax.base == money(dec!(100.00)))
        );
    }
}

#[test]
fn tax_is_rounded_where_the_quote_rounds_it() {
    // Two lines of 0.12: 21 % of each is 0.0252, rounded 0.03, together 0.06; of both 0.0504, rounded 0.05.
    let terms = agreed(vec![line(dec!(1), dec!(0.12)), line(dec!(1), dec!(0.12))]);
    for (basis, expected) in [
        (TaxBasis::Line, dec!(0.06)),
        (TaxBasis::Invoice, dec!(0.05)),
    ] {
        let mut quote = quote();
        quote.taxes.basis = basis;
        let varied = variation(&quote, &terms, day("2026-06-01")).expect("it holds");
        assert_eq!(varied.taxes[0].amount, money(expected), "{basis:?}");
    }
}

#[test]
fn what_falls_away_lowers_the_price_and_its_tax() {
    let terms = agreed(vec![line(dec!(-3), dec!(33.335))]);
    let varied = variation(&quote(), &terms, day("2026-06-01")).expect("it holds");
    // -100.005 goes away from zero to -100.01, and 21 % of that is -21.0021.
    assert_eq!(varied.amounts, [money(dec!(-100.01))]);
    assert_eq!(varied.total, money(dec!(-121.01)));
}

#[test]
fn a_quote_without_taxes_has_variations_without() {
    let quote = VariedQuote {
        taxes: Taxes::default(),
        ..quote()
    };
    let varied = variation(
        &quote,
        &agreed(vec![line(dec!(1), dec!(10))]),
        day("2026-06-01"),
    );
    let varied = varied.expect("it holds");
    assert_eq!((varied.taxes, varied.total), (vec![], money(dec!(10.00))));
}

#[test]
fn what_does_not_hold_is_refused_all_at_once() {
    let terms = VariationTerms {
        agreed_date: day("2026-03-31"),
        days: 1001,
        lines: vec![line(dec!(0), dec!(5)), line(dec!(1), dec!(-5))],
        tax_labels: vec!["VAT".to_owned(), "VAT".to_owned(), "levy".to_owned()],
    };
    let expected = [
        ("variation.agreed_date", "AGREED_BEFORE_ACCEPTANCE"),
        ("variation.days", "DAYS_OUT_OF_RANGE"),
        ("variation.lines[0].quantity", "QUANTITY_ZERO"),
        ("variation.lines[1].unit_price", "UNIT_PRICE_NEGATIVE"),
        ("variation.tax_labels[1]", "TAX_TWICE"),
        ("variation.tax_labels[2]", "TAX_NOT_ON_QUOTE"),
    ];
    assert_eq!(
        reasons(&quote(), &terms),
        expected.map(|(field, reason)| (field.to_owned(), reason))
    );
}

#[test]
fn it_is_agreed_under_an_accepted_quote_on_a_day_that_has_come() {
    let open = VariedQuote {
        accepted_on: None,
        ..quote()
    };
    let terms = agreed(vec![line(dec!(1), dec!(5))]);
    assert_eq!(
        reasons(&open, &terms),
        [(String::new(), "QUOTE_NOT_ACCEPTED")]
    );
    let later = VariationTerms {
        agreed_date: day("2026-06-02"),
        ..terms
    };
    assert_eq!(
        reasons(&quote(), &later),
        [("variation.agreed_date".to_owned(), "DATE_AFTER_TODAY")]
    );
}

#[test]
fn it_has_one_line_at_the_least_and_two_hundred_at_the_most() {
    for (count, holds) in [(0, false), (1, true), (200, true), (201, false)] {
        let terms = agreed(vec![line(dec!(1), dec!(5)); count]);
        let varied = variation(&quote(), &terms, day("2026-06-01"));
        assert_eq!(varied.is_ok(), holds, "{count} lines");
    }
}
