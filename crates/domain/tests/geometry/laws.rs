//! Laws that hold for every drawing, whatever its figures.

use hod_domain::geometry::{
    Batter, End, OpeningShape, Path, Profile, Taper, WallDrawing, WallMeasure, Working, measure,
};
use hod_units::{Decimal, Length, Volume};
use proptest::prelude::*;

use crate::drawings::*;

pub fn batter() -> impl Strategy<Value = Batter> {
    prop_oneof![Just(Batter::Both), Just(Batter::Outer), Just(Batter::Inner)]
}

fn path() -> impl Strategy<Value = Path> {
    let straight = (2.0..9.0).prop_map(|length| Path::Straight {
        length: drawn(length),
    });
    let arc =
        (2.5..6.0, 50_i64..170, any::<bool>()).prop_map(|(radius, bend, to_left)| Path::Arc {
            radius: drawn(radius),
            bend_degrees: Decimal::from(if to_left { bend } else { -bend }),
        });
    prop_oneof![straight, arc]
}

pub fn length_of(path: &Path) -> f64 {
    match path {
        Path::Straight { length } => float(length.metres()),
        Path::Arc {
            radius,
            bend_degrees,
        } => float(radius.metres()) * float(bend_degrees.abs()).to_radians(),
    }
}

prop_compose! {
    /// A free wall of any path, top and taper, with lifts and paring.
    pub fn free_wall()(
        path in path(),
        tops in (1.8..3.0, 1.8..3.0, 0.0..1.5, 0.2..0.8),
        kind in 0..3,
        thickness in 0.25..0.6,
        share in 0.5..1.0,
        batter in batter(),
        lift in prop::option::of(0.2..0.7),
        paring in 0.0..0.04,
    ) -> WallDrawing {
        let (start, end, rise, at) = tops;
        let profile = match kind {
            0 => Profile::Level { height: drawn(start) },
            1 => Profile::Slope { height: drawn(start), height_end: drawn(end) },
            _ => Profile::Peak {
                height: drawn(start),
                peak: drawn(start.max(end) + rise),
                peak_at: drawn(at * length_of(&path)),
                height_end: Some(drawn(end)),
            },
        };
        WallDrawing {
            path,
            profile,
            thickness: drawn(thickness),
            taper: Some(Taper { thickness_top: drawn(thickness * share), batter }),
            lift_height: lift.map(drawn),
            paring: drawn(paring),
            ..wall("w", "1", "1", "1")
        }
    }
}

pub fn shape() -> impl Strategy<Value = OpeningShape> {
    prop_oneof![
        (0.5..1.0).prop_map(|height| OpeningShape::Rectangle {
            height: drawn(height)
        }),
        (0.3..0.7, 0.05..0.3).prop_map(|(height, rise)| OpeningShape::Segmental {
            height: drawn(height),
            rise: drawn(rise),
        }),
        (0.1..0.5).prop_map(|height| OpeningShape::Semicircular {
            height: drawn(height)
        }),
        (0.1..0.5).prop_map(|height| OpeningShape::Pointed {
            height: drawn(height)
        }),
        Just(OpeningShape::Circle),
    ]
}

fn sum(measured: &[WallMeasure], of: impl Fn(&WallMeasure) -> Decimal) -> f64 {
    measured.iter().map(|wall| float(of(wall))).sum()
}

/// Everything of a wall that does not depend on where it stands or what it is called.
pub fn figures(wall: &WallMeasure) -> [f64; 8] {
    [
        wall.gross.cubic_metres(),
        wall.displaced.cubic_metres(),
        wall.net.cubic_metres(),
        wall.placed.cubic_metres(),
        wall.inner_face.square_metres(),
        wall.outer_face.square_metres(),
        wall.reveal.square_metres(),
        wall.plan_area.square_metres(),
    ]
    .map(float)
}

#[track_caller]
pub fn are_alike(a: &[f64; 8], b: &[f64; 8]) {
    let names = [
        "gross",
        "displaced",
        "net",
        "placed",
        "inner",
        "outer",
        "reveal",
        "plan",
    ];
    for ((a, b), name) in a.iter().zip(b).zip(names) {
        // Two figures, each rounded to a millionth.
        assert!((a - b).abs() < 2.1e-6, "{name}: {a} {b}");
    }
}

