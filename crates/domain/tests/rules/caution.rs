//! Cautions: which there are, in which order, and that none says more than it knows.

use hod_domain::id::{MixTrialId, RulePackId, SiteId};
use hod_domain::job::{Build, Ground, Job, Trench};
use hod_domain::library::Library;
use hod_domain::material::Supply;
use hod_domain::mix::{DensityEvidence, Ingredient, Mix, PartMeasure, Purpose, Recipe, TrialName};
use hod_domain::rules::{Rule, RuleKind, RulePack, RuleStanding};
use hod_domain::takeoff::{Caution, Takeoff};
use hod_domain::trial::{MixTrial, ShrinkageBar, TrialOutcome};
use hod_domain::unit::Unit;
use hod_units::{Area, Date, Decimal, Length, Mass, Volume};
use rust_decimal::dec;

use crate::parts_sample::*;
use crate::sample::*;
use crate::system_sample::{mix_id, said, taken_off};

fn reasons(takeoff: &Takeoff) -> Vec<&'static str> {
    takeoff
        .cautions
        .iter()
        .map(|caution| caution.reason)
        .collect()
}

fn find<'a>(takeoff: &'a Takeoff, reason: &str) -> &'a Caution {
    let found = takeoff
        .cautions
        .iter()
        .find(|caution| caution.reason == reason);
    found.unwrap_or_else(|| panic!("no {reason} in {:?}", takeoff.cautions))
}

fn trial(site: &str, outcome: TrialOutcome) -> MixTrial {
    let made: Date = date("2026-04-20");
    MixTrial {
        site: SiteId::parse(site).expect("an id"),
        id: MixTrialId::parse("bar-3").expect("an id"),
        made,
        soil_test: None,
        ingredients: mix().ingredients,
        straw_per_placed: mix().straw_per_placed(),
        shrinkage: Some(ShrinkageBar {
            wet: millimetres(dec!(600)),
            dry: millimetres(dec!(570)),
        }),
        crushed: Vec::new(),
        broken: Vec::new(),
        density_dry: None,
        rule_pack: None,
        outcome,
        note: String::new(),
    }
}

/// The sample's mix, its density measured, with a trial of a site.
fn tried(site: &str, trials: Vec<MixTrial>) -> Library {
    let mix = Mix {
        density_evidence: DensityEvidence::Measured,
        trial: Some(TrialName {
            site: SiteId::parse(site).expect("an id"),
            trial: MixTrialId::parse("bar-3").expect("an id"),
        }),
        ..mix()
    };
    Library {
        trials,
        ..library_of(Recipe::new(mix, materials()).expect("a whole recipe"))
    }
}

#[test]
fn a_mix_that_nobody_tried_is_the_first_caution() {
    let takeoff = taken_off(&small_job(), &library());
    assert_eq!(
        reasons(&takeoff),
        [
            "MIX_NOT_TESTED",
            "DENSITY_ASSUMED",
            "SILICA_DUST",
            "HEAVY_BUCKET"
        ]
    );
    assert_eq!(takeoff.cautions[0].subject, "mixes/trial-cob");
    assert!(
        takeoff.cautions[0]
            .description
            .contains("no trial justifies mix trial-cob")
    );
}

#[test]
fn all_mixes_that_nobody_tried_stand_in_one_caution() {
    let soil_and_fill = [Purpose::BasePlaster, Purpose::Mortar];
    let names = ["base", "mortar"];
    let recipes = names
        .into_iter()
        .zip(soil_and_fill)
        .map(|(id, purpose)| recipe_for(id, purpose));
    let mut library = library();
    library.recipes.extend(recipes);
    let mut job = small_job();
    let coats = [("base", dec!(12)), ("mortar", dec!(5))];
    job.works = vec![hod_domain::job::WallWork {
        finishes: vec![finish(hod_domain::geometry::Face::Inner, &coats)],
        ..Default::default()
    }];
    let takeoff = taken_off(&job, &library);
    let words = said(&takeoff, "MIX_NOT_TESTED");
    assert!(
        words.contains("mixes trial-cob, base and mortar"),
        "{words}"
    );
    assert_eq!(find(&takeoff, "MIX_NOT_TESTED").subject, "");
    assert!(said(&takeoff, "DENSITY_ASSUMED").contains("mixes trial-cob, base and mortar"));
}

