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
use crate::material::{PieceSize, Supply};
use crate::mix::Recipe;
use crate::takeoff::Amounts;
use crate::takeoff::tally::{Placing, Tally, drawn};
use crate::text::Text;
use crate::unit::{Unit, round_up};
use crate::work::{Driver, Task};

/// Volumes of adobes and mortar are told to the step of all volumes, 1e-6 m3.
const VOLUME_PLACES: u32 = 6;

/// A wall is drawn as thick as whole adobes make it when it is within a joint of that, or within this where joints are
/// thinner: a mason makes up so much in the joints (judgement, no source).
const THICKNESS_TOLERANCE_MM: Decimal = dec!(10);

/// So many adobes across a wall are tried for its thickness: a wall is at most 5 m thick, and adobes of 100 mm make 50.
const ACROSS_MAX: u32 = 50;

/// How adobes lie: the brick, with its length along the wall, its width across it and its height up it, and the joint
/// around it.
///
/// A course is a brick and its bed high. Along the face and across the wall a brick takes a joint with it, but for the
/// last across, which needs none; so for `A = V / t` of face, a wall `t` thick of bricks `l x w x h` in joints `j` takes
///
/// ```text
/// n = V / t x (t + j) / (l + j) / (w + j) / (h + j)
/// ```
///
/// all in metres, which holds for stretchers (`t = w`), headers (`t = l`) and any number of them side by side, and shares
/// out what whole bricks cannot make. What is not brick is mortar: `V - n x l x w x h`.
///
/// ```
/// use hod_domain::material::PieceSize;
/// use hod_domain::system::adobe::Coursing;
/// use hod_units::{Length, LengthUnit, Rounding, Volume, VolumeUnit, round};
/// use rust_decimal::dec;
///
/// // A wall of 10 in x 8 ft x 15 ft of 10 x 14 x 4 in bricks in joints of 1/2 in (desertphile.org/adobe/brick.htm):
/// // 100 ft3 / 10 in is 120 ft2 of face, and a brick with its joints shows 14.5 x 4.5 in: 17280 / 65.25 = 264.83.
/// let inches = |value| Length::of(value, LengthUnit::Inch).expect("small");
/// let unit = PieceSize { length: inches(dec!(14)), width: inches(dec!(10)), height: inches(dec!(4)) };
/// let wall = Coursing { unit, joint: inches(dec!(0.5)) };
/// let net = Volume::of(dec!(100), VolumeUnit::CubicFoot).expect("small");
/// let count = wall.count(net, inches(dec!(10))).expect("small");
/// assert_eq!(round(count, 2, Rounding::HalfAwayFromZero), dec!(264.83));
/// // Course by course: 96 / 4.5 is 22 courses, and 13 bricks are begun in each.
/// assert_eq!(wall.courses(inches(dec!(96))), Some(dec!(22)));
/// assert_eq!(wall.to_a_course(inches(dec!(180))), Some(dec!(13)));
/// ```
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Coursing {
    /// The brick.
    pub unit: PieceSize,
    /// Bed and head joints; 0 where they are laid dry.
    pub joint: Length,
}

impl Coursing {
    /// Courses in a height, the last one cut: `height / (h + j)`, up to a whole one, since every course lies on a bed.
    /// `None` on overflow.
    pub fn courses(&self, height: Length) -> Option<Decimal> {
        round_up(self.course_basis(height, &Text::default())?.work()?, 0)
    }

    /// Bricks begun in a course between two free ends: `(length + j) / (l + j)`, up to a whole one, since the last needs
    /// no joint. `None` on overflow.
    pub fn to_a_course(&self, length: Length) -> Option<Decimal> {
        let along = self.with_joint(self.unit.length)?;
        round_up(self.with_joint(length)?.checked_ratio(along)?, 0)
    }

    /// Bricks in a finished volume, not rounded, breakage not counted. `None` without a thickness, or on overflow.
    pub fn count(&self, net: Volume, thickness: Length) -> Option<Decimal> {
        self.count_basis(net, thickness, &Text::default())?.work()
    }

    /// Mortar in a finished volume. `None` as for the count.
    pub fn mortar(&self, net: Volume, thickness: Length) -> Option<Volume> {
        let bricks = self
            .unit
            .volume()?
            .checked_mul(self.count(net, thickness)?)?;
        net.checked_sub(bricks)
    }

