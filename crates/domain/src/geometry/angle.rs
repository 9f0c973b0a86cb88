//! Angles: in degrees where they are drawn, in radians where they are reckoned with.
//! Everything goes through `libm`, so that every machine comes to the same digits.

use std::f64::consts::PI;

/// Radians of an angle in degrees.
pub(super) fn radians(degrees: f64) -> f64 {
    degrees * (PI / 180.0)
}

/// Sine and cosine of an angle in degrees, at most a few turns. Exact at every quarter turn, so that a right-angled wall keeps clean figures.
///
/// The angle is brought within 45 degrees of a quarter turn, which costs no digits, and turned back by exchanging and
/// changing signs: sin 120 = cos 30 = 0.866025.
pub(super) fn sine_cosine(degrees: f64) -> (f64, f64) {
    // The cast cuts toward zero, so half a quarter more makes it the nearest; drawings bend by 360 degrees at most.
    let quarters = (degrees / 90.0 + 0.5_f64.copysign(degrees)) as i32;
    let rest = degrees - 90.0 * f64::from(quarters);
    let (sine, cosine) = if rest == 0.0 {
        (0.0, 1.0)
    } else {
        libm::sincos(radians(rest))
    };
    match quarters & 3 {
        0 => (sine, cosine),
        1 => (cosine, -sine),
        2 => (-sine, -cosine),
        _ => (-cosine, sine),
    }
}

/// `x - sin x`, of an angle in radians, without losing the digits that the two share when the angle is small.
///
/// It is twice the area of the segment that a chord cuts off a circle of radius 1: at x = 1.854590, 0.894590
/// (sin x = 0.96).
///
/// Below 1 by the series x^3/3! - x^5/5! + ... (nine terms leave out less than 1e-20 of the first).
pub(super) fn less_sine(x: f64) -> f64 {
    if x.abs() < 1.0 {
        let square = x * x;
        let mut sum = 0.0;
        for n in (1..=9).rev() {
            // Each term is the one before, times -x^2 / ((2n) (2n + 1)).
            let n = f64::from(n);
            sum = square / ((2.0 * n) * (2.0 * n + 1.0)) * (1.0 - sum);
        }
        x * sum
    } else {
        x - libm::sin(x)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn quarter_turns_are_exact() {
        let table = [
            (0.0, (0.0, 1.0)),
            (90.0, (1.0, 0.0)),
            (180.0, (0.0, -1.0)),
            (270.0, (-1.0, 0.0)),
            (-90.0, (-1.0, 0.0)),
            (360.0, (0.0, 1.0)),
            (-450.0, (-1.0, 0.0)),
        ];
        for (degrees, expected) in table {
            assert_eq!(sine_cosine(degrees), expected, "{degrees}");
        }
    }

    #[test]
    fn other_angles_agree_with_sine_and_cosine() {
        for step in -800..800 {
            let degrees = f64::from(step) * 0.97;
            let (sine, cosine) = sine_cosine(degrees);
            assert!(
                (sine - libm::sin(radians(degrees))).abs() < 1e-14,
                "{degrees}"
            );
            assert!(
                (cosine - libm::cos(radians(degrees))).abs() < 1e-14,
                "{degrees}"
            );
        }
    }

    #[test]
    fn an_angle_less_its_sine_is_right_on_both_sides_of_one() {
        // 1.854590 - 0.96 = 0.894590: the segment of width 1.2 and rise 0.3, radius 0.75.
        assert!((less_sine(1.854_590_436_003_224_4) - 0.894_590_436_003_224).abs() < 1e-12);
        for x in [0.999_999, 1.0, 0.5, -0.7, -3.0] {
            assert!((less_sine(x) - (x - libm::sin(x))).abs() < 1e-15, "{x}");
        }
        // x^3/6 to the last digit where the difference itself would have none left.
        assert!((less_sine(1e-6) / (1e-18 / 6.0) - 1.0).abs() < 1e-12);
    }
}
