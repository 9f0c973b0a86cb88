//! What the tests of quotes share: a studio that is kept and priced, and requests in a few words.

use hod_wire::v1::{
    AcceptQuoteRequest, CreateEstimateRequest, CreateJobRequest, Estimate, IssueQuoteRequest, Job,
    ProvisionalReason, Quote,
};

use crate::support::{Client, studio};

/// Keeps a job under this id.
pub async fn keep_job(client: &Client, id: &str, job: Job) {
    let request = CreateJobRequest {
        job_id: id.into(),
        job: Some(job),
        ..Default::default()
    };
    client.jobs().create_job(request).await.expect("a job");
}

/// Keeps an estimate of a kept job.
pub async fn keep_estimate(client: &Client, job: &str, on: &str) -> Estimate {
    let request = CreateEstimateRequest {
        parent: format!("jobs/{job}"),
        price_date: on.into(),
        ..Default::default()
    };
    let kept = client.estimation().create_estimate(request).await;
    kept.expect("an estimate").into_inner()
}

/// Keeps the studio and an estimate of it at the prices of the start of May.
pub async fn estimated_studio(client: &Client) -> Estimate {
    keep_job(client, "studio", studio()).await;
    keep_estimate(client, "studio", "2026-05-01").await
}

/// Issues the estimate of this name in May, with the reason that it needs: nobody has tried the library's mix here.
pub fn issue(estimate: &str) -> IssueQuoteRequest {
    IssueQuoteRequest {
        estimate: estimate.into(),
        client: "The people at Long Acre".into(),
        issue_date: "2026-05-04".into(),
        validity_days: 30,
        provisional_reasons: vec![untried_mix()],
        ..Default::default()
    }
}

/// Why a quote goes out although nobody has tried its mix.
pub fn untried_mix() -> ProvisionalReason {
    ProvisionalReason {
        reason: "MIX_NOT_TESTED".into(),
        explanation: "the trial bricks are drying and are broken next week".into(),
    }
}

/// Issues a quote that is as it should be.
pub async fn issued(client: &Client, request: IssueQuoteRequest) -> Quote {
    let quote = client.quotes().issue_quote(request).await;
    quote.expect("a quote").into_inner()
}

/// Accepts a quote of this name within its validity.
pub fn accept(name: &str) -> AcceptQuoteRequest {
    AcceptQuoteRequest {
        name: name.into(),
        date: "2026-05-20".into(),
        note: "by letter".into(),
        ..Default::default()
    }
}

/// Money as a whole number of its smallest unit, of which there are so many decimals.
pub fn minor(amount: &str, decimals: usize) -> i64 {
    let (whole, rest) = amount.split_once('.').unwrap_or((amount, ""));
    assert_eq!(rest.len(), decimals, "{amount}");
    format!("{whole}{rest}").parse().expect("an amount")
}

/// Money as a whole number of cents.
pub fn cents(amount: &str) -> i64 {
    minor(amount, 2)
}
