//! Openings, niches and inclusions.

use hod_domain::geometry::{Batter, Face, OpeningShape, Path, Place, Profile, Rule, WallDrawing};

use super::{door, good, refused, with_opening};
use crate::drawings::*;

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
