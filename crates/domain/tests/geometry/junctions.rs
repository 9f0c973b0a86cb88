//! Corners and T-junctions worked by hand: nothing counted twice, nothing lost, at every height.

use hod_domain::geometry::{Batter, Profile, WallDrawing, Working};

use crate::drawings::*;

#[track_caller]
fn is_near(found: f64, expected: f64) {
    assert!((found - expected).abs() < 1.5e-6, "{found} for {expected}");
}

fn volume(measured: &hod_domain::geometry::WallMeasure) -> f64 {
    float(measured.gross.cubic_metres())
}

/// Two plumb walls meeting at a corner.
fn corner_of(a: WallDrawing, b: WallDrawing, turn: &str) -> Vec<WallDrawing> {
    let end = corner(&b.id);
    vec![
        WallDrawing {
            end,
            turn_degrees: Some(number(turn)),
            ..a
        },
        b,
    ]
}

#[test]
fn a_corner_of_like_walls_keeps_their_centre_lines_at_any_angle() {
    for turn in ["90", "-90", "30", "-150", "150", "1", "0"] {
        let walls = corner_of(wall("a", "4", "2", "0.4"), wall("b", "3", "2", "0.4"), turn);
        let measured = measured(&walls);
        is_near(volume(&measured[0]), 4.0 * 2.0 * 0.4);
        is_near(volume(&measured[1]), 3.0 * 2.0 * 0.4);
    }
}

#[test]
fn a_corner_takes_from_the_inner_face_what_it_gives_to_the_outer() {
    // Turn 60 to the left: 0.2 tan 30 = 0.115470 m off the left face, on to the right.
    let walls = corner_of(wall("a", "4", "2", "0.4"), wall("b", "3", "2", "0.4"), "60");
    let measured = measured(&walls);
    let step = 0.2 * (std::f64::consts::PI / 6.0).tan();
    // Not a closed run: the inner face is the left.
    is_near(
        float(measured[0].inner_face.square_metres()),
        (4.0 - step) * 2.0,
    );
    is_near(
        float(measured[0].outer_face.square_metres()),
        (4.0 + step) * 2.0,
    );
}

#[test]
fn the_higher_of_two_walls_is_cut_square_above_the_lower() {
    // A 3 m high, B 2 m, both 0.4 m: up to 2 m mitred, above A ends at the corner point. Left face of A: up to 2 m
    // 0.2 short, right face 0.2 longer; above both to the corner point.
    let walls = corner_of(wall("a", "4", "3", "0.4"), wall("b", "3", "2", "0.4"), "90");
    let measured = measured(&walls);
    is_near(volume(&measured[0]), 4.0 * 3.0 * 0.4);
    is_near(volume(&measured[1]), 3.0 * 2.0 * 0.4);
    is_near(
        float(measured[0].inner_face.square_metres()),
        3.8 * 2.0 + 4.0,
    );
    is_near(
        float(measured[0].outer_face.square_metres()),
        4.2 * 2.0 + 4.0,
    );
    // With unlike thicknesses the lower part of A is 0.6 longer by half of both on one side only: its mitre runs from
    // -0.3 (left) to +0.3 (right) still, for B's faces are 0.3 off: nothing gained.
    let walls = corner_of(wall("a", "4", "3", "0.4"), wall("b", "3", "2", "0.6"), "90");
    let measured = crate::drawings::measured(&walls);
    is_near(volume(&measured[0]), 4.0 * 3.0 * 0.4);
}

#[test]
fn a_wall_sloping_up_to_a_corner_keeps_its_slope_through_the_mitre() {
    // A rises from 2 to 3 m over 4 m; B is 3 m high. On the left face A ends 0.2 short of the corner, on the right 0.2
    // beyond it, where its top runs on level at 3 m. Per lane at offset n, A ends at e = 4 - n:
    // up to e <= 4: 2 e + e^2/8, beyond: 10 + 3 (e - 4). Over n from -0.2 to 0.2:
    // left half, integral of 2 e + e^2/8 from 3.8 to 4: (16 - 14.44) + (64 - 54.872)/24 = 1.940333; right half
    // 10 x 0.2 + 3 x 0.02 = 2.06. Together 4.000333.
    let sloping = WallDrawing {
        profile: Profile::Slope {
            height: m("2"),
            height_end: m("3"),
        },
        ..wall("a", "4", "1", "0.4")
    };
    let walls = corner_of(sloping, wall("b", "3", "3", "0.4"), "90");
    is_near(volume(&measured(&walls)[0]), 1.56 + 9.128 / 24.0 + 2.06);
}

