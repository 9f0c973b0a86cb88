//! Every rule that a drawing can break, each with one job that breaks it, where it is told and in which words.

mod crowding;
mod junctions;
mod openings;
mod sizes;

use hod_domain::geometry::{Batter, End, Profile, Rule, WallDrawing};

use crate::drawings::*;

/// One fault is found, at this field and in these words.
#[track_caller]
pub fn refused(walls: &[WallDrawing], field_path: &str, sentence: &str) -> Rule {
    let mut found = faults(walls);
    assert_eq!(sentences(&found), [sentence]);
    assert_eq!(found[0].field_path(), field_path);
    found.remove(0).rule
}

pub fn good() -> WallDrawing {
    wall("south", "6.2", "2.4", "0.45")
}

pub fn with_opening(opening: hod_domain::geometry::Opening) -> WallDrawing {
    WallDrawing {
        openings: vec![opening],
        ..good()
    }
}

pub fn door() -> hod_domain::geometry::Opening {
    opening("door", rectangle("2"), "0.9", "0", "1.1")
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
