//! Regions. Their build-ups are told in a file of their own.

use hod_domain::region::Region;
use hod_store::Stored;
use hod_wire::v1 as wire;

use super::build_up::build_up;
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
