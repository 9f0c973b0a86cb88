//! What a job says beside its walls, for the rules of scope, costs and sources.

use hod_domain::id::ScopePart;
use hod_domain::job::{Cost, CostDriver, CostKind, Job, ScopeHolder, ScopeLine, SiteTime};
use hod_domain::unit::Unit;
use hod_units::Decimal;
use rust_decimal::dec;

use crate::sample::small_job;

pub fn part(id: &str) -> ScopePart {
    ScopePart::parse(id).expect("an id")
}

pub fn cost(item: &str, kind: CostKind, unit_price: Decimal) -> Cost {
    Cost {
        item: item.to_owned(),
        kind,
        quantity: Decimal::ONE,
        unit: Unit::Sum,
        unit_price,
        driver: CostDriver::Once,
        part: None,
        source: String::new(),
    }
}

pub fn scope(id: &str, holder: ScopeHolder) -> ScopeLine {
    ScopeLine {
        part: part(id),
        display_name: String::new(),
        holder,
        note: String::new(),
    }
}

/// The small job with a site time of every kind: 6 weeks, 28.5 days, 9 trips, 2 visits.
pub fn job_with(costs: Vec<Cost>) -> Job {
    Job {
        costs,
        site_time: SiteTime {
            weeks: Some(dec!(6)),
            days: Some(dec!(28.5)),
            trips: Some(9),
            visits: Some(2),
        },
        ..small_job()
    }
}
