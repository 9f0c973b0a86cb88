//! What an hour costs the firm, and how that came about.

use hod_domain::price::{Burden, BurdenAmount, LabourRate, PaidYear};
use hod_units::{Currency, Decimal, Hours, Rounding, canonical};
use rust_decimal::dec;

use crate::sample::{labour_rate, percent};

fn euro() -> Currency {
    Currency::parse("EUR").expect("a currency")
}

fn of_wage(label: &str, share: Decimal) -> Burden {
    Burden {
        label: label.to_owned(),
        amount: BurdenAmount::OfWage(percent(share)),
    }
}

fn per_hour(label: &str, amount: Decimal) -> Burden {
    Burden {
        label: label.to_owned(),
        amount: BurdenAmount::PerHour(amount),
    }
}

fn rate(
    wage: Decimal,
    burden: Decimal,
    burdens: Vec<Burden>,
    year: Option<(Decimal, Decimal)>,
) -> LabourRate {
    let year = year.map(|(paid, productive)| PaidYear {
        paid: Hours::from_hours(paid),
        productive: Hours::from_hours(productive),
    });
    LabourRate {
        burdens,
        year,
        ..labour_rate("lead-26", "lead", wage, burden, "2026-01-01")
    }
}

#[test]
fn a_loaded_rate_is_wage_and_burdens_times_paid_over_productive_rounded_once() {
    let year = Some((dec!(2080), dec!(1664)));
    let table = [
        (rate(dec!(20), dec!(25), Vec::new(), None), "25.00"),
        (rate(dec!(0), dec!(0), Vec::new(), None), "0.00"),
        // Each is of the wage alone: 20 + 5 + 2 + 0.40 = 27.40.
        (
            rate(
                dec!(20),
                dec!(25),
                vec![
                    of_wage("holiday pay", dec!(10)),
                    per_hour("tools", dec!(0.40)),
                ],
                None,
            ),
            "27.40",
        ),
        // In another order the same.
        (
            rate(
                dec!(20),
                dec!(25),
                vec![
                    per_hour("tools", dec!(0.40)),
                    of_wage("holiday pay", dec!(10)),
                ],
                None,
            ),
            "27.40",
        ),
        // 20 x 2080 / 1664 = 25, and 27.40 x 1.25 = 34.25.
        (rate(dec!(20), dec!(0), Vec::new(), year), "25.00"),
        (
            rate(
                dec!(20),
                dec!(25),
                vec![
                    of_wage("holiday pay", dec!(10)),
                    per_hour("tools", dec!(0.40)),
                ],
                year,
            ),
            "34.25",
        ),
        // 17.355 x 1.5 = 26.0325; in two steps 17.36 x 1.5 would be 26.04.
        (
            rate(dec!(17.355), dec!(0), Vec::new(), Some((dec!(3), dec!(2)))),
            "26.03",
        ),
    ];
    for (rate, expected) in table {
        let loaded = rate.loaded(euro(), Rounding::HalfAwayFromZero);
        assert_eq!(loaded.expect("small").fixed(), expected, "{rate:?}");
    }
}

#[test]
fn the_basis_of_a_loaded_rate_says_all_that_it_is_made_of_from_left_to_right() {
    let burdens = vec![
        of_wage("holiday pay", dec!(8)),
        per_hour("tools", dec!(0.60)),
    ];
    let rate = rate(
        dec!(17.35),
        dec!(22.5),
        burdens,
        Some((dec!(2080), dec!(1664))),
    );
    let basis = rate.loaded_basis().expect("small");
    let shown: Vec<String> = basis
        .terms
        .iter()
        .map(|term| format!("{:?} {} {}", term.joint, canonical(term.value), term.label))
        .collect();
    assert_eq!(
        shown,
        [
            "Start 17.35 wage of an hour",
            "PlusPercent 22.5 on top of the wage",
            "Plus 1.388 holiday pay, 8 % of the wage",
            "Plus 0.6 tools",
            "Times 2080 hours paid",
            "Over 1664 hours productive",
        ]
    );
    // (17.35 x 1.225 + 1.388 + 0.60) x 1.25
    assert_eq!(basis.work().map(canonical).as_deref(), Some("29.0521875"));
}

#[test]
fn without_a_productive_hour_there_is_no_rate() {
    let rate = rate(dec!(20), dec!(0), Vec::new(), Some((dec!(2080), dec!(0))));
    assert_eq!(rate.loaded(euro(), Rounding::HalfAwayFromZero), None);
}
