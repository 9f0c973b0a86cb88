//! Lifts: the levels between which a wall is placed, zone by zone, and figures shared out so that the lifts sum to them.
//! What stands between two levels is measured in `bands`.

use std::iter::once;

use hod_units::{Decimal, Length, Rounding, round};

use super::check::lift_height;
use super::drawing::WallDrawing;
use super::figure::metres;

/// A zone of a wall as drawn: from a level to the next, and how high its lifts are. The first is the wall's own.
#[derive(Clone, Copy)]
pub(super) struct Part {
    pub(super) from: Length,
    pub(super) to: Length,
    pub(super) lift: Length,
}

impl Part {
    /// Whether it is written as the other is, to the last zero: levels are handed out as they are written.
    fn is_written_as(&self, other: &Self) -> bool {
        let written =
            |part: &Self| [part.from, part.to, part.lift].map(|length| length.metres().serialize());
        written(self) == written(other)
    }
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
    whole_ratio(height.metres(), part.lift.metres()).or_else(|| {
        let lifts = height.checked_ratio(part.lift)?;
        u64::try_from(lifts.ceil()).ok()
    })
}

/// One decimal over another, up to a whole number, in the whole numbers that nearly all drawings are small enough for;
/// none for the others. Every wall of a job is counted so before any is measured.
fn whole_ratio(over: Decimal, under: Decimal) -> Option<u64> {
    let places = over.scale().max(under.scale());
    let whole = |value: Decimal| {
        let digits = u64::try_from(value.mantissa()).ok()?;
        digits.checked_mul(10_u64.checked_pow(places - value.scale())?)
    };
    let (over, under) = (whole(over)?, whole(under)?);
    (0 < under).then(|| over.div_ceil(under))
}

/// The levels of a wall's lifts.
#[derive(Default)]
pub(super) struct Levels {
    /// At which each lift begins, from 0, and last the wall's greatest height.
    pub(super) all: Vec<Length>,
    /// The same in metres.
    pub(super) heights: Vec<f64>,
    /// The zone of each lift.
    pub(super) zones: Vec<u32>,
    /// The one zone that they were filled for; none where there were several.
    only: Option<Part>,
}

impl Levels {
    /// Those of this wall, in place of what was here. No lift reaches from one zone into the next.
    pub(super) fn fill(&mut self, wall: &WallDrawing) {
        let only = parts(wall).next().filter(|_| wall.zones.is_empty());
        // Most walls of a job are as high as the wall before, and laid in the same lifts.
        if only.is_some_and(|only| self.is_filled_for(&only)) {
            return;
        }
        self.only = only;
        self.all.clear();
        self.heights.clear();
        self.zones.clear();
        for (zone, part) in (0..).zip(parts(wall)) {
            self.add(&part);
            self.zones.resize(self.all.len(), zone);
        }
        let top = wall.profile.highest();
        self.push(top, metres(top));
    }

    fn is_filled_for(&self, part: &Part) -> bool {
        self.only.is_some_and(|only| only.is_written_as(part))
    }

    fn push(&mut self, level: Length, height: f64) {
        self.all.push(level);
        self.heights.push(height);
    }

    /// The levels at which the lifts of a zone begin.
    fn add(&mut self, part: &Part) {
        let lift = part.lift.metres();
        // To a millionth of a micrometre, so that whole numbers are enough to count with: 2 m is 2e12 of them.
        let lift = if lift.scale() <= LEVEL_PLACES {
            lift
        } else {
            round(lift, LEVEL_PLACES, Rounding::HalfAwayFromZero)
        };
        let step = i64::try_from(lift.mantissa()).unwrap_or(i64::MAX);
        let top = metres(part.to);
        let mut steps = 0_i64;
        // A lift is at least 0.02 m and a wall at most 30 m: at most 1,500 times.
        loop {
            let above = Length::from_metres(Decimal::new(steps, lift.scale()));
            let level = if part.from.is_zero() {
                above
            } else {
                part.from.checked_add(above).unwrap_or(part.to)
            };
            let height = metres(level);
            if top <= height {
                break;
            }
            self.push(level, height);
            steps = steps.saturating_add(step);
        }
    }
}

