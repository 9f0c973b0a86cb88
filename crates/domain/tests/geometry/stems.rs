//! Stem walls, footings and trenches: walls on the centre lines of others, of another thickness and height, cut by the
//! sills that go down into them. They are measured as any wall is.

use hod_domain::geometry::{OpeningShape, Profile, Rule, WallDrawing, WallMeasure, measure};
use hod_units::{Length, Volume};
use proptest::prelude::*;

use super::faults::refused;
use crate::drawings::*;

/// What stands under a wall, so thick and so high: openings cut it where their sills are below its top.
fn under(wall: &WallDrawing, thickness: Length, height: Length) -> WallDrawing {
    let sunk = wall
        .openings
        .iter()
        .filter(|opening| opening.sill.is_negative());
    let cut = sunk.map(|door| hod_domain::geometry::Opening {
        shape: OpeningShape::Rectangle {
            height: Length::ZERO.checked_sub(door.sill).expect("a depth"),
        },
        sill: height.checked_add(door.sill).expect("a height"),
        splay: Length::ZERO,
        ..door.clone()
    });
    WallDrawing {
        openings: cut.collect(),
        profile: Profile::Level { height },
        thickness,
        taper: None,
        niches: Vec::new(),
        inclusions: Vec::new(),
        zones: Vec::new(),
        ..wall.clone()
    }
}

fn all_under(walls: &[WallDrawing], thickness: &str, height: &str) -> Vec<WallDrawing> {
    let under = |wall| under(wall, m(thickness), m(height));
    walls.iter().map(under).collect()
}

fn net(measured: &[WallMeasure]) -> Volume {
    Volume::checked_sum(measured.iter().map(|wall| wall.net)).expect("a small sum")
}

/// Two rooms of 5 x 6 m inside, walls 0.3 m.
fn two_rooms() -> Vec<WallDrawing> {
    let mut walls = room("", "10.6", "6.3", |id, length| WallDrawing {
        stem_height: m("0.45"),
        ..wall(id, length, "3", "0.3")
    });
    walls.push(WallDrawing {
        start: into("south", "5.3", "-90"),
        end: into("north", "5.3", "90"),
        stem_height: m("0.45"),
        ..wall("middle", "6.3", "3", "0.3")
    });
    walls
}

#[test]
fn a_trench_under_two_rooms() {
    // Footing 1.1 m wide and 1.0 m deep under walls of 0.3 m: long walls 2 x 11.7 x 1.1 = 25.74, short walls
    // 3 x 5.2 x 1.1 = 17.16 (<https://easyhomebuilds.com/double-room-building-estimation>); 42.90 = 39.0 x 1.1 x 1.0.
    let measured = measured(&all_under(&two_rooms(), "1.1", "1.0"));
    assert_eq!(net(&measured), m3("42.90"));
    // Mitred, each long wall is 10.6 m and each short one 6.3 m on the mean, and the middle 5.2 m.
    let volumes: Vec<Volume> = measured.iter().map(|wall| wall.net).collect();
    assert_eq!(volumes, ["11.66", "6.93", "11.66", "6.93", "5.72"].map(m3));
}

#[test]
fn a_stem_wall_is_cut_by_doors_and_not_by_windows() {
    // 0.45 m high, 0.45 m thick: 38.3 m less 2 x 0.225, for (33.8 + 6.3 - 0.45) x 0.45 x 0.45 = 8.029125; a door 0.9 m
    // wide, 0.15 m down: less 0.9 x 0.15 x 0.45 = 0.06075; one to the ground in the middle wall: less 0.8 x 0.45 x 0.45.
    let mut walls = two_rooms();
    walls[0].openings = vec![
        opening("door", rectangle("2.15"), "0.9", "-0.15", "1"),
        opening("window", rectangle("1"), "1.2", "0.9", "7"),
    ];
    walls[4].openings = vec![opening("way", rectangle("2.4"), "0.8", "-0.45", "2")];
    let measured = measured(&all_under(&walls, "0.45", "0.45"));
    assert_eq!(net(&measured), m3("7.806375"));
    let under_door = &measured[0].openings[0];
    assert_eq!(under_door.volume, m3("0.06075"));
    assert_eq!(measured[0].openings.len(), 1);
    // Its sill is 0.30 m up the stem wall: a threshold of 0.9 x 0.45 m.
    assert_eq!(under_door.sill, m2("0.405"));
    assert!(measured[4].openings[0].is_at_base);
}

