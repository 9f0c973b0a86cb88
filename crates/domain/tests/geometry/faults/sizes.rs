//! Sizes and shapes of one wall.

use hod_domain::geometry::{
    Batter, End, Inclusion, OpeningShape, Path, Profile, Rule, Taper, WallDrawing, Zone,
};
use hod_units::{Decimal, Length, Volume};

use super::{door, good, refused};
use crate::drawings::*;

#[test]
fn sizes_of_a_wall_must_be_above_zero() {
    let zero = WallDrawing {
        path: Path::Straight {
            length: Length::ZERO,
        },
        ..good()
    };
    refused(
        &[zero],
        "walls[0].length_m",
        "wall \"south\": length_m is 0 m; give a size above zero",
    );
    let negative = WallDrawing {
        profile: Profile::Level { height: m("-2.4") },
        ..good()
    };
    refused(
        &[negative],
        "walls[0].height_m",
        "wall \"south\": height_m is -2.4 m; give a size above zero",
    );
    let rule = refused(
        &[WallDrawing {
            thickness: m("0"),
            ..good()
        }],
        "walls[0].thickness_mm",
        "wall \"south\": thickness_mm is 0 mm; give a size above zero",
    );
    assert_eq!(
        rule,
        Rule::NotPositive {
            found: number("0"),
            unit: "mm"
        }
    );
    refused(
        &[WallDrawing {
            paring: m("-0.01"),
            ..good()
        }],
        "walls[0].paring_mm",
        "wall \"south\": paring_mm is -10 mm; give zero or more",
    );
}

#[test]
fn sizes_of_a_wall_must_not_be_absurd() {
    let table: Vec<(WallDrawing, &str, &str)> = vec![
        (
            wall("w", "1000.1", "2.4", "0.45"),
            "length_m",
            "length_m is 1000.1 m; 0.01 to 1000 m is taken",
        ),
        (
            wall("w", "0.009", "2.4", "0.45"),
            "length_m",
            "length_m is 0.009 m; 0.01 to 1000 m is taken",
        ),
        (
            wall("w", "6.2", "30.1", "0.45"),
            "height_m",
            "height_m is 30.1 m; 0.05 to 30 m is taken",
        ),
        (
            wall("w", "6.2", "2.4", "5.01"),
            "thickness_mm",
            "thickness_mm is 5010 mm; 20 to 5000 mm is taken",
        ),
        (
            wall("w", "6.2", "2.4", "0.019"),
            "thickness_mm",
            "thickness_mm is 19 mm; 20 to 5000 mm is taken",
        ),
        (
            WallDrawing {
                lift_height: Some(m("0.04")),
                ..wall("w", "6.2", "2.4", "0.45")
            },
            "lift_height_m",
            "lift_height_m is 0.04 m; 0.05 to 2 m is taken",
        ),
        (
            WallDrawing {
                stem_height: m("5.5"),
                ..wall("w", "6.2", "2.4", "0.45")
            },
            "stem_height_m",
            "stem_height_m is 5.5 m; 0 to 5 m is taken",
        ),
        (
            WallDrawing {
                paring: m("0.25"),
                ..wall("w", "6.2", "2.4", "0.45")
            },
            "paring_mm",
            "paring_mm is 250 mm; 0 to 200 mm is taken",
        ),
        (
            arc("w", "1200", "5", "2.4", "0.45"),
            "radius_m",
            "radius_m is 1200 m; 0.01 to 1000 m is taken",
        ),
        (
            arc("w", "3", "361", "2.4", "0.45"),
            "bend_deg",
            "bend_deg is 361 degrees; 0.01 to 360 degrees is taken",
        ),
        (
            WallDrawing {
                profile: Profile::Slope {
                    height: m("2.4"),
                    height_end: m("31"),
                },
                ..wall("w", "6.2", "2.4", "0.45")
            },
            "height_end_m",
            "height_end_m is 31 m; 0.05 to 30 m is taken",
        ),
    ];
    for (wall, field, words) in table {
        let rule = refused(
            &[wall],
            &format!("walls[0].{field}"),
            &format!("wall \"w\": {words}, so check the figure and its unit"),
        );
        assert!(matches!(rule, Rule::AbsurdSize(_)), "{rule:?}");
    }
    // Just at the limits all is well.
    measured(&[
        wall("w", "1000", "30", "5"),
        wall("v", "0.01", "0.05", "0.02"),
    ]);
}

