//! Regions over the wire: each method once as it should be and once refused.

use crate::support::{Ground, assert_fields, assert_refused, region};
use hod_wire::v1::{
    BuildUp, CreateRegionRequest, GetRegionRequest, ListRegionsRequest, ProfitBasis, Region,
    Rounding, UpdateRegionRequest,
};
use prost_types::FieldMask;
use tonic::Code;

#[tokio::test]
async fn regions_are_made_read_listed_and_changed() {
    let ground = Ground::with_library().await;
    let mut regions = ground.client.regions();
    let made = regions
        .create_region(region("north"))
        .await
        .expect("made")
        .into_inner();
    assert_eq!(made.name, "regions/north");
    assert_eq!((made.etag.as_str(), made.list_version), ("\"1\"", 0));
    assert_eq!(made.rounding(), Rounding::HalfAwayFromZero);
    let build_up = made.build_up.clone().expect("a build-up");
    assert_eq!(build_up.profit_percent, "12.5");
    assert_eq!(build_up.profit_basis(), ProfitBasis::MarkupOnCost);

    let got = regions
        .get_region(GetRegionRequest {
            name: "regions/north".into(),
        })
        .await
        .expect("got");
    assert_eq!(got.into_inner(), made);

    let mut coast = region("coast");
    coast.region.as_mut().expect("a region").parent_region = "regions/north".into();
    regions.create_region(coast).await.expect("made");
    let listed = regions
        .list_regions(ListRegionsRequest::default())
        .await
        .expect("listed")
        .into_inner();
    let names: Vec<_> = listed
        .regions
        .iter()
        .map(|region| region.name.as_str())
        .collect();
    assert_eq!(names, ["regions/coast", "regions/north"]);
    assert_eq!(listed.next_page_token, "");

    let change = UpdateRegionRequest {
        region: Some(Region {
            name: made.name.clone(),
            etag: made.etag.clone(),
            build_up: Some(BuildUp {
                tax_percent: "19".into(),
                ..Default::default()
            }),
            ..Default::default()
        }),
        update_mask: Some(FieldMask {
            paths: vec!["build_up.tax_percent".into()],
        }),
        ..Default::default()
    };
    let changed = regions
        .update_region(change)
        .await
        .expect("changed")
        .into_inner();
    let expected = BuildUp {
        tax_percent: "19".into(),
        ..build_up
    };
    assert_eq!(
        (changed.build_up, changed.etag.as_str()),
        (Some(expected), "\"2\"")
    );
    assert_eq!(changed.display_name, "North");
}

#[tokio::test]
async fn a_region_is_refused_with_every_fault_at_once() {
    let ground = Ground::with_library().await;
    let bad = CreateRegionRequest {
        region_id: "North".into(),
        region: Some(Region {
            currency_code: "XAU".into(),
            parent_region: "north".into(),
            rounding: 9,
            build_up: Some(BuildUp {
                tax_percent: "101".into(),
                firm_overhead_percent: "1,5".into(),
                profit_percent: "100".into(),
                profit_basis: ProfitBasis::MarginOnPrice.into(),
                tax_label: "t".repeat(41),
                ..Default::default()
            }),
            ..Default::default()
        }),
        request_id: "seven".into(),
        ..Default::default()
    };
    let refused = ground.client.regions().create_region(bad).await;
    assert_fields(
        &refused.expect_err("refused"),
        &[
            ("request_id", "NOT_A_UUID"),
            ("region_id", "NOT_AN_ID"),
            ("region.display_name", "MISSING"),
            ("region.parent_region", "NOT_A_NAME"),
            ("region.currency_code", "NOT_A_CURRENCY"),
            ("region.rounding", "UNKNOWN_CHOICE"),
            ("region.build_up.firm_overhead_percent", "NOT_A_NUMBER"),
            ("region.build_up.tax_label", "TOO_LONG"),
            ("region.build_up.tax_percent", "OUT_OF_RANGE"),
        ],
    );
}

