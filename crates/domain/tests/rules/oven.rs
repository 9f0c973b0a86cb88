//! Earthen ovens: half an ellipsoid in layers, a door through all of them, a base, and the sand it is built over.

use hod_domain::geometry::{DomeDrawing, measure_dome};
use hod_domain::job::{Job, Oven};
use hod_domain::library::Library;
use hod_domain::mix::Purpose;
use hod_domain::work::{Driver, Task};
use hod_units::{Decimal, Length};
use rust_decimal::dec;

use crate::parts_sample::*;
use crate::system_sample::{amount, mix_id, plumb, refused, rounded, taken_off, told};

/// 840 mm across inside, a hemisphere, with a layer of 75 mm and a door 450 mm wide.
fn yard() -> Oven {
    Oven {
        id: "yard".to_owned(),
        inner_diameter: millimetres(dec!(840)),
        dome_height: None,
        door_width: millimetres(dec!(450)),
        door_height: None,
        layers: vec![layer("dense", dec!(75))],
        base_layers: Vec::new(),
        form: None,
    }
}

fn job_with(oven: Oven) -> Job {
    Job {
        ovens: vec![oven],
        ..bare(vec![plumb("screen", dec!(2.00), dec!(2.00), dec!(0.30))])
    }
}

fn library() -> Library {
    let recipes = vec![
        recipe_for("dense", Purpose::HeatStoring),
        recipe_for("insulating", Purpose::Insulating),
        recipe_for("gravel", Purpose::Fill),
        recipe_for("sand", Purpose::Fill),
    ];
    library_of_recipes(recipes, vec![])
}

fn dome(radius: Decimal, layer: Decimal, door: [Decimal; 2]) -> hod_domain::geometry::DomeMeasure {
    let [door_width, door_height] = door.map(millimetres);
    let drawing = DomeDrawing {
        radius: millimetres(radius),
        height: millimetres(radius),
        door_width,
        door_height,
        layers: vec![millimetres(layer)],
    };
    measure_dome(&drawing).expect("sizes of an oven")
}

/// V = 2/3 pi ((R + t)^3 - R^3), the door not deducted: R 420 mm and t 75 mm make 98.9 l over 155.2 l of sand; R 0.5 m and t
/// 0.15 m make 0.313374 m3.
#[test]
fn a_hemisphere_has_the_volumes_of_a_hemisphere() {
    let small = dome(dec!(420), dec!(75), [dec!(450), dec!(264.6)]);
    assert_eq!(rounded(small.layers[0].shell.litres(), 1), "98.9");
    assert_eq!(rounded(small.inside.litres(), 1), "155.2");
    let large = dome(dec!(500), dec!(150), [dec!(300), dec!(300)]);
    assert_eq!(large.layers[0].shell.cubic_metres(), dec!(0.313374));
}

/// A door of 450 x 264.6 mm: summed over a million cells of its elevation by a program apart from this one, 10.0466 l.
#[test]
fn the_door_goes_through_the_shell_and_no_further() {
    let dome = dome(dec!(420), dec!(75), [dec!(450), dec!(264.6)]);
    assert_eq!(rounded(dome.layers[0].door.litres(), 2), "10.05");
    let takeoff = taken_off(&job_with(yard()), &library());
    // 98.854 - 10.047 l.
    assert_eq!(told(&takeoff, "oven yard", "dense, 75 mm"), "0.089 m3");
    assert_eq!(
        rounded(standing(&takeoff, "dense") * dec!(1000), 2),
        "88.81"
    );
}

/// "Door height = 63 % of inside dome height" (https://cathmiller.com/blog/2013/12/04/sand-form-oven/): of 420 mm, 264.6 and
/// published as 265 mm (http://www.crawlersgullydorpers.com/our-blog/pizza-oven-and-dangerous-days).
#[test]
fn a_door_is_sixty_three_hundredths_of_the_dome_when_nothing_is_said() {
    let standing_of = |door_height: Option<Length>| {
        let oven = Oven {
            door_height,
            ..yard()
        };
        standing(&taken_off(&job_with(oven), &library()), "dense")
    };
    assert_eq!(rounded(dec!(0.63) * dec!(420), 0), "265");
    assert_eq!(
        standing_of(None),
        standing_of(Some(millimetres(dec!(264.6))))
    );
    assert_ne!(standing_of(None), standing_of(Some(millimetres(dec!(265)))));
}

#[test]
fn layers_of_a_flat_dome_stand_one_over_the_other() {
    let oven = Oven {
        dome_height: Some(millimetres(dec!(350))),
        layers: vec![layer("dense", dec!(75)), layer("insulating", dec!(100))],
        base_layers: vec![layer("gravel", dec!(100))],
        form: Some(mix_id("sand")),
        ..yard()
    };
    let takeoff = taken_off(&job_with(oven), &library());
    let shell = |mix| {
        takeoff
            .lines
            .iter()
            .find(|line| line.item.starts_with(mix))
            .map(|line| line.basis.terms[0].value)
    };
    // 2/3 pi (0.495^2 x 0.425 - 0.42^2 x 0.35) and 2/3 pi (0.595^2 x 0.525 - 0.495^2 x 0.425).
    assert_eq!(shell("dense"), Some(dec!(0.088793)));
    assert_eq!(shell("insulating"), Some(dec!(0.171170)));
    // 2/3 pi x 0.42^2 x 0.35.
    assert_eq!(
        told(&takeoff, "oven yard", "sand, form of the dome"),
        "0.129 m3"
    );
    // pi x 0.595^2 = 1.112202 m2, 100 mm thick.
    assert_eq!(standing(&takeoff, "gravel"), dec!(0.1112202));
    assert_eq!(
        amount(&takeoff, Task::BuildOven, Driver::Piece),
        Some(dec!(1))
    );
    let placed: Decimal = ["dense", "insulating", "gravel", "sand"]
        .map(|mix| standing(&takeoff, mix))
        .into_iter()
        .sum();
    assert_eq!(
        amount(&takeoff, Task::BuildOven, Driver::M3Placed),
        Some(placed)
    );
}

#[test]
fn an_oven_that_cannot_be_is_refused_with_all_that_is_wrong() {
    let oven = Oven {
        door_width: millimetres(dec!(840)),
        door_height: Some(millimetres(dec!(430))),
        layers: Vec::new(),
        ..yard()
    };
    let expected = [
        ("ovens[0].layers", "OVEN_HAS_NO_LAYERS"),
        ("ovens[0].door_width_m", "DOOR_WIDER_THAN_DOME"),
        ("ovens[0].door_height_m", "DOOR_HIGHER_THAN_DOME"),
    ];
    let expected = expected.map(|(field, reason)| (field.to_owned(), reason));
    assert_eq!(refused(&job_with(oven), &library()), expected);
    let unknown = Oven {
        base_layers: vec![layer("slate", dec!(20))],
        ..yard()
    };
    let field = "ovens[0].base_layers[0]".to_owned();
    assert_eq!(
        refused(&job_with(unknown), &library()),
        [(field, "MIX_UNKNOWN")]
    );
}
