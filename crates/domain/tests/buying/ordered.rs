//! What is really ordered: whole packs, the least that is sold, and what is left over.

use hod_domain::price::{Price, Terms};
use hod_domain::unit::Unit;
use hod_units::Decimal;
use rust_decimal::dec;

use crate::shop::*;

fn sold(unit: Unit, pack_size: Option<Decimal>, minimum_order: Option<Decimal>) -> Price {
    let terms = Terms {
        pack_size,
        minimum_order,
        ..Terms::default()
    };
    with_terms(price("list", dec!(2), unit), terms)
}

#[test]
fn an_order_goes_up_to_the_least_that_is_sold_and_to_whole_packs() {
    let table = [
        // As it is needed.
        (Unit::Kg, None, None, dec!(130), dec!(130), 0, ""),
        // 130 / 25 = 5.2 packs
        (
            Unit::Kg,
            Some(dec!(25)),
            None,
            dec!(130),
            dec!(150),
            6,
            "up to whole packs of 25 kg",
        ),
        (
            Unit::Kg,
            Some(dec!(25)),
            None,
            dec!(125),
            dec!(125),
            5,
            "up to whole packs of 25 kg",
        ),
        (
            Unit::Kg,
            None,
            Some(dec!(500)),
            dec!(130),
            dec!(500),
            0,
            "to the minimum order of 500 kg",
        ),
        (Unit::Kg, None, Some(dec!(500)), dec!(501), dec!(501), 0, ""),
        // 500 / 40 = 12.5 packs
        (
            Unit::Kg,
            Some(dec!(40)),
            Some(dec!(500)),
            dec!(130),
            dec!(520),
            13,
            "to the minimum order of 500 kg, then up to whole packs of 40 kg",
        ),
        (
            Unit::T,
            Some(dec!(0.8)),
            None,
            dec!(2.41),
            dec!(3.2),
            4,
            "up to whole packs of 0.8 t",
        ),
        // A third of a tonne, as far as six places go: four of them are needed for 1 t.
        (
            Unit::T,
            Some(dec!(0.333333)),
            None,
            dec!(1),
            dec!(1.333332),
            4,
            "up to whole packs of 0.333333 t",
        ),
    ];
    for (unit, pack, least, needed, ordered, packs, words) in table {
        let (purchase, lines) = bought(&goods(unit), needed, &sold(unit, pack, least));
        assert_eq!(purchase.needed, needed);
        assert_eq!(
            (purchase.ordered, purchase.pack_count),
            (ordered, packs),
            "{needed} in {pack:?}, {least:?} at least"
        );
        assert_eq!(purchase.basis.rounding, words);
        assert_eq!(purchase.basis.work(), Some(needed));
        assert_eq!((lines[0].quantity, lines.len()), (ordered, 1));
    }
}

#[test]
fn a_line_says_how_its_quantity_came_from_the_drawing_and_was_brought_to_packs() {
    let lime = goods(Unit::Kg);
    let (_, lines) = bought(&lime, dec!(130), &sold(Unit::Kg, Some(dec!(25)), None));
    assert_eq!(
        lines[0].basis.rounding,
        "up to a whole kg, then up to whole packs of 25 kg"
    );
    assert_eq!(lines[0].basis.work(), Some(dec!(130)));
    let (_, lines) = bought(&lime, dec!(130), &sold(Unit::Kg, None, None));
    assert_eq!(lines[0].basis.rounding, "up to a whole kg");
}

#[test]
fn a_minimum_order_is_one_that_can_be_ordered() {
    // Sand by the half tonne, 1.2 t at least: 1.5 t.
    let mut sand = goods(Unit::T);
    sand.order_step = Some(dec!(0.5));
    let (purchase, _) = bought(&sand, dec!(1), &sold(Unit::T, None, Some(dec!(1.2))));
    assert_eq!(purchase.ordered, dec!(1.5));
}

#[test]
fn of_what_is_not_needed_nothing_is_ordered() {
    let mut price = sold(Unit::Kg, Some(dec!(25)), Some(dec!(500)));
    price.terms.delivery = Some(by_quantity(dec!(100), dec!(40)));
    let (purchase, lines) = bought(&goods(Unit::Kg), dec!(0), &price);
    assert_eq!((purchase.ordered, purchase.pack_count), (dec!(0), 0));
    assert_eq!(
        (purchase.loads, purchase.delivery.amount()),
        (None, dec!(0))
    );
    assert_eq!(all_shown(&lines), ["goods | 0 kg | 2 | 0.00"]);
}
