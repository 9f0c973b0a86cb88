//! Regions and their build-ups.

use hod_domain::region::{BuildUp, Profit, Region};
use hod_store::Stored;
use hod_units::{Share, canonical};
use hod_wire::v1 as wire;

use super::choice;
use super::stamp::{etag, timestamp};
use crate::name::{Collection, Regions};

/// A region with the version that its list has reached.
pub fn region(stored: &Stored<Region>, list_version: i64) -> wire::Region {
    let region = &stored.value;
    wire::Region {
        name: Regions::name(&region.id),
        display_name: region.display_name.clone(),
        parent_region: region
            .parent
            .as_ref()
            .map(Regions::name)
            .unwrap_or_default(),
        currency_code: region.currency.code().to_owned(),
        rounding: choice::rounding(region.rounding),
        build_up: Some(build_up(&region.build_up)),
        list_version,
        create_time: Some(timestamp(stored.created)),
        update_time: Some(timestamp(stored.updated)),
        etag: etag(stored.version),
    }
}

fn build_up(build_up: &BuildUp) -> wire::BuildUp {
    let percent = |share: Share| canonical(share.percent());
    let (profit, profit_basis) = match build_up.profit {
        Profit::MarkupOnCost(share) => (share, wire::ProfitBasis::MarkupOnCost),
        Profit::MarginOnPrice(share) => (share, wire::ProfitBasis::MarginOnPrice),
    };
    wire::BuildUp {
        site_overhead_percent: percent(build_up.site_overhead),
        firm_overhead_percent: percent(build_up.firm_overhead),
        contingency_percent: percent(build_up.contingency),
        profit_percent: percent(profit),
        profit_basis: profit_basis.into(),
        tax_label: build_up.tax.label.clone(),
        tax_percent: percent(build_up.tax.share),
        tax_basis: choice::tax_basis(build_up.tax.basis),
    }
}
