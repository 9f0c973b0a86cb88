//! Loads: how many journeys an order takes by volume, mass and quantity, what they cost, and what cannot be counted.

use hod_domain::buying::{LoadLimit, Offer};
use hod_domain::material::{Material, PieceSize};
use hod_domain::price::{Delivery, Price, Terms};
use hod_domain::unit::Unit;
use hod_units::{Decimal, Mass};
use rust_decimal::dec;

use crate::sample::{density, metres, percent};
use crate::shop::*;

fn delivered(unit: Unit, delivery: Delivery) -> Price {
    let terms = Terms {
        delivery: Some(delivery),
        ..Terms::default()
    };
    with_terms(price("list", dec!(30), unit), terms)
}

fn by_volume(most: Decimal) -> Delivery {
    Delivery {
        load_volume: cubic_metres(most),
        ..Delivery::default()
    }
}

fn by_mass(most: Decimal) -> Delivery {
    Delivery {
        load_mass: tonnes(most),
        ..Delivery::default()
    }
}

/// Sand of 1,500 kg/m3 dry and loose, bulked by a quarter and holding 5 % of water.
fn sand(unit: Unit) -> Material {
    Material {
        density_loose: Some(density(dec!(1500))),
        bulking: percent(dec!(25)),
        moisture: percent(dec!(5)),
        ..goods(unit)
    }
}

/// A bale of 1.00 x 0.50 x 0.40 m and 20 kg.
fn bale() -> Material {
    Material {
        mass_per_unit: Some(Mass::from_kg(dec!(20))),
        size: Some(PieceSize {
            length: metres(dec!(1.00)),
            width: metres(dec!(0.50)),
            height: metres(dec!(0.40)),
        }),
        ..goods(Unit::Bale)
    }
}

fn loads(material: &Material, quantity: Decimal, delivery: Delivery) -> (u32, LoadLimit) {
    let price = delivered(material.purchase_unit, delivery);
    let (purchase, _) = bought(material, quantity, &price);
    let loads = purchase.loads.expect("it is delivered");
    (loads.count, loads.limit)
}

#[test]
fn loads_are_counted_by_what_the_material_fills_and_weighs_as_it_is_sold() {
    use LoadLimit::{Mass, Quantity, Volume};
    let table = [
        // 12.60 t damp are 12 t dry, 12 / 1.5 = 8 m3 dry, and a quarter more damp: 10 m3.
        (sand(Unit::T), dec!(12.60), by_volume(dec!(5)), (2, Volume)),
        (sand(Unit::T), dec!(12.61), by_volume(dec!(5)), (3, Volume)),
        (sand(Unit::Kg), dec!(12600), by_volume(dec!(5)), (2, Volume)),
        (sand(Unit::T), dec!(12.60), by_mass(dec!(4.2)), (3, Mass)),
        // The same backwards: 10 m3 damp weigh 12.6 t.
        (sand(Unit::M3), dec!(10), by_mass(dec!(4.2)), (3, Mass)),
        (sand(Unit::M3), dec!(10), by_volume(dec!(5)), (2, Volume)),
        (sand(Unit::L), dec!(10000), by_mass(dec!(4.2)), (3, Mass)),
        (sand(Unit::L), dec!(10000), by_volume(dec!(5)), (2, Volume)),
        // 0.2 m3 and 20 kg a bale: 101 are 20.2 m3 and 2.02 t.
        (bale(), dec!(101), by_volume(dec!(20)), (2, Volume)),
        (bale(), dec!(100), by_volume(dec!(20)), (1, Volume)),
        (bale(), dec!(101), by_mass(dec!(2)), (2, Mass)),
        (
            goods(Unit::M2),
            dec!(61),
            by_quantity(dec!(20), dec!(0)),
            (4, Quantity),
        ),
    ];
    for (material, quantity, delivery, expected) in table {
        let what = format!("{quantity} {} {delivery:?}", material.purchase_unit.word());
        assert_eq!(loads(&material, quantity, delivery), expected, "{what}");
    }
}

