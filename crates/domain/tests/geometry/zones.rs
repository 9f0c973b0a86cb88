//! Walls that are built of something else above a height: worked by hand, and the laws that hold for any of them.

use hod_domain::geometry::{
    Batter, Lift, Profile, WallDrawing, WallMeasure, Zone, ZoneMeasure, measure,
};
use hod_units::{Area, Decimal, Length, Volume};
use proptest::prelude::*;

use crate::drawings::*;
use crate::laws::{are_alike, figures, free_wall, shape};

fn zone(from: &str, lift_height: Option<&str>, paring: &str) -> Zone {
    Zone {
        from: m(from),
        lift_height: lift_height.map(m),
        paring: m(paring),
    }
}

fn levels(lifts: &[Lift]) -> Vec<(u32, u32, Length, Length)> {
    lifts
        .iter()
        .map(|lift| (lift.number, lift.zone, lift.from, lift.to))
        .collect()
}

#[test]
fn lifts_begin_anew_at_every_zone_and_are_numbered_on() {
    // 0.4 m thick, so 0.4 m lifts to 1.0 m: 0.4, 0.8 and what is left; above that 0.5 m lifts from 1.0 m to 2.4 m.
    let drawing = WallDrawing {
        zones: vec![zone("1.0", Some("0.5"), "0")],
        paring: m("0.02"),
        ..wall("w", "4", "2.4", "0.4")
    };
    assert_eq!(drawing.lifts_at_most(), Some(6));
    let one = one(drawing);
    assert_eq!(
        levels(&one.lifts),
        [
            (1, 0, m("0"), m("0.4")),
            (2, 0, m("0.4"), m("0.8")),
            (3, 0, m("0.8"), m("1.0")),
            (4, 1, m("1.0"), m("1.5")),
            (5, 1, m("1.5"), m("2.0")),
            (6, 1, m("2.0"), m("2.4")),
        ]
    );
    // Paring of 20 mm on two faces of 4.0 x 1.0 m below, none above: 1.6 + 0.16, and 4.0 x 1.4 x 0.4.
    let placed: Vec<Volume> = one.zones.iter().map(|zone| zone.placed).collect();
    assert_eq!(placed, [m3("1.76"), m3("2.24")]);
    assert_eq!((one.net, one.placed), (m3("3.84"), m3("4.00")));
    // The first lift: 4.0 x 0.4 m of each face, x 0.4 m, and the paring of both.
    let first = one.lifts[0];
    assert_eq!((first.inner_face, first.outer_face), (m2("1.6"), m2("1.6")));
    assert_eq!((first.net, first.volume), (m3("0.64"), m3("0.704")));
    assert_eq!(one.lifts[5].net, one.lifts[5].volume);
}

#[test]
fn a_wall_is_laid_in_its_own_lifts_whatever_the_wall_before_was_laid_in() {
    let plain = |id: &str, height: &str| wall(id, "4", height, "0.4");
    let drawings = vec![
        plain("first", "2.4"),
        plain("alike", "2.4"),
        plain("higher", "2.5"),
        plain("written-longer", "2.50"),
        WallDrawing {
            lift_height: Some(m("0.3")),
            ..plain("in-lower-lifts", "2.50")
        },
        WallDrawing {
            zones: vec![zone("1.0", Some("0.5"), "0")],
            lift_height: Some(m("0.3")),
            ..plain("of-two-zones", "2.50")
        },
        WallDrawing {
            lift_height: Some(m("0.3")),
            ..plain("of-one-again", "2.50")
        },
    ];
    // The digits too: levels are handed out as they are written.
    let written = |wall: &WallMeasure| -> Vec<String> {
        let level = |lift: &Lift| format!("{} {:?} {:?}", lift.zone, lift.from, lift.to);
        wall.lifts.iter().map(level).collect()
    };
    let together = measure(&drawings).expect("good walls");
    for (drawing, wall) in drawings.into_iter().zip(&together) {
        assert_eq!(written(wall), written(&one(drawing)), "{}", wall.id);
    }
}

