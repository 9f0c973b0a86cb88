//! Mixes: the recipe, in parts by loose volume. A batch is one making of it.
//!
//! A [`Mix`] is what somebody wrote down. A [`Recipe`] is the proof that every material in it is known and can be
//! weighed where it must be; what one batch takes and gives is in [`Batch`].

use hod_units::{Decimal, Density, Share, Volume, canonical};
use rust_decimal::dec;

use crate::fault::Fault;
use crate::id::{MaterialId, Method, MixId, MixTrialId, SiteId};

/// A batch closes up at least to this share of its loose volume.
const YIELD_OF_LOOSE_MIN: Decimal = dec!(0.3);

/// A batch closes up at most to this share of its loose volume.
const YIELD_OF_LOOSE_MAX: Decimal = dec!(1.2);

mod batch;
mod part;
mod portion;
mod recipe;
mod weighing;

pub use batch::Batch;
pub use portion::Portion;
pub use recipe::Recipe;

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

/// What a mix is for.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Purpose {
    /// Earth that stands: walls, adobes.
    #[default]
    Structural,
    /// Rich in straw, to keep warmth in.
    Insulating,
    /// Dense, to store heat.
    HeatStoring,
    /// First coats of plaster.
    BasePlaster,
    /// Last coats of plaster.
    FinishPlaster,
    /// Washes and oils, laid on with a brush.
    Wash,
    /// Mortar.
    Mortar,
    /// Layers of a floor.
    Floor,
    /// Rubble, gravel, sand and other fill.
    Fill,
}

/// What the parts of a mix are measured in.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum PartMeasure {
    /// Buckets.
    #[default]
    Bucket,
    /// Wheelbarrows.
    Wheelbarrow,
    /// Loads of a tractor's or digger's shovel.
    TractorLoad,
    /// Drums of a mixer.
    MixerDrum,
}

impl PartMeasure {
    /// How a basis names one.
    pub const fn word(self) -> &'static str {
        match self {
            Self::Bucket => "bucket",
            Self::Wheelbarrow => "wheelbarrow",
            Self::TractorLoad => "tractor load",
            Self::MixerDrum => "mixer drum",
        }
    }

    /// How a basis names several to a part.
    pub const fn to_a_part(self) -> &'static str {
        match self {
            Self::Bucket => "buckets to a part",
            Self::Wheelbarrow => "wheelbarrows to a part",
            Self::TractorLoad => "tractor loads to a part",
            Self::MixerDrum => "mixer drums to a part",
        }
    }
}

/// Where a density comes from.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum DensityEvidence {
    /// Out of a book, or from experience.
    #[default]
    Assumed,
    /// A dry piece was weighed and sized.
    Measured,
}

impl DensityEvidence {
    /// How a basis says so.
    pub const fn word(self) -> &'static str {
        match self {
            Self::Assumed => "assumed",
            Self::Measured => "measured",
        }
    }
}

/// A trial mix of a site's soil.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct TrialName {
    /// Of which site.
    pub site: SiteId,
    /// Which trial.
    pub trial: MixTrialId,
}

/// A recipe.
#[derive(Debug, Clone, PartialEq)]
pub struct Mix {
    /// Its id.
    pub id: MixId,
    /// What people call it.
    pub display_name: String,
    /// What it is for.
    pub purpose: Purpose,
    /// The mineral parts.
    pub ingredients: Vec<Ingredient>,
    /// What the parts are measured in.
    pub measure: PartMeasure,
    /// What the bucket, or whatever the parts are measured in, holds as it is filled.
    pub bucket: Volume,
    /// So many of those to a part in one batch.
    pub buckets_per_part: Decimal,
    /// The method by which it is mixed as a rule; none: the job's own.
    pub mixing: Option<Method>,
    /// Dry density in place.
    pub density_dry: Density,
    /// Where that comes from.
    pub density_evidence: DensityEvidence,
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
    /// The trial that justified it.
    pub trial: Option<TrialName>,
    /// Where the recipe comes from.
    pub source: String,
}

