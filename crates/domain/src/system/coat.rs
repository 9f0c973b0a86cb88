//! Coats and washes of faces, with the reveals of openings and niches. A face takes coats where it is to be seen: openings
//! are out of it already, and what stands behind walls that run into it comes off. Of a wall of bales it is the face of the
//! wall as drawn, which is the settled one.

use hod_units::{Area, Length, Share, canonical};

use super::layer::{self, Kind, Laid};
use crate::basis::{Basis, Joint, Term};
use crate::fault::too_large;
use crate::geometry::{Face, WallMeasure};
use crate::id::MixId;
use crate::job::{Finish, WallWork};
use crate::mix::Purpose;
use crate::takeoff::tally::Tally;
use crate::unit::Unit;

pub(super) fn put_down(measures: &[WallMeasure], tally: &mut Tally) {
    let job = tally.job;
    let mut laid = Laid::new(Kind::Coats);
    for (measure, work) in measures.iter().zip(&job.works) {
        for finish in &work.finishes {
            of_face(finish, measure, work, &mut laid, tally);
        }
        refuse_reveals_twice(measure, work, tally);
    }
    laid.put_down(tally);
}

/// The coats of a face: a line each.
fn of_face(
    finish: &Finish,
    measure: &WallMeasure,
    work: &WallWork,
    laid: &mut Laid,
    tally: &mut Tally,
) {
    let (face, covered) = face_of(measure, finish.face);
    if face <= covered {
        // The job's own coats go on every face that there is.
        if finish.field.starts_with("walls[") {
            refuse_no_face(finish, measure, tally);
        }
        return;
    }
    let basis = coated(finish, measure, work);
    let Some(area) = basis.work() else {
        let what = format!("the coats of wall {}", measure.id);
        tally.faults.push(too_large(&what));
        return;
    };
    for (at, coat) in finish.coats.iter().enumerate() {
        let hollows = if at == 0 {
            finish.levelling
        } else {
            Length::ZERO
        };
        let field = format!("{}.coats[{at}]", finish.field);
        laid.add(coat, &field, area, hollows, tally);
        caution_other_purpose(&coat.mix, tally);
        let levelled = if hollows.is_zero() {
            String::new()
        } else {
            format!(" and {} mm of levelling", canonical(hollows.mm()))
        };
        let name = layer::name_of(coat);
        let item = format!("{name}{levelled}, {}", word(finish.face));
        let part = format!("wall {}", measure.id);
        tally.line(part, item, Unit::M2, basis.clone());
    }
}

/// A caution for a mix that was made up for something that nobody puts on a face. Earth of walls is put on faces too.
fn caution_other_purpose(mix: &MixId, tally: &mut Tally) {
    let recipe = tally.library.recipe(mix);
    let purpose = match recipe.map(|recipe| recipe.mix().purpose) {
        Some(Purpose::Fill) => "fill",
        Some(Purpose::Floor) => "floors",
        Some(Purpose::Mortar) => "mortar",
        _ => return,
    };
    tally.caution(
        "COAT_OF_OTHER_PURPOSE",
        format!("mixes/{mix}"),
        format!("a coat is of mix {mix}, which is for {purpose}; name a plaster or a wash, or change the purpose of the mix"),
    );
}

/// What a finish covers, m2, `face - covered + reveals x share`: a face of 14.88 m2 with 0.72 m2 behind a partition and half of 2.2 m2 of
/// reveals is 15.26 m2.
pub(crate) fn coated(finish: &Finish, measure: &WallMeasure, work: &WallWork) -> Basis {
    let share = reveals_covered(finish, work);
    let (face, covered) = face_of(measure, finish.face);
    let reveals = measure.reveal;
    let term =
        |joint, area: Area, label| Term::new(joint, area.square_metres(), Unit::M2, label, "");
    let mut terms = vec![term(Joint::Start, face, "face less openings")];
    if !covered.is_zero() {
        terms.push(term(Joint::Less, covered, "behind walls that run into it"));
    }
    if reveals.is_zero() || share.is_zero() {
        return Basis::of(terms);
    }
    let mut covered = vec![term(Joint::Start, reveals, "reveals")];
    if share != Share::WHOLE {
        let percent = share.percent();
        covered.push(Term::new(
            Joint::PercentOf,
            percent,
            Unit::Percent,
            "of them with this face",
            "",
        ));
    }
    Basis::sum([Basis::of(terms), Basis::of(covered)])
}

/// As the finish says; else all of them with the inner face's, or with the outer face's where the inner has none.
pub(crate) fn reveals_covered(finish: &Finish, work: &WallWork) -> Share {
    let is_default =
        finish.face == Face::Inner || work.finishes.iter().all(|other| other.face == Face::Outer);
    let default = if is_default {
        Share::WHOLE
    } else {
        Share::ZERO
    };
    finish.reveals.unwrap_or(default)
}

/// Two finishes that share out more reveals than there are.
fn refuse_reveals_twice(measure: &WallMeasure, work: &WallWork, tally: &mut Tally) {
    let shares = work
        .finishes
        .iter()
        .map(|finish| reveals_covered(finish, work));
    let sum = Share::checked_sum(shares).unwrap_or(Share::WHOLE);
    let blamed = work.finishes.iter().find(|finish| finish.reveals.is_some());
    let Some(finish) = blamed.filter(|_| Share::WHOLE < sum) else {
        return;
    };
    let field = format!("{}.reveal_percent", finish.field);
    if tally.faults.iter().any(|fault| fault.field == field) {
        // The job's own coats, told for the first wall already.
        return;
    }
    tally.refuse(
        field,
        "REVEALS_COVERED_TWICE",
        format!(
            "the finishes of wall {} cover {sum} of its reveals, both faces together; give shares that add up to 100 % or less",
            measure.id
        ),
    );
}

fn refuse_no_face(finish: &Finish, measure: &WallMeasure, tally: &mut Tally) {
    tally.refuse(
        format!("{}.face", finish.field),
        "FACE_DOES_NOT_EXIST",
        format!(
            "nothing is to be seen of the {} of wall {}: openings and walls that run into it take all of it; leave its coats \
             out",
            word(finish.face),
            measure.id
        ),
    );
}

pub(crate) fn face_of(measure: &WallMeasure, face: Face) -> (Area, Area) {
    match face {
        Face::Inner => (measure.inner_face, measure.inner_covered),
        Face::Outer => (measure.outer_face, measure.outer_covered),
    }
}

pub(crate) const fn word(face: Face) -> &'static str {
    match face {
        Face::Inner => "inner face",
        Face::Outer => "outer face",
    }
}
