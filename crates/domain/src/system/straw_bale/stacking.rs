//! How bales lie: which way up, how far they settle, how many there are in a face, and the least that one may weigh.

use hod_units::{Area, Decimal, Density, DensityUnit, Length, Mass, Share};
use rust_decimal::dec;

use crate::basis::{Basis, Joint, Term};
use crate::job::BaleLay;
use crate::material::PieceSize;
use crate::takeoff::tally::drawn;
use crate::text::Text;
use crate::unit::Unit;

/// Dry density of a bale at the least, lb/ft3: IRC 2015 AS103.5, as reported at motherearthnews.com, "Straw Bale House in
/// the City, Part 3" (zbcz1905).
const DENSITY_PCF_MIN: Decimal = dec!(6.5);

/// How bales lie: the bale, which way up, and how far a stack settles before plaster, of its height as stacked.
///
/// A wall is drawn settled. Of its face `A`, m2, bales `l` long in courses `c` high, m, that settle by the share `s` number
///
/// ```text
/// n = A / (1 - s) / l / c
/// ```
///
/// and its stack is `height / (1 - s)` high. Flat, a course is a bale's height and the wall its width; on
/// edge the other way about.
///
/// ```
/// use hod_domain::job::BaleLay;
/// use hod_domain::material::PieceSize;
/// use hod_domain::system::straw_bale::Stacking;
/// use hod_units::{Area, AreaUnit, Length, LengthUnit, Rounding, Share, round};
/// use rust_decimal::dec;
///
/// // A bale of 36 x 18 x 14 in shows 36 x 14 in flat, 3.5 ft2: 0.286 of one to a square foot of face.
/// let inches = |value| Length::of(value, LengthUnit::Inch).expect("small");
/// let bale = PieceSize { length: inches(dec!(36)), width: inches(dec!(18)), height: inches(dec!(14)) };
/// let flat = Stacking { bale, lay: BaleLay::Flat, settling: Share::ZERO };
/// let count = Area::of(dec!(1), AreaUnit::SquareFoot).and_then(|face| flat.count(face)).expect("small");
/// assert_eq!(round(count, 3, Rounding::HalfAwayFromZero), dec!(0.286));
/// // 8 ft drawn, settled by 4 %, were stacked to 100 in: 7.14 courses of 14 in.
/// let settling = Share::from_percent(dec!(4));
/// let stack = Stacking { settling, ..flat }.stack_height(inches(dec!(96))).expect("small");
/// assert_eq!(stack, inches(dec!(100)));
/// ```
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Stacking {
    /// The bale.
    pub bale: PieceSize,
    /// Which way up it lies.
    pub lay: BaleLay,
    /// How far a stack settles, of its height as stacked; below one.
    pub settling: Share,
}

impl Stacking {
    /// What a bale takes of the wall's thickness.
    pub const fn thickness(&self) -> Length {
        match self.lay {
            BaleLay::Flat => self.bale.width,
            BaleLay::Edge => self.bale.height,
        }
    }

    /// How high a course is.
    pub const fn course(&self) -> Length {
        match self.lay {
            BaleLay::Flat => self.bale.height,
            BaleLay::Edge => self.bale.width,
        }
    }

    /// How high what stands settled was stacked. `None` where all of it settles, or on overflow.
    pub fn stack_height(&self, settled: Length) -> Option<Length> {
        settled.checked_div(self.standing()?)
    }

    /// Bales in so much face, not rounded, breakage not counted. `None` where all of it settles, or on overflow.
    pub fn count(&self, face: Area) -> Option<Decimal> {
        self.count_basis(face, &Text::default())?.work()
    }

    /// What stands of a stack once it has settled.
    fn standing(&self) -> Option<Decimal> {
        Decimal::ONE.checked_sub(self.settling.fraction())
    }

    /// How high a course stands once it has settled. `None` on overflow.
    pub(super) fn settled_course(&self) -> Option<Length> {
        self.course().checked_mul(self.standing()?)
    }

    /// Over what stands of a stack; nothing where none settles.
    fn unsettled(&self) -> Option<Vec<Term>> {
        let standing = self.standing()?;
        Some(if self.settling.is_zero() {
            Vec::new()
        } else {
            vec![Term::new(
                Joint::Over,
                standing,
                Unit::Number,
                "1 - settling",
                "job",
            )]
        })
    }

    /// How many bales there are.
    pub(super) fn count_basis(&self, face: Area, source: &Text) -> Option<Basis> {
        let mut terms = drawn(face.square_metres(), Unit::M2, "face").terms;
        terms.extend(self.unsettled()?);
        let length = self.bale.length.metres();
        terms.push(Term::new(
            Joint::Over,
            length,
            Unit::M,
            "length of a bale",
            source,
        ));
        terms.push(self.over_course(source));
        Some(Basis::of(terms))
    }

    /// Courses in a height, not rounded.
    pub(super) fn course_basis(&self, height: Length, source: &Text) -> Option<Basis> {
        let mut terms = drawn(height.metres(), Unit::M, "height").terms;
        terms.extend(self.unsettled()?);
        terms.push(self.over_course(source));
        Some(Basis::of(terms))
    }

    fn over_course(&self, source: &Text) -> Term {
        let course = self.course().metres();
        Term::new(Joint::Over, course, Unit::M, "height of a course", source)
    }
}

/// The least that a bale of a size may weigh dry: its volume x 6.5 lb/ft3. `None` on overflow.
///
/// 36 x 18 x 14 in are 5.25 ft3: 34.1 lb, 15.5 kg. 42 x 23 x 16 in are 8.94 ft3: 58.1 lb, 26.4 kg.
pub fn dry_mass_min(size: PieceSize) -> Option<Mass> {
    let least = Density::of(DENSITY_PCF_MIN, DensityUnit::PoundPerCubicFoot)?;
    size.volume()?.checked_mass(least)
}
