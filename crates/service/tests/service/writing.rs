//! Acting once: replays, trials, etags, and what two callers do to each other.

use hod_wire::v1::{
    CreateEstimateRequest, CreateJobRequest, CreatePriceRequest, CreateRegionRequest,
    DeleteJobRequest, GetRegionRequest, ListEstimatesRequest, ListPricesRequest,
    ListRegionsRequest, Region, Unit, UpdateRegionRequest,
};
use prost_types::FieldMask;
use tonic::Code;
use uuid::Uuid;

use crate::support::{Ground, assert_fields, assert_refused, new_price, reason, region, studio};

fn id() -> String {
    Uuid::new_v4().to_string()
}

#[tokio::test]
async fn a_request_sent_again_gets_the_same_answer_and_acts_once() {
    let ground = Ground::priced().await;
    let mut prices = ground.client.prices();
    let request = CreatePriceRequest {
        request_id: id(),
        ..new_price("regions/north", "sharp-sand", Unit::T, "33", "2026-06-01")
    };
    let first = prices
        .create_price(request.clone())
        .await
        .expect("made")
        .into_inner();
    for _ in 0..3 {
        assert_eq!(
            prices
                .create_price(request.clone())
                .await
                .expect("again")
                .into_inner(),
            first
        );
    }
    let list = ListPricesRequest {
        parent: "regions/north".into(),
        material: "materials/sharp-sand".into(),
        ..Default::default()
    };
    assert_eq!(
        prices
            .list_prices(list)
            .await
            .expect("listed")
            .into_inner()
            .prices
            .len(),
        2
    );
}

#[tokio::test]
async fn a_request_id_serves_one_request() {
    let ground = Ground::priced().await;
    let used = CreateRegionRequest {
        request_id: id(),
        ..region("coast")
    };
    ground
        .client
        .regions()
        .create_region(used.clone())
        .await
        .expect("made");
    let other_body = CreateRegionRequest {
        request_id: used.request_id.clone(),
        ..region("hills")
    };
    let refused = ground
        .client
        .regions()
        .create_region(other_body)
        .await
        .expect_err("another body");
    assert_refused(
        &refused,
        Code::FailedPrecondition,
        "REQUEST_ID_REUSED",
        "request_id",
    );
    let other_method = CreatePriceRequest {
        request_id: used.request_id.clone(),
        ..new_price("regions/north", "sharp-sand", Unit::T, "33", "2026-06-01")
    };
    let refused = ground
        .client
        .prices()
        .create_price(other_method)
        .await
        .expect_err("another method");
    assert_eq!(
        reason(&refused),
        (Code::FailedPrecondition, "REQUEST_ID_REUSED".to_owned())
    );
    for bad in ["7", "not-a-uuid", "00000000-0000-0000-0000-00000000000g"] {
        let bad = CreateRegionRequest {
            request_id: bad.into(),
            ..region("hills")
        };
        assert_fields(
            &ground
                .client
                .regions()
                .create_region(bad)
                .await
                .expect_err("refused"),
            &[("request_id", "NOT_A_UUID")],
        );
    }
}

#[tokio::test]
async fn a_request_that_was_refused_may_be_mended_and_sent_again_under_its_id() {
    let ground = Ground::priced().await;
    let mut regions = ground.client.regions();
    let mut request = CreateRegionRequest {
        request_id: id(),
        ..region("coast")
    };
    request.region.as_mut().expect("a region").parent_region = "regions/none".into();
    regions
        .create_region(request.clone())
        .await
        .expect_err("no such parent");
    request.region.as_mut().expect("a region").parent_region = "regions/north".into();
    regions.create_region(request).await.expect("mended");
}

#[tokio::test]
async fn the_same_request_many_times_at_once_acts_once() {
    let ground = Ground::priced().await;
    let request = CreateJobRequest {
        job_id: "studio".into(),
        job: Some(studio()),
        ..Default::default()
    };
    ground
        .client
        .jobs()
        .create_job(request)
        .await
        .expect("a job");
    let request = CreateEstimateRequest {
        parent: "jobs/studio".into(),
        price_date: "2026-05-01".into(),
        request_id: id(),
        ..Default::default()
    };
    let calls = (0..12).map(|_| {
        let (client, request) = (ground.client.clone(), request.clone());
        tokio::spawn(async move {
            client
                .estimation()
                .create_estimate(request)
                .await
                .expect("kept")
                .into_inner()
        })
    });
    let mut answers = Vec::new();
    for call in calls.collect::<Vec<_>>() {
        answers.push(call.await.expect("a call"));
    }
    answers.dedup();
    assert_eq!(answers.len(), 1);
    let list = ListEstimatesRequest {
        parent: "jobs/studio".into(),
        ..Default::default()
    };
    let kept = ground
        .client
        .estimation()
        .list_estimates(list)
        .await
        .expect("listed")
        .into_inner()
        .estimates;
    assert_eq!(kept, answers);
}

