//! Every rule that a drawing can break, each with one job that breaks it, where it is told and in which words.

use hod_domain::geometry::{
    Batter, End, Face, Inclusion, OpeningShape, Path, Place, Profile, Rule, Taper, WallDrawing,
};
use hod_units::{Decimal, Length, Volume};

use crate::drawings::*;

/// One fault is found, at this field and in these words.
#[track_caller]
fn refused(walls: &[WallDrawing], field_path: &str, sentence: &str) -> Rule {
    let mut found = faults(walls);
    assert_eq!(sentences(&found), [sentence]);
    assert_eq!(found[0].field_path(), field_path);
    found.remove(0).rule
}

fn good() -> WallDrawing {
    wall("south", "6.2", "2.4", "0.45")
}

fn with_opening(opening: hod_domain::geometry::Opening) -> WallDrawing {
    WallDrawing {
        openings: vec![opening],
        ..good()
    }
}

fn door() -> hod_domain::geometry::Opening {
    opening("door", rectangle("2"), "0.9", "0", "1.1")
}

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
fn an_opening_must_lie_within_its_wall() {
    let rule = refused(
        &[with_opening(opening(
            "door",
            rectangle("2"),
            "0.9",
            "0",
            "5.5",
        ))],
        "walls[0].openings[0].at_m",
        "wall \"south\", opening \"door\": it runs from 5.5 m to 6.4 m along the wall, which runs from 0 to 6.2 m; move it \
         or make it narrower",
    );
    assert_eq!(
        rule,
        Rule::OpeningOutsideWall {
            from: m("5.5"),
            to: m("6.4"),
            length: m("6.2")
        }
    );
    refused(
        &[with_opening(opening(
            "door",
            rectangle("2"),
            "0.9",
            "0",
            "-0.1",
        ))],
        "walls[0].openings[0].at_m",
        "wall \"south\", opening \"door\": it runs from -0.1 m to 0.8 m along the wall, which runs from 0 to 6.2 m; move it \
         or make it narrower",
    );
    // A splay reaches beyond the end on the inner face.
    let mut splayed = opening("door", rectangle("2"), "0.9", "0", "0.05");
    splayed.splay = m("0.2");
    refused(
        &[with_opening(splayed)],
        "walls[0].openings[0].at_m",
        "wall \"south\", opening \"door\": it runs from -0.05 m to 1.05 m along the wall, which runs from 0 to 6.2 m; move it \
         or make it narrower",
    );
    // Flush with both ends it is within.
    measured(&[with_opening(opening(
        "gap",
        rectangle("2"),
        "6.2",
        "0",
        "0",
    ))]);
}

#[test]
fn an_opening_must_not_be_taller_than_its_wall() {
    let rule = refused(
        &[with_opening(opening(
            "door",
            rectangle("2.5"),
            "0.9",
            "0",
            "1",
        ))],
        "walls[0].openings[0].height_m",
        "wall \"south\", opening \"door\": its top is at 2.5 m but the wall is 2.4 m high there; lower the opening or raise \
         the wall",
    );
    assert_eq!(
        rule,
        Rule::OpeningTallerThanWall {
            top: m("2.5"),
            wall_height: m("2.4")
        }
    );
    // Under a slope, at its lower side: 2.4 + 1.2 x 1/6 = 2.6.
    let slope = WallDrawing {
        path: Path::Straight { length: m("6") },
        profile: Profile::Slope {
            height: m("2.4"),
            height_end: m("3.6"),
        },
        openings: vec![opening("high", rectangle("1"), "1", "1.7", "1")],
        ..good()
    };
    refused(
        &[slope],
        "walls[0].openings[0].height_m",
        "wall \"south\", opening \"high\": its top is at 2.7 m but the wall is 2.6 m high there; lower the opening or raise \
         the wall",
    );
    refused(
        &[with_opening(opening(
            "eye",
            OpeningShape::Circle,
            "0.8",
            "1.9",
            "1",
        ))],
        "walls[0].openings[0].width_m",
        "wall \"south\", opening \"eye\": its top is at 2.7 m but the wall is 2.4 m high there; lower the opening or raise \
         the wall",
    );
    // Right up to the top it fits.
    measured(&[with_opening(opening(
        "gap",
        rectangle("2.4"),
        "0.9",
        "0",
        "1",
    ))]);
}

