//! Floors, layer by layer.

use hod_domain::job::{Extent, Floor, Sheet};
use hod_units::{Area, Length, Share};
use hod_wire::v1 as wire;
use rust_decimal::dec;

use super::layer::{Layers, layers};
use super::wall::ID_CHARACTERS_MAX;
use super::{Bounds, Decoder};
use crate::name::Materials;

const AREA: Bounds = Bounds::of(dec!(0.01), dec!(100000), "m2");
const SIDE: Bounds = Bounds::of(dec!(0.05), dec!(1000), "m");
const LAP: Bounds = Bounds::of(dec!(0), dec!(100), "%");
const LAYERS: Layers = Layers {
    least: 1,
    most: 12,
    thickness_max: dec!(1000),
};

/// Reads a floor.
pub fn floor<'a>(decoder: &mut Decoder<'a>, wire: &'a wire::Floor) -> Option<Floor> {
    decoder.about("floor", &wire.id, |decoder| {
        let id = decoder.text("id", &wire.id, ID_CHARACTERS_MAX);
        let extent = extent(decoder, wire);
        let layers = layers(decoder, "layers", &wire.layers, &LAYERS);
        let sheet = sheet(decoder, wire);
        Some(Floor {
            id: id?,
            extent: extent?,
            layers: layers?,
            sheet: sheet?,
        })
    })
}

/// How large it is, told in one of three ways.
fn extent(decoder: &mut Decoder<'_>, wire: &wire::Floor) -> Option<Extent> {
    let area = decoder.number_if_any("area_m2", &wire.area_m2, &AREA);
    let length = decoder.number_if_any("length_m", &wire.length_m, &SIDE);
    let width = decoder.number_if_any("width_m", &wire.width_m, &SIDE);
    let inside = decoder.text_if_any("inside", &wire.inside, ID_CHARACTERS_MAX);
    let inside = inside?;
    let inside = Some(inside).filter(|wall| !wall.is_empty());
    let mut refuse = |field, reason, found: &str| {
        decoder.refuse(field, reason, found);
        None
    };
    match (area?, length?, width?, inside) {
        (Some(area), None, None, None) => Some(Extent::Area(Area::from_square_metres(area))),
        (None, Some(length), Some(width), None) => Some(Extent::Rectangle {
            length: Length::from_metres(length),
            width: Length::from_metres(width),
        }),
        (None, None, None, Some(wall)) => Some(Extent::Inside(wall)),
        (None, None, None, None) => refuse(
            "area_m2",
            "MISSING",
            "the floor has no area; give area_m2, or length_m with width_m, or inside",
        ),
        (None, Some(_), None, None) => refuse(
            "width_m",
            "MISSING",
            "length_m is given and width_m is not; give both sides",
        ),
        (None, None, Some(_), None) => refuse(
            "length_m",
            "MISSING",
            "width_m is given and length_m is not; give both sides",
        ),
        (Some(_), ..) => refuse(
            "area_m2",
            "EXTENT_TWICE",
            "the floor has an area and something else; give area_m2, or length_m with width_m, or inside, only one",
        ),
        (None, _, _, Some(_)) => refuse(
            "inside",
            "EXTENT_TWICE",
            "the floor is inside a run and has sides of its own; give length_m with width_m, or inside, not both",
        ),
    }
}

fn sheet(decoder: &mut Decoder<'_>, wire: &wire::Floor) -> Option<Option<Sheet>> {
    let material = decoder.name_if_any::<Materials>("sheet_material", &wire.sheet_material);
    let lap = decoder.number_or_zero("lap_percent", &wire.lap_percent, &LAP);
    let (material, lap) = (material?, lap?);
    if material.is_none() && !lap.is_zero() {
        decoder.refuse(
            "sheet_material",
            "MISSING",
            "lap_percent is given and sheet_material is not; name the sheet, or leave lap_percent out",
        );
    }
    Some(material.map(|material| Sheet {
        material,
        lap: Share::from_percent(lap),
    }))
}
