//! Open jobs priced again on a date: what moved, what cannot be priced, and nothing kept unless all of it is.

use hod_wire::v1::price_jobs_again_response::Event;
use hod_wire::v1::{
    Job, ListEstimatesRequest, Movement, MovementSummary, PriceJobsAgainRequest, Unit,
};
use tonic::Status;
use uuid::Uuid;

use crate::issuing::{accept, cents, issue, issued, keep_estimate, keep_job};
use crate::support::{Client, Ground, assert_fields, new_price, region, site, studio};

fn again(on: &str) -> PriceJobsAgainRequest {
    PriceJobsAgainRequest {
        price_date: on.into(),
        ..Default::default()
    }
}

/// The movements, and the summary that comes last.
async fn told(
    client: &Client,
    request: PriceJobsAgainRequest,
) -> Result<(Vec<Movement>, MovementSummary), Status> {
    let mut events = client
        .estimation()
        .price_jobs_again(request)
        .await?
        .into_inner();
    let mut movements = Vec::new();
    let mut summary = None;
    while let Some(event) = events.message().await? {
        assert!(summary.is_none(), "nothing comes after the summary");
        match event.event.expect("an event") {
            Event::Movement(movement) => movements.push(movement),
            Event::Summary(end) => summary = Some(end),
        }
    }
    Ok((movements, summary.expect("a summary")))
}

async fn estimates(client: &Client, job: &str) -> usize {
    let request = ListEstimatesRequest {
        parent: format!("jobs/{job}"),
        ..Default::default()
    };
    let page = client
        .estimation()
        .list_estimates(request)
        .await
        .expect("a page");
    page.into_inner().estimates.len()
}

/// Three jobs with an estimate in May, one with none, one whose site is not there; sand is dearer from June on.
async fn with_jobs() -> Ground {
    let ground = Ground::priced().await;
    let client = &ground.client;
    for id in ["barn", "hut", "studio"] {
        keep_job(client, id, studio()).await;
        keep_estimate(client, id, "2026-05-01").await;
    }
    keep_job(client, "new", studio()).await;
    let bare = Job {
        site: String::new(),
        mixing: "moonlight".into(),
        ..studio()
    };
    keep_job(client, "lost", bare).await;
    let price = new_price("regions/north", "sharp-sand", Unit::T, "40", "2026-06-01");
    client.prices().create_price(price).await.expect("a price");
    ground
}

#[tokio::test]
async fn every_open_job_moves_in_order_and_one_that_cannot_be_priced_says_why() {
    let ground = with_jobs().await;
    let client = &ground.client;
    let (movements, summary) = told(client, again("2026-06-01")).await.expect("told");
    let jobs: Vec<&str> = movements
        .iter()
        .map(|movement| movement.job.as_str())
        .collect();
    assert_eq!(
        jobs,
        [
            "jobs/barn",
            "jobs/hut",
            "jobs/lost",
            "jobs/new",
            "jobs/studio"
        ]
    );
    let mut sums = (0, 0);
    for movement in [&movements[0], &movements[1], &movements[4]] {
        let (before, after) = (cents(&movement.before_total), cents(&movement.after_total));
        assert_eq!(movement.before_date, "2026-05-01");
        assert_eq!(cents(&movement.difference), after - before);
        assert!(before < after, "sand is dearer");
        let hundredths = (after - before) * 10_000 * 2;
        let percent = (hundredths / before + 1) / 2;
        assert_eq!(
            movement.percent,
            format!("{}.{:02}", percent / 100, percent % 100)
                .trim_end_matches('0')
                .trim_end_matches('.')
        );
        sums = (sums.0 + before, sums.1 + after);
    }
    let new = &movements[3];
    assert_eq!(
        (new.before_estimate.as_str(), new.difference.as_str()),
        ("", "")
    );
    assert_eq!(new.after_total, movements[0].after_total);
    let lost = &movements[2];
    assert_eq!(
        (lost.after_total.as_str(), lost.after_estimate.as_str()),
        ("", "")
    );
    assert!(2 <= lost.faults.len(), "{:?}", lost.faults);
    assert!(
        lost.faults.iter().any(|fault| fault.contains("site")),
        "{:?}",
        lost.faults
    );
    assert!(
        lost.faults.iter().any(|fault| fault.contains("moonlight")),
        "{:?}",
        lost.faults
    );

    assert_eq!(
        (summary.priced_count, summary.failed_count, summary.kept),
        (4, 1, true)
    );
    let [total] = &summary.totals[..] else {
        panic!("one currency, not {:?}", summary.totals);
    };
    assert_eq!((total.currency_code.as_str(), total.job_count), ("EUR", 3));
    assert_eq!(
        (cents(&total.before_total), cents(&total.after_total)),
        sums
    );
    assert_eq!(cents(&total.difference), sums.1 - sums.0);
    // What was kept is what a single estimate comes to, and is the newest from now on.
    let single = keep_estimate(client, "barn", "2026-06-01").await;
    assert_eq!(
        single.totals.expect("totals").total,
        movements[0].after_total
    );
    assert_eq!(estimates(client, "hut").await, 2);
    let (again, _) = told(client, again("2026-06-01")).await.expect("told");
    assert_eq!(again[1].before_estimate, movements[1].after_estimate);
    assert_eq!(
        (again[1].difference.as_str(), again[1].percent.as_str()),
        ("0.00", "0")
    );
}

