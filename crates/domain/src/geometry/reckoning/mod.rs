//! Walls measured a second way, by a plain reckoner that shares nothing with what it checks: cuts found by halving along
//! lanes or as sides of polygons, sections by strips across the wall, volumes by layers over the height; against random
//! runs and T-junctions, to 1e-9 m3 where strips and layers straddle no kink.

#![expect(
    clippy::disallowed_methods,
    reason = "the checks reckon with the machine's own sine and tangent, to share nothing with what they check"
)]

use proptest::prelude::*;
use proptest::test_runner::{Config, RngAlgorithm, TestRng, TestRunner};

use crate::geometry;

#[allow(dead_code, reason = "the other tests use all of it")]
#[path = "../../../tests/geometry/drawings.rs"]
mod drawings;

mod integral;
mod plain;
mod polygon;
mod reckoner;

use drawings::*;
use geometry::measure::tests::gross_volumes;
use geometry::{Batter, End, Path, Profile, Taper, WallDrawing};
use integral::{halved, integral};
use plain::Plain;
use polygon::{Spot, area, clipped, common, crossing_points};
use reckoner::{Met, Reckoner};

/// The walls of a run, laid one after the other; T-junctions on their hosts.
fn reckoned(walls: &[WallDrawing], volume: impl Fn(&Reckoner) -> f64) -> Vec<f64> {
    // Straight walls and left bends in no run turning right: the inner side is the left.
    let inner_is_left = true;
    let mut plains: Vec<Plain> = walls
        .iter()
        .map(|wall| Plain::new(wall, inner_is_left))
        .collect();
    for index in 1..walls.len() {
        let before = &plains[index - 1];
        let ((x, y), heading) = before.place(before.length, 0.0);
        let turn = walls[index - 1]
            .turn_degrees
            .map_or(90.0, float)
            .to_radians();
        if matches!(walls[index - 1].end, End::Corner { .. }) {
            plains[index].at = (x, y);
            plains[index].heading = heading + turn;
        }
        if let End::Into {
            at, turn_degrees, ..
        } = &walls[index].start
        {
            let host = &plains[0];
            let (at, heading) = host.place(float(at.metres()), 0.0);
            plains[index].at = at;
            plains[index].heading = heading - float(*turn_degrees).to_radians();
        }
    }
    let index_of = |id: &str| walls.iter().position(|wall| wall.id == id).expect("named");
    walls
        .iter()
        .enumerate()
        .map(|(index, wall)| {
            let before = walls.iter().position(|other| other.end == corner(&wall.id));
            let start = match (&wall.start, before) {
                (End::Into { wall, at, .. }, _) => {
                    let host = &plains[index_of(wall)];
                    Met::Host(host.clone(), host.height(float(at.metres())))
                }
                (_, Some(before)) => {
                    let mut other = plains[before].clone();
                    put_before(&mut other, &plains[index], turn_of(&walls[before]));
                    Met::Corner(other, false)
                }
                _ => Met::Nothing,
            };
            let end = match &wall.end {
                End::Corner { wall: after } => {
                    let mut other = plains[index_of(after)].clone();
                    put_after(&mut other, &plains[index], turn_of(wall));
                    Met::Corner(other, true)
                }
                _ => Met::Nothing,
            };
            volume(&Reckoner {
                wall: plains[index].clone(),
                start,
                end,
            })
        })
        .collect()
}

/// A closed run closes but for what rounding its drawing to a tenth of a millimetre leaves. So the wall before another
/// is put where the other starts, turned as drawn...
fn put_before(before: &mut Plain, wall: &Plain, turn: f64) {
    before.heading = wall.heading - turn - before.bend;
    let ((x, y), _) = before.place(before.length, 0.0);
    before.at = (before.at.0 + wall.at.0 - x, before.at.1 + wall.at.1 - y);
}

/// ...and the wall after another where the other ends.
fn put_after(after: &mut Plain, wall: &Plain, turn: f64) {
    let (end, heading) = wall.place(wall.length, 0.0);
    after.at = end;
    after.heading = heading + turn;
}

fn turn_of(wall: &WallDrawing) -> f64 {
    wall.turn_degrees.map_or(90.0, float).to_radians()
}

#[track_caller]
fn agrees(walls: &[WallDrawing], strips: usize, layers: usize, tolerance: f64) {
    let found = gross_volumes(walls).expect("a sound drawing");
    let expected = reckoned(walls, |reckoner: &Reckoner| {
        reckoner.volume(|from, to| integral(from, to, layers, |z| reckoner.by_strips(strips, z)))
    });
    are_close(walls, &found, &expected, tolerance);
}

