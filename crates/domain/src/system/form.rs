//! Forms of rammed earth and light straw-clay: both faces of a wall are shuttered, and boards or sheets serve several
//! times. Boxes for openings are the work of setting openings, and not counted here.

use super::stock::material_in;
use super::{Built, BuiltSums};
use crate::basis::{Basis, Joint, Term};
use crate::id::Method;
use crate::takeoff::tally::Tally;
use crate::unit::Unit;
use crate::work::Task;

/// Puts down the form of walls: a line for each, the boards or sheets to be got, and the work of setting them.
///
/// ```text
/// A_form  = A_inner + A_outer      m2, both faces net of openings
/// A_got   = A_form / n             m2, n uses of a board
/// ```
///
/// A wall of 4 m x 2 m has 16 m2 of form; with boards that serve 8 times, 2 m2 are got.
pub(super) fn put_down(
    built: &Built,
    sums: &BuiltSums,
    method: Option<&Method>,
    tally: &mut Tally,
) {
    for stretch in &built.stretches {
        let (zone, part) = (stretch.zone, stretch.part());
        let faces = faces(
            zone.inner_face.square_metres(),
            zone.outer_face.square_metres(),
        );
        tally.line(part, "form", Unit::M2, faces);
    }
    boards(built, sums, tally);
    tally.work(Task::SetForm, method, sums.amounts());
}

fn boards(built: &Built, sums: &BuiltSums, tally: &mut Tally) {
    let Some(form) = &built.build.form else {
        return;
    };
    let field = built.build.path("form_material");
    if material_in(&field, &form.material, &[Unit::M2], tally).is_none() {
        return;
    }
    let uses = Term::new(
        Joint::Over,
        form.uses.max(1).into(),
        Unit::Number,
        "uses of a form",
        "job",
    );
    let faces = faces(
        sums.inner_face.square_metres(),
        sums.outer_face.square_metres(),
    );
    tally.need(&form.material, faces.carried_on(&[uses]));
}

fn faces(inner: hod_units::Decimal, outer: hod_units::Decimal) -> Basis {
    Basis::of([
        Term::new(Joint::Start, inner, Unit::M2, "inner face", ""),
        Term::new(Joint::Plus, outer, Unit::M2, "outer face", ""),
    ])
}
