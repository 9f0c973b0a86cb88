//! Which labour constants hold for the work of a job. A method's own constants come before the general ones. What is missing
//! is named; mixing is never guessed.

use crate::fault::Fault;
use crate::id::Method;
use crate::takeoff::{Amounts, Work, Works};
use crate::work::{Driver, LabourConstant, Task};

/// A task of the job with the constants that make up its hours.
pub(super) struct ChosenTask<'a> {
    /// What is done.
    pub task: Task,
    /// One at least; of one method each with a driver of its own.
    pub counted: Vec<Counted<'a>>,
}

/// A labour constant and what there is for it to count.
pub(super) struct Counted<'a> {
    /// Hours to a unit.
    pub constant: &'a LabourConstant,
    /// How much of each driver there is.
    pub amounts: &'a Amounts,
}

/// The constants for every task that there is work for; what is missing or in doubt goes to the faults.
pub(super) fn choose<'a>(
    works: &'a Works,
    all: &'a [LabourConstant],
    faults: &mut Vec<Fault>,
) -> Vec<ChosenTask<'a>> {
    let mut tasks = Vec::with_capacity(Task::ALL.len());
    for task in Task::ALL.iter().copied() {
        let mut counted = Vec::new();
        for work in works.of(task) {
            let constants = constants_for(work, all);
            let mut found = Vec::new();
            // Mixing by no method is told as such, where the mix is.
            if constants.is_empty() && (task != Task::Mix || work.method.is_some()) {
                found.push(no_constant(work));
            }
            found.extend(competing(&constants));
            found.extend(counting_nothing(&constants, work));
            found.extend(constants.iter().flat_map(|constant| faults_of(constant)));
            for fault in found {
                if !faults.contains(&fault) {
                    faults.push(fault);
                }
            }
            counted.extend(constants.into_iter().map(|constant| Counted {
                constant,
                amounts: &work.amounts,
            }));
        }
        if !counted.is_empty() {
            tasks.push(ChosenTask { task, counted });
        }
    }
    tasks
}

/// The method's own constants for a task if it has any; else the general ones, but for mixing, where a general
/// figure would be a guess: a tarp and a digger are ten times apart.
fn constants_for<'a>(work: &Work, all: &'a [LabourConstant]) -> Vec<&'a LabourConstant> {
    let of_task = all.iter().filter(|constant| constant.task == work.task);
    let (general, of_methods): (Vec<_>, Vec<_>) =
        of_task.partition(|constant| constant.method.is_none());
    let own: Vec<_> = of_methods
        .into_iter()
        .filter(|constant| constant.method == work.method)
        .collect();
    if own.is_empty() && work.task != Task::Mix {
        general
    } else {
        own
    }
}

fn no_constant(work: &Work) -> Fault {
    let word = work.task.word();
    let method = work.method.as_ref().map_or("", Method::as_str);
    let message = match (work.task, method) {
        (Task::Mix, _) => format!(
            "no labour constant says how long it takes to {word} by {method}; add one with the method {method}, \
             or name a method that has one"
        ),
        (_, "") => format!("no labour constant says how long it takes to {word}; add one"),
        _ => format!(
            "no labour constant says how long it takes to {word}, neither with {method} nor with any method; add one"
        ),
    };
    let subject = if method.is_empty() {
        format!("labourConstants of task {word}")
    } else {
        format!("labourConstants of task {word}, method {method}")
    };
    Fault::of_resource(subject, "NO_LABOUR_CONSTANT", message)
}

fn faults_of(constant: &LabourConstant) -> impl Iterator<Item = Fault> {
    let about = |fault: Fault| fault.about(format!("labourConstants/{}", constant.id));
    constant.faults().into_iter().map(about)
}

/// A fault for each constant that counts by what another already counts by.
fn competing(constants: &[&LabourConstant]) -> Vec<Fault> {
    let twin = |(at, constant): (usize, &&LabourConstant)| {
        let earlier = constants[..at]
            .iter()
            .find(|earlier| earlier.driver == constant.driver)?;
        Some(Fault::of_resource(
            format!("labourConstants/{}", constant.id),
            "LABOUR_CONSTANTS_COMPETE",
            format!(
                "labour constants {} and {} both say how long it takes to {}, counted alike; keep one of them",
                earlier.id,
                constant.id,
                constant.task.word()
            ),
        ))
    };
    constants.iter().enumerate().filter_map(twin).collect()
}

/// A fault for each constant that counts by something that its task does not have: its hours would come to nothing
/// without a word.
fn counting_nothing(constants: &[&LabourConstant], work: &Work) -> Vec<Fault> {
    let is_idle = |constant: &&&LabourConstant| {
        let driver = match constant.driver {
            Driver::M3Loose25m => Driver::M3Loose,
            driver => driver,
        };
        work.amounts.of(driver).is_none()
    };
    let has: Vec<&str> = work.amounts.drivers().map(Driver::word).collect();
    let fault = |constant: &&LabourConstant| {
        let (id, task, driver) = (&constant.id, work.task.word(), constant.driver.word());
        Fault::of_resource(
            format!("labourConstants/{id}"),
            "NOTHING_TO_COUNT",
            format!(
                "labour constant {id} counts the hours to {task} by the {driver}, of which there is none in this work; give \
                 one that counts by {}",
                has.join(", ")
            ),
        )
    };
    constants.iter().filter(is_idle).map(fault).collect()
}
