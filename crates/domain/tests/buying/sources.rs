//! Which price answers within an estimate: the nearest region that sells, of the supplier that the job names.

use hod_domain::estimate::{Estimate, Inputs, LineKind, estimate};
use hod_domain::fault::Fault;
use hod_domain::job::{Job, Source};
use hod_domain::price::{BreakRule, Delivery, Price, Terms};
use hod_domain::unit::Unit;
use hod_units::{Decimal, Rounding};
use rust_decimal::dec;

use crate::sample::{self, date, inputs, material_id, small_job};
use crate::shop::{all_shown, breaks, by_quantity, parts, shown, tonnes};

fn sand(id: &str, supplier: &str, unit_price: Decimal) -> Price {
    Price {
        supplier: supplier.to_owned(),
        ..sample::price(id, "sand", unit_price, Unit::T, "2026-03-01", None)
    }
}

/// The sample's inputs with these prices of sand in the region itself, and others in its parent.
fn sold(near: Vec<Price>, far: Vec<Price>) -> Inputs {
    let mut inputs = inputs();
    inputs.lists[0].prices = near;
    inputs.lists[1]
        .prices
        .retain(|price| price.material != material_id("sand"));
    inputs.lists[1].prices.extend(far);
    inputs
}

fn from(supplier: Option<&str>, distance_km: Option<Decimal>) -> Job {
    Job {
        sources: vec![Source {
            material: material_id("sand"),
            supplier: supplier.map(str::to_owned),
            distance_km,
        }],
        ..small_job()
    }
}

/// Of whom sand is bought, and who was passed over.
fn answered(job: &Job, inputs: &Inputs) -> (String, Vec<String>) {
    let estimate = estimate(job, inputs).expect("nothing is missing");
    let purchase = &estimate.purchases[0];
    let others = purchase.other_offers.iter();
    (
        format!("{}/{}", purchase.region, purchase.price),
        others.map(|other| other.price.to_string()).collect(),
    )
}

fn faults(job: &Job, inputs: &Inputs) -> Vec<[String; 4]> {
    let faults: Vec<Fault> = estimate(job, inputs).expect_err("refused");
    faults.iter().map(parts).collect()
}

#[test]
fn the_nearest_region_answers_with_the_supplier_that_costs_least_there() {
    let inputs = sold(
        vec![sand("yard", "Yard", dec!(34)), sand("pit", "Pit", dec!(31))],
        // Cheaper, and farther up.
        vec![sand("county-pit", "County pit", dec!(20))],
    );
    assert_eq!(
        answered(&small_job(), &inputs),
        ("coast/pit".to_owned(), vec!["yard".to_owned()])
    );
}

#[test]
fn a_job_that_names_a_supplier_is_answered_by_the_nearest_region_where_that_one_sells() {
    let inputs = sold(
        vec![sand("yard", "Yard", dec!(34)), sand("pit", "Pit", dec!(31))],
        vec![
            sand("county-pit", "County pit", dec!(20)),
            sand("county-yard", "Yard", dec!(19)),
        ],
    );
    assert_eq!(
        answered(&from(Some("Yard"), None), &inputs),
        ("coast/yard".to_owned(), vec!["pit".to_owned()])
    );
    assert_eq!(
        answered(&from(Some("County pit"), None), &inputs),
        (
            "county/county-pit".to_owned(),
            vec!["county-yard".to_owned()]
        )
    );
}

#[test]
fn a_supplier_without_a_price_in_force_is_told() {
    let mut inputs = sold(vec![sand("yard", "Yard", dec!(34))], Vec::new());
    let expected = [[
        "materials/sand",
        "",
        "NO_PRICE_IN_FORCE",
        "no price for sand of Pit, from whom the job buys it, is in force on 2026-05-04 in regions/coast or its parents \
         regions/county; put in a price for one t from that day or before, or take the supplier out of the job's sources",
    ]];
    assert_eq!(faults(&from(Some("Pit"), None), &inputs), expected);
    // In the same round when the job is not measured.
    let mut undrawn = from(Some("Pit"), None);
    undrawn.walls.clear();
    undrawn.works.clear();
    let told = faults(&undrawn, &inputs);
    assert!(told.iter().any(|fault| *fault == expected[0]), "{told:?}");
    // A price that has ended is none.
    inputs.lists[0].prices.push(Price {
        supplier: "Pit".to_owned(),
        ..sample::price(
            "pit-25",
            "sand",
            dec!(30),
            Unit::T,
            "2025-01-01",
            Some("2026-05-04"),
        )
    });
    assert_eq!(faults(&from(Some("Pit"), None), &inputs), expected);
    inputs.on = date("2026-05-03");
    assert_eq!(
        answered(&from(Some("Pit"), None), &inputs).0,
        "coast/pit-25"
    );
}

