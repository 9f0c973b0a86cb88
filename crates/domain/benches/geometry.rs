//! How long measuring takes: 12, 200 and 5,000 plain walls in closed rooms, each with a window, every third with a
//! door, in five or six lifts; and one wall of each harder kind.

#![allow(clippy::unwrap_used)]
#![expect(clippy::print_stdout, reason = "a benchmark prints what it measured")]

#[path = "../tests/geometry/drawings.rs"]
#[allow(dead_code)]
mod drawings;

use std::hint::black_box;
use std::time::{Duration, Instant};

use criterion::{BenchmarkId, Criterion, Throughput};
use drawings::{arc, closed, corner, into, m, number, opening, rectangle, room, taper, wall};
use hod_domain::geometry::{self, Batter, OpeningShape, Profile, WallDrawing, Zone, measure};

/// So many walls, a multiple of four, in rooms of four.
fn plain(count: usize) -> Vec<WallDrawing> {
    let mut walls = Vec::with_capacity(count);
    for number in 0..count / 4 {
        let make = |id: &str, length: &str| WallDrawing {
            taper: taper("0.400", Batter::Both),
            openings: vec![opening("window", rectangle("1.10"), "1.20", "0.90", "2.00")],
            paring: m("0.025"),
            ..wall(id, length, "2.40", "0.450")
        };
        walls.extend(room(&format!("room-{number}-"), "6.20", "4.00", make));
    }
    for wall in walls.iter_mut().step_by(3) {
        wall.openings
            .push(opening("door", rectangle("2.00"), "0.90", "0", "0.60"));
    }
    walls
}

/// A room with two gables and a lower lean-to wall, arched and splayed openings.
fn gabled() -> Vec<WallDrawing> {
    let peak = Profile::Peak {
        height: m("2.4"),
        peak: m("3.9"),
        peak_at: m("2.0"),
        height_end: None,
    };
    let mut walls = room("", "6.20", "4.00", |id, length| WallDrawing {
        taper: taper("0.400", Batter::Outer),
        profile: if length == "4.00" {
            peak
        } else {
            Profile::Level { height: m("2.4") }
        },
        paring: m("0.025"),
        ..wall(id, length, "2.40", "0.450")
    });
    let arched = OpeningShape::Semicircular { height: m("0.8") };
    let mut window = opening("window", arched, "1.00", "0.90", "2.00");
    window.splay = m("0.3");
    walls[0].openings.push(window);
    walls
}

/// A round hut with a straight porch wall: two arcs of unlike radius meeting at mitres.
fn curved() -> Vec<WallDrawing> {
    let make = |id: &str| WallDrawing {
        taper: taper("0.400", Batter::Outer),
        turn_degrees: Some(number("90")),
        openings: vec![opening(
            "window",
            OpeningShape::Circle,
            "0.80",
            "0.90",
            "2.00",
        )],
        ..arc(id, "4", "90", "2.40", "0.450")
    };
    closed(vec![make("a"), make("b")])
}

/// Two straight walls, and two bent ones, that rise on both sides of their corner and share the inside of it.
fn valley(bend: Option<&str>) -> Vec<WallDrawing> {
    let make = |id: &str, start: &str, end: &str| WallDrawing {
        profile: Profile::Slope {
            height: m(start),
            height_end: m(end),
        },
        taper: taper("0.350", Batter::Outer),
        ..match bend {
            None => wall(id, "5.00", "1", "0.450"),
            Some(bend) => arc(id, "4", bend, "1", "0.450"),
        }
    };
    vec![
        WallDrawing {
            end: corner("b"),
            ..make("a", "3.2", "2.2")
        },
        make("b", "2.2", "3.5"),
    ]
}

/// A room divided by a partition that runs into two of its walls, which are built of something else above the sills.
fn divided() -> Vec<WallDrawing> {
    let upper = Zone {
        from: m("0.90"),
        lift_height: None,
        paring: m("0.010"),
    };
    let mut walls = room("", "6.20", "4.00", |id, length| WallDrawing {
        taper: taper("0.400", Batter::Both),
        zones: vec![upper],
        paring: m("0.025"),
        ..wall(id, length, "2.40", "0.450")
    });
    walls.push(WallDrawing {
        start: into("south", "3.10", "-90"),
        end: into("north", "3.10", "90"),
        ..wall("partition", "4.00", "2.10", "0.150")
    });
    walls
}

fn bench(criterion: &mut Criterion) {
    let mut group = criterion.benchmark_group("geometry");
    for count in [12, 200, 5000] {
        let walls = plain(count);
        assert!(measure(&walls).is_ok());
        group.throughput(Throughput::Elements(count as u64));
        group.bench_with_input(
            BenchmarkId::new("plain", count),
            &walls,
            |bencher, walls| {
                bencher.iter(|| measure(black_box(walls)));
            },
        );
    }
    for (name, walls) in [
        ("gabled", gabled()),
        ("curved", curved()),
        ("divided", divided()),
        ("valley", valley(None)),
        ("bent-valley", valley(Some("70"))),
    ] {
        if let Err(faults) = measure(&walls) {
            panic!("{name}: {}", faults[0]);
        }
        group.throughput(Throughput::Elements(walls.len() as u64));
        group.bench_with_input(
            BenchmarkId::new(name, walls.len()),
            &walls,
            |bencher, walls| {
                bencher.iter(|| measure(black_box(walls)));
            },
        );
    }
    group.finish();
}

/// The least time of many runs, which other work on the machine disturbs least.
fn least_time(walls: &[WallDrawing]) -> Duration {
    let once = |times: u32| {
        let start = Instant::now();
        for _ in 0..times {
            black_box(measure(black_box(walls))).unwrap();
        }
        start.elapsed() / times
    };
    let times = (2_000 / once(3).as_micros().max(1)).max(1) as u32;
    (0..500).map(|_| once(times)).min().unwrap_or_default()
}

/// What each further wall adds, between jobs of 12, 200 and 5,000 walls.
fn growth() {
    let counts = [12_u32, 200, 5_000];
    let times = counts.map(|count| least_time(&plain(count as usize)).as_secs_f64() * 1e9);
    for (count, time) in counts.iter().zip(times) {
        println!("{count:>6} walls, least time {:>9.2} us", time / 1e3);
    }
    let each =
        |from: usize, to: usize| (times[to] - times[from]) / f64::from(counts[to] - counts[from]);
    let (few, many) = (each(0, 1), each(1, 2));
    println!(
        "each further wall: {few:.0} ns up to 200, {many:.0} ns up to 5,000: ratio {:.2}",
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
    growth();
    criterion.final_summary();
}