/// Bought gravel in a trench needs no trial: no earth of the site is in it, and no wall is built of it.
#[test]
fn fill_that_is_bought_needs_no_trial() {
    let gravel = measured("gravel", bagged("gravel", Unit::T), dec!(800), dec!(700));
    let job = Job {
        trench: Some(Trench {
            width: millimetres(dec!(600)),
            depth: millimetres(dec!(500)),
            fill: mix_id("gravel"),
            drain: None,
            fabric: None,
        }),
        ..job_without_mix()
    };
    let takeoff = taken_off(&job, &library_of_recipes(vec![gravel.clone()], vec![]));
    let found = reasons(&takeoff);
    assert!(
        !found.contains(&"MIX_NOT_TESTED") && !found.contains(&"DENSITY_ASSUMED"),
        "{found:?}"
    );
    // The same as the earth of a wall does.
    let of_gravel = Job {
        builds: vec![Build {
            mix: Some(mix_id("gravel")),
            ..Build::default()
        }],
        ..job
    };
    let takeoff = taken_off(&of_gravel, &library_of_recipes(vec![gravel], vec![]));
    assert_eq!(reasons(&takeoff)[0], "MIX_NOT_TESTED");
}

/// A trial of the sample's mix but for its parts, by material, and its straw, kg/m3.
fn trial_of(parts: &[(&str, Decimal)], straw: Decimal) -> MixTrial {
    let part = |(id, parts): &(&str, Decimal)| Ingredient {
        material: material_id(id),
        parts: *parts,
    };
    MixTrial {
        ingredients: parts.iter().map(part).collect(),
        straw_per_placed: density(straw),
        ..trial("quarry-lane", TrialOutcome::Taken)
    }
}

#[test]
fn a_trial_of_another_recipe_leaves_the_mix_untested() {
    let (one, two) = (dec!(1), dec!(2));
    let differing = [
        trial_of(&[("soil", one), ("sand", two)], dec!(20)),
        trial_of(&[("soil", one)], dec!(20)),
        trial_of(&[("soil", one), ("gravel", one)], dec!(20)),
        trial_of(&[("soil", one), ("sand", one), ("gravel", one)], dec!(20)),
        trial_of(&[("soil", one), ("sand", dec!(1.000001))], dec!(20)),
        trial_of(&[("soil", one), ("sand", one)], dec!(21.01)),
        trial_of(&[("soil", one), ("sand", one)], dec!(18.99)),
    ];
    for trial in differing {
        let takeoff = taken_off(&small_job(), &tried("quarry-lane", vec![trial.clone()]));
        let first = &takeoff.cautions[0];
        assert_eq!(
            (first.reason, &*first.subject),
            ("MIX_DIFFERS_FROM_TRIAL", "mixes/trial-cob"),
            "{trial:?}"
        );
    }
    let trial = trial_of(&[("soil", one), ("sand", two)], dec!(0));
    let takeoff = taken_off(&small_job(), &tried("quarry-lane", vec![trial]));
    assert_eq!(
        takeoff.cautions[0].description,
        "mix trial-cob is 1 of soil and 1 of sand with 20 kg/m3 of straw, and its trial \
         sites/quarry-lane/mixTrials/bar-3 was 1 of soil and 2 of sand with no straw: the mix as it is was never tried; \
         try it, or build with the mix that was tried"
    );
}

#[test]
fn a_trial_in_the_same_ratios_is_of_the_mix() {
    let third = dec!(0.3);
    let same = [
        trial_of(&[("sand", dec!(1)), ("soil", dec!(1))], dec!(21)),
        trial_of(&[("soil", third), ("sand", third)], dec!(19)),
    ];
    for trial in same {
        let takeoff = taken_off(&small_job(), &tried("quarry-lane", vec![trial]));
        let found = reasons(&takeoff);
        assert!(!found.contains(&"MIX_DIFFERS_FROM_TRIAL"), "{found:?}");
    }
}

/// 600 mm that shrank to 570 mm: 5 %.
fn held_against(limit: Decimal) -> Library {
    let pack = RulePackId::parse("bench").expect("an id");
    let trial = MixTrial {
        rule_pack: Some(pack.clone()),
        ..trial("quarry-lane", TrialOutcome::Taken)
    };
    let rule = Rule {
        kind: RuleKind::ShrinkagePercentMax,
        limit,
        section: "invented 7".to_owned(),
        standing: RuleStanding::FromMemory,
    };
    Library {
        trial_packs: vec![RulePack {
            id: pack,
            display_name: "Bench".to_owned(),
            jurisdiction: "nowhere".to_owned(),
            rules: vec![rule],
        }],
        ..tried("quarry-lane", vec![trial])
    }
}

