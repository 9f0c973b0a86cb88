//! The ground at the site.

use hod_domain::job::Ground;
use hod_units::{Area, Length, Share};
use hod_wire::v1 as wire;
use rust_decimal::dec;

use super::{Bounds, Decoder};
use crate::name::{Materials, Sites, SoilTests};

const DIG_AREA: Bounds = Bounds::of(dec!(0), dec!(1000000), "m2");
const TOPSOIL: Bounds = Bounds::of(dec!(0), dec!(3000), "mm");
const SUBSOIL: Bounds = Bounds::of(dec!(0), dec!(10000), "mm");
const SWELL: Bounds = Bounds::of(dec!(0), dec!(100), "%");

/// Reads what is said of the ground.
pub fn ground(decoder: &mut Decoder<'_>, wire: &wire::Ground) -> Option<Ground> {
    let dig_area = decoder.number_if_any("dig_area_m2", &wire.dig_area_m2, &DIG_AREA);
    let topsoil = decoder.number_or_zero("topsoil_mm", &wire.topsoil_mm, &TOPSOIL);
    let subsoil = decoder.number_if_any("subsoil_mm", &wire.subsoil_mm, &SUBSOIL);
    let soil_test = if wire.soil_test.is_empty() {
        Some(None)
    } else {
        decoder
            .child_name::<Sites, SoilTests>("soil_test", &wire.soil_test)
            .map(Some)
    };
    let tip = decoder.name_if_any::<Materials>("tip_material", &wire.tip_material);
    let swell = decoder.number_or_zero("swell_percent", &wire.swell_percent, &SWELL);
    Some(Ground {
        dig_area: dig_area?.map(Area::from_square_metres),
        topsoil: Length::from_mm(topsoil?),
        subsoil: subsoil?.map(Length::from_mm),
        soil_test: soil_test?,
        tip: tip?,
        swell: Share::from_percent(swell?),
    })
}
