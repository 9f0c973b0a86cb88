//! Walls measured by hand, with the working in the margin. Published examples name their source.

use hod_domain::geometry::{
    Batter, Face, OpeningShape, Profile, Sections, Slice, WallDrawing, WallMeasure, Working,
};
use hod_units::{Length, Volume};

use crate::drawings::*;

/// Whether a volume is the figure worked by hand, to the step of volumes.
#[track_caller]
fn is_m3(volume: Volume, expected: &str) {
    let gap = (volume.cubic_metres() - number(expected)).abs();
    assert!(gap <= number("0.0000005"), "{volume} for {expected}");
}

fn sum(measured: &[WallMeasure], of: impl Fn(&WallMeasure) -> Volume) -> Volume {
    Volume::checked_sum(measured.iter().map(of)).expect("a small sum")
}

/// The closed run of the job-file page: 6.20 x 4.00 m, 2.40 m high, 450 to 400 mm.
fn studio() -> Vec<WallDrawing> {
    let mut walls = room("", "6.20", "4.00", |id, length| WallDrawing {
        taper: taper("0.400", Batter::Both),
        paring: m("0.025"),
        ..wall(id, length, "2.40", "0.450")
    });
    walls[0]
        .openings
        .push(opening("door", rectangle("2.00"), "0.90", "0.00", "1.10"));
    walls
}

#[test]
fn a_studio_wall_with_a_door_is_worked_on_paper() {
    let south = measured(&studio()).remove(0);
    // 6.20 x 2.40 x mean 0.425 = 6.324; door 0.90 x 2.00 x (0.450 - 0.020833 x 1.00) = 0.7725.
    assert_eq!(south.gross, m3("6.324"));
    assert_eq!(south.displaced, m3("0.7725"));
    assert_eq!(south.net, m3("5.5515"));
    let working = Working::Product {
        length: m("6.20"),
        is_mitred: false,
        mean_height: m("2.40"),
        mean_thickness: m("0.425"),
    };
    assert_eq!(south.working, working);
    // Inner face between the mitres: 6.20 - 2 x mean 0.2125 = 5.775 long; outer 6.625; each x 2.40 less the door's
    // 1.80, x sqrt(1 + 0.0104167^2) = 1.00005425.
    let slope = (1.0_f64 + (0.025_f64 / 2.4).powi(2)).sqrt();
    let face = |length: f64| (length * 2.40 - 1.80) * slope;
    assert!((float(south.inner_face.square_metres()) - face(5.775)).abs() < 1e-6);
    assert!((float(south.outer_face.square_metres()) - face(6.625)).abs() < 1e-6);
    // Placed: 25 mm more on both.
    let paring = 0.025 * (face(5.775) + face(6.625));
    assert!((float(south.placed.cubic_metres()) - 5.5515 - paring).abs() < 2e-6);
    // Jambs 2 x integral of t to 2.00 = 2 x 2.00 x 0.429167; head 0.90 x 0.408333; no sill at 0.
    assert_eq!(south.reveal, m2("2.084167"));
    // Base: 6.20 x 0.450.
    assert_eq!(south.plan_area, m2("2.79"));
    // Lifts of 0.45 m: five and the rest of 0.15 m.
    assert_eq!(south.lifts.len(), 6);
    assert_eq!(
        (south.lifts[5].from, south.lifts[5].to),
        (m("2.25"), m("2.40"))
    );
    assert_eq!(
        Volume::checked_sum(south.lifts.iter().map(|lift| lift.volume)),
        Some(south.placed)
    );
}