impl Mix {
    /// Every material that it names: ingredients, straw, water.
    pub fn material_ids(&self) -> impl Iterator<Item = &MaterialId> {
        let ingredients = self
            .ingredients
            .iter()
            .map(|ingredient| &ingredient.material);
        let straw = self.straw.as_ref().map(|straw| &straw.material);
        ingredients.chain(straw).chain(&self.water)
    }

    /// Straw to a placed cubic metre, as a density; zero for none.
    pub fn straw_per_placed(&self) -> Density {
        self.straw
            .as_ref()
            .map_or(Density::ZERO, |straw| straw.per_placed)
    }

    /// Whether it names the material.
    pub fn names(&self, material: &MaterialId) -> bool {
        self.material_ids().any(|id| id == material)
    }

    /// What does not hold across its fields.
    pub fn faults(&self) -> Vec<Fault> {
        let mut faults = Vec::new();
        if self.ingredients.is_empty() {
            faults.push(Fault::of_field(
                "ingredients",
                "MIX_HAS_NO_INGREDIENT",
                format!("mix {} has no ingredients; give at least its soil", self.id),
            ));
        }
        for (at, ingredient) in self.ingredients.iter().enumerate() {
            if self.ingredients[..at]
                .iter()
                .any(|earlier| earlier.material == ingredient.material)
            {
                faults
                    .push(self.twice(format!("ingredients[{at}].material"), &ingredient.material));
            }
        }
        let is_ingredient = |material: &MaterialId| {
            self.ingredients
                .iter()
                .any(|ingredient| ingredient.material == *material)
        };
        let straw = self.straw.as_ref().map(|straw| &straw.material);
        if let Some(straw) = straw.filter(|straw| is_ingredient(straw)) {
            faults.push(self.twice("straw_material".to_owned(), straw));
        }
        if let Some(water) = self
            .water
            .as_ref()
            .filter(|water| is_ingredient(water) || straw == Some(water))
        {
            faults.push(self.twice("water_material".to_owned(), water));
        }
        if let Some(straw) = self
            .straw
            .as_ref()
            .filter(|straw| self.density_dry <= straw.per_placed)
        {
            faults.push(Fault::of_field(
                "straw_kg_per_m3",
                "STRAW_OUTWEIGHS_MIX",
                format!(
                    "mix {} has {} of straw in a dry density of {}, which leaves no earth; the density counts the straw",
                    self.id, straw.per_placed, self.density_dry
                ),
            ));
        }
        faults.extend(self.yield_out_of_proportion());
        faults
    }

    /// A measured yield that no placing could bring about: loose earth closes up to something like two thirds of its
    /// volume (three loose to two placed: common practice, no source), and water and straw add little. Asked of it is
    /// only that it lies between three tenths and twelve tenths, so that litres taken for m3 do not pass.
    fn yield_out_of_proportion(&self) -> Option<Fault> {
        let measured = self.batch_yield_measured?;
        let parts = self
            .ingredients
            .iter()
            .try_fold(Decimal::ZERO, |sum, each| sum.checked_add(each.parts))?;
        let buckets = parts.checked_mul(self.buckets_per_part)?;
        let loose = self.bucket.checked_mul(buckets)?;
        let least = loose.checked_mul(YIELD_OF_LOOSE_MIN)?;
        let most = loose.checked_mul(YIELD_OF_LOOSE_MAX)?;
        if least <= measured && measured <= most {
            return None;
        }
        Some(Fault::of_field(
            "batch_yield_l",
            "YIELD_OUT_OF_PROPORTION",
            format!(
                "mix {} yields {} l a batch of {} l loose; a batch closes up to between {} and {} l, so measure it again",
                self.id,
                canonical(measured.litres()),
                canonical(loose.litres()),
                canonical(least.litres()),
                canonical(most.litres()),
            ),
        ))
    }

    fn twice(&self, field: String, material: &MaterialId) -> Fault {
        Fault::of_field(
            field,
            "MATERIAL_TWICE",
            format!(
                "mix {} has {material} twice; give each material once, with all its parts",
                self.id
            ),
        )
    }
}
