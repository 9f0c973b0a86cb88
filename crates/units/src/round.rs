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
    let value = if places < value.scale() {
        value.normalize()
    } else {
        value
    };
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
        let quotient = product / whole;
        return (quotient, product - quotient * whole);
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

#[cfg(test)]
mod tests {
    use proptest::prelude::*;
    use rust_decimal::dec;

    use super::*;
    use crate::number::{canonical, fixed, parse_decimal};

    const ALL: [Rounding; 3] = [
        Rounding::HalfAwayFromZero,
        Rounding::HalfToEven,
        Rounding::Down,
    ];

    fn number(text: &str) -> Decimal {
        parse_decimal(text).expect(text)
    }

    fn rounded(text: &str, places: u32, how: Rounding) -> String {
        fixed(round(number(text), places, how), places)
    }

    #[test]
    fn ties_are_rounded_as_each_rule_says() {
        // Value at two places: half to even, half away from zero, down. Worked with Python's decimal module.
        for (value, even, away, down) in [
            ("0.005", "0.00", "0.01", "0.00"),
            ("0.015", "0.02", "0.02", "0.01"),
            ("0.025", "0.02", "0.03", "0.02"),
            ("2.675", "2.68", "2.68", "2.67"),
            ("1.005", "1.00", "1.01", "1.00"),
            ("-0.005", "0.00", "-0.01", "0.00"),
            ("-2.675", "-2.68", "-2.68", "-2.67"),
            ("24.785", "24.78", "24.79", "24.78"),
            ("1.2250", "1.22", "1.23", "1.22"),
            ("8.5450", "8.54", "8.55", "8.54"),
        ] {
            assert_eq!(rounded(value, 2, Rounding::HalfToEven), even, "{value}");
            assert_eq!(
                rounded(value, 2, Rounding::HalfAwayFromZero),
                away,
                "{value}"
            );
            assert_eq!(rounded(value, 2, Rounding::Down), down, "{value}");
        }
    }

    #[test]
    fn the_default_is_half_away_from_zero() {
        assert_eq!(Rounding::default(), Rounding::HalfAwayFromZero);
    }

    #[test]
    fn euro_amounts_round_as_the_conversion_regulation_says() {
        // Regulation (EC) 1103/97, article 5: to the nearest cent, just half-way up. Examples of e-glossa.it,
        // regolamento CE 1103/1997, article 5.
        assert_eq!(rounded("24.784", 2, Rounding::HalfAwayFromZero), "24.78");
        assert_eq!(rounded("24.785", 2, Rounding::HalfAwayFromZero), "24.79");
        // 500 and 1000 tolars at 239.640: evro.si, rounding rules.
        for (tolars, euros) in [(dec!(500), "2.09"), (dec!(1000), "4.17")] {
            let value = tolars.checked_div(dec!(239.640)).expect("not zero");
            assert_eq!(fixed(round(value, 2, Rounding::HalfAwayFromZero), 2), euros);
        }
    }

    #[test]
    fn sales_tax_is_carried_to_the_third_decimal_and_rounded_up_past_four() {
        // Streamlined Sales and Use Tax Agreement, section 324, as in Rhode Island General Laws 44-18.1-25.
        assert_eq!(rounded("1.234", 2, Rounding::HalfAwayFromZero), "1.23");
        assert_eq!(rounded("1.235", 2, Rounding::HalfAwayFromZero), "1.24");
    }

    #[test]
    fn an_invoice_traders_tax_is_rounded_down_to_the_penny() {
        // UK VAT Notice 700, paragraph 17.5, as in HMRC manual VATREC12010.
        assert_eq!(rounded("17.499", 2, Rounding::Down), "17.49");
    }

    #[test]
    fn published_rounding_to_even_comes_out_to_the_digit() {
        // IS 2:1960, rule for half-way cases (ties to even), examples of concretebasics.org.
        for (value, places, expected) in [
            ("4.36", 0, "4"),
            ("2.355", 0, "2"),
            ("15.205", 1, "15.2"),
            ("9.625", 0, "10"),
            ("2.651", 1, "2.7"),
            ("0.3552", 2, "0.36"),
            ("12.545001", 2, "12.55"),
        ] {
            assert_eq!(
                rounded(value, places, Rounding::HalfToEven),
                expected,
                "{value}"
            );
        }
    }

    #[test]
    fn a_value_is_rounded_in_one_step() {
        // IS 2:1960: 2.449 to one place is 2.4, though 2.45 would be 2.5.
        assert_eq!(rounded("2.449", 1, Rounding::HalfAwayFromZero), "2.4");
        let twice = round(
            round(dec!(2.449), 2, Rounding::HalfAwayFromZero),
            1,
            Rounding::HalfAwayFromZero,
        );
        assert_eq!(canonical(twice), "2.5");
    }

