//! Which tasks a job has, and which labour constants hold for them.
//! A method's own constants come before the general ones. What is missing is named; mixing is never guessed.

use super::Inputs;
use crate::fault::Fault;
use crate::id::Method;
use crate::job::Job;
use crate::work::{Driver, LabourConstant, Task};

/// A task of the job with the constants that make up its hours.
pub(super) struct ChosenTask<'a> {
    /// What is done.
    pub task: Task,
    /// One at least, each with a driver of its own.
    pub constants: Vec<&'a LabourConstant>,
}

/// The constants for every task that the job has; what is missing or in doubt goes to the faults.
pub(super) fn choose<'a>(
    job: &Job,
    mixing: &Method,
    inputs: &'a Inputs,
    faults: &mut Vec<Fault>,
) -> Vec<ChosenTask<'a>> {
    let mut tasks = Vec::with_capacity(Task::ALL.len());
    for task in Task::ALL
        .iter()
        .copied()
        .filter(|task| has(job, inputs, *task))
    {
        let constants = constants_for(task, mixing, &inputs.constants);
        if constants.is_empty() {
            faults.push(no_constant(task, mixing));
            continue;
        }
        faults.extend(competing(&constants));
        if inputs.recipe.dug_loose().terms.is_empty() {
            faults.extend(counting_nothing(&constants, inputs));
        }
        faults.extend(constants.iter().flat_map(|constant| faults_of(constant)));
        tasks.push(ChosenTask { task, constants });
    }
    tasks
}

/// Whether a job has the task at all: bought earth is not dug, and a wall placed to its finished size is not pared.
fn has(job: &Job, inputs: &Inputs, task: Task) -> bool {
    match task {
        Task::Dig | Task::Screen | Task::Haul => !inputs.recipe.dug_loose().terms.is_empty(),
        Task::Pare => job.walls.iter().any(|wall| wall.paring.is_positive()),
        Task::SetOpening => job.walls.iter().any(|wall| !wall.openings.is_empty()),
        Task::SetUp | Task::Mix | Task::Place | Task::Cover | Task::CleanUp => true,
        _ => false,
    }
}

/// The method's own constants for a task if it has any; else the general ones, but for mixing, where a general
/// figure would be a guess: a tarp and a digger are ten times apart.
fn constants_for<'a>(
    task: Task,
    mixing: &Method,
    all: &'a [LabourConstant],
) -> Vec<&'a LabourConstant> {
    let of_task = all.iter().filter(|constant| constant.task == task);
    let (general, of_methods): (Vec<_>, Vec<_>) =
        of_task.partition(|constant| constant.method.is_none());
    let own: Vec<_> = of_methods
        .into_iter()
        .filter(|constant| constant.method.as_ref() == Some(mixing))
        .collect();
    if own.is_empty() && task != Task::Mix {
        general
    } else {
        own
    }
}

fn no_constant(task: Task, mixing: &Method) -> Fault {
    let word = task.word();
    let message = match task {
        Task::Mix => format!(
            "no labour constant says how long it takes to {word} by {mixing}; add one with the method {mixing}, \
             or name a method that has one"
        ),
        _ => format!(
            "no labour constant says how long it takes to {word}, neither with {mixing} nor with any method; add one"
        ),
    };
    Fault::of_resource(
        format!("labourConstants of task {word}, method {mixing}"),
        "NO_LABOUR_CONSTANT",
        message,
    )
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

/// A fault for each constant that counts by soil dug on the site, of which there is none: its hours would come to
/// nothing without a word.
fn counting_nothing(constants: &[&LabourConstant], inputs: &Inputs) -> Vec<Fault> {
    let counts_soil = |constant: &&&LabourConstant| {
        matches!(
            constant.driver,
            Driver::M3Bank | Driver::M3Loose | Driver::M3Loose25m
        )
    };
    let fault = |constant: &&LabourConstant| {
        let (id, task, mix) = (&constant.id, constant.task.word(), &inputs.recipe.mix().id);
        Fault::of_resource(
            format!("labourConstants/{id}"),
            "NOTHING_TO_COUNT",
            format!(
                "labour constant {id} counts the hours to {task} by soil dug on the site, and mix {mix} takes none; \
                 give one that counts by batches or by placed volume"
            ),
        )
    };
    constants.iter().filter(counts_soil).map(fault).collect()
}
