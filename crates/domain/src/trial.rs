//! Mix trials: what a trial mix of a site's soil did on the bench. The trial decides, not a recipe.
//!
//! Results are worked from what was measured, and held against the limits of a rule pack where one is named. What a
//! mix that was never tried means for an estimate is for the estimate to say.

use hod_units::{Date, Decimal, Density, Length};

use crate::id::{MixTrialId, RulePackId, SiteId, SoilTestId};
use crate::mix::Ingredient;
use crate::rules::Rule;

/// What the builder made of a trial.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum TrialOutcome {
    /// Not decided yet.
    Open,
    /// Taken: a mix may name it.
    Taken,
    /// Turned down.
    TurnedDown,
}

/// A bar moulded wet and measured again when dry.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ShrinkageBar {
    /// Length as moulded.
    pub wet: Length,
    /// Length when dry, its cracks closed by hand.
    pub dry: Length,
}

/// A specimen crushed.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct CrushedSpecimen {
    /// The greatest load that it bore, kN.
    pub load_kn: Decimal,
    /// Its width under the load.
    pub width: Length,
    /// Its depth under the load.
    pub depth: Length,
}

/// A brick or bar broken over two supports by a load in the middle.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct BrokenSpecimen {
    /// The greatest load that it bore, kN.
    pub load_kn: Decimal,
    /// Between the supports.
    pub span: Length,
    /// Its width across the span.
    pub width: Length,
    /// Its height under the load.
    pub height: Length,
}

/// What a trial mix did.
#[derive(Debug, Clone, PartialEq)]
pub struct MixTrial {
    /// Where its soil is from.
    pub site: SiteId,
    /// Its id within the site.
    pub id: MixTrialId,
    /// The day it was made.
    pub made: Date,
    /// The test of its soil, of the same site.
    pub soil_test: Option<SoilTestId>,
    /// Its mineral parts.
    pub ingredients: Vec<Ingredient>,
    /// Straw to a placed cubic metre, as a density; zero for none.
    pub straw_per_placed: Density,
    /// Its shrinkage bar.
    pub shrinkage: Option<ShrinkageBar>,
    /// Specimens crushed.
    pub crushed: Vec<CrushedSpecimen>,
    /// Specimens broken.
    pub broken: Vec<BrokenSpecimen>,
    /// Dry density of a specimen as weighed and sized.
    pub density_dry: Option<Density>,
    /// The rules that it is held against.
    pub rule_pack: Option<RulePackId>,
    /// What the builder made of it.
    pub outcome: TrialOutcome,
    /// What was seen: cracks, dusting, water needed; may be empty.
    pub note: String,
}

/// A strength as the specimens gave it, kPa, to 0.01.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Strength {
    /// Mean of the specimens.
    pub mean_kpa: Decimal,
    /// That of the weakest.
    pub min_kpa: Decimal,
}

/// How a result stands against a rule. It approves nothing: the authority and a licensed engineer judge.
#[derive(Debug, Clone, PartialEq)]
pub struct Verdict {
    /// The rule.
    pub rule: Rule,
    /// What was found, in the unit that the rule's kind names, to 0.01.
    pub found: Decimal,
    /// Whether it holds.
    pub holds: bool,
}