#[test]
fn a_zone_without_a_lift_height_takes_the_usual_one_of_its_wall() {
    // The lesser of 0.6 and 0.45 m, from 0.5 m up, whatever the wall's own is: 0.45, 0.45 and 0.10 m.
    let drawing = WallDrawing {
        lift_height: Some(m("0.25")),
        zones: vec![zone("0.5", None, "0")],
        ..wall("w", "4", "1.5", "0.6")
    };
    assert_eq!(drawing.lifts_at_most(), Some(5));
    let tops: Vec<Length> = one(drawing).lifts.iter().map(|lift| lift.to).collect();
    assert_eq!(tops, ["0.25", "0.5", "0.95", "1.4", "1.5"].map(m));
}

#[test]
fn zones_of_a_tapering_wall_share_its_door_and_its_bottles() {
    // 4.0 x 2.4 m, 0.45 to 0.35 m: 0.40 at 1.2 m. Below: 4.0 x 1.2 x mean 0.425 = 2.04, above x mean 0.375 = 1.80.
    // Door 0.90 x 2.00 m: below 0.90 x 1.2 x 0.425 = 0.459; above 0.90 x 0.8 x (thickness at 1.6 m, 0.383333) = 0.276.
    let drawing = WallDrawing {
        taper: taper("0.35", Batter::Outer),
        openings: vec![opening("door", rectangle("2.0"), "0.9", "0", "1")],
        zones: vec![zone("1.2", None, "0")],
        ..wall("w", "4", "2.4", "0.45")
    };
    let bare = one(drawing.clone());
    let gross: Vec<Volume> = bare.zones.iter().map(|zone| zone.gross).collect();
    let net: Vec<Volume> = bare.zones.iter().map(|zone| zone.net).collect();
    assert_eq!(gross, [m3("2.04"), m3("1.80")]);
    assert_eq!(net, [m3("1.581"), m3("1.524")]);
    // 10 litres of bottles over 3.105 m3 of earth: 0.01 x 1.581/3.105 = 0.005092 below, 0.004908 above.
    let bottled = one(WallDrawing {
        inclusions: vec![inclusion("bottles", 10, "1")],
        ..drawing
    });
    let displaced: Vec<Volume> = bottled.zones.iter().map(|zone| zone.displaced).collect();
    assert_eq!(displaced, [m3("0.464092"), m3("0.280908")]);
    // Faces: inner plumb, (4.0 x 1.2 - 0.9 x 1.2), (4.0 x 1.2 - 0.9 x 0.8).
    let inner: Vec<Area> = bottled.zones.iter().map(|zone| zone.inner_face).collect();
    assert_eq!(inner, [m2("3.72"), m2("4.08")]);
    // Its sizes: as long as the wall, and as thick as it is there.
    let sizes = |zone: &ZoneMeasure| (zone.mean_length, zone.thickness_from, zone.thickness_to);
    assert_eq!(sizes(&bottled.zones[0]), (m("4"), m("0.45"), m("0.40")));
    assert_eq!(sizes(&bottled.zones[1]), (m("4"), m("0.40"), m("0.35")));
}

#[test]
fn a_gable_of_its_own_above_the_eaves() {
    // 6 m long, eaves 2.4 m, peak 3.6 m, 0.4 m thick: the triangle 6 x 1.2 / 2 x 0.4 = 1.44, half as long on the mean.
    let gable = Profile::Peak {
        height: m("2.4"),
        peak: m("3.6"),
        peak_at: m("2.0"),
        height_end: None,
    };
    let one = one(WallDrawing {
        profile: gable,
        zones: vec![zone("2.4", Some("0.3"), "0")],
        ..wall("w", "6", "1", "0.4")
    });
    assert_eq!(one.zones[1].gross, m3("1.44"));
    assert_eq!(one.zones[1].mean_length, m("3"));
    assert_eq!(one.zones[1].lifts, 6..10);
    assert_eq!((one.zones[1].from, one.zones[1].to), (m("2.4"), m("3.6")));
    // The lowest of its four lifts: from 6 m to 4.5 m long.
    assert_eq!(one.lifts[6].volume, m3("0.63"));
}