#[tokio::test]
async fn a_job_with_an_accepted_quote_is_not_open() {
    let ground = with_jobs().await;
    let client = &ground.client;
    let estimate = keep_estimate(client, "barn", "2026-05-01").await;
    let quote = issued(client, issue(&estimate.name)).await;
    let (movements, _) = told(client, again("2026-06-01")).await.expect("told");
    assert_eq!(movements[0].job, "jobs/barn", "issued is still open");
    client
        .quotes()
        .accept_quote(accept(&quote.name))
        .await
        .expect("accepted");
    let (movements, _) = told(client, again("2026-06-01")).await.expect("told");
    assert_eq!(movements[0].job, "jobs/hut");
}

#[tokio::test]
async fn a_trial_tells_the_same_and_keeps_nothing() {
    let ground = with_jobs().await;
    let client = &ground.client;
    let trial = PriceJobsAgainRequest {
        validate_only: true,
        ..again("2026-06-01")
    };
    let (movements, summary) = told(client, trial).await.expect("told");
    assert!(!summary.kept);
    assert!(
        movements
            .iter()
            .all(|movement| movement.after_estimate.is_empty())
    );
    assert!(!movements[0].after_total.is_empty());
    assert_eq!(estimates(client, "barn").await, 1);
}

#[tokio::test]
async fn the_same_request_sent_again_tells_the_summary_and_acts_once() {
    let ground = with_jobs().await;
    let client = &ground.client;
    let request = PriceJobsAgainRequest {
        request_id: Uuid::new_v4().to_string(),
        ..again("2026-06-01")
    };
    let (first, summary) = told(client, request.clone()).await.expect("told");
    assert_eq!(first.len(), 5);
    assert_eq!(
        told(client, request).await.expect("again"),
        (Vec::new(), summary)
    );
    assert_eq!(estimates(client, "barn").await, 2);
}

#[tokio::test]
async fn only_the_jobs_at_sites_of_a_region_move_when_one_is_named() {
    let ground = with_jobs().await;
    let client = &ground.client;
    client
        .regions()
        .create_region(region("south"))
        .await
        .expect("a region");
    client
        .sites()
        .create_site(site("cove", "regions/south"))
        .await
        .expect("a site");
    let job = Job {
        site: "sites/cove".into(),
        ..studio()
    };
    keep_job(client, "cove", job).await;
    let of = |region: &str| PriceJobsAgainRequest {
        region: region.into(),
        validate_only: true,
        ..again("2026-06-01")
    };
    let (south, _) = told(client, of("regions/south")).await.expect("told");
    let jobs: Vec<&str> = south.iter().map(|movement| movement.job.as_str()).collect();
    assert_eq!(jobs, ["jobs/cove"]);
    assert!(!south[0].faults.is_empty(), "it has no prices");
    let (north, _) = told(client, of("regions/north")).await.expect("told");
    assert_eq!(north.len(), 4);
}

#[tokio::test]
async fn more_jobs_than_are_read_at_once_all_move_once() {
    let ground = Ground::priced().await;
    let client = &ground.client;
    for number in 0..70 {
        keep_job(client, &format!("j{number:02}"), studio()).await;
    }
    let (movements, summary) = told(client, again("2026-06-01")).await.expect("told");
    let jobs: Vec<String> = movements.into_iter().map(|movement| movement.job).collect();
    let expected: Vec<String> = (0..70).map(|number| format!("jobs/j{number:02}")).collect();
    assert_eq!(jobs, expected);
    assert_eq!(summary.priced_count, 70);
}

#[tokio::test]
async fn what_cannot_be_read_of_the_question_is_told_before_anything_is_done() {
    let ground = Ground::with_library().await;
    let request = PriceJobsAgainRequest {
        region: "north".into(),
        request_id: "once".into(),
        ..again("June")
    };
    let mut estimation = ground.client.estimation();
    let refused = estimation.price_jobs_again(request).await;
    let refused = refused.expect_err("refused");
    assert_fields(
        &refused,
        &[
            ("request_id", "NOT_A_UUID"),
            ("price_date", "NOT_A_DATE"),
            ("region", "NOT_A_NAME"),
        ],
    );
    let nothing = told(&ground.client, again("2026-06-01"))
        .await
        .expect("told");
    assert_eq!(nothing.0, Vec::new());
}
