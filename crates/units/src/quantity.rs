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

            /// So many times as much; `None` on overflow. Exact as long as the digits of both number at most 28
            /// together; past that the decimal library keeps the first 28.
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

#[cfg(test)]
mod tests {
    use proptest::prelude::*;
    use rust_decimal::dec;

    use super::*;
    use crate::number::canonical;
    use crate::{
        Area, AreaUnit, Density, DensityUnit, Hours, HoursUnit, Length, Mass, MassUnit, Rounding,
        Share, ShareUnit, Volume, VolumeUnit,
    };

    #[test]
    fn volumes_are_read_in_every_unit() {
        // The sums stand beside each size in `volume`; litres here.
        for (text, litres) in [
            ("1", "1000"),
            ("1 m3", "1000"),
            ("1 m³", "1000"),
            ("15.5 L", "15.5"),
            ("15.5 litres", "15.5"),
            ("1 ft3", "28.316846592"),
            ("1 cu ft", "28.316846592"),
            ("1 yd3", "764.554857984"),
            ("1 cu  yd", "764.554857984"),
            ("1 US gal", "3.785411784"),
            ("1 us gallon", "3.785411784"),
            ("1 imperial gal", "4.54609"),
            ("1 imp gal", "4.54609"),
            ("1 bucket", "18.92705892"),
            ("2 buckets", "37.85411784"),
        ] {
            let volume = Volume::parse(text, VolumeUnit::CubicMetre).expect(text);
            assert_eq!(canonical(volume.litres()), litres, "{text}");
        }
    }

    #[test]
    fn masses_are_read_in_every_unit() {
        for (text, kg) in [
            ("50", "50"),
            ("50 kg", "50"),
            ("1.5 t", "1500"),
            ("1 lb", "0.45359237"),
            ("2000 lbs", "907.18474"),
            ("1 short ton", "907.18474"),
        ] {
            assert_eq!(
                canonical(Mass::parse(text, MassUnit::Kilogram).expect(text).kg()),
                kg,
                "{text}"
            );
        }
    }

    #[test]
    fn areas_densities_hours_and_shares_are_read_in_every_unit() {
        let area = |text| {
            Area::parse(text, AreaUnit::SquareMetre)
                .expect(text)
                .square_metres()
        };
        assert_eq!([area("12 m2"), area("12 m²"), area("12")], [dec!(12); 3]);
        assert_eq!(area("10 sq ft"), dec!(0.9290304));
        let density = |text| {
            Density::parse(text, DensityUnit::KilogramPerCubicMetre)
                .expect(text)
                .kg_per_cubic_metre()
        };
        assert_eq!(
            [
                density("1750 kg/m3"),
                density("1750 kg/m³"),
                density("1750")
            ],
            [dec!(1750); 3]
        );
        // 0.45359237 / 0.028316846592, to 28 digits
        assert_eq!(density("1 lb/ft3"), dec!(16.018463373960139579655070655));
        let hours = |text| Hours::parse(text, HoursUnit::Hour).expect(text).hours();
        assert_eq!(
            [hours("7.5"), hours("7.5 h"), hours("7.5 hours")],
            [dec!(7.5); 3]
        );
        let share = |text, unit| Share::parse(text, unit).expect(text).fraction();
        assert_eq!(share("12.5 %", ShareUnit::Whole), dec!(0.125));
        assert_eq!(share("12.5%", ShareUnit::Whole), dec!(0.125));
        assert_eq!(share("12.5", ShareUnit::Percent), dec!(0.125));
        assert_eq!(share("0.125", ShareUnit::Whole), dec!(0.125));
    }

    #[test]
    fn a_word_that_could_be_two_units_is_refused_with_the_units_that_are_known() {
        for (text, found) in [
            ("5 gal", "gal"),
            ("5 yards", "yards"),
            ("5 cups", "cups"),
            ("5 l m3", "l m3"),
        ] {
            let fault = QuantityFault::UnknownUnit {
                found: format!("\"{found}\""),
                accepted: VolumeUnit::ACCEPTED,
            };
            assert_eq!(Volume::parse(text, VolumeUnit::Litre), Err(fault), "{text}");
        }
        // A ton is 907, 1000 or 1016 kg.
        let refused = Mass::parse("5 tons", MassUnit::Kilogram).expect_err("which ton");
        assert_eq!(
            refused.to_string(),
            "\"tons\" is not a unit known here; use kg, t, lb or short ton"
        );
    }

    #[test]
    fn a_volume_a_density_and_a_mass_agree() {
        // 2.5 m3 of sand at 1600 kg/m3 is 4000 kg.
        let sand = Density::from_kg_per_cubic_metre(dec!(1600));
        let heap = Volume::from_cubic_metres(dec!(2.5));
        let mass = Mass::from_kg(dec!(4000));
        assert_eq!(heap.checked_mass(sand), Some(mass));
        assert_eq!(mass.checked_volume(sand), Some(heap));
        assert_eq!(mass.checked_density(heap), Some(sand));
        assert_eq!(mass.tonnes(), dec!(4));
        assert_eq!(Mass::from_tonnes(dec!(4)), Some(mass));
    }