proptest! {
    #![proptest_config(ProptestConfig { failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn lifts_sum_to_the_placed_volume_exactly(wall in free_wall(), shape in shape(), count in 0_u32..40) {
        let wall = WallDrawing {
            openings: vec![opening("o", shape, "0.6", "0.4", "0.8")],
            inclusions: if count == 0 { vec![] } else { vec![inclusion("i", count, "0.7")] },
            ..wall
        };
        let one = one(wall);
        prop_assert_eq!(Volume::checked_sum(one.lifts.iter().map(|lift| lift.volume)), Some(one.placed));
        prop_assert_eq!(one.gross.checked_sub(one.displaced), Some(one.net));
        prop_assert!(one.net <= one.placed);
        // Lifts follow one another from the bottom to the top.
        let numbers: Vec<u32> = one.lifts.iter().map(|lift| lift.number).collect();
        prop_assert_eq!(numbers, (1..=one.lifts.len() as u32).collect::<Vec<_>>());
        prop_assert!(one.lifts.windows(2).all(|pair| pair[0].to == pair[1].from && pair[0].from < pair[0].to));
        prop_assert_eq!(one.lifts[0].from, Length::ZERO);
        prop_assert!(one.lifts.iter().all(|lift| !lift.volume.is_negative()));
    }

    #[test]
    fn the_working_comes_to_the_gross(wall in free_wall()) {
        let one = one(wall);
        let worked = one.working.volume().expect("a small figure").cubic_metres();
        prop_assert!((worked - one.gross.cubic_metres()).abs() < number("0.000001"));
        if let Working::Slices(slices) = &one.working {
            for slice in slices {
                if let Some(sections) = slice.sections {
                    let [bottom, middle, top] = [sections.bottom, sections.middle, sections.top].map(|area| area.square_metres());
                    let mean = (bottom + Decimal::from(4) * middle + top) / Decimal::from(6);
                    prop_assert!((mean - slice.mean_area.square_metres()).abs() < number("0.00000001"));
                }
            }
        }
    }

    #[test]
    fn splitting_a_wall_changes_nothing(wall in free_wall(), share in 0.2..0.8) {
        // Cut where the top is lower, so that the lean is reached at the same height on both parts: level walls only,
        // and any path.
        let wall = WallDrawing {
            profile: Profile::Level { height: m("2.3") },
            ..wall
        };
        let (first, second) = match &wall.path {
            Path::Straight { length } => {
                let at = drawn(share * float(length.metres()));
                let rest = length.checked_sub(at).expect("a part");
                (Path::Straight { length: at }, Path::Straight { length: rest })
            }
            Path::Arc { radius, bend_degrees } => {
                let at = Decimal::new((share * float(*bend_degrees) * 100.0) as i64, 2);
                let part = |bend_degrees| Path::Arc { radius: *radius, bend_degrees };
                (part(at), part(*bend_degrees - at))
            }
        };
        let whole = figures(&one(wall.clone()));
        let parts = measured(&[
            WallDrawing {
                id: "a".into(),
                path: first,
                end: corner("b"),
                turn_degrees: Some(Decimal::ZERO),
                ..wall.clone()
            },
            WallDrawing { id: "b".into(), path: second, ..wall },
        ]);
        let (a, b) = (figures(&parts[0]), figures(&parts[1]));
        are_alike(&whole, &std::array::from_fn(|i| a[i] + b[i]));
    }

    #[test]
    fn splitting_a_slope_at_its_peak_changes_nothing(
        heights in (1.8..2.6, 1.8..2.6, 0.1..1.5),
        at in 1.0..4.0,
        thickness in 0.3..0.5,
        batter in batter(),
    ) {
        let (start, end, rise): (f64, f64, f64) = heights;
        let peak = drawn(start.max(end) + rise);
        let (at, length) = (drawn(at), m("5"));
        let wall = WallDrawing {
            thickness: drawn(thickness),
            taper: Some(Taper { thickness_top: m("0.25"), batter }),
            ..wall("w", "5", "1", "1")
        };
        let gable = WallDrawing {
            profile: Profile::Peak { height: drawn(start), peak, peak_at: at, height_end: Some(drawn(end)) },
            ..wall.clone()
        };
        let parts = measured(&[
            WallDrawing {
                id: "a".into(),
                path: Path::Straight { length: at },
                profile: Profile::Slope { height: drawn(start), height_end: peak },
                end: corner("b"),
                turn_degrees: Some(Decimal::ZERO),
                ..wall.clone()
            },
            WallDrawing {
                id: "b".into(),
                path: Path::Straight { length: length.checked_sub(at).expect("a part") },
                profile: Profile::Slope { height: peak, height_end: drawn(end) },
                ..wall
            },
        ]);
        let (a, b) = (figures(&parts[0]), figures(&parts[1]));
        are_alike(&figures(&one(gable)), &std::array::from_fn(|i| a[i] + b[i]));
    }

    #[test]
    fn more_opening_never_costs_more_earth(
        wall in free_wall(),
        shape in shape(),
        (width, wider) in (0.3..0.7, 0.0..0.1),
        (splay, more) in (0.0..0.2, 0.0..0.1),
    ) {
        let with = |width: f64, splay: f64| {
            let mut window = opening("o", shape, "1", "0.3", "0.9");
            window.width = drawn(width);
            window.splay = drawn(splay);
            if let OpeningShape::Segmental { height, .. } = shape {
                // The rise stays, for a wider arc of one rise is larger too.
                window.shape = OpeningShape::Segmental { height, rise: m("0.1") };
            }
            one(WallDrawing { openings: vec![window], ..wall.clone() })
        };
        let (small, large) = (with(width, splay), with(width + wider, splay + more));
        prop_assert!(small.displaced <= large.displaced);
        prop_assert!(large.net <= small.net);
        prop_assert!(large.placed <= small.placed);
        prop_assert!(small.net <= one(wall.clone()).net);
    }

    #[test]
    fn a_mirror_image_measures_the_same(wall in free_wall(), shape in shape(), splay in 0.0..0.2) {
        // Walked from the other end, bending the other way: the openings count from the other end too.
        let mut window = opening("o", shape, "0.6", "0.3", "0.8");
        window.splay = drawn(splay);
        let wall = WallDrawing { openings: vec![window.clone()], ..wall };
        let mirrored_path = match wall.path {
            Path::Straight { length } => Path::Straight { length },
            Path::Arc { radius, bend_degrees } => Path::Arc { radius, bend_degrees: -bend_degrees },
        };
        let seen = figures(&one(wall.clone()));
        let mirrored = one(WallDrawing { path: mirrored_path, ..wall.clone() });
        // In a mirror the left is the right: a straight wall's inner face, which is its left, is another then.
        if matches!(wall.path, Path::Arc { .. }) {
            are_alike(&seen, &figures(&mirrored));
        }
        let reversed_profile = match wall.profile {
            Profile::Level { height } => Profile::Level { height },
            Profile::Slope { height, height_end } => Profile::Slope { height: height_end, height_end: height },
            Profile::Peak { height, peak, peak_at, height_end } => Profile::Peak {
                height: height_end.unwrap_or(height),
                peak,
                peak_at: drawn(length_of(&wall.path) - float(peak_at.metres())),
                height_end: Some(height),
            },
        };
        if let Path::Straight { length } = wall.path {
            window.at = drawn(float(length.metres()) - 0.8 - 0.6);
            let reversed = WallDrawing { profile: reversed_profile, openings: vec![window], ..wall };
            are_alike(&seen, &figures(&one(reversed)));
        }
    }

    #[test]
    fn a_run_measures_the_same_from_any_wall_under_any_names_and_mirrored(
        (along, across) in (4.0..8.0, 3.0..6.0),
        thickness in 0.3..0.5,
        batter in batter(),
        rotation in 0_usize..4,
        heights in prop::collection::vec(2.0..2.8, 4),
    ) {
        let make = |id: &str, length: f64, height: f64| WallDrawing {
            path: Path::Straight { length: drawn(length) },
            profile: Profile::Level { height: drawn(height) },
            thickness: drawn(thickness),
            taper: Some(Taper { thickness_top: m("0.25"), batter }),
            paring: m("0.02"),
            ..wall(id, "1", "1", "1")
        };
        let sides = [along, across, along, across];
        let walls: Vec<WallDrawing> = (0..4).map(|i| make(&format!("w{i}"), sides[i], heights[i])).collect();
        let run = measured(&closed(walls.clone()));

        let mut rotated = walls.clone();
        rotated.rotate_left(rotation);
        let mut found = measured(&closed(rotated));
        found.rotate_right(rotation);
        prop_assert_eq!(&found, &run);

        let renamed: Vec<WallDrawing> = walls.iter().map(|wall| WallDrawing { id: format!("the {}", wall.id), ..wall.clone() }).collect();
        for (a, b) in measured(&closed(renamed)).iter().zip(&run) {
            prop_assert_eq!(figures(a), figures(b));
        }

        // Turning right all round, the inside is on the right: inner and outer stay what they are.
        let mirrored: Vec<WallDrawing> = walls
            .iter()
            .map(|wall| WallDrawing { turn_degrees: Some(number("-90")), ..wall.clone() })
            .collect();
        for (a, b) in measured(&closed(mirrored)).iter().zip(&run) {
            are_alike(&figures(a), &figures(b));
        }

        // The corners told from the other side: each wall says what its start meets.
        let mut told_back = closed(walls);
        for (index, wall) in told_back.iter_mut().enumerate() {
            wall.end = End::Free;
            wall.start = corner(&format!("w{}", (index + 3) % 4));
        }
        prop_assert_eq!(measured(&told_back), run);
    }

    #[test]
    fn whatever_is_drawn_is_measured_or_refused(
        numbers in prop::collection::vec(prop_oneof![
            -10.0..40.0,
            Just(0.0),
            0.0..1e-6,
            -1e12..1e12,
        ], 16),
        kinds in (0..3, 0..2, 0..3, 0..3, 0..5),
        batter in batter(),
    ) {
        let l = |i: usize| Length::from_metres(Decimal::try_from(numbers[i]).unwrap_or_default());
        let d = |i: usize| Decimal::try_from(numbers[i] * 10.0).unwrap_or_default();
        let profile = match kinds.0 {
            0 => Profile::Level { height: l(0) },
            1 => Profile::Slope { height: l(0), height_end: l(1) },
            _ => Profile::Peak { height: l(0), peak: l(1), peak_at: l(2), height_end: Some(l(3)) },
        };
        let path = match kinds.1 {
            0 => Path::Straight { length: l(4) },
            _ => Path::Arc { radius: l(4), bend_degrees: d(5) },
        };
        let end = |kind: i32, at: usize| match kind {
            0 => End::Free,
            1 => corner("b"),
            _ => End::Into { wall: "b".into(), at: l(at), turn_degrees: d(at + 1) },
        };
        let shape = match kinds.4 {
            0 => OpeningShape::Rectangle { height: l(6) },
            1 => OpeningShape::Segmental { height: l(6), rise: l(7) },
            2 => OpeningShape::Semicircular { height: l(6) },
            3 => OpeningShape::Pointed { height: l(6) },
            _ => OpeningShape::Circle,
        };
        let mut window = opening("o", shape, "1", "0", "0");
        (window.width, window.sill, window.at, window.splay) = (l(8), l(9), l(10), l(11));
        let drawing = WallDrawing {
            path,
            profile,
            thickness: l(12),
            taper: Some(Taper { thickness_top: l(13), batter }),
            start: end(kinds.2, 1),
            end: end(kinds.3, 3),
            turn_degrees: Some(d(14)),
            openings: vec![window],
            lift_height: Some(l(15)),
            paring: l(0),
            stem_height: l(1),
            ..wall("a", "1", "1", "1")
        };
        let walls = [drawing, wall("b", "4", "2.4", "0.4")];
        if let Err(faults) = measure(&walls) {
            prop_assert!(!faults.is_empty());
            for fault in faults {
                prop_assert!(!fault.to_string().contains('\n'));
                prop_assert!(fault.field_path().starts_with("walls["));
            }
        }
    }
}

