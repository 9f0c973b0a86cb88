//! Prices as they are shown.

use hod_wire::v1::{Price, Unit};

use super::{Column, Noun, figures, words};
use crate::name::short;
use crate::render::figure::money;
use crate::render::record::Record;
use crate::word;

impl Noun for Price {
    const COLUMNS: &'static [Column<Self>] = &[
        words("Price", |price| short(&price.name)),
        words("Material", |price| short(&price.material)),
        figures("Unit price", |price| {
            money(&price.unit_price, &price.currency_code)
        }),
        words("Currency", |price| price.currency_code.clone()),
        words("Per", |price| word::of::<Unit>(price.unit).to_owned()),
        words("From", |price| price.start_date.clone()),
        words("To", |price| price.end_date.clone()),
        words("Supplier", |price| price.supplier.clone()),
    ];

    fn record(&self) -> Record {
        Record::new()
            .text("name", &self.name)
            .text("material", &self.material)
            .text("unit_price", &self.unit_price)
            .word::<Unit>("unit", self.unit)
            .text("currency_code", &self.currency_code)
            .text("start_date", &self.start_date)
            .text("end_date", &self.end_date)
            .text("supplier", &self.supplier)
            .text("source", &self.source)
            .count("list_version", self.list_version)
            .time("create_time", self.create_time.as_ref())
    }

    fn name(&self) -> &str {
        &self.name
    }
}
