//! Many jobs at a glance: a row to each, as an owner who quotes several at once reads them.

use hod_wire::v1::{Estimate, Takeoff};

use super::csv;
use super::estimate::all_hours;
use super::figure::{hours, measure};
use super::shown;
use super::table::{Side, Table};
use crate::name::short;

/// The columns of a summary: name for programs, heading for people, side.
type Columns = &'static [(&'static str, &'static str, Side)];

const TAKEOFF: Columns = &[
    ("job", "Job", Side::Left),
    ("wall_count", "Walls", Side::Right),
    ("net_volume_m3", "Net m3", Side::Right),
    ("placed_volume_m3", "Placed m3", Side::Right),
    ("inner_face_m2", "Inner face m2", Side::Right),
    ("outer_face_m2", "Outer face m2", Side::Right),
    ("batch_count", "Batches", Side::Right),
    ("caution_count", "Cautions", Side::Right),
];

const ESTIMATE: Columns = &[
    ("job", "Job", Side::Left),
    ("site", "Site", Side::Left),
    ("region", "Region", Side::Left),
    ("price_date", "Prices of", Side::Left),
    ("placed_volume_m3", "Placed m3", Side::Right),
    ("batch_count", "Batches", Side::Right),
    ("hours", "Hours h", Side::Right),
    ("total", "Total", Side::Right),
    ("currency_code", "Currency", Side::Left),
    ("caution_count", "Cautions", Side::Right),
];

/// The rows so far.
pub struct Summary {
    columns: Columns,
    rows: Vec<Vec<Cell>>,
}

/// A figure or a word of a row: for programs and for people.
struct Cell {
    exact: String,
    shown: String,
}

impl Cell {
    /// The same for both.
    fn of(text: impl Into<String>) -> Self {
        let exact = text.into();
        Self {
            shown: exact.clone(),
            exact,
        }
    }

    /// Shown rounded.
    fn measure(figure: String) -> Self {
        Self {
            shown: measure(&figure),
            exact: figure,
        }
    }
}

impl Summary {
    /// Of takeoffs.
    pub fn of_takeoffs() -> Self {
        Self {
            columns: TAKEOFF,
            rows: Vec::new(),
        }
    }

    /// Of estimates.
    pub fn of_estimates() -> Self {
        Self {
            columns: ESTIMATE,
            rows: Vec::new(),
        }
    }

    /// A takeoff more.
    pub fn takeoff(&mut self, title: &str, takeoff: &Takeoff) {
        let totals = takeoff.totals.clone().unwrap_or_default();
        let batches = match totals.batch_count {
            Some(count) => Cell::of(count.to_string()),
            None => Cell {
                exact: String::new(),
                shown: "-".to_owned(),
            },
        };
        let net = Cell {
            shown: shown::net(&totals),
            exact: totals.net_volume_m3,
        };
        self.rows.push(vec![
            Cell::of(title),
            Cell::of(takeoff.walls.len().to_string()),
            net,
            Cell::measure(totals.placed_volume_m3),
            Cell::measure(totals.inner_face_m2),
            Cell::measure(totals.outer_face_m2),
            batches,
            Cell::of(takeoff.cautions.len().to_string()),
        ]);
    }

    /// An estimate more.
    pub fn estimate(&mut self, estimate: &Estimate) {
        let takeoff = estimate.takeoff.clone().unwrap_or_default();
        let totals = estimate.totals.clone().unwrap_or_default();
        let all_hours = all_hours(&estimate.labour).unwrap_or_default();
        self.rows.push(vec![
            Cell::of(&estimate.display_name),
            Cell::of(short(&estimate.site)),
            Cell::of(short(&estimate.region)),
            Cell::of(&estimate.price_date),
            Cell::measure(takeoff.placed_volume_m3),
            Cell::of(estimate.batch_count.to_string()),
            Cell {
                shown: hours(&all_hours),
                exact: all_hours,
            },
            Cell::of(totals.total),
            Cell::of(&estimate.currency_code),
            Cell::of(estimate.cautions.len().to_string()),
        ]);
    }

    /// For people: measures rounded for reading.
    pub fn table(&self) -> String {
        let headings: Vec<(&str, Side)> = self
            .columns
            .iter()
            .map(|(_, heading, side)| (*heading, *side))
            .collect();
        let mut table = Table::new(&headings);
        for row in &self.rows {
            table.row(row.iter().map(|cell| &cell.shown));
        }
        table.to_string()
    }

    /// For programs: every digit.
    pub fn csv(&self) -> String {
        let header = csv::row(self.columns.iter().map(|(name, _, _)| name));
        let rows = self.rows.iter();
        let rows = rows.map(|row| csv::row(row.iter().map(|cell| &cell.exact)));
        header + &rows.collect::<String>()
    }
}
