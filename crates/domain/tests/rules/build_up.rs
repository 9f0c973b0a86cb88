//! From direct cost to price, with the working beside each figure.

use hod_domain::basis::Basis;
use hod_domain::build_up::{InForce, build_up as build_up_lines};
use hod_domain::estimate::{Line, LineKind};
use hod_domain::fault::Fault;
use hod_domain::job::Job;
use hod_domain::region::{BuildUp, Profit, Region, TaxBasis, Taxes};
use hod_domain::text::Text;
use hod_domain::unit::Unit;
use hod_units::{Currency, Decimal, Money, Rounding, Share};
use rust_decimal::dec;

use crate::sample::{percent, region, tax};

fn line(quantity: Decimal, unit_price: Decimal, region: &Region) -> Line {
    let amount = Money::new(quantity * unit_price, region.currency).rounded(region.rounding);
    Line {
        kind: LineKind::Material,
        item: Text::from("sand"),
        quantity,
        unit: Unit::T,
        unit_price: Some(unit_price),
        price_source: Text::default(),
        amount,
        basis: Basis::default(),
        part: None,
    }
}

/// A region that adds nothing but what a test gives it.
fn plain(profit: Profit, tax_percent: Decimal, basis: TaxBasis) -> Region {
    Region {
        build_up: BuildUp {
            site_overhead: Share::ZERO,
            firm_overhead: Share::ZERO,
            contingency: Share::ZERO,
            profit,
            taxes: Taxes {
                each: vec![tax("", tax_percent)],
                basis,
            },
            ..BuildUp::default()
        },
        ..region("coast", None, "EUR")
    }
}

/// All lines of a price without a job's own say.
fn price(region: &Region, direct: &[Line]) -> Result<Vec<Line>, Fault> {
    build_up_lines(
        &InForce::of(region, &Job::default()),
        direct.to_vec(),
        Vec::new(),
    )
}

/// The steps after direct cost.
fn steps(region: &Region, direct: &[Line]) -> Vec<Line> {
    let lines = price(region, direct).expect("small");
    lines[direct.len()..].to_vec()
}

fn amount(lines: &[Line], kind: LineKind) -> Decimal {
    lines
        .iter()
        .filter(|line| line.kind == kind)
        .map(|line| line.amount.amount())
        .sum()
}

/// The profit on a direct cost.
fn profit(cost: Decimal, profit: Profit) -> Decimal {
    let region = plain(profit, Decimal::ZERO, TaxBasis::Invoice);
    let lines = steps(&region, &[line(dec!(1), cost, &region)]);
    amount(&lines, LineKind::Profit)
}

#[test]
fn a_markup_is_a_share_of_the_cost() {
    let table = [
        // What costs 100 and sells at 125 is marked up by 25 %: instudier.com, question 22902450.
        (dec!(100), dec!(25), dec!(25.00)),
        // The rest is arithmetic by hand. 1000.00 x 20 % = 200.00, price 1200.00.
        (dec!(1000), dec!(20), dec!(200.00)),
        // 40.00 x 50 % = 20.00, price 60.00, which is a margin of a third.
        (dec!(40), dec!(50), dec!(20.00)),
        // 29.99 x 25 % = 7.4975, price 37.49 (37.4875 in one step).
        (dec!(29.99), dec!(25), dec!(7.50)),
    ];
    for (cost, markup, expected) in table {
        assert_eq!(
            profit(cost, Profit::MarkupOnCost(percent(markup))),
            expected,
            "{markup} % on {cost}"
        );
    }
}

#[test]
fn a_margin_is_a_share_of_the_price() {
    let table = [
        // What costs 100 and sells at 125 (instudier.com, question 22902450) leaves 25 of 125: a fifth.
        (dec!(100), dec!(20), dec!(25.00)),
        // The rest is arithmetic by hand. 1000.00 / 0.8 = 1250.00, of which 250.00 is 20 %.
        (dec!(1000), dec!(20), dec!(250.00)),
        // 40.00 / 0.5 = 80.00.
        (dec!(40), dec!(50), dec!(40.00)),
        // 100.00 / 0.7 = 142.857142...
        (dec!(100), dec!(30), dec!(42.86)),
    ];
    for (cost, margin, expected) in table {
        assert_eq!(
            profit(cost, Profit::MarginOnPrice(percent(margin))),
            expected,
            "{margin} % of the price of {cost}"
        );
    }
}

#[test]
fn a_markup_and_the_margin_that_it_makes_give_one_price() {
    // margin = markup / (1 + markup), from memory: 25 % makes 20 %, 60 % makes 37.5 %, 100 % a half, 300 % three quarters.
    for (markup, margin) in [
        (25, dec!(20)),
        (60, dec!(37.5)),
        (100, dec!(50)),
        (300, dec!(75)),
    ] {
        for cost in [dec!(40), dec!(29.99), dec!(2323.65)] {
            assert_eq!(
                profit(cost, Profit::MarkupOnCost(percent(Decimal::from(markup)))),
                profit(cost, Profit::MarginOnPrice(percent(margin))),
                "{markup} % on {cost}"
            );
        }
    }
}

