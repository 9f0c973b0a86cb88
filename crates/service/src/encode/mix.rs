//! Mixes.

use hod_domain::mix::{Ingredient, Mix, Straw, TrialName};
use hod_store::Stored;
use hod_units::{Volume, canonical};
use hod_wire::v1 as wire;

use super::stamp::{etag, timestamp};
use super::{choice, number_if_any};
use crate::name::{Collection, Materials, MixTrials, Mixes, Sites, child_name};

/// A mix.
pub fn mix(stored: &Stored<Mix>) -> wire::Mix {
    let mix = &stored.value;
    let straw = mix.straw.as_ref();
    let per_placed = |straw: &Straw| straw.per_placed.kg_per_cubic_metre();
    wire::Mix {
        name: Mixes::name(&mix.id),
        display_name: mix.display_name.clone(),
        ingredients: mix.ingredients.iter().map(ingredient).collect(),
        bucket_l: canonical(mix.bucket.litres()),
        buckets_per_part: canonical(mix.buckets_per_part),
        density_dry_kg_m3: canonical(mix.density_dry.kg_per_cubic_metre()),
        batch_yield_l: number_if_any(mix.batch_yield_measured.map(Volume::litres)),
        straw_material: straw
            .map(|straw| Materials::name(&straw.material))
            .unwrap_or_default(),
        straw_kg_per_m3: number_if_any(straw.map(per_placed)),
        water_material: mix.water.as_ref().map(Materials::name).unwrap_or_default(),
        water_percent: canonical(mix.water_share.percent()),
        waste_percent: canonical(mix.waste.percent()),
        purpose: choice::purpose(mix.purpose),
        measure: choice::part_measure(mix.measure),
        mixing: mix
            .mixing
            .as_ref()
            .map(ToString::to_string)
            .unwrap_or_default(),
        density_evidence: choice::density_evidence(mix.density_evidence),
        trial: mix.trial.as_ref().map(trial).unwrap_or_default(),
        source: mix.source.clone(),
        create_time: Some(timestamp(stored.created)),
        update_time: Some(timestamp(stored.updated)),
        etag: etag(stored.version),
    }
}

fn trial(named: &TrialName) -> String {
    child_name::<Sites, MixTrials>(&named.site, &named.trial)
}

/// One part by loose volume.
pub(super) fn ingredient(ingredient: &Ingredient) -> wire::Ingredient {
    wire::Ingredient {
        material: Materials::name(&ingredient.material),
        parts: canonical(ingredient.parts),
    }
}
