//! Sites.

use hod_domain::id::SiteId;
use hod_domain::site::Site;
use hod_units::Length;
use hod_wire::v1 as wire;
use rust_decimal::dec;

use super::{Bounds, Decoder, NAME_CHARACTERS_MAX};
use crate::name::Regions;

const HAUL_DISTANCE: Bounds = Bounds::of(dec!(0), dec!(2000), "m");

/// Reads a site; its id comes from the request.
pub fn site<'a>(
    decoder: &mut Decoder<'a>,
    wire: &'a wire::Site,
    id: Option<&SiteId>,
) -> Option<Site> {
    let display_name = decoder.text("display_name", &wire.display_name, NAME_CHARACTERS_MAX);
    let region = decoder.name::<Regions>("region", &wire.region);
    let haul_distance =
        decoder.number_or_zero("haul_distance_m", &wire.haul_distance_m, &HAUL_DISTANCE);
    Some(Site {
        id: id?.clone(),
        display_name: display_name?,
        region: region?,
        haul_distance: Length::from_metres(haul_distance?),
    })
}
