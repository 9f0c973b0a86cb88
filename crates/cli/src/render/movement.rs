//! What open jobs come to when they are priced again: a row to each, and their sums by currency.

use hod_wire::v1::{Movement, MovementSummary, MovementTotal};

use super::record::{Record, Value};
use super::table::{Side, Table};
use crate::name::short;
use crate::text::counted;

/// A row to each job, what it lacks below it; nothing when there are none.
pub(super) fn table(movements: &[&Movement]) -> Option<Table> {
    let mut table = Table::new(&[
        ("Job", Side::Left),
        ("Prices of", Side::Left),
        ("Before", Side::Right),
        ("After", Side::Right),
        ("Difference", Side::Right),
        ("%", Side::Right),
        ("Currency", Side::Left),
    ]);
    for movement in movements {
        table.row([
            called(movement).as_str(),
            &movement.before_date,
            &movement.before_total,
            &movement.after_total,
            &movement.difference,
            &movement.percent,
            &movement.currency_code,
        ]);
        for fault in &movement.faults {
            table.note(fault);
        }
    }
    (!movements.is_empty()).then_some(table)
}

/// What people call it, with the id that a command takes.
fn called(movement: &Movement) -> String {
    let id = short(&movement.job);
    match movement.display_name.as_str() {
        "" => id,
        name => format!("{name} ({id})"),
    }
}

pub(super) fn record(movement: &Movement) -> Record {
    Record::new()
        .text("job", &movement.job)
        .text("display_name", &movement.display_name)
        .text("before_estimate", &movement.before_estimate)
        .text("before_date", &movement.before_date)
        .text("before_total", &movement.before_total)
        .text("after_estimate", &movement.after_estimate)
        .text("after_total", &movement.after_total)
        .text("difference", &movement.difference)
        .text("percent", &movement.percent)
        .text("currency_code", &movement.currency_code)
        .texts("faults", &movement.faults)
}

/// The sums by currency, then how many jobs there were and whether they were kept.
pub(super) fn summary_text(summary: &MovementSummary) -> String {
    let mut table = Table::new(&[
        ("Jobs with a price before and after", Side::Right),
        ("Before", Side::Right),
        ("After", Side::Right),
        ("Difference", Side::Right),
        ("Currency", Side::Left),
    ]);
    for total in &summary.totals {
        table.row([
            &total.job_count.to_string(),
            &total.before_total,
            &total.after_total,
            &total.difference,
            &total.currency_code,
        ]);
    }
    let table = if summary.totals.is_empty() {
        String::new()
    } else {
        format!("{table}\n")
    };
    table + &sentence(summary)
}

/// `12 jobs priced again, 1 could not be; nothing was kept`.
pub(super) fn sentence(summary: &MovementSummary) -> String {
    let count = |count: i32| usize::try_from(count).unwrap_or(0);
    let priced = counted(count(summary.priced_count), "job", "jobs");
    let failed = match summary.failed_count {
        0 => String::new(),
        failed => format!(", {failed} could not be"),
    };
    let kept = match (summary.kept, summary.priced_count) {
        (false, _) => "nothing was kept",
        (true, 1) => "the new estimate is kept",
        (true, _) => "the new estimates are kept",
    };
    format!("{priced} priced again{failed}; {kept}\n")
}

pub(super) fn summary_record(summary: &MovementSummary) -> Record {
    Record::new()
        .count("priced_count", summary.priced_count)
        .count("failed_count", summary.failed_count)
        .many("totals", &summary.totals, total_record)
        .field("kept", Value::Flag(summary.kept))
}

fn total_record(total: &MovementTotal) -> Record {
    Record::new()
        .text("currency_code", &total.currency_code)
        .text("before_total", &total.before_total)
        .text("after_total", &total.after_total)
        .text("difference", &total.difference)
        .count("job_count", total.job_count)
}
