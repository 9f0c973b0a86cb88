//! Many jobs in, answers out: in the order asked, as they are finished, in flat memory, and a faulty job costs its own
//! answer and no other.

use std::time::{Duration, Instant};

use hod_wire::v1::estimate_jobs_response::Result as Answer;
use hod_wire::v1::{
    Estimate, EstimateJobRequest, EstimateJobsRequest, EstimateJobsResponse, Job,
    ListRegionsRequest, estimate_job_request,
};
use tokio::sync::mpsc;
use tokio_stream::wrappers::ReceiverStream;
use tonic::Code;

use crate::support::{Client, Ground, long_job, reason, studio};

fn ask(job: Job) -> EstimateJobsRequest {
    EstimateJobsRequest {
        request: Some(EstimateJobRequest {
            subject: Some(estimate_job_request::Subject::Job(job)),
            price_date: "2026-05-01".into(),
        }),
    }
}

fn named(name: usize) -> Job {
    Job {
        display_name: format!("Job {name}"),
        ..studio()
    }
}

fn estimate(answer: EstimateJobsResponse) -> Estimate {
    match answer.result.expect("an answer") {
        Answer::Estimate(estimate) => estimate,
        Answer::Faults(faults) => panic!("{faults:?}"),
    }
}

#[tokio::test]
async fn answers_come_in_the_order_asked_and_are_those_of_a_call_of_its_own() {
    let ground = Ground::priced().await;
    // Every fifth is a hundred times as much work as the others.
    let jobs: Vec<Job> = (0..40)
        .map(|n| {
            if n % 5 == 0 {
                Job {
                    display_name: format!("Job {n}"),
                    ..long_job(300, 2)
                }
            } else {
                named(n)
            }
        })
        .collect();
    let asked: Vec<_> = jobs.iter().cloned().map(ask).collect();
    let mut estimation = ground.client.estimation();
    let mut answers = estimation
        .estimate_jobs(tokio_stream::iter(asked))
        .await
        .expect("a stream")
        .into_inner();
    for (number, job) in (0..).zip(jobs) {
        let answer = answers
            .message()
            .await
            .expect("an answer")
            .expect("one for each question");
        assert_eq!(answer.index, number);
        let alone = ask(job).request.expect("a question");
        let alone = ground
            .client
            .estimation()
            .estimate_job(alone)
            .await
            .expect("priced")
            .into_inner();
        assert_eq!(estimate(answer), alone);
    }
    assert!(answers.message().await.expect("the end").is_none());
}

#[tokio::test]
async fn a_faulty_job_answers_with_its_faults_and_the_stream_goes_on() {
    let ground = Ground::priced().await;
    let mut drawn_wrong = named(1);
    drawn_wrong.walls[0].thickness_mm = "1_000".into();
    drawn_wrong.walls[1].height_m = "99".into();
    let asked = vec![
        ask(named(0)),
        ask(drawn_wrong),
        ask(Job {
            mix: "mixes/none".into(),
            ..named(2)
        }),
        EstimateJobsRequest::default(),
        EstimateJobsRequest {
            request: Some(EstimateJobRequest {
                subject: Some(estimate_job_request::Subject::Name("jobs/none".into())),
                price_date: "2026-05-01".into(),
            }),
        },
        EstimateJobsRequest {
            request: Some(EstimateJobRequest {
                price_date: "2025-01-01".into(),
                ..ask(named(5)).request.expect("a question")
            }),
        },
        ask(named(6)),
    ];
    let mut estimation = ground.client.estimation();
    let mut answers = estimation
        .estimate_jobs(tokio_stream::iter(asked))
        .await
        .expect("a stream")
        .into_inner();
    let mut told = Vec::new();
    while let Some(answer) = answers.message().await.expect("an answer") {
        told.push(match answer.result.expect("an answer") {
            Answer::Estimate(estimate) => (estimate.display_name, Vec::new()),
            Answer::Faults(faults) => (
                faults.reason,
                faults.faults.into_iter().map(|fault| fault.field).collect(),
            ),
        });
    }
    let told: Vec<(&str, Vec<&str>)> = told
        .iter()
        .map(|(what, fields)| (what.as_str(), fields.iter().map(String::as_str).collect()))
        .collect();
    assert_eq!(told[0], ("Job 0", vec![]));
    assert_eq!(
        told[1],
        (
            "JOB_HAS_FAULTS",
            vec!["job.walls[0].thickness_mm", "job.walls[1].height_m"]
        )
    );
    assert_eq!(told[2], ("NOT_FOUND", vec!["job.mix"]));
    assert_eq!(told[3], ("FIELDS_HAVE_FAULTS", vec!["price_date", "job"]));
    assert_eq!(told[4], ("NOT_FOUND", vec!["name"]));
    assert_eq!((told[5].0, told[5].1.len()), ("ESTIMATE_LACKS_INPUTS", 5));
    assert_eq!(told[6], ("Job 6", vec![]));
    assert_eq!(told.len(), 7);
}