#[test]
fn what_two_walls_share_in_a_valley_is_counted_once() {
    // Both 0.4 m thick, 2 m high at their corner, rising away from it at 1 in 2 to 4 m over 4 m. Below 2 m they are
    // mitred: 4 x 2 x 0.4 = 3.2 each. Above, each is a triangle 4 m long and 2 m high: 4 x 2/2 x 0.4 = 1.6; of that they
    // share, at a height h above the corner, a square of side 0.2 - 2 h up to h = 0.1: 0.2^3 / 6 = 0.001333, half each.
    let down = WallDrawing {
        profile: Profile::Slope {
            height: m("4"),
            height_end: m("2"),
        },
        ..wall("a", "4", "1", "0.4")
    };
    let up = WallDrawing {
        profile: Profile::Slope {
            height: m("2"),
            height_end: m("4"),
        },
        ..wall("b", "4", "1", "0.4")
    };
    let measured = measured(&corner_of(down, up, "90"));
    let shared = 0.008 / 6.0;
    for wall in &measured {
        is_near(volume(wall), 3.2 + 1.6 - shared / 2.0);
        // The inner face: below 2 m from the mitre, 3.8 x 2; above it a triangle, less what is inside the other wall:
        // at h from 2 h off the corner to 0.2: 0.2 x 0.1 / 2.
        is_near(
            float(wall.inner_face.square_metres()),
            3.8 * 2.0 + 4.0 - 0.01,
        );
        is_near(float(wall.outer_face.square_metres()), 4.2 * 2.0 + 4.0);
    }
}

#[test]
fn a_wall_rising_from_a_corner_shares_it_with_a_higher_neighbour() {
    // A falls to 2 m at the corner from 4 m over 4 m; B stands level at 4 m. Above 2 m, at h: A ends 2 h short of the
    // corner, B begins at it: they share (0.2 - 2 h) x 0.2, up to h = 0.1: 0.2 x 0.01 = 0.002. Of that B has what is
    // beyond the mitre, a right triangle of side 0.2 - 2 h: 0.2^3/12 = 0.000667, and A the rest.
    let down = WallDrawing {
        profile: Profile::Slope {
            height: m("4"),
            height_end: m("2"),
        },
        ..wall("a", "4", "1", "0.4")
    };
    let measured = measured(&corner_of(down, wall("b", "3", "4", "0.4"), "90"));
    let of_b = 0.008 / 12.0;
    is_near(volume(&measured[0]), 3.2 + 1.6 - of_b);
    is_near(volume(&measured[1]), 3.0 * 4.0 * 0.4 - (0.002 - of_b));
}

#[test]
fn a_wall_that_runs_into_another_stops_at_its_face() {
    // Guest 3 m to the host's centre line, host 0.5 m thick: 2.75 x 2 x 0.4, whichever side it comes from.
    for turn in ["90", "-90"] {
        let walls = [
            wall("host", "6", "2", "0.5"),
            WallDrawing {
                end: into("host", "3", turn),
                ..wall("guest", "3", "2", "0.4")
            },
        ];
        let measured = measured(&walls);
        is_near(volume(&measured[0]), 6.0 * 2.0 * 0.5);
        is_near(volume(&measured[1]), 2.75 * 2.0 * 0.4);
        let walls = [
            wall("host", "6", "2", "0.5"),
            WallDrawing {
                start: into("host", "3", turn),
                ..wall("guest", "3", "2", "0.4")
            },
        ];
        is_near(
            volume(&crate::drawings::measured(&walls)[1]),
            2.75 * 2.0 * 0.4,
        );
    }
    // At 60 degrees the middle of the guest stops 0.25 / sin 60 before the centre line.
    let walls = [
        wall("host", "6", "2", "0.5"),
        WallDrawing {
            end: into("host", "3", "60"),
            ..wall("guest", "3", "2", "0.4")
        },
    ];
    let short = 0.25 / (std::f64::consts::PI / 3.0).sin();
    is_near(volume(&measured(&walls)[1]), (3.0 - short) * 2.0 * 0.4);
}

#[test]
fn a_guest_follows_a_leaning_face_at_each_height() {
    // Host 0.6 m at the base, 0.4 at 2 m. Leaning on the side of the guest (its left, the inner when nothing else says)
    // the face goes from 0.3 to 0.1 off the centre line: mean 0.2. Leaning on the other it stays at 0.3.
    let table = [
        (Batter::Inner, 2.8),
        (Batter::Outer, 2.7),
        (Batter::Both, 2.75),
    ];
    for (batter, mean_length) in table {
        let walls = [
            WallDrawing {
                taper: taper("0.4", batter),
                ..wall("host", "6", "2", "0.6")
            },
            WallDrawing {
                end: into("host", "3", "90"),
                ..wall("guest", "3", "2", "0.4")
            },
        ];
        is_near(volume(&measured(&walls)[1]), mean_length * 2.0 * 0.4);
    }
}