#[test]
fn openings_must_not_overlap() {
    let rule = refused(
        &[WallDrawing {
            openings: vec![door(), opening("window", rectangle("1"), "1", "0.9", "1.9")],
            ..good()
        }],
        "walls[0].openings[1].at_m",
        "wall \"south\", opening \"window\": it overlaps opening \"door\"; move one of them",
    );
    assert_eq!(
        rule,
        Rule::OpeningsOverlap {
            other: Place::Opening(0),
            other_id: "door".into()
        }
    );
    refused(
        &[WallDrawing {
            niches: vec![niche("shelf", rectangle("0.5"), "0.5", "1", "1.5", "0.2")],
            ..with_opening(door())
        }],
        "walls[0].niches[0].at_m",
        "wall \"south\", niche \"shelf\": it overlaps opening \"door\"; move one of them",
    );
    // Touching edges are no overlap: beside it, and above it.
    let beside = opening("window", rectangle("1"), "1", "0.9", "2.0");
    let above = opening("light", rectangle("0.3"), "0.9", "2", "1.1");
    measured(&[WallDrawing {
        openings: vec![door(), beside, above],
        ..good()
    }]);
}

#[test]
fn niches_must_leave_some_of_the_wall() {
    let rule = refused(
        &[WallDrawing {
            niches: vec![niche("shelf", rectangle("0.5"), "0.5", "1.5", "1", "0.43")],
            taper: taper("0.40", Batter::Both),
            ..good()
        }],
        "walls[0].niches[0].depth_mm",
        "wall \"south\", niche \"shelf\": it is 430 mm deep but the wall is 408.333 mm thick at its top; make it shallower, \
         or an opening",
    );
    assert!(matches!(rule, Rule::NicheTooDeep { .. }));
    let back_to_back = |depth: &str| {
        let mut outer = niche("outer", rectangle("0.5"), "0.5", "1", "1.2", depth);
        outer.face = Face::Outer;
        WallDrawing {
            niches: vec![
                niche("inner", rectangle("0.5"), "0.5", "1", "1", "0.2"),
                outer,
            ],
            ..good()
        }
    };
    refused(
        &[back_to_back("0.25")],
        "walls[0].niches[1].at_m",
        "wall \"south\", niche \"outer\": it meets niche \"inner\" behind it: together 450 mm deep where the wall is 450 mm \
         thick; make one shallower or move it",
    );
    measured(&[back_to_back("0.2")]);
}

#[test]
fn a_sill_must_not_go_through_the_stem_wall() {
    let low = WallDrawing {
        stem_height: m("0.3"),
        ..with_opening(opening("door", rectangle("2.4"), "0.9", "-0.35", "1"))
    };
    refused(
        &[low],
        "walls[0].openings[0].sill_m",
        "wall \"south\", opening \"door\": its sill at -0.35 m lies below the stem wall, which is 0.3 m high; raise the sill \
         or give stem_height_m",
    );
    let sunk = WallDrawing {
        stem_height: m("0.5"),
        ..with_opening(opening("vent", rectangle("0.2"), "0.4", "-0.3", "1"))
    };
    refused(
        &[sunk],
        "walls[0].openings[0].sill_m",
        "wall \"south\", opening \"vent\": its top at -0.1 m is not above the stem wall, so it lies outside the earth; leave \
         it out or raise it",
    );
}

#[test]
fn an_arch_must_not_rise_more_than_half_its_width() {
    let shape = OpeningShape::Segmental {
        height: m("1"),
        rise: m("0.6"),
    };
    refused(
        &[with_opening(opening("arch", shape, "1", "0", "1"))],
        "walls[0].openings[0].rise_m",
        "wall \"south\", opening \"arch\": its arch rises 0.6 m but a segmental arch rises at most half its width, 0.5 m; \
         lower the rise",
    );
}