/// 28 t in one load of 30 t, charged by the kilometre.
fn hauled(id: &str, supplier: &str, unit_price: Decimal, distance_km: Option<Decimal>) -> Price {
    let delivery = Delivery {
        load_mass: tonnes(dec!(30)),
        per_km: dec!(2),
        distance_km,
        ..Delivery::default()
    };
    Price {
        terms: Terms {
            delivery: Some(delivery),
            ..Terms::default()
        },
        ..sand(id, supplier, unit_price)
    }
}

#[test]
fn a_charge_by_the_kilometre_needs_a_distance_of_the_price_or_of_the_job() {
    let inputs = sold(vec![hauled("pit", "Pit", dec!(30), None)], Vec::new());
    assert_eq!(
        faults(&small_job(), &inputs),
        [[
            "regions/coast/prices/pit",
            "delivery.distance_km",
            "DISTANCE_MISSING",
            "regions/coast/prices/pit charges for each kilometre and says no distance; give distance_km for sand in the job's \
             sources, or put in a price that has one",
        ]]
    );
    let job = from(None, Some(dec!(15)));
    let estimate = estimate(&job, &inputs).expect("the job says it");
    assert_eq!(estimate.purchases[0].delivery.fixed(), "30.00");
}

#[test]
fn the_distance_that_a_job_says_is_that_of_the_supplier_that_it_names() {
    let inputs = sold(
        vec![
            hauled("pit", "Pit", dec!(30), Some(dec!(10))),
            hauled("yard", "Yard", dec!(31), Some(dec!(10))),
            // How far this one is nobody says: it is passed over without a word.
            hauled("quarry", "Quarry", dec!(29), None),
        ],
        Vec::new(),
    );
    let amounts = |job: &Job| {
        let estimate = estimate(job, &inputs).expect("nothing is missing");
        let purchase = estimate.purchases[0].clone();
        let others = purchase.other_offers.iter();
        (
            purchase.delivery.fixed(),
            others
                .map(|other| format!("{} {}", other.price, other.amount.fixed()))
                .collect::<Vec<_>>(),
        )
    };
    // 3.58 t: 107.40 + 2 x 40 of the pit; 110.98 + 2 x 10 of the yard.
    assert_eq!(
        amounts(&from(Some("Pit"), Some(dec!(40)))),
        ("80.00".to_owned(), vec!["yard 130.98".to_owned()])
    );
    // Named by none it is that of all: 40 km each.
    assert_eq!(
        amounts(&from(None, Some(dec!(40)))),
        (
            "80.00".to_owned(),
            vec!["pit 187.40".to_owned(), "yard 190.98".to_owned()]
        )
    );
}

#[test]
fn every_offer_that_cannot_be_reckoned_with_is_told_at_once() {
    let mut by_the_kilogram = sand("yard", "Yard", dec!(0.04));
    by_the_kilogram.unit = Unit::Kg;
    let inputs = sold(
        vec![
            sand("shop", "Shop", dec!(50)),
            by_the_kilogram,
            hauled("pit", "Pit", dec!(30), None),
        ],
        Vec::new(),
    );
    let told: Vec<[String; 2]> = faults(&small_job(), &inputs)
        .into_iter()
        .map(|[subject, _, rule, _]| [subject, rule])
        .collect();
    assert_eq!(
        told,
        [
            ["regions/coast/prices/yard", "PRICE_UNIT_DIFFERS"],
            ["regions/coast/prices/pit", "DISTANCE_MISSING"],
        ]
    );
    // Of the one that the job names nothing is wrong.
    assert_eq!(
        answered(&from(Some("Shop"), None), &inputs),
        ("coast/shop".to_owned(), Vec::new())
    );
}

fn material_lines(estimate: &Estimate) -> Vec<String> {
    let of_material = |line: &&hod_domain::estimate::Line| line.kind == LineKind::Material;
    estimate
        .lines
        .iter()
        .filter(of_material)
        .map(shown)
        .collect()
}

