//! Adobe: dried earth bricks laid in courses in mortar. How they lie, how many there are and what mortar they take; those
//! that are made on the site are moulded of the build's mix.
//!
//! Laid in running bond, each course half a brick on from the one below: laps are then half the visible length, and the
//! quarter that 14.7.4.11 NMAC asks for is always there, so that nothing is said of it.

use hod_units::{Decimal, Length, Rounding, Share, Volume};
use rust_decimal::dec;

use super::piece::{Piece, breakage, said_by};
use super::stretch::mm;
use super::{Built, BuiltSums, Stretch, mixing_of, recipe_of};
use crate::basis::{Basis, Joint, Term};
use crate::fault::{Fault, too_large};
use crate::id::MixId;
use crate::job::Build;
use crate::material::Supply;
use crate::mix::Recipe;
use crate::takeoff::Amounts;
use crate::takeoff::tally::{Placing, Tally, drawn};
use crate::text::Text;
use crate::unit::{Unit, round_up};
use crate::work::{Driver, Task};

mod coursing;

pub use coursing::Coursing;

/// Volumes of adobes and mortar are told to the step of all volumes, 1e-6 m3.
const VOLUME_PLACES: u32 = 6;

/// How high adobe is laid before it dries for a week, m (common practice, no source).
const STAGE_M: Decimal = dec!(0.6);

/// Puts down adobe: courses, adobes and mortar of every wall, what is to be got or moulded, and the work.
pub(super) fn put_down(built: &Built, sums: &BuiltSums, tally: &mut Tally) {
    let build = built.build;
    let piece = Piece::of(build, &[Unit::Each], tally);
    let joint = joint_of(build, tally);
    let mortar = mortar_of(build, joint, tally);
    let is_made = piece
        .as_ref()
        .is_some_and(|piece| piece.material.supply == Supply::Site);
    let made_of = is_made.then(|| recipe_of(build, tally)).flatten();
    let (Some(piece), Some(joint)) = (piece, joint) else {
        return;
    };
    let unit = piece.size;
    let coursing = Coursing { unit, joint };
    if is_any_too_thin(built, &coursing, tally) {
        return;
    }
    let Some(laid) = Laid::of(built, coursing, &piece) else {
        tally
            .faults
            .push(too_large(&format!("the adobes of {}", build.name())));
        return;
    };
    for stretch in &built.stretches {
        thickness_not_made(stretch, &coursing, tally);
    }
    laid.tell(tally);
    tally.need(&piece.material.id, laid.with_breakage(build));
    if let Some(recipe) = made_of {
        laid.mould(build, recipe, tally);
    }
    laid.lay(mortar, sums, tally);
    cover(built, sums, tally);
}

/// Adobe rises in stages of 0.6 m, each of which dries and is covered meanwhile, wall by wall up to a whole one.
///
/// 2.4384 m are 4.06 stages, so 5.
fn cover(built: &Built, sums: &BuiltSums, tally: &mut Tally) {
    let stage = Length::from_metres(STAGE_M);
    let of_stretch = |stretch: &Stretch| round_up(stretch.height()?.checked_ratio(stage)?, 0);
    let mut all = built.stretches.iter().map(of_stretch);
    let Some(stages) = all.try_fold(Decimal::ZERO, |sum, stages| sum.checked_add(stages?)) else {
        let what = format!("the adobes of {}", built.build.name());
        tally.faults.push(too_large(&what));
        return;
    };
    let method = mixing_of(built.build, tally);
    let amounts = sums.amounts_by_lift(stages, "stages of 0.6 m");
    tally.work(Task::Cover, method.as_ref(), amounts);
}

/// The bed and head joints of a build; a fault when it says nothing of them.
fn joint_of(build: &Build, tally: &mut Tally) -> Option<Length> {
    if build.joint.is_none() {
        let message = format!(
            "{} is of adobe and says nothing of its joints; give how thick bed and head joints are, 0 where they are laid dry",
            said_by(build)
        );
        tally.refuse(build.path("joint_mm"), "ADOBE_JOINT_MISSING", message);
    }
    build.joint
}

