//! How adobes lie: how many there are in a face, in courses and across a wall, and what mortar they take.

use hod_units::{Area, Decimal, Length, Volume};
use rust_decimal::dec;

use crate::basis::{Basis, Joint, Term};
use crate::material::PieceSize;
use crate::text::Text;
use crate::unit::{Unit, round_up};

/// A wall is drawn as thick as whole adobes make it when it is within a joint of that, or within this where joints are
/// thinner: a mason makes up so much in the joints (judgement, no source).
const THICKNESS_TOLERANCE_MM: Decimal = dec!(10);

/// So many adobes across a wall are tried for its thickness: a wall is at most 5 m thick, and adobes of 100 mm make 50.
const ACROSS_MAX: u32 = 50;

/// How adobes lie: the brick, with its length along the wall, its width across it and its height up it, and the joint
/// around it.
///
/// A course is a brick and its bed high. Along the face and across the wall a brick takes a joint with it, but for the
/// last across, which needs none; so `A` of face, m2, of a wall `t` thick of bricks `l x w x h` in joints `j`, all m, takes
///
/// ```text
/// n = A / (l + j) / (h + j) x (t + j) / (w + j)
/// ```
///
/// which holds for stretchers (`t = w`), headers (`t = l`) and any number of them side by side, and shares out what whole
/// bricks cannot make. What is not brick is mortar: `A x t - n x l x w x h`.
///
/// ```
/// use hod_domain::material::PieceSize;
/// use hod_domain::system::adobe::Coursing;
/// use hod_units::{Area, AreaUnit, Length, LengthUnit, Rounding, round};
/// use rust_decimal::dec;
///
/// // A wall of 10 in x 8 ft x 15 ft of 10 x 14 x 4 in bricks in joints of 1/2 in (desertphile.org/adobe/brick.htm; the
/// // joints are ours): each shows 14.5 x 4.5 in, 65.25 of the 17280 in2 of 120 ft2: 264.83.
/// let inches = |value| Length::of(value, LengthUnit::Inch).expect("small");
/// let unit = PieceSize { length: inches(dec!(14)), width: inches(dec!(10)), height: inches(dec!(4)) };
/// let wall = Coursing { unit, joint: inches(dec!(0.5)) };
/// let face = Area::of(dec!(120), AreaUnit::SquareFoot).expect("small");
/// let count = wall.count(face, inches(dec!(10))).expect("small");
/// assert_eq!(round(count, 2, Rounding::HalfAwayFromZero), dec!(264.83));
/// // Course by course: 96 / 4.5 is 22 courses, and 13 bricks are begun in each.
/// assert_eq!(wall.courses(inches(dec!(96))), Some(dec!(22)));
/// assert_eq!(wall.to_a_course(inches(dec!(180))), Some(dec!(13)));
/// ```
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Coursing {
    /// The brick.
    pub unit: PieceSize,
    /// Bed and head joints; 0 where they are laid dry.
    pub joint: Length,
}

impl Coursing {
    /// Courses in a height, the last one cut: `height / (h + j)`, up to a whole one, since every course lies on a bed.
    /// `None` on overflow.
    pub fn courses(&self, height: Length) -> Option<Decimal> {
        round_up(self.course_basis(height, &Text::default())?.work()?, 0)
    }

    /// Bricks begun in a course between two free ends: `(length + j) / (l + j)`, up to a whole one, since the last needs
    /// no joint. `None` on overflow.
    pub fn to_a_course(&self, length: Length) -> Option<Decimal> {
        let along = self.with_joint(self.unit.length)?;
        round_up(self.with_joint(length)?.checked_ratio(along)?, 0)
    }

    /// Bricks in so much face, not rounded, breakage not counted. `None` on overflow.
    pub fn count(&self, face: Area, thickness: Length) -> Option<Decimal> {
        self.count_basis(face, thickness, &Text::default())?.work()
    }

