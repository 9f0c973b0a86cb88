//! What light straw-clay takes by its table.

use hod_domain::basis::Basis;
use hod_domain::system::straw_clay::{Proportions, TABLE_NAME};
use hod_domain::unit::round_up;
use hod_units::{Decimal, Rounding, Share, canonical, round};
use hod_wire::v1 as wire;

use super::basis::basis;
use super::number_if_any;

/// What a placed m3 takes, each figure worked from the basis beside it.
pub fn straw_clay(takes: &Proportions) -> wire::ProportionStrawClayResponse {
    let (straw_kg_per_m3, straw_basis) = worked(&takes.straw, 1, "to 0.1 kg");
    let (soil_kg_per_m3, soil_basis) = worked(&takes.soil, 1, "to 0.1 kg");
    let (water_l_per_m3, water_basis) = worked(&takes.water, 0, "to a whole l");
    let clay_percent_min = takes.clay_min.map(Share::percent);
    wire::ProportionStrawClayResponse {
        density_kg_m3: rounded(takes.density.kg_per_cubic_metre(), 2),
        straw_kg_per_m3,
        soil_kg_per_m3,
        water_l_per_m3,
        water_percent: takes
            .water_of_dry_mass()
            .map(|share| rounded(share.percent(), 1))
            .unwrap_or_default(),
        clay_percent_min: least(clay_percent_min, 1),
        clay_to_silt_min: least(takes.clay_to_silt_min, 2),
        thickness_mm_max: canonical(takes.thickness_max.mm()),
        source: TABLE_NAME.to_owned(),
        straw_basis: Some(straw_basis),
        soil_basis: Some(soil_basis),
        water_basis: Some(water_basis),
    }
}

/// What a basis comes to, rounded, and the basis with how.
fn worked(of: &Basis, places: u32, rounding: &str) -> (String, wire::Basis) {
    let figure = of.work().map(|exact| rounded(exact, places));
    let basis = wire::Basis {
        rounding: rounding.to_owned(),
        ..basis(of)
    };
    (figure.unwrap_or_default(), basis)
}

fn rounded(exact: Decimal, places: u32) -> String {
    canonical(round(exact, places, Rounding::HalfAwayFromZero))
}

/// A least figure, if there is one, told so that who keeps it keeps the exact one too.
fn least(exact: Option<Decimal>, places: u32) -> String {
    number_if_any(exact.and_then(|exact| round_up(exact, places)))
}
