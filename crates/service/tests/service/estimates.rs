//! Estimation over the wire: takeoffs and estimates, inline and kept, and everything that stands in their way.

use hod_wire::v1::{
    CreateEstimateRequest, CreateJobRequest, Estimate, EstimateJobRequest, GetEstimateRequest, Job,
    LineKind, ListEstimatesRequest, MeasureJobRequest, Unit, estimate_job_request,
    measure_job_request,
};
use prost::Message;
use tonic::{Code, Status};
use tonic_types::StatusExt;

use crate::support::{
    Client, Ground, assert_fields, assert_refused, new_price, reason, studio, violations,
};

fn measure(job: Job) -> MeasureJobRequest {
    MeasureJobRequest {
        subject: Some(measure_job_request::Subject::Job(job)),
    }
}

fn estimate(job: Job, on: &str) -> EstimateJobRequest {
    EstimateJobRequest {
        subject: Some(estimate_job_request::Subject::Job(job)),
        price_date: on.into(),
    }
}

async fn keep_studio(client: &Client) {
    let request = CreateJobRequest {
        job_id: "studio".into(),
        job: Some(studio()),
        ..Default::default()
    };
    client.jobs().create_job(request).await.expect("a job");
}

/// Money as a whole number of cents.
fn cents(amount: &str) -> i64 {
    let (whole, cents) = amount.split_once('.').expect("two decimals");
    assert_eq!(cents.len(), 2, "{amount}");
    format!("{whole}{cents}").parse().expect("an amount")
}

#[tokio::test]
async fn a_takeoff_needs_neither_site_nor_mix_and_tells_batches_only_with_one() {
    let ground = Ground::with_library().await;
    let mut estimation = ground.client.estimation();
    let bare = Job {
        site: String::new(),
        mix: String::new(),
        mixing: String::new(),
        crew: String::new(),
        ..studio()
    };
    let takeoff = estimation
        .measure_job(measure(bare))
        .await
        .expect("measured")
        .into_inner();
    let totals = takeoff.totals.expect("totals");
    // (6.20 + 4.00 + 6.20 + 4.00) m x 2.40 m x mean 0.425 m = 20.808 m3 on the centre line, with both faces leaning
    // alike so that the mitres take from the corners what they give; less the door: 0.90 x 2.00 x 0.42917 = 0.7725.
    assert_eq!(totals.gross_volume_m3, "20.808");
    assert_eq!(totals.opening_volume_m3, "0.7725");
    assert_eq!(totals.net_volume_m3, "20.0355");
    assert_eq!(
        (totals.batch_count, takeoff.batch_basis.is_some()),
        (None, false)
    );
    assert!(
        takeoff
            .walls
            .iter()
            .all(|wall| wall.lifts.iter().all(|lift| lift.batch_count.is_none()))
    );

    let mixed = Job {
        site: "sites/nowhere".into(),
        ..studio()
    };
    let takeoff = estimation
        .measure_job(measure(mixed))
        .await
        .expect("measured")
        .into_inner();
    assert!(
        200 < takeoff
            .totals
            .expect("totals")
            .batch_count
            .expect("batches")
    );
    assert!(takeoff.batch_basis.is_some());
}

