//! Rows of a file that contradict each other: the same price twice, or two prices of a supplier on one day. What is kept
//! of a row is 32 bytes, so that a million rows stay small; names are kept as keyed hashes of 128 bits, two of which
//! are alike by chance less often than memory fails.

use std::hash::{BuildHasher, RandomState};

use hod_domain::price::PriceRow;
use hod_units::{Date, DateRange};

use crate::column::Column;
use crate::fault::FileFault;

/// All rows so far.
#[derive(Default)]
pub(crate) struct Keys {
    hashers: (RandomState, RandomState),
    entries: Vec<Entry>,
}

/// A row: whose price, from when to when.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
struct Entry {
    key: (u64, u64),
    from: Date,
    row: u32,
    /// The day after the last; none when it holds until the next.
    to: Option<Date>,
}

impl Keys {
    /// One row more.
    pub(crate) fn add(&mut self, row: &PriceRow) {
        let key = (&row.region, &row.material, &row.supplier);
        self.entries.push(Entry {
            key: (self.hashers.0.hash_one(key), self.hashers.1.hash_one(key)),
            from: row.in_force.from(),
            row: row.row,
            to: row.in_force.to(),
        });
    }

    /// The faults among all rows, by row.
    pub(crate) fn faults(mut self) -> Vec<FileFault> {
        self.entries.sort_unstable();
        let mut faults = Vec::new();
        for same_key in self.entries.chunk_by(|one, other| one.key == other.key) {
            faults.extend(duplicates(same_key));
            faults.extend(overlaps(same_key));
        }
        faults.sort_by_key(|fault| fault.row);
        faults
    }
}

/// Rows that begin on the day of an earlier row.
fn duplicates(same_key: &[Entry]) -> impl Iterator<Item = FileFault> {
    same_key
        .chunk_by(|one, other| one.from == other.from)
        .flat_map(|same_day| {
            let first = same_day.first().map_or(0, |entry| entry.row);
            same_day.iter().skip(1).map(move |entry| {
                FileFault::of_row(
                    entry.row,
                    "DUPLICATE_ROW",
                    format!(
                        "row {first} has the same region, material, supplier and start_date ({}); keep one of the two",
                        entry.from
                    ),
                )
            })
        })
}

/// Rows that begin before an earlier one ends. One without an end gives way to the next.
fn overlaps(same_key: &[Entry]) -> Vec<FileFault> {
    let mut faults = Vec::new();
    let mut longest: Option<(Entry, Date)> = None;
    for entry in same_key {
        if let Some((standing, to)) = longest
            && entry.from < to
            && entry.from != standing.from
        {
            faults.push(overlap(*entry, standing));
        }
        if let Some(to) = entry.to
            && longest.is_none_or(|(_, longest)| longest < to)
        {
            longest = Some((*entry, to));
        }
    }
    faults
}

/// The fault of whichever of the two rows comes later in the file.
fn overlap(one: Entry, other: Entry) -> FileFault {
    let (first, blamed) = if one.row < other.row {
        (one, other)
    } else {
        (other, one)
    };
    FileFault::of_cell(
        blamed.row,
        Column::StartDate,
        "OVERLAPPING_DATES",
        format!(
            "row {} is of the same region, material and supplier and holds {}, and this row holds {}; \
             two prices cannot hold on one day, so end the earlier one before the later begins",
            first.row,
            range(first),
            range(blamed)
        ),
    )
}

fn range(entry: Entry) -> String {
    match DateRange::new(entry.from, entry.to) {
        Ok(range) => range.to_string(),
        Err(fault) => fault.to_string(),
    }
}
