//! Straw bale: bales stacked in courses, which settle before they are plastered. How they lie, how many there are, which are
//! cut and tied anew, and whether they are dense enough.

use hod_units::{Area, Decimal, Length, Rounding, canonical, round};
use rust_decimal::dec;

use super::piece::{Piece, breakage};
use super::stretch::{alike, listed, mm};
use super::{Built, BuiltSums, Stretch};
use crate::basis::{Basis, Joint, Term};
use crate::fault::too_large;
use crate::geometry::{End, OpeningMeasure};
use crate::id::MaterialId;
use crate::job::{BaleLay, Build};
use crate::takeoff::tally::{Tally, drawn};
use crate::text::Text;
use crate::unit::{Unit, round_up};
use crate::work::{Driver, Task};

mod stacking;

pub use stacking::{Stacking, dry_mass_min};

/// A course that is so much too high or too low, settled, is pressed or stuffed into place (judgement, no source).
const COURSE_TOLERANCE_MM: Decimal = dec!(25);

/// A wall that is drawn so much thicker than its bales is left alone (judgement, no source): faces are trimmed, not filled.
const THICKNESS_TOLERANCE_MM: Decimal = dec!(25);

/// Puts down straw bale: courses, bales and custom bales of every wall, ties, and the work.
pub(super) fn put_down(built: &Built, sums: &BuiltSums, tally: &mut Tally) {
    let build = built.build;
    let tie = tie_of(build, tally);
    let Some(piece) = Piece::of(build, &[Unit::Bale], tally) else {
        return;
    };
    let stacking = Stacking {
        bale: piece.size,
        lay: build.bale_lay,
        settling: build.settling,
    };
    if is_any_too_thin(built, &stacking, tally) {
        return;
    }
    let Some(stacked) = Stacked::of(built, stacking, &piece) else {
        tally
            .faults
            .push(too_large(&format!("the bales of {}", build.name())));
        return;
    };
    too_light(&piece, tally);
    too_thick(built, &stacking, tally);
    for (stretch, of) in built.stretches.iter().zip(&stacked.stretches) {
        of.tell(stretch, &piece, tally);
    }
    course_cut(built, &stacked, &stacking, tally);
    let bales = &stacked.count;
    tally.need(&piece.material.id, bales.carried_on(&breakage(build)));
    if let Some((material, to_a_piece)) = tie {
        tally.need(material, stacked.pieces.carried_on(&[to_a_piece]));
    }
    let amounts = sums.amounts().with(
        Driver::Piece,
        stacked.pieces_whole,
        Unit::Each,
        "bales stacked",
    );
    tally.work(Task::Stack, None, amounts);
    tally.work(Task::Trim, None, sums.amounts());
}

/// What ties a bale, and so much to each piece; a fault when the material is not there.
fn tie_of<'a>(build: &'a Build, tally: &mut Tally) -> Option<(&'a MaterialId, Term)> {
    let tie = build.tie.as_ref()?;
    let material = tally.material(&build.path("tie_material"), &tie.material)?;
    let unit = material.purchase_unit;
    let to_a_piece = Term::new(Joint::Times, tie.to_a_piece, unit, "to a piece", "job");
    Some((&tie.material, to_a_piece))
}

/// Whether a wall is somewhere thinner than its bale, each a fault.
fn is_any_too_thin(built: &Built, stacking: &Stacking, tally: &mut Tally) -> bool {
    let needed = stacking.thickness();
    let mut is_any = false;
    for stretch in &built.stretches {
        let thinnest = stretch.thickness_min();
        if thinnest < needed {
            let lay = match stacking.lay {
                BaleLay::Flat => "flat",
                BaleLay::Edge => "on edge",
            };
            let message = format!(
                "{} is a bale wall thinner than its bale: {} mm at its thinnest, and a bale {lay} takes {} mm; draw it that \
                 thick, turn the bales, or name a narrower bale",
                stretch.part(),
                mm(thinnest),
                mm(needed)
            );
            let field = stretch.path("thickness_mm", tally);
            tally.refuse(field, "BALE_WIDER_THAN_WALL", message);
            is_any = true;
        }
    }
    is_any
}

/// A caution for walls that are drawn thicker than their bales make them; one for all that are as thick.
fn too_thick(built: &Built, stacking: &Stacking, tally: &mut Tally) {
    let made = stacking.thickness();
    let thick = built.stretches.iter().filter_map(|stretch| {
        let off = stretch.thickness_max().checked_sub(made)?;
        let is_thick = Length::from_mm(THICKNESS_TOLERANCE_MM) < off;
        is_thick.then(|| (stretch.thickness_max(), stretch.part()))
    });
    for (thickest, parts) in alike(thick) {
        let description = format!(
            "drawn {} mm thick, where its bales make {} mm: {}; one bale across is counted, and what fills the rest is not",
            mm(thickest),
            mm(made),
            listed(&parts)
        );
        tally.caution("WALL_WIDER_THAN_BALE", subject(built, &parts), description);
    }
}