#[tokio::test]
async fn the_lines_of_an_estimate_add_up_to_its_totals() {
    let ground = Ground::priced().await;
    let estimate = ground
        .client
        .estimation()
        .estimate_job(estimate(studio(), "2026-05-01"))
        .await;
    let estimate = estimate.expect("priced").into_inner();
    assert_eq!(
        (estimate.currency_code.as_str(), estimate.region.as_str()),
        ("EUR", "regions/north")
    );
    assert_eq!(
        (
            estimate.name.as_str(),
            estimate.job.as_str(),
            estimate.create_time
        ),
        ("", "", None)
    );
    let totals = estimate.totals.clone().expect("totals");
    let of = |kind| -> i64 {
        let lines = estimate.lines.iter().filter(|line| line.kind() == kind);
        lines.map(|line| cents(&line.amount)).sum()
    };
    let by_kind = [
        (LineKind::Material, &totals.material),
        (LineKind::Labour, &totals.labour),
        (LineKind::Equipment, &totals.equipment),
        (LineKind::Other, &totals.other),
        (LineKind::Overhead, &totals.overhead),
        (LineKind::Contingency, &totals.contingency),
        (LineKind::Profit, &totals.profit),
        (LineKind::Tax, &totals.tax),
    ];
    for (kind, total) in by_kind {
        assert_eq!(of(kind), cents(total), "{kind:?}");
    }
    let sum: i64 = by_kind.iter().map(|(_, total)| cents(total)).sum();
    assert_eq!(sum, cents(&totals.total));
    assert!(0 < sum);
    let labour: i64 = estimate.labour.iter().map(|line| cents(&line.amount)).sum();
    assert_eq!(labour, cents(&totals.labour));
    assert!(estimate.lines.iter().all(|line| {
        line.basis
            .as_ref()
            .is_some_and(|basis| !basis.terms.is_empty())
    }));
    assert!(
        estimate.inputs.contains(&"mixes/house-cob@1".to_owned()),
        "{:?}",
        estimate.inputs
    );
    assert_eq!(estimate.list_versions.len(), 1);
}

#[tokio::test]
async fn a_kept_estimate_is_read_as_the_very_bytes_that_were_answered() {
    let ground = Ground::priced().await;
    keep_studio(&ground.client).await;
    let mut estimation = ground.client.estimation();
    let on = |day: &str| CreateEstimateRequest {
        parent: "jobs/studio".into(),
        price_date: day.into(),
        ..Default::default()
    };
    let first = estimation
        .create_estimate(on("2026-05-01"))
        .await
        .expect("kept")
        .into_inner();
    assert!(
        first.name.starts_with("jobs/studio/estimates/e"),
        "{}",
        first.name
    );
    assert_eq!(
        (first.job.as_str(), first.create_time.is_some()),
        ("jobs/studio", true)
    );

    // What comes later changes nothing of it: another price, and another estimate.
    ground
        .client
        .prices()
        .create_price(new_price(
            "regions/north",
            "sharp-sand",
            Unit::T,
            "99",
            "2026-02-01",
        ))
        .await
        .expect("dearer");
    let second = estimation
        .create_estimate(on("2026-05-01"))
        .await
        .expect("kept")
        .into_inner();
    assert_ne!(first.totals, second.totals);
    let got = estimation
        .get_estimate(GetEstimateRequest {
            name: first.name.clone(),
        })
        .await
        .expect("got")
        .into_inner();
    assert_eq!(got.encode_to_vec(), first.encode_to_vec());

    let inline = estimation
        .estimate_job(estimate(studio(), "2026-05-01"))
        .await
        .expect("priced")
        .into_inner();
    let same = Estimate {
        name: String::new(),
        job: String::new(),
        create_time: None,
        ..second.clone()
    };
    assert_eq!(inline, same);
    let stored = EstimateJobRequest {
        subject: Some(estimate_job_request::Subject::Name("jobs/studio".into())),
        price_date: "2026-05-01".into(),
    };
    let stored = estimation
        .estimate_job(stored)
        .await
        .expect("priced")
        .into_inner();
    assert_eq!(
        stored,
        Estimate {
            job: "jobs/studio".into(),
            ..inline
        }
    );

    let list = ListEstimatesRequest {
        parent: "jobs/studio".into(),
        page_size: 1,
        ..Default::default()
    };
    let page = estimation
        .list_estimates(list.clone())
        .await
        .expect("listed")
        .into_inner();
    assert_eq!(page.estimates, [second]);
    let next = ListEstimatesRequest {
        page_token: page.next_page_token,
        ..list
    };
    let page = estimation
        .list_estimates(next)
        .await
        .expect("listed")
        .into_inner();
    assert_eq!(
        (page.estimates, page.next_page_token.as_str()),
        (vec![first], "")
    );
}

