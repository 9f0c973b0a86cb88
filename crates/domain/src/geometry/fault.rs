//! What can be wrong with a drawing: which wall and part, which field, and which rule is broken, with the facts.
//! The sentences are in `sentence`; who finds faults is `check`, `clearance`, `junction`,
//! `run`, `fit`, `crowding` and `crossing`.

use hod_units::{Decimal, Length, Volume};

use super::drawing::WallDrawing;

/// Which part of a wall a fault stands at.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Place {
    /// The wall itself.
    Wall,
    /// The opening of this index.
    Opening(usize),
    /// The niche of this index.
    Niche(usize),
    /// The inclusion of this index.
    Inclusion(usize),
    /// The part above a height of this index.
    Above(usize),
    /// The run of walls that this wall closes.
    Run,
}

/// One broken rule of a drawing.
///
/// ```
/// use hod_domain::geometry::{Fault, Place, Rule, Subject};
/// use hod_units::{Length, parse_decimal};
///
/// let fault = Fault {
///     wall: 0,
///     place: Place::Opening(1),
///     field: "height_m",
///     rule: Rule::OpeningTallerThanWall {
///         top: Length::from_metres(parse_decimal("2.6")?),
///         wall_height: Length::from_metres(parse_decimal("2.4")?),
///     },
///     subject: Subject { wall: "south".to_owned(), part: Some("door".to_owned()) },
/// };
/// assert_eq!(fault.field_path(), "walls[0].openings[1].height_m");
/// assert_eq!(
///     fault.to_string(),
///     "wall \"south\", opening \"door\": its top is at 2.6 m but the wall is 2.4 m high there; \
///      lower the opening or raise the wall"
/// );
/// # Ok::<(), hod_units::NumberFault>(())
/// ```
#[derive(Debug, Clone, PartialEq)]
pub struct Fault {
    /// Index of the wall in the job.
    pub wall: usize,
    /// The part of it.
    pub place: Place,
    /// The field to look at, under its name in the job file: `width_m`.
    pub field: &'static str,
    /// The rule, with the facts.
    pub rule: Rule,
    /// The wall's id, and the part's if it has one, for the message.
    pub subject: Subject,
}

/// The names by which a message speaks of what is wrong.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Subject {
    /// The wall's id.
    pub wall: String,
    /// The opening's, niche's or inclusion's id.
    pub part: Option<String>,
}

/// A size outside its limits, in the unit of its field.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Limits {
    /// What was found.
    pub found: Decimal,
    /// The least that is taken.
    pub least: Decimal,
    /// The most.
    pub most: Decimal,
    /// `m`, `mm`, `degrees` or `litres`; empty for a count.
    pub unit: &'static str,
}

