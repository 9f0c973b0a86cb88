//! Prices that change by rule, and what a change is called.

use hod_domain::price::{Adjustment, BreakRule, Price, PriceChange, Terms, adjust};
use hod_domain::unit::Unit;
use hod_units::{Decimal, Rounding};
use rust_decimal::dec;

use crate::sample;
use crate::shop::*;

fn adjusted(unit_price: Decimal, by: &Adjustment, places: u32, rounding: Rounding) -> Decimal {
    let price = price("list", unit_price, Unit::T);
    adjust(&price, by, places, rounding)
        .expect("small")
        .unit_price
}

fn index(base: Decimal, current: Decimal) -> Adjustment {
    Adjustment::Index {
        series: "building sand, invented".to_owned(),
        base,
        current,
    }
}

#[test]
fn a_price_changes_by_its_percentage_or_index_and_is_rounded_once() {
    use Rounding::{Down, HalfAwayFromZero, HalfToEven};
    let percent = Adjustment::Percent;
    let table = [
        (
            dec!(32.50),
            percent(dec!(4)),
            2,
            HalfAwayFromZero,
            dec!(33.80),
        ),
        (
            dec!(32.50),
            percent(dec!(-10)),
            2,
            HalfAwayFromZero,
            dec!(29.25),
        ),
        (
            dec!(32.50),
            percent(dec!(0)),
            2,
            HalfAwayFromZero,
            dec!(32.50),
        ),
        // 32.50 x 1.035 = 33.6375
        (
            dec!(32.50),
            percent(dec!(3.5)),
            3,
            HalfAwayFromZero,
            dec!(33.638),
        ),
        (dec!(32.50), percent(dec!(3.5)), 3, HalfToEven, dec!(33.638)),
        (dec!(32.50), percent(dec!(3.5)), 3, Down, dec!(33.637)),
        (
            dec!(32.50),
            percent(dec!(3.5)),
            0,
            HalfAwayFromZero,
            dec!(34),
        ),
        // 0.085 x 120 / 100 = 0.102
        (
            dec!(0.085),
            index(dec!(100), dec!(120)),
            6,
            HalfAwayFromZero,
            dec!(0.102),
        ),
        // 10 x 118.5 / 113.8 = 10.413005...
        (
            dec!(10),
            index(dec!(113.8), dec!(118.5)),
            2,
            HalfAwayFromZero,
            dec!(10.41),
        ),
        // 2.50 x 99 / 100 = 2.475
        (
            dec!(2.50),
            index(dec!(100), dec!(99)),
            2,
            HalfAwayFromZero,
            dec!(2.48),
        ),
        (
            dec!(2.50),
            index(dec!(100), dec!(99)),
            2,
            HalfToEven,
            dec!(2.48),
        ),
        (dec!(2.50), index(dec!(100), dec!(99)), 2, Down, dec!(2.47)),
    ];
    for (before, by, places, rounding, expected) in table {
        let after = adjusted(before, &by, places, rounding);
        assert_eq!(after, expected, "{before} {by:?} {places} {rounding:?}");
    }
}

#[test]
fn breaks_change_with_the_price_and_everything_else_stays() {
    let terms = Terms {
        pack_size: Some(dec!(25)),
        breaks: breaks(
            BreakRule::AllUnits,
            &[(dec!(10), dec!(28)), (dec!(20), dec!(27))],
        ),
        delivery: Some(by_quantity(dec!(8), dec!(45))),
        ..Terms::default()
    };
    let before = with_terms(price("list", dec!(30), Unit::T), terms.clone());
    let after = adjust(
        &before,
        &Adjustment::Percent(dec!(10)),
        2,
        Rounding::default(),
    )
    .expect("small");
    let expected = Terms {
        breaks: breaks(
            BreakRule::AllUnits,
            &[(dec!(10), dec!(30.8)), (dec!(20), dec!(29.7))],
        ),
        ..terms
    };
    assert_eq!(
        after,
        with_terms(price("list", dec!(33), Unit::T), expected)
    );
}

#[test]
fn a_rule_that_leaves_nothing_or_starts_from_nothing_is_refused() {
    let faults = |by: Adjustment| blamed(&by.faults());
    for percent in [dec!(-99.99), dec!(0), dec!(1000)] {
        assert_eq!(faults(Adjustment::Percent(percent)), [""; 0]);
    }
    for percent in [dec!(-100), dec!(1000.01)] {
        assert_eq!(
            faults(Adjustment::Percent(percent)),
            ["percent PERCENT_OUT_OF_RANGE"]
        );
    }
    assert_eq!(faults(index(dec!(100), dec!(101))), [""; 0]);
    assert_eq!(
        faults(index(dec!(0), dec!(-1))),
        [
            "index.base_index NOT_POSITIVE",
            "index.current_index NOT_POSITIVE"
        ]
    );
}

#[test]
fn a_change_is_called_what_it_is() {
    let before = price("list", dec!(30), Unit::T);
    let changed = |change: fn(&mut Price)| {
        let mut after = before.clone();
        change(&mut after);
        PriceChange::between(Some(&before), Some(&after))
    };
    assert_eq!(PriceChange::between(None, Some(&before)), PriceChange::New);
    assert_eq!(
        PriceChange::between(Some(&before), None),
        PriceChange::Closed
    );
    assert_eq!(PriceChange::between(None, None), PriceChange::Same);
    assert_eq!(changed(|_| {}), PriceChange::Same);
    assert_eq!(
        changed(|price| price.id =
            sample::price("other", "goods", dec!(1), Unit::T, "2026-01-01", None).id),
        PriceChange::Same,
        "an id is a name"
    );
    assert_eq!(
        changed(|price| price.unit_price = dec!(30.00)),
        PriceChange::Same,
        "written otherwise"
    );
    assert_eq!(
        changed(|price| price.unit_price = dec!(30.000001)),
        PriceChange::Raised
    );
    assert_eq!(
        changed(|price| price.unit_price = dec!(29.999999)),
        PriceChange::Lowered
    );
    let altered: [fn(&mut Price); 6] = [
        |price| price.source = "a call".to_owned(),
        |price| price.terms.lead_days = 3,
        |price| price.terms.pack_size = Some(dec!(25)),
        |price| price.terms.delivery = Some(by_quantity(dec!(8), dec!(45))),
        |price| {
            price.in_force =
                sample::price("list", "goods", dec!(30), Unit::T, "2026-06-01", None).in_force;
        },
        // For one tonne and for one kilogram cannot be held against each other.
        |price| {
            price.unit = Unit::Kg;
            price.unit_price = dec!(0.03);
        },
    ];
    for change in altered {
        assert_eq!(changed(change), PriceChange::Altered);
    }
}
