//! What closed runs enclose: worked by hand, and held against what their walls leave of the whole.

use hod_domain::geometry::{Batter, NotEnclosed, WallDrawing, enclosed_area};
use hod_units::Decimal;

use crate::drawings::*;

#[track_caller]
fn encloses(walls: &[WallDrawing], square_metres: f64) {
    for wall in walls {
        let area = enclosed_area(walls, &wall.id).map(|area| float(area.square_metres()));
        let found = area.unwrap_or_else(|fault| panic!("{}: {fault}", wall.id));
        assert!(
            (found - square_metres).abs() < 6e-7,
            "{}: {found} for {square_metres}",
            wall.id
        );
    }
}

#[test]
fn a_room_of_unlike_walls_is_measured_between_its_inner_faces() {
    // Centre lines 6.20 x 4.00 m; south and north 0.45, east 0.30, west 0.60 m: (6.20 - 0.15 - 0.30) x (4.00 - 0.45).
    let mut walls = room("", "6.20", "4.00", |id, length| {
        wall(id, length, "2.4", "0.45")
    });
    walls[1].thickness = m("0.30");
    walls[3].thickness = m("0.60");
    encloses(&walls, 5.75 * 3.55);
    // Right-handed, and drawn from the other sides of its corners.
    for wall in &mut walls {
        wall.turn_degrees = Some(number("-90"));
    }
    encloses(&walls, 5.75 * 3.55);
}

#[test]
fn only_the_base_counts() {
    let walls = room("", "6.20", "4.00", |id, length| WallDrawing {
        taper: taper("0.20", Batter::Inner),
        openings: vec![opening("door", rectangle("2"), "0.9", "0", "1")],
        ..wall(id, length, "2.4", "0.45")
    });
    encloses(&walls, 5.75 * 3.55);
}

#[test]
fn an_l_is_measured_round_its_inner_corner() {
    // Centre lines 6 x 5 m less 3 x 2 m = 24 m2; all 0.4 m thick, girth 22 m: less 22 x 0.2, and back 0.2^2 x (6 corners
    // out of which 5 turn left and 1 right) x 1: 24 - 4.4 + 4 x 0.04 = 19.76.
    let sides = [
        ("a", "6", "90"),
        ("b", "3", "90"),
        ("c", "3", "-90"),
        ("d", "2", "90"),
        ("e", "3", "90"),
        ("f", "5", "90"),
    ];
    let make = |(id, length, turn): (&str, &str, &str)| WallDrawing {
        turn_degrees: Some(number(turn)),
        ..wall(id, length, "2.4", "0.4")
    };
    encloses(&closed(sides.map(make).to_vec()), 19.76);
}

#[test]
fn a_round_hut_encloses_its_inner_circle() {
    // Centre line 3 m, 0.4 m thick: pi x 2.8^2, as one wall and as three.
    let hut = |id: &str, bend: &str| WallDrawing {
        turn_degrees: Some(Decimal::ZERO),
        ..arc(id, "3", bend, "2.4", "0.4")
    };
    let circle = std::f64::consts::PI * 2.8 * 2.8;
    encloses(&closed(vec![hut("hut", "360")]), circle);
    encloses(
        &closed(vec![hut("a", "100"), hut("b", "200"), hut("c", "60")]),
        circle,
    );
    encloses(
        &closed(vec![hut("a", "-100"), hut("b", "-200"), hut("c", "-60")]),
        circle,
    );
}

#[test]
fn an_apse_encloses_half_a_circle_beyond_its_straight_side() {
    // A half circle of radius 3 m on a straight wall of 6 m, both 0.4 m thick. Inside: the circle of 2.8 m above the line
    // 0.2 m over its centre: 2.8^2 acos(0.2/2.8) - 0.2 sqrt(2.8^2 - 0.2^2).
    let walls = closed(vec![
        wall("straight", "6", "2.4", "0.4"),
        arc("apse", "3", "180", "2.4", "0.4"),
    ]);
    let expected = 2.8 * 2.8 * (0.2_f64 / 2.8).acos() - 0.2 * (2.8_f64 * 2.8 - 0.04).sqrt();
    encloses(&walls, expected);
}

#[test]
fn a_step_in_a_straight_side_is_part_of_the_outline() {
    // The south side 3.1 m of 0.45 and 3.1 m of 0.25 m: the second stands 0.1 m further out.
    let mut walls = room("", "6.20", "4.00", |id, length| {
        wall(id, length, "2.4", "0.45")
    });
    let thin = WallDrawing {
        end: corner("east"),
        ..wall("south-2", "3.10", "2.4", "0.25")
    };
    walls[0] = WallDrawing {
        end: corner("south-2"),
        turn_degrees: Some(Decimal::ZERO),
        ..wall("south", "3.10", "2.4", "0.45")
    };
    walls.insert(1, thin);
    encloses(&walls, 5.75 * 3.55 + (3.1 - 0.225) * 0.1);
}

#[test]
fn what_is_enclosed_and_the_base_of_the_walls_make_up_the_outer_outline() {
    // Like walls: outer (6.20 + 0.45) x (4.00 + 0.45) = the plan area of the walls and what they enclose.
    let walls = room("", "6.20", "4.00", |id, length| {
        wall(id, length, "2.4", "0.45")
    });
    let plan: f64 = measured(&walls)
        .iter()
        .map(|wall| float(wall.plan_area.square_metres()))
        .sum();
    encloses(&walls, 6.65 * 4.45 - plan);
}

#[test]
fn what_is_not_closed_encloses_nothing() {
    let mut walls = room("", "6.20", "4.00", |id, length| {
        wall(id, length, "2.4", "0.45")
    });
    walls.push(WallDrawing {
        start: into("south", "3", "-90"),
        end: into("north", "3.2", "90"),
        ..wall("middle", "4", "2.4", "0.2")
    });
    let of = |walls: &[WallDrawing], id: &str| enclosed_area(walls, id).map(|_| ());
    assert_eq!(of(&walls, "middle"), Err(NotEnclosed::NotClosed));
    assert_eq!(of(&walls, "attic"), Err(NotEnclosed::UnknownWall));
    // A partition inside is not taken out.
    encloses(&walls[..4], 5.75 * 3.55);
    assert_eq!(
        enclosed_area(&walls, "south"),
        enclosed_area(&walls[..4], "south")
    );
    // A run that misses its start, one of a wall without sizes, and one whose walls are too thick for it.
    let mut gaping = walls.clone();
    gaping[0] = WallDrawing {
        end: corner("east"),
        ..wall("south", "6.25", "2.4", "0.45")
    };
    assert_eq!(of(&gaping, "west"), Err(NotEnclosed::HasFaults));
    let mut absurd = walls.clone();
    absurd[0].thickness = m("0");
    assert_eq!(of(&absurd, "west"), Err(NotEnclosed::HasFaults));
    for wall in &mut walls[..4] {
        wall.thickness = m("4.5");
    }
    assert_eq!(of(&walls, "west"), Err(NotEnclosed::HasFaults));
    let open = [wall("alone", "4", "2.4", "0.45")];
    assert_eq!(of(&open, "alone"), Err(NotEnclosed::NotClosed));
    assert_eq!(
        NotEnclosed::NotClosed.to_string(),
        "the wall belongs to no closed run; name a wall of one, or give the area; a full circle is closed by ends = \"corner:ID\" of itself and turn_deg = 0"
    );
}
