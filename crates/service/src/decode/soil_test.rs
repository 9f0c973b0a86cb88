//! Soil tests: the heights of a jar or the shares of a laboratory, never both.

use hod_domain::id::SoilTestId;
use hod_domain::soil::{SoilEvidence, SoilShares, SoilTest};
use hod_units::{Length, Share};
use hod_wire::v1 as wire;
use hod_wire::v1::SoilTestMethod as Method;
use rust_decimal::dec;

use super::{Bounds, Decoder};

const DEPTH: Bounds = Bounds::of(dec!(0), dec!(20), "m");
const LAYER: Bounds = Bounds::of(dec!(0), dec!(1000), "mm");
const SHARE: Bounds = Bounds::of(dec!(0), dec!(100), "%");

/// Most characters of a note.
const NOTE_CHARACTERS_MAX: usize = 2000;

/// Reads a soil test; its id comes from the request or from the server.
pub fn soil_test<'a>(
    decoder: &mut Decoder<'a>,
    wire: &'a wire::SoilTest,
    id: Option<&SoilTestId>,
) -> Option<SoilTest> {
    let method = decoder.choice("method", wire.method, |number| {
        Method::try_from(number)
            .ok()
            .filter(|method| *method != Method::Unspecified)
    });
    let evidence = match method {
        Some(Method::Jar) => jar(decoder, wire),
        Some(Method::Laboratory) => laboratory(decoder, wire),
        Some(Method::Unspecified) | None => None,
    };
    let sampled = decoder.date("sample_date", &wire.sample_date);
    let depth = decoder.number_if_any("depth_m", &wire.depth_m, &DEPTH);
    let note = decoder.lines_if_any("note", &wire.note, NOTE_CHARACTERS_MAX);
    Some(SoilTest {
        id: id?.clone(),
        evidence: evidence?,
        sampled: sampled?,
        depth: depth?.map(Length::from_metres),
        note: note?,
    })
}

/// The shares of a jar follow from its heights: whatever is sent of them is only what a reader was told before.
fn jar(decoder: &mut Decoder<'_>, wire: &wire::SoilTest) -> Option<SoilEvidence> {
    let sand = decoder.number("sand_mm", &wire.sand_mm, &LAYER);
    let silt = decoder.number("silt_mm", &wire.silt_mm, &LAYER);
    let clay = decoder.number("clay_mm", &wire.clay_mm, &LAYER);
    Some(SoilEvidence::Jar {
        sand: Length::from_mm(sand?),
        silt: Length::from_mm(silt?),
        clay: Length::from_mm(clay?),
    })
}

fn laboratory(decoder: &mut Decoder<'_>, wire: &wire::SoilTest) -> Option<SoilEvidence> {
    let heights = [
        ("sand_mm", &wire.sand_mm),
        ("silt_mm", &wire.silt_mm),
        ("clay_mm", &wire.clay_mm),
    ];
    for (field, height) in heights {
        if !height.is_empty() {
            decoder.refuse(
                field,
                "NOT_OF_THIS_METHOD",
                format!("{field} belongs to a jar test; a laboratory gives sand_percent, silt_percent and clay_percent"),
            );
        }
    }
    let sand = decoder.number("sand_percent", &wire.sand_percent, &SHARE);
    let silt = decoder.number("silt_percent", &wire.silt_percent, &SHARE);
    let clay = decoder.number("clay_percent", &wire.clay_percent, &SHARE);
    Some(SoilEvidence::Laboratory(SoilShares {
        sand: Share::from_percent(sand?),
        silt: Share::from_percent(silt?),
        clay: Share::from_percent(clay?),
    }))
}
