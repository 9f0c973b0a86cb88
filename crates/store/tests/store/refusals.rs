//! What is refused, as the caller hears it: the particular fault, the name of the thing, the sentence of the rule.

use std::time::Duration;

use hod_domain::region::Profit;
use hod_domain::unit::Unit;
use hod_store::labour_rate::LabourRateFilter;
use hod_store::price::PriceFilter;
use hod_store::{
    StoreFault, Thing, crew, estimate, job, labour_constant, labour_rate, material, mix, price,
    region, site, soil_test,
};
use hod_units::{Currency, Length, Rounding};

use crate::examples::*;

fn not_found(fault: &StoreFault) -> Vec<&str> {
    match fault {
        StoreFault::NotFound(things) => things.iter().map(|thing| thing.name.as_str()).collect(),
        other => panic!("{other:?}"),
    }
}

fn taken(fault: &StoreFault) -> &str {
    match fault {
        StoreFault::Taken(thing) => &thing.name,
        other => panic!("{other:?}"),
    }
}

fn stale(fault: &StoreFault) -> &str {
    match fault {
        StoreFault::Stale(thing) => &thing.name,
        other => panic!("{other:?}"),
    }
}

fn refused(fault: &StoreFault) -> &'static str {
    match fault {
        StoreFault::Refused { rule, message } => {
            assert_eq!(fault.to_string(), *message);
            rule
        }
        other => panic!("{other:?}"),
    }
}

/// Each is tried in a session of its own, for a refused statement ends its transaction.
macro_rules! fault {
    ($ground:expr, |$session:ident| $act:expr) => {{
        let mut opened = $ground.session().await;
        let $session = &mut opened;
        $act.await.unwrap_err()
    }};
}

/// A furnished firm with a job, a soil test, a price and a rate.
async fn busy() -> Ground {
    let ground = Ground::new().await;
    let mut session = ground.furnished().await;
    job::insert(&mut session, &job("round-hut")).await.unwrap();
    soil_test::insert(&mut session, &site_id("long-acre"), &soil_test("jar-1"))
        .await
        .unwrap();
    price::insert(
        &mut session,
        &region_id("coast"),
        &new_price("p-1", "2026-05-01"),
    )
    .await
    .unwrap();
    labour_rate::insert(
        &mut session,
        &region_id("coast"),
        &new_rate("r-1", "2026-05-01"),
    )
    .await
    .unwrap();
    session.commit().await.unwrap();
    ground
}

#[tokio::test]
async fn a_name_in_use_is_taken() {
    let ground = busy().await;
    let mut session = ground.session().await;
    estimate::insert(&mut session, &new_estimate("e-1"))
        .await
        .unwrap();
    session.commit().await.unwrap();
    let coast = region_id("coast");
    let fault = fault!(ground, |s| region::insert(s, &region("coast")));
    assert_eq!(taken(&fault), "regions/coast");
    assert_eq!(fault.to_string(), "region regions/coast exists already");
    let fault = fault!(ground, |s| material::insert(s, &material("straw")));
    assert_eq!(taken(&fault), "materials/straw");
    let fault = fault!(ground, |s| site::insert(s, &site("long-acre")));
    assert_eq!(taken(&fault), "sites/long-acre");
    let fault = fault!(ground, |s| soil_test::insert(
        s,
        &site_id("long-acre"),
        &soil_test("jar-1")
    ));
    assert_eq!(taken(&fault), "sites/long-acre/soilTests/jar-1");
    let fault = fault!(ground, |s| mix::insert(s, &mix("house-cob")));
    assert_eq!(taken(&fault), "mixes/house-cob");
    let fault = fault!(ground, |s| crew::insert(s, &crew("practised")));
    assert_eq!(taken(&fault), "crews/practised");
    let fault = fault!(ground, |s| labour_constant::insert(
        s,
        &labour_constant("place-cob")
    ));
    assert_eq!(taken(&fault), "labourConstants/place-cob");
    let fault = fault!(ground, |s| job::insert(s, &job("round-hut")));
    assert_eq!(taken(&fault), "jobs/round-hut");
    let fault = fault!(ground, |s| estimate::insert(s, &new_estimate("e-1")));
    assert_eq!(taken(&fault), "jobs/round-hut/estimates/e-1");
    let fault = fault!(ground, |s| price::insert(
        s,
        &coast,
        &new_price("p-1", "2027-01-01")
    ));
    assert_eq!(taken(&fault), "regions/coast/prices/p-1");
    let fault = fault!(ground, |s| labour_rate::insert(
        s,
        &coast,
        &new_rate("r-1", "2027-01-01")
    ));
    assert_eq!(taken(&fault), "regions/coast/labourRates/r-1");
}

