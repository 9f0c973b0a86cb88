//! Mix trials as they are shown.

use hod_wire::v1::{
    BrokenSpecimen, CrushedSpecimen, Ingredient, MixTrial, RuleKind, TrialOutcome, Verdict,
};

use super::rule_pack::rule_record;
use super::{Column, Noun, figures, words};
use crate::name::short;
use crate::render::record::Record;
use crate::word;

impl Noun for MixTrial {
    const COLUMNS: &'static [Column<Self>] = &[
        words("Trial", |trial| short(&trial.name)),
        words("Made", |trial| trial.made_date.clone()),
        words("Parts by volume", |trial| {
            let parts: Vec<String> = trial.ingredients.iter().map(part).collect();
            parts.join(" : ")
        }),
        figures("Straw kg/m3", |trial| trial.straw_kg_per_m3.clone()),
        figures("Shrinkage %", |trial| trial.shrinkage_percent.clone()),
        figures("Crushed at kPa", |trial| trial.compression_mean_kpa.clone()),
        figures("Broke at kPa", |trial| trial.rupture_mean_kpa.clone()),
        words("Against its rules", standing),
        words("Outcome", |trial| {
            word::of::<TrialOutcome>(trial.outcome).to_owned()
        }),
    ];

    fn record(&self) -> Record {
        Record::new()
            .text("name", &self.name)
            .text("made_date", &self.made_date)
            .text("soil_test", &self.soil_test)
            .many("ingredients", &self.ingredients, |ingredient| {
                Record::new()
                    .text("material", &ingredient.material)
                    .text("parts", &ingredient.parts)
            })
            .text("straw_kg_per_m3", &self.straw_kg_per_m3)
            .text("shrinkage_wet_mm", &self.shrinkage_wet_mm)
            .text("shrinkage_dry_mm", &self.shrinkage_dry_mm)
            .many("crushed", &self.crushed, crushed)
            .many("broken", &self.broken, broken)
            .text("density_dry_kg_m3", &self.density_dry_kg_m3)
            .text("rule_pack", &self.rule_pack)
            .word::<TrialOutcome>("outcome", self.outcome)
            .text("note", &self.note)
            .text("shrinkage_percent", &self.shrinkage_percent)
            .text("compression_mean_kpa", &self.compression_mean_kpa)
            .text("compression_min_kpa", &self.compression_min_kpa)
            .text("rupture_mean_kpa", &self.rupture_mean_kpa)
            .text("rupture_min_kpa", &self.rupture_min_kpa)
            .many("verdicts", &self.verdicts, verdict)
            .time("create_time", self.create_time.as_ref())
    }

    fn name(&self) -> &str {
        &self.name
    }
}

/// `1 subsoil`.
fn part(ingredient: &Ingredient) -> String {
    format!("{} {}", ingredient.parts, short(&ingredient.material))
}

/// How it stands against the rules that it names: what falls short of them, by name.
fn standing(trial: &MixTrial) -> String {
    if trial.rule_pack.is_empty() {
        return "held against none".to_owned();
    }
    let pack = short(&trial.rule_pack);
    if trial.verdicts.is_empty() {
        return format!("{pack}: nothing measured");
    }
    let failing = trial.verdicts.iter().filter(|verdict| !verdict.holds);
    let kinds: Vec<&str> = failing
        .filter_map(|verdict| verdict.rule.as_ref())
        .map(|rule| word::of::<RuleKind>(rule.kind))
        .collect();
    if kinds.is_empty() {
        format!("{pack}: {} hold", trial.verdicts.len())
    } else {
        format!("{pack}: does not hold {}", kinds.join(", "))
    }
}

fn crushed(specimen: &CrushedSpecimen) -> Record {
    Record::new()
        .text("load_kn", &specimen.load_kn)
        .text("width_mm", &specimen.width_mm)
        .text("depth_mm", &specimen.depth_mm)
}

fn broken(specimen: &BrokenSpecimen) -> Record {
    Record::new()
        .text("load_kn", &specimen.load_kn)
        .text("span_mm", &specimen.span_mm)
        .text("width_mm", &specimen.width_mm)
        .text("height_mm", &specimen.height_mm)
}

fn verdict(verdict: &Verdict) -> Record {
    let holds = if verdict.holds { "true" } else { "false" };
    Record::new()
        .one_if_there("rule", verdict.rule.as_ref(), rule_record)
        .text("found", &verdict.found)
        .text("holds", holds)
}

#[cfg(test)]
mod tests {
    use hod_wire::v1::Rule;

    use super::*;

    fn verdict(kind: RuleKind, holds: bool) -> Verdict {
        Verdict {
            rule: Some(Rule {
                kind: kind.into(),
                ..Rule::default()
            }),
            found: "1".to_owned(),
            holds,
        }
    }

    #[test]
    fn what_falls_short_is_named_and_nothing_is_called_good() {
        let mut trial = MixTrial::default();
        assert_eq!(standing(&trial), "held against none");
        trial.rule_pack = "rulePacks/cob".to_owned();
        assert_eq!(standing(&trial), "cob: nothing measured");
        trial.verdicts = vec![verdict(RuleKind::ShrinkagePercentMax, true)];
        assert_eq!(standing(&trial), "cob: 1 hold");
        trial.verdicts.push(verdict(RuleKind::RuptureKpaMin, false));
        assert_eq!(standing(&trial), "cob: does not hold rupture-kpa-min");
    }
}