/// The rules that a drawing can break.
#[derive(Debug, Clone, PartialEq)]
pub enum Rule {
    /// A size must be above zero.
    NotPositive {
        /// What was found, in the unit of the field.
        found: Decimal,
        /// As in [`Limits`].
        unit: &'static str,
    },
    /// A size must not be below zero.
    Negative {
        /// What was found, in the unit of the field.
        found: Decimal,
        /// As in [`Limits`].
        unit: &'static str,
    },
    /// A size must be one that a wall of earth can have.
    AbsurdSize(Limits),
    /// An arc must come to a length that a wall of earth can have.
    AbsurdArc(Limits),
    /// Ids tell walls apart, and the parts of one wall.
    DuplicateId {
        /// Index of the first that has it.
        first: usize,
    },
    /// A thing must have an id.
    MissingId,
    /// The thickness must last to the top.
    ThicknessRunsOut {
        /// At the base.
        base: Length,
        /// At the greatest height.
        top: Length,
    },
    /// A wall must not be thicker at the top than at the base.
    TopThickerThanBase {
        /// At the base.
        base: Length,
        /// At the greatest height.
        top: Length,
    },
    /// An arc's radius must exceed half its thickness, for its inner face to have a radius.
    ArcTighterThanThickness {
        /// Of the centre line.
        radius: Length,
        /// At the base.
        thickness: Length,
    },
    /// A peak must stand between the wall's ends.
    PeakOutsideWall {
        /// Where it is drawn.
        peak_at: Length,
        /// The wall's length.
        length: Length,
    },
    /// A peak must be at least as high as both ends.
    PeakBelowEnd {
        /// The peak.
        peak: Length,
        /// The higher end.
        end: Length,
    },
    /// A segmental arch rises at most half its width.
    RiseTooHigh {
        /// The rise drawn.
        rise: Length,
        /// Half the width.
        most: Length,
    },
    /// A sill may go down into the stem wall, not through it.
    SillBelowStemWall {
        /// The sill.
        sill: Length,
        /// Height of the stem wall.
        stem_height: Length,
    },
    /// An opening or niche must reach above the stem wall.
    OpeningBelowWall {
        /// Its top.
        top: Length,
    },
    /// An opening or niche must stay under the wall's top over its whole width.
    OpeningTallerThanWall {
        /// Its top.
        top: Length,
        /// The wall's height at the lower of its sides.
        wall_height: Length,
    },
    /// An opening or niche must lie between the wall's ends.
    OpeningOutsideWall {
        /// Its near side, on its wider face.
        from: Length,
        /// Its far side.
        to: Length,
        /// The wall's length.
        length: Length,
    },
    /// An opening or niche must keep clear of what another wall takes of this one at a corner, or of where it stops
    /// at another wall's face.
    OpeningInJunction {
        /// The other wall.
        other: String,
        /// Its side nearest to that, on the face that is cut furthest.
        edge: Length,
        /// Where that face is cut.
        cut: Length,
    },
    /// Openings and niches of a wall must not overlap.
    OpeningsOverlap {
        /// The other, on the same wall.
        other: Place,
        /// Its id.
        other_id: String,
    },
    /// A niche must leave some of the thickness behind it.
    NicheTooDeep {
        /// Its depth.
        depth: Length,
        /// The thickness at its top.
        thickness: Length,
    },
    /// Two niches back to back must leave some of the thickness between them.
    NichesMeet {
        /// The id of the other.
        other_id: String,
        /// Both depths together.
        depths: Length,
        /// The thickness where they meet highest.
        thickness: Length,
    },
    /// A part above a height must begin inside the wall.
    AboveOutsideWall {
        /// Where it begins.
        from: Length,
        /// The wall's greatest height.
        height: Length,
    },
    /// Parts above a height follow one another upward.
    AboveNotAscending {
        /// Where it begins.
        from: Length,
        /// Where one before it does.
        before: Length,
    },
    /// What is built in must be less than the wall.
    InclusionsFillWall {
        /// All of the wall's inclusions.
        inclusions: Volume,
        /// The wall, less its openings and niches.
        wall: Volume,
    },
    /// A named wall must be one of the job's.
    UnknownWall {
        /// The name given.
        named: String,
        /// The id most like it.
        nearest: Option<String>,
    },
    /// A wall cannot run into itself.
    RunsIntoItself,
    /// A corner turns by at most 150 degrees; a wall runs into another at 30 to 150 degrees.
    TurnOutOfRange {
        /// The turn drawn.
        found: Decimal,
        /// The least, to either side.
        least: Decimal,
        /// The most, to either side.
        most: Decimal,
    },
    /// At a corner one end meets one other end.
    CornerTaken {
        /// The wall named.
        other: String,
        /// What its end is drawn to meet instead, in the words of the job file.
        instead: String,
    },
    /// A wall must meet the wall that it runs into between that wall's ends.
    IntoOutsideWall {
        /// Where it is drawn to meet it.
        at: Length,
        /// The wall run into.
        other: String,
        /// Its length.
        length: Length,
    },
    /// The faces of two walls at a junction must meet.
    FacesDoNotMeet {
        /// The other wall.
        other: String,
    },
    /// A wall's cuts must not cross.
    WallTooShortForItsCorners {
        /// The wall's length.
        length: Length,
        /// What its two ends take of one face, together.
        taken: Length,
    },
    /// A closed run must close, within 10 mm and 0.1 degree.
    RunDoesNotClose {
        /// From where the last wall ends to where the first starts.
        gap_mm: Decimal,
        /// All bends and turns, which should come to 360 or -360 degrees.
        turn_sum: Decimal,
    },
    /// A wall between two placed walls must fit, within 10 mm and 0.1 degree.
    WallDoesNotFit {
        /// The wall at the end that was placed second.
        other: String,
        /// From where the wall arrives to where it is drawn to meet the other.
        gap_mm: Decimal,
        /// By how much its direction there is out.
        turn_degrees: Decimal,
        /// Turns to the other side with which it would fit, by their fields; none where no such change helps.
        instead: Vec<(&'static str, Decimal)>,
    },
    /// Two walls that run into one face of a third must each have their own stretch of it.
    GuestsOverlap {
        /// The wall that both run into.
        host: String,
        /// The other that runs into it.
        other: String,
        /// From where along it both would stand.
        from: Length,
        /// To where.
        to: Length,
    },
    /// A wall that runs into another must stand clear of what that one meets at its ends.
    GuestInJunction {
        /// The wall that it runs into.
        host: String,
        /// What that one meets.
        other: String,
        /// Along the host, its side nearest to that.
        edge: Length,
        /// Where the host's face ends there.
        cut: Length,
    },
    /// A wall must not run into another where that is open.
    GuestInOpening {
        /// The wall that it runs into.
        host: String,
        /// The opening or niche of that.
        opening: Place,
        /// Its id.
        opening_id: String,
        /// From where along the host it would stand in it.
        from: Length,
        /// To where.
        to: Length,
    },
    /// Walls must not cross but where a junction is drawn.
    WallsCross {
        /// The other wall.
        other: String,
        /// Along this one.
        at: Length,
        /// Along the other.
        other_at: Length,
    },
    /// What is cut or hollowed out of a wall must leave some of it.
    OpeningsTakeWall {
        /// All of the wall.
        wall: Volume,
    },
    /// A figure came out too large or undefined to be told.
    NotFinite,
}

impl Fault {
    /// The path of the field in the job, under its proto names: `walls[0].openings[1].width_m`.
    pub fn field_path(&self) -> String {
        let Self { wall, field, .. } = self;
        match self.place {
            Place::Wall | Place::Run => format!("walls[{wall}].{field}"),
            Place::Opening(index) => format!("walls[{wall}].openings[{index}].{field}"),
            Place::Niche(index) => format!("walls[{wall}].niches[{index}].{field}"),
            Place::Inclusion(index) => format!("walls[{wall}].inclusions[{index}].{field}"),
            Place::Above(index) => format!("walls[{wall}].above[{index}].{field}"),
        }
    }
}

/// The faults of a job, as they are found.
#[derive(Debug, Default)]
pub(super) struct Faults<'d> {
    walls: &'d [WallDrawing],
    found: Vec<Fault>,
}

