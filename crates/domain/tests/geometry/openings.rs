//! Openings measured one by one: worked by hand, and what they have to do with their walls.

use hod_domain::geometry::{Batter, CutStem, OpeningMeasure, OpeningShape, WallDrawing};
use hod_units::{Area, Length};
use proptest::prelude::*;

use crate::drawings::*;
use crate::laws::{free_wall, shape};

fn in_wall(opening: hod_domain::geometry::Opening) -> OpeningMeasure {
    let drawing = WallDrawing {
        openings: vec![opening],
        stem_height: m("0.5"),
        ..wall("w", "6", "3", "0.4")
    };
    one(drawing).openings[0]
}

#[test]
fn a_window_is_measured_by_its_parts() {
    // 1.2 x 1.1 m, sill 0.9 m, through 0.4 m, splayed to 1.6 m: 0.2 m to each side, so each jamb is sqrt(0.4^2 + 0.2^2)
    // deep; head and sill (1.2 + 1.6)/2 x 0.4 each; volume 1.4 x 1.1 x 0.4.
    let mut window = opening("w", rectangle("1.1"), "1.2", "0.9", "2");
    window.splay = m("0.4");
    let found = in_wall(window);
    assert_eq!((found.width_outer, found.width_inner), (m("1.2"), m("1.6")));
    assert_eq!(found.height, m("1.1"));
    assert_eq!(
        (found.area_outer, found.area_inner),
        (m2("1.32"), m2("1.76"))
    );
    assert_eq!(found.volume, m3("0.616"));
    assert_eq!((found.head, found.sill), (m2("0.56"), m2("0.56")));
    let jambs = 2.0 * 1.1 * 0.2_f64.sqrt();
    assert!((float(found.jamb.square_metres()) - jambs).abs() < 6e-7);
    assert_eq!(found.thickness_at_head, m("0.4"));
    assert!(!found.is_arched && !found.is_at_base);
    assert_eq!(found.cuts_stem, None);
}

#[test]
fn a_door_that_goes_down_into_the_stem_wall_cuts_it() {
    // Sill 0.15 m below: of its 2.15 m, 2.0 m are in the wall. Jambs 2 x 2.0 x 0.4; no sill in the earth.
    let door = in_wall(opening("d", rectangle("2.15"), "0.9", "-0.15", "2"));
    let cut = CutStem {
        width: m("0.9"),
        depth: m("0.15"),
    };
    assert_eq!(door.cuts_stem, Some(cut));
    assert_eq!((door.height, door.area_outer), (m("2.15"), m2("1.8")));
    assert_eq!(
        (door.jamb, door.head, door.sill),
        (m2("1.6"), m2("0.36"), m2("0"))
    );
    assert_eq!(door.volume, m3("0.72"));
    assert!(door.is_at_base);
    // One that stands on the stem wall is at the edge of the face too, but cuts nothing.
    let on_top = in_wall(opening("d", rectangle("2"), "0.9", "0", "2"));
    assert!(on_top.is_at_base && on_top.cuts_stem.is_none());
}

