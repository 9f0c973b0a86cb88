//! Open jobs priced again, a page of them at a time, and the summary at the end.

use hod_wire::v1::{Movement, MovementSummary};

use super::movement;
use super::record::Record;
use crate::output::Answer;

/// Some of the jobs, or the summary.
#[derive(Default)]
pub struct AgainPage {
    /// The jobs.
    pub movements: Vec<Movement>,
    summary: Option<MovementSummary>,
}

impl AgainPage {
    /// The last one.
    pub fn of_summary(summary: MovementSummary) -> Self {
        Self {
            movements: Vec::new(),
            summary: Some(summary),
        }
    }
}

impl Answer for AgainPage {
    /// A document has one event.
    fn record(&self) -> Record {
        let movements = self.movements.iter().fold(Record::new(), |record, moved| {
            record.one_if_there("movement", Some(moved), movement::record)
        });
        match &self.summary {
            Some(summary) => {
                movements.one_if_there("summary", Some(summary), movement::summary_record)
            }
            None => movements,
        }
    }

    fn header(&self) -> Vec<String> {
        let record = movement::record(&Movement::default());
        record.flat().into_iter().map(|(name, _)| name).collect()
    }

    fn rows(&self) -> Vec<Vec<String>> {
        let cells = |moved: &Movement| {
            let flat = movement::record(moved).flat().into_iter();
            flat.map(|(_, cell)| cell).collect()
        };
        self.movements.iter().map(cells).collect()
    }

    fn table(&self) -> String {
        let movements: Vec<&Movement> = self.movements.iter().collect();
        let table = movement::table(&movements).map(|table| table.to_string());
        let summary = self.summary.as_ref().map(movement::summary_text);
        [table, summary].into_iter().flatten().collect()
    }

    fn is_part(&self) -> bool {
        true
    }

    fn beside_rows(&self) -> Vec<String> {
        let summary = self.summary.as_ref().map(movement::sentence);
        summary
            .map(|text| text.trim_end().to_owned())
            .into_iter()
            .collect()
    }
}