#[test]
fn a_wall_of_one_build_is_one_zone() {
    let one = one(WallDrawing {
        paring: m("0.02"),
        openings: vec![opening("o", rectangle("1"), "0.8", "0.9", "1")],
        ..wall("w", "4", "2.4", "0.4")
    });
    let zone = &one.zones[0];
    assert_eq!(one.zones.len(), 1);
    assert_eq!((zone.from, zone.to), (Length::ZERO, m("2.4")));
    assert_eq!((zone.gross, zone.displaced), (one.gross, one.displaced));
    assert_eq!((zone.net, zone.placed), (one.net, one.placed));
    assert_eq!(
        (zone.inner_face, zone.outer_face),
        (one.inner_face, one.outer_face)
    );
    assert_eq!(zone.lifts, 0..6);
}

/// Every figure of a wall is the exact sum of its zones', and every zone's of its lifts'.
fn adds_up(wall: &WallMeasure) -> Result<(), TestCaseError> {
    let volume = |of: fn(&ZoneMeasure) -> Volume| Volume::checked_sum(wall.zones.iter().map(of));
    let area = |of: fn(&ZoneMeasure) -> Area| Area::checked_sum(wall.zones.iter().map(of));
    prop_assert_eq!(volume(|zone| zone.gross), Some(wall.gross));
    prop_assert_eq!(volume(|zone| zone.displaced), Some(wall.displaced));
    prop_assert_eq!(volume(|zone| zone.net), Some(wall.net));
    prop_assert_eq!(volume(|zone| zone.placed), Some(wall.placed));
    prop_assert_eq!(area(|zone| zone.inner_face), Some(wall.inner_face));
    prop_assert_eq!(area(|zone| zone.outer_face), Some(wall.outer_face));
    let mut next = 0;
    for (index, zone) in wall.zones.iter().enumerate() {
        let lifts = &wall.lifts[zone.lifts.clone()];
        prop_assert_eq!(zone.lifts.start, next);
        next = zone.lifts.end;
        prop_assert!(lifts.iter().all(|lift| lift.zone == index as u32));
        prop_assert!(
            lifts
                .iter()
                .all(|lift| !lift.net.is_negative() && lift.net <= lift.volume)
        );
        prop_assert_eq!(
            (lifts[0].from, lifts[lifts.len() - 1].to),
            (zone.from, zone.to)
        );
        let volume = |of: fn(&Lift) -> Volume| Volume::checked_sum(lifts.iter().map(of));
        let area = |of: fn(&Lift) -> Area| Area::checked_sum(lifts.iter().map(of));
        prop_assert_eq!(volume(|lift| lift.volume), Some(zone.placed));
        prop_assert_eq!(volume(|lift| lift.net), Some(zone.net));
        prop_assert_eq!(area(|lift| lift.inner_face), Some(zone.inner_face));
        prop_assert_eq!(area(|lift| lift.outer_face), Some(zone.outer_face));
        prop_assert_eq!(zone.gross.checked_sub(zone.displaced), Some(zone.net));
        prop_assert!(!zone.displaced.is_negative() && zone.net <= zone.placed);
        // Mean length x height x thickness half-way is the gross, to the digits that they are told with.
        let height = float(zone.to.metres()) - float(zone.from.metres());
        let thickness = [zone.thickness_from, zone.thickness_to].map(|t| float(t.metres()));
        let length = float(zone.mean_length.metres());
        let worked = length * height * 0.5 * (thickness[0] + thickness[1]);
        prop_assert!((worked - float(zone.gross.cubic_metres())).abs() < 1e-4);
    }
    prop_assert_eq!(next, wall.lifts.len());
    let numbers: Vec<u32> = wall.lifts.iter().map(|lift| lift.number).collect();
    prop_assert_eq!(numbers, (1..=wall.lifts.len() as u32).collect::<Vec<_>>());
    Ok(())
}

