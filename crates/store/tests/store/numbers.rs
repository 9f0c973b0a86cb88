//! A number that does not fit is refused, and never rounded.

use hod_domain::region::Profit;
use hod_domain::unit::Unit;
use hod_store::{crew, estimate, labour_rate, material, mix, price, region, site};
use hod_units::{Length, Rounding};

use crate::examples::*;
use crate::faults::{busy, fault, refused};

#[tokio::test]
async fn a_number_finer_than_its_column_is_refused_and_never_rounded() {
    let ground = busy().await;
    let mut fine = site("new");
    fine.haul_distance =
        Length::from_metres(number("0.000000000001").checked_div(10.into()).unwrap());
    let fault = fault!(ground, |s| site::insert(s, &fine));
    assert_eq!(refused(&fault), "number_fits_its_column");
    assert_eq!(
        fault.to_string(),
        "haul_distance_m is 0.0000000000001, with 13 decimals; at most 12 are kept"
    );
    let mut new = new_price("p-2", "2026-06-01");
    new.unit_price = number("1.2345678");
    let fault = fault!(ground, |s| price::insert(
        s,
        &region_id("coast"),
        &new,
        None
    ));
    assert_eq!(
        fault.to_string(),
        "unit_price is 1.2345678, with 7 decimals; at most 6 are kept"
    );
    let mut new = new_rate("r-2", "2026-06-01");
    new.wage = number("20.00001");
    let fault = fault!(ground, |s| labour_rate::insert(
        s,
        &region_id("coast"),
        &new,
        None
    ));
    assert_eq!(
        fault.to_string(),
        "wage_per_hour is 20.00001, with 5 decimals; at most 4 are kept"
    );
    let mut new = new_estimate("e");
    new.total = number("0.00005");
    let fault = fault!(ground, |s| estimate::insert(s, &new));
    assert_eq!(
        fault.to_string(),
        "total is 0.00005, with 5 decimals; at most 4 are kept"
    );
    // Trailing zeros are no decimals.
    let mut new = new_rate("r-3", "2026-06-01");
    new.wage = number("20.000000");
    labour_rate::insert(&mut ground.session().await, &region_id("coast"), &new, None)
        .await
        .unwrap();
}

#[tokio::test]
async fn every_number_of_a_thing_that_does_not_fit_is_named_at_once() {
    let ground = busy().await;
    let third = number("1").checked_div(3.into()).unwrap();
    let mut recipe = mix("new");
    recipe.buckets_per_part = third;
    recipe.ingredients[1].parts = hod_units::Decimal::MAX;
    let fault = fault!(ground, |s| mix::insert(s, &recipe));
    assert_eq!(refused(&fault), "number_fits_its_column");
    assert_eq!(
        fault.to_string(),
        "buckets_per_part is 0.3333333333333333333333333333, with 28 decimals; at most 12 are kept; \
         parts of clay-soil is 79228162514264337593543950335; at most 15 digits before the point are kept"
    );
}

#[tokio::test]
async fn a_number_out_of_range_is_refused_by_the_rule_that_names_the_range() {
    let ground = busy().await;
    let mut far = site("new");
    far.haul_distance = Length::from_metres(number("999999999999999.999999999999"));
    let fault = fault!(ground, |s| site::insert(s, &far));
    assert_eq!(refused(&fault), "site_haul_distance_in_range");
    assert_eq!(fault.to_string(), "A haul distance is 0 to 2000 m.");
    let mut greedy = region("new");
    greedy.build_up.profit = Profit::MarginOnPrice(percent("100"));
    assert_eq!(
        refused(&fault!(ground, |s| region::insert(s, &greedy))),
        "region_margin_below_whole"
    );
    let mut down = region("new");
    down.rounding = Rounding::Down;
    assert_eq!(
        refused(&fault!(ground, |s| region::insert(s, &down))),
        "region_rounding_known"
    );
    let mut by_time = material("new");
    by_time.purchase_unit = Unit::H;
    assert_eq!(
        refused(&fault!(ground, |s| material::insert(s, &by_time))),
        "material_purchase_unit_known"
    );
    let mut twice = mix("new");
    twice.ingredients[1].material = twice.ingredients[0].material.clone();
    assert_eq!(
        refused(&fault!(ground, |s| mix::insert(s, &twice))),
        "mix_ingredient_material_once"
    );
    let mut long = mix("house-cob");
    long.ingredients = vec![long.ingredients[0].clone(); 9];
    let rule = refused(&fault!(ground, |s| mix::update(s, &long, None)));
    assert!(
        ["mix_ingredient_material_once", "mix_ingredient_at_most_8"].contains(&rule),
        "{rule}"
    );
    let mut double = crew("new");
    double.make_up[1] = double.make_up[0].clone();
    assert_eq!(
        refused(&fault!(ground, |s| crew::insert(s, &double))),
        "crew_grade_once"
    );
}
