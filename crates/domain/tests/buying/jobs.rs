//! One order list of several jobs: what is bought at one price is one order, and what that saves.

use hod_domain::buying::{Need, PurchasePlan, needs, plan};
use hod_domain::estimate::{Inputs, estimate};
use hod_domain::id::{JobId, RegionId};
use hod_domain::job::{Job, Source};
use hod_domain::material::Material;
use hod_domain::price::{BreakRule, Delivery, Price, Terms};
use hod_domain::unit::Unit;
use hod_units::{Decimal, Rounding};
use rust_decimal::dec;

use crate::sample::{inputs, material_id, metres, small_job};
use crate::shop::*;

fn job_id(id: &str) -> JobId {
    JobId::parse(id).expect("an id")
}

/// What a job needs alone at a price.
fn need(job: &str, material: &Material, quantity: Decimal, price: &Price) -> Need {
    let (alone, _) = bought(material, quantity, price);
    Need {
        job: job_id(job),
        alone,
        price: price.clone(),
        material: material.clone(),
        distance_km: None,
    }
}

/// An order as `ordered in packs, loads: goods + delivery; alone, saving`.
fn shown(plan: &PurchasePlan) -> Vec<String> {
    let shown = |shared: &hod_domain::buying::SharedPurchase| {
        let purchase = &shared.purchase;
        format!(
            "{} of {} in {} packs, {} loads: {} + {}; alone {}, saving {}",
            purchase.ordered,
            purchase.needed,
            purchase.pack_count,
            purchase.loads.map_or(0, |loads| loads.count),
            purchase.goods.fixed(),
            purchase.delivery.fixed(),
            shared.alone.fixed(),
            shared.saving.fixed(),
        )
    };
    plan.purchases.iter().map(shown).collect()
}

/// By packs of 25 kg at 0.40 a kg, from 1,000 kg at 0.35, in loads of 1.2 t at 60.
fn lime() -> Price {
    let terms = Terms {
        pack_size: Some(dec!(25)),
        breaks: breaks(BreakRule::AllUnits, &[(dec!(1000), dec!(0.35))]),
        delivery: Some(by_quantity(dec!(1200), dec!(60))),
        ..Terms::default()
    };
    with_terms(price("lime", dec!(0.40), Unit::Kg), terms)
}

#[test]
fn jobs_that_order_together_share_packs_breaks_and_loads() {
    let (material, price) = (goods(Unit::Kg), lime());
    let needs = [
        need("barn", &material, dec!(610), &price),
        need("shed", &material, dec!(410), &price),
    ];
    // Alone: 625 kg at 0.40 and a load, 250 + 60 = 310; 425 kg, 170 + 60 = 230. Together 1,020 kg: 41 packs, 1,025 kg at
    // 0.35 and one load, 358.75 + 60 = 418.75.
    let plan = plan(&needs, euros()).expect("nothing is wrong");
    assert_eq!(
        shown(&plan),
        ["1025 of 1020 in 41 packs, 1 loads: 358.75 + 60.00; alone 540.00, saving 121.25"]
    );
    let sums = [plan.alone, plan.together, plan.saving].map(|sum| sum.fixed());
    assert_eq!(sums, ["540.00", "418.75", "121.25"]);
    let shared = &plan.purchases[0];
    let parts: Vec<String> = shared
        .parts
        .iter()
        .map(|part| format!("{} {} {}", part.job, part.needed, part.alone.fixed()))
        .collect();
    assert_eq!(parts, ["barn 610 310.00", "shed 410 230.00"]);
    let basis = &shared.purchase.basis;
    assert_eq!(basis.work(), Some(dec!(1020)));
    assert_eq!(basis.rounding, "up to whole packs of 25 kg");
    assert_eq!(basis.terms[1].source, "jobs/shed");
}

#[test]
fn what_is_bought_at_different_prices_is_ordered_apart() {
    let (material, lime) = (goods(Unit::Kg), lime());
    let other = price("other", dec!(1), Unit::Kg);
    // The same id in another region is another price.
    let mut elsewhere = need("stable", &material, dec!(9), &other);
    elsewhere.alone.region = RegionId::parse("county").expect("an id");
    let needs = [
        need("barn", &material, dec!(100), &lime),
        need("shed", &material, dec!(7), &other),
        elsewhere,
        need("house", &material, dec!(100), &lime),
    ];
    let plan = plan(&needs, euros()).expect("nothing is wrong");
    assert_eq!(
        shown(&plan),
        [
            "200 of 200 in 8 packs, 1 loads: 80.00 + 60.00; alone 200.00, saving 60.00",
            "7 of 7 in 0 packs, 0 loads: 7.00 + 0.00; alone 7.00, saving 0.00",
            "9 of 9 in 0 packs, 0 loads: 9.00 + 0.00; alone 9.00, saving 0.00",
        ]
    );
}

