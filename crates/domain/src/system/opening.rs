//! What is set into openings: lintels with their bearings, sills, frames, and the forms that arches are built on. The work
//! of setting them is counted by the opening for the whole job (`whole`); here only that of the arches' forms.

use hod_units::{Length, canonical};

use super::stock::{LENGTHS, material_in};
use crate::basis::{Basis, Joint, Term};
use crate::geometry::{OpeningMeasure, WallMeasure};
use crate::id::MaterialId;
use crate::job::{Lintel, OpeningWork};
use crate::takeoff::Amounts;
use crate::takeoff::tally::{Tally, drawn};
use crate::text::Text;
use crate::unit::Unit;
use crate::work::{Driver, Task};

mod bearing;

pub(super) fn put_down(measures: &[WallMeasure], tally: &mut Tally) {
    let job = tally.job;
    let mut arches: u32 = 0;
    for (wall, (measure, drawing)) in measures.iter().zip(&job.walls).enumerate() {
        let all = measure.openings.iter();
        arches = all
            .filter(|opening| opening.is_arched)
            .fold(arches, |count, _| count.saturating_add(1));
        let Some(work) = job.works.get(wall) else {
            continue;
        };
        let set_in = drawing.openings.iter().zip(&measure.openings);
        for (at, ((opening, of_opening), work)) in set_in.zip(&work.openings).enumerate() {
            let place = Place {
                part: Text::from(format!("wall {}", drawing.id)),
                id: &opening.id,
                field: format!("walls[{wall}].openings[{at}]"),
            };
            place.put_down(work, of_opening, tally);
            if let Some(lintel) = &work.lintel {
                bearing::check(&place, lintel.bearing, drawing, measure, tally);
            }
        }
    }
    if 0 < arches {
        let amounts = Amounts::of_job().with(
            Driver::Opening,
            arches.into(),
            Unit::Each,
            "arched openings",
        );
        tally.work(Task::FormArch, job.mixing.as_ref(), amounts);
    }
}

/// An opening, as lines and faults name it.
struct Place<'a> {
    part: Text,
    id: &'a str,
    field: String,
}

impl Place<'_> {
    fn put_down(&self, work: &OpeningWork, measure: &OpeningMeasure, tally: &mut Tally) {
        if let Some(lintel) = &work.lintel {
            self.lintels(lintel, measure, tally);
        }
        if let Some(sill) = &work.sill {
            self.sill(sill, measure, tally);
        }
        if let Some(frame) = &work.frame {
            self.one(frame, "frame", "frame_material", tally);
        }
        if let Some(form) = &work.arch_form {
            if measure.is_arched {
                self.one(form, "arch form", "arch_form_material", tally);
            } else {
                self.refuse_form(tally);
            }
        }
    }

    /// Each `greatest width + 2 x bearing` long: a door of 0.90 m with bearings of 200 mm has lintels of 1.30 m, and two
    /// side by side take 2.60 m.
    fn lintels(&self, lintel: &Lintel, measure: &OpeningMeasure, tally: &mut Tally) {
        let field = format!("{}.lintel_material", self.field);
        let Some(material) = material_in(&field, &lintel.material, LENGTHS, tally) else {
            return;
        };
        let term =
            |joint, length: Length, label| Term::new(joint, length.metres(), Unit::M, label, "");
        let width = measure.width_outer.max(measure.width_inner);
        let length = Basis::of([
            term(Joint::Start, width, "greatest width"),
            term(Joint::Plus, lintel.bearing, "bearing"),
            term(Joint::Plus, lintel.bearing, "bearing at the other end"),
        ]);
        let long = length
            .work()
            .map_or_else(String::new, |long| format!(" of {} m", canonical(long)));
        let count = |joint| {
            let label = "side by side";
            Term::new(joint, lintel.count.into(), Unit::Each, label, "")
        };
        let basis = if material.purchase_unit == Unit::M {
            length.carried_on(&[count(Joint::Times)])
        } else {
            Basis::of([count(Joint::Start)])
        };
        let item = format!("lintel{long}, {}", self.id);
        tally.line(&self.part, item, material.purchase_unit, basis.clone());
        tally.need(&lintel.material, basis);
    }

    /// As long as the opening is wide on the outer face.
    fn sill(&self, sill: &MaterialId, measure: &OpeningMeasure, tally: &mut Tally) {
        let field = format!("{}.sill_material", self.field);
        let Some(material) = material_in(&field, sill, LENGTHS, tally) else {
            return;
        };
        let width = measure.width_outer.metres();
        let (basis, long) = if material.purchase_unit == Unit::M {
            (
                drawn(width, Unit::M, "width on the outer face"),
                String::new(),
            )
        } else {
            let long = format!(" of {} m", canonical(width));
            (drawn(1.into(), Unit::Each, "to an opening"), long)
        };
        let item = format!("sill{long}, {}", self.id);
        tally.line(&self.part, item, material.purchase_unit, basis.clone());
        tally.need(sill, basis);
    }

    fn one(&self, id: &MaterialId, word: &str, field: &str, tally: &mut Tally) {
        let field = format!("{}.{field}", self.field);
        if material_in(&field, id, &[Unit::Each], tally).is_none() {
            return;
        }
        let basis = drawn(1.into(), Unit::Each, "to an opening");
        let item = format!("{word}, {}", self.id);
        tally.line(&self.part, item, Unit::Each, basis.clone());
        tally.need(id, basis);
    }

    fn refuse_form(&self, tally: &mut Tally) {
        tally.refuse(
            format!("{}.arch_form_material", self.field),
            "ARCH_FORM_UNDER_LEVEL_HEAD",
            format!(
                "opening {} of {} has a level head and a form for an arch; leave the form out, or draw the opening arched",
                self.id, self.part
            ),
        );
    }
}