/// A caution for a bale that is too light by its own sizes and mass.
fn too_light(piece: &Piece, tally: &mut Tally) {
    let Some((mass, least)) = piece.material.mass_per_unit.zip(dry_mass_min(piece.size)) else {
        return;
    };
    if least <= mass {
        return;
    }
    let density = piece
        .size
        .volume()
        .and_then(|volume| mass.checked_density(volume));
    let description = format!(
        "a bale of {} weighs {mass}, which is {} kg/m3; at the least asked for, 6.5 lb/ft3 or 104.1 kg/m3 dry (IRC 2015 \
         AS103.5, as reported), one of its size weighs {} kg dry: get denser bales, or ask the authority and a licensed engineer",
        piece.material.id,
        tenths(density.unwrap_or_default().kg_per_cubic_metre()),
        tenths(least.kg())
    );
    tally.caution("BALE_LESS_DENSE_THAN_RULE", piece.source(), description);
}

/// The bales of all walls of a build.
struct Stacked {
    stretches: Vec<StackedStretch>,
    /// In whole bales' worth.
    count: Basis,
    /// Pieces that are handled and tied: a custom bale is half a bale's worth, so that each adds half a piece.
    pieces: Basis,
    pieces_whole: Decimal,
}

/// Those of one wall.
struct StackedStretch {
    courses: Basis,
    count: Basis,
    /// Without terms where nothing ends a course.
    custom: Basis,
    /// None where the courses come out whole.
    over: Option<Over>,
}

/// What whole courses leave of a wall.
struct Over {
    courses: Decimal,
    /// Of the wall, less that of the courses settled.
    height: Basis,
    worked: Length,
}

impl Stacked {
    /// `None` on overflow.
    fn of(built: &Built, stacking: Stacking, piece: &Piece) -> Option<Self> {
        let source = piece.source();
        let of_stretch = |stretch: &Stretch| StackedStretch::of(stretch, &stacking, &source);
        let stretches: Vec<StackedStretch> = built
            .stretches
            .iter()
            .map(of_stretch)
            .collect::<Option<_>>()?;
        let faces = built.by_thickness()?.into_iter().map(|(_, face)| face);
        let count = stacking.count_basis(Area::checked_sum(faces)?, &source)?;
        let mut customs = stretches.iter().map(|stretch| stretch.custom.work());
        let custom = customs.try_fold(Decimal::ZERO, |sum, custom| sum.checked_add(custom?))?;
        let mut pieces = vec![count.clone()];
        if !custom.is_zero() {
            let half = Term::new(
                Joint::PercentOf,
                dec!(50),
                Unit::Percent,
                "half a bale each",
                "",
            );
            pieces.push(drawn(custom, Unit::Each, "custom bales").carried_on(&[half]));
        }
        let pieces = Basis::sum(pieces);
        Some(Self {
            pieces_whole: round_up(pieces.work()?, 0)?,
            stretches,
            count,
            pieces,
        })
    }
}

impl StackedStretch {
    /// `None` on overflow.
    fn of(stretch: &Stretch, stacking: &Stacking, source: &Text) -> Option<Self> {
        let height = stretch.height()?;
        let courses = stacking.course_basis(height, source)?;
        Some(Self {
            over: Over::of(height, &courses, stacking)?,
            courses,
            count: stacking.count_basis(stretch.piece_face()?, source)?,
            custom: custom(stretch, stacking)?,
        })
    }

    fn tell(&self, stretch: &Stretch, piece: &Piece, tally: &mut Tally) {
        let part = stretch.part();
        tally.line(&part, "courses", Unit::Number, self.courses.clone());
        let count = self.count.clone().to("up to a whole bale");
        tally.line(
            &part,
            "bales, custom bales within",
            piece.material.purchase_unit,
            count,
        );
        if !self.custom.terms.is_empty() {
            tally.line(
                &part,
                "custom bales, cut and tied anew",
                Unit::Each,
                self.custom.clone(),
            );
        }
        if let Some(over) = &self.over {
            let item = "height over the last whole course, settled";
            tally.line(&part, item, Unit::Mm, over.height.clone());
        }
    }
}

