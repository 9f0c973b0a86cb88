//! Quantity breaks: what each rule makes of a price list, and the larger order that costs less.

use hod_domain::price::{BreakRule, Price, Terms};
use hod_domain::unit::Unit;
use hod_units::{Decimal, Rounding};
use rust_decimal::dec;

use crate::shop::*;

/// 0 to 999 at 5.00, 1,000 to 1,999 at 4.80, 2,000 and more at 4.75: the price list of a textbook problem on quantity
/// discounts, quesba.com, question 48672.
fn textbook(rule: BreakRule) -> Price {
    let breaks = breaks(rule, &[(dec!(1000), dec!(4.80)), (dec!(2000), dec!(4.75))]);
    let terms = Terms {
        breaks,
        ..Terms::default()
    };
    with_terms(price("list", dec!(5.00), Unit::Each), terms)
}

#[test]
fn of_all_units_the_whole_is_at_the_price_of_the_break_that_it_reaches() {
    let (purchase, lines) = bought(
        &goods(Unit::Each),
        dec!(1500),
        &textbook(BreakRule::AllUnits),
    );
    // 1,500 x 4.80
    assert_eq!(all_shown(&lines), ["goods | 1500 each | 4.8 | 7200.00"]);
    assert_eq!(purchase.goods.to_string(), "7200.00 EUR");
    assert_eq!(
        lines[0].price_source,
        "regions/coast/prices/list, 2026-03-01, from 1000 each"
    );
}

#[test]
fn incrementally_each_part_is_at_the_price_of_its_own_break() {
    let (purchase, lines) = bought(
        &goods(Unit::Each),
        dec!(1500),
        &textbook(BreakRule::Incremental),
    );
    // The thousandth is the first at 4.80: 999 x 5.00 + 501 x 4.80.
    assert_eq!(
        all_shown(&lines),
        [
            "goods | 999 each | 5 | 4995.00",
            "goods, from 1000 each | 501 each | 4.8 | 2404.80",
        ]
    );
    assert_eq!(purchase.goods.to_string(), "7399.80 EUR");
    for line in &lines {
        assert_eq!(line.basis.work(), Some(line.quantity), "{}", line.item);
    }
}

#[test]
fn a_larger_order_that_costs_less_is_pointed_out_and_not_taken() {
    let (purchase, lines) = bought(
        &goods(Unit::Each),
        dec!(999),
        &textbook(BreakRule::AllUnits),
    );
    assert_eq!(all_shown(&lines), ["goods | 999 each | 5 | 4995.00"]);
    assert_eq!(purchase.ordered, dec!(999));
    let hint = purchase.hint.expect("1,000 cost 4,800");
    assert_eq!(hint.quantity, dec!(1000));
    assert_eq!(hint.amount.to_string(), "4800.00 EUR");
    assert_eq!(hint.saving.to_string(), "195.00 EUR");
}

#[test]
fn there_is_a_hint_exactly_where_a_break_costs_less() {
    let hinted = |quantity: Decimal, rule| {
        let (purchase, _) = bought(&goods(Unit::Each), quantity, &textbook(rule));
        purchase
            .hint
            .map(|hint| (hint.quantity, hint.saving.amount()))
    };
    // At 5.00 as many as 960 cost the 4,800 of a thousand: no less. From 1,980 on at 4.80 the 2,000 at 4.75, which are
    // 9,500, cost less: 1,980 x 4.80 = 9,504; 1,979 x 4.80 = 9,499.20.
    let table = [
        (dec!(960), None),
        (dec!(961), Some((dec!(1000), dec!(5)))),
        (dec!(1000), None),
        (dec!(1979), None),
        (dec!(1980), Some((dec!(2000), dec!(4)))),
        (dec!(2000), None),
    ];
    for (quantity, expected) in table {
        assert_eq!(
            hinted(quantity, BreakRule::AllUnits),
            expected,
            "{quantity}"
        );
        assert_eq!(hinted(quantity, BreakRule::Incremental), None, "{quantity}");
    }
}

#[test]
fn a_hint_counts_the_delivery_of_the_larger_order() {
    // 9 t at 30 are 270 and one load; 10 t at 26 are 260, and a second load of 40 makes them dearer.
    let of_loads = |most| {
        let terms = Terms {
            breaks: breaks(BreakRule::AllUnits, &[(dec!(10), dec!(26))]),
            delivery: Some(by_quantity(most, dec!(40))),
            ..Terms::default()
        };
        with_terms(price("list", dec!(30), Unit::T), terms)
    };
    let (purchase, _) = bought(&goods(Unit::T), dec!(9), &of_loads(dec!(9.5)));
    assert_eq!(purchase.hint, None);
    let (purchase, _) = bought(&goods(Unit::T), dec!(9), &of_loads(dec!(10)));
    let hint = purchase.hint.expect("one load takes both");
    assert_eq!(hint.amount.to_string(), "300.00 EUR");
    assert_eq!(hint.saving.to_string(), "10.00 EUR");
}