#[test]
fn heads_that_are_not_level_are_arched_and_as_high_as_their_crown() {
    let half = |text: &str| m(text);
    // Half a circle over 0.8 m sides: 1.3 m to its crown, the arch pi/2 long; a quarter rise; the pointed 0.866 of its
    // width; the circle all round.
    let table: [(OpeningShape, Length, f64, f64); 4] = [
        (
            OpeningShape::Semicircular {
                height: half("0.8"),
            },
            m("1.3"),
            0.8 + std::f64::consts::PI / 8.0,
            std::f64::consts::FRAC_PI_2,
        ),
        (
            // Rise 0.5 of a width of 1: half a circle again.
            OpeningShape::Segmental {
                height: half("0.8"),
                rise: m("0.5"),
            },
            m("1.3"),
            0.8 + std::f64::consts::PI / 8.0,
            std::f64::consts::FRAC_PI_2,
        ),
        (
            OpeningShape::Pointed {
                height: half("0.8"),
            },
            m("1.666025"),
            0.8 + std::f64::consts::FRAC_PI_3 - 0.75_f64.sqrt() / 2.0,
            2.0 * std::f64::consts::FRAC_PI_3,
        ),
        (
            OpeningShape::Circle,
            m("1"),
            std::f64::consts::FRAC_PI_4,
            std::f64::consts::PI,
        ),
    ];
    for (shape, height, area, head) in table {
        let found = in_wall(opening("o", shape, "1", "0.5", "2"));
        assert!(found.is_arched);
        assert_eq!(found.height, height, "{shape:?}");
        assert!(
            (float(found.area_outer.square_metres()) - area).abs() < 6e-7,
            "{shape:?}"
        );
        assert!(
            (float(found.head.square_metres()) - 0.4 * head).abs() < 6e-7,
            "{shape:?}"
        );
        let is_round = shape == OpeningShape::Circle;
        let jamb = if is_round { m2("0") } else { m2("0.64") };
        let sill = if is_round { m2("0") } else { m2("0.4") };
        assert_eq!((found.jamb, found.sill), (jamb, sill), "{shape:?}");
    }
}

#[test]
fn a_lintel_is_as_deep_as_the_wall_at_the_head() {
    // 0.50 m at the base and 0.35 m at 3.0 m: at a head of 2.0 m, 0.40 m.
    let drawing = WallDrawing {
        taper: taper("0.35", Batter::Outer),
        openings: vec![opening("door", rectangle("2"), "0.9", "0", "2")],
        ..wall("w", "6", "3", "0.5")
    };
    assert_eq!(one(drawing).openings[0].thickness_at_head, m("0.4"));
}

#[test]
fn openings_come_in_the_order_drawn_and_niches_not_at_all() {
    let drawing = WallDrawing {
        openings: vec![
            opening("far", rectangle("1"), "0.7", "0.9", "4"),
            opening("near", rectangle("1"), "0.5", "0.9", "1"),
        ],
        niches: vec![niche("n", rectangle("0.4"), "0.4", "1", "2", "0.1")],
        ..wall("w", "6", "3", "0.4")
    };
    let one = one(drawing);
    let widths: Vec<Length> = one
        .openings
        .iter()
        .map(|opening| opening.width_outer)
        .collect();
    assert_eq!(widths, [m("0.7"), m("0.5")]);
    // The niche's own reveal is what the openings leave of the wall's: 2 x 0.4 x 0.1 + 2 x 0.4 x 0.1.
    let reveals = one.openings.iter().flat_map(|o| [o.jamb, o.head, o.sill]);
    let niche = one
        .reveal
        .checked_sub(Area::checked_sum(reveals).expect("small"));
    assert_eq!(niche, Some(m2("0.16")));
}

proptest! {
    #![proptest_config(ProptestConfig { failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn an_opening_takes_what_its_wall_is_less_for_it(wall in free_wall(), shape in shape(), splay in 0.0..0.2) {
        let mut window = opening("o", shape, "0.6", "0.4", "0.9");
        window.splay = drawn(splay);
        let with = one(WallDrawing { openings: vec![window], ..wall.clone() });
        let without = one(wall);
        let found = with.openings[0];
        // One opening is all that is displaced and all that is revealed.
        prop_assert_eq!(found.volume, with.displaced);
        let parts = Area::checked_sum([found.jamb, found.head, found.sill]).expect("small");
        let gap = (parts.square_metres() - with.reveal.square_metres()).abs();
        prop_assert!(gap <= number("0.000002"));
        prop_assert!(found.area_outer <= found.area_inner);
        // A plumb face of a straight wall is less by just the elevation; a leaning or bent one by a little more or less.
        let lost = float(without.outer_face.square_metres()) - float(with.outer_face.square_metres());
        prop_assert!((lost / float(found.area_outer.square_metres()) - 1.0).abs() < 0.2);
    }
}
