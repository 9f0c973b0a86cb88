//! Jobs over the wire: each method once as it should be and once refused.

use hod_wire::v1::{
    Cost, CostKind, CreateEstimateRequest, CreateJobRequest, DeleteJobRequest, GetJobRequest, Job,
    ListJobsRequest, ScopeHolder, ScopeLine, UpdateJobRequest, WallSystem,
};
use prost_types::FieldMask;
use tonic::Code;

use crate::support::{Ground, assert_fields, assert_refused, reason, site, studio, violations};

fn create(id: &str, job: Job) -> CreateJobRequest {
    CreateJobRequest {
        job_id: id.into(),
        job: Some(job),
        ..Default::default()
    }
}

#[tokio::test]
async fn jobs_are_made_read_listed_changed_and_deleted_as_they_were_drawn() {
    let ground = Ground::priced().await;
    let mut jobs = ground.client.jobs();
    let made = jobs
        .create_job(create("studio", studio()))
        .await
        .expect("made")
        .into_inner();
    let as_drawn = Job {
        name: "jobs/studio".into(),
        create_time: made.create_time,
        update_time: made.create_time,
        etag: "\"1\"".into(),
        ..studio()
    };
    assert_eq!(made, as_drawn);
    assert_eq!(made.walls[0].length_m, "6.20");
    let got = jobs
        .get_job(GetJobRequest {
            name: "jobs/studio".into(),
        })
        .await
        .expect("got")
        .into_inner();
    assert_eq!(got, made);

    ground
        .client
        .sites()
        .create_site(site("other", "regions/north"))
        .await
        .expect("a site");
    let elsewhere = Job {
        site: "sites/other".into(),
        ..studio()
    };
    jobs.create_job(create("barn", elsewhere))
        .await
        .expect("made");
    let at = |site: &str| ListJobsRequest {
        site: site.into(),
        ..Default::default()
    };
    let here = jobs
        .list_jobs(at("sites/long-acre"))
        .await
        .expect("listed")
        .into_inner()
        .jobs;
    assert_eq!(here, std::slice::from_ref(&made));
    assert_eq!(
        jobs.list_jobs(at(""))
            .await
            .expect("listed")
            .into_inner()
            .jobs
            .len(),
        2
    );

    let change = UpdateJobRequest {
        job: Some(Job {
            name: made.name.clone(),
            waste_percent: "7".into(),
            mix: String::new(),
            ..Default::default()
        }),
        update_mask: Some(FieldMask {
            paths: vec!["waste_percent".into(), "mix".into()],
        }),
        ..Default::default()
    };
    let changed = jobs.update_job(change).await.expect("changed").into_inner();
    assert_eq!(
        (changed.waste_percent.as_str(), changed.mix.as_str()),
        ("7", "")
    );
    assert_eq!(
        (changed.walls, changed.etag.as_str()),
        (made.walls, "\"2\"")
    );

    jobs.delete_job(DeleteJobRequest {
        name: made.name.clone(),
        ..Default::default()
    })
    .await
    .expect("deleted");
    let gone = jobs
        .get_job(GetJobRequest { name: made.name })
        .await
        .expect_err("gone");
    assert_refused(&gone, Code::NotFound, "NOT_FOUND", "jobs/studio");
}

#[tokio::test]
async fn a_job_is_refused_with_every_fault_of_its_drawing_at_once() {
    let ground = Ground::priced().await;
    let mut bad = studio();
    bad.display_name.clear();
    bad.system = WallSystem::Unspecified.into();
    bad.paring_mm = "201".into();
    bad.walls[0].openings[0].at_m = "5.80".into();
    bad.walls[1].thickness_top_mm = "460".into();
    bad.walls[2].length_m = "6.40".into();
    bad.walls[3].height_m = "0".into();
    let refused = ground
        .client
        .jobs()
        .create_job(create("studio", bad))
        .await
        .expect_err("refused");
    assert_eq!(
        reason(&refused),
        (Code::InvalidArgument, "JOB_HAS_FAULTS".to_owned())
    );
    let fields: Vec<String> = violations(&refused)
        .into_iter()
        .map(|(field, _)| field)
        .collect();
    for expected in [
        "job.display_name",
        "job.system",
        "job.paring_mm",
        "job.walls[0].openings[0].at_m",
        "job.walls[1].thickness_top_mm",
        "job.walls[3].height_m",
    ] {
        assert!(
            fields.contains(&expected.to_owned()),
            "{expected} in {fields:?}"
        );
    }
}