#[test]
fn shared_loads_go_as_far_as_the_farthest_job_and_may_cost_more() {
    let delivery = Delivery {
        per_km: dec!(1),
        distance_km: Some(dec!(10)),
        ..by_quantity(dec!(10), dec!(0))
    };
    let terms = Terms {
        delivery: Some(delivery),
        ..Terms::default()
    };
    let (material, price) = (
        goods(Unit::T),
        with_terms(price("sand", dec!(20), Unit::T), terms),
    );
    let planned = |quantities: [Decimal; 2], own_distance| {
        let mut far = need("far", &material, quantities[0], &price);
        far.distance_km = own_distance;
        let needs = [far, need("near", &material, quantities[1], &price)];
        shown(&plan(&needs, euros()).expect("nothing is wrong"))
    };
    // Two loads alone, one together.
    assert_eq!(
        planned([dec!(4), dec!(5)], None),
        ["9 of 9 in 0 packs, 1 loads: 180.00 + 10.00; alone 200.00, saving 10.00"]
    );
    // The far job is 100 km away; what it pays alone is left here as it was, at 10 km.
    assert_eq!(
        planned([dec!(4), dec!(5)], Some(dec!(100))),
        ["9 of 9 in 0 packs, 1 loads: 180.00 + 100.00; alone 200.00, saving -80.00"]
    );
    // A nearer one makes the way no shorter.
    assert_eq!(
        planned([dec!(4), dec!(5)], Some(dec!(3))),
        ["9 of 9 in 0 packs, 1 loads: 180.00 + 10.00; alone 200.00, saving 10.00"]
    );
}

#[test]
fn jobs_in_two_currencies_have_no_order_list_together() {
    let (material, price) = (goods(Unit::Kg), lime());
    let needs = [need("barn", &material, dec!(100), &price)];
    let faults = plan(&needs, charged("ZAR", Rounding::default())).expect_err("refused");
    assert_eq!(
        faults.iter().map(parts).collect::<Vec<_>>(),
        [[
            "jobs/barn",
            "",
            "CURRENCIES_DIFFER",
            "jobs/barn pays in EUR and the order list is in ZAR; plan the purchases of one currency at a time",
        ]]
    );
}

#[test]
fn no_job_needs_nothing() {
    let plan = plan(&[], euros()).expect("nothing is wrong");
    assert_eq!((plan.purchases.len(), plan.alone.amount()), (0, dec!(0)));
}

#[test]
fn what_priced_jobs_need_is_taken_from_their_estimates() {
    let mut inputs: Inputs = inputs();
    inputs.lists[0].prices[0].terms.delivery = Some(by_quantity(dec!(10), dec!(40)));
    let small = small_job();
    let mut long = small_job();
    long.walls[0].path = hod_domain::geometry::Path::Straight {
        length: metres(dec!(5.00)),
    };
    let of = |name: &str, job: &Job| {
        let estimate = estimate(job, &inputs).expect("nothing is missing");
        needs(&job_id(name), job, &inputs, &estimate.purchases).expect("made from these inputs")
    };
    let mut all = of("small", &small);
    all.extend(of("long", &long));
    let plan = plan(&all, euros()).expect("nothing is wrong");
    let bought: Vec<String> = plan
        .purchases
        .iter()
        .map(|shared| format!("{} for {}", shared.purchase.material, shared.parts.len()))
        .collect();
    assert_eq!(bought, ["sand for 2", "straw for 2"]);
    // Both loads of sand go on one lorry; straw is fetched.
    assert_eq!(plan.saving.fixed(), "40.00");
}

#[test]
fn purchases_of_other_prices_are_refused() {
    let job = Job {
        sources: vec![Source {
            material: material_id("sand"),
            supplier: None,
            distance_km: Some(dec!(4)),
        }],
        ..small_job()
    };
    let mut inputs = inputs();
    let estimate = estimate(&job, &inputs).expect("nothing is missing");
    let kept = needs(&job_id("small"), &job, &inputs, &estimate.purchases);
    assert_eq!(kept.map(|needs| needs[0].distance_km), Ok(Some(dec!(4))));
    inputs.lists[0].prices.clear();
    let faults = needs(&job_id("small"), &job, &inputs, &estimate.purchases);
    let faults = faults.expect_err("sand-26 is gone");
    assert_eq!(
        faults.iter().map(parts).collect::<Vec<_>>(),
        [[
            "regions/coast/prices/sand-26",
            "",
            "PRICE_UNKNOWN",
            "jobs/small buys 3.58 of sand at regions/coast/prices/sand-26, which is not among the prices that it is said to \
             be priced with; price the job again",
        ]]
    );
}