/// As [`agrees`], of straight walls only, to 1e-9 through every kink.
#[track_caller]
fn agrees_with_polygons(walls: &[WallDrawing]) {
    let found = gross_volumes(walls).expect("a sound drawing");
    let expected = reckoned(walls, |reckoner: &Reckoner| {
        reckoner.volume(|from, to| halved(from, to, &|z| reckoner.by_polygon(z)))
    });
    are_close(walls, &found, &expected, 1e-9);
}

#[track_caller]
fn are_close(walls: &[WallDrawing], found: &[f64], expected: &[f64], tolerance: f64) {
    for (wall, (found, expected)) in walls.iter().zip(found.iter().zip(expected)) {
        let gap = (found - expected).abs();
        assert!(
            gap < tolerance,
            "{}: {found} for {expected}, {gap:e} apart",
            wall.id
        );
    }
}

fn runner(cases: u32) -> TestRunner {
    let config = Config {
        cases,
        failure_persistence: None,
        ..Config::default()
    };
    TestRunner::new_with_rng(config, TestRng::deterministic_rng(RngAlgorithm::ChaCha))
}

/// What is drawn of a wall besides its length.
#[derive(Debug, Clone)]
struct Shape {
    thickness: f64,
    top: f64,
    batter: Batter,
}

fn shape() -> impl Strategy<Value = Shape> {
    let batter = prop_oneof![Just(Batter::Both), Just(Batter::Outer), Just(Batter::Inner)];
    (0.25..0.6, 0.6..1.0, batter).prop_map(|(thickness, share, batter)| Shape {
        thickness,
        top: thickness * share,
        batter,
    })
}

fn shaped(wall: WallDrawing, shape: &Shape) -> WallDrawing {
    WallDrawing {
        thickness: drawn(shape.thickness),
        taper: Some(Taper {
            thickness_top: drawn(shape.top),
            batter: shape.batter,
        }),
        ..wall
    }
}

/// A closed run of five walls, the first of them an arc or straight, on the corners of a bent pentagon.
fn pentagon(radius: f64, wobble: &[f64], bow: f64) -> Vec<WallDrawing> {
    let corner_at = |index: usize| {
        let angle = (index as f64 * 72.0 + wobble[index % 5] * 12.0).to_radians();
        let distance = radius * (1.0 + 0.15 * wobble[(index + 2) % 5]);
        (distance * angle.cos(), distance * angle.sin())
    };
    let mut walls = Vec::new();
    let mut headings = Vec::new();
    for index in 0..5 {
        let (a, b) = (corner_at(index), corner_at((index + 1) % 5));
        let (dx, dy) = (b.0 - a.0, b.1 - a.1);
        let (chord, heading) = (dx.hypot(dy), dy.atan2(dx).to_degrees());
        let bend = if index == 0 {
            (bow * 100.0).round()
        } else {
            0.0
        };
        let id = format!("w{index}");
        let wall = if bend == 0.0 {
            WallDrawing {
                path: Path::Straight {
                    length: drawn(chord),
                },
                ..wall(&id, "1", "2.4", "0.4")
            }
        } else {
            let radius = chord / 2.0 / (bend.abs() / 2.0).to_radians().sin();
            let path = Path::Arc {
                radius: drawn(radius),
                bend_degrees: number(&bend.to_string()),
            };
            WallDrawing {
                path,
                ..wall(&id, "1", "2.4", "0.4")
            }
        };
        walls.push(wall);
        headings.push((heading - bend / 2.0, heading + bend / 2.0));
    }
    for index in 0..5 {
        let turn = headings[(index + 1) % 5].0 - headings[index].1;
        let turn = (turn + 540.0).rem_euclid(360.0) - 180.0;
        walls[index].turn_degrees = Some(number(&format!("{turn:.6}")));
    }
    closed(walls)
}

#[test]
fn random_closed_runs_agree_with_the_reckoner() {
    let run = (
        2.5..5.0,
        prop::collection::vec(-1.0..1.0, 5),
        -0.8..0.8,
        prop::collection::vec(shape(), 5),
    );
    let checked = runner(12).run(&run, |(radius, wobble, bow, shapes)| {
        let walls: Vec<WallDrawing> = pentagon(radius, &wobble, bow)
            .into_iter()
            .zip(&shapes)
            .map(|(wall, shape)| shaped(wall, shape))
            .collect();
        agrees(&walls, 4, 3, 1e-9);
        Ok(())
    });
    checked.expect("all agree");
}

