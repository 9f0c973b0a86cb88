//! How a server ends and comes back: in order with what is in flight, or killed; and the same question gets the same
//! bytes before and after.

use std::time::{Duration, Instant};

use hod_testkit::server::{DataFolder, RunningServer};
use hod_wire::v1::{
    CreateEstimateRequest, CreateJobRequest, EstimateJobRequest, EstimateJobsRequest,
    GetEstimateRequest, ListEstimatesRequest, ListRegionsRequest, estimate_job_request,
};
use prost::Message;
use tokio::sync::mpsc;
use tokio_stream::wrappers::ReceiverStream;
use tonic_health::pb::HealthCheckRequest;
use tonic_health::pb::health_check_response::ServingStatus;
use tonic_health::pb::health_client::HealthClient;

use crate::support::{Client, Ground, long_job, price, studio};

fn ask() -> EstimateJobRequest {
    EstimateJobRequest {
        subject: Some(estimate_job_request::Subject::Job(studio())),
        price_date: "2026-05-01".into(),
    }
}

#[tokio::test(flavor = "multi_thread")]
async fn a_server_told_to_end_says_so_first_finishes_what_is_in_flight_and_ends_well() {
    let mut ground = Ground::priced().await;
    let mut health = HealthClient::new(ground.client.channel.clone());
    let mut watch = health
        .watch(HealthCheckRequest::default())
        .await
        .expect("a watch")
        .into_inner();
    let first = watch.message().await.expect("a status").expect("a status");
    assert_eq!(first.status(), ServingStatus::Serving);
    let (sender, receiver) = mpsc::channel(1);
    let mut estimation = ground.client.estimation();
    let mut answers = estimation
        .estimate_jobs(ReceiverStream::new(receiver))
        .await
        .expect("a stream")
        .into_inner();
    let question = || EstimateJobsRequest {
        request: Some(ask()),
    };
    sender.send(question()).await.expect("a question");
    answers
        .message()
        .await
        .expect("an answer")
        .expect("one for each question");

    ground.server.terminate();
    let second = watch.message().await.expect("a status").expect("a status");
    assert_eq!(second.status(), ServingStatus::NotServing);
    tokio::time::sleep(Duration::from_millis(600)).await;
    // Nobody new is let in, and the stream that is under way goes on to its end.
    let address = ground.server.address();
    assert!(std::net::TcpStream::connect_timeout(&address, Duration::from_millis(500)).is_err());
    sender.send(question()).await.expect("a question");
    answers
        .message()
        .await
        .expect("an answer")
        .expect("one for each question");
    drop(sender);
    assert!(answers.message().await.expect("the end").is_none());
    let ended = tokio::task::block_in_place(|| ground.server.ended());
    assert!(ended.success(), "{ended:?}");
    assert!(ground.server.log().contains("ended in order"));
}

#[tokio::test(flavor = "multi_thread")]
async fn a_call_that_never_ends_does_not_keep_the_server_for_ever() {
    let mut ground = Ground::priced().await;
    let (sender, receiver) = mpsc::channel::<EstimateJobsRequest>(1);
    let mut estimation = ground.client.estimation();
    let answers = estimation
        .estimate_jobs(ReceiverStream::new(receiver))
        .await
        .expect("a stream");
    ground.server.terminate();
    let begun = Instant::now();
    let ended = tokio::task::block_in_place(|| ground.server.ended());
    let took = begun.elapsed();
    assert!(ended.success(), "{ended:?}");
    assert!(
        Duration::from_secs(24) < took && took < Duration::from_secs(32),
        "{took:?}"
    );
    assert!(ground.server.log().contains("cut off"));
    drop((sender, answers));
}