#[test]
fn a_leaning_square_is_integrated_corner_by_corner() {
    // Centre line 4 m square, 2.4 m high, 0.6 m at the base, the outer face leaning in by 0.1 m each metre. At height z
    // the outside is 4.6 - 0.2 z square and the inside 3.4: (4.6 - 0.2 z)^2 - 11.56, integrated:
    // 50.784 - 5.2992 + 0.18432 - 27.744 = 17.92512. Base length x mean thickness would give 16 x 0.48 x 2.4 = 18.432.
    let walls = room("", "4", "4", |id, length| WallDrawing {
        taper: taper("0.36", Batter::Outer),
        ..wall(id, length, "2.4", "0.6")
    });
    let measured = measured(&walls);
    is_m3(sum(&measured, |wall| wall.gross), "17.92512");
    is_m3(measured[0].gross, "4.48128");
    // Its working is one slice of sections: (4.6^2 - 3.4^2)/4 = 2.4, (4.36^2 - 11.56)/4 = 1.8624, (4.12^2 - 11.56)/4 =
    // 1.3536; (2.4 + 4 x 1.8624 + 1.3536)/6 = 1.8672; x 2.4 = 4.48128.
    let sections = Sections {
        bottom: m2("2.4"),
        middle: m2("1.8624"),
        top: m2("1.3536"),
    };
    let slice = Slice {
        from: Length::ZERO,
        to: m("2.4"),
        mean_area: m2("1.8672"),
        sections: Some(sections),
    };
    assert_eq!(measured[0].working, Working::Slices(vec![slice]));
    // The inner face is plumb: 3.4 x 2.4. The outer from 4.6 to 4.12, x sqrt(1.01).
    assert_eq!(measured[0].inner_face, m2("8.16"));
    assert!(
        (float(measured[0].outer_face.square_metres()) - 4.36 * 2.4 * 1.01_f64.sqrt()).abs() < 1e-6
    );
}

#[test]
fn a_sloping_wall_follows_the_closed_formula() {
    // V = L [t0 (H0 + H1)/2 - k (H0^2 + H0 H1 + H1^2)/6]: L 5, H 2 to 3, t0 0.5, top 0.38 at 3 m, so k 0.04:
    // 5 (1.25 - 0.04 x 19/6) = 5.616667. The greatest height sets the taper: at the low end the top is 0.42 thick.
    let sloping = WallDrawing {
        profile: Profile::Slope {
            height: m("2"),
            height_end: m("3"),
        },
        taper: taper("0.38", Batter::Both),
        ..wall("shed", "5", "1", "0.5")
    };
    for batter in [Batter::Both, Batter::Outer, Batter::Inner] {
        let one = one(WallDrawing {
            taper: taper("0.38", batter),
            ..sloping.clone()
        });
        is_m3(one.gross, "5.6166667");
    }
    // Mean height 2.5; centroid at 19/15 = 1.266667; thickness there 0.449333; 5 x 2.5 x 0.449333 = 5.616667.
    match one(sloping).working {
        Working::Product {
            length,
            is_mitred: false,
            mean_height,
            mean_thickness,
        } => {
            assert_eq!((length, mean_height), (m("5"), m("2.5")));
            assert_eq!(mean_thickness, m("0.449333333333"));
        }
        other => panic!("{other:?}"),
    }
}

#[test]
fn a_gable_is_two_slopes() {
    // 6 m, 2.4 to 3.6 at the middle, 0.45 plumb: 18 m2 x 0.45 = 8.1.
    let gable = WallDrawing {
        profile: Profile::Peak {
            height: m("2.4"),
            peak: m("3.6"),
            peak_at: m("3"),
            height_end: None,
        },
        ..wall("gable", "6", "1", "0.45")
    };
    let gable = one(gable);
    is_m3(gable.gross, "8.1");
    // Lifts of 0.45 m; the last below the peak from 3.15: 0.45 m high, 2.25 m wide at its foot: half of that x 0.45.
    is_m3(gable.lifts[7].volume, "0.2278125");
    // One end higher: 2.4 to 3.6 over 2 m and down to 3.0 over 4 m: 6 + 13.2 = 19.2 m2.
    let uneven = WallDrawing {
        profile: Profile::Peak {
            height: m("2.4"),
            peak: m("3.6"),
            peak_at: m("2"),
            height_end: Some(m("3.0")),
        },
        ..wall("gable", "6", "1", "0.45")
    };
    is_m3(one(uneven).gross, "8.64");
}

#[test]
fn an_arc_of_even_thickness_is_its_centre_line() {
    // R 3, 0.4 thick, 135 degrees, 2.5 high: 3 x 2.356194 x 0.4 x 2.5 = 7.068583; faces at 3.2 and 2.8.
    for bend in ["135", "-135"] {
        let arc = one(arc("bow", "3", bend, "2.5", "0.4"));
        is_m3(arc.gross, "7.0685835");
        assert_eq!(arc.outer_face, m2("18.849556"));
        assert_eq!(arc.inner_face, m2("16.493361"));
        assert_eq!(arc.length, m("7.068583"));
    }
}

