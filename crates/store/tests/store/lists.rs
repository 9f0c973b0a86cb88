//! The rules of regions and of their lists: one currency, one unit, no ring, no version that is not there.

use hod_domain::material::Supply;
use hod_domain::unit::Unit;
use hod_store::price::PriceFilter;
use hod_store::{material, price, region};
use hod_units::Currency;

use crate::examples::*;
use crate::faults::{busy, fault, refused};

#[tokio::test]
async fn what_comes_from_the_site_has_no_price() {
    let ground = busy().await;
    let mut session = ground.session().await;
    let mut stream = material("stream-water");
    stream.supply = Supply::Site;
    material::insert(&mut session, &stream).await.unwrap();
    let mut of_stream = new_price("p-9", "2026-06-01");
    of_stream.material = stream.id;
    let fault = price::insert(&mut session, &region_id("coast"), &of_stream, None)
        .await
        .unwrap_err();
    assert_eq!(refused(&fault), "price_is_for_what_is_bought");
    assert_eq!(
        fault.to_string(),
        "stream-water comes from the site, at no price; give a material that is bought, or change its supply first"
    );
}

#[tokio::test]
async fn a_price_is_for_the_unit_of_its_material_which_then_stays() {
    let ground = busy().await;
    let mut by_mass = new_price("p-2", "2026-06-01");
    by_mass.unit = Unit::T;
    let fault = fault!(ground, |s| price::insert(
        s,
        &region_id("coast"),
        &by_mass,
        None
    ));
    assert_eq!(refused(&fault), "price_unit_is_the_materials");
    assert_eq!(
        fault.to_string(),
        "sharp-sand is ordered by the m3, and this price is for one t; give the price of one m3"
    );
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
