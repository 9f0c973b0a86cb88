//! What is in a wall: openings and what is set into them, niches, inclusions, and what is buried.

use hod_domain::geometry::{Inclusion, Niche, Opening, OpeningShape};
use hod_domain::job::{Buried, Lintel, OpeningWork};
use hod_units::{Length, Volume};
use hod_wire::v1 as wire;
use hod_wire::v1::OpeningShape as Shape;
use rust_decimal::dec;

use super::wall::ID_CHARACTERS_MAX;
use super::{Bounds, Decoder, choice};
use crate::name::Materials;

const BEARING: Bounds = Bounds::of(dec!(0), dec!(1000), "mm");
const BURIED_AT: Bounds = Bounds::of(dec!(0), dec!(30), "m");

/// Most lintels side by side.
const LINTELS_MAX: u32 = 20;

/// Most things buried under one id.
const BURIED_MAX: u32 = 10_000;

/// Reads an opening as it is drawn.
pub fn opening<'a>(decoder: &mut Decoder<'a>, wire: &'a wire::Opening) -> Option<Opening> {
    decoder.about("opening", &wire.id, |decoder| {
        let id = decoder.text("id", &wire.id, ID_CHARACTERS_MAX);
        let shape = shape(decoder, wire.shape, &wire.height_m, &wire.rise_m);
        let width = decoder.any_number("width_m", &wire.width_m);
        let sill = decoder.any_number("sill_m", &wire.sill_m);
        let at = decoder.any_number("at_m", &wire.at_m);
        let splay = decoder.any_number_if_any("splay_mm", &wire.splay_mm);
        Some(Opening {
            id: id?,
            shape: shape?,
            width: Length::from_metres(width?),
            sill: Length::from_metres(sill?),
            at: Length::from_metres(at?),
            splay: splay?.map_or(Length::ZERO, Length::from_mm),
        })
    })
}

/// Reads what is set into an opening.
pub fn opening_work<'a>(decoder: &mut Decoder<'a>, wire: &'a wire::Opening) -> Option<OpeningWork> {
    decoder.about("opening", &wire.id, |decoder| {
        let lintel = lintel(decoder, wire);
        let sill = decoder.name_if_any::<Materials>("sill_material", &wire.sill_material);
        let frame = decoder.name_if_any::<Materials>("frame_material", &wire.frame_material);
        let form = &wire.arch_form_material;
        let arch_form = decoder.name_if_any::<Materials>("arch_form_material", form);
        if !form.is_empty() && wire.shape() == Shape::Rectangle {
            decoder.refuse(
                "arch_form_material",
                "NOT_OF_THIS_SHAPE",
                "a level head is built on no form; leave arch_form_material out, or give the opening an arch",
            );
        }
        Some(OpeningWork {
            lintel: lintel?,
            sill: sill?,
            frame: frame?,
            arch_form: arch_form?,
        })
    })
}

/// What carries the wall over it, and how far that reaches to either side.
fn lintel(decoder: &mut Decoder<'_>, wire: &wire::Opening) -> Option<Option<Lintel>> {
    let material = decoder.name_if_any::<Materials>("lintel_material", &wire.lintel_material);
    let count = decoder.whole("lintel_count", wire.lintel_count, 1, LINTELS_MAX);
    let bearing = decoder.number_if_any("bearing_mm", &wire.bearing_mm, &BEARING);
    let (material, count, bearing) = (material?, count?, bearing?);
    let (field, found) = match (material, bearing) {
        (Some(material), Some(bearing)) => {
            let bearing = Length::from_mm(bearing);
            return Some(Some(Lintel {
                material,
                count,
                bearing,
            }));
        }
        (None, None) if wire.lintel_count == 0 => return Some(None),
        (Some(_), None) => (
            "bearing_mm",
            "a lintel is named and bearing_mm is not given; say what it bears on at each end",
        ),
        (None, _) => (
            "lintel_material",
            "something is said of a lintel that is not named; give lintel_material, or leave out lintel_count and bearing_mm",
        ),
    };
    decoder.refuse(field, "MISSING", found);
    None
}

