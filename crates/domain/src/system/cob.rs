//! Cob: earth and straw laid wet in lifts without forms, and pared when it has firmed up.

use super::{Built, BuiltSums, mixing_of, place_earth};
use crate::takeoff::tally::Tally;
use crate::work::Task;

pub(super) fn put_down(built: &Built, sums: &BuiltSums, tally: &mut Tally) {
    let method = mixing_of(built.build, tally);
    let is_pared = sums.net < sums.placed;
    let tasks: &[Task] = if is_pared {
        &[Task::Place, Task::Pare, Task::Cover]
    } else {
        &[Task::Place, Task::Cover]
    };
    place_earth(built.build, sums, tasks, tally);
    for task in tasks {
        tally.work(*task, method.as_ref(), sums.amounts());
    }
}
