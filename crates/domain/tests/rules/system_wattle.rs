//! Wattle and daub: staves, rods and daub of a panel, in metres or one by one.

use hod_domain::job::{Build, Lattice, WallSystem};
use hod_domain::material::{Material, Supply};
use hod_domain::unit::Unit;
use hod_domain::work::{Driver, Task};
use hod_units::{Decimal, Length};
use rust_decimal::dec;

use crate::sample::*;
use crate::system_sample::*;

fn lattice(id: &str, spacing_mm: Decimal) -> Option<Lattice> {
    Some(Lattice {
        material: material_id(id),
        spacing: Length::from_mm(spacing_mm),
    })
}

/// Staves every 300 mm, rods every 60, a fifth of the volume.
fn woven() -> Build {
    Build {
        staves: lattice("stave", dec!(300)),
        rods: lattice("rod", dec!(60)),
        wattle: percent(dec!(20)),
        ..of_system(WallSystem::WattleAndDaub)
    }
}

fn by_the_metre() -> Vec<Material> {
    vec![
        material("stave", Supply::Bought, Unit::M),
        material("rod", Supply::Bought, Unit::M),
    ]
}

fn panel() -> hod_domain::geometry::WallDrawing {
    plumb("gable", dec!(3), dec!(2.4), dec!(0.1))
}

#[test]
fn a_panel_takes_staves_rods_and_daub() {
    let takeoff = taken_off(
        &job_of(woven(), vec![panel()]),
        &library_with(by_the_metre()),
    );
    // 3.00 / 0.30 = 10 spaces, 11 staves of 2.40 m; 2.40 / 0.06 = 40 rows of 3.00 m; 0.72 m3 less a fifth.
    assert_eq!(told(&takeoff, "wall gable", "staves"), "11 each");
    assert_eq!(told(&takeoff, "wall gable", "length of staves"), "26.4 m");
    assert_eq!(told(&takeoff, "wall gable", "rows of rods"), "40 each");
    assert_eq!(told(&takeoff, "wall gable", "length of rods"), "120 m");
    assert_eq!(takeoff.mixes[0].placed, cubic_metres(dec!(0.576)));
    // 0.576 / 0.075 = 7.68 batches of 100 l.
    assert_eq!(
        orders(&takeoff),
        ["soil: 0.8 m3", "stave: 26.4 m", "rod: 120 m"]
    );
    assert_eq!(
        amount(&takeoff, Task::Weave, Driver::M2Panel),
        Some(dec!(7.2))
    );
    assert_eq!(
        amount(&takeoff, Task::Daub, Driver::M2Face),
        Some(dec!(14.4))
    );
    assert_eq!(
        amount(&takeoff, Task::Daub, Driver::M3Placed),
        Some(dec!(0.576))
    );
    assert_eq!(amount(&takeoff, Task::Daub, Driver::Batch), Some(dec!(8)));
    assert_eq!(reasons(&takeoff), Vec::<&str>::new());
}

#[test]
fn an_opening_shortens_the_panel_and_what_breaks_comes_on_top() {
    let mut wall = panel();
    // 1.2 m x 1.2 m out of 7.2 m2: 5.76 m2 / 2.4 m = 2.40 m on the mean: 8 spaces, 9 staves, 21.6 m; 40 x 2.40 = 96 m.
    wall.openings = vec![opening("window", dec!(1.2), dec!(1.2), dec!(0.8), dec!(1))];
    let build = Build {
        breakage: percent(dec!(10)),
        ..woven()
    };
    let takeoff = taken_off(&job_of(build, vec![wall]), &library_with(by_the_metre()));
    assert_eq!(told(&takeoff, "wall gable", "staves"), "9 each");
    assert_eq!(
        orders(&takeoff),
        ["soil: 0.7 m3", "stave: 23.76 m", "rod: 105.6 m"]
    );
}

#[test]
fn staves_are_ordered_one_by_one_and_rods_by_how_many_reach_along() {
    let long = |id, mm| Material {
        size: Some(hod_domain::material::PieceSize {
            length: Length::from_mm(mm),
            width: Length::from_mm(dec!(30)),
            height: Length::from_mm(dec!(30)),
        }),
        ..material(id, Supply::Bought, Unit::Each)
    };
    // 11 staves; 120 m of rods of 1.8 m: 66.67.
    let library = library_with(vec![long("stave", dec!(2400)), long("rod", dec!(1800))]);
    let takeoff = taken_off(&job_of(woven(), vec![panel()]), &library);
    assert_eq!(orders(&takeoff)[1..], ["stave: 11 each", "rod: 67 each"]);
    assert_eq!(reasons(&takeoff), Vec::<&str>::new());
    // A stave that does not reach is said.
    let library = library_with(vec![long("stave", dec!(2300)), long("rod", dec!(1800))]);
    let takeoff = taken_off(&job_of(woven(), vec![panel()]), &library);
    assert_eq!(reasons(&takeoff), ["STAVE_TOO_SHORT"]);
}

#[test]
fn rods_one_by_one_without_a_length_are_refused() {
    let each = vec![
        material("stave", Supply::Bought, Unit::Each),
        material("rod", Supply::Bought, Unit::Each),
    ];
    let job = job_of(woven(), vec![panel()]);
    assert_eq!(
        refused(&job, &library_with(each)),
        [("rod_material".to_owned(), "PIECE_HAS_NO_SIZE")]
    );
    let by_mass = vec![
        material("stave", Supply::Bought, Unit::T),
        material("rod", Supply::Bought, Unit::Bale),
    ];
    assert_eq!(
        refused(&job, &library_with(by_mass)),
        [
            ("stave_material".to_owned(), "MATERIAL_UNIT_UNFIT"),
            ("rod_material".to_owned(), "MATERIAL_UNIT_UNFIT"),
        ]
    );
}

#[test]
fn daub_on_a_wattle_that_stands_is_counted_alone_and_said() {
    let build = Build {
        staves: None,
        rods: None,
        ..woven()
    };
    let takeoff = taken_off(&job_of(build, vec![panel()]), &library_with(vec![]));
    assert_eq!(orders(&takeoff), ["soil: 0.8 m3"]);
    assert_eq!(
        reasons(&takeoff),
        ["WATTLE_NOT_COUNTED", "WATTLE_NOT_COUNTED"]
    );
    assert_eq!(amount(&takeoff, Task::Weave, Driver::M2Panel), None);
}

#[test]
fn two_panels_each_end_with_a_stave() {
    let mut other = panel();
    other.id = "porch".to_owned();
    let takeoff = taken_off(
        &job_of(woven(), vec![panel(), other]),
        &library_with(by_the_metre()),
    );
    // 22 staves, 52.8 m, and not 21.
    assert_eq!(orders(&takeoff)[1..], ["stave: 52.8 m", "rod: 240 m"]);
}

#[test]
fn a_lifts_card_counts_batches_of_daub_and_not_of_wattle() {
    let half = Build {
        wattle: percent(dec!(50)),
        ..woven()
    };
    let takeoff = taken_off(&job_of(half, vec![panel()]), &library_with(by_the_metre()));
    // 3 m x 0.5 m x 0.1 m = 0.15 m3, half of it daub, 0.075: one batch; the last is 0.4 m high.
    let cards = takeoff.walls[0].lifts.iter().map(|lift| lift.batches);
    assert_eq!(cards.collect::<Vec<_>>(), [Some(1); 5]);
}