#[test]
fn an_arc_must_not_be_longer_than_a_wall() {
    let rule = refused(
        &[arc("ring", "200", "360", "2.4", "0.45")],
        "walls[0].radius_m",
        "wall \"ring\": its radius and bend make it 1256.637061 m long; 0.01 to 1000 m is taken, so check both",
    );
    assert!(matches!(rule, Rule::AbsurdArc(_)));
}

#[test]
fn a_bend_must_be_a_bend() {
    refused(
        &[arc("bow", "3", "0", "2.4", "0.45")],
        "walls[0].bend_deg",
        "wall \"bow\": bend_deg is 0 degrees; give a size above zero",
    );
}

#[test]
fn the_largest_numbers_are_refused_like_others() {
    for largest in [Decimal::MAX, Decimal::MIN] {
        let length = Length::from_metres(largest);
        let mut window = door();
        (window.width, window.sill, window.at, window.splay) = (length, length, length, length);
        window.shape = OpeningShape::Segmental {
            height: length,
            rise: length,
        };
        let mut shelf = niche("shelf", OpeningShape::Circle, "1", "1", "1", "0.1");
        (shelf.width, shelf.depth) = (length, length);
        let drawing = WallDrawing {
            path: Path::Arc {
                radius: length,
                bend_degrees: largest,
            },
            profile: Profile::Peak {
                height: length,
                peak: length,
                peak_at: length,
                height_end: Some(length),
            },
            thickness: length,
            taper: Some(Taper {
                thickness_top: length,
                batter: Batter::Outer,
            }),
            end: End::Into {
                wall: "north".into(),
                at: length,
                turn_degrees: largest,
            },
            start: corner("north"),
            turn_degrees: Some(largest),
            openings: vec![window],
            niches: vec![shelf],
            inclusions: vec![Inclusion {
                id: "i".into(),
                count: u32::MAX,
                volume: Volume::from_cubic_metres(largest),
            }],
            lift_height: Some(length),
            stem_height: length,
            paring: length,
            ..good()
        };
        let host = WallDrawing {
            turn_degrees: Some(largest),
            ..wall("north", "4", "2.4", "0.45")
        };
        let found = faults(&[drawing, host]);
        assert!(18 < found.len(), "{:#?}", sentences(&found));
        assert!(found.iter().all(|fault| fault.rule != Rule::NotFinite));
    }
}

#[test]
fn walls_and_their_parts_must_have_ids_of_their_own() {
    let rule = refused(
        &[good(), wall("north", "4", "2", "0.4"), good()],
        "walls[2].id",
        "wall \"south\": number 1 before it has the same id; give each its own",
    );
    assert_eq!(rule, Rule::DuplicateId { first: 0 });
    refused(
        &[wall("", "4", "2", "0.4")],
        "walls[0].id",
        "wall \"\": it has no id; give it one",
    );
    let second = opening("door", rectangle("1"), "0.6", "0.9", "3");
    refused(
        &[WallDrawing {
            openings: vec![door(), second],
            ..good()
        }],
        "walls[0].openings[1].id",
        "wall \"south\", opening \"door\": number 1 before it has the same id; give each its own",
    );
    // Many are compared in another way, and told alike.
    let mut many: Vec<_> = (0..12)
        .map(|i| inclusion(&format!("i{i}"), 1, "1"))
        .collect();
    many[11].id = "i3".into();
    refused(
        &[WallDrawing {
            inclusions: many,
            ..good()
        }],
        "walls[0].inclusions[11].id",
        "wall \"south\", inclusion \"i3\": number 4 before it has the same id; give each its own",
    );
}

