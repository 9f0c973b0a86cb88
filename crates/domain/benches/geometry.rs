//! How long measuring takes: 12, 200 and 5,000 plain walls in closed rooms, each with a window, every third with a
//! door, in five or six lifts; and one wall of each harder kind.

#![allow(clippy::unwrap_used)]

#[path = "../tests/geometry/drawings.rs"]
#[allow(dead_code)]
mod drawings;

use std::hint::black_box;

use criterion::{BenchmarkId, Criterion, Throughput, criterion_group, criterion_main};
use drawings::{arc, closed, corner, m, number, opening, rectangle, room, taper, wall};
use hod_domain::geometry::{Batter, OpeningShape, Profile, WallDrawing, measure};

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
        wall.openings.push(opening("door", rectangle("2.00"), "0.90", "0", "0.60"));
    }
    walls
}

/// A room with two gables and a lower lean-to wall, arched and splayed openings.
fn gabled() -> Vec<WallDrawing> {
    let peak = Profile::Peak { height: m("2.4"), peak: m("3.9"), peak_at: m("2.0"), height_end: None };
    let mut walls = room("", "6.20", "4.00", |id, length| WallDrawing {
        taper: taper("0.400", Batter::Outer),
        profile: if length == "4.00" { peak } else { Profile::Level { height: m("2.4") } },
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
        openings: vec![opening("window", OpeningShape::Circle, "0.80", "0.90", "2.00")],
        ..arc(id, "4", "90", "2.40", "0.450")
    };
    closed(vec![make("a"), make("b")])
}

fn bench(criterion: &mut Criterion) {
    let mut group = criterion.benchmark_group("geometry");
    for count in [12, 200, 5000] {
        let walls = plain(count);
        assert!(measure(&walls).is_ok());
        group.throughput(Throughput::Elements(count as u64));
        group.bench_with_input(BenchmarkId::new("plain", count), &walls, |bencher, walls| {
            bencher.iter(|| measure(black_box(walls)));
        });
    }
    for (name, walls) in [("gabled", gabled()), ("curved", curved())] {
        if let Err(faults) = measure(&walls) {
            panic!("{name}: {}", faults[0]);
        }
        group.throughput(Throughput::Elements(walls.len() as u64));
        group.bench_with_input(BenchmarkId::new(name, walls.len()), &walls, |bencher, walls| {
            bencher.iter(|| measure(black_box(walls)));
        });
    }
    group.finish();
    let _ = corner;
}

criterion_group!(benches, bench);
criterion_main!(benches);
