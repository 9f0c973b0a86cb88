//! What is asked of light straw-clay: a dry density that its table reaches. The table judges that, and not a bound here.

use hod_domain::system::straw_clay::{Proportions, proportions};
use hod_units::Density;
use hod_wire::v1 as wire;

use super::Decoder;

/// Reads a density as what it takes by the table.
pub fn straw_clay(
    decoder: &mut Decoder<'_>,
    wire: &wire::ProportionStrawClayRequest,
) -> Option<Proportions> {
    let density = decoder.any_number("density_kg_m3", &wire.density_kg_m3)?;
    let takes = proportions(Density::from_kg_per_cubic_metre(density));
    let takes = takes.map_err(|outside| format!("{outside}; give a density within it"));
    decoder.read("density_kg_m3", "STRAW_CLAY_DENSITY_OUTSIDE_TABLE", takes)
}
