//! Limits: sizes either way, how many walls, how many calls at once and on one connection, and silent connections.

use std::io::{Read, Write};
use std::net::TcpStream;
use std::time::{Duration, Instant};

use hod_wire::v1::{
    CreateJobRequest, EstimateJobRequest, EstimateJobsRequest, GetJobRequest, Job,
    ListRegionsRequest, MeasureJobRequest, Unit, estimate_job_request, measure_job_request,
};
use prost::Message;
use tokio::sync::mpsc;
use tokio_stream::wrappers::ReceiverStream;
use tonic::Code;
use tonic::codec::CompressionEncoding;
use tonic_types::StatusExt;

use crate::support::{Ground, long_job, reason, violations};

/// Most bytes of a message.
const LIMIT: usize = 4 * 1024 * 1024;

fn measure(walls: usize, windows: usize) -> MeasureJobRequest {
    MeasureJobRequest {
        subject: Some(measure_job_request::Subject::Job(long_job(walls, windows))),
    }
}

/// A request of exactly so many bytes to keep a job: the ids of its windows take up what is wanting.
fn create_of_size(bytes: usize) -> CreateJobRequest {
    let mut request = CreateJobRequest {
        job_id: "j".into(),
        job: Some(Job {
            site: String::new(),
            ..long_job(5000, 10)
        }),
        ..Default::default()
    };
    let mut wanting = bytes - request.encoded_len();
    for wall in &mut request.job.as_mut().expect("a job").walls {
        for window in &mut wall.openings {
            let more = wanting.min(60 - window.id.len());
            window.id.push_str(&"x".repeat(more));
            wanting -= more;
        }
    }
    // Longer windows may have made the length of their wall a byte longer.
    let over = request.encoded_len() - bytes;
    let first = &mut request.job.as_mut().expect("a job").walls[0].openings[0].id;
    let rest = first.len() - over;
    first.truncate(rest);
    assert_eq!(request.encoded_len(), bytes);
    request
}

#[tokio::test]
async fn what_could_not_be_sent_back_is_not_kept() {
    let ground = Ground::with_library().await;
    let mut jobs = ground
        .client
        .jobs()
        .max_decoding_message_size(64 * 1024 * 1024);
    let refused = jobs
        .create_job(create_of_size(LIMIT))
        .await
        .expect_err("with its name it is too large to send");
    assert_eq!(
        reason(&refused),
        (Code::ResourceExhausted, "MESSAGE_TOO_LARGE".to_owned())
    );
    assert!(
        refused.message().contains("the answer"),
        "{}",
        refused.message()
    );
    let details = refused.get_error_details();
    assert_eq!(
        details.error_info().expect("an info").metadata["limitBytes"],
        LIMIT.to_string()
    );
    let missing = jobs
        .get_job(GetJobRequest {
            name: "jobs/j".into(),
        })
        .await
        .expect_err("not kept");
    assert_eq!(missing.code(), Code::NotFound);
    jobs.create_job(create_of_size(LIMIT - 200))
        .await
        .expect("a little smaller it can");
    jobs.get_job(GetJobRequest {
        name: "jobs/j".into(),
    })
    .await
    .expect("got");
    let refused = jobs
        .create_job(create_of_size(LIMIT + 1))
        .await
        .expect_err("a byte too large to take");
    assert!(
        refused.message().contains("the request"),
        "{}",
        refused.message()
    );
}

#[tokio::test]
async fn a_message_that_is_too_large_is_refused_with_the_limit() {
    let ground = Ground::with_library().await;
    // Five thousand walls with thirty windows each take more than 4 MiB.
    let refused = ground
        .client
        .estimation()
        .measure_job(measure(5000, 30))
        .await
        .expect_err("too large to take");
    assert_eq!(
        reason(&refused),
        (Code::ResourceExhausted, "MESSAGE_TOO_LARGE".to_owned())
    );
    assert!(
        refused.message().contains("4194304 bytes"),
        "{}",
        refused.message()
    );
    assert!(
        refused.message().contains("request"),
        "{}",
        refused.message()
    );
}

