//! Variations, with what they come to.

use hod_domain::quote::{Variation, VariationTerm, VariationTerms};
use hod_units::{Currency, Money, canonical};
use hod_wire::v1 as wire;

use super::choice;
use super::offer::offer_tax;
use super::takeoff::count;

/// What people say of a variation.
#[derive(Debug, Clone)]
pub struct VariationWords {
    /// What it is about.
    pub title: String,
    /// Why.
    pub reason: String,
}

/// A variation of this number, which is 0 until it is kept; its name and time are for whoever keeps it.
pub fn variation(
    variation: &Variation,
    terms: &VariationTerms,
    words: &VariationWords,
    currency: Currency,
    number: u32,
) -> wire::Variation {
    let lines = terms.lines.iter().zip(&variation.amounts);
    wire::Variation {
        name: String::new(),
        number: count(number),
        title: words.title.clone(),
        reason: words.reason.clone(),
        agreed_date: terms.agreed_date.to_string(),
        days: terms.days,
        lines: lines.map(|(line, amount)| told(line, *amount)).collect(),
        price_before_tax: variation.price_before_tax.fixed(),
        taxes: variation.taxes.iter().map(offer_tax).collect(),
        total: variation.total.fixed(),
        currency_code: currency.code().to_owned(),
        create_time: None,
        tax_labels: terms.tax_labels.clone(),
    }
}

fn told(line: &VariationTerm, amount: Money) -> wire::VariationLine {
    wire::VariationLine {
        item: line.item.clone(),
        quantity: canonical(line.quantity),
        unit: choice::unit(line.unit),
        unit_price: canonical(line.unit_price),
        amount: amount.fixed(),
    }
}