#[test]
fn an_order_of_an_estimate_may_come_to_several_lines_and_all_are_material() {
    let mut pit = sand("pit", "Pit", dec!(32.50));
    pit.terms = Terms {
        breaks: breaks(BreakRule::Incremental, &[(dec!(3), dec!(30))]),
        delivery: Some(Delivery {
            per_km: dec!(1.10),
            distance_km: Some(dec!(12)),
            ..by_quantity(dec!(2), dec!(25))
        }),
        minimum_order: Some(dec!(4)),
        lead_days: 5,
        ..Terms::default()
    };
    let inputs = sold(vec![pit], Vec::new());
    let estimate = estimate(&small_job(), &inputs).expect("nothing is missing");
    // 3.58 t are needed and 4 t sold, in two loads of 12 km.
    assert_eq!(
        material_lines(&estimate),
        [
            "soil | 2.84 m3 | 0 | 0.00",
            "sand | 3 t | 32.5 | 97.50",
            "sand, from 3 t | 1 t | 30 | 30.00",
            "delivery of sand | 2 load | 25 | 50.00",
            "haulage of sand | 24 km | 1.1 | 26.40",
            "straw | 5 bale | 4.8 | 24.00",
            "water | 870 l | 0 | 0.00",
        ]
    );
    assert_eq!(estimate.totals.material.fixed(), "227.90");
    let bought: Vec<String> = estimate
        .purchases
        .iter()
        .map(|purchase| format!("{} {}", purchase.material, purchase.ordered))
        .collect();
    assert_eq!(bought, ["sand 4", "straw 5"], "nothing from the site");
    let sand = &estimate.purchases[0];
    assert_eq!((sand.needed, sand.lead_days), (dec!(3.58), 5));
    assert_eq!(sand.goods.fixed(), "127.50");
    assert_eq!(sand.delivery.fixed(), "76.40");
}

#[test]
fn a_price_without_terms_makes_the_line_that_it_always_made() {
    let estimate = estimate(&small_job(), &inputs()).expect("nothing is missing");
    let of_sand: Vec<_> = estimate
        .lines
        .iter()
        .filter(|line| line.item.contains("sand"))
        .cloned()
        .collect();
    assert_eq!(all_shown(&of_sand), ["sand | 3.58 t | 32.5 | 116.35"]);
    assert_eq!(of_sand[0].basis, estimate.takeoff.orders[1].basis);
}

#[test]
fn amounts_follow_the_rounding_that_the_job_says() {
    // 3.58 x 32.50 = 116.35; 3.58 x 32.49 = 116.3142; 3.58 x 32.505 = 116.3679.
    let inputs = sold(vec![sand("pit", "", dec!(32.505))], Vec::new());
    let goods = |rounding| {
        let job = Job {
            rounding,
            ..small_job()
        };
        let estimate = estimate(&job, &inputs).expect("nothing is missing");
        estimate.purchases[0].goods.fixed()
    };
    assert_eq!(goods(None), "116.37");
    assert_eq!(goods(Some(Rounding::Down)), "116.36");
}

#[test]
fn a_labour_rate_tells_its_make_up_in_short() {
    use hod_domain::price::{Burden, BurdenAmount, PaidYear};
    use hod_units::{Hours, Share};
    let mut inputs = inputs();
    let lead = &mut inputs.lists[0].labour_rates[0];
    lead.burdens = vec![
        Burden {
            label: "holiday pay".to_owned(),
            amount: BurdenAmount::OfWage(Share::from_percent(dec!(10))),
        },
        Burden {
            label: "tools".to_owned(),
            amount: BurdenAmount::PerHour(dec!(0.40)),
        },
    ];
    lead.year = Some(PaidYear {
        paid: Hours::from_hours(dec!(2080)),
        productive: Hours::from_hours(dec!(1664)),
    });
    let estimate = estimate(&small_job(), &inputs).expect("nothing is missing");
    let line = estimate
        .lines
        .iter()
        .find(|line| &*line.item == "dig, lead");
    let line = line.expect("leads dig");
    // (20 + 5 + 2 + 0.40) x 2080 / 1664
    assert_eq!(line.unit_price, Some(dec!(34.25)));
    assert_eq!(
        line.price_source,
        "regions/coast/labourRates/lead-26, 2026-01-01: wage 20 and 25 % on top, holiday pay 10 %, tools 0.4, 1664 of 2080 \
         paid hours productive"
    );
}
