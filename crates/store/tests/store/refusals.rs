//! What is refused, as the caller hears it: the particular fault, the name of the thing, the sentence of the rule.

use std::time::Duration;

use hod_store::labour_rate::LabourRateFilter;
use hod_store::price::PriceFilter;
use hod_store::{
    StoreFault, Thing, crew, estimate, job, labour_constant, labour_rate, material, mix, price,
    region, site, soil_test,
};

use crate::examples::*;
use crate::faults::{busy, fault, not_found, refused, stale, taken};

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
        &new_price("p-1", "2027-01-01"),
        None
    ));
    assert_eq!(taken(&fault), "regions/coast/prices/p-1");
    let fault = fault!(ground, |s| labour_rate::insert(
        s,
        &coast,
        &new_rate("r-1", "2027-01-01"),
        None
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
        None,
    )
    .await
    .unwrap();
    let fault = price::insert(
        &mut session,
        &region_id("coast"),
        &new_price("p-1", "2028-01-01"),
        None,
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
        not_found(&fault!(ground, |s| price::insert(
            s, &coast, &unknown, None
        ))),
        ["materials/nothing"]
    );
    let nowhere = region_id("nowhere");
    let fault = fault!(ground, |s| price::insert(
        s,
        &nowhere,
        &new_price("p-2", "2026-05-01"),
        None
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
