//! How long an estimate takes in process, for 12, 200 and 5,000 walls and some sixty lines, and how that grows.
//! Times differ between machines; the ratios at the end are what to compare.

#![expect(clippy::print_stdout, reason = "a benchmark prints what it measured")]

#[path = "../tests/rules/sample.rs"]
#[allow(dead_code, reason = "the tests use all of it")]
mod sample;

use std::hint::black_box;
use std::time::{Duration, Instant};

use criterion::{BenchmarkId, Criterion, Throughput};
use hod_domain::estimate::{Inputs, estimate};
use hod_domain::geometry::WallDrawing;
use hod_domain::job::Job;
use rust_decimal::dec;

use sample::{inputs, job, labour_rate, opening, shares, wall};

const WALLS: [usize; 3] = [12, 200, 5_000];

/// A job of so many walls, each with a window and every third with a door.
fn job_of(walls: usize) -> Job {
    let wall = |at: usize| -> WallDrawing {
        let mut wall = wall(&format!("wall-{at}"), dec!(6.20), dec!(2.40), dec!(0.45));
        wall.openings.push(opening(
            "window",
            dec!(1.20),
            dec!(1.10),
            dec!(0.90),
            dec!(3.40),
        ));
        if at.is_multiple_of(3) {
            wall.openings
                .push(opening("door", dec!(0.90), dec!(2.00), dec!(0), dec!(1.10)));
        }
        wall
    };
    job((0..walls).map(wall).collect())
}

/// The sample's inputs with a crew of five grades: 4 lines of material, 46 of labour and 5 of the build-up.
fn inputs_of_many_lines() -> Inputs {
    let mut inputs = inputs();
    let grades = ["lead", "helper", "practised", "learner", "volunteer"];
    inputs.crew.make_up = shares(&grades.map(|grade| (grade, dec!(20))));
    for grade in &grades[2..] {
        inputs.lists[1].labour_rates.push(labour_rate(
            &format!("{grade}-26"),
            grade,
            dec!(13.20),
            dec!(18),
            "2026-01-01",
        ));
    }
    inputs
}

fn bench(criterion: &mut Criterion) {
    let inputs = inputs_of_many_lines();
    let mut group = criterion.benchmark_group("estimate");
    for walls in WALLS {
        let job = job_of(walls);
        group.throughput(Throughput::Elements(walls as u64));
        group.bench_with_input(BenchmarkId::from_parameter(walls), &job, |bencher, job| {
            bencher.iter(|| estimate(black_box(job), black_box(&inputs)));
        });
    }
    group.finish();
}

/// The least time of one estimate in many, each batch of them about a hundredth of a second.
fn least_time(job: &Job, inputs: &Inputs) -> Duration {
    let once = |times: u32| {
        let start = Instant::now();
        for _ in 0..times {
            black_box(estimate(black_box(job), black_box(inputs))).expect("nothing is missing");
        }
        start.elapsed() / times
    };
    let times = (10_000 / once(3).as_micros().max(1)).max(1) as u32;
    (0..50).map(|_| once(times)).min().unwrap_or_default()
}

/// What each further wall adds, between jobs of 12, 200 and 5,000 walls.
fn growth(inputs: &Inputs) {
    let times = WALLS.map(|walls| least_time(&job_of(walls), inputs));
    let lines = estimate(&job_of(12), inputs).map_or(0, |estimate| estimate.lines.len());
    println!("\nestimate of {lines} lines");
    for (walls, time) in WALLS.iter().zip(&times) {
        println!("{walls:>6} walls {:>10.1} us", time.as_secs_f64() * 1e6);
    }
    let each = |from: usize, to: usize| {
        (times[to] - times[from]).as_secs_f64() * 1e9 / (WALLS[to] - WALLS[from]) as f64
    };
    let (few, many) = (each(0, 1), each(1, 2));
    println!(
        "each further wall: {few:.0} ns up to 200, {many:.0} ns up to 5,000: ratio of growth {:.2}",
        many / few
    );
}

/// As the service does, whose measuring this is: the C library's allocator gives the memory of five thousand walls back to
/// the system after every run, and fetches it again page by page.
#[global_allocator]
static ALLOCATOR: mimalloc::MiMalloc = mimalloc::MiMalloc;

fn main() {
    let mut criterion = Criterion::default().configure_from_args();
    bench(&mut criterion);
    growth(&inputs_of_many_lines());
    criterion.final_summary();
}
