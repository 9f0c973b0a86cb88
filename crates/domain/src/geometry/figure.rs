//! Decimals into floating point and back: the only place of this folder where the two meet.
//! What is measured in between is floating point; what goes in and comes out is decimal, at a stated step.

use hod_units::{Area, Decimal, Length, Volume};

/// Powers of ten that a decimal's scale (at most 28) can call for. Those up to 1e22 are exact in floating point.
const TEN_TO: [f64; 29] = [
    1e0, 1e1, 1e2, 1e3, 1e4, 1e5, 1e6, 1e7, 1e8, 1e9, 1e10, 1e11, 1e12, 1e13, 1e14, 1e15, 1e16,
    1e17, 1e18, 1e19, 1e20, 1e21, 1e22, 1e23, 1e24, 1e25, 1e26, 1e27, 1e28,
];

/// The step of volumes and areas: a millionth of a cubic or square metre.
const STEP_PLACES: u32 = 6;

/// The step of the figures of a working, fine enough that their product is right at the step of volumes.
const WORKING_PLACES: u32 = 12;

/// The nearest floating-point number. One division of two exact numbers, for all that people write down (up to 15
/// digits), and so the same on every machine.
pub(super) fn number(value: Decimal) -> f64 {
    let parts = value.unpack();
    let low = u64::from(parts.mid) << 32 | u64::from(parts.lo);
    let whole = match (i64::try_from(low), parts.hi) {
        // The conversion that processors have; the others take a call.
        (Ok(low), 0) => low as f64,
        _ => f64::from(parts.hi) * TWO_TO_64 + low as f64,
    };
    // A scale beyond the table cannot be: the decimal type ends there.
    let size = whole / TEN_TO[parts.scale.min(28) as usize];
    if parts.negative { -size } else { size }
}

const TWO_TO_64: f64 = 18_446_744_073_709_551_616.0;

/// A length in metres.
pub(super) fn metres(length: Length) -> f64 {
    number(length.metres())
}

/// How many whole steps of `10^-places` a number comes to, half a step away from zero; `None` when that is not finite
/// or does not fit.
fn steps(value: f64, places: u32) -> Option<i64> {
    let scaled = value * TEN_TO[places as usize];
    // The cast cuts toward zero. Below 9.2e18 it fits.
    let fits = scaled.is_finite() && scaled.abs() < 9.2e18;
    fits.then_some((scaled + 0.5_f64.copysign(scaled)) as i64)
}

/// Whole steps of volume: millionths of a cubic metre.
pub(super) fn volume_steps(cubic_metres: f64) -> Option<i64> {
    steps(cubic_metres, STEP_PLACES)
}

/// A volume of so many steps.
pub(super) fn volume_of_steps(steps: i64) -> Volume {
    Volume::from_cubic_metres(Decimal::new(steps, STEP_PLACES))
}

/// A volume at its step.
pub(super) fn volume(cubic_metres: f64) -> Option<Volume> {
    volume_steps(cubic_metres).map(volume_of_steps)
}

/// Whole steps of area: millionths of a square metre.
pub(super) fn area_steps(square_metres: f64) -> Option<i64> {
    steps(square_metres, STEP_PLACES)
}

/// An area of so many steps.
pub(super) fn area_of_steps(steps: i64) -> Area {
    Area::from_square_metres(Decimal::new(steps, STEP_PLACES))
}

/// An area at its step.
pub(super) fn area(square_metres: f64) -> Option<Area> {
    area_steps(square_metres).map(area_of_steps)
}

/// A length to a millionth of a metre.
pub(super) fn length(metres: f64) -> Option<Length> {
    let steps = steps(metres, STEP_PLACES)?;
    Some(Length::from_metres(Decimal::new(steps, STEP_PLACES)))
}

/// A number to the step of workings.
pub(super) fn working_number(value: f64) -> Option<Decimal> {
    Some(Decimal::new(steps(value, WORKING_PLACES)?, WORKING_PLACES))
}

/// A number to `places` decimals, for a message; zero where it is not finite.
pub(super) fn told(value: f64, places: u32) -> Decimal {
    Decimal::new(steps(value, places).unwrap_or_default(), places)
}

#[cfg(test)]
mod tests {
    use super::*;
    use hod_units::parse_decimal;

    #[test]
    fn a_decimal_becomes_the_nearest_floating_point_number() {
        let table = [
            ("6.20", 6.20),
            ("-0.15", -0.15),
            ("0.1", 0.1),
            ("1234567890.12345", 1_234_567_890.123_45),
            ("79228162514264337593543950335", 7.922_816_251_426_434e28),
            ("0.0000000000000000000001", 1e-22),
        ];
        for (text, expected) in table {
            let decimal = parse_decimal(text).or_else(|_| text.parse().map_err(|_| ()));
            assert_eq!(decimal.map(number), Ok(expected), "{text}");
        }
    }

    #[test]
    fn half_a_step_goes_away_from_zero() {
        assert_eq!(volume_steps(0.000_000_5), Some(1));
        assert_eq!(volume_steps(-0.000_000_5), Some(-1));
        assert_eq!(volume_steps(2.892_375), Some(2_892_375));
        assert_eq!(volume_steps(0.000_000_4), Some(0));
    }

    #[test]
    fn what_is_not_finite_or_too_large_is_no_figure() {
        for value in [f64::NAN, f64::INFINITY, -1e13] {
            assert_eq!(volume_steps(value), None);
            assert_eq!(area(value), None);
        }
    }
}
