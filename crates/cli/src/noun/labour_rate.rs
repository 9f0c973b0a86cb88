//! Labour rates as they are shown.

use hod_wire::v1::LabourRate;

use super::{Column, Noun, figures, words};
use crate::name::short;
use crate::render::figure::money;
use crate::render::record::Record;

impl Noun for LabourRate {
    const COLUMNS: &'static [Column<Self>] = &[
        words("Labour rate", |rate| short(&rate.name)),
        words("Grade", |rate| rate.grade.clone()),
        figures("Wage per h", |rate| {
            money(&rate.wage_per_hour, &rate.currency_code)
        }),
        figures("Burden %", |rate| rate.burden_percent.clone()),
        figures("Loaded per h", |rate| {
            money(&rate.loaded_rate_per_hour, &rate.currency_code)
        }),
        words("Currency", |rate| rate.currency_code.clone()),
        words("From", |rate| rate.start_date.clone()),
        words("To", |rate| rate.end_date.clone()),
    ];

    fn record(&self) -> Record {
        Record::new()
            .text("name", &self.name)
            .text("grade", &self.grade)
            .text("wage_per_hour", &self.wage_per_hour)
            .text("burden_percent", &self.burden_percent)
            .text("loaded_rate_per_hour", &self.loaded_rate_per_hour)
            .text("currency_code", &self.currency_code)
            .text("start_date", &self.start_date)
            .text("end_date", &self.end_date)
            .text("source", &self.source)
            .count("list_version", self.list_version)
            .time("create_time", self.create_time.as_ref())
    }

    fn name(&self) -> &str {
        &self.name
    }
}
