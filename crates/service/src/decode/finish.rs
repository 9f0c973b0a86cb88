//! Finishes: coats on the faces of a wall, its own or the job's.

use hod_domain::geometry::Face;
use hod_domain::job::Finish;
use hod_units::{Length, Share};
use hod_wire::v1 as wire;
use rust_decimal::dec;

use super::layer::{Layers, layers};
use super::{Bounds, Decoder, choice};

const LEVELLING: Bounds = Bounds::of(dec!(0), dec!(100), "mm");
const REVEALS: Bounds = Bounds::of(dec!(0), dec!(100), "%");
const COATS: Layers = Layers {
    least: 1,
    most: 8,
    thickness_max: dec!(200),
};

/// Most finishes of a wall: one to each face.
const FINISHES_MAX: usize = 2;

/// Reads finishes, of which a face has one at the most: of the wall at this place, or without one the job's own.
pub fn finishes<'a>(
    decoder: &mut Decoder<'a>,
    wire: &'a [wire::Finish],
    wall: Option<usize>,
) -> Option<Vec<Finish>> {
    let sent = decoder.list("finishes", wire, 0, FINISHES_MAX);
    let mut finishes = decoder.each("finishes", sent, finish)?;
    for (index, finish) in finishes.iter_mut().enumerate() {
        finish.field = match wall {
            Some(wall) => format!("walls[{wall}].finishes[{index}]"),
            None => format!("finishes[{index}]"),
        };
    }
    if let [one, other] = finishes.as_slice()
        && one.face == other.face
    {
        decoder.at("finishes", 1, |decoder| {
            decoder.refuse(
                "face",
                "FACE_TWICE",
                format!(
                    "the {} face has two finishes; give all its coats in one",
                    word(other.face)
                ),
            );
        });
    }
    (finishes.len() == wire.len()).then_some(finishes)
}

/// A wall's own finishes, and of the job's those of the faces that it does not name.
pub fn with_the_jobs(own: Vec<Finish>, of_job: &[Finish]) -> Vec<Finish> {
    let is_left = |finish: &&Finish| own.iter().all(|own| own.face != finish.face);
    let left: Vec<Finish> = of_job.iter().filter(is_left).cloned().collect();
    [own, left].concat()
}

fn finish<'a>(decoder: &mut Decoder<'a>, wire: &'a wire::Finish) -> Option<Finish> {
    let face = choice::face(decoder, "face", wire.face);
    let coats = layers(decoder, "coats", &wire.coats, &COATS);
    let levelling = decoder.number_or_zero("levelling_mm", &wire.levelling_mm, &LEVELLING);
    let reveals = decoder.number_if_any("reveal_percent", &wire.reveal_percent, &REVEALS);
    Some(Finish {
        field: String::new(),
        face: face?,
        coats: coats?,
        levelling: Length::from_mm(levelling?),
        reveals: reveals?.map(Share::from_percent),
    })
}

const fn word(face: Face) -> &'static str {
    match face {
        Face::Inner => "inner",
        Face::Outer => "outer",
    }
}
