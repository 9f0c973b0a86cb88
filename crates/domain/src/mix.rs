//! Mixes: the recipe, in parts by loose volume. A batch is one making of it.

use hod_units::{Decimal, Density, Share, Volume};

use crate::id::{MaterialId, MixId};

/// One part of a recipe, measured loose in buckets.
#[derive(Debug, Clone, PartialEq)]
pub struct Ingredient {
    /// What.
    pub material: MaterialId,
    /// Parts by loose volume.
    pub parts: Decimal,
}

/// Straw in a mix.
#[derive(Debug, Clone, PartialEq)]
pub struct Straw {
    /// Which.
    pub material: MaterialId,
    /// Mass to a placed cubic metre, as a density.
    pub per_placed: Density,
}

/// A recipe.
#[derive(Debug, Clone, PartialEq)]
pub struct Mix {
    /// Its id.
    pub id: MixId,
    /// What people call it.
    pub display_name: String,
    /// The mineral parts.
    pub ingredients: Vec<Ingredient>,
    /// What the bucket in use holds, as it is filled.
    pub bucket: Volume,
    /// Buckets to a part in one batch.
    pub buckets_per_part: Decimal,
    /// Dry density in place.
    pub density_dry: Density,
    /// Placed volume of one batch as measured at a site; else by mass balance.
    pub batch_yield_measured: Option<Volume>,
    /// The straw.
    pub straw: Option<Straw>,
    /// The water, when it is to be listed.
    pub water: Option<MaterialId>,
    /// Water in the mix when placed, of its dry mass.
    pub water_share: Share,
    /// Earth lost between the heap and the wall, of the placed volume.
    pub waste: Share,
    /// Where the recipe comes from.
    pub source: String,
}
