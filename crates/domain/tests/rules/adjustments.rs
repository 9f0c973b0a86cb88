//! What is allowed for within direct cost, and what the price is adjusted by between profit and tax. All figures are
//! arithmetic by hand.

use hod_domain::estimate::LineKind;
use hod_domain::job::{BuildUpChange, Job};
use hod_domain::region::{
    Allowance, AllowanceAmount, BuildUp, Discount, PricePart, Profit, Region,
};
use hod_units::{Decimal, Rounding};
use rust_decimal::dec;

use crate::price_sample::{THREE_THOUSAND, price, region_with, steps, terms, total};
use crate::sample::percent;

fn allowance(label: &str, amount: AllowanceAmount) -> Allowance {
    Allowance {
        label: label.to_owned(),
        amount,
    }
}

fn euro(build_up: BuildUp) -> Region {
    region_with("EUR", build_up)
}

/// What an adjusted price of one line of labour comes to, and the adjustments.
fn adjusted(cost: Decimal, build_up: BuildUp) -> Vec<String> {
    steps(&euro(build_up), &[(LineKind::Labour, cost)], &[])
}

#[test]
fn allowances_are_of_direct_cost_before_any_of_them() {
    let of = |share, parts: &[PricePart]| AllowanceAmount::Of(percent(share), parts.to_vec());
    let build_up = BuildUp {
        site_overhead: percent(dec!(10)),
        allowances: vec![
            allowance("small tools", of(dec!(3), &[PricePart::Labour])),
            allowance("cleaning", of(dec!(2), &[])),
            allowance("skips", AllowanceAmount::Fixed(dec!(25))),
            allowance(
                "wear",
                of(dec!(1), &[PricePart::Labour, PricePart::Material]),
            ),
            allowance("nothing of it here", of(dec!(50), &[PricePart::Fee])),
        ],
        ..BuildUp::default()
    };
    let region = euro(build_up);
    assert_eq!(
        steps(&region, &THREE_THOUSAND, &[]),
        [
            // 2000.00 x 3 %
            "Other | small tools | 3 percent | 60.00",
            // 3000.00 x 2 %, and not of 3060.00
            "Other | cleaning | 2 percent | 60.00",
            "Other | skips | 1 sum | 25.00",
            // (1000.00 + 2000.00) x 1 %
            "Other | wear | 1 percent | 30.00",
            // (3000.00 + 60.00 + 60.00 + 25.00 + 30.00) x 10 %
            "Overhead | site overhead | 10 percent | 317.50",
        ]
    );
    let lines = price(&region, &Job::default(), &THREE_THOUSAND, &[]).expect("a price");
    assert_eq!(
        terms(&lines[5]),
        [
            "Start 1000 materials ()",
            "Plus 2000 labour ()",
            "PercentOf 1 share (regions/coast)"
        ]
    );
}

#[test]
fn a_plain_build_up_has_its_five_steps_at_nothing_and_no_other() {
    let lines = price(
        &euro(BuildUp::default()),
        &Job::default(),
        &THREE_THOUSAND,
        &[],
    );
    let items: Vec<String> = lines.expect("a price")[2..]
        .iter()
        .map(|line| format!("{} {}", line.item, line.amount.fixed()))
        .collect();
    assert_eq!(
        items,
        [
            "site overhead 0.00",
            "firm overhead 0.00",
            "contingency 0.00",
            "profit, a markup on cost 0.00",
            "tax 0.00"
        ]
    );
}

#[test]
fn a_discount_is_of_the_price_after_profit() {
    let with = |discount| BuildUp {
        profit: Profit::MarkupOnCost(percent(dec!(10))),
        discount,
        ..BuildUp::default()
    };
    // 1000.00 and 10 % are 1100.00, of which 2.5 % are 27.50.
    assert_eq!(
        adjusted(dec!(1000), with(Discount::Of(percent(dec!(2.5))))),
        [
            "Profit | profit, a markup on cost | 10 percent | 100.00",
            "Discount | discount | 2.5 percent | -27.50"
        ]
    );
    assert_eq!(
        adjusted(dec!(1000), with(Discount::Fixed(dec!(50)))),
        [
            "Profit | profit, a markup on cost | 10 percent | 100.00",
            "Discount | discount | 1 sum | -50.00"
        ]
    );
    // All of it may be given away.
    assert_eq!(
        adjusted(dec!(1000), with(Discount::Fixed(dec!(1100))))[1],
        "Discount | discount | 1 sum | -1100.00"
    );
    // 0.1 % of 1.00 is 0.001, which is no cent and no line.
    let tiny = BuildUp {
        discount: Discount::Of(percent(dec!(0.1))),
        ..BuildUp::default()
    };
    assert_eq!(adjusted(dec!(1), tiny), Vec::<String>::new());
}

#[test]
fn a_discount_of_more_than_the_price_is_refused_where_it_was_said() {
    let discount = Discount::Fixed(dec!(3000.01));
    let region = euro(BuildUp {
        discount,
        ..BuildUp::default()
    });
    let fault = price(&region, &Job::default(), &THREE_THOUSAND, &[]).expect_err("too much");
    assert_eq!(
        (fault.subject.as_str(), fault.field.as_str(), fault.reason),
        (
            "regions/coast",
            "build_up.discount_amount",
            "DISCOUNT_EXCEEDS_PRICE"
        )
    );
    assert_eq!(
        fault.message,
        "the discount is more than the price of 3000.00 EUR; give 3000.00 EUR at the most"
    );
    let job = Job {
        build_up: BuildUpChange {
            discount: Some(discount),
            ..BuildUpChange::default()
        },
        ..Job::default()
    };
    let fault = price(&euro(BuildUp::default()), &job, &THREE_THOUSAND, &[]).expect_err("too much");
    assert_eq!(
        (fault.subject.as_str(), fault.field.as_str()),
        ("", "build_up.discount_amount")
    );
}

