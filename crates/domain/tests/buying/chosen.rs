//! Who is bought from: the whole order, delivery within, is held against the others.

use hod_domain::price::{BreakRule, Price, Terms};
use hod_domain::unit::Unit;
use hod_units::Decimal;
use rust_decimal::dec;

use crate::shop::*;

/// Sold by somebody at so much a tonne, with so much for each load of 10 t.
fn sold_by(supplier: &str, unit_price: Decimal, per_load: Decimal) -> Price {
    let terms = Terms {
        delivery: Some(by_quantity(dec!(10), per_load)),
        lead_days: 3,
        ..Terms::default()
    };
    Price {
        supplier: supplier.to_owned(),
        ..with_terms(price(supplier, unit_price, Unit::T), terms)
    }
}

fn others(purchase: &hod_domain::buying::Purchase) -> Vec<String> {
    let other_offers = purchase.other_offers.iter();
    other_offers
        .map(|other| format!("{} {}", other.supplier, other.amount.fixed()))
        .collect()
}

#[test]
fn the_one_answers_whose_goods_and_delivery_cost_least_for_this_order() {
    let prices = [
        sold_by("quarry", dec!(20), dec!(90)),
        sold_by("yard", dec!(24), dec!(40)),
        sold_by("merchant", dec!(31), dec!(0)),
    ];
    // 2 t: 40 + 90, 48 + 40, 62. 9 t: 180 + 90, 216 + 40, 279. 20 t: 400 + 180, 480 + 80, 620.
    let table = [
        (dec!(2), "merchant", ["yard 88.00", "quarry 130.00"]),
        (dec!(9), "yard", ["quarry 270.00", "merchant 279.00"]),
        (dec!(20), "yard", ["quarry 580.00", "merchant 620.00"]),
    ];
    for (quantity, expected, passed) in table {
        let (purchase, lines) = bought_of(&goods(Unit::T), quantity, &prices, &[], euros());
        assert_eq!(purchase.supplier, expected, "{quantity}");
        assert_eq!(others(&purchase), passed, "{quantity}");
        let source = format!("regions/coast/prices/{expected}, 2026-03-01");
        assert!(lines.iter().all(|line| *line.price_source == *source));
        assert_eq!(purchase.lead_days, 3);
    }
}

#[test]
fn a_tie_goes_to_the_price_whose_id_comes_first() {
    let alike = ["c", "a", "b"].map(|supplier| sold_by(supplier, dec!(20), dec!(0)));
    let (purchase, _) = bought_of(&goods(Unit::T), dec!(5), &alike, &[], euros());
    assert_eq!(purchase.supplier, "a");
    assert_eq!(others(&purchase), ["b 100.00", "c 100.00"]);
}

#[test]
fn a_supplier_that_the_job_does_not_name_is_shown_and_not_taken() {
    let (purchase, _) = bought_of(
        &goods(Unit::T),
        dec!(5),
        &[sold_by("yard", dec!(24), dec!(40))],
        &[sold_by("merchant", dec!(31), dec!(0))],
        euros(),
    );
    // 120 + 40 and 155
    assert_eq!(purchase.supplier, "yard");
    assert_eq!(others(&purchase), ["merchant 155.00"]);
}

#[test]
fn each_supplier_is_asked_for_the_order_as_that_one_sells_it() {
    // 7 t: the one sells 10 t at least, 10 x 12 = 120, the other 7 x 18 = 126.
    let bulk = with_terms(
        price("bulk", dec!(12), Unit::T),
        Terms {
            minimum_order: Some(dec!(10)),
            ..Terms::default()
        },
    );
    let retail = price("retail", dec!(18), Unit::T);
    let prices = [retail, bulk];
    let (purchase, _) = bought_of(&goods(Unit::T), dec!(7), &prices, &[], euros());
    assert_eq!(purchase.price.as_str(), "bulk");
    assert_eq!((purchase.needed, purchase.ordered), (dec!(7), dec!(10)));
    // 6 t: 120 and 108.
    let (purchase, _) = bought_of(&goods(Unit::T), dec!(6), &prices, &[], euros());
    assert_eq!(purchase.price.as_str(), "retail");
}

#[test]
fn a_hint_is_of_the_supplier_that_answers() {
    let with_break = with_terms(
        price("breaks", dec!(20), Unit::T),
        Terms {
            breaks: breaks(BreakRule::AllUnits, &[(dec!(10), dec!(15))]),
            ..Terms::default()
        },
    );
    let prices = [with_break, price("plain", dec!(17), Unit::T)];
    // 9 t: 180 and 153, which answers, though 10 t at the other would be 150.
    let (purchase, _) = bought_of(&goods(Unit::T), dec!(9), &prices, &[], euros());
    assert_eq!(purchase.price.as_str(), "plain");
    assert_eq!(purchase.hint, None);
}