#[test]
fn a_piece_without_sizes_fills_what_its_mass_does_loose() {
    // A bag of 40 kg of lime at 500 kg/m3: 0.08 m3, and 30 of them 2.4 m3.
    let lime = Material {
        mass_per_unit: Some(Mass::from_kg(dec!(40))),
        density_loose: Some(density(dec!(500))),
        ..goods(Unit::Bag)
    };
    assert_eq!(
        loads(&lime, dec!(30), by_volume(dec!(2.4))),
        (1, LoadLimit::Volume)
    );
    assert_eq!(
        loads(&lime, dec!(31), by_volume(dec!(2.4))),
        (2, LoadLimit::Volume)
    );
}

#[test]
fn the_limit_that_takes_the_most_loads_decides() {
    // 12.60 t fill 10 m3.
    let delivery = |volume, mass, quantity| Delivery {
        load_volume: cubic_metres(volume),
        load_mass: tonnes(mass),
        load_quantity: Some(quantity),
        ..Delivery::default()
    };
    let table = [
        ([dec!(2), dec!(6), dec!(6)], (5, LoadLimit::Volume)),
        ([dec!(5), dec!(3), dec!(6)], (5, LoadLimit::Mass)),
        ([dec!(5), dec!(6), dec!(2)], (7, LoadLimit::Quantity)),
        // Two alike: the first of them.
        ([dec!(5), dec!(6.3), dec!(6.3)], (2, LoadLimit::Volume)),
    ];
    for ([volume, mass, quantity], expected) in table {
        let found = loads(
            &sand(Unit::T),
            dec!(12.60),
            delivery(volume, mass, quantity),
        );
        assert_eq!(found, expected, "{volume} m3, {mass} t, {quantity} t");
    }
}

#[test]
fn a_delivery_is_a_line_by_the_load_and_a_line_by_the_kilometre() {
    let delivery = Delivery {
        load_mass: tonnes(dec!(8)),
        per_load: dec!(45),
        per_km: dec!(1.255),
        distance_km: Some(dec!(17)),
        ..Delivery::default()
    };
    let (purchase, lines) = bought(&sand(Unit::T), dec!(20.5), &delivered(Unit::T, delivery));
    // 20.5 / 8 = 2.5625: 3 loads, 51 km; 51 x 1.255 = 64.005.
    assert_eq!(
        all_shown(&lines),
        [
            "goods | 20.5 t | 30 | 615.00",
            "delivery of goods | 3 load | 45 | 135.00",
            "haulage of goods | 51 km | 1.255 | 64.01",
        ]
    );
    assert_eq!(purchase.goods.to_string(), "615.00 EUR");
    assert_eq!(purchase.delivery.to_string(), "199.01 EUR");
    let loads = lines[1].basis.work().expect("small");
    assert_eq!(hod_units::canonical(loads), "2.5625");
    assert_eq!(lines[1].basis.rounding, "up to a whole load");
    assert_eq!(lines[2].basis.work(), Some(dec!(51)));
}

#[test]
fn a_delivery_without_a_charge_has_no_line_and_its_loads_are_told() {
    let (purchase, lines) = bought(
        &sand(Unit::T),
        dec!(20.5),
        &delivered(Unit::T, by_mass(dec!(8))),
    );
    assert_eq!(all_shown(&lines), ["goods | 20.5 t | 30 | 615.00"]);
    assert_eq!(purchase.loads.map(|loads| loads.count), Some(3));
    assert!(purchase.delivery.amount().is_zero());
    let next_door = Delivery {
        per_km: dec!(2),
        distance_km: Some(dec!(0)),
        ..by_mass(dec!(8))
    };
    let (_, lines) = bought(&sand(Unit::T), dec!(20.5), &delivered(Unit::T, next_door));
    assert_eq!(lines.len(), 1);
}

