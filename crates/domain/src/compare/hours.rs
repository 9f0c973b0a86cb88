//! What the old labour constants would take for the new quantities: where the difference of a task's hours is split into
//! more work and slower work.

use std::collections::BTreeMap;

use hod_units::Decimal;

use crate::estimate::WorkLine;
use crate::id::Method;
use crate::work::{Driver, Task};

/// The hours of a task in two estimates, and between them.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct TaskHours {
    /// Old constants, old quantities.
    pub before: Decimal,
    /// Old constants, new quantities.
    pub between: Decimal,
    /// New constants, new quantities.
    pub after: Decimal,
}

/// The work of a task that is done alike before and after.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
enum Way<'a> {
    /// By one method, or by any.
    By(Option<&'a Method>),
    /// By methods of which others have taken the place.
    Replaced,
}

/// What is counted by one driver, and the hours of that.
#[derive(Debug, Clone, Copy, Default)]
struct Counted {
    quantity: Decimal,
    hours: Decimal,
}

type Works<'a> = BTreeMap<(Way<'a>, Driver), Counted>;

/// The hours of a task; `None` when one of the two does not say what they were counted by, or on overflow.
///
/// What is counted by the same driver with the same method is held against each other, whichever constant counts it. A
/// driver that is replaced by another within its method keeps its old hours, so that what the other takes more or less is an
/// effect of the constants. Where methods only went and others only came, the ones have taken the place of the others: what
/// both count alike is held against each other too. Where methods only went, or only came, that is less work, or more.
pub(super) fn task_hours(task: Task, before: &[WorkLine], after: &[WorkLine]) -> Option<TaskHours> {
    let (went, came) = (
        methods_of(task, before, after),
        methods_of(task, after, before),
    );
    let is_replaced = !went.is_empty() && !came.is_empty();
    let way = |method| {
        if is_replaced && (went.contains(&method) || came.contains(&method)) {
            Way::Replaced
        } else {
            Way::By(method)
        }
    };
    let (before, after) = (works(task, before, way)?, works(task, after, way)?);
    if before.is_empty() || after.is_empty() {
        return None;
    }
    Some(TaskHours {
        before: total(&before)?,
        between: between(&before, &after)?,
        after: total(&after)?,
    })
}

/// The hours at the old constants for the new quantities.
fn between(before: &Works, after: &Works) -> Option<Decimal> {
    let is_way_of = |works: &Works, wanted: Way| works.keys().any(|(way, _)| *way == wanted);
    let mut hours = Decimal::ZERO;
    for ((way, driver), old) in before {
        let at_old = match after.get(&(*way, *driver)) {
            Some(new) => at_old_constant(*old, new.quantity)?,
            None if is_way_of(after, *way) => old.hours,
            None => Decimal::ZERO,
        };
        hours = hours.checked_add(at_old)?;
    }
    for ((way, _), new) in after {
        if !is_way_of(before, *way) {
            hours = hours.checked_add(new.hours)?;
        }
    }
    Some(hours)
}

/// Hours for a new quantity at the old constant.
fn at_old_constant(old: Counted, quantity: Decimal) -> Option<Decimal> {
    if quantity == old.quantity || old.quantity.is_zero() {
        return Some(old.hours);
    }
    quantity.checked_mul(old.hours)?.checked_div(old.quantity)
}

/// The methods by which a task is done in these lines and not in those.
fn methods_of<'a>(
    task: Task,
    these: &'a [WorkLine],
    those: &[WorkLine],
) -> Vec<Option<&'a Method>> {
    let of_task = |line: &&WorkLine| line.task == task;
    let is_there = |line: &&WorkLine| {
        let mut those = those.iter().filter(of_task);
        those.any(|there| there.method == line.method)
    };
    let only_here = these.iter().filter(of_task).filter(|line| !is_there(line));
    only_here.map(|line| line.method.as_ref()).collect()
}

/// The lines of a task by the way they are done and by driver; `None` on overflow.
fn works<'a>(
    task: Task,
    lines: &'a [WorkLine],
    way: impl Fn(Option<&'a Method>) -> Way<'a>,
) -> Option<Works<'a>> {
    let mut works = Works::new();
    for line in lines.iter().filter(|line| line.task == task) {
        let counted = works
            .entry((way(line.method.as_ref()), line.driver))
            .or_default();
        let hours = line.quantity.checked_mul(line.hours_per_unit)?;
        counted.quantity = counted.quantity.checked_add(line.quantity)?;
        counted.hours = counted.hours.checked_add(hours)?;
    }
    Some(works)
}

fn total(works: &Works) -> Option<Decimal> {
    let mut hours = works.values().map(|counted| counted.hours);
    hours.try_fold(Decimal::ZERO, |sum, hours| sum.checked_add(hours))
}
