//! Prices, told in the currency of their region.

use hod_domain::id::RegionId;
use hod_domain::price::{BreakRule, BreakStep, Delivery, Price};
use hod_store::Stored;
use hod_units::{Currency, DateRange, Mass, Volume, canonical};
use hod_wire::v1 as wire;

use super::stamp::timestamp;
use super::takeoff::count;
use super::{choice, number_if_any};
use crate::name::{Collection, Materials, Prices, Regions, child_name};

/// A price of a region that pays in this currency.
pub fn price(stored: &Stored<Price>, region: &RegionId, currency: Currency) -> wire::Price {
    let price = &stored.value;
    let terms = &price.terms;
    let breaks = terms.breaks.as_ref();
    let rule = breaks.map_or(wire::BreakRule::Unspecified, |breaks| {
        break_rule(breaks.rule)
    });
    wire::Price {
        name: child_name::<Regions, Prices>(region, &price.id),
        material: Materials::name(&price.material),
        unit_price: canonical(price.unit_price),
        unit: choice::unit(price.unit),
        currency_code: currency.code().to_owned(),
        start_date: price.in_force.from().to_string(),
        end_date: end_date(price.in_force),
        supplier: price.supplier.clone(),
        source: price.source.clone(),
        list_version: stored.version,
        create_time: Some(timestamp(stored.created)),
        pack_size: number_if_any(terms.pack_size),
        minimum_order: number_if_any(terms.minimum_order),
        break_rule: rule.into(),
        breaks: breaks.map_or_else(Vec::new, |breaks| {
            breaks.steps.iter().map(break_step).collect()
        }),
        delivery: terms.delivery.as_ref().map(delivery),
        lead_days: count(terms.lead_days),
        note: terms.note.clone(),
    }
}

const fn break_rule(rule: BreakRule) -> wire::BreakRule {
    match rule {
        BreakRule::AllUnits => wire::BreakRule::AllUnits,
        BreakRule::Incremental => wire::BreakRule::Incremental,
    }
}

fn break_step(step: &BreakStep) -> wire::PriceBreak {
    wire::PriceBreak {
        from_quantity: canonical(step.from),
        unit_price: canonical(step.unit_price),
    }
}

fn delivery(delivery: &Delivery) -> wire::Delivery {
    wire::Delivery {
        load_m3: number_if_any(delivery.load_volume.map(Volume::cubic_metres)),
        load_t: number_if_any(delivery.load_mass.map(Mass::tonnes)),
        load_quantity: number_if_any(delivery.load_quantity),
        charge_per_load: canonical(delivery.per_load),
        charge_per_km: canonical(delivery.per_km),
        distance_km: number_if_any(delivery.distance_km),
    }
}

/// The last day in force; empty while it is open.
pub(super) fn end_date(in_force: DateRange) -> String {
    in_force
        .last_day()
        .map(|day| day.to_string())
        .unwrap_or_default()
}
