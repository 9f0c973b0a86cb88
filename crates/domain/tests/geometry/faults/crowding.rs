//! Walls that stand where others do: guests on one face, in a corner, in an opening; and walls that cross.

use hod_domain::geometry::{Place, Profile, Rule, WallDrawing};

use super::refused;
use crate::drawings::*;

/// A room of 6 x 4 m on the centre lines, its walls 0.4 m thick and 2 m high, gone round to the left.
fn room_of_six_by_four() -> Vec<WallDrawing> {
    room("", "6", "4", |id, length| wall(id, length, "2", "0.4"))
}

/// A partition 2 m long and 0.15 m thick that runs into the south wall from inside the room (turn 90) or outside (-90).
///
/// From inside it heads south, and the south wall, which heads east, to its left.
fn partition(id: &str, at: &str, turn: &str) -> WallDrawing {
    WallDrawing {
        end: into("south", at, turn),
        ..wall(id, "2", "2", "0.15")
    }
}

fn room_with(guests: &[WallDrawing]) -> Vec<WallDrawing> {
    let mut walls = room_of_six_by_four();
    walls.extend_from_slice(guests);
    walls
}

#[test]
fn two_guests_do_not_stand_in_one_place() {
    let rule = refused(
        &room_with(&[partition("p", "3", "90"), partition("q", "3", "90")]),
        "walls[5].into_at_m",
        "wall \"q\": it runs into wall \"south\" where wall \"p\" does: from 2.925 m to 3.075 m along that both would stand \
         on one face; move one of them",
    );
    assert_eq!(
        rule,
        Rule::GuestsOverlap {
            host: "south".into(),
            other: "p".into(),
            from: m("2.925"),
            to: m("3.075"),
        }
    );
    // In part; and told of the later wall, whichever stands nearer to the host's start.
    for (first, second) in [("3", "3.1"), ("3.1", "3")] {
        refused(
            &room_with(&[partition("p", first, "90"), partition("q", second, "90")]),
            "walls[5].into_at_m",
            "wall \"q\": it runs into wall \"south\" where wall \"p\" does: from 3.025 m to 3.075 m along that both would \
             stand on one face; move one of them",
        );
    }
    // At 30 degrees it takes twice its thickness: 0.3 m. It meets the face 0.2 / tan 30 = 0.346 m before the place.
    let found = faults(&room_with(&[
        partition("p", "3", "30"),
        partition("q", "2.5", "90"),
    ]));
    assert!(
        matches!(&found[..], [fault] if matches!(fault.rule, Rule::GuestsOverlap { from, .. } if (float(from.metres()) - (3.0 - 0.2 * 3.0_f64.sqrt() - 0.15)).abs() < 1e-6)),
        "{:?}",
        sentences(&found)
    );
}

#[test]
fn guests_that_touch_or_stand_back_to_back_are_let_be() {
    for guests in [
        [partition("p", "3", "90"), partition("q", "3.15", "90")],
        [partition("p", "3", "90"), partition("q", "3", "-90")],
        [partition("p", "3", "30"), partition("q", "3", "90")],
    ] {
        measured(&room_with(&guests));
    }
}

#[test]
fn a_guest_stands_clear_of_its_hosts_corners() {
    // The east wall takes the last 0.2 m of the south's inner face: a guest 0.15 m thick may stand up to 5.725 m.
    let rule = refused(
        &room_with(&[partition("p", "5.8", "90")]),
        "walls[4].into_at_m",
        "wall \"p\": it runs into wall \"south\" with its side at 5.875 m along that, beyond 5.8 m, where the face ends at \
         wall \"east\"; move it clear of the junction",
    );
    assert_eq!(
        rule,
        Rule::GuestInJunction {
            host: "south".into(),
            other: "east".into(),
            edge: m("5.875"),
            cut: m("5.8"),
        }
    );
    refused(
        &room_with(&[partition("p", "0.1", "90")]),
        "walls[4].into_at_m",
        "wall \"p\": it runs into wall \"south\" with its side at 0.025 m along that, beyond 0.2 m, where the face ends at \
         wall \"west\"; move it clear of the junction",
    );
    for (at, turn) in [
        ("5.725", "90"),
        ("0.275", "90"),
        ("5.9", "-90"),
        ("6", "-90"),
        ("0", "-90"),
    ] {
        measured(&room_with(&[partition("p", at, turn)]));
    }
}

#[test]
fn a_guest_may_stand_on_a_joint_without_a_turn_unless_the_next_wall_is_thicker() {
    let walls = |thickness: &str| {
        [
            WallDrawing {
                end: corner("b"),
                turn_degrees: Some(number("0")),
                ..wall("south", "4", "2", "0.4")
            },
            wall("b", "4", "2", thickness),
            partition("p", "4", "90"),
        ]
    };
    measured(&walls("0.4"));
    measured(&walls("0.3"));
    let rule = refused(
        &walls("0.5"),
        "walls[2].into_at_m",
        "wall \"p\": it runs into wall \"south\" with its side at 4.075 m along that, beyond 4 m, where the face ends at \
         wall \"b\"; move it clear of the junction",
    );
    assert!(matches!(rule, Rule::GuestInJunction { .. }));
}

