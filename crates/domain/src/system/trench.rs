//! The trench: dug under every wall that has a stem wall, or under every wall where none has one, on its centre line, and
//! filled with rubble. What is dug out of it is spoil, which is for
//! `ground`.

use hod_units::{Length, Volume};
use rust_decimal::dec;

use super::beneath::{self, Strip, StripMeasure};
use super::stock::material_in;
use super::stretch::{listed, mm};
use crate::basis::{Basis, Joint, Term};
use crate::fault::too_large;
use crate::geometry::{WallDrawing, WallMeasure};
use crate::job::Trench;
use crate::takeoff::Amounts;
use crate::takeoff::tally::{Placing, Tally, drawn};
use crate::text::Text;
use crate::unit::Unit;
use crate::work::{Driver, Task};

const PART: &str = "trench";

pub(super) fn put_down(measures: &[WallMeasure], tally: &mut Tally) {
    let Some(trench) = &tally.job.trench else {
        return;
    };
    // A partition stands on the floor.
    let has_stems = tally
        .job
        .walls
        .iter()
        .any(|wall| wall.stem_height.is_positive());
    let walls: Vec<(&WallDrawing, &WallMeasure)> = tally
        .job
        .walls
        .iter()
        .zip(measures)
        .filter(|(wall, _)| !has_stems || wall.stem_height.is_positive())
        .collect();
    let strips: Vec<Strip> = walls
        .into_iter()
        .map(|(wall, above)| Strip {
            wall,
            above,
            thickness: trench.width,
            height: trench.depth,
            is_cut: false,
        })
        .collect();
    caution_narrower(trench, &strips, tally);
    let measured = match beneath::measure(&strips, "trench.width_mm", "the trench") {
        Ok(measured) => measured,
        Err(faults) => {
            tally.faults.extend(faults);
            return;
        }
    };
    for (strip, measure) in strips.iter().zip(&measured) {
        let item = format!("dug and filled, wall {}", strip.wall.id);
        tally.line(PART, item, Unit::M3, volume_of(trench, measure));
    }
    match Sums::of(&strips, &measured) {
        Some(sums) => {
            dig_and_fill(trench, &sums, tally);
            drain_and_fabric(trench, &sums, tally);
        }
        None => tally.faults.push(too_large("the trench")),
    }
}

/// One for all walls that stand over its edges, with their stem walls where these are told.
fn caution_narrower(trench: &Trench, strips: &[Strip], tally: &mut Tally) {
    let stem = tally.job.stem_wall.as_ref().and_then(|stem| stem.thickness);
    let is_over = |strip: &&Strip| {
        let stem = stem.filter(|_| strip.wall.stem_height.is_positive());
        trench.width < stem.unwrap_or(strip.wall.thickness)
    };
    let parts: Vec<Text> = strips.iter().filter(is_over).map(Strip::part).collect();
    if parts.is_empty() {
        return;
    }
    let description = format!(
        "the trench is {} mm wide and narrower than what stands on it, under {}: dig it wider than that",
        mm(trench.width),
        listed(&parts)
    );
    tally.caution("TRENCH_NARROWER_THAN_WALL", PART, description);
}

/// `mean length x width x depth`: 39.0 m round a building, 1.1 m wide and 1.0 m deep, are 42.90 m3, as the long-wall
/// short-wall and the centre-line methods both have it.
fn volume_of(trench: &Trench, measure: &StripMeasure) -> Basis {
    let term = |joint, length: Length, label| Term::new(joint, length.metres(), Unit::M, label, "");
    Basis::of([
        term(
            Joint::Start,
            measure.mean_length,
            "mean length between corners",
        ),
        term(Joint::Times, trench.width, "width"),
        term(Joint::Times, trench.depth, "depth"),
    ])
}

/// Over all walls.
struct Sums {
    volume: Volume,
    /// Between corners.
    mean_length: Length,
    /// As drawn: to the centre lines of the walls that it runs into.
    centre_line: Length,
}

impl Sums {
    /// `None` on overflow.
    fn of(strips: &[Strip], measured: &[StripMeasure]) -> Option<Self> {
        Some(Self {
            volume: Volume::checked_sum(measured.iter().map(|strip| strip.net))?,
            mean_length: Length::checked_sum(measured.iter().map(|strip| strip.mean_length))?,
            centre_line: Length::checked_sum(strips.iter().map(|strip| strip.above.length))?,
        })
    }
}

fn dig_and_fill(trench: &Trench, sums: &Sums, tally: &mut Tally) {
    let volume = sums.volume.cubic_metres();
    let in_bank = drawn(volume, Unit::M3, "trench");
    let amounts = Amounts::of_job().with_basis(Driver::M3Bank, in_bank.clone());
    let swell = tally
        .job
        .ground
        .as_ref()
        .map(|ground| ground.swell.percent());
    let swell = Term::new(
        Joint::PlusPercent,
        swell.unwrap_or_default(),
        Unit::Percent,
        "swell",
        "job",
    );
    let amounts = amounts.with_basis(Driver::M3Loose, in_bank.carried_on(&[swell]));
    let method = tally.job.mixing.clone();
    tally.work(Task::Trench, method.as_ref(), amounts);
    tally.dug_out = sums.volume;
    if tally.recipe("trench.fill_mix", &trench.fill).is_none() {
        return;
    }
    let method = tally.mixing(&trench.fill, None);
    let amounts = Amounts::of_job().with(Driver::M3Placed, volume, Unit::M3, "fill");
    tally.work(Task::FillTrench, method.as_ref(), amounts);
    tally.place(Placing {
        mix: trench.fill.clone(),
        mixing: None,
        net: sums.volume,
        placed: sums.volume,
        waste: None,
        label: "fill",
        tasks: &[Task::FillTrench],
    });
}

/// The drain runs along the centre line. The cloth goes round the fill, bottom, sides and top, laps not within:
/// `(2 x width + 2 x depth) x length`. Round 20 m of 0.6 x 0.5 m: 44 m2.
fn drain_and_fabric(trench: &Trench, sums: &Sums, tally: &mut Tally) {
    if let Some(id) = &trench.drain
        && material_in("trench.drain_material", id, &[Unit::M], tally).is_some()
    {
        let basis = drawn(
            sums.centre_line.metres(),
            Unit::M,
            "centre line of the walls",
        );
        tally.line(PART, "drain", Unit::M, basis.clone());
        tally.need(id, basis);
    }
    if let Some(id) = &trench.fabric
        && material_in("trench.fabric_material", id, &[Unit::M2], tally).is_some()
    {
        let term = |joint, value, label| Term::new(joint, value, Unit::M, label, "");
        let basis = Basis::of([
            term(Joint::Start, trench.width.metres(), "width"),
            term(Joint::Plus, trench.depth.metres(), "depth"),
            Term::new(Joint::Times, dec!(2), Unit::Number, "twice each", ""),
            term(
                Joint::Times,
                sums.mean_length.metres(),
                "length between corners",
            ),
        ]);
        tally.line(PART, "fabric, laps not within", Unit::M2, basis.clone());
        tally.need(id, basis);
    }
}