impl Over {
    /// `height - courses x course x (1 - settling)`, nothing where that is close to nothing or to a whole course. The outer
    /// `None` is an overflow.
    ///
    /// 2438.4 mm less 7 courses of 355.6 mm that settle by 4 %, 2389.632 mm: 48.768 mm.
    fn of(height: Length, courses: &Basis, stacking: &Stacking) -> Option<Option<Self>> {
        let course = stacking.settled_course()?;
        let whole = round(courses.work()?, 0, Rounding::Down);
        let settled = course.checked_mul(whole)?;
        let worked = height.checked_sub(settled)?;
        let under = course.checked_sub(worked)?;
        let tolerance = Length::from_mm(COURSE_TOLERANCE_MM);
        if worked <= tolerance || under <= tolerance {
            return Some(None);
        }
        let term =
            |joint, length: Length, label| Term::new(joint, length.mm(), Unit::Mm, label, "");
        Some(Some(Self {
            courses: whole,
            height: Basis::of([
                term(Joint::Start, height, "height"),
                term(Joint::Less, settled, "whole courses, settled"),
            ]),
            worked,
        }))
    }
}

/// A caution for walls that whole courses do not fill; one for all in which they leave as much.
fn course_cut(built: &Built, stacked: &Stacked, stacking: &Stacking, tally: &mut Tally) {
    let Some(course) = stacking.settled_course() else {
        return;
    };
    let cut = built.stretches.iter().zip(&stacked.stretches);
    let cut = cut.filter_map(|(stretch, of)| {
        let over = of.over.as_ref()?;
        Some(((over.courses, over.worked), stretch.part()))
    });
    for ((whole, over), parts) in alike(cut) {
        let nearest = [
            Some(whole).filter(|whole| !whole.is_zero()),
            whole.checked_add(Decimal::ONE),
        ];
        let settled = |courses| course.checked_mul(courses).map(mm);
        let heights: Vec<String> = nearest.into_iter().flatten().filter_map(settled).collect();
        let description = format!(
            "{} whole courses and, settled, {} mm over in {}: lay a last course of custom height, or draw {} mm high, which is \
             what whole courses settle to",
            canonical(whole),
            mm(over),
            listed(&parts),
            heights.join(" or ")
        );
        let subject = subject(built, &parts);
        tally.caution("BALE_COURSES_LEAVE_HEIGHT", subject, description);
    }
}

/// The wall, where there is one only; else what the walls are built of.
fn subject(built: &Built, parts: &[Text]) -> Text {
    match parts {
        [only] => only.clone(),
        _ => Text::from(built.build.name().to_owned()),
    }
}

/// Custom bales of a wall: laid in running bond, every other course begins and ends with half a bale, at the wall's own
/// ends, free or at a corner, and at both jambs of an opening. An end that runs into another wall is butted and pinned.
///
/// ```text
/// ceil(courses / 2) x ends + sum over openings of ceil(courses beside it / 2) x 2
/// ```
///
/// A wall of 7 courses with two ends and a window beside 3 of them: 4 x 2 + 2 x 2 = 12 (the rule is judgement, no source).
/// `None` on overflow.
fn custom(stretch: &Stretch, stacking: &Stacking) -> Option<Basis> {
    let alternate = |height: Length| {
        let courses = stacking
            .stack_height(height)?
            .checked_ratio(stacking.course())?;
        round_up(courses.checked_div(dec!(2))?, 0)
    };
    let product = |courses: Decimal, times: Decimal, label: Text| {
        Basis::of([
            Term::new(
                Joint::Start,
                courses,
                Unit::Number,
                "every other course",
                "",
            ),
            Term::new(Joint::Times, times, Unit::Number, label, ""),
        ])
    };
    let ends = [&stretch.drawing.start, &stretch.drawing.end];
    let ends = ends
        .iter()
        .filter(|end| !matches!(end, End::Into { .. }))
        .count();
    let mut all = Vec::new();
    if 0 < ends {
        let courses = alternate(stretch.height()?)?;
        all.push(product(
            courses,
            ends.into(),
            "free and cornered ends".into(),
        ));
    }
    for (drawing, opening) in stretch.drawing.openings.iter().zip(&stretch.wall.openings) {
        let beside = beside(stretch, drawing.sill, opening)?;
        if beside.is_positive() {
            let label = Text::from(["jambs of ", drawing.id.as_str()].concat());
            all.push(product(alternate(beside)?, dec!(2), label));
        }
    }
    Some(Basis::sum(all))
}

/// How much of a stretch stands beside an opening. `None` on overflow.
fn beside(stretch: &Stretch, sill: Length, opening: &OpeningMeasure) -> Option<Length> {
    let head = sill.checked_add(opening.height)?;
    let (lower, upper) = (sill.max(stretch.zone.from), head.min(stretch.zone.to));
    if lower < upper {
        upper.checked_sub(lower)
    } else {
        Some(Length::ZERO)
    }
}

fn tenths(value: Decimal) -> String {
    canonical(round(value, 1, Rounding::HalfAwayFromZero))
}