#[tokio::test]
async fn a_trial_checks_everything_answers_and_keeps_nothing() {
    let ground = Ground::priced().await;
    let client = &ground.client;
    let trial = CreateRegionRequest {
        validate_only: true,
        ..region("coast")
    };
    let told = client
        .regions()
        .create_region(trial.clone())
        .await
        .expect("a trial")
        .into_inner();
    assert_eq!(told.name, "regions/coast");
    let missing = client
        .regions()
        .get_region(GetRegionRequest { name: told.name })
        .await
        .expect_err("not kept");
    assert_eq!(missing.code(), Code::NotFound);
    let taken = CreateRegionRequest {
        validate_only: true,
        ..region("north")
    };
    let refused = client
        .regions()
        .create_region(taken)
        .await
        .expect_err("taken");
    assert_eq!(
        reason(&refused),
        (Code::AlreadyExists, "ALREADY_EXISTS".to_owned())
    );

    let request = CreateJobRequest {
        job_id: "studio".into(),
        job: Some(studio()),
        ..Default::default()
    };
    client.jobs().create_job(request).await.expect("a job");
    let trial = CreateEstimateRequest {
        parent: "jobs/studio".into(),
        price_date: "2026-05-01".into(),
        validate_only: true,
        request_id: id(),
    };
    client
        .estimation()
        .create_estimate(trial.clone())
        .await
        .expect("a trial");
    let list = ListEstimatesRequest {
        parent: "jobs/studio".into(),
        ..Default::default()
    };
    assert!(
        client
            .estimation()
            .list_estimates(list.clone())
            .await
            .expect("listed")
            .into_inner()
            .estimates
            .is_empty()
    );
    // The trial has not used its id up.
    let real = CreateEstimateRequest {
        validate_only: false,
        ..trial
    };
    client
        .estimation()
        .create_estimate(real)
        .await
        .expect("kept");
    let trial = DeleteJobRequest {
        name: "jobs/studio".into(),
        validate_only: true,
        ..Default::default()
    };
    client
        .jobs()
        .delete_job(trial)
        .await
        .expect_err("an estimate holds it");
    assert_eq!(
        client
            .estimation()
            .list_estimates(list)
            .await
            .expect("listed")
            .into_inner()
            .estimates
            .len(),
        1
    );
}

fn rename(to: &str, etag: &str) -> UpdateRegionRequest {
    UpdateRegionRequest {
        region: Some(Region {
            name: "regions/north".into(),
            display_name: to.into(),
            etag: etag.into(),
            ..Default::default()
        }),
        ..Default::default()
    }
}

#[tokio::test]
async fn a_change_under_an_old_etag_is_refused_and_one_without_is_not() {
    let ground = Ground::priced().await;
    let mut regions = ground.client.regions();
    let changed = regions
        .update_region(rename("Far north", "\"1\""))
        .await
        .expect("changed")
        .into_inner();
    assert_eq!(changed.etag, "\"2\"");
    for stale in ["\"1\"", "\"3\"", "2", "nonsense"] {
        let refused = regions
            .update_region(rename("Lost", stale))
            .await
            .expect_err(stale);
        assert_refused(&refused, Code::Aborted, "ETAG_MISMATCH", "regions/north");
    }
    let changed = regions
        .update_region(rename("North", ""))
        .await
        .expect("changed")
        .into_inner();
    assert_eq!(
        (changed.etag.as_str(), changed.display_name.as_str()),
        ("\"3\"", "North")
    );
}

#[tokio::test]
async fn changes_of_different_fields_at_once_lose_none_of_them() {
    let ground = Ground::priced().await;
    let percents = [
        "site_overhead_percent",
        "firm_overhead_percent",
        "contingency_percent",
        "profit_percent",
        "tax_percent",
    ];
    let calls: Vec<_> = percents
        .into_iter()
        .map(|field| {
            let client = ground.client.clone();
            tokio::spawn(async move {
                let mut region = Region {
                    name: "regions/north".into(),
                    build_up: Some(Default::default()),
                    ..Default::default()
                };
                let build_up = region.build_up.as_mut().expect("a build-up");
                for percent in [
                    &mut build_up.site_overhead_percent,
                    &mut build_up.firm_overhead_percent,
                    &mut build_up.contingency_percent,
                    &mut build_up.profit_percent,
                    &mut build_up.tax_percent,
                ] {
                    *percent = "1.5".into();
                }
                let change = UpdateRegionRequest {
                    region: Some(region),
                    update_mask: Some(FieldMask {
                        paths: vec![format!("build_up.{field}")],
                    }),
                    ..Default::default()
                };
                client.regions().update_region(change).await
            })
        })
        .collect();
    let mut changed = 0;
    for call in calls {
        match call.await.expect("a call") {
            Ok(_) => changed += 1,
            // Five at once may be too many for the tries that a change has; then it says so.
            Err(refused) => assert_eq!(refused.code(), Code::Aborted, "{refused:?}"),
        }
    }
    let kept = ground
        .client
        .regions()
        .get_region(GetRegionRequest {
            name: "regions/north".into(),
        })
        .await;
    let build_up = kept
        .expect("got")
        .into_inner()
        .build_up
        .expect("a build-up");
    let now = [
        build_up.site_overhead_percent,
        build_up.firm_overhead_percent,
        build_up.contingency_percent,
        build_up.profit_percent,
        build_up.tax_percent,
    ];
    assert_eq!(
        now.iter().filter(|percent| *percent == "1.5").count(),
        changed,
        "{now:?}"
    );
}

#[tokio::test]
async fn a_mask_with_an_unknown_field_is_refused() {
    let ground = Ground::priced().await;
    let mut change = rename("Elsewhere", "");
    change.update_mask = Some(FieldMask {
        paths: vec!["display_name".into(), "colour".into()],
    });
    let refused = ground
        .client
        .regions()
        .update_region(change)
        .await
        .expect_err("unknown");
    assert_fields(&refused, &[("update_mask", "UNKNOWN_FIELD")]);
    let all = ground
        .client
        .regions()
        .list_regions(ListRegionsRequest::default())
        .await
        .expect("listed");
    assert_eq!(all.into_inner().regions[0].display_name, "North");
}
