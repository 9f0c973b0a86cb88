//! Several estimators at once: a change of what another has changed meanwhile is refused, and told what changed, field by
//! field. None is lost.

use hod_wire::v1::{
    BuildUp, CreateJobRequest, DeleteJobRequest, GetJobRequest, GetMixRequest, GetRegionRequest,
    Job, Mix, Region, UpdateJobRequest, UpdateMixRequest, UpdateRegionRequest,
};
use tonic::{Code, Status};
use tonic_types::StatusExt;

use crate::support::{Ground, reason, region, studio};

/// Field and words of everything that is told to have changed meanwhile.
fn changes(refused: &Status) -> Vec<(String, String)> {
    assert_eq!(
        reason(refused),
        (Code::Aborted, "ETAG_MISMATCH".to_owned()),
        "{refused:?}"
    );
    let details = refused.get_error_details();
    let told = details
        .bad_request()
        .map(|bad| bad.field_violations.clone());
    let told = told.unwrap_or_default();
    assert!(
        told.iter()
            .all(|change| change.reason == "CHANGED_MEANWHILE"),
        "{told:?}"
    );
    told.into_iter()
        .map(|change| (change.field, change.description))
        .collect()
}

fn pair(field: &str, description: &str) -> (String, String) {
    (field.to_owned(), description.to_owned())
}

fn update(change: impl FnOnce(&mut Region)) -> UpdateRegionRequest {
    let mut region = Region {
        name: "regions/north".into(),
        ..Default::default()
    };
    change(&mut region);
    UpdateRegionRequest {
        region: Some(region),
        ..Default::default()
    }
}

#[tokio::test]
async fn a_lost_update_of_a_region_is_told_every_field_that_changed_since_it_was_read() {
    let ground = Ground::with_library().await;
    let mut regions = ground.client.regions();
    let read = regions
        .create_region(region("north"))
        .await
        .expect("a region")
        .into_inner();
    for contingency in ["12", "15"] {
        let request = update(|region| {
            region.display_name = format!("North at {contingency} %");
            region.build_up = Some(BuildUp {
                contingency_percent: contingency.into(),
                ..Default::default()
            });
        });
        regions.update_region(request).await.expect("changed");
    }
    let late = update(|region| {
        region.display_name = "Coast".into();
        region.etag = read.etag.clone();
    });
    let refused = regions
        .update_region(late)
        .await
        .expect_err("changed twice meanwhile");
    assert_eq!(
        changes(&refused),
        [
            pair("display_name", "was \"North\", is now \"North at 15 %\""),
            pair("build_up.contingency_percent", "was \"10\", is now \"15\""),
        ]
    );
    let get = GetRegionRequest {
        name: "regions/north".into(),
    };
    let kept = regions
        .get_region(get)
        .await
        .expect("a region")
        .into_inner();
    assert_eq!(kept.display_name, "North at 15 %");
}

#[tokio::test]
async fn a_lost_update_or_deletion_of_a_job_is_told_which_walls_changed() {
    let ground = Ground::priced().await;
    let mut jobs = ground.client.jobs();
    let request = CreateJobRequest {
        job_id: "studio".into(),
        job: Some(studio()),
        ..Default::default()
    };
    let read = jobs.create_job(request).await.expect("a job").into_inner();
    let mut walls = studio().walls;
    walls[1].thickness_mm = "500".into();
    let change = |job: Job| UpdateJobRequest {
        job: Some(job),
        ..Default::default()
    };
    let thicker = Job {
        name: read.name.clone(),
        walls,
        waste_percent: "7".into(),
        ..Default::default()
    };
    jobs.update_job(change(thicker)).await.expect("changed");
    let expected = [
        pair("waste_percent", "was empty, is now \"7\""),
        pair("walls[1].thickness_mm", "was \"450\", is now \"500\""),
    ];
    let late = Job {
        name: read.name.clone(),
        display_name: "Barn".into(),
        etag: read.etag.clone(),
        ..Default::default()
    };
    let refused = jobs
        .update_job(change(late))
        .await
        .expect_err("changed meanwhile");
    let mut told = changes(&refused);
    told.sort();
    let mut sorted = expected.clone();
    sorted.sort();
    assert_eq!(told, sorted);
    let delete = DeleteJobRequest {
        name: read.name.clone(),
        etag: read.etag,
        ..Default::default()
    };
    let refused = jobs
        .delete_job(delete)
        .await
        .expect_err("changed meanwhile");
    let mut told = changes(&refused);
    told.sort();
    assert_eq!(told, sorted);
    let get = GetJobRequest { name: read.name };
    jobs.get_job(get).await.expect("still there");
}

#[tokio::test]
async fn an_etag_that_was_never_given_out_is_stale_without_a_word_of_changes() {
    let ground = Ground::with_library().await;
    let mut mixes = ground.client.mixes();
    let mix = |etag: &str| UpdateMixRequest {
        mix: Some(Mix {
            name: "mixes/house-cob".into(),
            display_name: "Cob".into(),
            etag: etag.into(),
            ..Default::default()
        }),
        ..Default::default()
    };
    for etag in ["\"99\"", "W/\"1\"", "x"] {
        let refused = mixes.update_mix(mix(etag)).await.expect_err(etag);
        assert_eq!(changes(&refused), []);
    }
    let get = GetMixRequest {
        name: "mixes/house-cob".into(),
    };
    let read = mixes.get_mix(get).await.expect("a mix").into_inner();
    mixes.update_mix(mix(&read.etag)).await.expect("its own");
    let refused = mixes
        .update_mix(mix(&read.etag))
        .await
        .expect_err("changed since");
    let was = format!("was {:?}, is now \"Cob\"", read.display_name);
    assert_eq!(changes(&refused), [pair("display_name", &was)]);
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn of_many_changes_at_once_none_is_lost() {
    let ground = Ground::with_library().await;
    ground
        .client
        .regions()
        .create_region(region("north"))
        .await
        .expect("a region");
    let calls: Vec<_> = (0..2)
        .map(|_| {
            let client = ground.client.clone();
            tokio::spawn(async move {
                let mut regions = client.regions();
                let mut done = 0;
                while done < 50 {
                    let get = GetRegionRequest {
                        name: "regions/north".into(),
                    };
                    let read = regions
                        .get_region(get)
                        .await
                        .expect("a region")
                        .into_inner();
                    let build_up = read.build_up.expect("a build-up");
                    let counted: u32 = build_up.minimum_charge.parse().unwrap_or(0);
                    let request = update(|region| {
                        region.etag = read.etag;
                        region.build_up = Some(BuildUp {
                            minimum_charge: (counted + 1).to_string(),
                            ..Default::default()
                        });
                    });
                    match regions.update_region(request).await {
                        Ok(_) => done += 1,
                        Err(refused) => assert!(!changes(&refused).is_empty()),
                    }
                }
            })
        })
        .collect();
    for call in calls {
        call.await.expect("fifty changes");
    }
    let get = GetRegionRequest {
        name: "regions/north".into(),
    };
    let kept = ground
        .client
        .regions()
        .get_region(get)
        .await
        .expect("a region")
        .into_inner();
    assert_eq!(kept.build_up.expect("a build-up").minimum_charge, "100");
}
