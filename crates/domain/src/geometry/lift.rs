//! Lifts: the levels between which a wall is placed, and the placed volume shared out so that the lifts sum to it.
//! What stands between two levels is measured in `bands`.

use hod_units::{Decimal, Length, Rounding, round};

use super::check::lift_height;
use super::drawing::{Profile, WallDrawing};
use super::figure::{metres, volume_of_steps};
use super::measured::Lift;

/// The level at which each lift begins, from 0, and last the wall's greatest height.
pub(super) fn levels(wall: &WallDrawing, into: &mut Vec<Length>) {
    let top = greatest_height(&wall.profile);
    let height = lift_height(wall).metres();
    // To a millionth of a micrometre, so that whole numbers are enough to count with: 2 m is 2e12 of them.
    let height = if height.scale() <= LEVEL_PLACES {
        height
    } else {
        round(height, LEVEL_PLACES, Rounding::HalfAwayFromZero)
    };
    let step = i64::try_from(height.mantissa()).unwrap_or(i64::MAX);
    let level = |number: i64| {
        let steps = step.saturating_mul(number);
        Length::from_metres(Decimal::new(steps, height.scale()))
    };
    let top_metres = metres(top);
    // A lift is at least 0.02 m and a wall at most 30 m: at most 1,500 times.
    let lower = (0..)
        .map(level)
        .take_while(|level| metres(*level) < top_metres);
    into.clear();
    into.extend(lower);
    into.push(top);
}

const LEVEL_PLACES: u32 = 12;

fn greatest_height(profile: &Profile) -> Length {
    match profile {
        Profile::Level { height } => *height,
        Profile::Slope { height, height_end } => *height.max(height_end),
        Profile::Peak { peak, .. } => *peak,
    }
}

/// A lift's volume in whole steps, and what that leaves of it, as a part of a step.
pub(super) type Share = (i64, f64);

/// The lifts between these levels, whose volumes in steps sum to `placed`. `None` when a volume is not finite, or the
/// total is no sum of them.
///
/// Largest remainder: every lift is first cut down to whole steps of its own volume, and the steps left over go one
/// each to the largest remainders. The volumes themselves sum to `placed` but for what rounding its parts has done,
/// a step or two; where that leaves too few steps the smallest remainders give one up.
pub(super) fn lifts(
    levels: &[Length],
    volumes: impl Iterator<Item = f64>,
    placed: i64,
    shares: &mut Vec<Share>,
) -> Option<Vec<Lift>> {
    share_out(volumes, placed, shares)?;
    let lifts = levels.windows(2).zip(shares.iter()).zip(1..);
    Some(
        lifts
            .map(|((pair, (steps, _)), number)| Lift {
                number,
                from: pair[0],
                to: pair[1],
                volume: volume_of_steps(*steps),
            })
            .collect(),
    )
}

/// Whole steps for each volume (m3), which sum to `total`.
fn share_out(
    volumes: impl Iterator<Item = f64>,
    total: i64,
    shares: &mut Vec<Share>,
) -> Option<()> {
    shares.clear();
    let mut left_over = total;
    for volume in volumes {
        let steps = volume * 1e6;
        // Where a lift is all opening, rounding can leave it a little less than nothing.
        if !(-0.001..9e15).contains(&steps) {
            return None;
        }
        let steps = steps.max(0.0);
        // The cast cuts toward zero, which is downward for a volume.
        let whole = steps as i64;
        left_over = left_over.checked_sub(whole)?;
        shares.push((whole, steps - whole as f64));
    }
    if left_over < -2 || shares.len() as i64 + 2 < left_over {
        return None;
    }
    while 0 < left_over {
        let (whole, rest) = shares
            .iter_mut()
            .reduce(|a, b| if a.1 < b.1 { b } else { a })?;
        (*whole, *rest) = (*whole + 1, *rest - 1.0);
        left_over -= 1;
    }
    while left_over < 0 {
        let givers = shares.iter_mut().filter(|(whole, _)| 0 < *whole);
        let (whole, rest) = givers.reduce(|a, b| if b.1 < a.1 { b } else { a })?;
        (*whole, *rest) = (*whole - 1, *rest + 1.0);
        left_over += 1;
    }
    Some(())
}

#[cfg(test)]
mod tests {
    use super::*;

    fn shared(volumes: &[f64], total: i64) -> Option<Vec<i64>> {
        let mut shares = Vec::new();
        share_out(volumes.iter().copied(), total, &mut shares)?;
        Some(shares.into_iter().map(|(whole, _)| whole).collect())
    }

    #[test]
    fn left_over_steps_go_to_the_largest_remainders() {
        // 1.4 + 2.7 + 3.6 = 7.7 steps, told as 8: whole 1 + 2 + 3, and one each for 0.7 and 0.6.
        let volumes = [1.4e-6, 2.7e-6, 3.6e-6];
        assert_eq!(shared(&volumes, 8), Some(vec![1, 3, 4]));
        // Told as 7, one; told as 6, none; told as 5, the smallest remainder gives one up.
        assert_eq!(shared(&volumes, 7), Some(vec![1, 3, 3]));
        assert_eq!(shared(&volumes, 6), Some(vec![1, 2, 3]));
        assert_eq!(shared(&volumes, 5), Some(vec![0, 2, 3]));
        // Among equal remainders the lower lift comes first.
        assert_eq!(shared(&[1.5e-6, 1.5e-6], 3), Some(vec![2, 1]));
    }

    #[test]
    fn a_total_that_is_no_sum_of_the_lifts_is_no_sharing_out() {
        assert_eq!(shared(&[1e-6, 1e-6], 400), None);
        assert_eq!(shared(&[f64::NAN], 0), None);
        assert_eq!(shared(&[], 0), Some(vec![]));
    }
}
