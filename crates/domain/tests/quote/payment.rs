//! Stages of payment, and what is held back of them.

use hod_domain::quote::{Milestone, Payments, Retention, StageTerm, payments};
use hod_units::{Currency, Decimal, Money, Rounding, Share};
use rust_decimal::dec;

use crate::sample::{money, percent};

const NOTHING_HELD: Retention = Retention {
    share: Share::ZERO,
    months: 0,
};

fn stage(milestone: Milestone, of_total: Decimal) -> StageTerm {
    StageTerm {
        milestone,
        share: percent(of_total),
        lifts: None,
    }
}

fn lifts(of_total: Decimal, of_lifts: Decimal) -> StageTerm {
    StageTerm {
        lifts: Some(percent(of_lifts)),
        ..stage(Milestone::Lifts, of_total)
    }
}

fn paid(total: Money, terms: &[StageTerm], retention: Retention, lift_count: u32) -> Payments {
    payments(total, terms, retention, lift_count, Rounding::default()).expect("the terms hold")
}

fn faults(
    terms: &[StageTerm],
    retention: Retention,
    lift_count: u32,
) -> Vec<(String, &'static str)> {
    let refused = payments(
        money(dec!(1000)),
        terms,
        retention,
        lift_count,
        Rounding::default(),
    );
    let faults = refused.expect_err("refused");
    faults
        .into_iter()
        .map(|fault| (fault.field, fault.reason))
        .collect()
}

#[test]
fn without_terms_all_of_it_is_paid_on_completion() {
    let retention = Retention {
        share: percent(dec!(5)),
        months: 12,
    };
    let paid = paid(money(dec!(1234.50)), &[], retention, 24);
    assert_eq!(paid.stages.len(), 1);
    assert_eq!(paid.stages[0].milestone, Milestone::Completion);
    assert_eq!(paid.stages[0].description, "when all is done");
    assert_eq!(paid.stages[0].amount, money(dec!(1234.50)));
    // 5 % of 1234.50 is 61.725, to the cent 61.73.
    assert_eq!(paid.stages[0].retained, money(dec!(61.73)));
    assert_eq!(paid.stages[0].due, money(dec!(1172.77)));
}

#[test]
fn each_payment_says_in_words_when_it_falls_due() {
    let terms = [
        stage(Milestone::Acceptance, dec!(10)),
        stage(Milestone::Start, dec!(10)),
        lifts(dec!(20), dec!(50)),
        lifts(dec!(20), dec!(100)),
        stage(Milestone::WallPlate, dec!(10)),
        stage(Milestone::Roofed, dec!(10)),
        stage(Milestone::Plastered, dec!(10)),
        stage(Milestone::Completion, dec!(10)),
    ];
    let paid = paid(money(dec!(1000)), &terms, NOTHING_HELD, 24);
    let words: Vec<&str> = paid
        .stages
        .iter()
        .map(|stage| stage.description.as_str())
        .collect();
    assert_eq!(
        words,
        [
            "on acceptance",
            "when work begins on the site",
            "when 12 of 24 lifts are finished",
            "when 24 of 24 lifts are finished",
            "when the wall plate is on",
            "when it is roofed",
            "when it is plastered",
            "when all is done",
        ]
    );
}

#[test]
fn a_share_of_the_lifts_is_rounded_up_to_whole_lifts() {
    let table = [
        // 33 % of 10 is 3.3.
        (dec!(33), 10, "when 4 of 10 lifts are finished"),
        (dec!(30), 10, "when 3 of 10 lifts are finished"),
        // 0.1 % of 7 is 0.007.
        (dec!(0.1), 7, "when 1 of 7 lifts is finished"),
        (dec!(99.9), 7, "when 7 of 7 lifts are finished"),
    ];
    for (percent, lift_count, expected) in table {
        let terms = [
            lifts(dec!(50), percent),
            stage(Milestone::Completion, dec!(50)),
        ];
        let paid = paid(money(dec!(1000)), &terms, NOTHING_HELD, lift_count);
        assert_eq!(paid.stages[0].description, expected);
    }
}

#[test]
fn cents_that_do_not_divide_go_to_the_largest_remainders() {
    let terms = [
        stage(Milestone::Start, dec!(33.3)),
        stage(Milestone::Roofed, dec!(33.3)),
        stage(Milestone::Completion, dec!(33.4)),
    ];
    // Of 100.01: 33.30333, 33.30333 and 33.40334: 33.30 + 33.30 + 33.40 leave one cent, which goes to the last.
    let paid = paid(money(dec!(100.01)), &terms, NOTHING_HELD, 0);
    let amounts: Vec<Money> = paid.stages.iter().map(|stage| stage.amount).collect();
    assert_eq!(amounts, [dec!(33.30), dec!(33.30), dec!(33.41)].map(money));
}

#[test]
fn yen_and_dinar_are_shared_in_their_own_minor_unit() {
    let table = [
        ("JPY", dec!(1000001), [dec!(300000), dec!(700001)]),
        ("KWD", dec!(1000.001), [dec!(300.000), dec!(700.001)]),
    ];
    let terms = [
        stage(Milestone::Acceptance, dec!(30)),
        stage(Milestone::Completion, dec!(70)),
    ];
    for (code, total, expected) in table {
        let currency = Currency::parse(code).expect("in the list");
        let paid = paid(Money::new(total, currency), &terms, NOTHING_HELD, 0);
        let amounts: Vec<Decimal> = paid
            .stages
            .iter()
            .map(|stage| stage.amount.amount())
            .collect();
        assert_eq!(amounts, expected, "{code}");
    }
}