#[test]
fn random_closed_runs_of_unlike_heights_agree_with_the_reckoner() {
    let run = (
        2.5..5.0,
        prop::collection::vec(-1.0..1.0, 5),
        prop::collection::vec(shape(), 5),
        prop::collection::vec(0.6..1.0, 5),
    );
    let checked = runner(8).run(&run, |(radius, wobble, shapes, shares)| {
        let walls: Vec<WallDrawing> = pentagon(radius, &wobble, 0.4)
            .into_iter()
            .zip(shapes.iter().zip(&shares))
            .map(|(wall, (shape, share))| WallDrawing {
                profile: Profile::Level {
                    height: drawn(2.8 * share),
                },
                ..shaped(wall, shape)
            })
            .collect();
        agrees(&walls, 4, 3, 1e-9);
        Ok(())
    });
    checked.expect("all agree");
}

/// Slopes and gables of these figures on a run, each lower end of them where its corner has it.
fn topped(
    mut walls: Vec<WallDrawing>,
    shapes: &[Shape],
    tops: &[(f64, f64, f64, f64)],
) -> Vec<WallDrawing> {
    for (index, (shape, (start, end, rise, at))) in shapes.iter().zip(tops).enumerate() {
        let length = Plain::new(&walls[index], true).length;
        let profile = if index % 2 == 0 {
            Profile::Slope {
                height: drawn(*start),
                height_end: drawn(*end),
            }
        } else {
            Profile::Peak {
                height: drawn(*start),
                peak: drawn(start.max(*end) + rise),
                peak_at: drawn(at * length),
                height_end: Some(drawn(*end)),
            }
        };
        walls[index] = WallDrawing {
            profile,
            ..shaped(walls[index].clone(), shape)
        };
    }
    walls
}

fn tops() -> impl Strategy<Value = Vec<(f64, f64, f64, f64)>> {
    prop::collection::vec((2.0..2.8, 2.0..2.8, 0.0..1.2, 0.2..0.8), 5)
}

#[test]
fn random_slopes_and_gables_through_corners_agree_with_polygons() {
    let run = (
        prop::collection::vec(-1.0..1.0, 5),
        prop::collection::vec(shape(), 5),
        tops(),
    );
    let checked = runner(6).run(&run, |(wobble, shapes, tops)| {
        agrees_with_polygons(&topped(pentagon(4.0, &wobble, 0.0), &shapes, &tops));
        Ok(())
    });
    checked.expect("all agree");
}

/// Beside an arc: by strips, which are only so fine about the kinks.
#[test]
fn random_slopes_and_gables_beside_an_arc_agree_with_the_reckoner() {
    let run = (
        prop::collection::vec(-1.0..1.0, 5),
        0.2..0.6,
        prop::collection::vec(shape(), 5),
        tops(),
    );
    let checked = runner(2).run(&run, |(wobble, bow, shapes, tops)| {
        agrees(
            &topped(pentagon(4.0, &wobble, bow), &shapes, &tops),
            6,
            8,
            3e-4,
        );
        Ok(())
    });
    checked.expect("all agree");
}

#[test]
fn random_t_junctions_agree_with_the_reckoner() {
    let run = (
        (-0.9..0.9, shape(), shape()),
        (40.0..140.0_f64, any::<bool>(), 0.3..0.7),
        (-0.6..0.6, 0.7..1.4),
    );
    let checked = runner(16).run(&run, |((bow, host, guest), (turn, to_left, share), (guest_bow, rise))| {
        let bent = |id: &str, bow: f64, radius: f64| {
            let bend = (bow * 100.0).round();
            if bend.abs() < 5.0 {
                wall(id, "4", "2.2", "0.4")
            } else {
                let path = Path::Arc { radius: drawn(radius), bend_degrees: number(&bend.to_string()) };
                WallDrawing { path, ..wall(id, "1", "2.2", "0.4") }
            }
        };
        let host = shaped(bent("host", bow, 4.0), &host);
        let at = share * Plain::new(&host, true).length;
        let turn: f64 = turn;
        let turn = if to_left { turn } else { -turn };
        let start = into("host", &format!("{at:.4}"), &format!("{turn:.3}"));
        let guest = WallDrawing {
            start,
            profile: Profile::Level { height: drawn(2.2 * rise) },
            ..shaped(bent("guest", guest_bow, 3.5), &guest)
        };
        // The reckoner takes the left for the inner: true of straight walls and left bends.
        let host_inner_is_left = !matches!(&host.path, Path::Arc { bend_degrees, .. } if bend_degrees.is_sign_negative());
        let guest_inner_is_left = !matches!(&guest.path, Path::Arc { bend_degrees, .. } if bend_degrees.is_sign_negative());
        prop_assume!(host_inner_is_left && guest_inner_is_left);
        let walls = [host, guest];
        // A guest bent along its host may pass it by: that is refused, and no volume to compare.
        prop_assume!(gross_volumes(&walls).is_ok());
        agrees(&walls, 4, 3, 1e-9);
        Ok(())
    });
    checked.expect("all agree");
}

