//! What must hold across the fields of a price and of a labour rate: rule, field and sentence of each, all at once.

use hod_domain::price::{
    BreakRule, Breaks, Burden, BurdenAmount, Delivery, LabourRate, PaidYear, Price, Terms,
};
use hod_domain::unit::Unit;
use hod_units::{Decimal, Hours, Share};
use rust_decimal::dec;

use crate::sample::{labour_rate, percent};
use crate::shop::*;

fn with(terms: Terms) -> Price {
    with_terms(price("list", dec!(5), Unit::T), terms)
}

fn rate(change: impl FnOnce(&mut LabourRate)) -> LabourRate {
    let mut rate = labour_rate("lead-26", "lead", dec!(20), dec!(25), "2026-01-01");
    change(&mut rate);
    rate
}

fn year(paid: Decimal, productive: Decimal) -> Option<PaidYear> {
    Some(PaidYear {
        paid: Hours::from_hours(paid),
        productive: Hours::from_hours(productive),
    })
}

#[test]
fn a_price_with_all_that_it_can_have_holds() {
    let price = with(Terms {
        pack_size: Some(dec!(0.5)),
        minimum_order: Some(dec!(2)),
        // What is above a break may cost more.
        breaks: breaks(
            BreakRule::Incremental,
            &[(dec!(10), dec!(4)), (dec!(20), dec!(6))],
        ),
        delivery: Some(Delivery {
            load_mass: tonnes(dec!(8)),
            per_load: dec!(30),
            // A job may say how far it is.
            per_km: dec!(1.2),
            ..Delivery::default()
        }),
        lead_days: 4,
        note: "by the lorry".to_owned(),
    });
    assert_eq!(price.faults(), []);
}

#[test]
fn packs_and_minimum_orders_are_above_nothing() {
    let price = with(Terms {
        pack_size: Some(dec!(0)),
        minimum_order: Some(dec!(-1)),
        ..Terms::default()
    });
    assert_eq!(
        price.faults().iter().map(parts).collect::<Vec<_>>(),
        [
            [
                "",
                "pack_size",
                "NOT_POSITIVE",
                "pack_size is 0; give more than 0, or leave it out"
            ],
            [
                "",
                "minimum_order",
                "NOT_POSITIVE",
                "minimum_order is -1; give more than 0, or leave it out"
            ],
        ]
    );
}

#[test]
fn breaks_rise() {
    let faults = |steps: &[(Decimal, Decimal)]| {
        let breaks = breaks(BreakRule::AllUnits, steps);
        with(Terms {
            breaks,
            ..Terms::default()
        })
        .faults()
    };
    assert_eq!(
        faults(&[(dec!(10), dec!(4)), (dec!(10), dec!(3))])
            .iter()
            .map(parts)
            .collect::<Vec<_>>(),
        [[
            "",
            "breaks[1].from_quantity",
            "BREAKS_NOT_RISING",
            "a break from 10 follows one from 10; give each a higher quantity than the one before",
        ]]
    );
    let many = [
        (dec!(0), dec!(4)),
        (dec!(20), dec!(-3)),
        (dec!(5), dec!(2)),
        (dec!(12), dec!(2)),
    ];
    assert_eq!(
        blamed(&faults(&many)),
        [
            "breaks[0].from_quantity NOT_POSITIVE",
            "breaks[1].unit_price NEGATIVE",
            "breaks[2].from_quantity BREAKS_NOT_RISING",
            "breaks[3].from_quantity BREAKS_NOT_RISING",
        ]
    );
}

#[test]
fn a_rule_for_breaks_needs_breaks() {
    let breaks = Some(Breaks {
        rule: BreakRule::AllUnits,
        steps: Vec::new(),
    });
    let price = with(Terms {
        breaks,
        ..Terms::default()
    });
    assert_eq!(blamed(&price.faults()), ["breaks BREAKS_MISSING"]);
}

#[test]
fn a_delivery_says_how_much_a_load_takes() {
    let faults = |delivery| {
        let delivery = Some(delivery);
        with(Terms {
            delivery,
            ..Terms::default()
        })
        .faults()
    };
    let free = faults(Delivery {
        per_load: dec!(40),
        ..Delivery::default()
    });
    assert_eq!(
        free.iter().map(parts).collect::<Vec<_>>(),
        [[
            "",
            "delivery",
            "DELIVERY_WITHOUT_LIMIT",
            "nothing says how much a load takes, so that loads cannot be counted; give load_m3, load_t or load_quantity",
        ]]
    );
    let wrong = faults(Delivery {
        load_volume: cubic_metres(dec!(0)),
        load_mass: tonnes(dec!(-8)),
        load_quantity: Some(dec!(0)),
        per_load: dec!(-1),
        per_km: dec!(-1),
        distance_km: Some(dec!(-1)),
    });
    assert_eq!(
        blamed(&wrong),
        [
            "delivery.load_m3 NOT_POSITIVE",
            "delivery.load_t NOT_POSITIVE",
            "delivery.load_quantity NOT_POSITIVE",
            "delivery.charge_per_load NEGATIVE",
            "delivery.charge_per_km NEGATIVE",
            "delivery.distance_km NEGATIVE",
        ]
    );
}

#[test]
fn a_price_is_never_below_nothing() {
    let price = price("list", dec!(-0.01), Unit::T);
    assert_eq!(blamed(&price.faults()), ["unit_price NEGATIVE"]);
}

#[test]
fn no_more_hours_are_productive_than_paid() {
    assert_eq!(rate(|_| {}).faults(), []);
    assert_eq!(
        rate(|rate| rate.year = year(dec!(2080), dec!(2080))).faults(),
        []
    );
    let faults = rate(|rate| rate.year = year(dec!(1600), dec!(1664))).faults();
    assert_eq!(
        faults.iter().map(parts).collect::<Vec<_>>(),
        [[
            "",
            "productive_hours",
            "PRODUCTIVE_ABOVE_PAID",
            "1664 h are productive of 1600 h paid; no more can be worked than is paid: give the hours left when leave, \
             sickness, weather and the yard are taken off",
        ]]
    );
    let nothing = rate(|rate| rate.year = year(dec!(0), dec!(0)));
    assert_eq!(
        blamed(&nothing.faults()),
        ["paid_hours NOT_POSITIVE", "productive_hours NOT_POSITIVE"]
    );
}

#[test]
fn nothing_of_a_rate_is_below_nothing() {
    let on_top = |amount| Burden {
        label: "tools".to_owned(),
        amount,
    };
    let rate = rate(|rate| {
        rate.wage = dec!(-1);
        rate.burden = percent(dec!(-1));
        rate.burdens = vec![
            on_top(BurdenAmount::PerHour(dec!(-0.5))),
            on_top(BurdenAmount::OfWage(Share::from_percent(dec!(-2)))),
        ];
    });
    assert_eq!(
        blamed(&rate.faults()),
        [
            "wage_per_hour NEGATIVE",
            "burden_percent NEGATIVE",
            "burdens[0].amount_per_hour NEGATIVE",
            "burdens[1].percent NEGATIVE",
        ]
    );
}
