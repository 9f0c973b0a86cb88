//! What a quantity on paper is counted in, and to what step it is shown. Conversions are the business of `hod_units`.

use hod_units::{Decimal, Rounding, round};

/// What a quantity is counted in. A closed list.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Unit {
    /// Metre.
    M,
    /// Square metre.
    M2,
    /// Cubic metre; of loose material where it is bought.
    M3,
    /// Litre.
    L,
    /// Kilogram.
    Kg,
    /// Metric tonne.
    T,
    /// Hour of one person.
    H,
    /// A bale, whole.
    Bale,
    /// A bag, whole.
    Bag,
    /// A roll, whole.
    Roll,
    /// A piece, whole.
    Each,
    /// One making of a mix.
    Batch,
    /// One pass of placed height.
    Lift,
    /// Percent of what stands before it.
    Percent,
    /// Money, in the currency of the answer.
    Money,
    /// A plain number.
    Number,
    /// Kilogram per cubic metre.
    KgPerM3,
    /// Millimetre.
    Mm,
    /// One journey with what was bought.
    Load,
    /// Kilometre.
    Km,
    /// A day.
    Day,
    /// A week.
    Week,
    /// One journey of the crew to the site and back.
    Trip,
    /// One coming of somebody who looks, tests or sets right.
    Visit,
    /// One night of one person.
    Night,
    /// One day of one person.
    PersonDay,
    /// A lump sum.
    Sum,
}

/// Digits that a division may leave behind a figure that is really whole: what stands beyond the twelfth is noise,
/// and must not push an order up by a step.
const NOISE_PLACES: u32 = 12;

impl Unit {
    /// How many decimals an order in this unit is rounded up to: metres of every power and tonnes to 0.01, all else to
    /// whole ones. `None` for a unit in which nothing is bought.
    pub const fn order_places(self) -> Option<u32> {
        match self {
            Self::M | Self::M2 | Self::M3 | Self::T => Some(2),
            Self::L | Self::Kg | Self::Bale | Self::Bag | Self::Roll | Self::Each => Some(0),
            Self::H
            | Self::Batch
            | Self::Lift
            | Self::Percent
            | Self::Money
            | Self::Number
            | Self::KgPerM3
            | Self::Mm
            | Self::Load
            | Self::Km
            | Self::Day
            | Self::Week
            | Self::Trip
            | Self::Visit
            | Self::Night
            | Self::PersonDay
            | Self::Sum => None,
        }
    }

    /// How a message and a basis name one of it.
    pub const fn word(self) -> &'static str {
        match self {
            Self::M => "m",
            Self::M2 => "m2",
            Self::M3 => "m3",
            Self::L => "l",
            Self::Kg => "kg",
            Self::T => "t",
            Self::H => "h",
            Self::Bale => "bale",
            Self::Bag => "bag",
            Self::Roll => "roll",
            Self::Each => "each",
            Self::Batch => "batch",
            Self::Lift => "lift",
            Self::Percent => "percent",
            Self::Money => "money",
            Self::Number => "number",
            Self::KgPerM3 => "kg/m3",
            Self::Mm => "mm",
            Self::Load => "load",
            Self::Km => "km",
            Self::Day => "day",
            Self::Week => "week",
            Self::Trip => "trip",
            Self::Visit => "visit",
            Self::Night => "night",
            Self::PersonDay => "person-day",
            Self::Sum => "sum",
        }
    }
}

/// The least number of `places` decimals that is not below `exact`; `None` on overflow.
///
/// ```
/// use hod_domain::unit::round_up;
/// use rust_decimal::dec;
///
/// assert_eq!(round_up(dec!(7.31), 2), Some(dec!(7.31)));
/// assert_eq!(round_up(dec!(7.3101), 2), Some(dec!(7.32)));
/// // Three thirds, divided and added again: whole, but for the last digit.
/// assert_eq!(round_up(dec!(1.0000000000000000000000000001), 0), Some(dec!(1)));
/// ```
pub fn round_up(exact: Decimal, places: u32) -> Option<Decimal> {
    let exact = round(exact, NOISE_PLACES, Rounding::HalfAwayFromZero);
    let below = round(exact, places, Rounding::Down);
    if exact <= below {
        Some(below)
    } else {
        below.checked_add(Decimal::new(1, places))
    }
}
