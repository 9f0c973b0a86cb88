//! Prices and labour rates, told in the currency of their region.

use hod_domain::id::RegionId;
use hod_domain::price::{LabourRate, Price};
use hod_domain::region::Region;
use hod_store::Stored;
use hod_units::{Currency, DateRange, canonical};
use hod_wire::v1 as wire;

use super::choice;
use super::stamp::timestamp;
use crate::name::{Collection, LabourRates, Materials, Prices, Regions, child_name};

/// A price of a region that pays in this currency.
pub fn price(stored: &Stored<Price>, region: &RegionId, currency: Currency) -> wire::Price {
    let price = &stored.value;
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
    }
}

/// A labour rate of a region; what an hour costs is rounded as the region rounds.
pub fn labour_rate(stored: &Stored<LabourRate>, region: &Region) -> wire::LabourRate {
    let rate = &stored.value;
    let loaded = rate.loaded(region.currency, region.rounding);
    wire::LabourRate {
        name: child_name::<Regions, LabourRates>(&region.id, &rate.id),
        grade: rate.grade.to_string(),
        wage_per_hour: canonical(rate.wage),
        burden_percent: canonical(rate.burden.percent()),
        loaded_rate_per_hour: loaded.map(|loaded| loaded.fixed()).unwrap_or_default(),
        currency_code: region.currency.code().to_owned(),
        start_date: rate.in_force.from().to_string(),
        end_date: end_date(rate.in_force),
        source: rate.source.clone(),
        list_version: stored.version,
        create_time: Some(timestamp(stored.created)),
    }
}

/// The last day in force; empty while it is open.
fn end_date(in_force: DateRange) -> String {
    in_force
        .last_day()
        .map(|day| day.to_string())
        .unwrap_or_default()
}
