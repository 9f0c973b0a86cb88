//! Prices that follow published indices, against what is published of such.

use hod_domain::escalation::{Escalation, Formula, IndexedPart};
use hod_units::{Currency, Decimal, Money, Rounding, canonical, round};
use rust_decimal::dec;

use crate::sample::percent;
use crate::shop::{blamed, parts};

fn euros(amount: Decimal) -> Money {
    Money::new(amount, Currency::parse("EUR").expect("a currency"))
}

fn part(label: &str, share: Decimal, base: Decimal, current: Decimal) -> IndexedPart {
    IndexedPart {
        label: label.to_owned(),
        share: percent(share),
        series: format!("{label}, all regions, not adjusted for season"),
        base,
        current,
    }
}

fn formula(fixed: Decimal, parts: Vec<IndexedPart>) -> Formula {
    Formula {
        fixed: percent(fixed),
        parts,
    }
}

fn escalated(formula: &Formula, price: Decimal) -> Escalation {
    formula
        .escalate(euros(price), Rounding::HalfAwayFromZero)
        .expect("nothing is wrong")
}

/// The whole of a price following one index.
fn by_index(base: Decimal, current: Decimal) -> Formula {
    formula(dec!(0), vec![part("all of it", dec!(100), base, current)])
}

#[test]
fn a_change_of_an_index_is_its_ratio_and_not_its_points() {
    // Consumer price index 113.8 to 118.5: 4.7 points, 4.1 %; the BLS leaflet of 1989, page 5, as
    // shown by lfpl.org. 129.9 to 136.0: 6.1 points, 4.7 %; finplan.com, inflation how-to. Anchorage 215.805 to 216.909:
    // 1.104 points, a ratio of 0.0051157, 0.5 %; the labour statistics of Alaska, cpi/pct.html.
    let table = [
        (dec!(113.8), dec!(118.5), dec!(4.1)),
        (dec!(129.9), dec!(136.0), dec!(4.7)),
        (dec!(215.805), dec!(216.909), dec!(0.5)),
    ];
    for (base, current, expected) in table {
        let escalation = escalated(&by_index(base, current), dec!(100000));
        let to_a_tenth = round(escalation.percent, 1, Rounding::HalfAwayFromZero);
        assert_eq!(to_a_tenth, expected, "{base} to {current}");
    }
    let anchorage = escalated(&by_index(dec!(215.805), dec!(216.909)), dec!(100000));
    let ratio = round(
        anchorage.factor - Decimal::ONE,
        7,
        Rounding::HalfAwayFromZero,
    );
    assert_eq!(ratio, dec!(0.0051157));
    // 100,000 x 216.909 / 215.805 = 100,511.5730...
    assert_eq!(anchorage.adjusted.to_string(), "100511.57 EUR");
}

#[test]
fn each_part_of_a_price_follows_its_own_index() {
    // Price adjustment factor = sum of share x (latest - base) / base, the rest not adjusted; the four parts are those
    // worked at reachback.builtintelligence.com, thread 15697 on X1: 0.10, 0.87, 0.05 and 1.59 %, by Python's decimal module
    // 0.1042, 0.8681, 0.0527 and 1.5915 %.
    let all = [
        (dec!(20), dec!(115.2), dec!(115.8), dec!(0.1042)),
        (dec!(15), dec!(105.4), dec!(111.5), dec!(0.8681)),
        (dec!(20), dec!(113.9), dec!(114.2), dec!(0.0527)),
        (dec!(15), dec!(113.1), dec!(125.1), dec!(1.5915)),
    ];
    for (share, base, current, expected) in all {
        let alone = formula(dec!(100) - share, vec![part("one", share, base, current)]);
        let percent = (escalated(&alone, dec!(1)).factor - Decimal::ONE) * dec!(100);
        assert_eq!(round(percent, 4, Rounding::HalfAwayFromZero), expected);
    }
    let together = formula(
        dec!(30),
        all.iter()
            .map(|(share, base, current, _)| part("one", *share, *base, *current))
            .collect(),
    );
    // 0.30 + 0.20 x 115.8 / 115.2 + 0.15 x 111.5 / 105.4 + 0.20 x 114.2 / 113.9 + 0.15 x 125.1 / 113.1
    //  = 0.3 + 0.2010416666667 + 0.1586812144212 + 0.2005267778753 + 0.1659151193634 = 1.0261647783266
    let escalation = escalated(&together, dec!(250000));
    assert_eq!(canonical(escalation.factor), "1.026164778327");
    assert_eq!(escalation.adjusted.to_string(), "256541.19 EUR");
    assert_eq!(escalation.difference.to_string(), "6541.19 EUR");
    assert_eq!(escalation.percent, dec!(2.62));
}

