//! Jobs: what holds for all the walls, handed down to each wall that says nothing of its own.

use hod_domain::job::{Job, paring_of_cob};
use hod_units::{Length, Share};
use hod_wire::v1 as wire;
use rust_decimal::dec;

use super::labour_constant::method_if_any;
use super::wall::{DrawnWall, LIFT_HEIGHT, STEM_HEIGHT, WholeJob, wall};
use super::{Bounds, Decoder, NAME_CHARACTERS_MAX};
use crate::name::{Crews, Mixes, Sites};

const PARING: Bounds = Bounds::of(dec!(0), dec!(200), "mm");
const WASTE: Bounds = Bounds::of(dec!(0), dec!(50), "%");

/// Most walls of a job.
pub const WALLS_MAX: usize = 5000;

/// What could be read of a job.
pub enum Drawn {
    /// All of it.
    Job(Job),
    /// These of its walls, each with its place; so that what is wrong with them is told together with what could
    /// not be read.
    Walls {
        /// The walls.
        walls: Vec<(usize, DrawnWall)>,
        /// Whether they are all that was sent.
        are_whole: bool,
    },
}

/// Reads a job. Sizes of walls that are numbers at all are handed on, however absurd: geometry judges them.
pub fn job<'a>(decoder: &mut Decoder<'a>, wire: &'a wire::Job) -> Drawn {
    let display_name = decoder.text("display_name", &wire.display_name, NAME_CHARACTERS_MAX);
    let site = decoder.name_if_any::<Sites>("site", &wire.site);
    let mix = decoder.name_if_any::<Mixes>("mix", &wire.mix);
    let mixing = method_if_any(decoder, "mixing", &wire.mixing);
    let crew = decoder.name_if_any::<Crews>("crew", &wire.crew);
    let waste = decoder.number_if_any("waste_percent", &wire.waste_percent, &WASTE);
    let whole = whole_job(decoder, wire);
    decoder.count("walls", wire.walls.len(), 1, WALLS_MAX);
    // Far too many are not read at all: what is wrong with each could fill the memory.
    let sent = wire.walls.get(..WALLS_MAX).unwrap_or(&wire.walls);
    let walls = decoder.each_kept("walls", sent, |decoder, drawn| {
        decoder.about("wall", &drawn.id, |decoder| wall(decoder, drawn, &whole))
    });
    let are_whole = walls.len() == wire.walls.len() && walls.iter().all(|(_, wall)| wall.is_whole);
    match (display_name, site, mix, mixing, crew, waste) {
        (Some(display_name), Some(site), Some(mix), Some(mixing), Some(crew), Some(waste))
            if are_whole =>
        {
            Drawn::Job(Job {
                display_name,
                site,
                mix,
                mixing,
                crew,
                waste: waste.map(Share::from_percent),
                walls: walls.into_iter().map(|(_, wall)| wall.drawing).collect(),
            })
        }
        _ => Drawn::Walls { walls, are_whole },
    }
}

/// What the job says for all walls. What is wrong with it is told once, here, so that the walls are read as if it
/// were right.
fn whole_job(decoder: &mut Decoder<'_>, wire: &wire::Job) -> WholeJob {
    decoder.choice(
        "system",
        wire.system,
        |number| match wire::WallSystem::try_from(number).ok()? {
            wire::WallSystem::Unspecified => None,
            wire::WallSystem::Cob => Some(()),
        },
    );
    let mut given = |field, text: &str, bounds: &Bounds| {
        let number = decoder.number_if_any(field, text, bounds).flatten();
        number.filter(|number| bounds.least <= *number && *number <= bounds.most)
    };
    WholeJob {
        paring: given("paring_mm", &wire.paring_mm, &PARING)
            .map_or_else(paring_of_cob, Length::from_mm),
        stem_height: given("stem_height_m", &wire.stem_height_m, &STEM_HEIGHT)
            .map_or(Length::ZERO, Length::from_metres),
        lift_height: given("lift_height_m", &wire.lift_height_m, &LIFT_HEIGHT)
            .map(Length::from_metres),
    }
}
