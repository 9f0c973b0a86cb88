//! The tally: where every part of the building puts down what was measured of it, what is placed, what pieces it takes and
//! what work it is. What that comes to over the whole job is summed up in `mixes` and `orders`.

use hod_units::{Decimal, Rounding, Share, Volume, round};

use super::works::{Amounts, Works};
use super::{Caution, TakeoffLine};
use crate::basis::Basis;
use crate::fault::{Fault, too_large};
use crate::id::{MaterialId, Method, MixId};
use crate::job::Job;
use crate::library::Library;
use crate::material::Material;
use crate::mix::Recipe;
use crate::text::Text;
use crate::unit::{Unit, round_up};
use crate::work::Task;

/// Measured quantities that are not counted by the piece are told to a thousandth.
const LINE_PLACES: u32 = 3;

/// So much of a mix put somewhere.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Placing {
    /// Of what.
    pub mix: MixId,
    /// How it is mixed there; none: as the mix says, else the job.
    pub mixing: Option<Method>,
    /// What stands finished of it.
    pub net: Volume,
    /// What is placed, before it is pared.
    pub placed: Volume,
    /// Earth lost there, and where that figure is from; none: the mix's own.
    pub waste: Option<(Share, Text)>,
    /// What is placed, in the words of a basis: `placed volume`, `plaster`.
    pub label: &'static str,
    /// The tasks that handle it besides mixing, whose hours may be counted by its batches.
    pub tasks: &'static [Task],
}

/// So much of a material that is used as it comes.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Need {
    /// Of what.
    pub material: MaterialId,
    /// How much, in its purchase unit, breakage within; not rounded.
    pub basis: Basis,
}

/// Where the parts of a building put down what they come to.
pub(crate) struct Tally<'a> {
    /// The job.
    pub job: &'a Job,
    /// What it draws on.
    pub library: &'a Library,
    /// What was measured, part by part.
    pub lines: Vec<TakeoffLine>,
    /// What whoever reads the figures must know.
    pub cautions: Vec<Caution>,
    /// What is placed.
    pub placings: Vec<Placing>,
    /// What is used as it comes.
    pub needs: Vec<Need>,
    /// The work.
    pub works: Works,
    /// What was dug besides soil for mixes: the trench, in the bank.
    pub dug_out: Volume,
    /// What stands in the way of a takeoff.
    pub faults: Vec<Fault>,
    /// What stands in the way of an estimate only.
    pub lacks: Vec<Fault>,
}

impl<'a> Tally<'a> {
    /// An empty one.
    pub fn of(job: &'a Job, library: &'a Library) -> Self {
        Self {
            job,
            library,
            lines: Vec::new(),
            cautions: Vec::new(),
            placings: Vec::new(),
            needs: Vec::new(),
            works: Works::default(),
            dug_out: Volume::ZERO,
            faults: Vec::new(),
            lacks: Vec::new(),
        }
    }

    /// Puts down a measured quantity: what the basis comes to, up to whole pieces, else to a thousandth.
    pub fn line(&mut self, part: impl Into<Text>, item: impl Into<Text>, unit: Unit, basis: Basis) {
        let (part, item) = (part.into(), item.into());
        let quantity = basis.work().and_then(|exact| match unit {
            Unit::Each | Unit::Bale | Unit::Bag | Unit::Roll | Unit::Lift => round_up(exact, 0),
            _ => Some(round(exact, LINE_PLACES, Rounding::HalfAwayFromZero)),
        });
        match quantity {
            Some(quantity) => self.lines.push(TakeoffLine {
                part,
                item,
                quantity,
                unit,
                basis,
            }),
            None => self.faults.push(too_large(&format!("{part}, {item}"))),
        }
    }

    /// Puts down what is placed of a mix. A mix that is not in the library is a fault.
    pub fn place(&mut self, placing: Placing) {
        if placing.placed.is_positive() {
            self.placings.push(placing);
        }
    }

    /// Puts down what is used of a material as it comes, in its purchase unit.
    pub fn need(&mut self, material: &MaterialId, basis: Basis) {
        self.needs.push(Need {
            material: material.clone(),
            basis,
        });
    }

    /// Puts down work.
    pub fn work(&mut self, task: Task, method: Option<&Method>, amounts: Amounts) {
        self.works.add(task, method, amounts);
    }

    /// Puts down a caution, once.
    pub fn caution(
        &mut self,
        reason: &'static str,
        subject: impl Into<Text>,
        description: impl Into<Text>,
    ) {
        let caution = Caution {
            reason,
            subject: subject.into(),
            description: description.into(),
        };
        if !self.cautions.contains(&caution) {
            self.cautions.push(caution);
        }
    }

    /// A material that the job names in `field`; a fault when it is not there.
    pub fn material(&mut self, field: &str, id: &MaterialId) -> Option<&'a Material> {
        let found = self.library.material(id);
        if found.is_none() {
            self.faults.push(Fault::of_field(
                field,
                "MATERIAL_UNKNOWN",
                format!("{field} is {id}, which is not among the materials; add materials/{id}, or name another"),
            ));
        }
        found
    }

    /// A mix that the job names in `field`, as a recipe; a fault when it is not there.
    pub fn recipe(&mut self, field: &str, id: &MixId) -> Option<&'a Recipe> {
        let found = self.library.recipe(id);
        if found.is_none() {
            self.faults.push(Fault::of_field(
                field,
                "MIX_UNKNOWN",
                format!(
                    "{field} is {id}, which is not among the mixes; add mixes/{id}, or name another"
                ),
            ));
        }
        found
    }

    /// A fault of a field of the job.
    pub fn refuse(
        &mut self,
        field: impl Into<String>,
        reason: &'static str,
        message: impl Into<String>,
    ) {
        self.faults.push(Fault::of_field(field, reason, message));
    }

    /// The waste that the job says of its walls.
    pub fn waste_of_job(&self) -> Option<(Share, Text)> {
        self.job.waste.map(|waste| (waste, Text::from("job")))
    }

    /// What stands in the way of an estimate only, once.
    pub fn lack(&mut self, fault: Fault) {
        if !self.lacks.contains(&fault) {
            self.lacks.push(fault);
        }
    }

    /// How a mix is mixed where a build or a layer says `own`: that, else as the mix says, else the job.
    pub fn mixing(&self, mix: &MixId, own: Option<&Method>) -> Option<Method> {
        let of_mix = || {
            self.library
                .recipe(mix)
                .and_then(|recipe| recipe.mix().mixing.as_ref())
        };
        own.or_else(of_mix).or(self.job.mixing.as_ref()).cloned()
    }
}

/// A figure of the drawing as the first term of a basis.
pub(crate) fn drawn(value: Decimal, unit: Unit, label: impl Into<Text>) -> Basis {
    Basis::of([crate::basis::Term::new(
        crate::basis::Joint::Start,
        value,
        unit,
        label,
        "",
    )])
}
