//! Kept estimates as a list shows them; one in full is `render::estimate`'s.

use hod_wire::v1::Estimate;

use super::{Column, Noun, figures, words};
use crate::name::short;
use crate::output::Answer;
use crate::render::estimate::EstimateAnswer;
use crate::render::record::Record;

impl Noun for Estimate {
    const COLUMNS: &'static [Column<Self>] = &[
        words("Estimate", |estimate| short(&estimate.name)),
        words("Prices of", |estimate| estimate.price_date.clone()),
        words("Region", |estimate| short(&estimate.region)),
        figures("Batches", |estimate| estimate.batch_count.to_string()),
        figures("Total", |estimate| {
            estimate.totals.clone().unwrap_or_default().total
        }),
        words("Currency", |estimate| estimate.currency_code.clone()),
        words("Kept", |estimate| {
            estimate
                .create_time
                .as_ref()
                .map(ToString::to_string)
                .unwrap_or_default()
        }),
    ];

    fn record(&self) -> Record {
        EstimateAnswer {
            estimate: self.clone(),
            with_basis: false,
            with_purchases: false,
        }
        .record()
    }

    fn name(&self) -> &str {
        &self.name
    }
}