    /// The thickness that whole bricks make, some along and some across the wall with a joint between each two, that is
    /// nearest to this one. `None` on overflow.
    pub fn nearest_thickness(&self, thickness: Length) -> Option<Length> {
        let mut nearest: Option<(Length, Length)> = None;
        for headers in 0..=ACROSS_MAX {
            for stretchers in 0..=ACROSS_MAX {
                let Some(made) = self.across(stretchers, headers)? else {
                    continue;
                };
                let off = made.max(thickness).checked_sub(made.min(thickness))?;
                if nearest.is_none_or(|(_, least)| off < least) {
                    nearest = Some((made, off));
                }
                if thickness < made {
                    break;
                }
            }
        }
        nearest.map(|(made, _)| made)
    }

    /// What so many stretchers and headers side by side make; none for none of either.
    fn across(&self, stretchers: u32, headers: u32) -> Option<Option<Length>> {
        let width = self
            .with_joint(self.unit.width)?
            .checked_mul(stretchers.into())?;
        let length = self
            .with_joint(self.unit.length)?
            .checked_mul(headers.into())?;
        let all = width.checked_add(length)?;
        if all.is_zero() {
            return Some(None);
        }
        Some(Some(all.checked_sub(self.joint)?))
    }

    fn with_joint(&self, length: Length) -> Option<Length> {
        length.checked_add(self.joint)
    }

    fn course_basis(&self, height: Length, source: &Text) -> Option<Basis> {
        let course = self.with_joint(self.unit.height)?.metres();
        Some(Basis::of([
            Term::new(Joint::Start, height.metres(), Unit::M, "height", ""),
            Term::new(
                Joint::Over,
                course,
                Unit::M,
                "height of an adobe and its bed",
                source,
            ),
        ]))
    }

    fn count_basis(&self, net: Volume, thickness: Length, source: &Text) -> Option<Basis> {
        let term = |joint, length: Length, label: &'static str, source: &Text| {
            Term::new(joint, length.metres(), Unit::M, label, source)
        };
        let PieceSize {
            length,
            width,
            height,
        } = self.unit;
        let (length, width) = (self.with_joint(length)?, self.with_joint(width)?);
        let (height, across) = (self.with_joint(height)?, self.with_joint(thickness)?);
        let of_wall = Text::default();
        Some(Basis::of([
            Term::new(Joint::Start, net.cubic_metres(), Unit::M3, "net volume", ""),
            term(Joint::Over, thickness, "thickness half-way up", &of_wall),
            term(Joint::Times, across, "thickness and a joint", &of_wall),
            term(
                Joint::Over,
                length,
                "length of an adobe and a joint",
                source,
            ),
            term(Joint::Over, width, "width of an adobe and a joint", source),
            term(
                Joint::Over,
                height,
                "height of an adobe and its bed",
                source,
            ),
        ]))
    }
}

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
    let covered = BuiltSums {
        lifts: built.stretches.len(),
        ..*sums
    };
    let method = mixing_of(build, tally);
    tally.work(Task::Cover, method.as_ref(), covered.amounts());
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
    let tolerance = coursing.joint.max(Length::from_mm(THICKNESS_TOLERANCE_MM));
    let is_off = |drawn: &Length| {
        let made = coursing.nearest_thickness(*drawn)?;
        let off = made.max(*drawn).checked_sub(made.min(*drawn))?;
        (tolerance < off).then_some((*drawn, made))
    };
    let ends = [stretch.thickness_max(), stretch.thickness_min()];
    let Some((drawn, made)) = ends.iter().find_map(is_off) else {
        return;
    };
    let description = format!(
        "{} is drawn {} mm thick, and whole adobes of {} x {} mm in joints of {} mm make {} mm at the nearest; adobes and \
         mortar are counted by volume, and some adobes must be cut",
        stretch.part(),
        mm(drawn),
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
            .map(|(thickness, net)| coursing.count_basis(*net, *thickness, &source));
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
            tally.line(&stretch.part, "mortar", Unit::M3, stretch.mortar());
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
            waste: Some(Share::from_fraction(waste)),
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
                waste: tally.job.waste,
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
        let count = coursing.count_basis(net, stretch.thickness()?, source)?;
        let adobes = coursing.unit.volume()?.checked_mul(count.work()?)?;
        Some(Self {
            part: stretch.part(),
            courses: coursing.course_basis(stretch.height()?, source)?,
            count,
            net,
            adobes: adobes.rounded(VOLUME_PLACES, Rounding::HalfAwayFromZero),
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
