//! The one place that rounds, and the one way of sharing a total out so that the shares add up to it.
//! Who rounds what, and to how many places, is for the caller to say; nothing here has a default number of places.

use rust_decimal::{Decimal, RoundingStrategy};

use crate::number::unsigned_zero;

/// How a value that does not fit the wanted places is brought to them.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Default)]
pub enum Rounding {
    /// To the nearest; a value just half-way goes away from zero: 2.345 to 2.35, -2.345 to -2.35.
    /// What a spreadsheet does, and what `round(numeric)` does in Postgres.
    #[default]
    HalfAwayFromZero,
    /// To the nearest; a value just half-way goes to the even digit: 2.345 to 2.34, 2.355 to 2.36.
    HalfToEven,
    /// Towards zero: 2.349 to 2.34, -2.349 to -2.34.
    Down,
}

impl Rounding {
    fn strategy(self) -> RoundingStrategy {
        match self {
            Self::HalfAwayFromZero => RoundingStrategy::MidpointAwayFromZero,
            Self::HalfToEven => RoundingStrategy::MidpointNearestEven,
            Self::Down => RoundingStrategy::ToZero,
        }
    }
}

/// Rounds `value` to `places` digits after the point, in one step. Zero comes back without a sign.
///
/// Round once, from the full value: 2.449 to one place is 2.4, but by way of two places (2.45) it would become 2.5.
///
/// ```
/// use hod_units::{NumberFault, Rounding, canonical, parse_decimal, round};
///
/// let price = parse_decimal("2.345")?;
/// assert_eq!(canonical(round(price, 2, Rounding::HalfAwayFromZero)), "2.35");
/// assert_eq!(canonical(round(price, 2, Rounding::HalfToEven)), "2.34");
/// assert_eq!(canonical(round(price, 2, Rounding::Down)), "2.34");
/// # Ok::<(), NumberFault>(())
/// ```
#[expect(
    clippy::disallowed_methods,
    reason = "this is the one place that rounds"
)]
pub fn round(value: Decimal, places: u32, how: Rounding) -> Decimal {
    unsigned_zero(value.round_dp_with_strategy(places, how.strategy()))
}

/// Shares `total` out by `weights`, each share to `places` digits, so that the shares add up to `total` exactly.
///
/// Largest remainder: every share is first cut down to whole units of the last place, then the units left over go
/// one each to the largest remainders, and among equal remainders to the earlier in order. So each share is within
/// one unit of its ideal. A negative total gives the mirror image of the positive one.
///
/// `None` when there is nothing to share by (no weights, a negative weight, or weights that sum to zero), when
/// `total` has more than `places` decimals and so cannot be made up of such shares, or when the weights span
/// more digits (about 37) than can be compared exactly.
///
/// ```
/// use hod_units::{Decimal, NumberFault, canonical, parse_decimal, split};
///
/// let thirds = split(parse_decimal("100.00")?, &[Decimal::ONE; 3], 2).unwrap_or_default();
/// assert_eq!(thirds.into_iter().map(canonical).collect::<Vec<_>>(), ["33.34", "33.33", "33.33"]);
/// # Ok::<(), NumberFault>(())
/// ```
pub fn split(total: Decimal, weights: &[Decimal], places: u32) -> Option<Vec<Decimal>> {
    let units = whole_units(total.abs(), places)?;
    let weights = whole_weights(weights)?;
    let shares = share_out(units, &weights)?;
    let signed = |share: u128| {
        let share = i128::try_from(share).ok()?;
        let share = if total.is_sign_negative() {
            -share
        } else {
            share
        };
        Decimal::try_from_i128_with_scale(share, places).ok()
    };
    shares.into_iter().map(signed).collect()
}

/// How many units of the last of `places` a value (zero or more) holds; `None` if it is not a whole number of them.
fn whole_units(value: Decimal, places: u32) -> Option<u128> {
    let value = value.normalize();
    let mantissa = u128::try_from(value.mantissa()).ok()?;
    mantissa.checked_mul(10_u128.checked_pow(places.checked_sub(value.scale())?)?)
}

/// The weights as whole numbers in the same proportion; `None` for a negative one or where the numbers grow too large.
fn whole_weights(weights: &[Decimal]) -> Option<Vec<u128>> {
    let places = weights
        .iter()
        .map(|weight| weight.normalize().scale())
        .max()?;
    weights
        .iter()
        .map(|weight| whole_units(*weight, places))
        .collect()
}

/// Largest remainder in whole units. The shares sum to `units`.
fn share_out(units: u128, weights: &[u128]) -> Option<Vec<u128>> {
    let whole = weights
        .iter()
        .try_fold(0_u128, |sum, weight| sum.checked_add(*weight))?;
    if whole == 0 || WHOLE_MAX < whole {
        return None;
    }
    let (mut shares, remainders): (Vec<u128>, Vec<u128>) = weights
        .iter()
        .map(|weight| part_of(units, *weight, whole))
        .unzip();
    let shared: u128 = shares.iter().sum();
    let left_over = usize::try_from(units.checked_sub(shared)?).ok()?;
    let mut order: Vec<usize> = (0..weights.len()).collect();
    // The sort is stable, so equal remainders stay in the order given.
    order.sort_by_key(|index| std::cmp::Reverse(remainders[*index]));
    for index in order.into_iter().take(left_over) {
        shares[index] += 1;
    }
    Some(shares)
}

/// The largest sum of weights for which `part_of` cannot overflow: it holds up to three times this in 128 bits.
const WHOLE_MAX: u128 = u128::MAX / 3;

/// Quotient and remainder of `units x weight / whole`, exact although the product may need 220 bits.
/// `weight` is at most `whole`, and `whole` at most [`WHOLE_MAX`].
fn part_of(units: u128, weight: u128, whole: u128) -> (u128, u128) {
    if let Some(product) = units.checked_mul(weight) {
        return (product / whole, product % whole);
    }
    // Long division in base two: bring down one bit of `units` at a time, as one brings down digits on paper.
    let (mut quotient, mut remainder) = (0_u128, 0_u128);
    for bit in (0..u128::BITS - units.leading_zeros()).rev() {
        let brought_down = 2 * remainder + weight * (units >> bit & 1);
        quotient = 2 * quotient + brought_down / whole;
        remainder = brought_down % whole;
    }
    (quotient, remainder)
}
