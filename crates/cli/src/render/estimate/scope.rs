//! What of a building is in a price and what is not, so that nobody takes it for the price of all of it.

use hod_wire::v1::{Estimate, LineKind, ScopeHolder, ScopeLine, Task};

use crate::render::table::{Side, Table};
use crate::text::plain;

/// What the help says of it.
pub fn not_in_any_price() -> String {
    let parts = PARTS.iter().map(|part| part.name).chain(ASKED_PARTS);
    format!(
        "In a price only where the job has them: {}.",
        parts.collect::<Vec<_>>().join(", ")
    )
}

/// Parts of a building that are asked of every job, by the ids that its scope has for them.
const ASKED_PARTS: [&str; 5] = ["drainage", "damp-proofing", "plate", "roof", "engineer"];

/// A part of a price that is there when the job has it.
struct Part {
    name: &'static str,
    is_in: fn(&Estimate) -> bool,
}

const PARTS: [Part; 8] = [
    Part {
        name: "footings",
        is_in: |estimate| has_task(estimate, &[Task::Trench, Task::FillTrench]),
    },
    Part {
        name: "stem wall",
        is_in: |estimate| has_task(estimate, &[Task::LayStem]),
    },
    Part {
        name: "lintels and frames",
        is_in: |estimate| has_item(estimate, &["lintel, ", "lintel of ", "frame, "]),
    },
    Part {
        name: "plaster",
        is_in: |estimate| has_task(estimate, &[Task::Plaster, Task::Wash]),
    },
    Part {
        name: "floors",
        is_in: |estimate| has_task(estimate, &[Task::LayFloor]),
    },
    Part {
        name: "scaffold",
        is_in: |estimate| {
            let mut items = estimate.lines.iter().map(|line| line.item.to_lowercase());
            items.any(|item| item.contains("scaffold"))
        },
    },
    Part {
        name: "machines and their hire",
        is_in: |estimate| {
            let mut lines = estimate.lines.iter();
            lines.any(|line| line.kind() == LineKind::Equipment)
        },
    },
    Part {
        name: "delivery",
        is_in: |estimate| {
            let mut purchases = estimate.purchases.iter();
            purchases.any(|purchase| 0 < purchase.load_count)
        },
    },
];

fn has_task(estimate: &Estimate, tasks: &[Task]) -> bool {
    let mut labour = estimate.labour.iter();
    labour.any(|line| tasks.contains(&line.task()))
}

/// Whether something is measured whose name begins so.
fn has_item(estimate: &Estimate, beginnings: &[&str]) -> bool {
    let mut items = estimate.measured.iter().map(|line| &line.item);
    items.any(|item| beginnings.iter().any(|word| item.starts_with(word)))
}

/// What a building needs besides, of which this job says nothing or that it is not ours.
pub(super) fn not_in_the_price(estimate: &Estimate) -> String {
    let parts = PARTS
        .iter()
        .filter(|part| !(part.is_in)(estimate))
        .map(|part| part.name.to_owned());
    let names = |part: &str| estimate.scope.iter().any(|line| line.part == part);
    let unsaid = ASKED_PARTS
        .into_iter()
        .filter(|part| !names(part))
        .map(str::to_owned);
    let others = estimate
        .scope
        .iter()
        .filter(|line| line.holder() != ScopeHolder::Ours)
        .map(|line| match line.holder() {
            ScopeHolder::ByOthers => format!("{} (by others)", name(line)),
            _ => format!("{} (not part of the works)", name(line)),
        });
    let all: Vec<String> = parts.chain(unsaid).chain(others).collect();
    if all.is_empty() {
        return "Every part that is asked of a job is in this price.".to_owned();
    }
    format!("Not in this price: {}.", plain(&all.join(", ")))
}

/// A row to each part that the job names; nothing when it names none.
pub(in crate::render) fn table(scope: &[ScopeLine]) -> Option<Table> {
    let mut table = Table::new(&[
        ("Part of the building", Side::Left),
        ("Done by", Side::Left),
        ("Note", Side::Left),
    ]);
    for line in scope {
        table.row([name(line), done_by(line.holder()), &line.note]);
    }
    (!scope.is_empty()).then_some(table)
}

fn name(line: &ScopeLine) -> &str {
    match line.display_name.as_str() {
        "" => &line.part,
        name => name,
    }
}

fn done_by(holder: ScopeHolder) -> &'static str {
    match holder {
        ScopeHolder::Ours => "us",
        ScopeHolder::ByOthers => "others",
        ScopeHolder::Excluded => "nobody",
        ScopeHolder::Unspecified => "",
    }
}