#[test]
fn a_taken_trial_that_breaks_a_rule_of_its_pack_says_which() {
    let takeoff = taken_off(&small_job(), &held_against(dec!(4.17)));
    let first = &takeoff.cautions[0];
    assert_eq!(
        (first.reason, &*first.subject),
        ("TRIAL_BREAKS_RULE", "mixes/trial-cob")
    );
    assert_eq!(
        first.description,
        "the trial of mix trial-cob, sites/quarry-lane/mixTrials/bar-3, breaks a rule of rulePacks/bench: shrinkage \
         (invented 7), 5 % found, 4.17 % at the most; ask the authority and a licensed engineer"
    );
    let kept = taken_off(&small_job(), &held_against(dec!(5)));
    assert!(!reasons(&kept).contains(&"TRIAL_BREAKS_RULE"), "{kept:?}");
}

#[test]
fn a_taken_trial_on_which_nothing_was_measured_is_cautioned() {
    let bare = |outcome| MixTrial {
        shrinkage: None,
        ..trial("quarry-lane", outcome)
    };
    let found = |trial| reasons(&taken_off(&small_job(), &tried("quarry-lane", vec![trial])));
    assert_eq!(
        found(bare(TrialOutcome::Taken))[0],
        "TRIAL_MEASURED_NOTHING"
    );
    assert!(!found(bare(TrialOutcome::Open)).contains(&"TRIAL_MEASURED_NOTHING"));
    assert!(!found(trial("quarry-lane", TrialOutcome::Taken)).contains(&"TRIAL_MEASURED_NOTHING"));
}

#[test]
fn a_trial_that_settles_nothing_says_why() {
    let first = |library: &Library| taken_off(&small_job(), library).cautions[0].clone();
    let at = |site, outcome| tried(site, vec![trial(site, outcome)]);
    let table = [
        (
            at("quarry-lane", TrialOutcome::TurnedDown),
            "TRIAL_TURNED_DOWN",
            "was turned down",
        ),
        (
            at("quarry-lane", TrialOutcome::Open),
            "TRIAL_OPEN",
            "is not decided",
        ),
        (
            at("long-acre", TrialOutcome::Taken),
            "MIX_TESTED_ELSEWHERE",
            "of another site",
        ),
        (
            tried("quarry-lane", vec![]),
            "TRIAL_UNKNOWN",
            "is not there",
        ),
    ];
    for (library, reason, words) in table {
        let caution = first(&library);
        assert_eq!(
            (caution.reason, &*caution.subject),
            (reason, "mixes/trial-cob")
        );
        assert!(caution.description.contains(words), "{caution:?}");
        assert!(
            caution.description.contains("/mixTrials/bar-3"),
            "{caution:?}"
        );
    }
}

#[test]
fn a_mix_that_was_tried_here_and_weighed_is_no_caution() {
    let library = tried(
        "quarry-lane",
        vec![trial("quarry-lane", TrialOutcome::Taken)],
    );
    let takeoff = taken_off(&small_job(), &library);
    assert_eq!(reasons(&takeoff), ["SILICA_DUST", "HEAVY_BUCKET"]);
    // Nobody says where the job stands: nobody knows whether the soil is the same.
    let nowhere = Job {
        site: None,
        ..small_job()
    };
    assert_eq!(
        reasons(&taken_off(&nowhere, &library)),
        ["SILICA_DUST", "HEAVY_BUCKET"]
    );
}

#[test]
fn a_yield_that_was_measured_does_not_hang_on_a_density() {
    let mix = Mix {
        batch_yield_measured: Some(Volume::from_litres(dec!(60))),
        ..mix()
    };
    let library = library_of(Recipe::new(mix, materials()).expect("a whole recipe"));
    let takeoff = taken_off(&small_job(), &library);
    assert!(!reasons(&takeoff).contains(&"DENSITY_ASSUMED"));
}

#[test]
fn rules_from_memory_are_said_to_be_so() {
    let rule = |kind, standing| Rule {
        kind,
        limit: dec!(0.1),
        section: "5.2.4".to_owned(),
        standing,
    };
    let pack = |standing| RulePack {
        id: RulePackId::parse("remembered").expect("an id"),
        display_name: "Remembered".to_owned(),
        jurisdiction: "nowhere".to_owned(),
        rules: vec![
            rule(RuleKind::MasonryVoidM2Max, standing),
            rule(RuleKind::RuptureKpaMin, RuleStanding::FromMemory),
        ],
    };
    let paid = Job {
        measurement: Some(RulePackId::parse("remembered").expect("an id")),
        ..small_job()
    };
    let with = |standing| Library {
        rule_pack: Some(pack(standing)),
        ..library()
    };
    let takeoff = taken_off(&paid, &with(RuleStanding::FromMemory));
    let words = said(&takeoff, "RULE_FROM_MEMORY");
    assert!(
        words.contains("masonry openings that are not deducted (5.2.4)"),
        "{words}"
    );
    assert!(
        !words.contains("rupture"),
        "payment does not go by it: {words}"
    );
    let takeoff = taken_off(&paid, &with(RuleStanding::Read));
    assert!(!reasons(&takeoff).contains(&"RULE_FROM_MEMORY"));
    assert!(
        !reasons(&taken_off(&small_job(), &with(RuleStanding::FromMemory)))
            .contains(&"RULE_FROM_MEMORY")
    );
}