#[test]
fn sizes_of_openings_and_inclusions_are_held_to_limits() {
    let table = [
        (
            opening("o", rectangle("2"), "0", "0", "1"),
            "width_m",
            "width_m is 0 m; give a size above zero",
        ),
        (
            opening("o", rectangle("0"), "0.9", "0", "1"),
            "height_m",
            "height_m is 0 m; give a size above zero",
        ),
        (
            opening(
                "o",
                OpeningShape::Semicircular { height: m("-1") },
                "0.9",
                "0",
                "1",
            ),
            "height_m",
            "height_m is -1 m; give zero or more",
        ),
        (
            opening("o", rectangle("2"), "0.04", "0", "1"),
            "width_m",
            "width_m is 0.04 m; 0.05 to 20 m is taken, so check the figure and its unit",
        ),
    ];
    for (opening, field, words) in table {
        refused(
            &[with_opening(opening)],
            &format!("walls[0].openings[0].{field}"),
            &format!("wall \"south\", opening \"o\": {words}"),
        );
    }
    let mut splayed = door();
    splayed.splay = m("-0.1");
    refused(
        &[with_opening(splayed)],
        "walls[0].openings[0].splay_mm",
        "wall \"south\", opening \"door\": splay_mm is -100 mm; give zero or more",
    );
    refused(
        &[WallDrawing {
            niches: vec![niche("n", rectangle("0.5"), "0.5", "1", "1", "0")],
            ..good()
        }],
        "walls[0].niches[0].depth_mm",
        "wall \"south\", niche \"n\": depth_mm is 0 mm; give a size above zero",
    );
    refused(
        &[WallDrawing {
            inclusions: vec![inclusion("bottles", 0, "0.7")],
            ..good()
        }],
        "walls[0].inclusions[0].count",
        "wall \"south\", inclusion \"bottles\": count is 0; give a size above zero",
    );
    refused(
        &[WallDrawing {
            inclusions: vec![inclusion("bottles", 2, "10001")],
            ..good()
        }],
        "walls[0].inclusions[0].volume_l",
        "wall \"south\", inclusion \"bottles\": volume_l is 10001 litres; 0.001 to 10000 litres is taken, so check the figure \
         and its unit",
    );
}

#[test]
fn inclusions_must_leave_some_earth() {
    let rule = refused(
        &[WallDrawing {
            inclusions: vec![inclusion("barrels", 40, "200")],
            ..good()
        }],
        "walls[0].inclusions",
        "wall \"south\": its inclusions come to 8 m3 but the wall without openings is 6.696 m3; correct their count or volume",
    );
    assert_eq!(
        rule,
        Rule::InclusionsFillWall {
            inclusions: m3("8"),
            wall: m3("6.696")
        }
    );
}

#[test]
fn a_named_wall_must_be_one_of_the_job() {
    let to = |name: &str| {
        [
            WallDrawing {
                end: corner(name),
                ..good()
            },
            wall("north", "4", "2.4", "0.45"),
        ]
    };
    let rule = refused(
        &to("nort"),
        "walls[0].ends",
        "wall \"south\": ends names wall \"nort\", which the job does not have; did you mean \"north\"?",
    );
    assert_eq!(
        rule,
        Rule::UnknownWall {
            named: "nort".into(),
            nearest: Some("north".into())
        }
    );
    refused(
        &to("gatehouse"),
        "walls[0].ends",
        "wall \"south\": ends names wall \"gatehouse\", which the job does not have; name one of its walls",
    );
    refused(
        &[
            WallDrawing {
                start: into("norht", "1", "90"),
                ..good()
            },
            wall("north", "4", "2.4", "0.45"),
        ],
        "walls[0].starts",
        "wall \"south\": starts names wall \"norht\", which the job does not have; name one of its walls",
    );
}

#[test]
fn a_wall_must_not_run_into_itself() {
    refused(
        &[WallDrawing {
            end: into("south", "3", "90"),
            ..good()
        }],
        "walls[0].ends",
        "wall \"south\": ends says that it runs into itself; name another wall",
    );
}

#[test]
fn turns_are_held_to_limits() {
    let turned = |turn: &str| {
        [
            WallDrawing {
                end: corner("north"),
                turn_degrees: Some(number(turn)),
                ..good()
            },
            wall("north", "4", "2.4", "0.45"),
        ]
    };
    for turn in ["151", "-180", "400"] {
        refused(
            &turned(turn),
            "walls[0].turn_deg",
            &format!(
                "wall \"south\": turn_deg is {turn} degrees; 0 to 150 to either side is taken"
            ),
        );
    }
    measured(&turned("150"));
    let guest = |turn: &str| {
        [
            WallDrawing {
                end: into("north", "2", turn),
                ..good()
            },
            wall("north", "4", "2.4", "0.45"),
        ]
    };
    for turn in ["29.9", "-10", "0", "151"] {
        refused(
            &guest(turn),
            "walls[0].turn_deg",
            &format!(
                "wall \"south\": turn_deg is {turn} degrees; 30 to 150 to either side is taken"
            ),
        );
    }
    measured(&guest("-30"));
    refused(
        &[
            WallDrawing {
                start: into("north", "2", "20"),
                ..good()
            },
            wall("north", "4", "2.4", "0.45"),
        ],
        "walls[0].start_turn_deg",
        "wall \"south\": start_turn_deg is 20 degrees; 30 to 150 to either side is taken",
    );
}