#[tokio::test]
async fn a_message_that_unpacks_to_too_much_is_refused_like_a_large_one() {
    let ground = Ground::with_library().await;
    let mut packed = ground
        .client
        .estimation()
        .send_compressed(CompressionEncoding::Gzip);
    let refused = packed
        .measure_job(measure(5000, 30))
        .await
        .expect_err("it unpacks to too much");
    assert_eq!(
        reason(&refused),
        (Code::ResourceExhausted, "MESSAGE_TOO_LARGE".to_owned())
    );
}

#[tokio::test]
async fn a_job_has_at_most_five_thousand_walls_and_a_wall_a_hundred_openings() {
    let ground = Ground::with_library().await;
    let mut estimation = ground.client.estimation();
    let refused = estimation
        .measure_job(measure(5001, 0))
        .await
        .expect_err("too many walls");
    assert_eq!(
        violations(&refused),
        [("job.walls".to_owned(), "WRONG_COUNT".to_owned())]
    );
    let refused = estimation
        .measure_job(measure(0, 0))
        .await
        .expect_err("no walls");
    assert_eq!(
        violations(&refused)[0],
        ("job.walls".to_owned(), "WRONG_COUNT".to_owned())
    );
    let refused = estimation
        .measure_job(measure(1, 101))
        .await
        .expect_err("too many openings");
    let told = violations(&refused);
    assert!(
        told.contains(&("job.walls[0].openings".to_owned(), "WRONG_COUNT".to_owned())),
        "{told:?}"
    );
}

#[tokio::test]
async fn more_calls_than_there_are_places_are_sent_away_with_a_time_to_come_back() {
    let ground = Ground::with_settings(&[("HOD_CALLS_MAX", "3")]).await;
    let mut held = Vec::new();
    for _ in 0..3 {
        let (sender, receiver) = mpsc::channel::<EstimateJobsRequest>(1);
        let mut estimation = ground.client.estimation();
        let answers = estimation
            .estimate_jobs(ReceiverStream::new(receiver))
            .await
            .expect("a place")
            .into_inner();
        held.push((sender, answers));
    }
    let refused = ground
        .client
        .regions()
        .list_regions(ListRegionsRequest::default())
        .await
        .expect_err("no place");
    assert_eq!(
        reason(&refused),
        (Code::ResourceExhausted, "TOO_MANY_CALLS".to_owned())
    );
    let delay = refused
        .get_error_details()
        .retry_info()
        .and_then(|info| info.retry_delay);
    assert_eq!(delay, Some(Duration::from_millis(100)));

    let (sender, mut answers) = held.pop().expect("a call");
    drop(sender);
    assert!(answers.message().await.expect("the end").is_none());
    let begun = Instant::now();
    while let Err(refused) = ground
        .client
        .regions()
        .list_regions(ListRegionsRequest::default())
        .await
    {
        assert_eq!(refused.code(), Code::ResourceExhausted);
        assert!(
            begun.elapsed() < Duration::from_secs(5),
            "the place does not come back"
        );
        tokio::time::sleep(Duration::from_millis(20)).await;
    }
}

#[tokio::test]
async fn a_connection_that_says_nothing_is_closed() {
    let ground = Ground::with_library().await;
    let address = ground.server.address();
    let closed = tokio::task::spawn_blocking(move || {
        let mut silent = TcpStream::connect(address).expect("a connection");
        let mut halting = TcpStream::connect(address).expect("a connection");
        halting
            .write_all(b"PRI * HTTP/2.0")
            .expect("half a greeting");
        let begun = Instant::now();
        [&mut silent, &mut halting].map(|stream| {
            stream
                .set_read_timeout(Some(Duration::from_secs(20)))
                .expect("a time");
            let mut rest = Vec::new();
            // Whatever is said before the end, the end comes.
            stream.read_to_end(&mut rest).ok();
            begun.elapsed()
        })
    });
    for after in closed.await.expect("a thread") {
        assert!(
            Duration::from_secs(8) < after && after < Duration::from_secs(15),
            "{after:?}"
        );
    }
    ground
        .client
        .regions()
        .list_regions(ListRegionsRequest::default())
        .await
        .expect("others are served");
}

