//! Quantities for payment, by rules of measurement that a rule pack holds as data. They stand beside the true net
//! quantities, which alone are ordered and counted for hours.
//!
//! What the rules say of openings, as IS 1200 has it (part 3, 1976, read at `https://globalinsights360.com/?p=1487`; part
//! 12, 1976, read at `https://technicalcivil.com/?p=390`), and others with other limits:
//! - masonry: an opening up to a limit is not deducted;
//! - plaster: an opening up to a limit is not deducted; a larger one up to a second limit is deducted on one face, and its
//!   reveals are not measured; one larger still is deducted on both faces, and its reveals are measured;
//! - where the pack says so, an opening at the edge of the measured face is deducted whatever its size.
//!
//! An opening's size is its area on the outer face, above the foot of the wall: what is within the space measured. Niches
//! and inclusions are not deducted, and the reveals of niches not measured, since the rules say nothing of them.

use hod_units::{Area, Decimal, Rounding, Share, Volume, round};
use rust_decimal::dec;

use super::PaymentLine;
use super::tally::Tally;
use crate::basis::{Basis, Joint, Term};
use crate::fault::{Fault, too_large};
use crate::geometry::{self, Face, OpeningMeasure, WallDrawing, WallMeasure};
use crate::id::RulePackId;
use crate::job::{Finish, WallWork};
use crate::rules::{Rule, RuleKind, RulePack};
use crate::system::coat;
use crate::text::Text;
use crate::unit::Unit;

/// Volumes and areas for payment are told to 0.01 (IS 1200 part 3, 1976).
const PLACES: u32 = 2;

/// The lines, wall by wall; what is wrong goes to the tally's faults.
pub(super) fn sum_up(measures: &[WallMeasure], tally: &mut Tally) -> Vec<PaymentLine> {
    let Some(id) = &tally.job.measurement else {
        return Vec::new();
    };
    let rules = match Rules::of(id, tally) {
        Ok(rules) => rules,
        Err(fault) => {
            tally.faults.push(fault);
            return Vec::new();
        }
    };
    let whole = match faces_without_openings(&tally.job.walls) {
        Ok(whole) => whole,
        Err(faults) => {
            tally.faults.extend(faults);
            return Vec::new();
        }
    };
    let mut lines = Vec::with_capacity(measures.len());
    for ((measure, work), whole) in measures.iter().zip(&tally.job.works).zip(&whole) {
        let part = Text::from(format!("wall {}", measure.id));
        let mut found = vec![masonry(&part, measure, &rules)];
        for finish in &work.finishes {
            let wall = Plastered {
                measure,
                work,
                whole,
            };
            found.push(wall.line(&part, finish, &rules));
        }
        match found.into_iter().collect::<Option<Vec<_>>>() {
            Some(found) => lines.extend(found),
            None => tally
                .faults
                .push(too_large(&format!("the payment of {part}"))),
        }
    }
    lines
}

/// The kinds of rules that measurement goes by.
const KINDS: [RuleKind; 4] = [
    RuleKind::MasonryVoidM2Max,
    RuleKind::PlasterVoidM2Max,
    RuleKind::PlasterOneFaceVoidM2Max,
    RuleKind::BoundaryVoidDeducted,
];

/// The limits of a pack.
struct Rules {
    /// `rulePacks/ID`.
    source: Text,
    masonry: Decimal,
    /// None where nothing is plastered.
    plaster: Option<PlasterRules>,
    is_boundary_deducted: bool,
}

#[derive(Clone, Copy)]
struct PlasterRules {
    none_to: Decimal,
    one_face_to: Decimal,
}

impl Rules {
    fn of(id: &RulePackId, tally: &Tally) -> Result<Self, Fault> {
        let found = tally.library.rule_pack.as_ref();
        let pack = found
            .filter(|pack| pack.id == *id)
            .ok_or_else(|| unknown(id))?;
        let limit = |kind| pack.limit(kind).map(|rule| rule.limit);
        let needed = |kind: RuleKind| limit(kind).ok_or_else(|| lacking(pack, kind));
        let is_plastered = tally.job.works.iter().any(|work| !work.finishes.is_empty());
        let plaster = if is_plastered {
            Some(PlasterRules {
                none_to: needed(RuleKind::PlasterVoidM2Max)?,
                one_face_to: needed(RuleKind::PlasterOneFaceVoidM2Max)?,
            })
        } else {
            None
        };
        Ok(Self {
            source: Text::from(format!("rulePacks/{id}")),
            masonry: needed(RuleKind::MasonryVoidM2Max)?,
            plaster,
            is_boundary_deducted: limit(RuleKind::BoundaryVoidDeducted) == Some(Decimal::ONE),
        })
    }