impl<'d> Faults<'d> {
    pub(super) fn of(walls: &'d [WallDrawing]) -> Self {
        Self {
            walls,
            found: Vec::new(),
        }
    }

    /// The id of a wall.
    pub(super) fn name(&self, wall: usize) -> &'d str {
        self.walls.get(wall).map_or("", |wall| wall.id.as_str())
    }

    pub(super) fn add(&mut self, wall: usize, place: Place, field: &'static str, rule: Rule) {
        let subject = Subject {
            wall: self.name(wall).to_owned(),
            part: self.part(wall, place),
        };
        self.found.push(Fault {
            wall,
            place,
            field,
            rule,
            subject,
        });
    }

    fn part(&self, wall: usize, place: Place) -> Option<String> {
        let wall = self.walls.get(wall)?;
        let id = match place {
            Place::Wall | Place::Run | Place::Above(_) => None,
            Place::Opening(index) => wall.openings.get(index).map(|opening| &opening.id),
            Place::Niche(index) => wall.niches.get(index).map(|niche| &niche.id),
            Place::Inclusion(index) => wall.inclusions.get(index).map(|inclusion| &inclusion.id),
        };
        id.cloned()
    }

    /// How many there are so far.
    pub(super) fn count(&self) -> usize {
        self.found.len()
    }

    /// All of them, wall by wall; of one wall in the order found.
    pub(super) fn found(mut self) -> Vec<Fault> {
        self.found.sort_by_key(|fault| fault.wall);
        self.found
    }
}