const LEVEL_PLACES: u32 = 12;

/// Shares in so many figures, in whole steps.
pub(super) type Shares<const N: usize> = [i64; N];

/// Shares out figures of a wall (m3 or m2) among its lifts, in whole steps that sum to the `totals`. `None` when a share is
/// not finite, or a total is no sum of them.
///
/// Largest remainder: every lift is first cut down to whole steps of its own share, and the steps left over go one
/// each to the largest remainders. The shares themselves sum to the total but for what rounding its parts has done,
/// a step or two; where that leaves too few steps the smallest remainders give one up.
pub(super) fn share_out<const N: usize>(
    figures: impl Iterator<Item = [f64; N]>,
    totals: Shares<N>,
    sharing: &mut Sharing<N>,
) -> Option<()> {
    let Sharing { steps, rests } = sharing;
    steps.clear();
    rests.clear();
    let mut left_over = totals;
    let mut is_sound = true;
    for figures in figures {
        let (mut whole, mut rest) = ([0; N], [0.0; N]);
        for i in 0..N {
            let share = figures[i] * 1e6;
            // Where a lift is all opening, rounding can leave it a little less than nothing.
            is_sound &= (-0.01..MOST).contains(&share);
            let share = share.max(0.0);
            // The cast cuts toward zero, which is downward for what is above zero.
            whole[i] = share as i64;
            rest[i] = share - whole[i] as f64;
            left_over[i] = left_over[i].saturating_sub(whole[i]);
        }
        steps.push(whole);
        rests.push(rest);
    }
    is_sound.then_some(())?;
    for (i, left_over) in left_over.into_iter().enumerate() {
        if left_over < -2 || sharing.steps.len() as i64 + 2 < left_over {
            return None;
        }
        sharing.give(i, left_over)?;
        sharing.take(i, -left_over)?;
    }
    Some(())
}

/// No share is larger, in steps: nine thousand cubic kilometres.
const MOST: f64 = 9e15;

/// Figures as they are shared out.
#[derive(Debug)]
pub(super) struct Sharing<const N: usize> {
    /// Of each lift.
    pub(super) steps: Vec<Shares<N>>,
    /// What whole steps leave of each share, as a part of a step.
    rests: Vec<[f64; N]>,
}

impl<const N: usize> Default for Sharing<N> {
    fn default() -> Self {
        Self {
            steps: Vec::new(),
            rests: Vec::new(),
        }
    }
}

impl<const N: usize> Sharing<N> {
    /// Gives so many steps of a figure, one by one, to the largest remainders; of like ones to the first.
    fn give(&mut self, figure: usize, count: i64) -> Option<()> {
        for _ in 0..count {
            let larger = |a: usize, b: usize| {
                let is_larger = self.rests[a][figure] < self.rests[b][figure];
                if is_larger { b } else { a }
            };
            let lift = (0..self.steps.len()).reduce(larger)?;
            self.steps[lift][figure] += 1;
            self.rests[lift][figure] -= 1.0;
        }
        Some(())
    }

    /// Takes so many steps back from the smallest, of those who have any.
    fn take(&mut self, figure: usize, count: i64) -> Option<()> {
        for _ in 0..count {
            let smaller = |a: usize, b: usize| {
                let is_smaller = self.rests[b][figure] < self.rests[a][figure];
                if is_smaller { b } else { a }
            };
            let givers = (0..self.steps.len()).filter(|lift| 0 < self.steps[*lift][figure]);
            let lift = givers.reduce(smaller)?;
            self.steps[lift][figure] -= 1;
            self.rests[lift][figure] += 1.0;
        }
        Some(())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn shared(volumes: &[f64], total: i64) -> Option<Vec<i64>> {
        let mut sharing = Sharing::default();
        let figures = volumes.iter().map(|volume| [*volume, 1.0]);
        let totals = [total, 1_000_000 * volumes.len() as i64];
        share_out(figures, totals, &mut sharing)?;
        // What is shared out beside it keeps to itself.
        assert!(sharing.steps.iter().all(|shares| shares[1] == 1_000_000));
        Some(sharing.steps.into_iter().map(|shares| shares[0]).collect())
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
