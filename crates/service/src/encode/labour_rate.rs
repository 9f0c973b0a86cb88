//! Labour rates, told in the currency of their region, with how the loaded rate came about.

use hod_domain::price::{Burden, BurdenAmount, LabourRate};
use hod_domain::region::Region;
use hod_store::Stored;
use hod_units::{Hours, canonical};
use hod_wire::v1 as wire;

use super::basis::basis;
use super::number_if_any;
use super::price::end_date;
use super::stamp::timestamp;
use crate::name::{LabourRates, Regions, child_name};

/// A labour rate of a region; what an hour costs is rounded as the region rounds.
pub fn labour_rate(stored: &Stored<LabourRate>, region: &Region) -> wire::LabourRate {
    let rate = &stored.value;
    let loaded = rate.loaded(region.currency, region.rounding);
    let hours = |of: fn(&hod_domain::price::PaidYear) -> Hours| {
        number_if_any(rate.year.as_ref().map(|year| of(year).hours()))
    };
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
        burdens: rate.burdens.iter().map(burden).collect(),
        paid_hours: hours(|year| year.paid),
        productive_hours: hours(|year| year.productive),
        basis: rate.loaded_basis().map(|loaded| basis(&loaded)),
        note: rate.note.clone(),
    }
}

fn burden(burden: &Burden) -> wire::Burden {
    let label = burden.label.clone();
    match burden.amount {
        BurdenAmount::OfWage(share) => wire::Burden {
            label,
            percent: canonical(share.percent()),
            amount_per_hour: String::new(),
        },
        BurdenAmount::PerHour(amount) => wire::Burden {
            label,
            percent: String::new(),
            amount_per_hour: canonical(amount),
        },
    }
}