#[test]
fn a_guest_does_not_stand_in_an_opening() {
    let walls = |at: &str, guest_height: &str, turn: &str| {
        let mut walls = room_with(&[WallDrawing {
            profile: Profile::Level {
                height: m(guest_height),
            },
            ..partition("p", at, turn)
        }]);
        walls[0].openings = vec![opening("window", rectangle("0.8"), "1.2", "0.9", "2")];
        walls[0].niches = vec![niche("shelf", rectangle("0.5"), "0.6", "1", "4", "0.1")];
        walls
    };
    let rule = refused(
        &walls("2.6", "2", "90"),
        "walls[4].into_at_m",
        "wall \"p\": it runs into wall \"south\" at opening \"window\", in which it would stand from 2.525 m to 2.675 m \
         along that wall; move one of them",
    );
    assert_eq!(
        rule,
        Rule::GuestInOpening {
            host: "south".into(),
            opening: Place::Opening(0),
            opening_id: "window".into(),
            from: m("2.525"),
            to: m("2.675"),
        }
    );
    refused(
        &walls("4", "2", "90"),
        "walls[4].into_at_m",
        "wall \"p\": it runs into wall \"south\" at niche \"shelf\", in which it would stand from 4 m to 4.075 m along \
         that wall; move one of them",
    );
    // Beside it, under it, and behind the niche.
    for (at, height, turn) in [
        ("1.925", "2", "90"),
        ("3.275", "2", "90"),
        ("2.6", "0.9", "90"),
        ("4.3", "2", "-90"),
    ] {
        measured(&walls(at, height, turn));
    }
}

#[test]
fn a_splay_counts_on_the_inner_face_only() {
    let walls = |turn: &str| {
        let mut walls = room_with(&[partition("p", "1.9", turn)]);
        walls[0].openings = vec![opening("window", rectangle("0.8"), "1.2", "0.9", "2")];
        walls[0].openings[0].splay = m("0.2");
        walls
    };
    refused(
        &walls("90"),
        "walls[4].into_at_m",
        "wall \"p\": it runs into wall \"south\" at opening \"window\", in which it would stand from 1.9 m to 1.975 m along \
         that wall; move one of them",
    );
    measured(&walls("-90"));
}

/// A run of straight walls between these points and back to the first.
fn run(points: &[(f64, f64)]) -> Vec<WallDrawing> {
    let count = points.len();
    let step = |index: usize| {
        let (from, to) = (points[index % count], points[(index + 1) % count]);
        (to.0 - from.0, to.1 - from.1)
    };
    let walls = (0..count).map(|index| {
        let ((x, y), (next_x, next_y)) = (step(index), step(index + 1));
        let turn = (x * next_y - y * next_x).atan2(x * next_x + y * next_y);
        WallDrawing {
            path: hod_domain::geometry::Path::Straight {
                length: drawn(x.hypot(y)),
            },
            turn_degrees: Some(drawn(turn.to_degrees()).metres()),
            ..wall(&format!("w{index}"), "1", "2", "0.4")
        }
    });
    closed(walls.collect())
}

#[test]
fn a_run_does_not_cross_itself() {
    // The second comes back from (6, 4) to (2, -2) over the first at 3.333 m, and the third, from (2, -2) up, at 2 m.
    let walls = run(&[
        (0.0, 0.0),
        (6.0, 0.0),
        (6.0, 4.0),
        (2.0, -2.0),
        (2.0, 6.0),
        (0.0, 6.0),
    ]);
    let found = faults(&walls);
    let met: Vec<(usize, f64, f64)> = found
        .iter()
        .map(|fault| match &fault.rule {
            Rule::WallsCross {
                other,
                at,
                other_at,
            } => {
                assert_eq!((other.as_str(), fault.field), ("w0", "length_m"));
                (fault.wall, float(at.metres()), float(other_at.metres()))
            }
            rule => panic!("{rule:?}"),
        })
        .collect();
    assert_eq!(met.len(), 2, "{met:?}");
    let second = 52.0_f64.sqrt() * 2.0 / 3.0;
    for ((wall, at, other_at), expected) in met
        .into_iter()
        .zip([(2, second, 10.0 / 3.0), (3, 2.0, 2.0)])
    {
        assert_eq!(wall, expected.0);
        assert!((at - expected.1).abs() < 1e-3, "{at}");
        assert!((other_at - expected.2).abs() < 1e-3, "{other_at}");
    }
    // The same without the crossing.
    measured(&run(&[
        (0.0, 0.0),
        (6.0, 0.0),
        (6.0, 4.0),
        (2.0, 2.0),
        (2.0, 6.0),
        (0.0, 6.0),
    ]));
}

