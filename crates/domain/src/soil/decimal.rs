//! Square roots and logarithms of decimals, for grain sizes alone: floating point is kept to the drawing board, so that
//! a figure is the same on every machine. How the results are rounded for people is for the caller to say.

use hod_units::{Decimal, Rounding, round};
use rust_decimal::dec;

/// Digits after the point of a root and a logarithm; far beyond what a jar can show.
const PLACES: u32 = 12;

/// ln 2 to 20 places: known to every book of tables.
const LN_2: Decimal = dec!(0.69314718055994530942);

/// Square root of a value below 1e12 that is not negative, cut down to 12 places; `None` for others.
///
/// Exact: the whole number whose square is the largest not above value x 10^24, with the point put back. 24 decimals of
/// the value count; what stands beyond them cannot move the twelfth of the root by more than one.
pub(super) fn square_root(value: Decimal) -> Option<Decimal> {
    let value = round(value, 2 * PLACES, Rounding::Down);
    let digits = u128::try_from(value.mantissa()).ok()?;
    let raise = (2 * PLACES).checked_sub(value.scale())?;
    let square = digits.checked_mul(10_u128.checked_pow(raise)?)?;
    let root = i128::try_from(square.isqrt()).ok()?;
    Decimal::try_from_i128_with_scale(root, PLACES).ok()
}

/// Natural logarithm of a positive value, to 12 places; `None` for others.
///
/// `x = m 2^k` with `m` from 2/3 to 4/3; `ln x = k ln 2 + 2 (z + z^3/3 + z^5/5 + ...)`, `z = (m - 1)/(m + 1)`. As
/// `|z|` is at most 1/5, each term is at most 1/25 of the one before.
pub(super) fn logarithm(value: Decimal) -> Option<Decimal> {
    if value <= Decimal::ZERO {
        return None;
    }
    let (mut reduced, mut halvings) = (value, 0_i32);
    while dec!(1.3333333333) < reduced {
        reduced = reduced.checked_div(dec!(2))?;
        halvings += 1;
    }
    while reduced < dec!(0.6666666666) {
        reduced = reduced.checked_mul(dec!(2))?;
        halvings -= 1;
    }
    let whole = Decimal::from(halvings).checked_mul(LN_2)?;
    let sum = whole.checked_add(near_one(reduced)?)?;
    Some(round(sum, PLACES, Rounding::HalfAwayFromZero))
}

/// The series of [`logarithm`], taken until a term no longer reaches the twentieth place.
fn near_one(value: Decimal) -> Option<Decimal> {
    let above = value.checked_sub(Decimal::ONE)?;
    let ratio = above.checked_div(value.checked_add(Decimal::ONE)?)?;
    let square = ratio.checked_mul(ratio)?;
    let (mut power, mut odd, mut sum) = (ratio, Decimal::ONE, Decimal::ZERO);
    while dec!(0.00000000000000000001) < power.abs() {
        sum = sum.checked_add(power.checked_div(odd)?)?;
        power = power.checked_mul(square)?;
        odd = odd.checked_add(dec!(2))?;
    }
    sum.checked_mul(dec!(2))
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    #[test]
    fn roots_are_those_of_the_books() {
        assert_eq!(square_root(dec!(0)), Some(dec!(0)));
        assert_eq!(square_root(dec!(2)), Some(dec!(1.414213562373)));
        assert_eq!(square_root(dec!(0.0025)), Some(dec!(0.05)));
        assert_eq!(square_root(dec!(-1)), None);
    }

    #[test]
    fn logarithms_are_those_of_the_books() {
        assert_eq!(logarithm(dec!(1)), Some(dec!(0)));
        assert_eq!(logarithm(dec!(2)), Some(dec!(0.693147180560)));
        assert_eq!(logarithm(dec!(10)), Some(dec!(2.302585092994)));
        assert_eq!(logarithm(dec!(25)), Some(dec!(3.218875824868)));
        assert_eq!(logarithm(dec!(0.5)), Some(dec!(-0.693147180560)));
        assert_eq!(logarithm(dec!(0)), None);
        assert_eq!(logarithm(dec!(-1)), None);
    }

    proptest! {
        #[test]
        fn a_root_squared_is_what_it_was_within_one_of_its_last_place(digits in 0_i64..1_000_000_000_000) {
            let value = Decimal::new(digits, 8);
            let root = square_root(value).expect("not negative");
            let next = root + Decimal::new(1, PLACES);
            prop_assert!(root * root <= value && value < next * next);
        }

        #[test]
        fn the_logarithm_of_a_product_is_the_sum_of_the_logarithms(a in 1_i64..1_000_000, b in 1_i64..1_000_000) {
            let ln = |digits: i64| logarithm(Decimal::new(digits, 3)).expect("positive");
            let product = logarithm(Decimal::new(a, 3) * Decimal::new(b, 3)).expect("positive");
            prop_assert!((product - ln(a) - ln(b)).abs() <= dec!(0.000000000002));
        }
    }
}
