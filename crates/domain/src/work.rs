//! Work: tasks, the hours a unit of each takes, and the crews that do them.

use hod_units::{Decimal, Hours, Share};

use crate::fault::Fault;
use crate::id::{CrewId, Grade, LabourConstantId, Method};

/// Declares the tasks in the order of the work, each with its word.
macro_rules! tasks {
    ($($(#[$doc:meta])* $task:ident $word:literal;)*) => {
        /// What is done, in the order of the work. A closed list.
        #[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
        pub enum Task {
            $($(#[$doc])* $task,)*
        }

        impl Task {
            /// Every task, in the order of the work.
            pub const ALL: &[Self] = &[$(Self::$task,)*];

            /// How a line and a message name it.
            pub const fn word(self) -> &'static str {
                match self {
                    $(Self::$task => $word,)*
                }
            }
        }
    };
}

tasks! {
    /// Set up the site.
    SetUp "set up";
    /// Strip the topsoil and set it aside.
    Strip "strip";
    /// Dig the trench.
    Trench "trench";
    /// Fill the trench.
    FillTrench "fill the trench";
    /// Lay the stem wall.
    LayStem "lay the stem wall";
    /// Dig the subsoil.
    Dig "dig";
    /// Screen out stones and lumps.
    Screen "screen";
    /// Carry the soil to where it is mixed.
    Haul "haul";
    /// Mix.
    Mix "mix";
    /// Mould adobes and turn them as they dry.
    Mould "mould";
    /// Set forms, and strike them.
    SetForm "set forms";
    /// Carry cob to the wall and place it.
    Place "place";
    /// Fill and ram rammed earth.
    Ram "ram";
    /// Fill and tamp light straw-clay.
    Tamp "tamp";
    /// Stack bales, tie and pin them.
    Stack "stack";
    /// Trim the faces of bales.
    Trim "trim";
    /// Lay adobes.
    Lay "lay";
    /// Set staves and weave rods.
    Weave "weave";
    /// Daub both faces.
    Daub "daub";
    /// Pare the faces.
    Pare "pare";
    /// Set frames and lintels at an opening.
    SetOpening "set openings";
    /// Build and strike the form of an arch.
    FormArch "form arches";
    /// Set what is buried in a lift.
    Bury "bury";
    /// Cover the wall top after a lift.
    Cover "cover";
    /// Lay on a coat.
    Plaster "plaster";
    /// Lay on a wash.
    Wash "wash";
    /// Lay a floor's layers.
    LayFloor "lay floors";
    /// Build an oven.
    BuildOven "build ovens";
    /// Load spoil to be taken away.
    Tip "tip";
    /// Clean up and leave the site.
    CleanUp "clean up";
}

/// What hours are counted by, within their task.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Driver {
    /// Each batch.
    Batch,
    /// Each m3 placed, waste not counted.
    M3Placed,
    /// Each m3 placed and wasted: what is mixed.
    M3Mixed,
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
    /// Each adobe, bale, oven or other piece, breakage not counted.
    Piece,
    /// Each m2 of panel, one face, net of openings.
    M2Panel,
    /// Each m2 of each coat, wash or layer.
    M2Coat,
}

impl Driver {
    /// How a message names what it counts.
    pub const fn word(self) -> &'static str {
        match self {
            Self::Batch => "batch",
            Self::M3Placed => "m3 placed",
            Self::M3Mixed => "m3 mixed",
            Self::M3Bank => "m3 in the bank",
            Self::M3Loose => "m3 loose",
            Self::M3Loose25m => "m3 loose each further 25 m",
            Self::M2Face => "m2 of face",
            Self::Lift => "lift",
            Self::Opening => "opening",
            Self::Job => "job",
            Self::Piece => "piece",
            Self::M2Panel => "m2 of panel",
            Self::M2Coat => "m2 of a coat",
        }
    }
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

impl Crew {
    /// What does not hold across its fields.
    pub fn faults(&self) -> Vec<Fault> {
        make_up_faults(&self.make_up)
    }
}

impl LabourConstant {
    /// What does not hold across its fields.
    pub fn faults(&self) -> Vec<Fault> {
        let mut faults = Vec::new();
        let Self {
            low, likely, high, ..
        } = self;
        if likely < low || high < likely {
            faults.push(Fault::of_field(
                "likely_hours",
                "HOURS_OUT_OF_ORDER",
                format!("{low} at the least, {likely} as a rule and {high} at the most are out of order; each may not be below the one before"),
            ));
        }
        if !self.make_up.is_empty() {
            faults.extend(make_up_faults(&self.make_up));
        }
        faults
    }
}

impl LabourConstant {
    /// Who does it: its own make-up, or the crew's when it has none.
    pub fn done_by<'a>(&'a self, crew: &'a Crew) -> &'a [GradeShare] {
        if self.make_up.is_empty() {
            &crew.make_up
        } else {
            &self.make_up
        }
    }
}

/// A make-up names each grade once, and its shares total one.
fn make_up_faults(make_up: &[GradeShare]) -> Vec<Fault> {
    let mut faults = Vec::new();
    for (at, share) in make_up.iter().enumerate() {
        if make_up[..at]
            .iter()
            .any(|earlier| earlier.grade == share.grade)
        {
            faults.push(Fault::of_field(
                format!("make_up[{at}].grade"),
                "GRADE_TWICE",
                format!(
                    "{} stands twice; give each grade once, with all its share",
                    share.grade
                ),
            ));
        }
    }
    match Share::checked_sum(make_up.iter().map(|share| share.share)) {
        Some(sum) if sum == Share::WHOLE => {}
        sum => faults.push(Fault::of_field(
            "make_up",
            "SHARES_MUST_TOTAL_ONE",
            format!(
                "the shares of the make-up add up to {}; they must add up to 100 %",
                sum.map_or_else(
                    || "more than can be reckoned with".to_owned(),
                    |sum| sum.to_string()
                )
            ),
        )),
    }
    faults
}