#[test]
fn a_hint_is_of_whole_packs() {
    // 24 packs of 4 reach the break at 95 with 96.
    let terms = Terms {
        pack_size: Some(dec!(4)),
        breaks: breaks(BreakRule::AllUnits, &[(dec!(95), dec!(2))]),
        ..Terms::default()
    };
    let price = with_terms(price("list", dec!(3), Unit::Bag), terms);
    let (purchase, _) = bought(&goods(Unit::Bag), dec!(90), &price);
    assert_eq!((purchase.ordered, purchase.pack_count), (dec!(92), 23));
    let hint = purchase.hint.expect("92 x 3 = 276 and 96 x 2 = 192");
    assert_eq!(
        (hint.quantity, hint.saving.amount()),
        (dec!(96), dec!(84.00))
    );
}

#[test]
fn of_several_larger_orders_the_cheapest_is_named() {
    // 90 x 5 = 450; 100 x 4 = 400; 110 x 3 = 330; 200 x 2 = 400.
    let steps = [
        (dec!(100), dec!(4)),
        (dec!(110), dec!(3)),
        (dec!(200), dec!(2)),
    ];
    let terms = Terms {
        breaks: breaks(BreakRule::AllUnits, &steps),
        ..Terms::default()
    };
    let price = with_terms(price("list", dec!(5), Unit::Bag), terms);
    let (purchase, _) = bought(&goods(Unit::Bag), dec!(90), &price);
    assert_eq!(purchase.hint.map(|hint| hint.quantity), Some(dec!(110)));
}

#[test]
fn what_is_measured_out_reaches_a_break_at_the_quantity_itself() {
    let terms = Terms {
        breaks: breaks(
            BreakRule::Incremental,
            &[(dec!(10), dec!(28)), (dec!(20), dec!(27.5))],
        ),
        ..Terms::default()
    };
    let price = with_terms(price("list", dec!(30), Unit::T), terms);
    let sand = goods(Unit::T);
    let (_, lines) = bought(&sand, dec!(22.5), &price);
    assert_eq!(
        all_shown(&lines),
        [
            "goods | 10 t | 30 | 300.00",
            "goods, from 10 t | 10 t | 28 | 280.00",
            "goods, from 20 t | 2.5 t | 27.5 | 68.75",
        ]
    );
    // At a break nothing stands above it yet.
    let (_, lines) = bought(&sand, dec!(10), &price);
    assert_eq!(all_shown(&lines), ["goods | 10 t | 30 | 300.00"]);
}

#[test]
fn an_order_below_every_break_has_one_line_under_its_own_name() {
    for rule in [BreakRule::AllUnits, BreakRule::Incremental] {
        let (_, lines) = bought(&goods(Unit::Each), dec!(7), &textbook(rule));
        assert_eq!(all_shown(&lines), ["goods | 7 each | 5 | 35.00"]);
        assert_eq!(
            lines[0].price_source,
            "regions/coast/prices/list, 2026-03-01"
        );
        assert_eq!(lines[0].basis.work(), Some(dec!(7)));
    }
}

#[test]
fn a_break_that_the_first_one_reaches_leaves_nothing_below_it() {
    let terms = Terms {
        breaks: breaks(BreakRule::Incremental, &[(dec!(1), dec!(4))]),
        ..Terms::default()
    };
    let price = with_terms(price("list", dec!(5), Unit::Each), terms);
    let (_, lines) = bought(&goods(Unit::Each), dec!(3), &price);
    assert_eq!(all_shown(&lines), ["goods | 3 each | 4 | 12.00"]);
}

#[test]
fn every_tier_is_rounded_by_the_rule_and_the_currency_in_force() {
    // 99 x 0.305 = 30.195 and 51 x 0.295 = 15.045.
    let terms = Terms {
        breaks: breaks(BreakRule::Incremental, &[(dec!(100), dec!(0.295))]),
        ..Terms::default()
    };
    let price = with_terms(price("list", dec!(0.305), Unit::Each), terms);
    let table = [
        (
            "EUR",
            Rounding::HalfAwayFromZero,
            ["30.20", "15.05"],
            "45.25",
        ),
        ("EUR", Rounding::HalfToEven, ["30.20", "15.04"], "45.24"),
        ("EUR", Rounding::Down, ["30.19", "15.04"], "45.23"),
        ("JPY", Rounding::HalfAwayFromZero, ["30", "15"], "45"),
        (
            "KWD",
            Rounding::HalfAwayFromZero,
            ["30.195", "15.045"],
            "45.240",
        ),
    ];
    for (currency, rounding, amounts, sum) in table {
        let (purchase, lines) = bought_of(
            &goods(Unit::Each),
            dec!(150),
            std::slice::from_ref(&price),
            &[],
            charged(currency, rounding),
        );
        let found: Vec<String> = lines.iter().map(|line| line.amount.fixed()).collect();
        assert_eq!(found, amounts, "{currency} {rounding:?}");
        assert_eq!(purchase.goods.fixed(), sum, "{currency} {rounding:?}");
    }
}