    #[test]
    fn postgres_and_this_round_alike() {
        // PostgreSQL documentation, mathematical functions: round(numeric) breaks ties away from zero.
        assert_eq!(rounded("42.5", 0, Rounding::HalfAwayFromZero), "43");
        assert_eq!(rounded("-6.5", 0, Rounding::HalfAwayFromZero), "-7");
    }

    #[test]
    fn what_binary_floating_point_gets_wrong_comes_out_right() {
        for (value, expected) in [
            ("0.015", "0.02"),
            ("2.675", "2.68"),
            ("1.005", "1.01"),
            ("8.545", "8.55"),
            ("1.225", "1.23"),
        ] {
            assert_eq!(rounded(value, 2, Rounding::HalfAwayFromZero), expected);
        }
    }

    fn shares(total: &str, weights: &[&str], places: u32) -> Vec<String> {
        let weights: Vec<Decimal> = weights.iter().map(|weight| number(weight)).collect();
        let shares = split(number(total), &weights, places).expect("can be shared");
        shares
            .into_iter()
            .map(|share| fixed(share, places))
            .collect()
    }

    #[test]
    fn published_shares_come_out_to_the_digit() {
        // 3:2:2 of 100, w3toppers: 42.86, 28.57, 28.57; the last tie goes by order.
        assert_eq!(shares("100", &["3", "2", "2"], 0), ["43", "29", "28"]);
        // dochoffiday.com, "Adding up rounded percentages to equal 100".
        assert_eq!(
            shares("100", &["40.5", "20.6", "38.9"], 0),
            ["40", "21", "39"]
        );
    }

    #[test]
    fn units_left_over_go_to_the_largest_remainders() {
        // A third of 100.00 each: 33.333.. three times, one cent over, all tied: the first.
        assert_eq!(
            shares("100.00", &["1", "1", "1"], 2),
            ["33.34", "33.33", "33.33"]
        );
        // 0.05 at 70 to 30: 3.5 and 1.5 cents, tied: the first.
        assert_eq!(shares("0.05", &["70", "30"], 2), ["0.04", "0.01"]);
        // The same the other way about: 1.5 and 3.5, tied: the first.
        assert_eq!(shares("0.05", &["30", "70"], 2), ["0.02", "0.03"]);
        // Nothing for no weight, whatever is left over.
        assert_eq!(
            shares("0.05", &["0", "1", "1"], 2),
            ["0.00", "0.03", "0.02"]
        );
        assert_eq!(shares("0.00", &["1", "2"], 2), ["0.00", "0.00"]);
        assert_eq!(shares("7.5", &["12.25"], 2), ["7.50"]);
    }

    #[test]
    fn a_negative_total_is_the_mirror_image() {
        assert_eq!(shares("-100", &["3", "2", "2"], 0), ["-43", "-29", "-28"]);
        assert_eq!(shares("-0.05", &["70", "30"], 2), ["-0.04", "-0.01"]);
    }

    #[test]
    fn what_cannot_be_shared_is_not() {
        assert_eq!(split(dec!(1), &[], 2), None, "no weights");
        assert_eq!(
            split(dec!(1), &[dec!(0), dec!(0)], 2),
            None,
            "weights that sum to zero"
        );
        assert_eq!(
            split(dec!(1), &[dec!(2), dec!(-1)], 2),
            None,
            "a negative weight"
        );
        assert_eq!(split(dec!(0.005), &[dec!(1)], 2), None, "half a cent");
        assert_eq!(
            split(dec!(1), &[dec!(1)], 29),
            None,
            "more places than a decimal has"
        );
        assert_eq!(
            split(Decimal::MAX, &[dec!(1)], 2),
            None,
            "more cents than a decimal has"
        );
        assert_eq!(
            split(dec!(1), &[Decimal::MAX, dec!(0.000000000000001)], 2),
            None,
            "weights too far apart"
        );
    }

    #[test]
    fn long_weights_are_shared_by_as_exactly_as_short_ones() {
        // The product of total and weight needs some 180 bits here: 28 digits by 27.
        let third = dec!(0.3333333333333333333333333333);
        let total = number("999999999999999.99");
        let shares = split(total, &[third; 3], 2).expect("can be shared");
        assert_eq!(shares, [dec!(333333333333333.33); 3]);
        let nearly = [third, third, dec!(0.3333333333333333333333333334)];
        let shares = split(dec!(10000000000000000000000000), &nearly, 0).expect("can be shared");
        // 3333333333333333333333333 each and one over, to the weight that is larger by its last digit.
        assert_eq!(shares[2], dec!(3333333333333333333333334));
        assert_eq!(shares[0], dec!(3333333333333333333333333));
    }