#[test]
fn one_end_meets_one_other() {
    // Two walls end at one start.
    let walls = [
        WallDrawing {
            end: corner("c"),
            ..wall("a", "4", "2", "0.4")
        },
        WallDrawing {
            end: corner("c"),
            ..wall("b", "4", "2", "0.4")
        },
        wall("c", "4", "2", "0.4"),
    ];
    let rule = refused(
        &walls,
        "walls[1].ends",
        "wall \"b\": ends meets wall \"c\", whose end there is \"corner:a\"; one end meets one other, so correct one of the two",
    );
    assert_eq!(
        rule,
        Rule::CornerTaken {
            other: "c".into(),
            instead: "corner:a".into()
        }
    );
    // The two sides of a corner say different things.
    let walls = [
        WallDrawing {
            end: corner("b"),
            ..wall("a", "4", "2", "0.4")
        },
        WallDrawing {
            start: into("c", "1", "90"),
            ..wall("b", "4", "2", "0.4")
        },
        wall("c", "4", "2", "0.4"),
    ];
    refused(
        &walls,
        "walls[0].ends",
        "wall \"a\": ends meets wall \"b\", whose end there is \"into:c\"; one end meets one other, so correct one of the two",
    );
}

#[test]
fn a_guest_must_meet_its_host_between_the_ends() {
    for at in ["4.1", "-0.1"] {
        refused(
            &[
                WallDrawing {
                    end: into("north", at, "90"),
                    ..good()
                },
                wall("north", "4", "2.4", "0.45"),
            ],
            "walls[0].into_at_m",
            &format!(
                "wall \"south\": it runs into wall \"north\" at {at} m, but that wall runs from 0 to 4 m; give a place between"
            ),
        );
    }
    refused(
        &[
            WallDrawing {
                start: into("north", "9", "90"),
                ..good()
            },
            wall("north", "4", "2.4", "0.45"),
        ],
        "walls[0].start_into_at_m",
        "wall \"south\": it runs into wall \"north\" at 9 m, but that wall runs from 0 to 4 m; give a place between",
    );
}

#[test]
fn faces_must_meet_near_their_corner() {
    // Half a degree, and 50 mm more on each side: the faces meet 0.05 / sin 0.5 = 5.7 m off.
    let walls = [
        WallDrawing {
            end: corner("b"),
            turn_degrees: Some(number("0.5")),
            ..wall("a", "5", "2", "0.5")
        },
        wall("b", "8", "2", "0.4"),
    ];
    let rule = refused(
        &walls,
        "walls[0].ends",
        "wall \"a\": its faces and those of wall \"b\" do not meet near their corner; turn more, make their thicknesses \
         alike, or lengthen the shorter",
    );
    assert_eq!(rule, Rule::FacesDoNotMeet { other: "b".into() });
    // A wall wider than the round wall that it runs into.
    let walls = [
        arc("oven", "0.6", "180", "1.5", "0.2"),
        WallDrawing {
            end: into("oven", "0.9", "-90"),
            ..wall("bench", "3", "1.5", "1.5")
        },
    ];
    refused(
        &walls,
        "walls[1].ends",
        "wall \"bench\": its faces and those of wall \"oven\" do not meet near their corner; turn more, make their thicknesses \
         alike, or lengthen the shorter",
    );
}

#[test]
fn a_wall_must_be_longer_than_its_corners_take() {
    // 0.4 m between two right-angled corners of walls 0.45 m thick, which take 0.225 each of its inner face.
    let walls = [
        WallDrawing {
            end: corner("b"),
            ..wall("a", "4", "2", "0.45")
        },
        WallDrawing {
            end: corner("c"),
            ..wall("b", "0.4", "2", "0.45")
        },
        wall("c", "4", "2", "0.45"),
    ];
    let rule = refused(
        &walls,
        "walls[1].length_m",
        "wall \"b\": it is 0.4 m long but its two ends take 0.45 m of one face; lengthen it or thin the walls it meets",
    );
    assert_eq!(
        rule,
        Rule::WallTooShortForItsCorners {
            length: m("0.4"),
            taken: m("0.45")
        }
    );
}

