//! How long it takes to price 1,000 stored jobs again, to the durable commit, against keeping as many estimates one call
//! after the other in the same run on the same machine. Prints both, their ratio, and the most memory that the program
//! had at a quarter of the jobs and at all of them: the target is 1 s, and memory that stays flat. Jobs are of twelve
//! walls. Before anything is timed the totals of both ways must be the same, to the cent.
//!
//! `cargo bench -p hod-service --bench price_again`

use std::collections::BTreeMap;
use std::io::Write;
use std::time::{Duration, Instant};

use hod_service::app::App;
use hod_service::rpc::Api;
use hod_service::serve::routes;
use hod_store::Store;
use hod_testkit::database::TestDatabase;
use hod_testkit::server::TestFirm;
use hod_wire::v1::price_jobs_again_response::Event;
use hod_wire::v1::{CreateEstimateRequest, CreateJobRequest, PriceJobsAgainRequest};

mod serving;
#[path = "../tests/service/support.rs"]
#[allow(dead_code, reason = "the tests use the rest of it")]
mod support;

#[global_allocator]
static ALLOCATOR: hod_service::Allocator = hod_service::Allocator;

/// Stored jobs, and how many of them are estimated one by one, of which the time of all is worked out.
const JOBS: u32 = 1000;
const SINGLES: u32 = 200;

/// Rounds, of which the middle one counts.
const ROUNDS: usize = 3;

const DAY: &str = "2026-05-01";

#[tokio::main]
async fn main() {
    let database = TestDatabase::new().await;
    let firm = TestFirm::with_library(&database).await;
    let store = Store::connect(database.app_options(), 8)
        .await
        .expect("the database");
    let (all, _) = routes(Api::new(App::new(store.clone()))).expect("the services");
    let address = serving::start(&store, all).await;
    let client = support::Client::connect(&format!("http://{address}"), &firm.token).await;
    support::price(&client).await;

    keep_jobs(&client, 0..JOBS / 4).await;
    let (_, few) = again(&client, JOBS / 4).await;
    keep_jobs(&client, JOBS / 4..JOBS).await;
    let (mut all, mut one_by_one, mut many) = (Vec::new(), Vec::new(), 0);
    for _ in 0..ROUNDS {
        let (run, peak) = again(&client, JOBS).await;
        many = many.max(peak);
        let begun = Instant::now();
        for number in 0..SINGLES {
            let total = single(&client, number).await;
            assert_eq!(Some(&total), run.totals.get(&job(number)), "the same total");
        }
        one_by_one.push(begun.elapsed() * (JOBS / SINGLES));
        all.push(run.time);
    }
    let (all, one_by_one) = (middle(all), middle(one_by_one));
    let said = format!(
        "{JOBS} jobs priced again:    {:.2} s to the durable commit (target 1 s)\n\
         one call after the other: {:.2} s\nratio: {:.1}\n\
         most memory: {} MiB at {} jobs, {} MiB at {JOBS}: {:.2} times (flat)\n",
        all.as_secs_f64(),
        one_by_one.as_secs_f64(),
        one_by_one.as_secs_f64() / all.as_secs_f64(),
        few / 1024,
        JOBS / 4,
        many / 1024,
        many as f64 / few as f64,
    );
    std::io::stdout()
        .write_all(said.as_bytes())
        .expect("stdout");
    store.close().await;
}

fn job(number: u32) -> String {
    format!("jobs/j{number:04}")
}

/// Three closed runs of four tapering walls, each with a door.
fn twelve_walls() -> hod_wire::v1::Job {
    let mut job = support::studio();
    let run = std::mem::take(&mut job.walls);
    for number in 0..3 {
        for wall in &run {
            let mut wall = wall.clone();
            wall.id = format!("{}-{number}", wall.id);
            wall.ends = format!("{}-{number}", wall.ends);
            job.walls.push(wall);
        }
    }
    job
}

async fn keep_jobs(client: &support::Client, numbers: std::ops::Range<u32>) {
    for number in numbers {
        let request = CreateJobRequest {
            job_id: format!("j{number:04}"),
            job: Some(twelve_walls()),
            ..Default::default()
        };
        client.jobs().create_job(request).await.expect("a job");
    }
}

/// What a run came to.
struct Run {
    time: Duration,
    totals: BTreeMap<String, String>,
}

/// Prices all again, and tells the most memory meanwhile, in KiB.
async fn again(client: &support::Client, jobs: u32) -> (Run, u64) {
    forget_peak();
    let begun = Instant::now();
    let request = PriceJobsAgainRequest {
        price_date: DAY.into(),
        ..Default::default()
    };
    let events = client.estimation().price_jobs_again(request).await;
    let mut events = events.expect("a stream").into_inner();
    let (mut totals, mut kept) = (BTreeMap::new(), false);
    while let Some(event) = events.message().await.expect("an event") {
        match event.event.expect("an event") {
            Event::Movement(movement) => {
                totals.insert(movement.job, movement.after_total);
            }
            Event::Summary(summary) => kept = summary.kept,
        }
    }
    let time = begun.elapsed();
    assert!(
        kept && totals.len() == jobs as usize,
        "all of them are kept"
    );
    (Run { time, totals }, peak())
}

async fn single(client: &support::Client, number: u32) -> String {
    let request = CreateEstimateRequest {
        parent: job(number),
        price_date: DAY.into(),
        ..Default::default()
    };
    let estimate = client.estimation().create_estimate(request).await;
    let totals = estimate.expect("an estimate").into_inner().totals;
    totals.expect("totals").total
}

/// Lets the kernel forget the most memory that this program ever had.
fn forget_peak() {
    std::fs::write("/proc/self/clear_refs", "5").expect("a kernel that keeps the peak");
}

/// The most memory since then, in KiB.
fn peak() -> u64 {
    let status = std::fs::read_to_string("/proc/self/status").expect("a kernel that tells it");
    let line = status.lines().find_map(|line| line.strip_prefix("VmHWM:"));
    let number = line.and_then(|line| line.split_whitespace().next());
    number
        .and_then(|number| number.parse().ok())
        .expect("a number")
}

fn middle(mut times: Vec<Duration>) -> Duration {
    times.sort();
    times[times.len() / 2]
}