#[test]
fn random_sloping_t_junctions_agree_with_polygons() {
    let run = (
        (shape(), shape()),
        (35.0..145.0_f64, any::<bool>()),
        (2.0..3.0, 2.0..3.0, 2.0..3.0),
    );
    let checked = runner(12).run(
        &run,
        |((host, guest), (turn, to_left), (start, end, host_end))| {
            let turn = if to_left { turn } else { -turn };
            let slope = |height: f64, height_end: f64| Profile::Slope {
                height: drawn(height),
                height_end: drawn(height_end),
            };
            let walls = [
                WallDrawing {
                    profile: slope(2.4, host_end),
                    ..shaped(wall("host", "6", "1", "1"), &host)
                },
                WallDrawing {
                    start: into("host", "3", &format!("{turn:.3}")),
                    profile: slope(start, end),
                    ..shaped(wall("guest", "3", "1", "1"), &guest)
                },
            ];
            agrees_with_polygons(&walls);
            Ok(())
        },
    );
    checked.expect("all agree");
}

#[test]
fn random_valleys_lose_and_double_nothing() {
    let run = (
        (12.0..130.0_f64, any::<bool>()),
        (shape(), shape()),
        (2.0..2.3, 2.0..2.3),
        (0.8..2.4, 0.8..2.4),
    );
    let checked = runner(12).run(
        &run,
        |((turn, to_left), (a, b), (a_foot, b_foot), (a_rise, b_rise))| {
            let turn = if to_left { turn } else { -turn };
            let slope = |height: f64, height_end: f64| Profile::Slope {
                height: drawn(height),
                height_end: drawn(height_end),
            };
            let walls = [
                WallDrawing {
                    end: corner("b"),
                    turn_degrees: Some(number(&format!("{turn:.3}"))),
                    profile: slope(a_foot + a_rise, a_foot),
                    ..shaped(wall("a", "2.5", "1", "1"), &a)
                },
                WallDrawing {
                    profile: slope(b_foot, b_foot + b_rise),
                    ..shaped(wall("b", "2.5", "1", "1"), &b)
                },
            ];
            agrees_with_polygons(&walls);
            let sum: f64 = gross_volumes(&walls).expect("a sound drawing").iter().sum();
            let union = union(&walls);
            prop_assert!(
                (sum - union).abs() < 1e-9,
                "{sum} against a union of {union}"
            );
            Ok(())
        },
    );
    checked.expect("all agree");
}

/// Volume of all that stands in either of two straight walls at a corner. Below the corner's height both are mitred;
/// above it each is cut square there: both by themselves, less what stands in both.
fn union(walls: &[WallDrawing; 2]) -> f64 {
    let mut plains = walls.clone().map(|wall| Plain::new(&wall, true));
    let ((x, y), heading) = plains[0].place(plains[0].length, 0.0);
    plains[1].at = (x, y);
    plains[1].heading = heading + walls[0].turn_degrees.map_or(90.0, float).to_radians();
    let [a, b] = &plains;
    let corner = a.height(a.length).min(b.height(0.0));
    let square_end = |plain: &Plain, polygon: Vec<Spot>, s: f64| {
        clipped(&polygon, plain.across(s), plain.middle())
    };
    let section = |z: f64| {
        if z <= corner {
            let line = crossing_points(a, b, z);
            let of_a = square_end(a, clipped(&a.strip(z), line, a.middle()), 0.0);
            let of_b = square_end(b, clipped(&b.strip(z), line, b.middle()), b.length);
            return area(&of_a) + area(&of_b);
        }
        let stands = |plain: &Plain, near: f64, far: f64| {
            if z <= plain.greatest_height() {
                square_end(plain, plain.squared(z, near), far)
            } else {
                Vec::new()
            }
        };
        let (of_a, of_b) = (stands(a, a.length, 0.0), stands(b, 0.0, b.length));
        let both = if of_a.is_empty() || of_b.is_empty() {
            0.0
        } else {
            area(&common(&of_a, &of_b))
        };
        area(&of_a) + area(&of_b) - both
    };
    let mut levels = vec![0.0];
    levels.extend(
        plains
            .iter()
            .flat_map(|plain| plain.heights.iter().map(|(_, h)| *h)),
    );
    levels.sort_by(f64::total_cmp);
    levels
        .windows(2)
        .map(|pair| halved(pair[0], pair[1], &section))
        .sum()
}
