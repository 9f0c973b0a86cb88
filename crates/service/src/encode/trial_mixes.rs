//! Trial mixes that are proposed.

use hod_domain::soil::{Proposal, ProposedMix};
use hod_units::canonical;
use hod_wire::v1 as wire;

use super::basis::basis;

/// A set of them, from the least clay to the most; notes that the soil brings stand before those of the proposal.
pub fn trial_mixes(
    proposal: &Proposal,
    of_the_soil: Vec<String>,
) -> wire::ProposeTrialMixesResponse {
    wire::ProposeTrialMixesResponse {
        mixes: proposal.mixes.iter().map(mix).collect(),
        notes: of_the_soil
            .into_iter()
            .chain(proposal.notes.iter().cloned())
            .collect(),
    }
}

fn mix(mix: &ProposedMix) -> wire::ProposedMix {
    wire::ProposedMix {
        clay_percent: canonical(mix.clay.percent()),
        sand_to_soil_by_mass: canonical(mix.sand_by_mass),
        sand_parts: canonical(mix.sand_parts),
        buckets: mix.buckets(),
        buckets_clay_percent: canonical(mix.buckets_clay.percent()),
        basis: Some(basis(&mix.basis)),
    }
}