    /// Any decimal of up to 27 digits, half of them just half-way at some place.
    fn decimals() -> impl Strategy<Value = Decimal> {
        (any::<i64>(), 0_u32..=15, any::<bool>()).prop_map(|(digits, scale, is_tie)| {
            let digits = if is_tie {
                i128::from(digits) * 10 + 5
            } else {
                i128::from(digits)
            };
            Decimal::from_i128_with_scale(digits, scale)
        })
    }

    proptest! {
        #[test]
        fn rounding_twice_to_the_same_places_changes_nothing(value in decimals(), places in 0_u32..12) {
            for how in ALL {
                let once = round(value, places, how);
                prop_assert!(once.scale() <= places || once.normalize().scale() <= places);
                prop_assert_eq!(round(once, places, how), once);
            }
        }

        #[test]
        fn rounding_moves_by_at_most_half_a_unit_and_down_by_less_than_one(
            value in decimals(), places in 0_u32..12
        ) {
            let unit = Decimal::new(1, places);
            for how in [Rounding::HalfAwayFromZero, Rounding::HalfToEven] {
                prop_assert!((round(value, places, how) - value).abs() * dec!(2) <= unit);
            }
            let down = round(value, places, Rounding::Down);
            prop_assert!((down - value).abs() < unit && down.abs() <= value.abs());
        }

        #[test]
        fn rounding_is_the_same_on_both_sides_of_zero(value in decimals(), places in 0_u32..12) {
            for how in ALL {
                prop_assert_eq!(round(-value, places, how), -round(value, places, how));
            }
        }

        #[test]
        fn shares_add_up_and_stand_within_one_unit_of_the_ideal(
            cents in -1_000_000_000_i64..1_000_000_000,
            weights in prop::collection::vec(0_u32..100_000, 1..20),
        ) {
            let total = Decimal::new(cents, 2);
            let whole: i64 = weights.iter().map(|weight| i64::from(*weight)).sum();
            prop_assume!(0 < whole);
            let decimals: Vec<Decimal> = weights.iter().map(|weight| Decimal::new(i64::from(*weight), 3)).collect();
            let shares = split(total, &decimals, 2).expect("can be shared");
            prop_assert_eq!(shares.iter().sum::<Decimal>(), total);
            for (share, weight) in shares.iter().zip(&weights) {
                // In whole cents times the whole: |share x whole - cents x weight| < whole.
                let share = i128::try_from(*share * dec!(100)).expect("whole cents");
                let off = share * i128::from(whole) - i128::from(cents) * i128::from(*weight);
                prop_assert!(off.abs() < i128::from(whole));
            }
        }

        #[test]
        fn another_order_moves_only_tied_units(
            cents in 0_i64..100_000,
            weights in prop::collection::vec(1_u32..50, 2..10),
            turn in 0_usize..10,
        ) {
            let by_weight = |weights: &[u32]| {
                let decimals: Vec<Decimal> = weights.iter().map(|weight| Decimal::from(*weight)).collect();
                let shares = split(Decimal::new(cents, 2), &decimals, 2).expect("can be shared");
                let mut pairs: Vec<(u32, Decimal)> = weights.iter().copied().zip(shares).collect();
                pairs.sort();
                pairs
            };
            let mut turned = weights.clone();
            turned.rotate_left(turn % weights.len());
            let whole: i64 = weights.iter().map(|weight| i64::from(*weight)).sum();
            // A tie is between equal remainders, which unequal weights may share.
            let remainder = |weight: u32| (cents * i64::from(weight)) % whole;
            for ((weight, share), (_, other)) in by_weight(&weights).into_iter().zip(by_weight(&turned)) {
                let is_tied = weights.iter().filter(|one| remainder(**one) == remainder(weight)).count() > 1;
                prop_assert!(share == other || is_tied, "{} had {} then {}", weight, share, other);
                prop_assert!((share - other).abs() <= dec!(0.01));
            }
        }

        #[test]
        fn the_long_way_of_taking_a_part_agrees_with_the_short(
            units in 1_u128 << 50..1 << 60, weight in 1_u128 << 50..1 << 60, more in 1_u128..1 << 60,
        ) {
            let whole = weight + more;
            let (quotient, remainder) = (units * weight / whole, units * weight % whole);
            prop_assert_eq!(part_of(units, weight, whole), (quotient, remainder));
            // The same proportion in units 2^60 times as small, whose product does not fit in 128 bits.
            prop_assert_eq!(part_of(units, weight << 60, whole << 60), (quotient, remainder << 60));
        }
    }
}
