//! Many jobs at a glance: a row to each, as an owner who quotes several at once reads them.

use hod_wire::v1::{Estimate, Takeoff};

use super::csv;
use super::estimate::all_hours;
use super::figure::{hours, measure};
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
];

/// The rows so far, as exact figures.
pub struct Summary {
    columns: Columns,
    rows: Vec<Vec<String>>,
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
        self.rows.push(vec![
            title.to_owned(),
            takeoff.walls.len().to_string(),
            totals.net_volume_m3,
            totals.placed_volume_m3,
            totals.inner_face_m2,
            totals.outer_face_m2,
            totals
                .batch_count
                .map(|count| count.to_string())
                .unwrap_or_default(),
        ]);
    }

    /// An estimate more.
    pub fn estimate(&mut self, estimate: &Estimate) {
        let takeoff = estimate.takeoff.clone().unwrap_or_default();
        let totals = estimate.totals.clone().unwrap_or_default();
        self.rows.push(vec![
            estimate.display_name.clone(),
            short(&estimate.site),
            short(&estimate.region),
            estimate.price_date.clone(),
            takeoff.placed_volume_m3,
            estimate.batch_count.to_string(),
            all_hours(&estimate.labour).unwrap_or_default(),
            totals.total,
            estimate.currency_code.clone(),
        ]);
    }

    /// For people: measures and hours rounded for reading.
    pub fn table(&self) -> String {
        let headings: Vec<(&str, Side)> = self
            .columns
            .iter()
            .map(|(_, heading, side)| (*heading, *side))
            .collect();
        let mut table = Table::new(&headings);
        for row in &self.rows {
            table.row(self.columns.iter().zip(row).map(|((name, _, _), figure)| {
                if name.ends_with("_m3") || name.ends_with("_m2") {
                    measure(figure)
                } else if *name == "hours" {
                    hours(figure)
                } else {
                    figure.clone()
                }
            }));
        }
        table.to_string()
    }

    /// For programs: every digit.
    pub fn csv(&self) -> String {
        let header = csv::row(self.columns.iter().map(|(name, _, _)| name));
        let rows: Vec<String> = self.rows.iter().map(csv::row).collect();
        header + &rows.concat()
    }
}
