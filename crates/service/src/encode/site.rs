//! Sites.

use hod_domain::site::Site;
use hod_store::Stored;
use hod_units::canonical;
use hod_wire::v1 as wire;

use super::stamp::{etag, timestamp};
use crate::name::{Collection, Regions, Sites};

/// A site.
pub fn site(stored: &Stored<Site>) -> wire::Site {
    let site = &stored.value;
    wire::Site {
        name: Sites::name(&site.id),
        display_name: site.display_name.clone(),
        region: Regions::name(&site.region),
        haul_distance_m: canonical(site.haul_distance.metres()),
        create_time: Some(timestamp(stored.created)),
        update_time: Some(timestamp(stored.updated)),
        etag: etag(stored.version),
    }
}
