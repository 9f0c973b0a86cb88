//! Variations as programs get them; their pages are `render::variation`'s.

use hod_wire::v1::{Unit, Variation, VariationLine};

use super::quote::tax;
use super::{Column, Noun, figures, words};
use crate::name::short;
use crate::render::record::Record;

impl Noun for Variation {
    const COLUMNS: &'static [Column<Self>] = &[
        words("Variation", |variation| short(&variation.name)),
        words("About", |variation| variation.title.clone()),
        words("Agreed", |variation| variation.agreed_date.clone()),
        figures("Days", |variation| variation.days.to_string()),
        figures("Total", |variation| variation.total.clone()),
        words("Currency", |variation| variation.currency_code.clone()),
    ];

    fn record(&self) -> Record {
        Record::new()
            .text("name", &self.name)
            .count("number", self.number)
            .text("title", &self.title)
            .text("reason", &self.reason)
            .text("agreed_date", &self.agreed_date)
            .count("days", self.days)
            .texts("tax_labels", &self.tax_labels)
            .many("lines", &self.lines, line)
            .text("price_before_tax", &self.price_before_tax)
            .many("taxes", &self.taxes, tax)
            .text("total", &self.total)
            .text("currency_code", &self.currency_code)
            .time("create_time", self.create_time.as_ref())
    }

    fn name(&self) -> &str {
        &self.name
    }
}

/// A line of a variation.
pub(crate) fn line(line: &VariationLine) -> Record {
    Record::new()
        .text("item", &line.item)
        .text("quantity", &line.quantity)
        .word::<Unit>("unit", line.unit)
        .text("unit_price", &line.unit_price)
        .text("amount", &line.amount)
}