#[test]
fn nothing_is_held_back_of_the_deposit() {
    let terms = [
        stage(Milestone::Acceptance, dec!(40)),
        stage(Milestone::Roofed, dec!(30)),
        stage(Milestone::Completion, dec!(30)),
    ];
    let retention = Retention {
        share: percent(dec!(2.5)),
        months: 6,
    };
    // 2.5 % of the 60.02 after the deposit is 1.5005, to the cent 1.50: 0.75 of 30.01 and 0.75 of 30.01.
    let paid = paid(money(dec!(100.03)), &terms, retention, 0);
    let told: Vec<[Decimal; 3]> = paid
        .stages
        .iter()
        .map(|stage| [stage.amount, stage.retained, stage.due].map(Money::amount))
        .collect();
    assert_eq!(
        told,
        [
            [dec!(40.01), dec!(0.00), dec!(40.01)],
            [dec!(30.01), dec!(0.75), dec!(29.26)],
            [dec!(30.01), dec!(0.75), dec!(29.26)],
        ]
    );
    assert_eq!(paid.retained, money(dec!(1.50)));
}

#[test]
fn what_is_held_back_of_a_deposit_alone_is_nothing() {
    let retention = Retention {
        share: percent(dec!(5)),
        months: 6,
    };
    let paid = paid(
        money(dec!(900)),
        &[stage(Milestone::Acceptance, dec!(100))],
        retention,
        0,
    );
    assert_eq!(paid.stages[0].due, money(dec!(900)));
    assert_eq!(paid.retained, money(dec!(0)));
}

#[test]
fn stages_that_do_not_hold_are_refused_by_name() {
    use Milestone::{Acceptance, Completion, Lifts, Roofed, Start};
    let table: [(&str, Vec<StageTerm>, &str, &str); 9] = [
        (
            "they come to 90 %",
            vec![stage(Start, dec!(50)), stage(Completion, dec!(40))],
            "stages",
            "STAGES_MUST_TOTAL_WHOLE",
        ),
        (
            "one is nothing",
            vec![stage(Start, dec!(0)), stage(Completion, dec!(100))],
            "stages[0].percent",
            "STAGE_PERCENT_NOT_POSITIVE",
        ),
        (
            "one milestone stands twice",
            vec![stage(Start, dec!(50)), stage(Start, dec!(50))],
            "stages[1].milestone",
            "MILESTONE_TWICE",
        ),
        (
            "the roof comes before the deposit",
            vec![stage(Roofed, dec!(50)), stage(Acceptance, dec!(50))],
            "stages[1].milestone",
            "MILESTONE_OUT_OF_ORDER",
        ),
        (
            "lifts do not say how many",
            vec![stage(Lifts, dec!(50)), stage(Completion, dec!(50))],
            "stages[0].lifts_percent",
            "LIFTS_PERCENT_MISSING",
        ),
        (
            "lifts do not rise",
            vec![lifts(dec!(50), dec!(60)), lifts(dec!(50), dec!(60))],
            "stages[1].lifts_percent",
            "LIFTS_PERCENT_NOT_RISING",
        ),
        (
            "more lifts than there are",
            vec![lifts(dec!(100), dec!(101))],
            "stages[0].lifts_percent",
            "LIFTS_PERCENT_OUT_OF_RANGE",
        ),
        (
            "a roof that waits for lifts",
            vec![StageTerm {
                milestone: Roofed,
                ..lifts(dec!(100), dec!(50))
            }],
            "stages[0].lifts_percent",
            "LIFTS_PERCENT_UNFIT",
        ),
        (
            "no lift at all",
            vec![lifts(dec!(100), dec!(0))],
            "stages[0].lifts_percent",
            "LIFTS_PERCENT_OUT_OF_RANGE",
        ),
    ];
    for (what, terms, field, reason) in table {
        assert_eq!(
            faults(&terms, NOTHING_HELD, 24),
            [(field.to_owned(), reason)],
            "{what}"
        );
    }
    let of_lifts = [lifts(dec!(100), dec!(50))];
    let expected = ("stages[0].lifts_percent".to_owned(), "JOB_HAS_NO_LIFTS");
    assert_eq!(faults(&of_lifts, NOTHING_HELD, 0), [expected]);
}

#[test]
fn a_retention_is_at_most_a_fifth_and_says_until_when() {
    let table = [
        (dec!(5), 0, "retention_months", "RETENTION_MONTHS_MISSING"),
        (
            dec!(5),
            61,
            "retention_months",
            "RETENTION_MONTHS_OUT_OF_RANGE",
        ),
        (dec!(20.1), 6, "retention_percent", "RETENTION_OUT_OF_RANGE"),
        (dec!(-1), 6, "retention_percent", "RETENTION_OUT_OF_RANGE"),
    ];
    for (of_each, months, field, reason) in table {
        let retention = Retention {
            share: percent(of_each),
            months,
        };
        assert_eq!(
            faults(&[], retention, 0),
            [(field.to_owned(), reason)],
            "{of_each} % for {months}"
        );
    }
}

#[test]
fn a_total_below_nothing_cannot_be_paid() {
    let refused = payments(money(dec!(-1)), &[], NOTHING_HELD, 0, Rounding::default());
    assert_eq!(refused.expect_err("refused")[0].reason, "TOTAL_BELOW_ZERO");
}