/// The mortar of a build, when it is in the library; an estimate of joints without mortar is refused.
fn mortar_of(build: &Build, joint: Option<Length>, tally: &mut Tally) -> Option<MixId> {
    let field = build.path("mortar_mix");
    let Some(mortar) = &build.mortar else {
        if joint.is_some_and(Length::is_positive) {
            let message = format!(
                "{} names no mortar for its joints; give the recipe, often that of the adobes themselves",
                said_by(build)
            );
            tally.lack(Fault::of_field(field, "BUILD_NAMES_NO_MORTAR", message));
        }
        return None;
    };
    tally.recipe(&field, mortar).map(|_| mortar.clone())
}

/// Whether a wall is somewhere thinner than an adobe is wide, each a fault.
fn is_any_too_thin(built: &Built, coursing: &Coursing, tally: &mut Tally) -> bool {
    let width = coursing.unit.width;
    let mut is_any = false;
    for stretch in &built.stretches {
        let thinnest = stretch.thickness_min();
        if thinnest < width {
            let message = format!(
                "{} is {} mm thick at its thinnest and its adobes are {} mm wide; draw it as thick as they make it, or name \
                 a narrower adobe",
                stretch.part(),
                mm(thinnest),
                mm(width)
            );
            let field = stretch.path("thickness_mm", tally);
            tally.refuse(field, "WALL_THINNER_THAN_ADOBE", message);
            is_any = true;
        }
    }
    is_any
}

/// A caution for a wall that whole adobes do not make as thick as it is drawn.
fn thickness_not_made(stretch: &Stretch, coursing: &Coursing, tally: &mut Tally) {
    let ends = [stretch.thickness_max(), stretch.thickness_min()];
    let is_unmade = |drawn: &&Length| coursing.made_thickness(**drawn).is_none();
    let Some(drawn) = ends.iter().find(is_unmade) else {
        return;
    };
    let made = coursing.nearest_thickness(*drawn).unwrap_or_default();
    let description = format!(
        "{} is drawn {} mm thick, and whole adobes of {} x {} mm in joints of {} mm make {} mm at the nearest; adobes and \
         mortar are counted by volume, and some adobes must be cut",
        stretch.part(),
        mm(*drawn),
        mm(coursing.unit.length),
        mm(coursing.unit.width),
        mm(coursing.joint),
        mm(made)
    );
    tally.caution("THICKNESS_NOT_OF_WHOLE_ADOBES", stretch.part(), description);
}

/// The adobes and mortar of all walls of a build.
struct Laid {
    stretches: Vec<LaidStretch>,
    /// Adobes laid, wall thickness by wall thickness.
    count: Basis,
    /// The same, up to a whole one.
    count_whole: Decimal,
    adobes: Volume,
    mortar: Volume,
}

/// Those of one wall.
struct LaidStretch {
    part: Text,
    courses: Basis,
    count: Basis,
    net: Volume,
    adobes: Volume,
}

impl Laid {
    /// `None` on overflow.
    fn of(built: &Built, coursing: Coursing, piece: &Piece) -> Option<Self> {
        let source = piece.source();
        let of_stretch = |stretch: &Stretch| LaidStretch::of(stretch, &coursing, &source);
        let stretches: Vec<LaidStretch> = built
            .stretches
            .iter()
            .map(of_stretch)
            .collect::<Option<_>>()?;
        let by_thickness = built.by_thickness()?;
        let counts = by_thickness
            .iter()
            .map(|(thickness, face)| coursing.drawn_basis(*face, *thickness, &source));
        let count = Basis::sum(counts.collect::<Option<Vec<_>>>()?);
        let net = Volume::checked_sum(stretches.iter().map(|stretch| stretch.net))?;
        let adobes = Volume::checked_sum(stretches.iter().map(|stretch| stretch.adobes))?;
        Some(Self {
            stretches,
            count_whole: round_up(count.work()?, 0)?,
            count,
            adobes,
            mortar: net.checked_sub(adobes)?,
        })
    }

    fn with_breakage(&self, build: &Build) -> Basis {
        self.count.carried_on(&breakage(build))
    }

