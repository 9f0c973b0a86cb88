//! Earthen floors: how large one is, what its layers take, and the sheet between them.

use hod_domain::geometry::{End, WallDrawing};
use hod_domain::job::{Extent, Floor, Job, Sheet};
use hod_domain::library::Library;
use hod_domain::mix::Purpose;
use hod_domain::unit::Unit;
use hod_domain::work::{Driver, Task};
use hod_units::{Area, AreaUnit, Decimal, Length, LengthUnit, Volume, VolumeUnit};
use rust_decimal::dec;

use crate::parts_sample::*;
use crate::sample::*;
use crate::system_sample::{amount, inches, orders, plumb, refused, rounded, taken_off, told};

fn library() -> Library {
    let recipes = vec![
        recipe_for("gravel", Purpose::Fill),
        recipe_for("crushed-stone", Purpose::Fill),
        recipe_for("floor-earth", Purpose::Floor),
        recipe_for("oil", Purpose::Wash),
    ];
    let sheets = vec![bought("barrier", Unit::M2), bought("tape", Unit::M)];
    library_of_recipes(recipes, sheets)
}

fn hall(extent: Extent, layers: &[(&str, Decimal)]) -> Floor {
    Floor {
        id: "hall".to_owned(),
        extent,
        layers: layers.iter().map(|(mix, mm)| layer(mix, *mm)).collect(),
        sheet: None,
    }
}

fn job_with(floors: Vec<Floor>) -> Job {
    let sides = [
        ("south", dec!(6.20)),
        ("east", dec!(4.00)),
        ("north", dec!(6.20)),
        ("west", dec!(4.00)),
    ];
    let next = ["east", "north", "west", "south"];
    let wall = |((id, length), next): ((&str, Decimal), &str)| WallDrawing {
        end: End::Corner {
            wall: next.to_owned(),
        },
        ..plumb(id, length, dec!(2.40), dec!(0.45))
    };
    Job {
        floors,
        ..bare(sides.into_iter().zip(next).map(wall).collect())
    }
}

fn square_metres(area: Decimal) -> Extent {
    Extent::Area(Area::from_square_metres(area))
}

#[test]
fn a_floor_is_as_large_as_it_is_said_to_be() {
    let rectangle = Extent::Rectangle {
        length: metres(dec!(5.75)),
        width: metres(dec!(3.55)),
    };
    let inside = Extent::Inside("north".to_owned());
    // (6.20 - 0.45) x (4.00 - 0.45) = 20.4125 m2 either way.
    for extent in [square_metres(dec!(20.4125)), rectangle, inside] {
        let floor = hall(extent.clone(), &[("floor-earth", dec!(13))]);
        let takeoff = taken_off(&job_with(vec![floor]), &library());
        assert_eq!(
            told(&takeoff, "floor hall", "floor-earth, 13 mm"),
            "20.413 m2",
            "{extent:?}"
        );
        assert_eq!(standing(&takeoff, "floor-earth"), dec!(0.2653625));
    }
}

/// Three to four inches of gravel, a barrier, 1.5 in of crushed stone, road base, 3/4 in of finish, oiled
/// (https://offgridburbia.com/another-go-at-an-earthen-floor/): on 100 ft2, 0.826, 0.354 and 0.177 m3.
#[test]
fn a_published_floor_comes_out_layer_by_layer() {
    let area = Area::of(dec!(100), AreaUnit::SquareFoot).expect("small");
    let [gravel, stone, finish] = [dec!(3.5), dec!(1.5), dec!(0.75)].map(inches);
    let oil = Volume::of(dec!(0.5), VolumeUnit::UsGallon).expect("small");
    let oil = Length::from_mm(oil.litres() / area.square_metres());
    let layers = [
        ("gravel", gravel.mm()),
        ("crushed-stone", stone.mm()),
        ("floor-earth", finish.mm()),
        ("oil", oil.mm()),
    ];
    let mut floor = hall(Extent::Area(area), &layers);
    floor.sheet = Some(Sheet {
        material: material_id("barrier"),
        lap: percent(dec!(15)),
    });
    let takeoff = taken_off(&job_with(vec![floor]), &library());
    let cubic_metres = |mix| rounded(standing(&takeoff, mix), 4);
    // 100 x 3.5 / 12 ft3 = 29.1667 ft3 = 0.8259 m3; 12.5 ft3; 6.25 ft3; half a US gallon is 1.893 l.
    assert_eq!(cubic_metres("gravel"), "0.8259");
    assert_eq!(cubic_metres("crushed-stone"), "0.354");
    assert_eq!(cubic_metres("floor-earth"), "0.177");
    assert_eq!(rounded(standing(&takeoff, "oil") * dec!(1000), 3), "1.893");
    // 9.290304 m2 and 15 %.
    assert_eq!(
        told(&takeoff, "floor hall", "barrier, laps within"),
        "10.684 m2"
    );
    assert!(orders(&takeoff).contains(&"barrier: 10.69 m2".to_owned()));
}

