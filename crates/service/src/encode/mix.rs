//! Mixes.

use hod_domain::mix::{Ingredient, Mix, Straw};
use hod_store::Stored;
use hod_units::{Volume, canonical};
use hod_wire::v1 as wire;

use super::number_if_any;
use super::stamp::{etag, timestamp};
use crate::name::{Collection, Materials, Mixes};

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
        source: mix.source.clone(),
        create_time: Some(timestamp(stored.created)),
        update_time: Some(timestamp(stored.updated)),
        etag: etag(stored.version),
    }
}

fn ingredient(ingredient: &Ingredient) -> wire::Ingredient {
    wire::Ingredient {
        material: Materials::name(&ingredient.material),
        parts: canonical(ingredient.parts),
    }
}