#[tokio::test]
async fn what_holds_across_the_fields_of_a_region_is_told_like_any_other_fault() {
    let ground = Ground::with_library().await;
    let mut margin = region("north");
    let build_up = margin
        .region
        .as_mut()
        .and_then(|region| region.build_up.as_mut())
        .expect("a build-up");
    build_up.profit_basis = ProfitBasis::MarginOnPrice.into();
    build_up.profit_percent = "100".into();
    let refused = ground
        .client
        .regions()
        .create_region(margin)
        .await
        .expect_err("a margin of the whole");
    let told = crate::support::violations(&refused);
    assert_eq!(told.len(), 1, "{told:?}");
    assert_eq!(told[0].0, "region.build_up.profit_percent");
}

#[tokio::test]
async fn a_region_that_is_not_there_or_is_already_is_named() {
    let ground = Ground::with_library().await;
    let mut regions = ground.client.regions();
    let missing = regions
        .get_region(GetRegionRequest {
            name: "regions/south".into(),
        })
        .await;
    assert_refused(
        &missing.expect_err("missing"),
        Code::NotFound,
        "NOT_FOUND",
        "regions/south",
    );
    let no_name = regions
        .get_region(GetRegionRequest {
            name: "south".into(),
        })
        .await;
    assert_fields(&no_name.expect_err("no name"), &[("name", "NOT_A_NAME")]);

    regions.create_region(region("north")).await.expect("made");
    let taken = regions
        .create_region(region("north"))
        .await
        .expect_err("taken");
    assert_refused(
        &taken,
        Code::AlreadyExists,
        "ALREADY_EXISTS",
        "regions/north",
    );

    let mut orphan = region("coast");
    orphan.region.as_mut().expect("a region").parent_region = "regions/none".into();
    let missing = regions
        .create_region(orphan)
        .await
        .expect_err("no such parent");
    assert_refused(&missing, Code::NotFound, "NOT_FOUND", "regions/none");
    assert_eq!(
        crate::support::violations(&missing),
        [("region.parent_region".to_owned(), "NOT_FOUND".to_owned())]
    );

    let change = UpdateRegionRequest {
        region: Some(Region {
            name: "regions/south".into(),
            ..Default::default()
        }),
        ..Default::default()
    };
    let missing = regions.update_region(change).await.expect_err("missing");
    assert_refused(&missing, Code::NotFound, "NOT_FOUND", "regions/south");

    let negative = regions
        .list_regions(ListRegionsRequest {
            page_size: -1,
            ..Default::default()
        })
        .await;
    assert_fields(
        &negative.expect_err("negative"),
        &[("page_size", "OUT_OF_RANGE")],
    );
}

#[tokio::test]
async fn a_chain_of_regions_has_one_currency_and_does_not_come_back_to_itself() {
    let ground = Ground::with_library().await;
    let mut regions = ground.client.regions();
    regions.create_region(region("north")).await.expect("made");
    let mut coast = region("coast");
    coast.region.as_mut().expect("a region").parent_region = "regions/north".into();
    let mut pounds = coast.clone();
    pounds.region.as_mut().expect("a region").currency_code = "GBP".into();
    let refused = regions
        .create_region(pounds)
        .await
        .expect_err("two currencies");
    assert_refused(
        &refused,
        Code::FailedPrecondition,
        "RULE_BROKEN",
        "one currency",
    );

    regions.create_region(coast).await.expect("made");
    let ring = UpdateRegionRequest {
        region: Some(Region {
            name: "regions/north".into(),
            parent_region: "regions/coast".into(),
            ..Default::default()
        }),
        ..Default::default()
    };
    let refused = regions.update_region(ring).await.expect_err("a ring");
    assert_refused(&refused, Code::FailedPrecondition, "RULE_BROKEN", "ring");
}
