//! Deadlines: obeyed while computing and while waiting for the database, and told by their own code.

use std::time::{Duration, Instant};

use hod_wire::v1::estimation_service_client::EstimationServiceClient;
use hod_wire::v1::region_service_client::RegionServiceClient;
use hod_wire::v1::{
    GetRegionRequest, Job, ListRegionsRequest, MeasureJobRequest, UpdateRegionRequest,
    measure_job_request,
};
use http::Uri;
use hyper_util::client::legacy::Client as HttpClient;
use hyper_util::client::legacy::connect::HttpConnector;
use hyper_util::rt::TokioExecutor;
use sqlx::ConnectOptions;
use sqlx::Connection;
use tonic::body::Body;
use tonic::{Code, Request};

use crate::support::{Ground, long_job, reason};

/// A client without a clock of its own: the library's would give up by itself, under a code of its own, before the
/// server's answer is there.
struct Patient {
    http: HttpClient<HttpConnector, Body>,
    origin: Uri,
    token: String,
}

impl Patient {
    fn of(ground: &Ground) -> Self {
        Self {
            http: HttpClient::builder(TokioExecutor::new())
                .http2_only(true)
                .build_http(),
            origin: ground.server.url().parse().expect("a url"),
            token: format!("Bearer {}", ground.firm.token),
        }
    }

    fn estimation(&self) -> EstimationServiceClient<HttpClient<HttpConnector, Body>> {
        EstimationServiceClient::with_origin(self.http.clone(), self.origin.clone())
    }

    fn regions(&self) -> RegionServiceClient<HttpClient<HttpConnector, Body>> {
        RegionServiceClient::with_origin(self.http.clone(), self.origin.clone())
    }

    fn within<T>(&self, message: T, timeout: &str) -> Request<T> {
        let mut request = Request::new(message);
        request
            .metadata_mut()
            .insert("authorization", self.token.parse().expect("a header"));
        request
            .metadata_mut()
            .insert("grpc-timeout", timeout.parse().expect("a header"));
        request
    }
}

#[tokio::test]
async fn a_deadline_that_has_passed_is_told_as_such() {
    let ground = Ground::priced().await;
    // Without a mix nothing is asked of the database, and the call never waits.
    let measure = || MeasureJobRequest {
        subject: Some(measure_job_request::Subject::Job(Job {
            mix: String::new(),
            ..long_job(5000, 1)
        })),
    };
    let patient = Patient::of(&ground);
    for timeout in ["1n", "1u", "1m"] {
        let late = patient
            .estimation()
            .measure_job(patient.within(measure(), timeout))
            .await
            .expect_err(timeout);
        assert_eq!(
            reason(&late),
            (Code::DeadlineExceeded, "DEADLINE_EXCEEDED".to_owned()),
            "{timeout}"
        );
    }
    patient
        .regions()
        .list_regions(patient.within(ListRegionsRequest::default(), "10S"))
        .await
        .expect("in time");
}

#[tokio::test]
async fn a_statement_that_waits_is_given_up_at_the_deadline_and_its_connection_comes_back() {
    let ground = Ground::with_settings(&[("HOD_DATABASE_CONNECTIONS", "2")]).await;
    crate::support::price(&ground.client).await;
    // Somebody holds the row that every change of this region has to wait for.
    let mut owner = ground
        .database
        .owner_options()
        .connect()
        .await
        .expect("the owner");
    let mut held = owner.begin().await.expect("a transaction");
    sqlx::query("select set_config('hod.firm', $1, true)")
        .bind(ground.firm.id.to_string())
        .execute(&mut *held)
        .await
        .expect("the firm");
    sqlx::query("select from region where region_id = 'north' for update")
        .execute(&mut *held)
        .await
        .expect("held");
    let patient = Patient::of(&ground);
    let change = || UpdateRegionRequest {
        region: Some(hod_wire::v1::Region {
            name: "regions/north".into(),
            display_name: "Nord".into(),
            ..Default::default()
        }),
        ..Default::default()
    };
    for _ in 0..4 {
        let begun = Instant::now();
        let late = patient
            .regions()
            .update_region(patient.within(change(), "400m"))
            .await
            .expect_err("held up");
        assert_eq!(
            reason(&late),
            (Code::DeadlineExceeded, "DEADLINE_EXCEEDED".to_owned())
        );
        assert!(
            begun.elapsed() < Duration::from_secs(3),
            "{:?}",
            begun.elapsed()
        );
    }
    // Both connections are there again for those who wait for nothing.
    for _ in 0..4 {
        patient
            .regions()
            .get_region(patient.within(
                GetRegionRequest {
                    name: "regions/north".into(),
                },
                "5S",
            ))
            .await
            .expect("got");
    }
    held.rollback().await.expect("let go");
    patient
        .regions()
        .update_region(patient.within(change(), "10S"))
        .await
        .expect("changed");
}
