//! What every measured quantity shares: a decimal in one base unit, checked sums, units that people write, and print.
//! The macro here makes the type; each noun's own file gives its units, their sizes and what it can be multiplied with.
//! Quantities may be negative, since a difference or a sill below the datum is; whoever needs one above zero says so.

use rust_decimal::Decimal;
use thiserror::Error;

use crate::number::{NumberFault, parse_decimal, quoted};

/// A unit in which people give one kind of quantity.
pub trait Unit: Copy + Sized + 'static {
    /// The units to offer in a message, as a phrase: `m, cm, mm, ft, in or yd`.
    const ACCEPTED: &'static str;

    /// The unit of this name, which comes in lower case, with single blanks and plain digits (`m3`, `us gal`).
    /// Called by [`Unit::parse`], which takes names as people write them.
    fn named(name: &str) -> Option<Self>;

    /// The short name that is printed.
    fn symbol(self) -> &'static str;

    /// Its size in the base unit, as a fraction (numerator, denominator) so that it is exact even where the decimal
    /// would not end. Both are above zero.
    fn size(self) -> (Decimal, Decimal);

    /// The unit of this name, however it is blanked, cased or raised (`m³`, `US  gal`).
    fn parse(name: &str) -> Result<Self, QuantityFault> {
        let plain = name.split_whitespace().collect::<Vec<_>>().join(" ");
        let plain = plain
            .to_ascii_lowercase()
            .replace('²', "2")
            .replace('³', "3");
        Self::named(&plain).ok_or_else(|| QuantityFault::UnknownUnit {
            found: quoted(name),
            accepted: Self::ACCEPTED,
        })
    }
}

/// Why a text is not a quantity of the wanted kind.
#[derive(Debug, Clone, PartialEq, Eq, Error)]
pub enum QuantityFault {
    /// The number itself is not one.
    #[error(transparent)]
    Number(NumberFault),
    /// The number is followed by a word that is not a unit of this kind.
    #[error("{found} is not a unit known here; use {accepted}")]
    UnknownUnit {
        /// The text after the number, quoted and shortened.
        found: String,
        /// The units that are.
        accepted: &'static str,
    },
    /// Feet with decimals and inches after them.
    #[error(
        "{found} has decimals in its feet and inches besides; write whole feet and inches, such as 20' 4 1/2\""
    )]
    FeetNotWhole {
        /// The text, quoted and shortened.
        found: String,
    },
    /// Twelve inches or more beside feet.
    #[error(
        "{found} has a foot or more in its inches; write fewer than 12 inches after the feet, such as 20' 4\""
    )]
    InchesMakeAFoot {
        /// The text, quoted and shortened.
        found: String,
    },
    /// A number after the feet that no inch mark follows.
    #[error(
        "{found} has a number after its feet that has no inch mark; write 20'4\" or 20 ft 4 in"
    )]
    InchMarkMissing {
        /// The text, quoted and shortened.
        found: String,
    },
    /// A fraction of an inch that is not a half, quarter, eighth, sixteenth, thirty-second or sixty-fourth.
    #[error(
        "{found} has a fraction that a tape does not; write halves to sixty-fourths below one, such as 4 1/2\""
    )]
    NotATapeFraction {
        /// The text, quoted and shortened.
        found: String,
    },
    /// A number too large to be held in the base unit.
    #[error("{found} is larger than can be reckoned with")]
    TooLarge {
        /// The text, quoted and shortened.
        found: String,
    },
}

/// `number` of `unit` in the base unit; `None` on overflow.
pub(crate) fn to_base<U: Unit>(number: Decimal, unit: U) -> Option<Decimal> {
    let (numerator, denominator) = unit.size();
    scaled(number, numerator, denominator)
}

/// A value in the base unit, told in `unit`; `None` on overflow.
pub(crate) fn from_base<U: Unit>(value: Decimal, unit: U) -> Option<Decimal> {
    let (numerator, denominator) = unit.size();
    scaled(value, denominator, numerator)
}

/// The division comes last and is left out where it changes nothing, so that whole sizes stay exact to the last digit.
fn scaled(value: Decimal, by: Decimal, over: Decimal) -> Option<Decimal> {
    let product = value.checked_mul(by)?;
    if over == Decimal::ONE {
        Some(product)
    } else {
        product.checked_div(over)
    }
}

/// Reads `7.5`, `7.5 kg` or `7.5kg` into the base unit; a bare number is in `default_unit`.
pub(crate) fn read<U: Unit>(text: &str, default_unit: U) -> Result<Decimal, QuantityFault> {
    let text = text.trim();
    let (number, name) = number_and_unit(text);
    let number = parse_decimal(number).map_err(QuantityFault::Number)?;
    let unit = if name.is_empty() {
        default_unit
    } else {
        U::parse(name)?
    };
    to_base(number, unit).ok_or_else(|| QuantityFault::TooLarge {
        found: quoted(text),
    })
}

