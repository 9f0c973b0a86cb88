//! Sites over the wire: each method once as it should be and once refused.

use hod_wire::v1::{CreateSiteRequest, GetSiteRequest, ListSitesRequest, Site, UpdateSiteRequest};
use tonic::Code;

use crate::support::{Ground, assert_fields, assert_refused, region, site, violations};

#[tokio::test]
async fn sites_are_made_read_listed_and_changed() {
    let ground = Ground::with_library().await;
    ground
        .client
        .regions()
        .create_region(region("north"))
        .await
        .expect("a region");
    let mut sites = ground.client.sites();
    let made = sites
        .create_site(site("long-acre", "regions/north"))
        .await
        .expect("made")
        .into_inner();
    assert_eq!(
        (made.name.as_str(), made.haul_distance_m.as_str()),
        ("sites/long-acre", "40")
    );
    let got = sites
        .get_site(GetSiteRequest {
            name: made.name.clone(),
        })
        .await
        .expect("got");
    assert_eq!(got.into_inner(), made);
    let listed = sites
        .list_sites(ListSitesRequest::default())
        .await
        .expect("listed")
        .into_inner();
    assert_eq!(listed.sites, std::slice::from_ref(&made));
    let change = UpdateSiteRequest {
        site: Some(Site {
            name: made.name.clone(),
            haul_distance_m: "12.5".into(),
            ..Default::default()
        }),
        ..Default::default()
    };
    let changed = sites
        .update_site(change)
        .await
        .expect("changed")
        .into_inner();
    assert_eq!(
        (
            changed.haul_distance_m.as_str(),
            changed.display_name.as_str()
        ),
        ("12.5", "Long Acre")
    );
}

#[tokio::test]
async fn a_site_is_refused_with_every_fault_and_an_unknown_region_is_named() {
    let ground = Ground::with_library().await;
    let mut sites = ground.client.sites();
    let bad = CreateSiteRequest {
        site_id: "-".into(),
        site: Some(Site {
            haul_distance_m: "2000.1".into(),
            ..Default::default()
        }),
        ..Default::default()
    };
    assert_fields(
        &sites.create_site(bad).await.expect_err("refused"),
        &[
            ("site_id", "NOT_AN_ID"),
            ("site.display_name", "MISSING"),
            ("site.region", "NOT_A_NAME"),
            ("site.haul_distance_m", "OUT_OF_RANGE"),
        ],
    );
    let missing = sites
        .create_site(site("long-acre", "regions/none"))
        .await
        .expect_err("no region");
    assert_refused(&missing, Code::NotFound, "NOT_FOUND", "regions/none");
    assert_eq!(
        violations(&missing),
        [("site.region".to_owned(), "NOT_FOUND".to_owned())]
    );
    let missing = sites
        .get_site(GetSiteRequest {
            name: "sites/none".into(),
        })
        .await
        .expect_err("no site");
    assert_refused(&missing, Code::NotFound, "NOT_FOUND", "sites/none");
    let bad = ListSitesRequest {
        page_size: -7,
        ..Default::default()
    };
    assert_fields(
        &sites.list_sites(bad).await.expect_err("refused"),
        &[("page_size", "OUT_OF_RANGE")],
    );
    let change = UpdateSiteRequest {
        site: Some(Site {
            name: "sites/none".into(),
            ..Default::default()
        }),
        ..Default::default()
    };
    let missing = sites.update_site(change).await.expect_err("no site");
    assert_refused(&missing, Code::NotFound, "NOT_FOUND", "sites/none");
}
