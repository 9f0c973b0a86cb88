//! What a change of many prices answers with, a page at a time: faults of a file, prices that change, what that does to
//! open estimates, and the summary.

use clap::ValueEnum;
use hod_wire::v1::price_changes_response::Event;
use hod_wire::v1::{FileFault, Movement, PriceChange, PriceChangeKind, PriceChangesSummary, Unit};

use super::figure::money;
use super::movement;
use super::record::Record;
use super::table::{Side, Table};
use crate::name::short;
use crate::output::Answer;
use crate::text::counted;
use crate::word;

/// What CSV has a row to each of.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, ValueEnum)]
pub enum Rows {
    /// Prices that change.
    #[default]
    Changes,
    /// Faults of the file.
    Faults,
    /// What the changes do to open estimates.
    Movements,
}

/// Events of one kind, one after the other.
pub struct ChangesPage {
    rows: Rows,
    events: Vec<Event>,
}

impl ChangesPage {
    /// Without events.
    pub fn new(rows: Rows) -> Self {
        Self {
            rows,
            events: Vec::new(),
        }
    }

    /// Whether there are no events on it.
    pub fn is_empty(&self) -> bool {
        self.events.is_empty()
    }

    /// Whether there are so many on it.
    pub fn is_full(&self, most: usize) -> bool {
        most <= self.events.len()
    }

    /// Whether an event is of the kind of those on it.
    pub fn takes(&self, event: &Event) -> bool {
        let kind = std::mem::discriminant::<Event>;
        self.events
            .first()
            .is_none_or(|first| kind(first) == kind(event))
    }

    /// One more.
    pub fn add(&mut self, event: Event) {
        self.events.push(event);
    }

    /// What is on it, which leaves it empty.
    pub fn taken(&mut self) -> Self {
        Self {
            rows: self.rows,
            events: std::mem::take(&mut self.events),
        }
    }
}

impl Answer for ChangesPage {
    /// A document has one event.
    fn record(&self) -> Record {
        self.events
            .iter()
            .fold(Record::new(), |record, event| match event {
                Event::Fault(fault) => record.one_if_there("fault", Some(fault), fault_record),
                Event::Change(change) => record.one_if_there("change", Some(change), change_record),
                Event::Movement(moved) => {
                    record.one_if_there("movement", Some(moved), movement::record)
                }
                Event::Summary(summary) => {
                    record.one_if_there("summary", Some(summary), summary_record)
                }
            })
    }

    fn header(&self) -> Vec<String> {
        let record = match self.rows {
            Rows::Changes => change_record(&PriceChange::default()),
            Rows::Faults => fault_record(&FileFault::default()),
            Rows::Movements => movement::record(&Movement::default()),
        };
        record.flat().into_iter().map(|(name, _)| name).collect()
    }

    fn rows(&self) -> Vec<Vec<String>> {
        let records = self
            .events
            .iter()
            .filter_map(|event| match (event, self.rows) {
                (Event::Change(change), Rows::Changes) => Some(change_record(change)),
                (Event::Fault(fault), Rows::Faults) => Some(fault_record(fault)),
                (Event::Movement(moved), Rows::Movements) => Some(movement::record(moved)),
                _ => None,
            });
        let cells = |record: Record| record.flat().into_iter().map(|(_, cell)| cell).collect();
        records.map(cells).collect()
    }

    fn table(&self) -> String {
        let mut faults = Vec::new();
        let mut changes = Vec::new();
        let mut movements = Vec::new();
        let mut told = String::new();
        for event in &self.events {
            match event {
                Event::Fault(fault) => faults.push(fault),
                Event::Change(change) => changes.push(change),
                Event::Movement(movement) => movements.push(movement),
                Event::Summary(summary) => told.push_str(&summary_words(summary)),
            }
        }
        let tables = [
            fault_table(&faults),
            change_table(&changes),
            movement::table(&movements),
        ];
        let tables: String = tables
            .into_iter()
            .flatten()
            .map(|table| table.to_string())
            .collect();
        tables + &told
    }

    fn is_part(&self) -> bool {
        true
    }

    fn beside_rows(&self) -> Vec<String> {
        let lines = self
            .events
            .iter()
            .filter_map(|event| match (event, self.rows) {
                (Event::Fault(_), Rows::Faults) => None,
                (Event::Fault(fault), _) => Some(fault_words(fault)),
                (Event::Summary(summary), _) => Some(summary_words(summary).trim_end().to_owned()),
                _ => None,
            });
        lines.collect()
    }
}

fn fault_record(fault: &FileFault) -> Record {
    Record::new()
        .count("row", fault.row)
        .text("column", &fault.column)
        .text("reason", &fault.reason)
        .text("description", &fault.description)
}

/// `row 7, unit_price: ...`; what is wrong with the file as a whole stands alone.
fn fault_words(fault: &FileFault) -> String {
    let row = (fault.row != 0).then(|| format!("row {}", fault.row));
    let column = Some(fault.column.clone()).filter(|column| !column.is_empty());
    let place: Vec<String> = row.into_iter().chain(column).collect();
    if place.is_empty() {
        fault.description.clone()
    } else {
        format!("{}: {}", place.join(", "), fault.description)
    }
}

fn fault_table(faults: &[&FileFault]) -> Option<Table> {
    let mut table = Table::new(&[
        ("Row", Side::Right),
        ("Column", Side::Left),
        ("What is wrong", Side::Left),
    ]);
    for fault in faults {
        let row = match fault.row {
            0 => String::new(),
            row => row.to_string(),
        };
        table.row([&row, &fault.column, &fault.description]);
    }
    (!faults.is_empty()).then_some(table)
}