#[test]
fn each_step_stands_on_what_is_before_it() {
    let region = region("coast", None, "EUR");
    let lines = steps(&region, &[line(dec!(1), dec!(1000), &region)]);
    let shown: Vec<_> = lines
        .iter()
        .map(|line| (&*line.item, line.quantity, line.amount.amount()))
        .collect();
    assert_eq!(
        shown,
        [
            // 1000.00 x 6 %
            ("site overhead", dec!(6), dec!(60.00)),
            // 1060.00 x 12 %
            ("firm overhead", dec!(12), dec!(127.20)),
            // 1187.20 x 8 % = 94.976
            ("contingency", dec!(8), dec!(94.98)),
            // 1282.18 / 0.8 = 1602.725, less 1282.18 = 320.545
            ("profit, a margin on price", dec!(20), dec!(320.55)),
            // 1602.73 x 21 % = 336.5733
            ("Sales tax", dec!(21), dec!(336.57)),
        ]
    );
    for line in &lines {
        let worked = Money::new(line.basis.work().expect("small"), region.currency);
        assert_eq!(
            worked.rounded(region.rounding),
            line.amount,
            "{}",
            line.item
        );
    }
}

#[test]
fn tax_by_line_and_by_invoice_differ_by_their_rounding() {
    let table = [
        // Three lines of 0.10 at 25 %: by line 0.025 each, so 0.03 x 3; by invoice 0.30 x 25 % = 0.075.
        (dec!(0.10), dec!(25), dec!(0.09), dec!(0.08)),
        // Three lines of 1.10 at 5 %: 0.055, so 0.06 x 3; 3.30 x 5 % = 0.165.
        (dec!(1.10), dec!(5), dec!(0.18), dec!(0.17)),
        // Three lines of 10.02 at 20 %: 2.004, so 2.00 x 3; 30.06 x 20 % = 6.012.
        (dec!(10.02), dec!(20), dec!(6.00), dec!(6.01)),
        // Three lines of 100.00 at 20 %: nothing to round.
        (dec!(100), dec!(20), dec!(60.00), dec!(60.00)),
    ];
    for (price, tax, by_line, by_invoice) in table {
        for (basis, expected) in [(TaxBasis::Line, by_line), (TaxBasis::Invoice, by_invoice)] {
            let region = plain(Profit::MarkupOnCost(Share::ZERO), tax, basis);
            let direct = [1, 2, 3].map(|_| line(dec!(1), price, &region));
            let lines = steps(&region, &direct);
            assert_eq!(
                amount(&lines, LineKind::Tax),
                expected,
                "three of {price} at {tax} % {basis:?}"
            );
            // By line the basis adds up what each line was rounded to; by invoice it is worked whole, and rounded.
            let worked = lines
                .last()
                .and_then(|tax| tax.basis.work())
                .expect("small");
            assert_eq!(
                Money::new(worked, region.currency)
                    .rounded(region.rounding)
                    .amount(),
                expected
            );
            assert!(basis == TaxBasis::Invoice || worked == expected);
        }
    }
}

#[test]
fn each_line_is_rounded_before_lines_are_added() {
    // Three lines of 10.005 are 10.01 each and 30.03 together, never 30.015 rounded to 30.02. To the even cent they
    // are 10.00 and 30.00.
    for (rounding, expected) in [
        (Rounding::HalfAwayFromZero, dec!(30.03)),
        (Rounding::HalfToEven, dec!(30.00)),
    ] {
        let plain = plain(
            Profit::MarkupOnCost(percent(dec!(100))),
            Decimal::ZERO,
            TaxBasis::Invoice,
        );
        let region = Region { rounding, ..plain };
        let direct = [1, 2, 3].map(|_| line(dec!(2.001), dec!(5), &region));
        let lines = steps(&region, &direct);
        // A markup of the whole repeats what stands before it.
        assert_eq!(amount(&lines, LineKind::Profit), expected);
    }
}

#[test]
fn money_is_rounded_to_the_minor_unit_of_its_currency() {
    // 999.5 x 8 % = 79.96: none, two and three decimals.
    for (code, expected) in [
        ("JPY", dec!(80)),
        ("EUR", dec!(79.96)),
        ("TND", dec!(79.960)),
    ] {
        let region = Region {
            currency: Currency::parse(code).expect("in the list"),
            ..plain(
                Profit::MarkupOnCost(percent(dec!(8))),
                Decimal::ZERO,
                TaxBasis::Invoice,
            )
        };
        let mut direct = line(dec!(1), dec!(1), &region);
        direct.amount = Money::new(dec!(999.5), region.currency);
        let lines = steps(&region, &[direct]);
        assert_eq!(amount(&lines, LineKind::Profit), expected, "{code}");
    }
}

#[test]
fn what_a_decimal_cannot_hold_is_told_and_does_not_panic() {
    let region = region("coast", None, "EUR");
    let mut direct = line(dec!(1), dec!(1), &region);
    direct.amount = Money::new(Decimal::MAX, region.currency);
    for direct in [vec![direct.clone()], vec![direct.clone(), direct]] {
        let fault = price(&region, &direct).expect_err("too much");
        assert_eq!(fault.reason, "FIGURE_TOO_LARGE");
    }
}