#[test]
fn an_arc_that_leans_on_one_face_is_integrated_over_its_radius() {
    // R 3, 0.6 thick, the outer face leaning in by 0.1 m each metre over 2 m; inner face at 2.7: area at z
    // b/2 ((3.3 - 0.1 z)^2 - 2.7^2), b = pi/2: pi/4 [21.78 - 1.32 + 0.026667 - 14.58] = pi/4 x 5.906667.
    let leaning = WallDrawing {
        taper: taper("0.4", Batter::Outer),
        ..arc("bow", "3", "90", "2", "0.6")
    };
    let expected = std::f64::consts::FRAC_PI_4 * (21.78 - 1.32 + 0.08 / 3.0 - 14.58);
    assert!((float(one(leaning).gross.cubic_metres()) - expected).abs() < 1e-6);
    // Leaning on both faces the middle stays on the centre line: 3 x pi/2 x 0.5 x 2.
    let both = WallDrawing {
        taper: taper("0.4", Batter::Both),
        ..arc("bow", "3", "90", "2", "0.6")
    };
    assert!((float(one(both).gross.cubic_metres()) - 1.5 * std::f64::consts::PI).abs() < 1e-6);
}

#[test]
fn openings_of_every_shape_take_their_area_times_the_thickness_at_their_centroid() {
    // Plumb, 0.5 m: areas of the heads as in the handbooks (segment 0.251604, half circle 0.392699, pointed 0.614185).
    let table = [
        (rectangle("1.2"), "0.9", "0.54"),
        (
            OpeningShape::Segmental {
                height: m("0.9"),
                rise: m("0.3"),
            },
            "1.2",
            "0.665802",
        ),
        (
            OpeningShape::Semicircular { height: m("0.9") },
            "1.0",
            "0.646350",
        ),
        (
            OpeningShape::Pointed { height: m("0.9") },
            "1.0",
            "0.757093",
        ),
        (OpeningShape::Circle, "0.6", "0.141372"),
    ];
    for (shape, width, displaced) in table {
        let drawing = WallDrawing {
            openings: vec![opening("o", shape, width, "0.5", "1")],
            ..wall("w", "4", "3", "0.5")
        };
        let gap = (one(drawing).displaced.cubic_metres() - number(displaced)).abs();
        assert!(gap <= number("0.000001"), "{shape:?}: {gap}");
    }
    // A circle of 0.6 m whose centre is at 1.2 m, in a wall of 0.5 - 0.05 x 1.2 = 0.44 m there: 0.09 pi x 0.44.
    let tapered = WallDrawing {
        openings: vec![opening("o", OpeningShape::Circle, "0.6", "0.9", "1")],
        taper: taper("0.35", Batter::Inner),
        ..wall("w", "4", "3", "0.5")
    };
    is_m3(one(tapered).displaced, "0.1244071");
}

#[test]
fn a_splayed_opening_is_a_prismatoid() {
    // 0.9 wide outside and 1.5 inside, 1.2 high through 0.5 m: mean 1.2 x 1.2 x 0.5 = 0.720. (Widened in height too,
    // to 1.8, it would be 0.915: <https://mathworld.wolfram.com/Prismatoid.html>.)
    let mut window = opening("window", rectangle("1.2"), "0.9", "0.5", "1");
    window.splay = m("0.6");
    let drawing = WallDrawing {
        openings: vec![window],
        ..wall("w", "4", "3", "0.5")
    };
    let one = one(drawing);
    is_m3(one.displaced, "0.720");
    assert_eq!(one.outer_face, m2("10.92"));
    assert_eq!(one.inner_face, m2("10.2"));
    // Jambs 2 x 1.2 x sqrt(0.5^2 + 0.3^2) = 1.3994285; head and sill 2 x 1.2 x 0.5 = 1.2.
    assert_eq!(one.reveal, m2("2.599428"));
}

#[test]
fn what_lies_in_the_stem_wall_is_not_taken_from_the_earth() {
    // A door 0.9 x 2.1 m whose sill is 0.15 m down in the stem wall: 0.9 x 1.95 x 0.4.
    let drawing = WallDrawing {
        openings: vec![opening("door", rectangle("2.1"), "0.9", "-0.15", "1")],
        stem_height: m("0.3"),
        ..wall("w", "4", "3", "0.4")
    };
    let one = one(drawing);
    is_m3(one.displaced, "0.702");
    // Jambs 2 x 1.95 x 0.4 and the head 0.36; no sill.
    assert_eq!(one.reveal, m2("1.92"));
}