#[test]
fn what_parts_put_down_stands_between_the_mixes_and_the_work() {
    let job = Job {
        ground: Some(Ground {
            dig_area: Some(Area::from_square_metres(dec!(1))),
            subsoil: Some(Length::from_mm(dec!(100))),
            ..Ground::default()
        }),
        ..small_job()
    };
    let takeoff = taken_off(&job, &library());
    assert_eq!(
        reasons(&takeoff),
        [
            "MIX_NOT_TESTED",
            "DENSITY_ASSUMED",
            "SOIL_SHORT",
            "SILICA_DUST",
            "HEAVY_BUCKET"
        ]
    );
}

fn with_a_part_of(id: &str) -> Library {
    let mix = Mix {
        ingredients: vec![
            Ingredient {
                material: material_id("sand"),
                parts: dec!(3),
            },
            Ingredient {
                material: material_id(id),
                parts: dec!(1),
            },
        ],
        measure: PartMeasure::Wheelbarrow,
        straw: None,
        ..mix()
    };
    let mut materials = materials();
    materials.push(hod_domain::material::Material {
        density_loose: Some(density(dec!(500))),
        mass_per_unit: Some(Mass::from_kg(dec!(25))),
        ..material(id, Supply::Bought, Unit::Bag)
    });
    library_of(Recipe::new(mix, materials).expect("a whole recipe"))
}

#[test]
fn lime_burns_and_limestone_does_not() {
    for (id, burns) in [
        ("hydrated-lime", true),
        ("quicklime", true),
        ("limestone", false),
    ] {
        let takeoff = taken_off(&small_job(), &with_a_part_of(id));
        assert_eq!(reasons(&takeoff).contains(&"LIME_BURNS"), burns, "{id}");
    }
    let takeoff = taken_off(&small_job(), &with_a_part_of("hydrated-lime"));
    assert_eq!(find(&takeoff, "LIME_BURNS").subject, "mixes/trial-cob");
    // 25 kg in a bag are more than the 23 kg that one person lifts; a wheelbarrow is not lifted.
    assert!(said(&takeoff, "HEAVY_PIECE").contains("hydrated-lime of 25 kg"));
    assert!(!reasons(&takeoff).contains(&"HEAVY_BUCKET"));
}

/// 20 l at 1620 kg/m3 and 20 % of water: 20 x 1.944 = 38.88 kg; 23 / 1.944 = 11.8 l.
#[test]
fn a_full_bucket_is_weighed_wet() {
    let takeoff = taken_off(&small_job(), &library());
    let words = said(&takeoff, "HEAVY_BUCKET");
    assert!(
        words.contains("a bucket of 20 l of trial-cob weighs about 39 kg wet"),
        "{words}"
    );
    assert!(words.contains("fill it to 11 l"), "{words}");
    // 12.08 l weigh 23.48 kg, and 12.09 l 23.503 kg.
    for (litres, is_said) in [
        (dec!(11.8), false),
        (dec!(12.08), false),
        (dec!(12.09), true),
    ] {
        let mix = Mix {
            bucket: Volume::from_litres(litres),
            ..mix()
        };
        let library = library_of(Recipe::new(mix, materials()).expect("a whole recipe"));
        let takeoff = taken_off(&small_job(), &library);
        let is = reasons(&takeoff).contains(&"HEAVY_BUCKET");
        assert_eq!(is, is_said, "{litres} l");
    }
}

#[test]
fn no_caution_says_safe_or_approved() {
    let library = tried("long-acre", vec![trial("long-acre", TrialOutcome::Taken)]);
    for takeoff in [
        taken_off(&small_job(), &library),
        taken_off(&small_job(), &with_a_part_of("quicklime")),
    ] {
        assert!(!takeoff.cautions.is_empty());
        for caution in &takeoff.cautions {
            let words = caution.description.to_lowercase();
            assert!(
                !words.contains("safe") && !words.contains("approved"),
                "{words}"
            );
        }
    }
}

#[test]
fn a_job_of_which_nothing_is_known_is_cautioned_of_nothing() {
    let takeoff = taken_off(&job_without_mix(), &library());
    assert!(takeoff.cautions.is_empty(), "{:?}", takeoff.cautions);
}
