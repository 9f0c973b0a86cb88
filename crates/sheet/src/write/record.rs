//! A price as the cells of a row.

use hod_domain::id::RegionId;
use hod_domain::price::{BreakRule, Breaks, Delivery, Price};
use hod_units::{Date, Decimal, canonical};

use crate::column::Column;
use crate::text::defused;

/// A cell as it is to be written.
#[derive(Debug, Clone, PartialEq)]
pub(crate) enum Written {
    /// Nothing.
    Empty,
    /// A text, no part of which a spreadsheet takes for a formula.
    Text(String),
    /// A number.
    Number(Decimal),
    /// A date.
    Date(Date),
}

/// The cells of a price, in the order of the columns.
pub(crate) fn record(region: &RegionId, price: &Price) -> Vec<(Column, Written)> {
    Column::ALL
        .iter()
        .map(|column| (*column, cell(*column, region, price)))
        .collect()
}

fn cell(column: Column, region: &RegionId, price: &Price) -> Written {
    let terms = &price.terms;
    match column {
        Column::Region => Written::Text(region.to_string()),
        Column::Material => Written::Text(price.material.to_string()),
        Column::Supplier => text(&price.supplier),
        Column::Unit => Written::Text(price.unit.word().to_owned()),
        Column::UnitPrice => Written::Number(price.unit_price),
        Column::StartDate => Written::Date(price.in_force.from()),
        Column::EndDate => price
            .in_force
            .last_day()
            .map_or(Written::Empty, Written::Date),
        Column::PackSize => number(terms.pack_size),
        Column::MinimumOrder => number(terms.minimum_order),
        Column::BreakRule => terms.breaks.as_ref().map_or(Written::Empty, break_rule),
        Column::Breaks => terms.breaks.as_ref().map_or(Written::Empty, break_steps),
        Column::LeadDays => number((terms.lead_days != 0).then(|| Decimal::from(terms.lead_days))),
        Column::Source => text(&price.source),
        Column::Note => text(&terms.note),
        Column::Price => Written::Text(price.id.to_string()),
        Column::LoadVolume
        | Column::LoadMass
        | Column::LoadQuantity
        | Column::ChargePerLoad
        | Column::ChargePerKm
        | Column::Distance => terms.delivery.as_ref().map_or(Written::Empty, |delivery| {
            number(of_delivery(column, delivery))
        }),
    }
}

fn of_delivery(column: Column, delivery: &Delivery) -> Option<Decimal> {
    let charge = |money: Decimal| (!money.is_zero()).then_some(money);
    match column {
        Column::LoadVolume => delivery.load_volume.map(|volume| volume.cubic_metres()),
        Column::LoadMass => delivery.load_mass.map(|mass| mass.tonnes()),
        Column::LoadQuantity => delivery.load_quantity,
        Column::ChargePerLoad => charge(delivery.per_load),
        Column::ChargePerKm => charge(delivery.per_km),
        Column::Distance => delivery.distance_km,
        _ => None,
    }
}

fn text(text: &str) -> Written {
    if text.is_empty() {
        Written::Empty
    } else {
        Written::Text(defused(text))
    }
}

fn number(number: Option<Decimal>) -> Written {
    number.map_or(Written::Empty, Written::Number)
}

fn break_rule(breaks: &Breaks) -> Written {
    let word = match breaks.rule {
        BreakRule::AllUnits => "all-units",
        BreakRule::Incremental => "incremental",
    };
    Written::Text(word.to_owned())
}

fn break_steps(breaks: &Breaks) -> Written {
    let steps = breaks.steps.iter();
    let steps: Vec<String> = steps
        .map(|step| format!("{}:{}", canonical(step.from), canonical(step.unit_price)))
        .collect();
    Written::Text(steps.join(" "))
}
