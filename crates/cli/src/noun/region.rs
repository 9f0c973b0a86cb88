//! Regions as they are shown.

use hod_wire::v1::{Allowance, BuildUp, PricePart, ProfitBasis, Region, Rounding, Tax, TaxBasis};

use super::{Column, Noun, figures, words};
use crate::name::short;
use crate::render::record::{Record, Value};

impl Noun for Region {
    const COLUMNS: &'static [Column<Self>] = &[
        words("Region", |region| short(&region.name)),
        words("Name", |region| region.display_name.clone()),
        words("Falls back to", |region| short(&region.parent_region)),
        words("Currency", |region| region.currency_code.clone()),
        figures("List version", |region| region.list_version.to_string()),
    ];

    fn record(&self) -> Record {
        let build_up = self.build_up.clone().unwrap_or_default();
        Record::new()
            .text("name", &self.name)
            .text("display_name", &self.display_name)
            .text("parent_region", &self.parent_region)
            .text("currency_code", &self.currency_code)
            .word::<Rounding>("rounding", self.rounding)
            .field("build_up", Value::One(build_up_record(&build_up)))
            .count("list_version", self.list_version)
            .time("create_time", self.create_time.as_ref())
            .time("update_time", self.update_time.as_ref())
            .text("etag", &self.etag)
    }

    fn name(&self) -> &str {
        &self.name
    }
}

/// How a price is built up, of a region or of a job.
pub(crate) fn build_up_record(build_up: &BuildUp) -> Record {
    Record::new()
        .text("site_overhead_percent", &build_up.site_overhead_percent)
        .text("firm_overhead_percent", &build_up.firm_overhead_percent)
        .text("contingency_percent", &build_up.contingency_percent)
        .text("profit_percent", &build_up.profit_percent)
        .word::<ProfitBasis>("profit_basis", build_up.profit_basis)
        .text("tax_label", &build_up.tax_label)
        .text("tax_percent", &build_up.tax_percent)
        .word::<TaxBasis>("tax_basis", build_up.tax_basis)
        .many("allowances", &build_up.allowances, allowance)
        .many("taxes", &build_up.taxes, tax)
        .text("discount_percent", &build_up.discount_percent)
        .text("discount_amount", &build_up.discount_amount)
        .text("minimum_charge", &build_up.minimum_charge)
        .text("round_price_to", &build_up.round_price_to)
        .text("daywork_percent", &build_up.daywork_percent)
}

fn allowance(allowance: &Allowance) -> Record {
    Record::new()
        .text("label", &allowance.label)
        .text("percent", &allowance.percent)
        .words::<PricePart>("parts", &allowance.parts)
        .text("amount", &allowance.amount)
}

fn tax(tax: &Tax) -> Record {
    Record::new()
        .text("label", &tax.label)
        .text("percent", &tax.percent)
        .words::<PricePart>("parts", &tax.parts)
}