#[tokio::test(flavor = "multi_thread")]
async fn the_same_question_gets_the_same_bytes_before_and_after_a_restart() {
    let folder = DataFolder::new();
    let server = RunningServer::on_data(&folder);
    let client = Client::connect(&server.url(), &server.token()).await;
    price(&client).await;
    let first = client
        .estimation()
        .estimate_job(ask())
        .await
        .expect("priced")
        .into_inner()
        .encode_to_vec();
    let again = client
        .estimation()
        .estimate_job(ask())
        .await
        .expect("priced")
        .into_inner()
        .encode_to_vec();
    assert_eq!(first, again);
    let request = CreateJobRequest {
        job_id: "studio".into(),
        job: Some(studio()),
        ..Default::default()
    };
    client.jobs().create_job(request).await.expect("a job");
    let request = CreateEstimateRequest {
        parent: "jobs/studio".into(),
        price_date: "2026-05-01".into(),
        ..Default::default()
    };
    let kept = client
        .estimation()
        .create_estimate(request)
        .await
        .expect("kept")
        .into_inner();
    assert!(tokio::task::block_in_place(|| server.stop()).success());

    let server = RunningServer::on_data(&folder);
    let client = Client::connect(&server.url(), &server.token()).await;
    let after = client
        .estimation()
        .estimate_job(ask())
        .await
        .expect("priced")
        .into_inner()
        .encode_to_vec();
    assert_eq!(first, after);
    let got = client
        .estimation()
        .get_estimate(GetEstimateRequest {
            name: kept.name.clone(),
        })
        .await
        .expect("got");
    assert_eq!(got.into_inner().encode_to_vec(), kept.encode_to_vec());
    assert!(tokio::task::block_in_place(|| server.stop()).success());
}

#[tokio::test(flavor = "multi_thread")]
async fn a_server_killed_in_the_middle_of_a_stream_comes_back_with_all_that_was_kept() {
    let folder = DataFolder::new();
    let mut server = RunningServer::on_data(&folder);
    let mut client = Client::connect(&server.url(), &server.token()).await;
    price(&client).await;
    let request = CreateJobRequest {
        job_id: "studio".into(),
        job: Some(studio()),
        ..Default::default()
    };
    client.jobs().create_job(request).await.expect("a job");
    let mut acknowledged = Vec::new();
    for round in 0..5_u64 {
        let question = EstimateJobsRequest {
            request: Some(EstimateJobRequest {
                subject: Some(estimate_job_request::Subject::Job(long_job(300, 2))),
                ..ask()
            }),
        };
        let asked = tokio_stream::iter(std::iter::repeat_n(question, 500));
        let mut answers = client
            .estimation()
            .estimate_jobs(asked)
            .await
            .expect("a stream")
            .into_inner();
        answers
            .message()
            .await
            .expect("an answer")
            .expect("one for each question");
        // Beside the stream somebody keeps estimates until the server is gone.
        let keeper = tokio::spawn(keep(client.clone()));
        tokio::time::sleep(Duration::from_millis(40 + 60 * round)).await;
        tokio::task::block_in_place(|| server.kill());
        acknowledged.extend(keeper.await.expect("a task"));
        while let Ok(Some(_)) = answers.message().await {}

        server = RunningServer::on_data(&folder);
        client = Client::connect(&server.url(), &server.token()).await;
        for name in &acknowledged {
            let got = client
                .estimation()
                .get_estimate(GetEstimateRequest { name: name.clone() })
                .await;
            assert_eq!(&got.expect("kept").into_inner().name, name);
        }
        let list = ListEstimatesRequest {
            parent: "jobs/studio".into(),
            page_size: 1000,
            ..Default::default()
        };
        let all = client
            .estimation()
            .list_estimates(list)
            .await
            .expect("listed")
            .into_inner()
            .estimates;
        // One may have been kept whose answer was lost on the way.
        assert!(
            all.len() <= acknowledged.len() + 1 + round as usize,
            "{} and {}",
            all.len(),
            acknowledged.len()
        );
        assert!(
            all.iter()
                .all(|estimate| estimate.totals.is_some() && !estimate.lines.is_empty())
        );
    }
    assert!(!acknowledged.is_empty());
    client
        .regions()
        .list_regions(ListRegionsRequest::default())
        .await
        .expect("served");
    assert!(tokio::task::block_in_place(|| server.stop()).success());
}

/// Keeps estimates for as long as there is a server; answers the names of those that were acknowledged.
async fn keep(client: Client) -> Vec<String> {
    let mut names = Vec::new();
    loop {
        let request = CreateEstimateRequest {
            parent: "jobs/studio".into(),
            price_date: "2026-05-01".into(),
            ..Default::default()
        };
        match client.estimation().create_estimate(request).await {
            Ok(kept) => names.push(kept.into_inner().name),
            Err(_) => return names,
        }
    }
}