/// A wall's greatest height.
fn highest(wall: &WallDrawing) -> f64 {
    let highest = match wall.profile {
        Profile::Level { height } => height,
        Profile::Slope { height, height_end } => height.max(height_end),
        Profile::Peak { peak, .. } => peak,
    };
    float(highest.metres())
}

prop_compose! {
    /// A wall with an opening, at times bottles, and up to three zones of any lift and paring.
    fn zoned_wall()(
        wall in free_wall(),
        shape in shape(),
        count in 0_u32..40,
        shares in prop::collection::vec(0.03..0.97, 0..4),
        rest in prop::collection::vec((prop::option::of(0.1..0.6), 0.0..0.04), 4),
    ) -> WallDrawing {
        let top = highest(&wall);
        let mut froms: Vec<Length> = shares.iter().map(|share| drawn(share * top)).collect();
        froms.sort();
        froms.dedup();
        let zones = froms.into_iter().zip(&rest).map(|(from, (lift, paring))| Zone {
            from,
            lift_height: lift.map(drawn),
            paring: drawn(*paring),
        });
        WallDrawing {
            openings: vec![opening("o", shape, "0.6", "0.4", "0.8")],
            inclusions: if count == 0 { vec![] } else { vec![inclusion("i", count, "0.7")] },
            zones: zones.collect(),
            ..wall
        }
    }
}

proptest! {
    #![proptest_config(ProptestConfig { failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn zones_sum_to_the_wall_and_lifts_to_their_zones(wall in zoned_wall()) {
        prop_assert_eq!(wall.lifts_at_most(), Some(one(wall.clone()).lifts.len() as u64));
        adds_up(&one(wall))?;
    }

    #[test]
    fn zones_of_one_build_change_no_total(wall in zoned_wall()) {
        let alike = WallDrawing {
            zones: wall.zones.iter().map(|zone| Zone { paring: wall.paring, ..*zone }).collect(),
            ..wall
        };
        let plain = WallDrawing { zones: vec![], ..alike.clone() };
        are_alike(&figures(&one(alike)), &figures(&one(plain)));
    }

    #[test]
    fn a_zone_is_the_wall_cut_off_at_its_height(
        share in 0.1..0.9,
        thickness in 0.3..0.6,
        loss in 0.0..0.08,
        paring in 0.0..0.04,
    ) {
        // The upper zone of a level wall is a wall by itself that begins as thick as the lower one ends.
        let at = drawn(share * 2.4);
        let rest = m("2.4").checked_sub(at).expect("a part");
        let (base, top) = (drawn(thickness), drawn(thickness - loss));
        let middle = Decimal::from(1) - at.metres() / number("2.4");
        let middle = Length::from_metres(top.metres() + (base.metres() - top.metres()) * middle);
        let tapering = |thickness_top| Some(hod_domain::geometry::Taper { thickness_top, batter: Batter::Both });
        let whole = one(WallDrawing {
            thickness: base,
            taper: tapering(top),
            zones: vec![Zone { from: at, lift_height: None, paring: drawn(paring) }],
            ..wall("w", "5", "2.4", "1")
        });
        let upper = one(WallDrawing {
            thickness: middle,
            taper: tapering(top),
            profile: Profile::Level { height: rest },
            paring: drawn(paring),
            ..wall("w", "5", "1", "1")
        });
        let zone = &whole.zones[1];
        for (zone, upper) in [(zone.gross, upper.gross), (zone.net, upper.net), (zone.placed, upper.placed)] {
            let gap = (zone.cubic_metres() - upper.cubic_metres()).abs();
            prop_assert!(gap <= number("0.000003"), "{} {}", zone, upper);
        }
        prop_assert!((zone.inner_face.square_metres() - upper.inner_face.square_metres()).abs() <= number("0.000003"));
    }
}
