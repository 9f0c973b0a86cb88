//! What is in a wall: openings, niches and inclusions.

use hod_domain::geometry::{Inclusion, Niche, Opening, OpeningShape};
use hod_units::{Length, Volume};
use hod_wire::v1 as wire;
use hod_wire::v1::OpeningShape as Shape;

use super::wall::ID_CHARACTERS_MAX;
use super::{Decoder, choice};

/// Reads an opening.
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
