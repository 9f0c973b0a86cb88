//! Mix trials, with what follows from their measurements and how that stands against the rules they name.

use hod_domain::mix::Ingredient;
use hod_domain::rules::RulePack;
use hod_domain::trial::{BrokenSpecimen, CrushedSpecimen, MixTrial, TrialOutcome, Verdict};
use hod_store::Stored;
use hod_units::{Density, Length, canonical};
use hod_wire::v1 as wire;

use super::mix::ingredient;
use super::number_if_any;
use super::rule_pack::rule;
use super::stamp::timestamp;
use crate::name::{Collection, MixTrials, RulePacks, Sites, SoilTests, child_name};

/// A trial, and the rules that it names.
pub fn mix_trial(stored: &Stored<MixTrial>, pack: Option<&RulePack>) -> wire::MixTrial {
    let trial = &stored.value;
    let (bar, compression, rupture) = (trial.shrinkage, trial.compression(), trial.rupture());
    let soil_test = |test| child_name::<Sites, SoilTests>(&trial.site, test);
    wire::MixTrial {
        name: child_name::<Sites, MixTrials>(&trial.site, &trial.id),
        made_date: trial.made.to_string(),
        soil_test: trial.soil_test.as_ref().map(soil_test).unwrap_or_default(),
        ingredients: trial
            .ingredients
            .iter()
            .map(ingredient as fn(&Ingredient) -> _)
            .collect(),
        straw_kg_per_m3: canonical(trial.straw_per_placed.kg_per_cubic_metre()),
        shrinkage_wet_mm: number_if_any(bar.map(|bar| bar.wet.mm())),
        shrinkage_dry_mm: number_if_any(bar.map(|bar| bar.dry.mm())),
        crushed: trial.crushed.iter().map(crushed).collect(),
        broken: trial.broken.iter().map(broken).collect(),
        density_dry_kg_m3: number_if_any(trial.density_dry.map(Density::kg_per_cubic_metre)),
        rule_pack: trial
            .rule_pack
            .as_ref()
            .map(RulePacks::name)
            .unwrap_or_default(),
        outcome: outcome(trial.outcome).into(),
        note: trial.note.clone(),
        shrinkage_percent: number_if_any(trial.shrinkage()),
        compression_mean_kpa: number_if_any(compression.map(|found| found.mean_kpa)),
        compression_min_kpa: number_if_any(compression.map(|found| found.min_kpa)),
        rupture_mean_kpa: number_if_any(rupture.map(|found| found.mean_kpa)),
        rupture_min_kpa: number_if_any(rupture.map(|found| found.min_kpa)),
        verdicts: pack
            .map(|pack| trial.verdicts(pack).iter().map(verdict).collect())
            .unwrap_or_default(),
        create_time: Some(timestamp(stored.created)),
    }
}

fn crushed(specimen: &CrushedSpecimen) -> wire::CrushedSpecimen {
    wire::CrushedSpecimen {
        load_kn: canonical(specimen.load_kn),
        width_mm: mm(specimen.width),
        depth_mm: mm(specimen.depth),
    }
}

fn broken(specimen: &BrokenSpecimen) -> wire::BrokenSpecimen {
    wire::BrokenSpecimen {
        load_kn: canonical(specimen.load_kn),
        span_mm: mm(specimen.span),
        width_mm: mm(specimen.width),
        height_mm: mm(specimen.height),
    }
}

fn verdict(verdict: &Verdict) -> wire::Verdict {
    wire::Verdict {
        rule: Some(rule(&verdict.rule)),
        found: canonical(verdict.found),
        holds: verdict.holds,
    }
}

fn outcome(outcome: TrialOutcome) -> wire::TrialOutcome {
    match outcome {
        TrialOutcome::Open => wire::TrialOutcome::Open,
        TrialOutcome::Taken => wire::TrialOutcome::Taken,
        TrialOutcome::TurnedDown => wire::TrialOutcome::TurnedDown,
    }
}

fn mm(length: Length) -> String {
    canonical(length.mm())
}