#[tokio::test]
async fn a_price_that_another_replaced_keeps_its_name() {
    let ground = busy().await;
    let mut session = ground.session().await;
    price::insert(
        &mut session,
        &region_id("coast"),
        &new_price("p-2", "2026-05-01"),
    )
    .await
    .unwrap();
    let fault = price::insert(
        &mut session,
        &region_id("coast"),
        &new_price("p-1", "2028-01-01"),
    )
    .await
    .unwrap_err();
    assert_eq!(taken(&fault), "regions/coast/prices/p-1");
}

#[tokio::test]
async fn what_is_not_there_is_named() {
    let ground = busy().await;
    let coast = region_id("coast");
    let mut astray = site("new");
    astray.region = region_id("nowhere");
    assert_eq!(
        not_found(&fault!(ground, |s| site::insert(s, &astray))),
        ["regions/nowhere"]
    );
    let mut orphan = region("new");
    orphan.parent = Some(region_id("nowhere"));
    assert_eq!(
        not_found(&fault!(ground, |s| region::insert(s, &orphan))),
        ["regions/nowhere"]
    );
    let mut homeless = job("new");
    homeless.site = Some(site_id("nowhere"));
    assert_eq!(
        not_found(&fault!(ground, |s| job::insert(s, &homeless))),
        ["sites/nowhere"]
    );
    assert_eq!(
        not_found(&fault!(ground, |s| soil_test::insert(
            s,
            &site_id("no"),
            &soil_test("t")
        ))),
        ["sites/no"]
    );
    assert_eq!(
        not_found(&fault!(ground, |s| soil_test::list(
            s,
            &site_id("no"),
            None,
            9
        ))),
        ["sites/no"]
    );
    let mut unknown = new_price("p-2", "2026-05-01");
    unknown.material = material_id("nothing");
    assert_eq!(
        not_found(&fault!(ground, |s| price::insert(s, &coast, &unknown))),
        ["materials/nothing"]
    );
    let nowhere = region_id("nowhere");
    let fault = fault!(ground, |s| price::insert(
        s,
        &nowhere,
        &new_price("p-2", "2026-05-01")
    ));
    assert_eq!(not_found(&fault), ["regions/nowhere"]);
    let fault = fault!(ground, |s| price::list(
        s,
        &nowhere,
        &PriceFilter::default(),
        None,
        9
    ));
    assert_eq!(not_found(&fault), ["regions/nowhere"]);
    let fault = fault!(ground, |s| labour_rate::list(
        s,
        &nowhere,
        &LabourRateFilter::default(),
        None,
        9
    ));
    assert_eq!(not_found(&fault), ["regions/nowhere"]);
    let fault = fault!(ground, |s| region::list_versions(
        s,
        &[nowhere.clone(), coast.clone(), region_id("no")]
    ));
    assert_eq!(not_found(&fault), ["regions/nowhere", "regions/no"]);
    let mut of_nothing = new_estimate("e");
    of_nothing.job = job_id("nothing");
    assert_eq!(
        not_found(&fault!(ground, |s| estimate::insert(s, &of_nothing))),
        ["jobs/nothing"]
    );
    assert_eq!(
        not_found(&fault!(ground, |s| estimate::list(
            s,
            &job_id("nothing"),
            None,
            9
        ))),
        ["jobs/nothing"]
    );
    let mut of_nowhere = new_estimate("e");
    of_nowhere.region = nowhere.clone();
    assert_eq!(
        not_found(&fault!(ground, |s| estimate::insert(s, &of_nowhere))),
        ["regions/nowhere"]
    );
    assert_eq!(
        not_found(&fault!(ground, |s| price::get(s, &coast, &price_id("p-9")))),
        ["regions/coast/prices/p-9"]
    );
    assert_eq!(
        not_found(&fault!(ground, |s| job::delete(
            s,
            &job_id("nothing"),
            None
        ))),
        ["jobs/nothing"]
    );
}

#[tokio::test]
async fn every_material_that_a_mix_lacks_is_named_at_once() {
    let ground = busy().await;
    let mut recipe = mix("new");
    recipe.ingredients[0].material = material_id("moon-dust");
    recipe.water = Some(material_id("dew"));
    let fault = fault!(ground, |s| mix::insert(s, &recipe));
    assert_eq!(not_found(&fault), ["materials/dew", "materials/moon-dust"]);
    recipe.id = mix_id("house-cob");
    let fault = fault!(ground, |s| mix::update(s, &recipe, None));
    assert_eq!(not_found(&fault), ["materials/dew", "materials/moon-dust"]);
}

