//! Works: for every task of a job, by method of mixing, how much there is of whatever its hours may be counted by.
//! The hours themselves come of labour constants, in the estimate.

use hod_units::Decimal;

use crate::basis::{Basis, Joint, Term};
use crate::id::Method;
use crate::unit::Unit;
use crate::work::{Driver, Task};

/// So many drivers most tasks have something of: room for them is asked for once.
const DRIVERS_USUAL: usize = 8;

/// How much of each driver, each at most once.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Amounts(Vec<(Driver, Basis)>);

impl Amounts {
    /// One job, which is never two.
    pub(crate) fn of_job() -> Self {
        let room = Self(Vec::with_capacity(DRIVERS_USUAL));
        room.with(Driver::Job, Decimal::ONE, Unit::Each, "job")
    }

    /// The same, with so much of a driver besides, as a figure of the drawing.
    pub(crate) fn with(
        self,
        driver: Driver,
        amount: Decimal,
        unit: Unit,
        label: &'static str,
    ) -> Self {
        self.with_basis(
            driver,
            Basis::of([Term::new(Joint::Start, amount, unit, label, "")]),
        )
    }

    /// The same, with what a basis comes to.
    pub(crate) fn with_basis(mut self, driver: Driver, basis: Basis) -> Self {
        self.0.push((driver, basis));
        self
    }

    /// Both together.
    pub(crate) fn and(mut self, other: Self) -> Self {
        self.add(other);
        self
    }

    /// How much of a driver there is; `None` where the task has nothing that it could count.
    pub fn of(&self, driver: Driver) -> Option<&Basis> {
        self.0
            .iter()
            .find(|(of, _)| *of == driver)
            .map(|(_, basis)| basis)
    }

    /// The drivers that there is something of.
    pub(crate) fn drivers(&self) -> impl Iterator<Item = Driver> {
        self.0.iter().map(|(driver, _)| *driver)
    }

    /// Puts another's with these: figures of one kind are summed, products stand side by side, a job stays one.
    fn add(&mut self, other: Self) {
        for (driver, basis) in other.0 {
            match self.0.iter_mut().find(|(of, _)| *of == driver) {
                None => self.0.push((driver, basis)),
                Some(_) if driver == Driver::Job => {}
                Some((_, own)) => match (own.terms.as_mut_slice(), basis.terms.as_slice()) {
                    ([term], [more]) if is_same_kind(term, more) => {
                        // Sums of measured figures, far below what a decimal holds.
                        term.value = term.value.saturating_add(more.value);
                    }
                    _ => own.terms.extend(basis.terms),
                },
            }
        }
    }
}

fn is_same_kind(one: &Term, other: &Term) -> bool {
    one.joint == other.joint
        && one.unit == other.unit
        && one.label == other.label
        && one.source == other.source
}

/// All work of a job.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Works(Vec<Work>);

/// A task as it is done with one method of mixing.
#[derive(Debug, Clone, PartialEq)]
pub struct Work {
    /// What is done.
    pub task: Task,
    /// How what it places is mixed; none where nobody says, or nothing is mixed.
    pub method: Option<Method>,
    /// How much there is of whatever its hours may be counted by.
    pub amounts: Amounts,
}

impl Works {
    /// Adds work to a task.
    pub(crate) fn add(&mut self, task: Task, method: Option<&Method>, amounts: Amounts) {
        let is_it = |work: &&mut Work| work.task == task && work.method.as_ref() == method;
        match self.0.iter_mut().find(is_it) {
            Some(work) => work.amounts.add(amounts),
            None => self.0.push(Work {
                task,
                method: method.cloned(),
                amounts,
            }),
        }
    }

    /// What there is to do of a task, one for each method.
    pub fn of(&self, task: Task) -> impl Iterator<Item = &Work> {
        self.0.iter().filter(move |work| work.task == task)
    }
}