    fn is_at_edge(&self, opening: &OpeningMeasure) -> bool {
        self.is_boundary_deducted && opening.is_at_base
    }
}

fn unknown(id: &RulePackId) -> Fault {
    Fault::of_field(
        "measurement",
        "RULE_PACK_UNKNOWN",
        format!(
            "measurement is {id}, which is not among the rule packs; add rulePacks/{id}, or name another"
        ),
    )
}

fn lacking(pack: &RulePack, kind: RuleKind) -> Fault {
    Fault::of_field(
        "measurement",
        "RULE_PACK_LACKS_RULE",
        format!(
            "measurement is {}, which has no limit of {}; add it to rulePacks/{}, or name another",
            pack.id,
            kind.words(),
            pack.id
        ),
    )
}

/// `gross - openings over the limit`: a wall of 5 x 3 m, 0.45 m thick, with an opening of 1.2 x 1.5 m is
/// 6.75 - 0.81 = 5.94 m3.
fn masonry(part: &Text, measure: &WallMeasure, rules: &Rules) -> Option<PaymentLine> {
    let is_deducted = |opening: &&OpeningMeasure| {
        rules.masonry < opening.area_outer.square_metres() || rules.is_at_edge(opening)
    };
    let deducted = measure.openings.iter().filter(is_deducted);
    let deducted = Volume::checked_sum(deducted.map(|opening| opening.volume))?;
    let term = |joint, volume: Volume, label, source: &Text| {
        Term::new(joint, volume.cubic_metres(), Unit::M3, label, source)
    };
    let basis = Basis::of([
        term(Joint::Start, measure.gross, "gross", &Text::default()),
        term(Joint::Less, deducted, "openings deducted", &rules.source),
    ]);
    line(
        part,
        "walling".into(),
        Unit::M3,
        basis,
        measure.net.cubic_metres(),
    )
}

/// What is paid, to 0.01, and the true net beside it. `None` on overflow.
fn line(part: &Text, item: Text, unit: Unit, basis: Basis, net: Decimal) -> Option<PaymentLine> {
    let told = |value| round(value, PLACES, Rounding::HalfAwayFromZero);
    let rounding = if unit == Unit::M3 {
        "to 0.01 m3"
    } else {
        "to 0.01 m2"
    };
    Some(PaymentLine {
        part: part.clone(),
        item,
        quantity: told(basis.work()?),
        unit,
        basis: basis.to(rounding),
        net: told(net),
    })
}

/// Inner and outer faces of the walls as if they had no openings, true areas on curves and slopes too.
fn faces_without_openings(walls: &[WallDrawing]) -> Result<Vec<[Area; 2]>, Vec<Fault>> {
    let plain: Vec<WallDrawing> = walls
        .iter()
        .map(|wall| WallDrawing {
            openings: Vec::new(),
            ..wall.clone()
        })
        .collect();
    let measured = geometry::measure(&plain);
    let measured = measured.map_err(|faults| faults.iter().map(Fault::from).collect::<Vec<_>>())?;
    let faces = |wall: &WallMeasure| [wall.inner_face, wall.outer_face];
    Ok(measured.iter().map(faces).collect())
}

/// A wall with coats.
struct Plastered<'a> {
    measure: &'a WallMeasure,
    work: &'a WallWork,
    /// Its faces with no opening taken out.
    whole: &'a [Area; 2],
}

/// What openings come to on a face.
#[derive(Default)]
struct Deductions {
    /// Deducted on one face only: so much of that on this one.
    of_one_face: Decimal,
    /// Deducted on both.
    of_both: Decimal,
    /// Their reveals.
    reveals: Decimal,
}

