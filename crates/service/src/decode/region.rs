//! Regions. Their build-ups are read in a file of their own.

use hod_domain::id::RegionId;
use hod_domain::region::Region;
use hod_units::Currency;
use hod_wire::v1 as wire;

use super::build_up::build_up;
use super::{Decoder, NAME_CHARACTERS_MAX, choice};
use crate::name::Regions;

/// Reads a region; its id comes from the request.
pub fn region<'a>(
    decoder: &mut Decoder<'a>,
    wire: &'a wire::Region,
    id: Option<&RegionId>,
) -> Option<Region> {
    let display_name = decoder.text("display_name", &wire.display_name, NAME_CHARACTERS_MAX);
    let parent = decoder.name_if_any::<Regions>("parent_region", &wire.parent_region);
    let currency = decoder.read(
        "currency_code",
        "NOT_A_CURRENCY",
        Currency::parse(&wire.currency_code),
    );
    let rounding = choice::rounding(decoder, "rounding", wire.rounding);
    let build_up = match &wire.build_up {
        Some(given) => decoder.within("build_up", |decoder| build_up(decoder, given)),
        None => build_up(&mut Decoder::new(), &wire::BuildUp::default()),
    };
    Some(Region {
        id: id?.clone(),
        display_name: display_name?,
        parent: parent?,
        currency: currency?,
        rounding: rounding?,
        build_up: build_up?,
    })
}
