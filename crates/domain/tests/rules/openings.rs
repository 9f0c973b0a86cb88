//! What is set into openings, and what is buried in walls.

use hod_domain::geometry::{Opening, OpeningShape, WallDrawing};
use hod_domain::job::{Buried, Job, Lintel, OpeningWork};
use hod_domain::library::Library;
use hod_domain::unit::Unit;
use hod_domain::work::{Driver, Task};
use hod_units::{Decimal, Length};
use rust_decimal::dec;

use crate::parts_sample::*;
use crate::sample::*;
use crate::system_sample::{amount, orders, plumb, refused, taken_off, told};

fn library() -> Library {
    let by_the_metre = ["oak", "board"].map(|id| bought(id, Unit::M));
    let by_the_piece = ["slab", "frame", "form", "deadman"].map(|id| bought(id, Unit::Each));
    let materials = by_the_metre.into_iter().chain(by_the_piece).collect();
    library_of_recipes(vec![], materials)
}

/// A door of 0.90 m, splayed by 0.20 m, and an arched window of 0.80 m.
fn wall_with(door: OpeningWork, window: OpeningWork) -> Job {
    let mut wall = plumb("south", dec!(6.00), dec!(2.60), dec!(0.45));
    wall.openings = vec![
        Opening {
            splay: metres(dec!(0.20)),
            ..opening("door", dec!(0.90), dec!(2.00), dec!(0), dec!(1.00))
        },
        Opening {
            shape: OpeningShape::Semicircular {
                height: metres(dec!(0.60)),
            },
            ..opening("window", dec!(0.80), dec!(0.60), dec!(0.90), dec!(3.00))
        },
    ];
    let mut job = bare(vec![wall]);
    job.works[0].openings = vec![door, window];
    job
}

fn lintel(material: &str, count: u32) -> OpeningWork {
    OpeningWork {
        lintel: Some(Lintel {
            material: material_id(material),
            count,
            bearing: millimetres(dec!(200)),
        }),
        ..OpeningWork::default()
    }
}

/// 1.10 m where it is widest and 2 x 0.20 m are 1.50 m; two side by side 3.00 m.
#[test]
fn a_lintel_is_as_long_as_the_greatest_width_and_its_bearings() {
    let takeoff = taken_off(&wall_with(lintel("oak", 2), lintel("slab", 3)), &library());
    assert_eq!(told(&takeoff, "wall south", "lintel of 1.5 m, door"), "3 m");
    assert_eq!(
        told(&takeoff, "wall south", "lintel of 1.2 m, window"),
        "3 each"
    );
    assert_eq!(orders(&takeoff), ["oak: 3 m", "slab: 3 each"]);
}

/// A door of 0.90 m with bearings of 200 mm in a wall of 6.00 m: it stands from 0.20 m to 4.90 m at the furthest. Splayed
/// by 0.20 m it takes 0.10 m more at each side.
#[test]
fn a_lintel_bears_on_the_wall_and_not_past_its_end() {
    let at = |at: Decimal, splay: Decimal| {
        let mut job = wall_with(lintel("oak", 1), OpeningWork::default());
        job.works[0].openings.pop();
        job.walls[0].openings.pop();
        job.walls[0].openings[0].at = metres(at);
        job.walls[0].openings[0].splay = metres(splay);
        hod_domain::takeoff::measure(&job, &library())
    };
    for (place, splay) in [
        (dec!(0.20), dec!(0)),
        (dec!(4.90), dec!(0)),
        (dec!(0.30), dec!(0.20)),
        (dec!(4.80), dec!(0.20)),
    ] {
        assert!(at(place, splay).is_ok(), "{place} m");
    }
    for (place, splay, told) in [
        (dec!(0.15), dec!(0), "from -0.05 m to 1.25 m"),
        (dec!(4.95), dec!(0), "from 4.75 m to 6.05 m"),
        (dec!(0.25), dec!(0.20), "from -0.05 m to 1.45 m"),
    ] {
        let faults = at(place, splay).expect_err("past the end");
        let fault = &faults[0];
        assert_eq!(
            (faults.len(), fault.reason, &*fault.field),
            (1, "LINTEL_PAST_WALL_END", "walls[0].openings[0].bearing_mm")
        );
        assert!(fault.message.contains(told), "{}", fault.message);
        assert!(fault.message.contains("opening door of wall south"));
    }
}

/// The door reaches from 1.00 to 1.90 m and its head is at 2.00 m; with its bearing to 2.10 m. A window that begins there
/// leaves it whole, one at 2.05 m does not, unless it ends below the lintel or begins above it.
#[test]
fn a_lintel_that_reaches_over_the_next_opening_is_cautioned() {
    let hollow = |at: Decimal, sill: Decimal, height: Decimal| {
        let mut job = wall_with(lintel("oak", 1), OpeningWork::default());
        job.walls[0].openings[0].splay = metres(dec!(0));
        job.walls[0].openings[1] = opening("window", dec!(0.80), height, sill, at);
        let takeoff = taken_off(&job, &library());
        let all = takeoff.cautions.iter();
        all.filter(|caution| caution.reason == "LINTEL_BEARS_ON_OPENING")
            .map(|caution| caution.description.to_string())
            .collect::<Vec<_>>()
    };
    assert_eq!(hollow(dec!(2.10), dec!(1.00), dec!(1.00)).len(), 0);
    let told = hollow(dec!(2.05), dec!(1.00), dec!(1.00));
    assert!(
        told[0].contains("opening door of wall south reaches over opening window"),
        "{told:?}"
    );
    assert_eq!(told.len(), 1);
    assert_eq!(hollow(dec!(2.05), dec!(1.00), dec!(0.90)).len(), 0);
    assert_eq!(hollow(dec!(2.05), dec!(2.10), dec!(0.30)).len(), 0);
}

