//! What a job draws on by name: recipes, materials, rules, trials, the test of its soil. Values only; who fetched them,
//! and whether all that was asked for was there, is for others.

use crate::id::{MaterialId, MixId};
use crate::material::Material;
use crate::mix::{Mix, Recipe, TrialName};
use crate::rules::RulePack;
use crate::soil::SoilTest;
use crate::trial::MixTrial;

/// What a job draws on by name.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Library {
    /// Its mixes, each with its materials.
    pub recipes: Vec<Recipe>,
    /// Materials that it names itself: pieces, lintels, forms.
    pub materials: Vec<Material>,
    /// The trials that its mixes name.
    pub trials: Vec<MixTrial>,
    /// The rules that those trials are held against.
    pub trial_packs: Vec<RulePack>,
    /// The test of the ground that it digs.
    pub soil_test: Option<SoilTest>,
    /// The rules of measurement that its payment follows.
    pub rule_pack: Option<RulePack>,
}

impl Library {
    /// A recipe by its mix; `None` when it is not there.
    pub fn recipe(&self, mix: &MixId) -> Option<&Recipe> {
        self.recipes.iter().find(|recipe| recipe.mix().id == *mix)
    }

    /// A material that the job names itself, or one of a recipe's.
    pub fn material(&self, id: &MaterialId) -> Option<&Material> {
        let own = self.materials.iter().find(|material| material.id == *id);
        own.or_else(|| self.recipes.iter().find_map(|recipe| recipe.material(id)))
    }

    /// The rules that a trial is held against; `None` when it names none or they are not there.
    pub fn pack_of(&self, trial: &MixTrial) -> Option<&RulePack> {
        let id = trial.rule_pack.as_ref()?;
        self.trial_packs.iter().find(|pack| pack.id == *id)
    }

    /// The trial that a mix names; `None` when it names none or that is not there.
    pub fn trial_of(&self, mix: &Mix) -> Option<&MixTrial> {
        self.trial(mix.trial.as_ref()?)
    }

    /// A trial by its name.
    pub fn trial(&self, name: &TrialName) -> Option<&MixTrial> {
        self.trials
            .iter()
            .find(|trial| trial.site == name.site && trial.id == name.trial)
    }
}
