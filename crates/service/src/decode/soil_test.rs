//! Soil tests: the heights of a jar or the shares of a laboratory, never both, and what was seen and felt of the soil.

use hod_domain::id::SoilTestId;
use hod_domain::soil::{JarProtocol, SoilEvidence, SoilObservation, SoilShares, SoilTest};
use hod_units::{Length, Share};
use hod_wire::v1 as wire;
use hod_wire::v1::SoilTestMethod as Method;
use rust_decimal::dec;

use super::{Bounds, Decoder};

const DEPTH: Bounds = Bounds::of(dec!(0), dec!(20), "m");
const LAYER: Bounds = Bounds::of(dec!(0), dec!(1000), "mm");
const SHARE: Bounds = Bounds::of(dec!(0), dec!(100), "%");
const SAND_MARK: Bounds = Bounds::of(dec!(1), dec!(3600), "s");
const SILT_MARK: Bounds = Bounds::of(dec!(1), dec!(2880), "min");
const CLAY_MARK: Bounds = Bounds::of(dec!(0.1), dec!(2000), "h");
const WATER_HEIGHT: Bounds = Bounds::of(dec!(20), dec!(1000), "mm");
const WATER_CELSIUS: Bounds = Bounds::of(dec!(0), dec!(40), "degrees Celsius");
const RIBBON: Bounds = Bounds::of(dec!(0), dec!(300), "mm");

/// Most characters of what the dropped ball did.
const DROP_NOTE_CHARACTERS_MAX: usize = 200;

/// How many observations there are.
const OBSERVATIONS_MAX: usize = 4;

/// Most characters of a note.
pub(super) const NOTE_CHARACTERS_MAX: usize = 2000;

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
        Some(Method::ByHand) => by_hand(decoder, wire),
        Some(Method::Jar) => jar(decoder, wire),
        Some(Method::Laboratory) => laboratory(decoder, wire),
        Some(Method::Unspecified) | None => None,
    };
    let sampled = decoder.date("sample_date", &wire.sample_date);
    let depth = decoder.number_if_any("depth_m", &wire.depth_m, &DEPTH);
    let protocol = decoder.within("jar_protocol", |decoder| {
        protocol_if_any(decoder, wire.jar_protocol.as_ref())
    });
    let ribbon = decoder.number_if_any("ribbon_mm", &wire.ribbon_mm, &RIBBON);
    let drop_note = decoder.text_if_any("drop_note", &wire.drop_note, DROP_NOTE_CHARACTERS_MAX);
    let observations = observations(decoder, &wire.observations);
    let note = decoder.lines_if_any("note", &wire.note, NOTE_CHARACTERS_MAX);
    Some(SoilTest {
        id: id?.clone(),
        evidence: evidence?,
        sampled: sampled?,
        depth: depth?.map(Length::from_metres),
        protocol: protocol?,
        ribbon: ribbon?.map(Length::from_mm),
        drop_note: drop_note?,
        observations: observations?,
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

/// By hand nothing is measured.
fn by_hand(decoder: &mut Decoder<'_>, wire: &wire::SoilTest) -> Option<SoilEvidence> {
    let shares = [
        ("sand_percent", &wire.sand_percent),
        ("silt_percent", &wire.silt_percent),
        ("clay_percent", &wire.clay_percent),
    ];
    for (field, figure) in heights(wire).into_iter().chain(shares) {
        if !figure.is_empty() {
            decoder.refuse(
                field,
                "NOT_OF_THIS_METHOD",
                format!("{field} is measured, and a test by hand measures nothing; say whether it is of a jar or of a laboratory"),
            );
        }
    }
    Some(SoilEvidence::ByHand)
}

fn heights(wire: &wire::SoilTest) -> [(&'static str, &String); 3] {
    [
        ("sand_mm", &wire.sand_mm),
        ("silt_mm", &wire.silt_mm),
        ("clay_mm", &wire.clay_mm),
    ]
}

fn laboratory(decoder: &mut Decoder<'_>, wire: &wire::SoilTest) -> Option<SoilEvidence> {
    for (field, height) in heights(wire) {
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

fn protocol_if_any(
    decoder: &mut Decoder<'_>,
    wire: Option<&wire::JarProtocol>,
) -> Option<Option<JarProtocol>> {
    let Some(wire) = wire else {
        return Some(None);
    };
    let sand_mark = decoder.number("sand_mark_s", &wire.sand_mark_s, &SAND_MARK);
    let silt_mark = decoder.number("silt_mark_min", &wire.silt_mark_min, &SILT_MARK);
    let clay_mark = decoder.number_if_any("clay_mark_h", &wire.clay_mark_h, &CLAY_MARK);
    let height = decoder.number("water_height_mm", &wire.water_height_mm, &WATER_HEIGHT);
    let celsius = decoder.number_if_any("water_celsius", &wire.water_celsius, &WATER_CELSIUS);
    Some(Some(JarProtocol {
        sand_mark_s: sand_mark?,
        silt_mark_min: silt_mark?,
        clay_mark_h: clay_mark?,
        water_height: Length::from_mm(height?),
        water_celsius: celsius?.unwrap_or(dec!(20)),
    }))
}

fn observations(decoder: &mut Decoder<'_>, numbers: &[i32]) -> Option<Vec<SoilObservation>> {
    decoder.count("observations", numbers.len(), 0, OBSERVATIONS_MAX);
    let mut seen = Vec::new();
    for (index, number) in numbers.iter().take(OBSERVATIONS_MAX).enumerate() {
        match observation(*number) {
            Some(observation) => seen.push(observation),
            None => decoder.at("observations", index, |decoder| {
                decoder.refuse(
                    "",
                    "UNKNOWN_CHOICE",
                    format!("an observation is {number}, which is not accepted here"),
                );
            }),
        }
    }
    (seen.len() == numbers.len()).then_some(seen)
}

fn observation(number: i32) -> Option<SoilObservation> {
    match wire::SoilObservation::try_from(number).ok()? {
        wire::SoilObservation::Unspecified => None,
        wire::SoilObservation::Topsoil => Some(SoilObservation::Topsoil),
        wire::SoilObservation::Salts => Some(SoilObservation::Salts),
        wire::SoilObservation::Contamination => Some(SoilObservation::Contamination),
        wire::SoilObservation::SwellingClay => Some(SoilObservation::SwellingClay),
    }
}
