//! Work: tasks, the hours a unit of each takes, and the crews that do them.

use hod_units::{Decimal, Hours, Share};

use crate::id::{CrewId, Grade, LabourConstantId, Method};

/// What is done, in the order of the work. A closed list.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Task {
    /// Set up the site.
    SetUp,
    /// Strip the topsoil and dig the subsoil.
    Dig,
    /// Screen out stones and lumps.
    Screen,
    /// Carry the soil to where it is mixed.
    Haul,
    /// Mix.
    Mix,
    /// Carry to the wall and place.
    Place,
    /// Pare the faces.
    Pare,
    /// Set frames and lintels at an opening.
    SetOpening,
    /// Cover the wall top after a lift.
    Cover,
    /// Clean up and leave the site.
    CleanUp,
}

/// What hours are counted by.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Driver {
    /// Each batch.
    Batch,
    /// Each m3 of placed earth, waste not counted.
    M3Placed,
    /// Each m3 of soil in the bank.
    M3Bank,
    /// Each m3 of loose soil.
    M3Loose,
    /// Each m3 of loose soil for each whole or begun 25 m beyond the first 25 m.
    M3Loose25m,
    /// Each m2 of face, inner and outer, net of openings.
    M2Face,
    /// Each lift of each wall.
    Lift,
    /// Each opening.
    Opening,
    /// Each job.
    Job,
}

/// A grade's share of hours.
#[derive(Debug, Clone, PartialEq)]
pub struct GradeShare {
    /// Whose.
    pub grade: Grade,
    /// How much; the shares of a make-up total one.
    pub share: Share,
}

/// Who works.
#[derive(Debug, Clone, PartialEq)]
pub struct Crew {
    /// Its id.
    pub id: CrewId,
    /// What people call it.
    pub display_name: String,
    /// How many times the hours of a practised crew it takes.
    pub hours_factor: Decimal,
    /// By grade.
    pub make_up: Vec<GradeShare>,
    /// Where these figures come from.
    pub source: String,
}

/// Hours to a unit of work for a practised crew.
#[derive(Debug, Clone, PartialEq)]
pub struct LabourConstant {
    /// Its id.
    pub id: LabourConstantId,
    /// What people call it.
    pub display_name: String,
    /// What is done.
    pub task: Task,
    /// The method of mixing it holds for; none: any that has no constant of its own.
    pub method: Option<Method>,
    /// What the hours are counted by.
    pub driver: Driver,
    /// At the least.
    pub low: Hours,
    /// As a rule.
    pub likely: Hours,
    /// At the most.
    pub high: Hours,
    /// Who does it; empty: the crew's own make-up.
    pub make_up: Vec<GradeShare>,
    /// Where the hours come from.
    pub source: String,
}