/// Splits a text at its first blank or, without one, at the first character that no number is written with.
/// A text that has no number in front is all number, so that the fault told is the number's.
fn number_and_unit(text: &str) -> (&str, &str) {
    let is_number = |c: char| c.is_ascii_digit() || matches!(c, '.' | '-' | '+' | ',' | '_');
    let end = text
        .find(char::is_whitespace)
        .or_else(|| text.find(|c| !is_number(c)))
        .unwrap_or(text.len());
    let (number, name) = text.split_at(end);
    let name = name.trim_start();
    // `1 000 kg` is a number with a blank in it, not one thing followed by an odd unit.
    if number.is_empty() || name.starts_with(|c: char| c.is_ascii_digit()) {
        (text, "")
    } else {
        (number, name)
    }
}

/// Makes a quantity: a decimal in one base unit behind a private field.
macro_rules! quantity {
    (
        $(#[$doc:meta])*
        $name:ident in $unit:ident, $from:ident / $get:ident, read by $read:path,
        printed as $printed:ident in $shown:ident
    ) => {
        $(#[$doc])*
        #[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord, Default)]
        pub struct $name(rust_decimal::Decimal);

        impl $name {
            /// None of it.
            pub const ZERO: Self = Self(rust_decimal::Decimal::ZERO);

            /// From a number of the base unit.
            pub const fn $from(value: rust_decimal::Decimal) -> Self {
                Self(value)
            }

            /// The number of the base unit.
            pub const fn $get(self) -> rust_decimal::Decimal {
                self.0
            }

            /// `number` of `unit`; `None` when that is more than a decimal can hold.
            pub fn of(number: rust_decimal::Decimal, unit: $unit) -> Option<Self> {
                crate::quantity::to_base(number, unit).map(Self)
            }

            /// Told in `unit`, to 28 digits where the decimal does not end; `None` on overflow.
            pub fn to(self, unit: $unit) -> Option<rust_decimal::Decimal> {
                crate::quantity::from_base(self.0, unit)
            }

            /// Reads what people write, a number with or without a unit; a bare number is in `default_unit`.
            pub fn parse(text: &str, default_unit: $unit) -> Result<Self, crate::QuantityFault> {
                $read(text, default_unit).map(Self)
            }

            /// The sum; `None` on overflow.
            pub fn checked_add(self, other: Self) -> Option<Self> {
                self.0.checked_add(other.0).map(Self)
            }

            /// The difference; `None` on overflow.
            pub fn checked_sub(self, other: Self) -> Option<Self> {
                self.0.checked_sub(other.0).map(Self)
            }

            /// So many times as much; `None` on overflow.
            pub fn checked_mul(self, factor: rust_decimal::Decimal) -> Option<Self> {
                self.0.checked_mul(factor).map(Self)
            }

            /// Divided by a number; `None` when that is zero, or on overflow.
            pub fn checked_div(self, divisor: rust_decimal::Decimal) -> Option<Self> {
                self.0.checked_div(divisor).map(Self)
            }

            /// How many times `other` goes into it; `None` when `other` is zero, or on overflow.
            pub fn checked_ratio(self, other: Self) -> Option<rust_decimal::Decimal> {
                self.0.checked_div(other.0)
            }

            /// The sum of many, in the order given; `None` on overflow.
            pub fn checked_sum(many: impl IntoIterator<Item = Self>) -> Option<Self> {
                many.into_iter().try_fold(Self::ZERO, Self::checked_add)
            }

            /// Rounded to `places` digits of the base unit.
            pub fn rounded(self, places: u32, how: crate::Rounding) -> Self {
                Self(crate::round(self.0, places, how))
            }

            /// Whether there is none of it.
            pub const fn is_zero(self) -> bool {
                self.0.is_zero()
            }

            /// Whether it is above zero.
            pub const fn is_positive(self) -> bool {
                !self.0.is_zero() && self.0.is_sign_positive()
            }

            /// Whether it is below zero.
            pub const fn is_negative(self) -> bool {
                !self.0.is_zero() && self.0.is_sign_negative()
            }
        }

        /// The number in its canonical form, a blank and the unit.
        impl std::fmt::Display for $name {
            fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
                write!(f, "{} {}", crate::canonical(self.$printed()), crate::Unit::symbol($unit::$shown))
            }
        }
    };
}
pub(crate) use quantity;