/// Reads what is buried in a wall.
pub fn buried<'a>(decoder: &mut Decoder<'a>, wire: &'a wire::Buried) -> Option<Buried> {
    decoder.about("buried", &wire.id, |decoder| {
        let id = decoder.text("id", &wire.id, ID_CHARACTERS_MAX);
        let height = decoder.number("height_m", &wire.height_m, &BURIED_AT);
        let count = decoder.whole("count", wire.count, 1, BURIED_MAX);
        let material = decoder.name_if_any::<Materials>("material", &wire.material);
        Some(Buried {
            id: id?,
            height: Length::from_metres(height?),
            count: count?,
            material: material?,
        })
    })
}

/// Reads a niche.
pub fn niche<'a>(decoder: &mut Decoder<'a>, wire: &'a wire::Niche) -> Option<Niche> {
    decoder.about("niche", &wire.id, |decoder| {
        let id = decoder.text("id", &wire.id, ID_CHARACTERS_MAX);
        let shape = shape(decoder, wire.shape, &wire.height_m, &wire.rise_m);
        let width = decoder.any_number("width_m", &wire.width_m);
        let sill = decoder.any_number("sill_m", &wire.sill_m);
        let at = decoder.any_number("at_m", &wire.at_m);
        let depth = decoder.any_number("depth_mm", &wire.depth_mm);
        let face = choice::face(decoder, "face", wire.face);
        Some(Niche {
            id: id?,
            shape: shape?,
            width: Length::from_metres(width?),
            sill: Length::from_metres(sill?),
            at: Length::from_metres(at?),
            depth: Length::from_mm(depth?),
            face: face?,
        })
    })
}

/// Reads an inclusion.
pub fn inclusion<'a>(decoder: &mut Decoder<'a>, wire: &'a wire::Inclusion) -> Option<Inclusion> {
    decoder.about("inclusion", &wire.id, |decoder| {
        let id = decoder.text("id", &wire.id, ID_CHARACTERS_MAX);
        let count = u32::try_from(wire.count).ok();
        if count.is_none() {
            decoder.refuse(
                "count",
                "OUT_OF_RANGE",
                format!("count is {}; it must be from 1 to 100000", wire.count),
            );
        }
        let volume = decoder.any_number("volume_l", &wire.volume_l);
        Some(Inclusion {
            id: id?,
            count: count?,
            volume: Volume::from_litres(volume?),
        })
    })
}

/// The outline, with the sizes that belong to it and no others.
fn shape(decoder: &mut Decoder<'_>, number: i32, height: &str, rise: &str) -> Option<OpeningShape> {
    let shape = decoder.choice("shape", number, |number| {
        Shape::try_from(number)
            .ok()
            .filter(|shape| *shape != Shape::Unspecified)
    })?;
    if shape != Shape::Segmental && !rise.is_empty() {
        decoder.refuse(
            "rise_m",
            "NOT_OF_THIS_SHAPE",
            "rise_m belongs to a segmental arch; leave it out",
        );
    }
    if shape == Shape::Circle {
        if !height.is_empty() {
            decoder.refuse(
                "height_m",
                "NOT_OF_THIS_SHAPE",
                "a circle has no height_m; its width_m is its height",
            );
        }
        return Some(OpeningShape::Circle);
    }
    let height = decoder.any_number("height_m", height);
    let rise = (shape == Shape::Segmental).then(|| decoder.any_number("rise_m", rise));
    let height = Length::from_metres(height?);
    match shape {
        Shape::Unspecified | Shape::Circle | Shape::Rectangle => {
            Some(OpeningShape::Rectangle { height })
        }
        Shape::Segmental => Some(OpeningShape::Segmental {
            height,
            rise: Length::from_metres(rise??),
        }),
        Shape::Semicircular => Some(OpeningShape::Semicircular { height }),
        Shape::Pointed => Some(OpeningShape::Pointed { height }),
    }
}
