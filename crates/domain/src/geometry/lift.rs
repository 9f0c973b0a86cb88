//! Lifts: the levels between which a wall is placed, and the placed volume shared out so that the lifts sum to it.
//! What stands between two levels is measured in `measure`.

use hod_units::{Decimal, Length};

use super::check::lift_height;
use super::drawing::{Profile, WallDrawing};
use super::figure::{metres, volume_of_steps};
use super::measured::Lift;

/// The level at which each lift begins, from 0, and last the wall's greatest height.
pub(super) fn levels(wall: &WallDrawing) -> Vec<Length> {
    let top = greatest_height(&wall.profile);
    let height = lift_height(wall).metres();
    let (top_metres, lift_metres) = (metres(top), metres(Length::from_metres(height)));
    let mut levels = Vec::with_capacity((top_metres / lift_metres) as usize + 2);
    levels.push(Length::ZERO);
    let mut number = 1_u32;
    // A lift is at least 0.02 m and a wall at most 30 m: at most 1,500 times.
    while let Some(level) = height
        .checked_mul(Decimal::from(number))
        .map(Length::from_metres)
        && metres(level) < top_metres
    {
        levels.push(level);
        number += 1;
    }
    levels.push(top);
    levels
}

fn greatest_height(profile: &Profile) -> Length {
    match profile {
        Profile::Level { height } => *height,
        Profile::Slope { height, height_end } => *height.max(height_end),
        Profile::Peak { peak, .. } => *peak,
    }
}

/// The lifts between these levels, whose volumes in steps sum to `placed`.
///
/// Largest remainder: every lift is first cut down to whole steps of its own volume, and the steps left over go one
/// each to the largest remainders. The volumes themselves sum to `placed` but for what rounding its parts has done,
/// a step or two; where that leaves too few steps the smallest remainders give one up.
pub(super) fn lifts(levels: &[Length], volumes: &[f64], placed: i64) -> Option<Vec<Lift>> {
    let shares = share_out(volumes, placed)?;
    let lifts = levels.windows(2).zip(shares).zip(1..);
    Some(
        lifts
            .map(|((pair, steps), number)| Lift {
                number,
                from: pair[0],
                to: pair[1],
                volume: volume_of_steps(steps),
            })
            .collect(),
    )
}

/// Whole steps for each volume (m3), which sum to `total`. `None` when a volume is not finite or the total is far off.
fn share_out(volumes: &[f64], total: i64) -> Option<Vec<i64>> {
    let mut shares: Vec<i64> = Vec::with_capacity(volumes.len());
    let mut order: Vec<(f64, usize)> = Vec::with_capacity(volumes.len());
    for (index, volume) in volumes.iter().enumerate() {
        let steps = volume * 1e6;
        if !(steps.abs() < 9e15) {
            return None;
        }
        shares.push(steps.floor() as i64);
        order.push((steps - steps.floor(), index));
    }
    // The sort is stable, so equal remainders stay in the order of the lifts.
    order.sort_by(|a, b| b.0.total_cmp(&a.0));
    let mut left_over = total.checked_sub(shares.iter().sum())?;
    for (_, index) in order.iter().cycle().take(order.len() + 2) {
        if 0 < left_over {
            shares[*index] += 1;
            left_over -= 1;
        }
    }
    for (_, index) in order.iter().rev() {
        if left_over < 0 && 0 < shares[*index] {
            shares[*index] -= 1;
            left_over += 1;
        }
    }
    (left_over == 0).then_some(shares)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn left_over_steps_go_to_the_largest_remainders() {
        // 1.4 + 2.7 + 3.6 = 7.7 steps, told as 8: whole 1 + 2 + 3, and one each for 0.7 and 0.6.
        assert_eq!(share_out(&[1.4e-6, 2.7e-6, 3.6e-6], 8), Some(vec![1, 3, 4]));
        // Told as 7, one; told as 6, none; told as 5, the smallest remainder gives one up.
        assert_eq!(share_out(&[1.4e-6, 2.7e-6, 3.6e-6], 7), Some(vec![1, 3, 3]));
        assert_eq!(share_out(&[1.4e-6, 2.7e-6, 3.6e-6], 6), Some(vec![1, 2, 3]));
        assert_eq!(share_out(&[1.4e-6, 2.7e-6, 3.6e-6], 5), Some(vec![0, 2, 3]));
    }

    #[test]
    fn a_total_that_is_no_sum_of_the_lifts_is_no_sharing_out() {
        assert_eq!(share_out(&[1e-6, 1e-6], 400), None);
        assert_eq!(share_out(&[f64::NAN], 0), None);
        assert_eq!(share_out(&[], 0), Some(vec![]));
    }
}