/// Corners of any turn and thickness: what the run of walls is cut by is what the next has, by the plan area of a closed
/// polygon of walls outside less inside.
#[test]
fn a_regular_polygon_of_walls_is_its_outside_less_its_inside() {
    for sides in 3_u32..=12 {
        let turn = Decimal::from(360) / Decimal::from(sides);
        let walls: Vec<WallDrawing> = (0..sides)
            .map(|side| WallDrawing {
                turn_degrees: Some(turn),
                taper: taper("0.30", Batter::Outer),
                ..wall(&format!("w{side}"), "4", "2", "0.5")
            })
            .collect();
        let measured = measured(&closed(walls));
        // Of a polygon about a circle of radius r: n r^2 tan(pi/n). The outside leans in from r + 0.25 to r + 0.05, the
        // inside is plumb at r - 0.25.
        let n = f64::from(sides);
        let tangent = (std::f64::consts::PI / n).tan();
        let r = 2.0 / tangent;
        let area = |offset: f64| n * (r + offset) * (r + offset) * tangent;
        let mean_outside = (area(0.25) + 4.0 * area(0.15) + area(0.05)) / 6.0;
        let expected = 2.0 * (mean_outside - area(-0.25));
        let found = sum(&measured, |wall| wall.gross.cubic_metres());
        assert!(
            (found - expected).abs() < 1e-6 * n,
            "{sides}: {found} {expected}"
        );
    }
}