#[test]
fn a_niche_leaves_the_area_of_a_straight_face() {
    // 0.6 x 0.8 m, 0.15 deep: 0.072 m3; jambs 2 x 0.12, head and sill 2 x 0.09.
    let mut shelf = niche("shelf", rectangle("0.8"), "0.6", "1", "1", "0.15");
    for face in [Face::Inner, Face::Outer] {
        shelf.face = face;
        let one = one(WallDrawing {
            niches: vec![shelf.clone()],
            ..wall("w", "4", "2.5", "0.4")
        });
        is_m3(one.displaced, "0.072");
        assert_eq!((one.inner_face, one.outer_face), (m2("10"), m2("10")));
        assert_eq!(one.reveal, m2("0.42"));
    }
}

#[test]
fn inclusions_are_spread_over_the_lifts() {
    // 40 bottles of 0.75 l: 0.03 m3 out of 4 x 1 x 0.4 = 1.6. Two lifts of 0.5 m: 0.785 each.
    let drawing = WallDrawing {
        inclusions: vec![inclusion("bottles", 40, "0.75")],
        lift_height: Some(m("0.5")),
        ..wall("w", "4", "1", "0.4")
    };
    let one = one(drawing);
    assert_eq!((one.displaced, one.net), (m3("0.03"), m3("1.57")));
    assert_eq!(
        one.lifts.iter().map(|lift| lift.volume).collect::<Vec<_>>(),
        [m3("0.785"), m3("0.785")]
    );
}

#[test]
fn each_lift_is_the_slice_between_its_levels() {
    // 4 x 1.2 x 0.5 with a window 1 x 0.8 from 0.3 to 1.1, in lifts of 0.5: 4 x 0.5 x 0.5 - 1 x 0.2 x 0.5 = 0.9;
    // 1.0 - 1 x 0.5 x 0.5 = 0.75; 4 x 0.2 x 0.5 - 1 x 0.1 x 0.5 = 0.35. Pared by 20 mm: 0.04 x (1.8, 1.5, 0.7) more.
    let drawing = WallDrawing {
        openings: vec![opening("window", rectangle("0.8"), "1", "0.3", "1")],
        lift_height: Some(m("0.5")),
        ..wall("w", "4", "1.2", "0.5")
    };
    let volumes = |drawing| {
        one(drawing)
            .lifts
            .iter()
            .map(|lift| lift.volume)
            .collect::<Vec<_>>()
    };
    assert_eq!(
        volumes(drawing.clone()),
        [m3("0.9"), m3("0.75"), m3("0.35")]
    );
    let pared = WallDrawing {
        paring: m("0.02"),
        ..drawing
    };
    assert_eq!(volumes(pared), [m3("0.972"), m3("0.81"), m3("0.378")]);
}

#[test]
fn a_lift_is_as_high_as_the_wall_is_thick_but_at_most_0_45_m() {
    let lifts = |thickness| one(wall("w", "4", "1.8", thickness)).lifts;
    assert_eq!(lifts("0.6").len(), 4);
    assert_eq!(lifts("0.6")[0].to, m("0.45"));
    // 0.3 m: six of them, with no sliver on top.
    assert_eq!(lifts("0.3").len(), 6);
    assert_eq!(
        (lifts("0.3")[5].from, lifts("0.3")[5].to),
        (m("1.5"), m("1.8"))
    );
}

#[test]
fn paring_is_added_on_both_true_faces() {
    // Plumb 4 x 2 x 0.4 with a window of 1 x 1: net 2.8; faces 7 m2 each; 20 mm on both 0.28.
    let drawing = WallDrawing {
        openings: vec![opening("window", rectangle("1"), "1", "0.8", "1")],
        paring: m("0.02"),
        ..wall("w", "4", "2", "0.4")
    };
    let one = one(drawing);
    assert_eq!((one.net, one.placed), (m3("2.8"), m3("3.08")));
}

#[test]
fn the_room_of_the_examination_page() {
    // Room 5 x 4 m inside, 0.3 m walls, 3.5 m high, one door 1.2 x 2.0: (19.2 x 3.5 - 2.4) x 0.3 = 19.44 m3
    // (<https://domiterapia.com>, exam answer page 5e75a81ff60d5d2bf3e7a856).
    let mut walls = room("", "5.3", "4.3", |id, length| {
        wall(id, length, "3.5", "0.3")
    });
    walls[0]
        .openings
        .push(opening("door", rectangle("2.0"), "1.2", "0", "1"));
    is_m3(sum(&measured(&walls), |wall| wall.net), "19.44");
}