#[tokio::test]
async fn an_answer_comes_before_the_next_question_is_asked() {
    let ground = Ground::priced().await;
    let (sender, receiver) = mpsc::channel(1);
    let mut estimation = ground.client.estimation();
    let mut answers = estimation
        .estimate_jobs(ReceiverStream::new(receiver))
        .await
        .expect("a stream")
        .into_inner();
    for number in 0..3 {
        sender.send(ask(named(number))).await.expect("a question");
        let answer = answers
            .message()
            .await
            .expect("an answer")
            .expect("one for each question");
        assert_eq!(estimate(answer).display_name, format!("Job {number}"));
    }
    drop(sender);
    assert!(answers.message().await.expect("the end").is_none());
}

#[tokio::test]
async fn a_stream_ends_at_its_deadline_and_not_before() {
    let ground = Ground::priced().await;
    let (sender, receiver) = mpsc::channel(1);
    let mut request = tonic::Request::new(ReceiverStream::new(receiver));
    request.set_timeout(Duration::from_millis(1500));
    let mut estimation = ground.client.estimation();
    let begun = Instant::now();
    let mut answers = estimation
        .estimate_jobs(request)
        .await
        .expect("a stream")
        .into_inner();
    sender.send(ask(named(0))).await.expect("a question");
    answers
        .message()
        .await
        .expect("an answer")
        .expect("one for each question");
    let over = answers.message().await.expect_err("over");
    assert_eq!(over.code(), Code::DeadlineExceeded, "{over:?}");
    assert!(
        Duration::from_millis(1400) < begun.elapsed(),
        "{:?}",
        begun.elapsed()
    );
}

#[tokio::test]
async fn a_message_that_is_too_large_ends_the_stream_and_names_the_limit() {
    let ground = Ground::priced().await;
    let asked = vec![ask(named(0)), ask(long_job(5000, 30))];
    let mut estimation = ground.client.estimation();
    let mut answers = estimation
        .estimate_jobs(tokio_stream::iter(asked))
        .await
        .expect("a stream")
        .into_inner();
    answers
        .message()
        .await
        .expect("an answer")
        .expect("one for each question");
    let refused = answers.message().await.expect_err("too large");
    assert_eq!(
        reason(&refused),
        (Code::ResourceExhausted, "MESSAGE_TOO_LARGE".to_owned())
    );
}

#[tokio::test]
async fn the_servers_memory_stays_flat_however_many_jobs_there_are() {
    let ground = Ground::priced().await;
    let mut estimation = ground.client.estimation();
    let mut after = Vec::new();
    // A thousand jobs of some 40 kB each, 40 MB in all, twice: the second thousand must not need more than the first, but
    // for what the allocator keeps for each of its threads. A server that held on to the jobs would be 40 MB larger.
    for _ in 0..2 {
        let asked = tokio_stream::iter((0..1000).map(|_| ask(long_job(200, 2))));
        let mut answers = estimation
            .estimate_jobs(asked)
            .await
            .expect("a stream")
            .into_inner();
        let mut count = 0;
        while let Some(answer) = answers.message().await.expect("an answer") {
            estimate(answer);
            count += 1;
        }
        assert_eq!(count, 1000);
        after.push(resident_kb(ground.server.process_id()));
    }
    assert!(after[1] < after[0] + 20 * 1024, "{after:?} kB");
    assert!(after[1] < 200 * 1024, "{after:?} kB");
}

fn resident_kb(process: u32) -> u64 {
    let status =
        std::fs::read_to_string(format!("/proc/{process}/status")).expect("the server runs");
    let line = status
        .lines()
        .find(|line| line.starts_with("VmRSS:"))
        .expect("its memory");
    let number = line.split_whitespace().nth(1).expect("a number");
    number.parse().expect("a number")
}

#[tokio::test]
async fn a_caller_who_goes_away_half_way_leaves_the_server_as_it_was() {
    let ground = Ground::with_settings(&[("HOD_CALLS_MAX", "1")]).await;
    crate::support::price(&ground.client).await;
    for _ in 0..6 {
        let (url, token) = (ground.server.url(), ground.firm.token.clone());
        let begin = async move {
            let caller = Client::connect(&url, &token).await;
            let asked = tokio_stream::iter((0..1000).map(|_| ask(long_job(200, 2))));
            let mut estimation = caller.estimation();
            let answers = estimation.estimate_jobs(asked).await.expect("a place");
            let mut answers = answers.into_inner();
            answers
                .message()
                .await
                .expect("an answer")
                .expect("one for each question");
            answers
        };
        // A caller on a runtime of its own, which goes with its connection and all that it was about to send.
        let runtime = tokio::runtime::Runtime::new().expect("a runtime");
        let answers = runtime.spawn(begin).await.expect("answers");
        runtime.shutdown_background();
        drop(answers);
        // The place comes back once the server has heard of it and what was under way is done.
        let begun = Instant::now();
        while ground
            .client
            .regions()
            .list_regions(ListRegionsRequest::default())
            .await
            .is_err()
        {
            assert!(
                begun.elapsed() < Duration::from_secs(5),
                "the place does not come back"
            );
            tokio::time::sleep(Duration::from_millis(20)).await;
        }
    }
    let alone = ask(named(0)).request.expect("a question");
    ground
        .client
        .estimation()
        .estimate_job(alone)
        .await
        .expect("priced");
}