impl Plastered<'_> {
    /// `whole face - covered - deducted + reveals of what is deducted on both faces x this face's share of reveals`.
    fn line(&self, part: &Text, finish: &Finish, rules: &Rules) -> Option<PaymentLine> {
        let deductions = self.deductions(finish, rules)?;
        let (_, covered) = coat::face_of(self.measure, finish.face);
        let whole = self.whole(finish.face).square_metres();
        let term = |joint, value, label| Term::new(joint, value, Unit::M2, label, "");
        let by_rule = |joint, value, label| Term::new(joint, value, Unit::M2, label, &rules.source);
        let mut terms = vec![term(Joint::Start, whole, "face with its openings")];
        if !covered.is_zero() {
            let covered = covered.square_metres();
            terms.push(term(Joint::Less, covered, "behind walls that run into it"));
        }
        let Deductions {
            of_one_face,
            of_both,
            reveals,
        } = deductions;
        terms.push(by_rule(
            Joint::Less,
            of_one_face,
            "openings deducted on one face",
        ));
        terms.push(by_rule(
            Joint::Less,
            of_both,
            "openings deducted on both faces",
        ));
        terms.push(by_rule(Joint::Plus, reveals, "their reveals"));
        let mixes: Vec<&str> = finish.coats.iter().map(|coat| coat.mix.as_str()).collect();
        let item = Text::from(format!(
            "{}, {}",
            mixes.join(" and "),
            coat::word(finish.face)
        ));
        let net = coat::coated(finish, self.measure, self.work).work()?;
        line(part, item, Unit::M2, Basis::of(terms), net)
    }

    fn whole(&self, face: Face) -> Area {
        let [inner, outer] = *self.whole;
        match face {
            Face::Inner => inner,
            Face::Outer => outer,
        }
    }

    /// `None` on overflow.
    fn deductions(&self, finish: &Finish, rules: &Rules) -> Option<Deductions> {
        let plaster = rules.plaster?;
        let stretch = self.stretch(finish.face)?;
        let mut sums = Deductions::default();
        for opening in &self.measure.openings {
            let size = opening.area_outer.square_metres();
            let area = on_face(opening, finish.face).checked_mul(stretch)?;
            if plaster.one_face_to < size {
                sums.of_both = sums.of_both.checked_add(area)?;
                let reveals = Area::checked_sum([opening.jamb, opening.head, opening.sill])?;
                let share = coat::reveals_covered(finish, self.work).fraction();
                let reveals = reveals.square_metres().checked_mul(share)?;
                sums.reveals = sums.reveals.checked_add(reveals)?;
            } else if rules.is_at_edge(opening) {
                sums.of_both = sums.of_both.checked_add(area)?;
            } else if plaster.none_to < size {
                let share = self.share_of_one_face(finish);
                sums.of_one_face = sums.of_one_face.checked_add(area.checked_mul(share)?)?;
            }
        }
        Some(sums)
    }

    /// How much larger openings are on the true face than drawn along the centre line, which they are on curves and
    /// slopes: what they take of the face over what they are drawn. One where there are none.
    fn stretch(&self, face: Face) -> Option<Decimal> {
        let mut drawn = self.measure.openings.iter();
        let drawn = drawn.try_fold(Decimal::ZERO, |sum, opening| {
            sum.checked_add(on_face(opening, face))
        })?;
        if drawn.is_zero() {
            return Some(Decimal::ONE);
        }
        let (net, _) = coat::face_of(self.measure, face);
        let taken = self.whole(face).checked_sub(net)?;
        taken.square_metres().checked_div(drawn)
    }

    /// How much of a deduction on one face falls on this one: all of it on the face that has the narrower reveal, which is
    /// the one whose coats cover less of the reveals; half where both cover alike; all where the other has no coats.
    fn share_of_one_face(&self, finish: &Finish) -> Decimal {
        let other = self
            .work
            .finishes
            .iter()
            .find(|other| other.face != finish.face);
        let Some(other) = other else {
            return Decimal::ONE;
        };
        let [own, other]: [Share; 2] =
            [finish, other].map(|finish| coat::reveals_covered(finish, self.work));
        match own.cmp(&other) {
            std::cmp::Ordering::Less => Decimal::ONE,
            std::cmp::Ordering::Equal => dec!(0.5),
            std::cmp::Ordering::Greater => Decimal::ZERO,
        }
    }
}

fn on_face(opening: &OpeningMeasure, face: Face) -> Decimal {
    match face {
        Face::Inner => opening.area_inner.square_metres(),
        Face::Outer => opening.area_outer.square_metres(),
    }
}

/// The rules of a pack that measurement goes by, and that nobody has looked up where they stand.
pub(super) fn from_memory(pack: &RulePack) -> impl Iterator<Item = &Rule> {
    let is_of_measurement = |rule: &&Rule| KINDS.contains(&rule.kind);
    let is_remembered = |rule: &&Rule| rule.standing == crate::rules::RuleStanding::FromMemory;
    pack.rules
        .iter()
        .filter(is_of_measurement)
        .filter(is_remembered)
}