#[tokio::test]
async fn a_client_that_does_not_say_that_it_is_alive_is_let_go() {
    let ground = Ground::with_library().await;
    let address = ground.server.address();
    let closed = tokio::task::spawn_blocking(move || {
        let mut stream = TcpStream::connect(address).expect("a connection");
        // The whole greeting: the preface and an empty SETTINGS frame; then not a word, not even to a PING.
        stream
            .write_all(b"PRI * HTTP/2.0\r\n\r\nSM\r\n\r\n\0\0\0\x04\0\0\0\0\0")
            .expect("a greeting");
        let begun = Instant::now();
        stream
            .set_read_timeout(Some(Duration::from_secs(60)))
            .expect("a time");
        let mut said = Vec::new();
        stream.read_to_end(&mut said).ok();
        begun.elapsed()
    });
    let after = closed.await.expect("a thread");
    // Asked after 30 s, and given 10 s to answer.
    assert!(
        Duration::from_secs(35) < after && after < Duration::from_secs(50),
        "{after:?}"
    );
}

#[tokio::test]
async fn connections_beyond_the_limit_wait_until_another_goes() {
    let ground = Ground::with_settings(&[("HOD_CONNECTIONS_MAX", "2")]).await;
    let second = crate::support::Client::connect(&ground.server.url(), &ground.firm.token).await;
    second
        .regions()
        .list_regions(ListRegionsRequest::default())
        .await
        .expect("served");
    let (url, token) = (ground.server.url(), ground.firm.token.clone());
    let third = tokio::spawn(async move {
        let third = crate::support::Client::connect(&url, &token).await;
        third
            .regions()
            .list_regions(ListRegionsRequest::default())
            .await
            .expect("served in the end");
        Instant::now()
    });
    tokio::time::sleep(Duration::from_millis(500)).await;
    let gone = Instant::now();
    drop(second);
    assert!(gone < third.await.expect("a call"));
}

#[tokio::test(flavor = "multi_thread")]
async fn many_more_calls_than_connections_to_the_database_are_all_answered() {
    let ground = Ground::with_settings(&[("HOD_DATABASE_CONNECTIONS", "2")]).await;
    crate::support::price(&ground.client).await;
    let request = CreateJobRequest {
        job_id: "studio".into(),
        job: Some(crate::support::studio()),
        ..Default::default()
    };
    ground
        .client
        .jobs()
        .create_job(request)
        .await
        .expect("a job");
    let subjects = [
        estimate_job_request::Subject::Job(crate::support::studio()),
        estimate_job_request::Subject::Name("jobs/studio".into()),
    ];
    for round in 0..10 {
        // Every change makes what is remembered worthless, so that all of them have to load at once.
        let unit_price = format!("{}.50", 30 + round);
        let price = crate::support::new_price(
            "regions/north",
            "sharp-sand",
            Unit::T,
            &unit_price,
            "2026-01-01",
        );
        ground
            .client
            .prices()
            .create_price(price)
            .await
            .expect("a price");
        let calls: Vec<_> = (0..40)
            .map(|number| {
                let client = ground.client.clone();
                let request = EstimateJobRequest {
                    subject: Some(subjects[number % 2].clone()),
                    price_date: "2026-05-01".into(),
                };
                tokio::spawn(async move { client.estimation().estimate_job(request).await })
            })
            .collect();
        for call in calls {
            let estimate = call.await.expect("a task").expect("priced").into_inner();
            let sand = estimate
                .lines
                .iter()
                .find(|line| line.unit() == Unit::T)
                .expect("sand");
            assert_eq!(sand.unit_price, unit_price.trim_end_matches('0'));
        }
    }
}

#[tokio::test]
async fn a_job_of_the_largest_size_is_priced() {
    let ground = Ground::priced().await;
    let request = EstimateJobRequest {
        subject: Some(estimate_job_request::Subject::Job(long_job(5000, 2))),
        price_date: "2026-05-01".into(),
    };
    let estimate = ground
        .client
        .estimation()
        .estimate_job(request)
        .await
        .expect("priced")
        .into_inner();
    assert_eq!(estimate.takeoff.expect("a takeoff").length_m, "60000");
}
