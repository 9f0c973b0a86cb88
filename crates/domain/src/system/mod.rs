//! Systems: what each part of a building is built of, and what that takes. One file a system or a part; each turns what was
//! measured into lines, placed mixes, pieces and work, and puts them down in the tally. None knows a price or an hour.

use hod_units::{Area, Decimal, Volume};

use crate::fault::{Fault, too_large};
use crate::geometry::{WallDrawing, WallMeasure, ZoneMeasure};
use crate::id::{Method, MixId};
use crate::job::{Build, WallSystem};
use crate::mix::Recipe;
use crate::takeoff::tally::{Placing, Tally};
use crate::takeoff::{Amounts, TakeoffTotals};
use crate::unit::Unit;
use crate::work::{Driver, Task};

pub mod adobe;
mod beneath;
mod buried;
pub(crate) mod coat;
mod cob;
mod floor;
mod form;
pub(crate) mod ground;
mod layer;
mod opening;
mod oven;
mod piece;
mod rammed_earth;
mod stem_wall;
mod stock;
pub mod straw_bale;
pub mod straw_clay;
mod stretch;
mod trench;
mod wattle;
mod whole;

/// The parts of the walls that are built alike.
pub(crate) struct Built<'a> {
    /// How.
    pub build: &'a Build,
    /// All of them, in the order of the walls and from the foot up.
    pub stretches: Vec<Stretch<'a>>,
}

/// A wall, or the part of it between two heights, that is built of one thing.
#[derive(Clone, Copy)]
pub(crate) struct Stretch<'a> {
    /// As the wall is drawn.
    pub drawing: &'a WallDrawing,
    /// As it was measured, whole.
    pub wall: &'a WallMeasure,
    /// The part of it.
    pub zone: &'a ZoneMeasure,
}

/// Sums over stretches.
#[derive(Clone, Copy, Default)]
pub(crate) struct BuiltSums {
    /// Finished.
    pub net: Volume,
    /// Placed, before it is pared.
    pub placed: Volume,
    /// Inner faces, net of openings.
    pub inner_face: Area,
    /// Outer faces likewise.
    pub outer_face: Area,
    /// Lifts.
    pub lifts: usize,
    /// Openings whose sills are in them.
    pub openings: usize,
}

/// Puts down all that a job is built of.
pub(crate) fn put_down(measures: &[WallMeasure], totals: &TakeoffTotals, tally: &mut Tally) {
    whole::put_down(measures, totals, tally);
    let all = by_build(measures, tally);
    caution_unused(&all, tally);
    for built in all.iter().filter(|built| !built.stretches.is_empty()) {
        let Some(sums) = built.sums() else {
            tally.faults.push(too_large(&format!(
                "what is built of {}",
                built.build.name()
            )));
            continue;
        };
        match built.build.system {
            WallSystem::Cob => cob::put_down(built, &sums, tally),
            WallSystem::Adobe => adobe::put_down(built, &sums, tally),
            WallSystem::RammedEarth => rammed_earth::put_down(built, &sums, tally),
            WallSystem::LightStrawClay => straw_clay::put_down(built, &sums, tally),
            WallSystem::StrawBale => straw_bale::put_down(built, &sums, tally),
            WallSystem::WattleAndDaub => wattle::put_down(built, &sums, tally),
        }
    }
    stem_wall::put_down(measures, tally);
    trench::put_down(measures, tally);
    opening::put_down(measures, tally);
    buried::put_down(measures, tally);
    coat::put_down(measures, tally);
    floor::put_down(tally);
    oven::put_down(tally);
}

/// A caution for each build that is named and that nothing is built of.
fn caution_unused(all: &[Built], tally: &mut Tally) {
    let unused = all.iter().filter(|built| built.stretches.is_empty());
    for build in unused.map(|built| built.build) {
        if !build.id.is_empty() {
            let description = format!(
                "nothing is built of build {}; name it in a wall, or leave it out",
                build.id
            );
            tally.caution("BUILD_NOT_USED", build.id.clone(), description);
        }
    }
}

/// The stretches of each build of the job.
fn by_build<'a>(measures: &'a [WallMeasure], tally: &Tally<'a>) -> Vec<Built<'a>> {
    let job = tally.job;
    let mut all: Vec<Built> = job
        .builds
        .iter()
        .map(|build| Built {
            build,
            stretches: Vec::new(),
        })
        .collect();
    for (index, (drawing, wall)) in job.walls.iter().zip(measures).enumerate() {
        for (place, zone) in job.build_places(index).zip(&wall.zones) {
            if let Some(built) = all.get_mut(place) {
                built.stretches.push(Stretch {
                    drawing,
                    wall,
                    zone,
                });
            }
        }
    }
    all
}