#[test]
fn the_girth_of_the_centre_line() {
    // Outside 15 x 6 m, 0.3 m thick: 2 (14.7 + 5.7) = 40.8 m
    // (<https://worldconstructor.blogspot.com/2017/07/measuring-perimeter-or-girth-of.html>).
    let walls = room("", "14.7", "5.7", |id, length| wall(id, length, "3", "0.3"));
    let measured = measured(&walls);
    let girth = Length::checked_sum(measured.iter().map(|wall| wall.length));
    assert_eq!(girth, Some(m("40.8")));
    // And the plan outside less inside is girth x thickness: 15 x 6 - 14.4 x 5.4 = 12.24.
    let plan: f64 = measured
        .iter()
        .map(|wall| float(wall.plan_area.square_metres()))
        .sum();
    assert!((plan - 12.24).abs() < 1e-9);
}

#[test]
fn two_rooms_by_long_and_short_walls_and_by_the_centre_line() {
    // Footing 1.1 m wide and 1.0 m deep under two rooms: long walls 2 x 11.7, short walls 3 x 5.2: 42.90 m3
    // (<https://easyhomebuilds.com/double-room-building-estimation>); by the centre line 2 x 10.6 + 3 x 6.3 = 40.1 m,
    // less half the width at each of two T-junctions: 39.0 x 1.1 x 1.0.
    let mut walls = room("", "10.6", "6.3", |id, length| wall(id, length, "1", "1.1"));
    walls.push(WallDrawing {
        start: into("south", "5.3", "-90"),
        end: into("north", "5.3", "90"),
        ..wall("middle", "6.3", "1", "1.1")
    });
    let measured = measured(&walls);
    assert_eq!(sum(&measured, |wall| wall.gross), m3("42.90"));
    assert_eq!(measured[4].gross, m3("5.72"));
    // 5.2 x 1.0 x 1.1, 5.2 being 6.3 less half of both footings.
    let working = Working::Product {
        length: m("5.2"),
        is_mitred: true,
        mean_height: m("1"),
        mean_thickness: m("1.1"),
    };
    assert_eq!(measured[4].working, working);
}

#[test]
fn the_corner_of_two_walls_is_counted_once() {
    // Outer 4.0 and 3.0 m, 0.45 thick: (4 + 3 - 0.45) x 0.45 = 2.9475 m2 = (3.775 + 2.775) x 0.45.
    let walls = [
        WallDrawing {
            end: corner("b"),
            ..wall("a", "3.775", "1", "0.45")
        },
        wall("b", "2.775", "1", "0.45"),
    ];
    let measured = measured(&walls);
    assert_eq!(sum(&measured, |wall| wall.gross), m3("2.9475"));
    // Unlike thicknesses: 0.45 and 0.30, outer 4.0 x 3.0: 4.0 x 0.45 + (3.0 - 0.45) x 0.30 = 2.565. The centre lines
    // meet 0.15 and 0.225 m inside the outer corner: 3.85 and 2.775.
    let walls = [
        WallDrawing {
            end: corner("b"),
            ..wall("a", "3.85", "1", "0.45")
        },
        wall("b", "2.775", "1", "0.30"),
    ];
    assert_eq!(
        sum(&crate::drawings::measured(&walls), |wall| wall.gross),
        m3("2.565")
    );
}

#[test]
fn the_round_cob_building() {
    // 8 ft inside diameter, 18 in wall, 9 ft high (sizes: <https://permies.com/t/156733/clay-soil>): centre line 9.5 ft
    // x pi x 1.5 x 9 = 402.9 ft3 = 11.41 m3. As one arc that closes on itself, and as two half circles.
    let whole = WallDrawing {
        end: corner("hut"),
        turn_degrees: Some(number("0")),
        ..arc("hut", "1.4478", "360", "2.7432", "0.4572")
    };
    let whole = one(whole);
    let expected = 2.0 * std::f64::consts::PI * 1.4478 * 0.4572 * 2.7432;
    assert!((float(whole.gross.cubic_metres()) - expected).abs() < 1e-6);
    assert_eq!((float(whole.gross.cubic_metres()) * 100.0).round(), 1141.0);
    let half = |id: &str| WallDrawing {
        turn_degrees: Some(number("0")),
        ..arc(id, "1.4478", "180", "2.7432", "0.4572")
    };
    let halves = measured(&closed(vec![half("a"), half("b")]));
    assert!((gross(&halves) - expected).abs() < 2e-6);
    // The inner face is the enclosed one: radius 1.2192.
    let inner = 2.0 * std::f64::consts::PI * 1.2192 * 2.7432;
    assert!((float(whole.inner_face.square_metres()) - inner).abs() < 1e-6);
}