#[test]
fn a_job_may_say_its_own_distance() {
    let delivery = Delivery {
        per_km: dec!(2),
        distance_km: Some(dec!(10)),
        ..by_mass(dec!(8))
    };
    let price = delivered(Unit::T, delivery);
    let (coast, sand) = (coast(), sand(Unit::T));
    let offer = Offer::new(&coast, &price, &sand, Some(dec!(12.5))).expect("nothing is missing");
    let offers = hod_domain::buying::Offers {
        first: offer,
        rest: Vec::new(),
        passed_over: Vec::new(),
    };
    let mut lines = Vec::new();
    hod_domain::buying::buy(&order(&sand, dec!(8)), &sand, &offers, euros(), &mut lines)
        .expect("small");
    assert_eq!(
        all_shown(&lines)[1],
        "haulage of goods | 12.5 km | 2 | 25.00"
    );
    let said_by = &lines[1].basis.terms[1].source;
    assert_eq!(*said_by, "the job's sources");
}

#[test]
fn a_limit_that_cannot_be_worked_out_names_the_material_and_what_to_give() {
    let refused = |material: &Material, delivery: Delivery| {
        let price = delivered(material.purchase_unit, delivery);
        let faults =
            Offer::new(&coast(), &price, material, None).expect_err("it cannot be worked out");
        faults.iter().map(parts).collect::<Vec<_>>()
    };
    let bare = |unit| goods(unit);
    assert_eq!(
        refused(&bare(Unit::T), by_volume(dec!(5))),
        [[
            "materials/goods",
            "density_loose_kg_m3",
            "DENSITY_MISSING",
            "goods has no loose density, and regions/coast/prices/list limits the volume of a load; weigh a bucket of it dry \
             and give density_loose_kg_m3",
        ]]
    );
    assert_eq!(
        refused(&bare(Unit::Bag), by_mass(dec!(5))),
        [[
            "materials/goods",
            "mass_per_unit_kg",
            "MASS_PER_UNIT_MISSING",
            "goods has no mass, and regions/coast/prices/list limits the mass of a load; weigh some and give \
             mass_per_unit_kg",
        ]]
    );
    assert_eq!(
        refused(&bare(Unit::Bag), by_volume(dec!(5))),
        [[
            "materials/goods",
            "length_mm",
            "PIECE_HAS_NO_SIZE",
            "goods has neither sizes nor a mass, and regions/coast/prices/list limits the volume of a load; give length_mm, \
             width_mm and height_mm of one",
        ]]
    );
    assert_eq!(
        refused(&bare(Unit::M2), by_mass(dec!(5))),
        [[
            "materials/goods",
            "",
            "LOAD_UNKNOWN",
            "regions/coast/prices/list limits the mass of a load, and goods is ordered by the m2, of which no mass is known; \
             put in a price whose delivery gives load_quantity in m2",
        ]]
    );
}

#[test]
fn all_faults_of_a_delivery_are_told_at_once() {
    let delivery = Delivery {
        load_volume: cubic_metres(dec!(5)),
        load_mass: tonnes(dec!(5)),
        per_km: dec!(1),
        ..Delivery::default()
    };
    let price = delivered(Unit::Bag, delivery);
    let faults = Offer::new(&coast(), &price, &goods(Unit::Bag), None).expect_err("refused");
    assert_eq!(
        blamed(&faults),
        [
            "length_mm PIECE_HAS_NO_SIZE",
            "mass_per_unit_kg MASS_PER_UNIT_MISSING",
            "delivery.distance_km DISTANCE_MISSING",
        ]
    );
    assert_eq!(
        parts(&faults[2])[3],
        "regions/coast/prices/list charges for each kilometre and says no distance; give distance_km for goods in the job's \
         sources, or put in a price that has one"
    );
    // When the job says how far it is, the rest is told.
    let coast = coast();
    let faults = Offer::new(&coast, &price, &goods(Unit::Bag), Some(dec!(9)));
    assert_eq!(faults.expect_err("refused").len(), 2);
}
