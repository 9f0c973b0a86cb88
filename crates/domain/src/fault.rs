//! Faults: what stands in the way of a takeoff or an estimate, each as the rule it breaks and a sentence for people.
//! Every check that can run does, so that a job with five faults is told all five. How a fault travels over the
//! wire is for the service to say.

use std::fmt;

use crate::geometry::{self, Rule};

/// One thing that is wrong.
///
/// ```
/// use hod_domain::fault::Fault;
///
/// let fault = Fault::of_field("mix", "JOB_NAMES_NO_MIX", "the job names no mix; name one, such as house-cob");
/// assert_eq!(fault.to_string(), "mix: the job names no mix; name one, such as house-cob");
/// ```
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Fault {
    /// The field to blame, as a proto path below the job or the resource: `walls[0].openings[1].width_m`; empty if none.
    pub field: String,
    /// The resource to blame for what an estimate lacks: `materials/sand`, `regions/coast`; empty if none.
    pub subject: String,
    /// The rule that is broken, in capitals: `NO_PRICE_IN_FORCE`.
    pub reason: &'static str,
    /// What was found, what was expected and what to do.
    pub message: String,
}

impl Fault {
    /// A fault of a field of what was given.
    pub fn of_field(
        field: impl Into<String>,
        reason: &'static str,
        message: impl Into<String>,
    ) -> Self {
        Self {
            field: field.into(),
            subject: String::new(),
            reason,
            message: message.into(),
        }
    }

    /// A fault of a resource that an estimate draws on, or of its absence.
    pub fn of_resource(
        subject: impl Into<String>,
        reason: &'static str,
        message: impl Into<String>,
    ) -> Self {
        Self {
            field: String::new(),
            subject: subject.into(),
            reason,
            message: message.into(),
        }
    }

    /// The same fault, of a field of that resource.
    #[must_use]
    pub fn about(mut self, subject: impl Into<String>) -> Self {
        self.subject = subject.into();
        self
    }
}

/// `subject, field: message`, leaving out what is empty.
impl fmt::Display for Fault {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match (self.subject.as_str(), self.field.as_str()) {
            ("", "") => f.write_str(&self.message),
            ("", place) | (place, "") => write!(f, "{place}: {}", self.message),
            (subject, field) => write!(f, "{subject}, {field}: {}", self.message),
        }
    }
}

impl std::error::Error for Fault {}

/// Keeps the value of a step that went well, or puts its faults with the others and goes on.
pub(crate) fn collect<T>(faults: &mut Vec<Fault>, step: Result<T, Vec<Fault>>) -> Option<T> {
    match step {
        Ok(value) => Some(value),
        Err(found) => {
            faults.extend(found);
            None
        }
    }
}

/// The fault of a figure that a decimal cannot hold.
pub(crate) fn too_large(what: &str) -> Fault {
    Fault::of_field(
        "",
        "FIGURE_TOO_LARGE",
        format!(
            "{what} comes to more than can be reckoned with; look for a slip in the sizes, parts, hours or prices"
        ),
    )
}

impl From<&geometry::Fault> for Fault {
    fn from(fault: &geometry::Fault) -> Self {
        Self::of_field(fault.field_path(), reason(&fault.rule), fault.to_string())
    }
}

/// A rule of drawings under the name by which programs know it.
fn reason(rule: &Rule) -> &'static str {
    match rule {
        Rule::NotPositive { .. } => "NOT_POSITIVE",
        Rule::Negative { .. } => "NEGATIVE",
        Rule::AbsurdSize(_) => "ABSURD_SIZE",
        Rule::AbsurdArc(_) => "ABSURD_ARC",
        Rule::DuplicateId { .. } => "DUPLICATE_ID",
        Rule::MissingId => "MISSING_ID",
        Rule::ThicknessRunsOut { .. } => "THICKNESS_RUNS_OUT",
        Rule::TopThickerThanBase { .. } => "TOP_THICKER_THAN_BASE",
        Rule::ArcTighterThanThickness { .. } => "ARC_TIGHTER_THAN_THICKNESS",
        Rule::PeakOutsideWall { .. } => "PEAK_OUTSIDE_WALL",
        Rule::PeakBelowEnd { .. } => "PEAK_BELOW_END",
        Rule::RiseTooHigh { .. } => "RISE_TOO_HIGH",
        Rule::SillBelowStemWall { .. } => "SILL_BELOW_STEM_WALL",
        Rule::OpeningBelowWall { .. } => "OPENING_BELOW_WALL",
        Rule::OpeningTallerThanWall { .. } => "OPENING_TALLER_THAN_WALL",
        Rule::OpeningOutsideWall { .. } => "OPENING_OUTSIDE_WALL",
        Rule::OpeningInJunction { .. } => "OPENING_IN_JUNCTION",
        Rule::OpeningsOverlap { .. } => "OPENINGS_OVERLAP",
        Rule::NicheTooDeep { .. } => "NICHE_TOO_DEEP",
        Rule::NichesMeet { .. } => "NICHES_MEET",
        Rule::AboveOutsideWall { .. } => "ABOVE_OUTSIDE_WALL",
        Rule::AboveNotAscending { .. } => "ABOVE_NOT_ASCENDING",
        Rule::InclusionsFillWall { .. } => "INCLUSIONS_FILL_WALL",
        Rule::UnknownWall { .. } => "UNKNOWN_WALL",
        Rule::RunsIntoItself => "RUNS_INTO_ITSELF",
        Rule::TurnOutOfRange { .. } => "TURN_OUT_OF_RANGE",
        Rule::CornerTaken { .. } => "CORNER_TAKEN",
        Rule::IntoOutsideWall { .. } => "INTO_OUTSIDE_WALL",
        Rule::FacesDoNotMeet { .. } => "FACES_DO_NOT_MEET",
        Rule::WallTooShortForItsCorners { .. } => "WALL_TOO_SHORT_FOR_ITS_CORNERS",
        Rule::RunDoesNotClose { .. } => "RUN_DOES_NOT_CLOSE",
        Rule::WallDoesNotFit { .. } => "WALL_DOES_NOT_FIT",
        Rule::GuestsOverlap { .. } => "GUESTS_OVERLAP",
        Rule::GuestInJunction { .. } => "GUEST_IN_JUNCTION",
        Rule::GuestInOpening { .. } => "GUEST_IN_OPENING",
        Rule::WallsCross { .. } => "WALLS_CROSS",
        Rule::OpeningsTakeWall { .. } => "OPENINGS_TAKE_WALL",
        Rule::NotFinite => "NOT_FINITE",
    }
}