#[test]
fn the_basis_of_an_adjusted_price_can_be_worked_again() {
    let formula = formula(
        dec!(15),
        vec![
            part("labour", dec!(60), dec!(120), dec!(126)),
            part("fuel", dec!(25), dec!(80), dec!(100)),
        ],
    );
    // 10,000 x (0.15 + 0.60 x 1.05 + 0.25 x 1.25) = 10,925
    let escalation = escalated(&formula, dec!(10000));
    assert_eq!(escalation.adjusted.to_string(), "10925.00 EUR");
    assert_eq!(
        escalation.basis.work().map(canonical).as_deref(),
        Some("10925")
    );
    let labels: Vec<&str> = escalation
        .basis
        .terms
        .iter()
        .map(|term| &*term.label)
        .collect();
    assert_eq!(
        labels,
        [
            "price before adjustment",
            "fixed",
            "price before adjustment",
            "labour",
            "index now",
            "index on the base date",
            "price before adjustment",
            "fuel",
            "index now",
            "index on the base date",
        ]
    );
    assert_eq!(
        escalation.basis.terms[4].source,
        "labour, all regions, not adjusted for season"
    );
}

#[test]
fn an_adjusted_price_is_rounded_once_and_by_the_rule_in_force() {
    // Each comes to a price just half-way between two cents, though its ninths, sixths and sevenths have no end: the first
    // 31.55 x (0.25 x 14/9 + 0.25 x 16/9 + 0.5 x 12/9) = 31.55 x 1.5 = 47.325.
    let table = [
        (
            dec!(31.55),
            [25, 25, 50],
            9,
            [14, 16, 12],
            ["47.33", "47.32"],
        ),
        (
            dec!(30.79),
            [25, 25, 50],
            9,
            [12, 16, 13],
            ["46.19", "46.18"],
        ),
        (dec!(2.92), [25, 25, 50], 6, [8, 11, 10], ["4.75", "4.74"]),
        (
            dec!(56.79),
            [20, 30, 50],
            7,
            [12, 12, 9],
            ["85.19", "85.18"],
        ),
        (
            dec!(59.83),
            [20, 30, 50],
            7,
            [10, 10, 11],
            ["89.75", "89.74"],
        ),
    ];
    for (price, shares, base, current, expected) in table {
        let part =
            |(share, current): (i64, i64)| part("one", share.into(), base.into(), current.into());
        let parts = shares.into_iter().zip(current).map(part).collect();
        let formula = formula(dec!(0), parts);
        let rounded = [
            Rounding::HalfAwayFromZero,
            Rounding::HalfToEven,
            Rounding::Down,
        ]
        .map(|rounding| {
            let escalation = formula.escalate(euros(price), rounding);
            escalation.expect("nothing is wrong").adjusted.fixed()
        });
        let [away, down] = expected;
        assert_eq!(rounded, [away, down, down], "{price}");
    }
}

#[test]
fn a_price_of_nothing_stays_nothing() {
    let escalation = escalated(&by_index(dec!(100), dec!(150)), dec!(0));
    assert_eq!(escalation.adjusted.fixed(), "0.00");
    assert_eq!(
        (escalation.factor, escalation.percent),
        (dec!(1.5), dec!(0))
    );
}

#[test]
fn shares_come_to_exactly_the_whole() {
    let third = || part("one", dec!(33.3333), dec!(100), dec!(101));
    let refused = formula(dec!(0), vec![third(), third(), third()]);
    assert_eq!(
        refused.faults().iter().map(parts).collect::<Vec<_>>(),
        [[
            "",
            "parts",
            "SHARES_NOT_WHOLE",
            "the fixed share and the parts come to 99.9999 %; they must come to exactly 100 %",
        ]]
    );
    let held = formula(dec!(0.0001), vec![third(), third(), third()]);
    assert_eq!(held.faults(), []);
}

#[test]
fn all_that_is_wrong_with_a_formula_is_told_at_once() {
    assert_eq!(
        blamed(&formula(dec!(100), Vec::new()).faults()),
        ["parts NO_INDEXED_PART"]
    );
    let faults = formula(
        dec!(-10),
        vec![
            part("labour", dec!(60), dec!(0), dec!(126)),
            part("fuel", dec!(0), dec!(80), dec!(-1)),
        ],
    )
    .escalate(euros(dec!(1)), Rounding::Down)
    .expect_err("refused");
    assert_eq!(
        blamed(&faults),
        [
            "fixed_percent NEGATIVE",
            "parts[0].base_index NOT_POSITIVE",
            "parts[1].percent NOT_POSITIVE",
            "parts[1].current_index NOT_POSITIVE",
            "parts SHARES_NOT_WHOLE",
        ]
    );
    assert_eq!(
        parts(&faults[1])[3],
        "base_index of labour is 0; give more than 0"
    );
}
