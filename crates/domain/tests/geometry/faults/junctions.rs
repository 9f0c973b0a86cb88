//! Corners, T-junctions and closed runs.

use hod_domain::geometry::{End, Path, Place, Rule, WallDrawing, enclosed_area};

use super::{good, refused};
use crate::drawings::*;

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
fn a_circle_that_turns_once_more_where_it_closes_is_told_what_to_set() {
    let mut ring = WallDrawing {
        path: Path::Arc {
            radius: m("2.9"),
            bend_degrees: number("360"),
        },
        end: End::Corner {
            wall: "ring".to_owned(),
        },
        ..wall("ring", "1", "2.4", "0.45")
    };
    let rule = refused(
        &[ring.clone()],
        "walls[0].ends",
        "wall \"ring\": the run that it closes meets its start but turns by 450 degrees in all, and must by 360; a corner \
         turns by 90 when nothing is said, so where a wall goes straight on into the next, as round a circle, set turn_deg = 0",
    );
    assert!(matches!(rule, Rule::RunDoesNotClose { turn_sum, .. } if turn_sum == number("450")));
    ring.turn_degrees = Some(number("0"));
    assert!(enclosed_area(&[ring.clone()], "ring").is_ok());
    ring.end = End::Free;
    let open = enclosed_area(&[ring], "ring").expect_err("open");
    assert!(open.to_string().contains("turn_deg = 0"), "{open}");
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