#[test]
fn sills_frames_and_forms_are_counted_by_the_opening() {
    let framed = OpeningWork {
        sill: Some(material_id("board")),
        frame: Some(material_id("frame")),
        ..OpeningWork::default()
    };
    let arched = OpeningWork {
        sill: Some(material_id("slab")),
        arch_form: Some(material_id("form")),
        ..framed.clone()
    };
    let takeoff = taken_off(&wall_with(framed, arched), &library());
    assert_eq!(
        lines(&takeoff, "wall south"),
        [
            "sill, door: 0.9 m",
            "frame, door: 1 each",
            "sill of 0.8 m, window: 1 each",
            "frame, window: 1 each",
            "arch form, window: 1 each"
        ]
    );
    let expected = [
        "board: 0.9 m",
        "frame: 2 each",
        "slab: 1 each",
        "form: 1 each",
    ];
    assert_eq!(orders(&takeoff), expected);
}

#[test]
fn arches_are_formed_and_all_openings_set() {
    let takeoff = taken_off(
        &wall_with(OpeningWork::default(), OpeningWork::default()),
        &library(),
    );
    assert_eq!(
        amount(&takeoff, Task::FormArch, Driver::Opening),
        Some(dec!(1))
    );
    assert_eq!(
        amount(&takeoff, Task::SetOpening, Driver::Opening),
        Some(dec!(2))
    );
    let mut level = wall_with(OpeningWork::default(), OpeningWork::default());
    level.walls[0].openings.pop();
    level.works[0].openings.pop();
    assert_eq!(
        amount(
            &taken_off(&level, &library()),
            Task::FormArch,
            Driver::Opening
        ),
        None
    );
}

#[test]
fn every_fault_of_openings_is_told_where_it_is() {
    let formed = OpeningWork {
        arch_form: Some(material_id("form")),
        frame: Some(material_id("oak")),
        ..lintel("iron", 1)
    };
    let expected = [
        ("walls[0].openings[0].lintel_material", "MATERIAL_UNKNOWN"),
        ("walls[0].openings[0].frame_material", "MATERIAL_UNIT_UNFIT"),
        (
            "walls[0].openings[0].arch_form_material",
            "ARCH_FORM_UNDER_LEVEL_HEAD",
        ),
    ];
    let expected = expected.map(|(field, reason)| (field.to_owned(), reason));
    assert_eq!(
        refused(&wall_with(formed, OpeningWork::default()), &library()),
        expected
    );
}

fn buried(id: &str, height: Decimal, count: u32, material: Option<&str>) -> Buried {
    Buried {
        id: id.to_owned(),
        height: metres(height),
        count,
        material: material.map(material_id),
    }
}

fn wall_that_buries(things: Vec<Buried>) -> Job {
    let wall = WallDrawing {
        lift_height: Some(Length::from_metres(dec!(0.50))),
        ..plumb("south", dec!(4.00), dec!(2.00), dec!(0.45))
    };
    let mut job = bare(vec![wall]);
    job.works[0].buried = things;
    job
}

#[test]
fn what_is_buried_is_counted_and_stands_on_the_card_of_its_lift() {
    let things = vec![
        buried("shelf", dec!(1.20), 3, Some("deadman")),
        buried("conduit", dec!(0), 1, None),
        buried("plate anchor", dec!(2.00), 2, Some("deadman")),
    ];
    let takeoff = taken_off(&wall_that_buries(things), &library());
    assert_eq!(
        lines(&takeoff, "wall south"),
        ["shelf: 3 each", "conduit: 1 each", "plate anchor: 2 each"]
    );
    assert_eq!(orders(&takeoff), ["deadman: 5 each"]);
    assert_eq!(amount(&takeoff, Task::Bury, Driver::Piece), Some(dec!(6)));
    let cards: Vec<&[usize]> = takeoff.walls[0]
        .lifts
        .iter()
        .map(|card| &card.buried[..])
        .collect();
    assert_eq!(cards, [&[1][..], &[], &[0], &[2]]);
}

#[test]
fn nothing_is_buried_outside_its_wall() {
    let job = wall_that_buries(vec![
        buried("hook", dec!(2.01), 1, None),
        buried("shelf", dec!(1.20), 1, Some("oak")),
    ]);
    let expected = [
        ("walls[0].buried[0].height_m", "BURIED_OUTSIDE_WALL"),
        ("walls[0].buried[1].material", "MATERIAL_UNIT_UNFIT"),
    ];
    let expected = expected.map(|(field, reason)| (field.to_owned(), reason));
    assert_eq!(refused(&job, &library()), expected);
}
