//! Lifts: the levels between which a wall is placed, zone by zone, and figures shared out so that the lifts sum to them.
//! What stands between two levels is measured in `bands`.

use std::iter::once;

use hod_units::{Decimal, Length, Rounding, round};

use super::check::lift_height;
use super::drawing::WallDrawing;
use super::figure::metres;

/// A zone of a wall as drawn: from a level to the next, and how high its lifts are. The first is the wall's own.
pub(super) struct Part {
    pub(super) from: Length,
    pub(super) to: Length,
    pub(super) lift: Length,
}

/// The zones of a wall, from the bottom up.
pub(super) fn parts(wall: &WallDrawing) -> impl Iterator<Item = Part> {
    let begins = once((Length::ZERO, wall.lift_height))
        .chain(wall.zones.iter().map(|zone| (zone.from, zone.lift_height)));
    let ends = wall.zones.iter().map(|zone| zone.from);
    begins
        .zip(ends.chain(once(wall.profile.highest())))
        .map(|((from, lift), to)| Part {
            from,
            to,
            lift: lift_height(wall, lift),
        })
}

/// How many lifts a zone comes to, the last of them cut short; none where its sizes make no count.
pub(super) fn whole_lifts(part: &Part) -> Option<u64> {
    let height = part.to.checked_sub(part.from)?;
    let lifts = height.checked_ratio(part.lift)?;
    u64::try_from(lifts.ceil()).ok()
}

/// The levels of a wall's lifts.
#[derive(Default)]
pub(super) struct Levels {
    /// At which each lift begins, from 0, and last the wall's greatest height.
    pub(super) all: Vec<Length>,
    /// The zone of each lift.
    pub(super) zones: Vec<u32>,
}

impl Levels {
    /// Those of this wall, in place of what was here. No lift reaches from one zone into the next.
    pub(super) fn fill(&mut self, wall: &WallDrawing) {
        self.all.clear();
        self.zones.clear();
        for (zone, part) in (0..).zip(parts(wall)) {
            self.add(&part);
            self.zones.resize(self.all.len(), zone);
        }
        self.all.push(wall.profile.highest());
    }

    fn add(&mut self, part: &Part) {
        let height = part.lift.metres();
        // To a millionth of a micrometre, so that whole numbers are enough to count with: 2 m is 2e12 of them.
        let height = if height.scale() <= LEVEL_PLACES {
            height
        } else {
            round(height, LEVEL_PLACES, Rounding::HalfAwayFromZero)
        };
        let step = i64::try_from(height.mantissa()).unwrap_or(i64::MAX);
        let level = |number: i64| {
            let steps = step.saturating_mul(number);
            let above = Length::from_metres(Decimal::new(steps, height.scale()));
            if part.from.is_zero() {
                above
            } else {
                part.from.checked_add(above).unwrap_or(part.to)
            }
        };
        let top_metres = metres(part.to);
        // A lift is at least 0.02 m and a wall at most 30 m: at most 1,500 times.
        let lower = (0..)
            .map(level)
            .take_while(|level| metres(*level) < top_metres);
        self.all.extend(lower);
    }
}

const LEVEL_PLACES: u32 = 12;

/// A lift's share of a figure in whole steps, and what that leaves of it, as a part of a step.
pub(super) type Share = (i64, f64);

/// Shares out a figure of a wall (m3 or m2) among its lifts, in whole steps that sum to `total`. `None` when a share is
/// not finite, or the total is no sum of them.
///
/// Largest remainder: every lift is first cut down to whole steps of its own share, and the steps left over go one
/// each to the largest remainders. The shares themselves sum to the total but for what rounding its parts has done,
/// a step or two; where that leaves too few steps the smallest remainders give one up.
pub(super) fn share_out(
    figures: impl Iterator<Item = f64>,
    total: i64,
    shares: &mut Vec<Share>,
) -> Option<()> {
    shares.clear();
    let mut left_over = total;
    for figure in figures {
        let steps = figure * 1e6;
        // Where a lift is all opening, rounding can leave it a little less than nothing.
        if !(-0.01..9e15).contains(&steps) {
            return None;
        }
        let steps = steps.max(0.0);
        // The cast cuts toward zero, which is downward for what is above zero.
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