#[test]
fn a_crossing_is_told_in_one_sentence() {
    // East 6, north 3, west 3, south 5: over the first, 3 m along both.
    let chain = |last: &str| {
        let mut walls = closed(vec![
            wall("a", "6", "2", "0.4"),
            wall("b", "3", "2", "0.4"),
            wall("c", "3", "2", "0.4"),
            wall("d", last, "2", "0.4"),
        ]);
        walls[3].end = hod_domain::geometry::End::Free;
        walls
    };
    let rule = refused(
        &chain("5"),
        "walls[3].length_m",
        "wall \"d\": its centre line at 3 m along it crosses that of wall \"a\" at 3 m, where no junction is drawn; draw \
         one, or correct a length or a turn",
    );
    assert_eq!(
        rule,
        Rule::WallsCross {
            other: "a".into(),
            at: m("3"),
            other_at: m("3"),
        }
    );
    measured(&chain("2.5"));
}

#[test]
fn walls_that_lie_along_one_another_cross() {
    // East 4, north 1, west 1, south 1, and east again along the first.
    let mut walls = closed(vec![
        wall("a", "4", "2", "0.2"),
        wall("b", "1", "2", "0.2"),
        wall("c", "1", "2", "0.2"),
        wall("d", "1", "2", "0.2"),
        wall("e", "0.7", "2", "0.2"),
    ]);
    walls[4].end = hod_domain::geometry::End::Free;
    let found = faults(&walls);
    assert!(
        found
            .iter()
            .any(|fault| fault.wall == 4 && matches!(fault.rule, Rule::WallsCross { .. })),
        "{:?}",
        sentences(&found)
    );
}

#[test]
fn arcs_cross_straight_walls_and_arcs() {
    // From the end of a 4 m wall three quarters of a circle of 1 m, right back over the wall, 1 m before its end... and
    // the same from the end of an arc, so slight that it might be straight.
    let over = |first: WallDrawing, bend: &str| {
        [
            WallDrawing {
                end: corner("bow"),
                turn_degrees: Some(number("90")),
                ..first
            },
            arc("bow", "1", bend, "2", "0.2"),
        ]
    };
    let straight = || wall("a", "4", "2", "0.2");
    let slight = || arc("a", "500", "0.5", "2", "0.2");
    for first in [straight(), slight()] {
        let found = faults(&over(first.clone(), "240"));
        assert!(
            matches!(&found[..], [fault] if fault.wall == 1 && fault.field == "radius_m"
                && matches!(fault.rule, Rule::WallsCross { at, .. } if (float(at.metres()) - std::f64::consts::PI).abs() < 0.02)),
            "{:?}",
            sentences(&found)
        );
        measured(&over(first, "150"));
    }
}

#[test]
fn a_guest_crosses_what_it_goes_through() {
    // From the south wall north, 5 m through a room 4 m wide.
    let through = |length: &str| {
        room_with(&[WallDrawing {
            start: into("south", "3", "-90"),
            ..wall("p", length, "2", "0.15")
        }])
    };
    refused(
        &through("5"),
        "walls[4].length_m",
        "wall \"p\": its centre line at 4 m along it crosses that of wall \"north\" at 3 m, where no junction is drawn; \
         draw one, or correct a length or a turn",
    );
    measured(&through("3.5"));
}

#[test]
fn a_turn_to_the_other_side_is_offered_where_it_would_fit() {
    let mut walls = room_with(&[WallDrawing {
        start: into("south", "3", "90"),
        end: into("north", "3", "90"),
        ..wall("p", "4", "2", "0.15")
    }]);
    let sentence = |instead: &str, gap: &str, degrees: &str| {
        format!(
            "wall \"p\": it misses the place on wall \"north\" where it is drawn to meet it by {gap} mm and {degrees} degrees; \
             at most 10 mm and 0.1 degree are let pass, so correct its length, into_at_m or a turn{instead}"
        )
    };
    refused(
        &walls,
        "walls[4].into_at_m",
        &sentence(": with start_turn_deg = -90 it would meet", "8000", "180"),
    );
    walls[4].start = into("south", "3", "-90");
    walls[4].end = into("north", "3", "-90");
    refused(
        &walls,
        "walls[4].into_at_m",
        &sentence(": with turn_deg = 90 it would meet", "0", "180"),
    );
    walls[4].start = into("south", "3", "90");
    let found = refused(
        &walls,
        "walls[4].into_at_m",
        &sentence(
            ": with start_turn_deg = -90 and turn_deg = 90 it would meet",
            "8000",
            "0",
        ),
    );
    assert!(matches!(found, Rule::WallDoesNotFit { instead, .. } if instead.len() == 2));
}

#[test]
fn openings_must_leave_some_of_the_wall() {
    let rule = refused(
        &[WallDrawing {
            openings: vec![opening("door", rectangle("2"), "4", "0", "0")],
            ..wall("a", "4", "2", "0.4")
        }],
        "walls[0].openings",
        "wall \"a\": its openings and niches take the whole of its 3.2 m3; leave some earth beside or above them",
    );
    assert_eq!(rule, Rule::OpeningsTakeWall { wall: m3("3.2") });
}
