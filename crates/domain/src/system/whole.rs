//! The job as a whole: setting up and cleaning up, and the openings of all its walls.

use crate::geometry::WallMeasure;
use crate::takeoff::TakeoffTotals;
use crate::takeoff::tally::Tally;
use crate::work::Task;

use super::BuiltSums;

pub(super) fn put_down(measures: &[WallMeasure], totals: &TakeoffTotals, tally: &mut Tally) {
    let job = tally.job;
    let sums = BuiltSums {
        net: totals.net,
        placed: totals.placed,
        inner_face: totals.inner_face,
        outer_face: totals.outer_face,
        lifts: measures.iter().map(|wall| wall.lifts.len()).sum(),
        openings: job.walls.iter().map(|wall| wall.openings.len()).sum(),
    };
    let method = job.mixing.as_ref();
    tally.work(Task::SetUp, method, sums.amounts());
    if 0 < sums.openings {
        tally.work(Task::SetOpening, method, sums.amounts());
    }
    tally.work(Task::CleanUp, method, sums.amounts());
}