#[tokio::test]
async fn a_change_of_a_version_that_is_past_is_stale_and_of_what_is_not_there_not_found() {
    let ground = busy().await;
    let fault = fault!(ground, |s| region::update(s, &region("coast"), Some(2)));
    assert_eq!(stale(&fault), "regions/coast");
    assert_eq!(
        fault.to_string(),
        "region regions/coast has changed since it was read; read it again and repeat the change"
    );
    assert_eq!(
        stale(&fault!(ground, |s| material::update(
            s,
            &material("water"),
            Some(9)
        ))),
        "materials/water"
    );
    assert_eq!(
        stale(&fault!(ground, |s| site::update(
            s,
            &site("long-acre"),
            Some(0)
        ))),
        "sites/long-acre"
    );
    assert_eq!(
        stale(&fault!(ground, |s| mix::update(
            s,
            &mix("house-cob"),
            Some(2)
        ))),
        "mixes/house-cob"
    );
    assert_eq!(
        stale(&fault!(ground, |s| crew::update(
            s,
            &crew("practised"),
            Some(2)
        ))),
        "crews/practised"
    );
    let place = labour_constant("place-cob");
    assert_eq!(
        stale(&fault!(ground, |s| labour_constant::update(
            s,
            &place,
            Some(2)
        ))),
        "labourConstants/place-cob"
    );
    assert_eq!(
        stale(&fault!(ground, |s| job::update(
            s,
            &job("round-hut"),
            Some(2)
        ))),
        "jobs/round-hut"
    );
    assert_eq!(
        stale(&fault!(ground, |s| job::delete(
            s,
            &job_id("round-hut"),
            Some(2)
        ))),
        "jobs/round-hut"
    );

    assert_eq!(
        not_found(&fault!(ground, |s| region::update(
            s,
            &region("no"),
            Some(1)
        ))),
        ["regions/no"]
    );
    assert_eq!(
        not_found(&fault!(ground, |s| material::update(
            s,
            &material("no"),
            None
        ))),
        ["materials/no"]
    );
    assert_eq!(
        not_found(&fault!(ground, |s| site::update(s, &site("no"), None))),
        ["sites/no"]
    );
    assert_eq!(
        not_found(&fault!(ground, |s| mix::update(s, &mix("no"), None))),
        ["mixes/no"]
    );
    assert_eq!(
        not_found(&fault!(ground, |s| crew::update(s, &crew("no"), None))),
        ["crews/no"]
    );
    assert_eq!(
        not_found(&fault!(ground, |s| labour_constant::update(
            s,
            &labour_constant("no"),
            None
        ))),
        ["labourConstants/no"]
    );
    assert_eq!(
        not_found(&fault!(ground, |s| job::update(s, &job("no"), None))),
        ["jobs/no"]
    );
}

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
    let fault = fault!(ground, |s| price::insert(s, &region_id("coast"), &new));
    assert_eq!(
        fault.to_string(),
        "unit_price is 1.2345678, with 7 decimals; at most 6 are kept"
    );
    let mut new = new_rate("r-2", "2026-06-01");
    new.wage = number("20.00001");
    let fault = fault!(ground, |s| labour_rate::insert(
        s,
        &region_id("coast"),
        &new
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
    labour_rate::insert(&mut ground.session().await, &region_id("coast"), &new)
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
    let mut by_area = material("new");
    by_area.purchase_unit = Unit::M2;
    assert_eq!(
        refused(&fault!(ground, |s| material::insert(s, &by_area))),
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

#[tokio::test]
async fn a_price_is_for_the_unit_of_its_material_which_then_stays() {
    let ground = busy().await;
    let mut by_mass = new_price("p-2", "2026-06-01");
    by_mass.unit = Unit::T;
    let fault = fault!(ground, |s| price::insert(s, &region_id("coast"), &by_mass));
    assert_eq!(refused(&fault), "price_unit_is_the_materials");
    let mut sand = material("sharp-sand");
    sand.purchase_unit = Unit::T;
    let fault = fault!(ground, |s| material::update(s, &sand, None));
    assert_eq!(refused(&fault), "price_unit_is_the_materials");
    assert!(
        fault
            .to_string()
            .starts_with("The unit in which a material is ordered is fixed"),
        "{fault}"
    );
    let mut unpriced = material("clay-soil");
    unpriced.purchase_unit = Unit::T;
    material::update(&mut ground.session().await, &unpriced, None)
        .await
        .unwrap();
}

#[tokio::test]
async fn a_chain_of_regions_has_one_currency_which_is_fixed_once_a_price_is_kept() {
    let ground = busy().await;
    let mut session = ground.session().await;
    region::insert(&mut session, &region("bare")).await.unwrap();
    session.commit().await.unwrap();
    let pound = Currency::parse("GBP").unwrap();
    let mut abroad = region("abroad");
    (abroad.currency, abroad.parent) = (pound, Some(region_id("coast")));
    let fault = fault!(ground, |s| region::insert(s, &abroad));
    assert_eq!(refused(&fault), "region_parent_has_its_currency");
    let mut coast = region("coast");
    coast.currency = pound;
    assert_eq!(
        refused(&fault!(ground, |s| region::update(s, &coast, None))),
        "region_list_has_its_currency"
    );
    // Without a price or a rate it can still change, and so can its parent with it.
    let mut bare = region("bare");
    bare.currency = pound;
    region::update(&mut ground.session().await, &bare, None)
        .await
        .unwrap();
}

#[tokio::test]
async fn regions_do_not_fall_back_to_each_other_in_a_ring() {
    let ground = Ground::new().await;
    let mut session = ground.session().await;
    for (id, parent) in [("a", None), ("b", Some("a")), ("c", Some("b"))] {
        let mut next = region(id);
        next.parent = parent.map(region_id);
        region::insert(&mut session, &next).await.unwrap();
    }
    session.commit().await.unwrap();
    let mut ring = region("a");
    for (parent, rule) in [
        ("a", "region_parent_is_another"),
        ("b", "region_chain_ends"),
        ("c", "region_chain_ends"),
    ] {
        ring.parent = Some(region_id(parent));
        assert_eq!(
            refused(&fault!(ground, |s| region::update(s, &ring, None))),
            rule,
            "under {parent}"
        );
    }
    let mut moved = region("c");
    moved.parent = Some(region_id("a"));
    region::update(&mut ground.session().await, &moved, None)
        .await
        .unwrap();
}

#[tokio::test]
async fn a_version_that_a_list_has_not_reached_is_refused() {
    let ground = busy().await;
    for version in [3, -1] {
        let filter = PriceFilter {
            list_version: Some(version),
            ..PriceFilter::default()
        };
        let fault = fault!(ground, |s| price::list(
            s,
            &region_id("coast"),
            &filter,
            None,
            9
        ));
        assert_eq!(refused(&fault), "list_version_reached");
    }
    let at_first = PriceFilter {
        list_version: Some(0),
        ..PriceFilter::default()
    };
    let list = price::list(
        &mut ground.session().await,
        &region_id("coast"),
        &at_first,
        None,
        9,
    )
    .await
    .unwrap();
    assert_eq!(list, [], "the list was empty once");
}

#[tokio::test]
async fn a_job_of_which_estimates_are_kept_stays() {
    let ground = busy().await;
    let mut session = ground.session().await;
    estimate::insert(&mut session, &new_estimate("e-1"))
        .await
        .unwrap();
    session.commit().await.unwrap();
    let fault = fault!(ground, |s| job::delete(s, &job_id("round-hut"), None));
    assert_eq!(refused(&fault), "estimate_job_exists");
    assert!(
        fault
            .to_string()
            .contains("an estimate kept is never deleted"),
        "{fault}"
    );
}

#[tokio::test]
async fn a_statement_that_takes_longer_than_is_allowed_is_cancelled() {
    let ground = busy().await;
    let mut holder = ground.session().await;
    region::update(&mut holder, &region("coast"), None)
        .await
        .unwrap();
    let mut hurried = ground.session().await;
    hurried
        .limit_statement_time(Duration::from_millis(50))
        .await
        .unwrap();
    let fault = region::update(&mut hurried, &region("coast"), None)
        .await
        .unwrap_err();
    assert!(matches!(fault, StoreFault::TimedOut(_)), "{fault:?}");
    assert!(
        !fault.to_string().contains("select"),
        "no word of SQL: {fault}"
    );
    holder.commit().await.unwrap();
    // The limit was the session's own.
    region::update(&mut ground.session().await, &region("coast"), None)
        .await
        .unwrap();
}

#[tokio::test]
async fn a_thing_is_told_by_its_noun_and_its_name() {
    let thing = Thing::from(&site_id("long-acre"));
    assert_eq!(
        (thing.noun, thing.name.as_str()),
        ("site", "sites/long-acre")
    );
    assert_eq!(thing.to_string(), "site sites/long-acre");
}