    /// A line each for the courses, adobes and mortar of every wall.
    fn tell(&self, tally: &mut Tally) {
        for stretch in &self.stretches {
            let courses = stretch.courses.clone().to("up to a whole course");
            tally.line(&stretch.part, "courses", Unit::Each, courses);
            let count = stretch.count.clone().to("up to a whole one");
            tally.line(&stretch.part, "adobes laid", Unit::Each, count);
            if self.mortar.is_positive() {
                tally.line(&stretch.part, "mortar", Unit::M3, stretch.mortar());
            }
        }
    }

    /// Puts down the adobes that are made on the site: so much of the mix, and the work of moulding. What breaks is waste of
    /// the mix, on top of what the mix itself loses: `(1 + breakage) x (1 + waste) - 1`, so that what stands is what is laid.
    ///
    /// With 5 % broken and 3 % of the mix lost, 1.05 x 1.03 - 1 = 8.15 % of the laid volume.
    fn mould(&self, build: &Build, recipe: &Recipe, tally: &mut Tally) {
        let waste_of_mix = recipe.mix().waste.fraction();
        let lost = |share: Decimal| share.checked_add(Decimal::ONE);
        let both = lost(build.breakage.fraction()).and_then(|broken| {
            broken
                .checked_mul(lost(waste_of_mix)?)?
                .checked_sub(Decimal::ONE)
        });
        let made = self.with_breakage(build);
        let (Some(waste), Some(pieces)) = (both, made.work().and_then(|made| round_up(made, 0)))
        else {
            tally
                .faults
                .push(too_large(&format!("the adobes of {}", build.name())));
            return;
        };
        let volume = drawn(
            self.adobes.cubic_metres(),
            Unit::M3,
            "volume of adobes laid",
        );
        let source = format!("breakage, and mixes/{}", recipe.mix().id);
        let amounts = Amounts::of_job()
            .with(Driver::Piece, pieces, Unit::Each, "adobes made")
            .with_basis(Driver::M3Placed, volume.carried_on(&breakage(build)));
        let method = mixing_of(build, tally);
        tally.work(Task::Mould, method.as_ref(), amounts);
        tally.place(Placing {
            mix: recipe.mix().id.clone(),
            mixing: build.mixing.clone(),
            net: self.adobes,
            placed: self.adobes,
            waste: Some((Share::from_fraction(waste), source.into())),
            label: "adobes laid",
            tasks: &[Task::Mould],
        });
    }

    /// Puts down the mortar and the work of laying.
    fn lay(&self, mortar: Option<MixId>, sums: &BuiltSums, tally: &mut Tally) {
        let method = match &mortar {
            Some(mortar) => tally.mixing(mortar, None),
            None => tally.job.mixing.clone(),
        };
        let amounts =
            sums.amounts()
                .with(Driver::Piece, self.count_whole, Unit::Each, "adobes laid");
        tally.work(Task::Lay, method.as_ref(), amounts);
        if let Some(mix) = mortar {
            tally.place(Placing {
                mix,
                mixing: None,
                net: self.mortar,
                placed: self.mortar,
                waste: tally.waste_of_job(),
                label: "mortar",
                tasks: &[Task::Lay],
            });
        }
    }
}

impl LaidStretch {
    /// `None` on overflow.
    fn of(stretch: &Stretch, coursing: &Coursing, source: &Text) -> Option<Self> {
        let net = stretch.zone.net;
        let count = coursing.drawn_basis(stretch.piece_face()?, stretch.thickness()?, source)?;
        let adobes = coursing.unit.volume()?.checked_mul(count.work()?)?;
        let adobes = adobes.rounded(VOLUME_PLACES, Rounding::HalfAwayFromZero);
        Some(Self {
            part: stretch.part(),
            courses: coursing.course_basis(stretch.height()?, source)?,
            count,
            net,
            // Laid dry, or drawn thinner than its adobes make it, a wall is all adobe.
            adobes: if coursing.joint.is_zero() {
                net
            } else {
                adobes.min(net)
            },
        })
    }

    /// What is not adobe.
    fn mortar(&self) -> Basis {
        Basis::of([
            Term::new(
                Joint::Start,
                self.net.cubic_metres(),
                Unit::M3,
                "net volume",
                "",
            ),
            Term::new(
                Joint::Less,
                self.adobes.cubic_metres(),
                Unit::M3,
                "adobes laid",
                "",
            ),
        ])
    }
}