#[test]
fn above_its_host_a_guest_runs_on_to_the_centre_line() {
    // Host 2 m high where they meet (it falls from 2.5 to 1.5 m), guest 3 m: 2.75 x 0.4 x 2 + 3 x 0.4 x 1.
    let walls = [
        WallDrawing {
            profile: Profile::Slope {
                height: m("2.5"),
                height_end: m("1.5"),
            },
            ..wall("host", "6", "1", "0.5")
        },
        WallDrawing {
            end: into("host", "3", "90"),
            ..wall("guest", "3", "3", "0.4")
        },
    ];
    is_near(volume(&measured(&walls)[1]), 2.2 + 1.2);
}

#[test]
fn a_guest_of_a_round_wall_is_cut_along_its_circle() {
    // Host R 3, 0.4 thick; guest 0.5 thick, square onto its outside (radius 3.2) and its inside (2.8). Between the guest's
    // faces the circle of radius r takes a segment: of its angle 2 asin(0.25/r), r^2/2 (a - sin a).
    let segment = |r: f64| {
        let a = 2.0 * (0.25 / r).asin();
        r * r / 2.0 * (a - a.sin())
    };
    let face = |r: f64| 3.0 - (r * r - 0.0625_f64).sqrt();
    // The host bends left: its centre is to its left. Coming from its right, the guest arrives at the outside.
    let at = "3.5";
    for (turn, outside) in [("-90", true), ("90", false)] {
        let walls = [
            arc("host", "3", "135", "2", "0.4"),
            WallDrawing {
                end: into("host", at, turn),
                ..wall("guest", "2.5", "2", "0.5")
            },
        ];
        let found = volume(&measured(&walls)[1]);
        let plan = if outside {
            // The faces stop at 3.2 from the centre, which is 3 ahead of the end: the middle sooner by the segment.
            (2.5 + face(3.2)) * 0.5 - segment(3.2)
        } else {
            // From within: the faces stop before the centre line, the middle later.
            (2.5 - face(2.8)) * 0.5 + segment(2.8)
        };
        is_near(found, plan * 2.0);
    }
}

#[test]
fn arcs_meet_at_a_mitre_between_their_faces() {
    // Two arcs of radius 4 bending left by 90, closing on each other at two right-angled corners: a lens. All plumb: the
    // plan of the lens outside less inside, each made of two segments. Chord 4 sqrt 2; the outer circles (r 4.225) and
    // the inner (3.775) share the centres of the arcs, which are c = 4 sqrt 2 apart.
    let make = |id: &str| arc(id, "4", "90", "2", "0.45");
    let measured = measured(&closed(vec![make("a"), make("b")]));
    let lens = |r: f64| {
        let half = 2.0 * 2.0_f64.sqrt();
        2.0 * (r * r * (half / r).acos() - half * (r * r - half * half).sqrt())
    };
    is_near(gross(&measured), (lens(4.225) - lens(3.775)) * 2.0);
    // Plumb, so one product explains each: the mean length between its mitres.
    assert!(matches!(
        measured[0].working,
        Working::Product {
            is_mitred: true,
            ..
        }
    ));
}

#[test]
fn a_leaning_round_wall_meets_a_straight_one_at_every_height() {
    // A D-shaped hut: half a circle of radius 2 and its diameter of 4 m, both 0.5 m, the outer face leaning in by 0.1.
    // At height z the outside is half a disc of radius 2.25 - 0.1 z whose flat side lies 0.25 - 0.1 z beyond its centre;
    // the inside one of radius 1.75 whose flat side lies 0.25 short of it.
    let make = |wall: WallDrawing| WallDrawing {
        taper: taper("0.3", Batter::Outer),
        ..wall
    };
    let walls = closed(vec![
        make(arc("bow", "2", "180", "2", "0.5")),
        make(wall("flat", "4", "2", "0.5")),
    ]);
    let cap = |r: f64, flat: f64| {
        // Part of a disc beyond a line at a distance on the far side of its centre.
        std::f64::consts::FRAC_PI_2 * r * r
            + flat * (r * r - flat * flat).sqrt()
            + r * r * (flat / r).asin()
    };
    let section = |z: f64| cap(2.25 - 0.1 * z, 0.25 - 0.1 * z) - cap(1.75, -0.25);
    // Simpson with 200 steps.
    let mut expected = 0.0;
    for step in 0..200 {
        let (low, high) = (f64::from(step) * 0.01, f64::from(step + 1) * 0.01);
        expected += 0.01 / 6.0 * (section(low) + 4.0 * section(0.5 * (low + high)) + section(high));
    }
    is_near(gross(&measured(&walls)), expected);
}