#[test]
fn a_stem_wall_under_arches_rounds_and_slopes_has_a_level_top() {
    let hut = |id: &str| WallDrawing {
        turn_degrees: Some(number("0")),
        openings: vec![opening(
            "door",
            OpeningShape::Semicircular { height: m("1.5") },
            "0.9",
            "-0.2",
            "2",
        )],
        stem_height: m("0.4"),
        ..arc(id, "3", "180", "2.4", "0.4")
    };
    let measured = measured(&all_under(&closed(vec![hut("a"), hut("b")]), "0.5", "0.4"));
    // 2 pi 3 x 0.5 x 0.4, less two of 0.9 x 0.2 x 0.5.
    let expected = 2.0 * std::f64::consts::PI * 3.0 * 0.2 - 0.18;
    let found = float(net(&measured).cubic_metres());
    assert!((found - expected).abs() < 2e-6, "{found} for {expected}");
}

#[test]
fn a_trench_too_wide_for_a_short_wall_is_told() {
    // An outline that steps out by 0.5 m and back: walls of 0.3 m fit, a trench of 0.6 m leaves nothing of the steps.
    let sides = [
        ("a", "3", "90"),
        ("step", "0.5", "-90"),
        ("b", "3", "90"),
        ("c", "4.5", "90"),
        ("d", "6", "90"),
        ("e", "5", "90"),
    ];
    let make = |(id, length, turn): (&str, &str, &str)| WallDrawing {
        turn_degrees: Some(number(turn)),
        ..wall(id, length, "2.4", "0.3")
    };
    let walls = closed(sides.map(make).to_vec());
    measured(&all_under(&walls, "0.45", "0.5"));
    // Its two corners turn opposite ways: each of its faces loses 0.6 m at one end and gains it at the other, and it is
    // as long on the mean as it was. It vanishes only where both turn one way.
    measured(&all_under(&walls, "0.6", "0.5"));
    let notch = [
        ("a", "3", "90"),
        ("out", "1", "-90"),
        ("b", "0.5", "-90"),
        ("back", "1", "90"),
        ("c", "3", "90"),
        ("d", "4", "90"),
        ("e", "6.5", "90"),
        ("f", "4", "90"),
    ];
    let walls = closed(notch.map(make).to_vec());
    measured(&all_under(&walls, "0.45", "0.5"));
    refused(
        &all_under(&walls, "0.6", "0.5"),
        "walls[2].length_m",
        "wall \"b\": it is 0.5 m long but its two ends take 0.6 m of one face; lengthen it or thin the walls it meets",
    );
}

#[test]
fn trenches_that_run_into_one_another_beside_a_junction_are_told() {
    // A partition 0.5 m beside the corner: clear with walls of 0.3 m, not with trenches of 0.8 m.
    let mut walls = two_rooms();
    walls[4].start = into("south", "0.5", "-90");
    walls[4].end = into("north", "10.1", "90");
    measured(&walls);
    let found = measure(&all_under(&walls, "0.8", "1")).expect_err("they run together");
    let told: Vec<String> = found.iter().map(|fault| fault.to_string()).collect();
    assert!(
        matches!(found[0].rule, Rule::GuestInJunction { .. }),
        "{told:?}"
    );
    assert_eq!(
        told[0],
        "wall \"middle\": it runs into wall \"south\" with its side at 0.1 m along that, beyond 0.4 m, where the face ends \
         at wall \"west\"; move it clear of the junction"
    );
}

proptest! {
    #![proptest_config(ProptestConfig { failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn what_stands_under_like_walls_is_its_length_less_the_t_junctions_times_its_section(
        (along, across) in (4.0..9.0, 3.0..7.0),
        at in 0.4..0.6,
        thickness in 0.2..0.5,
        wider in 0.0..0.5,
        height in 0.1..1.2,
    ) {
        let (along, across, at) = (drawn(along), drawn(across), drawn(at * along));
        let plain = |id: &str, length: Length| WallDrawing {
            path: hod_domain::geometry::Path::Straight { length },
            thickness: drawn(thickness),
            ..wall(id, "1", "2.4", "1")
        };
        let sides = [("south", along), ("east", across), ("north", along), ("west", across)];
        let mut walls = closed(sides.map(|(id, length)| plain(id, length)).to_vec());
        let metres = |length: Length| length.metres().to_string();
        let back = along.checked_sub(at).expect("a part");
        walls.push(WallDrawing {
            start: into("south", &metres(at), "-90"),
            end: into("north", &metres(back), "90"),
            ..plain("middle", across)
        });
        let (width, deep) = (drawn(thickness + wider), drawn(height));
        let stems: Vec<WallDrawing> = walls.iter().map(|wall| under(wall, width, deep)).collect();
        let (width, deep) = (float(width.metres()), float(deep.metres()));
        let long = 2.0 * float(along.metres()) + 3.0 * float(across.metres()) - width;
        let found = float(net(&measured(&stems)).cubic_metres());
        prop_assert!((found - long * width * deep).abs() < 3e-6, "{} {}", found, long * width * deep);
    }
}