fn change_record(change: &PriceChange) -> Record {
    Record::new()
        .word::<PriceChangeKind>("kind", change.kind)
        .text("price", &change.price)
        .text("material", &change.material)
        .text("supplier", &change.supplier)
        .text("before_unit_price", &change.before_unit_price)
        .text("after_unit_price", &change.after_unit_price)
        .word::<Unit>("unit", change.unit)
        .text("currency_code", &change.currency_code)
        .text("start_date", &change.start_date)
        .count_if_given("row", change.row)
}

/// With the rows of the file where there is one.
fn change_table(changes: &[&PriceChange]) -> Option<Table> {
    let has_rows = changes.iter().any(|change| change.row != 0);
    let mut headings = vec![
        ("Change", Side::Left),
        ("Material", Side::Left),
        ("Supplier", Side::Left),
        ("Before", Side::Right),
        ("After", Side::Right),
        ("Currency", Side::Left),
        ("Per", Side::Left),
        ("From", Side::Left),
    ];
    if has_rows {
        headings.push(("Row", Side::Right));
    }
    let mut table = Table::new(&headings);
    for change in changes {
        let row = match change.row {
            0 => String::new(),
            row => row.to_string(),
        };
        table.row([
            word::of::<PriceChangeKind>(change.kind),
            &short(&change.material),
            &change.supplier,
            &money(&change.before_unit_price, &change.currency_code),
            &money(&change.after_unit_price, &change.currency_code),
            &change.currency_code,
            word::of::<Unit>(change.unit),
            &change.start_date,
            &row,
        ]);
    }
    (!changes.is_empty()).then_some(table)
}

fn summary_record(summary: &PriceChangesSummary) -> Record {
    Record::new()
        .count("row_count", summary.row_count)
        .count("fault_count", summary.fault_count)
        .count("new_count", summary.new_count)
        .count("raised_count", summary.raised_count)
        .count("lowered_count", summary.lowered_count)
        .count("same_count", summary.same_count)
        .count("closed_count", summary.closed_count)
        .count("altered_count", summary.altered_count)
        .many("list_versions", &summary.list_versions, |list| {
            Record::new()
                .text("region", &list.region)
                .count("version", list.version)
        })
        .field("kept", super::record::Value::Flag(summary.kept))
}

/// `46 rows: 2 new, 3 raised, 41 the same; kept: west is at version 13 now`.
fn summary_words(summary: &PriceChangesSummary) -> String {
    let of = |count: i32, word: &str| (count != 0).then(|| format!("{count} {word}"));
    let counts: Vec<String> = [
        of(summary.fault_count, "with faults"),
        of(summary.new_count, "new"),
        of(summary.raised_count, "raised"),
        of(summary.lowered_count, "lowered"),
        of(summary.altered_count, "altered"),
        of(summary.closed_count, "closed"),
        of(summary.same_count, "the same"),
    ]
    .into_iter()
    .flatten()
    .collect();
    let counts = if counts.is_empty() {
        "no price changes".to_owned()
    } else {
        counts.join(", ")
    };
    let rows = match usize::try_from(summary.row_count) {
        Ok(count @ 1..) => format!("{}: ", counted(count, "row", "rows")),
        _ => String::new(),
    };
    format!("{rows}{counts}; {}\n", kept_words(summary))
}

fn kept_words(summary: &PriceChangesSummary) -> String {
    let lists: Vec<String> = summary
        .list_versions
        .iter()
        .map(|list| format!("{} is at version {} now", short(&list.region), list.version))
        .collect();
    match (summary.kept, lists.is_empty()) {
        (false, _) => "nothing was kept".to_owned(),
        (true, true) => "kept".to_owned(),
        (true, false) => format!("kept: {}", lists.join(", ")),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use hod_wire::v1::MovedList;

    #[test]
    fn a_summary_says_what_became_of_every_row_and_whether_it_was_kept() {
        let dry = PriceChangesSummary {
            row_count: 46,
            new_count: 2,
            raised_count: 3,
            same_count: 41,
            ..PriceChangesSummary::default()
        };
        assert_eq!(
            summary_words(&dry),
            "46 rows: 2 new, 3 raised, 41 the same; nothing was kept\n"
        );
        let kept = PriceChangesSummary {
            row_count: 0,
            lowered_count: 1,
            kept: true,
            list_versions: vec![MovedList {
                region: "regions/west".to_owned(),
                version: 13,
            }],
            ..PriceChangesSummary::default()
        };
        assert_eq!(
            summary_words(&kept),
            "1 lowered; kept: west is at version 13 now\n"
        );
        assert_eq!(
            summary_words(&PriceChangesSummary::default()),
            "no price changes; nothing was kept\n"
        );
    }

    #[test]
    fn a_fault_is_told_with_its_row_and_column_where_it_has_them() {
        let fault = |row, column: &str| FileFault {
            row,
            column: column.to_owned(),
            description: "it is no number".to_owned(),
            ..FileFault::default()
        };
        assert_eq!(
            fault_words(&fault(7, "unit_price")),
            "row 7, unit_price: it is no number"
        );
        assert_eq!(fault_words(&fault(7, "")), "row 7: it is no number");
        assert_eq!(fault_words(&fault(0, "")), "it is no number");
    }
}