    #[test]
    fn nothing_divides_by_zero_or_overflows() {
        let most = Volume::from_cubic_metres(Decimal::MAX);
        assert_eq!(most.checked_add(most), None);
        assert_eq!(most.checked_mul(dec!(2)), None);
        assert_eq!(
            Volume::ZERO
                .checked_sub(most)
                .and_then(|least| least.checked_sub(most)),
            None
        );
        assert_eq!(most.checked_div(Decimal::ZERO), None);
        assert_eq!(most.checked_ratio(Volume::ZERO), None);
        assert_eq!(Volume::checked_sum([most, most]), None);
        assert_eq!(Volume::of(Decimal::MAX, VolumeUnit::CubicMetre), Some(most));
        assert_eq!(most.to(VolumeUnit::Litre), None);
        assert_eq!(most.litres(), Decimal::MAX);
        assert_eq!(Mass::from_tonnes(Decimal::MAX), None);
        assert_eq!(Mass::from_kg(dec!(1)).checked_volume(Density::ZERO), None);
        assert_eq!(Mass::from_kg(dec!(1)).checked_density(Volume::ZERO), None);
        assert_eq!(
            Length::from_metres(Decimal::MAX).checked_area(Length::from_metres(dec!(2))),
            None
        );
        assert_eq!(Share::from_fraction(Decimal::MAX).percent(), Decimal::MAX);
        assert_eq!(
            Share::from_fraction(Decimal::MAX).to_string(),
            format!("{} %", Decimal::MAX)
        );
    }

    #[test]
    fn quantities_print_with_their_unit() {
        assert_eq!(Length::from_metres(dec!(6.20)).to_string(), "6.2 m");
        assert_eq!(
            Area::from_square_metres(dec!(14.88)).to_string(),
            "14.88 m2"
        );
        assert_eq!(Volume::from_litres(dec!(15)).to_string(), "0.015 m3");
        assert_eq!(Mass::from_kg(dec!(-0.0)).to_string(), "0 kg");
        assert_eq!(
            Density::from_kg_per_cubic_metre(dec!(1750)).to_string(),
            "1750 kg/m3"
        );
        assert_eq!(Hours::from_hours(dec!(7.50)).to_string(), "7.5 h");
        assert_eq!(Share::from_percent(dec!(12.5)).to_string(), "12.5 %");
        assert_eq!(Share::WHOLE.to_string(), "100 %");
    }

    #[test]
    fn quantities_are_ordered_and_rounded_by_their_number() {
        let (small, large) = (
            Hours::from_hours(dec!(1.5)),
            Hours::from_hours(dec!(1.50000001)),
        );
        assert!(small < large);
        assert_eq!(small.max(large), large);
        assert_eq!(large.rounded(1, Rounding::HalfAwayFromZero), small);
        assert!(Hours::ZERO.is_zero() && !Hours::ZERO.is_positive() && !Hours::ZERO.is_negative());
        let owed = Hours::ZERO.checked_sub(small).expect("small");
        assert!(owed.is_negative() && !owed.is_positive() && small.is_positive());
    }

    proptest! {
        #[test]
        fn printing_and_reading_give_the_same_quantity(digits in any::<i64>(), places in 4_u32..=12) {
            let number = Decimal::new(digits, places);
            let volume = Volume::from_cubic_metres(number);
            prop_assert_eq!(Volume::parse(&volume.to_string(), VolumeUnit::Bucket), Ok(volume));
            let mass = Mass::from_kg(number);
            prop_assert_eq!(Mass::parse(&mass.to_string(), MassUnit::Pound), Ok(mass));
            let share = Share::from_percent(number);
            prop_assert_eq!(Share::parse(&share.to_string(), ShareUnit::Whole), Ok(share));
        }

        #[test]
        fn there_and_back_again_is_the_same_quantity(digits in 1_i64..1_000_000_000, places in 0_u32..6) {
            let number = Decimal::new(digits, places);
            for unit in [
                VolumeUnit::CubicMetre, VolumeUnit::Litre, VolumeUnit::CubicFoot, VolumeUnit::CubicYard,
                VolumeUnit::UsGallon, VolumeUnit::ImperialGallon, VolumeUnit::Bucket,
            ] {
                prop_assert_eq!(Volume::of(number, unit).and_then(|volume| volume.to(unit)), Some(number));
                let name = format!("{number} {}", unit.symbol());
                prop_assert_eq!(Volume::parse(&name, VolumeUnit::CubicMetre).ok(), Volume::of(number, unit));
            }
        }

        #[test]
        fn a_sum_is_the_same_in_any_order(mut digits in prop::collection::vec(any::<i32>(), 0..20)) {
            let sum = |digits: &[i32]| {
                Mass::checked_sum(digits.iter().map(|one| Mass::from_kg(Decimal::new(i64::from(*one), 3))))
            };
            let forwards = sum(&digits);
            digits.reverse();
            prop_assert_eq!(forwards, sum(&digits));
            prop_assert!(forwards.is_some());
        }
    }
}