    /// Mortar in so much face. `None` on overflow.
    pub fn mortar(&self, face: Area, thickness: Length) -> Option<Volume> {
        let bricks = self
            .unit
            .volume()?
            .checked_mul(self.count(face, thickness)?)?;
        face.checked_volume(thickness)?.checked_sub(bricks)
    }

    /// The thickness that whole bricks make, some along and some across the wall with a joint between each two, that is
    /// nearest to this one. `None` on overflow.
    pub fn nearest_thickness(&self, thickness: Length) -> Option<Length> {
        let mut nearest: Option<(Length, Length)> = None;
        'all: for headers in 0..=ACROSS_MAX {
            for stretchers in 0..=ACROSS_MAX {
                if headers == 0 && stretchers == 0 {
                    continue;
                }
                let made = self.across(stretchers, headers)?;
                let off = made.max(thickness).checked_sub(made.min(thickness))?;
                if nearest.is_none_or(|(_, least)| off < least) {
                    nearest = Some((made, off));
                }
                match (thickness < made, stretchers) {
                    (true, 0) => break 'all,
                    (true, _) => break,
                    _ => {}
                }
            }
        }
        nearest.map(|(made, _)| made)
    }

    /// The thickness that whole bricks make where a wall is drawn so thick, to within a joint or 10 mm; none where they make
    /// none such, or on overflow.
    pub fn made_thickness(&self, drawn: Length) -> Option<Length> {
        let made = self.nearest_thickness(drawn)?;
        let off = made.max(drawn).checked_sub(made.min(drawn))?;
        let tolerance = self.joint.max(Length::from_mm(THICKNESS_TOLERANCE_MM));
        (off <= tolerance).then_some(made)
    }

    /// What so many stretchers and headers side by side make, one at least, with a joint between each two.
    fn across(&self, stretchers: u32, headers: u32) -> Option<Length> {
        let width = self.with_joint(self.unit.width)?;
        let length = self.with_joint(self.unit.length)?;
        let all = width
            .checked_mul(stretchers.into())?
            .checked_add(length.checked_mul(headers.into())?)?;
        all.checked_sub(self.joint)
    }

    fn with_joint(&self, length: Length) -> Option<Length> {
        length.checked_add(self.joint)
    }

    /// Courses in a height, not rounded.
    pub(super) fn course_basis(&self, height: Length, source: &Text) -> Option<Basis> {
        let course = self.with_joint(self.unit.height)?;
        Some(Basis::of([
            metres(Joint::Start, height, "height", &Text::default()),
            metres(
                Joint::Over,
                course,
                "height of an adobe and its bed",
                source,
            ),
        ]))
    }

    /// How many bricks there are in a wall drawn so thick: as whole bricks make it where they do, else by its volume.
    pub(super) fn drawn_basis(&self, face: Area, drawn: Length, source: &Text) -> Option<Basis> {
        let thickness = self.made_thickness(drawn).unwrap_or(drawn);
        self.count_basis(face, thickness, source)
    }

    /// How many bricks there are.
    fn count_basis(&self, face: Area, thickness: Length, source: &Text) -> Option<Basis> {
        let of_wall = Text::default();
        let along = self.with_joint(self.unit.length)?;
        let up = self.with_joint(self.unit.height)?;
        let mut terms = vec![
            Term::new(
                Joint::Start,
                face.square_metres(),
                Unit::M2,
                "face",
                &of_wall,
            ),
            metres(Joint::Over, along, "length of an adobe and a joint", source),
            metres(Joint::Over, up, "height of an adobe and its bed", source),
        ];
        if thickness != self.unit.width {
            let (across, wall) = (
                self.with_joint(self.unit.width)?,
                self.with_joint(thickness)?,
            );
            terms.push(metres(
                Joint::Times,
                wall,
                "thickness and a joint",
                &of_wall,
            ));
            terms.push(metres(
                Joint::Over,
                across,
                "width of an adobe and a joint",
                source,
            ));
        }
        Some(Basis::of(terms))
    }
}

fn metres(joint: Joint, length: Length, label: &'static str, source: &Text) -> Term {
    Term::new(joint, length.metres(), Unit::M, label, source)
}