/// A first coat of linseed oil of 0.5 US gal to 100 ft2, 0.20 l/m2, and four coats
/// (https://www.offgridquest.com/homes-dwellings/building-methods/earthen-floor-start-to-finish-3). A finish of 1/2 in,
/// 13 mm: T. Lander, The Last Straw 52, 2005.
#[test]
fn oils_are_washed_on_and_layers_laid() {
    let half_an_inch = Length::of(dec!(0.5), LengthUnit::Inch).expect("small");
    assert_eq!(rounded(half_an_inch.mm(), 0), "13");
    let oiled = ("oil", dec!(0.20));
    let layers = [
        ("gravel", dec!(100)),
        ("floor-earth", dec!(13)),
        oiled,
        oiled,
        oiled,
        oiled,
    ];
    let takeoff = taken_off(
        &job_with(vec![hall(square_metres(dec!(20)), &layers)]),
        &library(),
    );
    assert_eq!(
        amount(&takeoff, Task::LayFloor, Driver::M2Coat),
        Some(dec!(40))
    );
    assert_eq!(
        amount(&takeoff, Task::LayFloor, Driver::M3Placed),
        Some(dec!(2.26))
    );
    assert_eq!(amount(&takeoff, Task::Wash, Driver::M2Coat), Some(dec!(80)));
    // 4 x 0.20 l x 20 m2.
    assert_eq!(standing(&takeoff, "oil"), dec!(0.016));
}

#[test]
fn floors_of_one_mix_make_one_count_of_batches() {
    let layers = [("floor-earth", dec!(50))];
    let floors = ["hall", "loft"].map(|id| Floor {
        id: id.to_owned(),
        ..hall(square_metres(dec!(3)), &layers)
    });
    // 0.15 m3 each: twice two batches of 0.1 m3 apart, three together.
    let takeoff = taken_off(&job_with(floors.to_vec()), &library());
    assert_eq!(batches(&takeoff, "floor-earth"), 3);
}

#[test]
fn every_fault_of_floors_is_told_where_it_is() {
    let unknown = hall(
        Extent::Inside("porch".to_owned()),
        &[("floor-earth", dec!(13))],
    );
    let mut gilt = hall(
        square_metres(dec!(20)),
        &[("gravel", dec!(100)), ("gilt", dec!(13))],
    );
    gilt.sheet = Some(Sheet {
        material: material_id("tape"),
        lap: percent(dec!(0)),
    });
    let mut job = job_with(vec![unknown, gilt]);
    let expected = [
        ("floors[0].inside", "UNKNOWN_WALL"),
        ("floors[1].layers[1]", "MIX_UNKNOWN"),
        ("floors[1].sheet_material", "MATERIAL_UNIT_UNFIT"),
    ];
    let expected = expected.map(|(field, reason)| (field.to_owned(), reason));
    assert_eq!(refused(&job, &library()), expected);
    // A wall that stands alone encloses nothing.
    job.walls.push(WallDrawing {
        end: End::Free,
        ..plumb("screen", dec!(2.00), dec!(2.00), dec!(0.30))
    });
    job.works.push(Default::default());
    job.floors = vec![hall(
        Extent::Inside("screen".to_owned()),
        &[("gravel", dec!(100))],
    )];
    let field = "floors[0].inside".to_owned();
    assert_eq!(refused(&job, &library()), [(field, "FLOOR_NOT_ENCLOSED")]);
}
