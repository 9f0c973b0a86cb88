//! What is asked when trial mixes are to be proposed: a soil, a sand and the clay aimed at.

use hod_domain::id::{MaterialId, SiteId, SoilTestId};
use hod_domain::soil::Aim;
use hod_units::Share;
use hod_wire::v1 as wire;
use hod_wire::v1::propose_trial_mixes_request::Soil;
use rust_decimal::dec;

use super::{Bounds, Decoder};
use crate::name::{Materials, Sites, SoilTests};

const CLAY: Bounds = Bounds::of(dec!(0), dec!(100), "%");
const TARGET: Bounds = Bounds::of(dec!(1), dec!(60), "%");
const STEP: Bounds = Bounds::of(dec!(0.5), dec!(10), "%");

/// Most trials on either side of the target.
const STEPS_MAX: u32 = 4;

/// Which soil.
pub enum SoilAsked {
    /// One that was tested.
    Tested(SiteId, SoilTestId),
    /// One of so much clay.
    OfClay(Share),
}

/// What is asked.
pub struct TrialsAsked {
    /// Which soil.
    pub soil: SoilAsked,
    /// The soil as it is measured.
    pub soil_material: MaterialId,
    /// The sand as it is measured.
    pub sand_material: MaterialId,
    /// What the trials are to be.
    pub aim: Aim,
}

/// Reads what is asked.
pub fn trial_mixes(
    decoder: &mut Decoder<'_>,
    wire: &wire::ProposeTrialMixesRequest,
) -> Option<TrialsAsked> {
    let soil = soil(decoder, wire.soil.as_ref());
    let soil_material = decoder.name_needed::<Materials>("soil_material", &wire.soil_material);
    let sand_material = decoder.name_needed::<Materials>("sand_material", &wire.sand_material);
    let target = decoder.number_if_any("target_clay_percent", &wire.target_clay_percent, &TARGET);
    let step = decoder.number_if_any("step_percent", &wire.step_percent, &STEP);
    let step_count = step_count(decoder, wire.step_count);
    Some(TrialsAsked {
        soil: soil?,
        soil_material: soil_material?,
        sand_material: sand_material?,
        aim: Aim {
            clay: Share::from_percent(target?.unwrap_or(dec!(17.5))),
            step: Share::from_percent(step?.unwrap_or(dec!(2.5))),
            step_count: step_count?,
        },
    })
}

fn soil(decoder: &mut Decoder<'_>, soil: Option<&Soil>) -> Option<SoilAsked> {
    match soil {
        Some(Soil::SoilTest(name)) => decoder
            .child_name::<Sites, SoilTests>("soil_test", name)
            .map(|(site, test)| SoilAsked::Tested(site, test)),
        Some(Soil::ClayPercent(percent)) => decoder
            .number("clay_percent", percent, &CLAY)
            .map(|percent| SoilAsked::OfClay(Share::from_percent(percent))),
        None => {
            decoder.refuse(
                "soil_test",
                "MISSING",
                "neither a soil test nor its clay is given; give `soil_test` as sites/ID/soilTests/ID, or `clay_percent`",
            );
            None
        }
    }
}

fn step_count(decoder: &mut Decoder<'_>, count: Option<i32>) -> Option<u32> {
    let count = count.unwrap_or(2);
    let read = u32::try_from(count)
        .ok()
        .filter(|count| *count <= STEPS_MAX);
    if read.is_none() {
        decoder.refuse(
            "step_count",
            "OUT_OF_RANGE",
            format!("step_count is {count}; it must be from 0 to {STEPS_MAX}"),
        );
    }
    read
}
