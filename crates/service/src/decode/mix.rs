//! Mixes.

use hod_domain::id::MixId;
use hod_domain::mix::{Ingredient, Mix, Straw, TrialName};
use hod_units::{Density, Share, Volume};
use hod_wire::v1 as wire;
use rust_decimal::dec;

use super::labour_constant::method_if_any;
use super::{Bounds, Decoder, NAME_CHARACTERS_MAX, SOURCE_CHARACTERS_MAX, choice};
use crate::name::{Materials, MixTrials, Sites};

const PARTS: Bounds = Bounds::of(dec!(0.01), dec!(100), "parts");
const BUCKET: Bounds = Bounds::of(dec!(0.1), dec!(5000), "l");
const BUCKETS_PER_PART: Bounds = Bounds::of(dec!(0.1), dec!(100), "");
pub(super) const DENSITY_DRY: Bounds = Bounds::of(dec!(100), dec!(2800), "kg/m3");
const BATCH_YIELD: Bounds = Bounds::of(dec!(1), dec!(10000), "l");
pub(super) const STRAW: Bounds = Bounds::of(dec!(0), dec!(200), "kg");
const WATER: Bounds = Bounds::of(dec!(0), dec!(300), "%");
const WASTE: Bounds = Bounds::of(dec!(0), dec!(50), "%");

/// Most ingredients of a mix.
pub(super) const INGREDIENTS_MAX: usize = 8;

/// Reads a mix; its id comes from the request.
pub fn mix<'a>(decoder: &mut Decoder<'a>, wire: &'a wire::Mix, id: Option<&MixId>) -> Option<Mix> {
    let display_name = decoder.text("display_name", &wire.display_name, NAME_CHARACTERS_MAX);
    decoder.count("ingredients", wire.ingredients.len(), 1, INGREDIENTS_MAX);
    let ingredients = decoder.each("ingredients", &wire.ingredients, ingredient);
    let bucket = decoder.number("bucket_l", &wire.bucket_l, &BUCKET);
    let buckets_per_part = decoder.number(
        "buckets_per_part",
        &wire.buckets_per_part,
        &BUCKETS_PER_PART,
    );
    let density_dry = decoder.number("density_dry_kg_m3", &wire.density_dry_kg_m3, &DENSITY_DRY);
    let batch_yield = decoder.number_if_any("batch_yield_l", &wire.batch_yield_l, &BATCH_YIELD);
    let straw = straw(decoder, wire);
    let water = decoder.name_if_any::<Materials>("water_material", &wire.water_material);
    let water_share = decoder.number_or_zero("water_percent", &wire.water_percent, &WATER);
    let waste = decoder.number_or_zero("waste_percent", &wire.waste_percent, &WASTE);
    let purpose = choice::purpose(decoder, "purpose", wire.purpose);
    let measure = choice::part_measure(decoder, "measure", wire.measure);
    let mixing = method_if_any(decoder, "mixing", &wire.mixing);
    let density_evidence =
        choice::density_evidence(decoder, "density_evidence", wire.density_evidence);
    let trial = trial(decoder, &wire.trial);
    let source = decoder.text("source", &wire.source, SOURCE_CHARACTERS_MAX);
    Some(Mix {
        id: id?.clone(),
        display_name: display_name?,
        ingredients: ingredients?,
        bucket: Volume::from_litres(bucket?),
        buckets_per_part: buckets_per_part?,
        density_dry: Density::from_kg_per_cubic_metre(density_dry?),
        batch_yield_measured: batch_yield?.map(Volume::from_litres),
        straw: straw?,
        water: water?,
        water_share: Share::from_percent(water_share?),
        waste: Share::from_percent(waste?),
        purpose: purpose?,
        measure: measure?,
        mixing: mixing?,
        density_evidence: density_evidence?,
        trial: trial?,
        source: source?,
    })
}

/// One part by loose volume.
pub(super) fn ingredient<'a>(
    decoder: &mut Decoder<'a>,
    wire: &'a wire::Ingredient,
) -> Option<Ingredient> {
    let material = decoder.name::<Materials>("material", &wire.material);
    let parts = decoder.number("parts", &wire.parts, &PARTS);
    Some(Ingredient {
        material: material?,
        parts: parts?,
    })
}

/// The trial that justified it, where there was one.
fn trial(decoder: &mut Decoder<'_>, name: &str) -> Option<Option<TrialName>> {
    if name.is_empty() {
        return Some(None);
    }
    let (site, trial) = decoder.child_name::<Sites, MixTrials>("trial", name)?;
    Some(Some(TrialName { site, trial }))
}

/// The straw: which, and how much. An amount without a material would be bought by nobody.
fn straw(decoder: &mut Decoder<'_>, wire: &wire::Mix) -> Option<Option<Straw>> {
    let material = decoder.name_if_any::<Materials>("straw_material", &wire.straw_material);
    let amount = decoder.number_or_zero("straw_kg_per_m3", &wire.straw_kg_per_m3, &STRAW);
    let (material, amount) = (material?, amount?);
    if material.is_none() && !amount.is_zero() {
        decoder.refuse(
            "straw_material",
            "MISSING",
            "straw_kg_per_m3 is given and straw_material is not; name the straw, such as materials/straw",
        );
    }
    Some(material.map(|material| Straw {
        material,
        per_placed: Density::from_kg_per_cubic_metre(amount),
    }))
}