#[test]
fn thickness_must_last_to_the_top() {
    let rule = refused(
        &[WallDrawing {
            taper: taper("0", Batter::Both),
            ..good()
        }],
        "walls[0].thickness_top_mm",
        "wall \"south\": its thickness of 450 mm runs out to 0 mm before the top; give thickness_top_mm above zero",
    );
    assert_eq!(
        rule,
        Rule::ThicknessRunsOut {
            base: m("0.45"),
            top: m("0")
        }
    );
    refused(
        &[WallDrawing {
            taper: taper("-0.05", Batter::Both),
            ..good()
        }],
        "walls[0].thickness_top_mm",
        "wall \"south\": its thickness of 450 mm runs out to -50 mm before the top; give thickness_top_mm above zero",
    );
    refused(
        &[WallDrawing {
            taper: taper("0.5", Batter::Both),
            ..good()
        }],
        "walls[0].thickness_top_mm",
        "wall \"south\": it is 500 mm thick at the top and 450 mm at the base; a wall does not thicken upward, so exchange \
         the two or correct one",
    );
}

#[test]
fn an_arc_must_have_an_inner_radius() {
    refused(
        &[arc("oven", "0.2", "180", "1", "0.4")],
        "walls[0].radius_m",
        "wall \"oven\": its radius of 0.2 m is no more than half its thickness of 0.4 m, so its inner face has none; \
         widen the arc or thin the wall",
    );
}

#[test]
fn a_peak_must_stand_between_the_ends_and_above_them() {
    let gable = |peak: &str, at: &str| WallDrawing {
        profile: Profile::Peak {
            height: m("2.4"),
            peak: m(peak),
            peak_at: m(at),
            height_end: Some(m("2.8")),
        },
        ..good()
    };
    for at in ["0", "6.2", "7", "-1"] {
        refused(
            &[gable("3.6", at)],
            "walls[0].peak_at_m",
            &format!(
                "wall \"south\": its peak is at {at} m but the wall runs from 0 to 6.2 m; put the peak between its ends"
            ),
        );
    }
    refused(
        &[gable("2.6", "3")],
        "walls[0].peak_m",
        "wall \"south\": its peak is at a height of 2.6 m, below its end of 2.8 m; heights are from the top of the stem \
         wall, so give the peak at least the higher end's",
    );
}

#[test]
fn parts_above_a_height_must_begin_one_above_the_other_inside_the_wall() {
    let with = |froms: &[&str]| {
        let zones = froms.iter().map(|from| Zone {
            from: m(from),
            lift_height: None,
            paring: Length::ZERO,
        });
        WallDrawing {
            zones: zones.collect(),
            ..good()
        }
    };
    let outside = |from: &str| {
        format!(
            "wall \"south\", part 1 above a height: it begins at {from} m but the wall reaches from 0 to 2.4 m; \
             begin it between, or leave it out"
        )
    };
    for from in ["0", "-0.5", "2.4", "3"] {
        let rule = refused(&[with(&[from])], "walls[0].above[0].from_m", &outside(from));
        let height = m("2.4");
        assert_eq!(
            rule,
            Rule::AboveOutsideWall {
                from: m(from),
                height
            }
        );
    }
    for second in ["1.2", "0.8"] {
        let rule = refused(
            &[with(&["1.2", second])],
            "walls[0].above[1].from_m",
            &format!(
                "wall \"south\", part 2 above a height: it begins at {second} m, not above the 1.2 m at which a part \
                 before it does; list the parts from the lowest up, each beginning at a height of its own"
            ),
        );
        let before = m("1.2");
        assert_eq!(
            rule,
            Rule::AboveNotAscending {
                from: m(second),
                before
            }
        );
    }
    // On a gable the peak counts.
    measured(&[WallDrawing {
        profile: Profile::Peak {
            height: m("2.4"),
            peak: m("3.6"),
            peak_at: m("3"),
            height_end: None,
        },
        ..with(&["2.4", "3.5"])
    }]);
}

#[test]
fn sizes_of_a_part_above_a_height_are_held_to_the_limits_of_a_wall() {
    let with = |lift_height: Option<&str>, paring: &str| WallDrawing {
        zones: vec![Zone {
            from: m("1"),
            lift_height: lift_height.map(m),
            paring: m(paring),
        }],
        ..good()
    };
    refused(
        &[with(Some("0.04"), "0")],
        "walls[0].above[0].lift_height_m",
        "wall \"south\", part 1 above a height: lift_height_m is 0.04 m; 0.05 to 2 m is taken, so check the figure and its unit",
    );
    refused(
        &[with(None, "-0.01")],
        "walls[0].above[0].paring_mm",
        "wall \"south\", part 1 above a height: paring_mm is -10 mm; give zero or more",
    );
}