#[tokio::test]
async fn what_is_priced_follows_every_change_at_once() {
    let ground = Ground::priced().await;
    let mut estimation = ground.client.estimation();
    let ask = || estimate(studio(), "2026-05-01");
    let before = estimation
        .estimate_job(ask())
        .await
        .expect("priced")
        .into_inner();
    assert_eq!(
        estimation
            .estimate_job(ask())
            .await
            .expect("priced")
            .into_inner(),
        before
    );
    for unit_price in ["32.50", "33.50", "34.50"] {
        let dearer = new_price(
            "regions/north",
            "sharp-sand",
            Unit::T,
            unit_price,
            "2026-01-01",
        );
        ground
            .client
            .prices()
            .create_price(dearer)
            .await
            .expect("dearer");
        let after = estimation
            .estimate_job(ask())
            .await
            .expect("priced")
            .into_inner();
        let sand = after
            .lines
            .iter()
            .find(|line| line.unit() == Unit::T)
            .expect("sand");
        assert_eq!(sand.unit_price, unit_price.trim_end_matches('0'));
    }
}

#[tokio::test]
async fn everything_an_estimate_lacks_is_named_at_once() {
    let ground = Ground::priced().await;
    let refused = ground
        .client
        .estimation()
        .estimate_job(estimate(studio(), "2025-12-31"))
        .await;
    let refused = refused.expect_err("no price yet");
    assert_eq!(
        reason(&refused),
        (Code::FailedPrecondition, "ESTIMATE_LACKS_INPUTS".to_owned())
    );
    let details = refused.get_error_details();
    let lacks = &details.precondition_failure().expect("lacks").violations;
    let named: Vec<(&str, &str)> = lacks
        .iter()
        .map(|lack| (lack.r#type.as_str(), lack.subject.as_str()))
        .collect();
    assert_eq!(
        named,
        [
            ("NO_PRICE_IN_FORCE", "materials/sharp-sand"),
            ("NO_PRICE_IN_FORCE", "materials/straw-bale"),
            ("NO_LABOUR_RATE_IN_FORCE", "labourRates/lead"),
            ("NO_LABOUR_RATE_IN_FORCE", "labourRates/practised"),
            ("NO_LABOUR_RATE_IN_FORCE", "labourRates/helper"),
        ]
    );
    assert!(
        lacks
            .iter()
            .all(|lack| lack.description.contains("2025-12-31")),
        "{lacks:?}"
    );
}

#[tokio::test]
async fn every_unknown_thing_that_a_job_names_is_named_at_once() {
    let ground = Ground::priced().await;
    let mut estimation = ground.client.estimation();
    let lost = || Job {
        site: "sites/a".into(),
        mix: "mixes/b".into(),
        crew: "crews/c".into(),
        ..studio()
    };
    let missing = estimation
        .estimate_job(estimate(lost(), "2026-05-01"))
        .await
        .expect_err("lost");
    assert_eq!(reason(&missing), (Code::NotFound, "NOT_FOUND".to_owned()));
    let fields: Vec<String> = violations(&missing)
        .into_iter()
        .map(|(field, _)| field)
        .collect();
    assert_eq!(fields, ["job.site", "job.mix", "job.crew"]);

    // The drawing's own faults come first, and what is missing is told with them.
    let mut worse = lost();
    worse.walls[0].openings[0].width_m = "9".into();
    let refused = estimation
        .estimate_job(estimate(worse, "2026-05-01"))
        .await
        .expect_err("worse");
    assert_eq!(
        reason(&refused),
        (Code::InvalidArgument, "JOB_HAS_FAULTS".to_owned())
    );
    let told = violations(&refused);
    for field in ["job.site", "job.mix", "job.crew"] {
        assert!(
            told.contains(&(field.to_owned(), "NOT_FOUND".to_owned())),
            "{told:?}"
        );
    }
    assert!(
        told[0].0.starts_with("job.walls[0].openings[0]."),
        "{told:?}"
    );

    let missing = estimation
        .measure_job(measure(lost()))
        .await
        .expect_err("no mix");
    assert_refused(&missing, Code::NotFound, "NOT_FOUND", "mixes/b");
}

#[tokio::test]
async fn a_job_that_names_too_little_and_a_date_that_is_none_are_told_together() {
    let ground = Ground::priced().await;
    let bare = Job {
        site: String::new(),
        mix: String::new(),
        mixing: String::new(),
        crew: String::new(),
        ..studio()
    };
    let refused = ground
        .client
        .estimation()
        .estimate_job(estimate(bare, "1 May"))
        .await
        .expect_err("bare");
    let told = violations(&refused);
    let told: Vec<(&str, &str)> = told.iter().map(|(f, r)| (f.as_str(), r.as_str())).collect();
    assert_eq!(
        told,
        [
            ("job.site", "JOB_NAMES_NO_SITE"),
            ("job.crew", "JOB_NAMES_NO_CREW"),
            ("job.mix", "JOB_NAMES_NO_MIX"),
            ("job.mixing", "JOB_NAMES_NO_MIXING"),
            ("price_date", "NOT_A_DATE"),
        ]
    );
}

#[tokio::test]
async fn a_question_without_a_subject_or_about_a_missing_one_is_refused() {
    let ground = Ground::priced().await;
    let mut estimation = ground.client.estimation();
    let nothing = estimation
        .measure_job(MeasureJobRequest::default())
        .await
        .expect_err("nothing");
    assert_fields(&nothing, &[("job", "MISSING")]);
    let named = |name: &str| MeasureJobRequest {
        subject: Some(measure_job_request::Subject::Name(name.into())),
    };
    let missing = estimation
        .measure_job(named("jobs/none"))
        .await
        .expect_err("missing");
    assert_refused(&missing, Code::NotFound, "NOT_FOUND", "jobs/none");
    let no_name = estimation
        .measure_job(named("none"))
        .await
        .expect_err("no name");
    assert_fields(&no_name, &[("name", "NOT_A_NAME")]);
    let create = |parent: &str, on: &str| CreateEstimateRequest {
        parent: parent.into(),
        price_date: on.into(),
        ..Default::default()
    };
    let refused = estimation
        .create_estimate(create("none", ""))
        .await
        .expect_err("refused");
    assert_fields(
        &refused,
        &[("parent", "NOT_A_NAME"), ("price_date", "MISSING")],
    );
    let missing = estimation
        .create_estimate(create("jobs/none", "2026-05-01"))
        .await
        .expect_err("missing");
    assert_refused(&missing, Code::NotFound, "NOT_FOUND", "jobs/none");
    let missing = estimation
        .get_estimate(GetEstimateRequest {
            name: "jobs/a/estimates/b".into(),
        })
        .await;
    assert_refused(
        &missing.expect_err("missing"),
        Code::NotFound,
        "NOT_FOUND",
        "jobs/a/estimates/b",
    );
    let missing = estimation.list_estimates(ListEstimatesRequest {
        parent: "jobs/none".into(),
        ..Default::default()
    });
    let missing: Status = missing.await.expect_err("missing");
    assert_refused(&missing, Code::NotFound, "NOT_FOUND", "jobs/none");
}

#[tokio::test]
async fn a_waste_of_the_jobs_own_takes_the_place_of_the_mixs() {
    let ground = Ground::with_library().await;
    let mut estimation = ground.client.estimation();
    let mut batches = Vec::new();
    for waste in ["0", "", "50"] {
        let job = Job {
            waste_percent: waste.into(),
            ..studio()
        };
        let takeoff = estimation
            .measure_job(measure(job))
            .await
            .expect("measured")
            .into_inner();
        batches.push(
            takeoff
                .totals
                .expect("totals")
                .batch_count
                .expect("batches"),
        );
    }
    assert!(
        batches[0] < batches[1] && batches[1] < batches[2],
        "{batches:?}"
    );
}