#[test]
fn income_of_workshops_comes_off_the_price_before_the_discount() {
    let region = euro(BuildUp {
        discount: Discount::Of(percent(dec!(10))),
        ..BuildUp::default()
    });
    // 3000.00 less 400.00 and 100.00 is 2500.00, of which 10 %.
    let lines = price(
        &region,
        &Job::default(),
        &THREE_THOUSAND,
        &[dec!(-400), dec!(-100)],
    );
    let lines = lines.expect("a price");
    let amounts: Vec<String> = lines[6..9]
        .iter()
        .map(|line| format!("{:?} {}", line.kind, line.amount.fixed()))
        .collect();
    assert_eq!(
        amounts,
        ["Income -400.00", "Income -100.00", "Discount -250.00"]
    );
    assert_eq!(total(&lines), dec!(2250));
}

#[test]
fn workshops_may_not_bring_in_more_than_the_price() {
    let region = euro(BuildUp::default());
    let of = |income| price(&region, &Job::default(), &THREE_THOUSAND, &[income]);
    assert_eq!(total(&of(dec!(-3000)).expect("a price")), Decimal::ZERO);
    let fault = of(dec!(-3000.01)).expect_err("too much");
    assert_eq!(
        (fault.field.as_str(), fault.reason),
        ("costs", "INCOME_EXCEEDS_PRICE")
    );
    assert_eq!(
        fault.message,
        "workshops bring in more than the price of 3000.00 EUR, by 0.01 EUR; look for a slip, or reckon them apart from the job"
    );
}

#[test]
fn a_price_below_the_least_that_is_charged_is_brought_up_to_it() {
    let with = |discount| BuildUp {
        discount,
        minimum_charge: Some(dec!(150)),
        ..BuildUp::default()
    };
    let up = |amount: &str| {
        format!("MinimumCharge | up to the least that is charged | 1 sum | {amount}")
    };
    assert_eq!(adjusted(dec!(120), with(Discount::None)), [up("30.00")]);
    assert_eq!(
        adjusted(dec!(150), with(Discount::None)),
        Vec::<String>::new()
    );
    assert_eq!(
        adjusted(dec!(160), with(Discount::Fixed(dec!(20)))),
        [
            "Discount | discount | 1 sum | -20.00".to_owned(),
            up("10.00")
        ]
    );
}

#[test]
fn a_price_is_brought_to_the_nearest_multiple_by_the_rounding_rule() {
    let away = Rounding::HalfAwayFromZero;
    let table = [
        // 123.456 tens
        (dec!(1234.56), dec!(10), away, dec!(-4.56)),
        (dec!(1235), dec!(10), away, dec!(5.00)),
        // 123.5 tens: up to 124, which is even too; 124.5 tens to the even 124
        (dec!(1235), dec!(10), Rounding::HalfToEven, dec!(5.00)),
        (dec!(1245), dec!(10), Rounding::HalfToEven, dec!(-5.00)),
        (dec!(1245), dec!(10), away, dec!(5.00)),
        // 24.2 coins of 0.05
        (dec!(1.21), dec!(0.05), away, dec!(-0.01)),
        (dec!(1.23), dec!(0.05), away, dec!(0.02)),
        (dec!(1300), dec!(100), away, dec!(0)),
        // 3.33... times 0.3: 0.90
        (dec!(1), dec!(0.3), away, dec!(-0.10)),
    ];
    for (cost, step, rounding, expected) in table {
        let region = Region {
            rounding,
            ..euro(BuildUp {
                round_price_to: Some(step),
                ..BuildUp::default()
            })
        };
        let direct = [(LineKind::Labour, cost)];
        let lines = price(&region, &Job::default(), &direct, &[]).expect("a price");
        assert_eq!(
            total(&lines) - cost,
            expected,
            "{cost} to {step} {rounding:?}"
        );
        let is_shown = lines.iter().any(|line| line.kind == LineKind::Rounding);
        assert_eq!(is_shown, !expected.is_zero());
    }
}

#[test]
fn rounding_does_not_go_below_the_least_that_is_charged() {
    let build_up = BuildUp {
        minimum_charge: Some(dec!(1204)),
        round_price_to: Some(dec!(10)),
        ..BuildUp::default()
    };
    // 1204.00 would be 1200.00, which is less than may be charged: 1210.00.
    assert_eq!(
        adjusted(dec!(1000), build_up),
        [
            "MinimumCharge | up to the least that is charged | 1 sum | 204.00",
            "Rounding | to a round figure | 1 sum | 6.00"
        ]
    );
}

#[test]
fn yen_are_brought_to_thousands() {
    let region = region_with(
        "JPY",
        BuildUp {
            round_price_to: Some(dec!(1000)),
            ..BuildUp::default()
        },
    );
    assert_eq!(
        steps(&region, &[(LineKind::Labour, dec!(1234567))], &[]),
        ["Rounding | to a round figure | 1 sum | 433"]
    );
}