impl Built<'_> {
    /// `None` on overflow.
    fn sums(&self) -> Option<BuiltSums> {
        self.stretches
            .iter()
            .try_fold(BuiltSums::default(), |sum, stretch| {
                let zone = stretch.zone;
                Some(BuiltSums {
                    net: sum.net.checked_add(zone.net)?,
                    placed: sum.placed.checked_add(zone.placed)?,
                    inner_face: sum.inner_face.checked_add(zone.inner_face)?,
                    outer_face: sum.outer_face.checked_add(zone.outer_face)?,
                    lifts: sum.lifts + zone.lifts.len(),
                    openings: sum.openings + stretch.openings(),
                })
            })
    }
}

impl Stretch<'_> {
    /// Whether it is the highest of its wall.
    fn is_last(&self) -> bool {
        self.wall
            .zones
            .last()
            .is_some_and(|last| last.from == self.zone.from)
    }

    /// How many openings have their sills in it; one whose sill is in the stem wall belongs to the lowest.
    fn openings(&self) -> usize {
        let is_foot = self.zone.from == hod_units::Length::ZERO;
        if is_foot && self.is_last() {
            return self.drawing.openings.len();
        }
        let is_in =
            |sill| (is_foot || self.zone.from <= sill) && (sill < self.zone.to || self.is_last());
        let sills = self.drawing.openings.iter().map(|opening| opening.sill);
        sills.filter(|sill| is_in(*sill)).count()
    }
}

impl BuiltSums {
    /// What the hours of a task on these walls may be counted by.
    fn amounts(&self) -> Amounts {
        self.amounts_by_lift(self.lifts.into(), "lifts")
    }

    /// The same, where the walls rise in so many stages that are no lifts of theirs.
    fn amounts_by_lift(&self, lifts: Decimal, label: &'static str) -> Amounts {
        let faces = crate::basis::Basis::of([
            crate::basis::Term::new(
                crate::basis::Joint::Start,
                self.inner_face.square_metres(),
                Unit::M2,
                "inner faces",
                "",
            ),
            crate::basis::Term::new(
                crate::basis::Joint::Plus,
                self.outer_face.square_metres(),
                Unit::M2,
                "outer faces",
                "",
            ),
        ]);
        let panel = self.inner_face.square_metres();
        Amounts::of_job()
            .with(
                Driver::M3Placed,
                self.placed.cubic_metres(),
                Unit::M3,
                "placed volume",
            )
            .with_basis(Driver::M2Face, faces)
            .with(Driver::M2Panel, panel, Unit::M2, "inner faces")
            .with(Driver::Lift, lifts, Unit::Lift, label)
            .with(
                Driver::Opening,
                self.openings.into(),
                Unit::Each,
                "openings",
            )
    }
}

/// Puts down the earth of walls: so much of the build's mix. An estimate of a build that names none is refused.
fn place_earth(build: &Build, sums: &BuiltSums, tasks: &'static [Task], tally: &mut Tally) {
    if let Some(recipe) = recipe_of(build, tally) {
        tally.place(Placing {
            mix: recipe.mix().id.clone(),
            mixing: build.mixing.clone(),
            net: sums.net,
            placed: sums.placed,
            waste: tally.waste_of_job(),
            label: "placed volume",
            tasks,
        });
    }
}

/// The recipe of a build. An estimate of a build that names none is refused.
fn recipe_of<'a>(build: &Build, tally: &mut Tally<'a>) -> Option<&'a Recipe> {
    let Some(mix) = &build.mix else {
        tally.lack(no_mix(build));
        if build.mixing.is_none() && tally.job.mixing.is_none() {
            tally.lack(no_mixing());
        }
        return None;
    };
    tally.recipe(&build.path("mix"), mix)
}

/// How the earth of a build is mixed, for the work on its walls.
fn mixing_of(build: &Build, tally: &Tally) -> Option<Method> {
    let of_mix = |mix: &MixId| tally.mixing(mix, build.mixing.as_ref());
    let named = build.mix.as_ref().map(of_mix);
    named.unwrap_or_else(|| build.mixing.clone().or_else(|| tally.job.mixing.clone()))
}

fn no_mixing() -> Fault {
    Fault::of_field(
        "mixing",
        "JOB_NAMES_NO_MIXING",
        "the job names no method of mixing; give one that has a labour constant, such as tarp",
    )
}

fn no_mix(build: &Build) -> Fault {
    let message = if build.id.is_empty() {
        "the job names no mix; give the recipe, such as house-cob".to_owned()
    } else {
        format!(
            "build {} names no mix, and the job none; give its recipe",
            build.id
        )
    };
    Fault::of_field(build.path("mix"), "JOB_NAMES_NO_MIX", message)
}