#[test]
fn an_opening_must_keep_clear_of_a_corner() {
    // The corner takes 0.225 m of the inner face: from 3.775 on.
    let walls = |at: &str| {
        [
            WallDrawing {
                end: corner("b"),
                openings: vec![opening("door", rectangle("2"), "0.9", "0", at)],
                ..wall("a", "4", "2.4", "0.45")
            },
            wall("b", "4", "2.4", "0.45"),
        ]
    };
    let rule = refused(
        &walls("3.0"),
        "walls[0].openings[0].at_m",
        "wall \"a\", opening \"door\": its side at 3.9 m lies beyond 3.775 m, where wall \"b\" cuts this one; move it clear of \
         the junction",
    );
    assert_eq!(
        rule,
        Rule::OpeningInJunction {
            other: "b".into(),
            edge: m("3.9"),
            cut: m("3.775")
        }
    );
    measured(&walls("2.875"));
    // A guest stops at its host's face, 0.2 m before the centre line.
    let guest = [
        wall("host", "6", "2.4", "0.4"),
        WallDrawing {
            start: into("host", "3", "90"),
            openings: vec![opening("door", rectangle("2"), "0.9", "0", "0.1")],
            ..wall("guest", "3", "2.4", "0.3")
        },
    ];
    refused(
        &guest,
        "walls[1].openings[0].at_m",
        "wall \"guest\", opening \"door\": its side at 0.1 m lies beyond 0.2 m, where wall \"host\" cuts this one; move it \
         clear of the junction",
    );
}

#[test]
fn a_closed_run_must_close() {
    let mut walls = room("", "6.2", "4", |id, length| wall(id, length, "2.4", "0.45"));
    walls[2].path = Path::Straight { length: m("6.0") };
    let rule = refused(
        &walls,
        "walls[3].ends",
        "wall \"west\": the run that it closes misses its start by 200 mm and turns by 360 degrees in all; it must come \
         within 10 mm and within 0.1 degree of 360, so correct a length or a turn",
    );
    assert_eq!(
        rule,
        Rule::RunDoesNotClose {
            gap_mm: number("200"),
            turn_sum: number("360")
        }
    );
    walls[2].path = Path::Straight { length: m("6.2") };
    walls[1].turn_degrees = Some(number("89.5"));
    let found = faults(&walls);
    assert!(
        matches!(&found[..], [fault] if matches!(&fault.rule, Rule::RunDoesNotClose { turn_sum, .. } if *turn_sum == number("359.5")))
    );
    assert_eq!(found[0].place, Place::Run);
}

#[test]
fn a_wall_between_two_others_must_fit() {
    let mut walls = room("", "6.2", "4", |id, length| wall(id, length, "2.4", "0.45"));
    walls.push(WallDrawing {
        start: into("south", "3", "-90"),
        end: into("north", "3.2", "90"),
        ..wall("middle", "4.05", "2.4", "0.3")
    });
    let rule = refused(
        &walls,
        "walls[4].into_at_m",
        "wall \"middle\": it misses the place on wall \"north\" where it is drawn to meet it by 50 mm and 0 degrees; at most \
         10 mm and 0.1 degree are let pass, so correct its length, into_at_m or a turn",
    );
    assert!(matches!(rule, Rule::WallDoesNotFit { .. }));
}

#[test]
fn all_faults_of_all_walls_are_told_at_once() {
    let walls = [
        WallDrawing {
            profile: Profile::Level { height: m("-1") },
            taper: taper("0", Batter::Both),
            end: corner("nowhere"),
            ..wall("a", "0", "2.4", "0.45")
        },
        WallDrawing {
            openings: vec![
                opening("tall", rectangle("3"), "0.9", "0", "1"),
                opening("off", rectangle("1"), "0.9", "1", "9"),
            ],
            ..wall("b", "4", "2.4", "0.45")
        },
        WallDrawing {
            end: End::Corner { wall: "b".into() },
            turn_degrees: Some(number("170")),
            ..wall("c", "4", "2.4", "0.45")
        },
    ];
    let found = faults(&walls);
    let paths: Vec<String> = found.iter().map(|fault| fault.field_path()).collect();
    assert_eq!(
        paths,
        [
            "walls[0].length_m",
            "walls[0].height_m",
            "walls[0].thickness_top_mm",
            "walls[0].ends",
            "walls[1].openings[0].height_m",
            "walls[1].openings[1].at_m",
            "walls[2].turn_deg",
        ]
    );
}