#[tokio::test]
async fn a_run_that_does_not_close_is_told_its_gap() {
    let ground = Ground::priced().await;
    let mut open = studio();
    open.walls[2].length_m = "6.40".into();
    let refused = ground
        .client
        .jobs()
        .create_job(create("studio", open))
        .await
        .expect_err("open");
    let details = refused.get_details();
    assert!(details.contains("200 mm"), "{details}");
}

#[tokio::test]
async fn a_job_that_is_not_there_or_is_spoken_for_is_told_so() {
    let ground = Ground::priced().await;
    let mut jobs = ground.client.jobs();
    let nowhere = Job {
        site: "sites/none".into(),
        ..studio()
    };
    let missing = jobs
        .create_job(create("studio", nowhere))
        .await
        .expect_err("no site");
    assert_refused(&missing, Code::NotFound, "NOT_FOUND", "sites/none");
    assert_eq!(
        violations(&missing),
        [("job.site".to_owned(), "NOT_FOUND".to_owned())]
    );

    jobs.create_job(create("studio", studio()))
        .await
        .expect("made");
    let taken = jobs
        .create_job(create("studio", studio()))
        .await
        .expect_err("taken");
    assert_refused(&taken, Code::AlreadyExists, "ALREADY_EXISTS", "jobs/studio");
    let stale = DeleteJobRequest {
        name: "jobs/studio".into(),
        etag: "\"7\"".into(),
        ..Default::default()
    };
    let refused = jobs.delete_job(stale).await.expect_err("stale");
    assert_refused(&refused, Code::Aborted, "ETAG_MISMATCH", "jobs/studio");

    let estimate = CreateEstimateRequest {
        parent: "jobs/studio".into(),
        price_date: "2026-05-01".into(),
        ..Default::default()
    };
    ground
        .client
        .estimation()
        .create_estimate(estimate)
        .await
        .expect("kept");
    let held = jobs
        .delete_job(DeleteJobRequest {
            name: "jobs/studio".into(),
            ..Default::default()
        })
        .await;
    assert_refused(
        &held.expect_err("held"),
        Code::FailedPrecondition,
        "RULE_BROKEN",
        "estimate",
    );

    let missing = jobs
        .delete_job(DeleteJobRequest {
            name: "jobs/none".into(),
            ..Default::default()
        })
        .await;
    assert_refused(
        &missing.expect_err("missing"),
        Code::NotFound,
        "NOT_FOUND",
        "jobs/none",
    );
    let missing = jobs.update_job(UpdateJobRequest {
        job: Some(Job {
            name: "jobs/none".into(),
            ..Default::default()
        }),
        ..Default::default()
    });
    assert_refused(
        &missing.await.expect_err("missing"),
        Code::NotFound,
        "NOT_FOUND",
        "jobs/none",
    );
    let bad = jobs
        .list_jobs(ListJobsRequest {
            site: "long-acre".into(),
            ..Default::default()
        })
        .await;
    assert_fields(&bad.expect_err("refused"), &[("site", "NOT_A_NAME")]);
}

/// All that a refusal says about fields, in one text.
trait Details {
    fn get_details(&self) -> String;
}

impl Details for tonic::Status {
    fn get_details(&self) -> String {
        use tonic_types::StatusExt;
        let details = self.get_error_details();
        let all = details
            .bad_request()
            .map(|bad| bad.field_violations.clone())
            .unwrap_or_default();
        all.into_iter()
            .map(|violation| violation.description)
            .collect::<Vec<_>>()
            .join("\n")
    }
}

#[tokio::test]
async fn a_job_whose_costs_and_scope_do_not_hold_together_is_not_kept() {
    let ground = Ground::priced().await;
    let line = |part: &str, holder: ScopeHolder| ScopeLine {
        part: part.into(),
        holder: holder.into(),
        ..Default::default()
    };
    let cost = |part: &str| Cost {
        item: "Roof".into(),
        kind: CostKind::Subcontract.into(),
        unit_price: "9000".into(),
        part: part.into(),
        ..Default::default()
    };
    let job = Job {
        scope: vec![
            line("roof", ScopeHolder::ByOthers),
            line("plate", ScopeHolder::Ours),
            line("plate", ScopeHolder::Excluded),
        ],
        costs: vec![cost("plate"), cost("roof"), cost("chimney")],
        ..studio()
    };
    let refused = ground.client.jobs().create_job(create("room", job)).await;
    let told = violations(&refused.expect_err("refused"));
    let told: Vec<(&str, &str)> = told
        .iter()
        .map(|(field, why)| (field.as_str(), why.as_str()))
        .collect();
    assert_eq!(
        told,
        [
            ("job.scope[2].part", "SCOPE_PART_TWICE"),
            ("job.costs[1].part", "PART_NOT_OURS"),
            ("job.costs[2].part", "PART_NOT_IN_SCOPE"),
        ]
    );
}
