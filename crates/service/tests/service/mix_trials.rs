//! Mix trials over the wire: each method once as it should be and once refused.

use hod_wire::v1::{
    BrokenSpecimen, CreateMixTrialRequest, CreateSoilTestRequest, CrushedSpecimen,
    GetMixTrialRequest, Ingredient, ListMixTrialsRequest, Mix, MixTrial, RuleKind, SoilTest,
    SoilTestMethod, TrialOutcome, UpdateMixRequest,
};
use tonic::Code;

use crate::support::{Ground, assert_fields, assert_refused, site};

fn part(material: &str, parts: &str) -> Ingredient {
    Ingredient {
        material: format!("materials/{material}"),
        parts: parts.into(),
    }
}

/// A bar of 24 in that lost 1.00 in, two specimens of 100 x 100 mm crushed at 5 and 4 kN, a brick broken.
fn half_and_half() -> CreateMixTrialRequest {
    let crushed = |load: &str| CrushedSpecimen {
        load_kn: load.into(),
        width_mm: "100".into(),
        depth_mm: "100".into(),
    };
    CreateMixTrialRequest {
        parent: "sites/long-acre".into(),
        mix_trial_id: "half-and-half".into(),
        mix_trial: Some(MixTrial {
            made_date: "2026-04-20".into(),
            ingredients: vec![part("sharp-sand", "1"), part("site-subsoil", "1")],
            straw_kg_per_m3: "20".into(),
            shrinkage_wet_mm: "609.6".into(),
            shrinkage_dry_mm: "584.2".into(),
            crushed: vec![crushed("5"), crushed("4")],
            broken: vec![BrokenSpecimen {
                load_kn: "2".into(),
                span_mm: "250".into(),
                width_mm: "250".into(),
                height_mm: "100".into(),
            }],
            density_dry_kg_m3: "1650.50".into(),
            rule_pack: "rulePacks/cob".into(),
            outcome: TrialOutcome::Taken.into(),
            note: "no cracks\nsome dust".into(),
            ..Default::default()
        }),
        ..Default::default()
    }
}

#[tokio::test]
async fn trials_are_made_read_and_listed_with_their_results_and_verdicts() {
    let ground = Ground::priced().await;
    let mut trials = ground.client.mix_trials();
    let made = trials
        .create_mix_trial(half_and_half())
        .await
        .expect("made")
        .into_inner();
    assert_eq!(made.name, "sites/long-acre/mixTrials/half-and-half");
    assert_eq!(made.shrinkage_percent, "4.17");
    // 5 and 4 kN over 0.01 m2: 500 and 400 kPa.
    assert_eq!(
        (
            made.compression_mean_kpa.as_str(),
            made.compression_min_kpa.as_str()
        ),
        ("450", "400")
    );
    // 3 x 2 x 0.25 / (2 x 0.25 x 0.1 x 0.1) = 300 kPa.
    assert_eq!(
        (
            made.rupture_mean_kpa.as_str(),
            made.rupture_min_kpa.as_str()
        ),
        ("300", "300")
    );
    let verdicts: Vec<(RuleKind, &str, bool)> = made
        .verdicts
        .iter()
        .map(|verdict| {
            let rule = verdict.rule.as_ref().expect("a rule");
            assert!(!rule.section.is_empty() && rule.standing != 0);
            (rule.kind(), verdict.found.as_str(), verdict.holds)
        })
        .collect();
    assert_eq!(
        verdicts,
        [
            (RuleKind::ShrinkagePercentMax, "4.17", true),
            (RuleKind::CompressionKpaMin, "450", true),
            (RuleKind::CompressionBracingKpaMin, "450", false),
            (RuleKind::RuptureKpaMin, "300", false),
        ]
    );
    assert_eq!(made.density_dry_kg_m3, "1650.5");
    let name = made.name.clone();
    let got = trials
        .get_mix_trial(GetMixTrialRequest { name })
        .await
        .expect("got");
    assert_eq!(got.into_inner(), made);

    let mut bare = half_and_half();
    bare.mix_trial_id = String::new();
    bare.mix_trial = Some(MixTrial {
        made_date: "2026-04-21".into(),
        ingredients: vec![part("site-subsoil", "1")],
        outcome: TrialOutcome::Open.into(),
        ..Default::default()
    });
    let other = trials
        .create_mix_trial(bare)
        .await
        .expect("made")
        .into_inner();
    assert!(
        other.name.starts_with("sites/long-acre/mixTrials/t"),
        "{}",
        other.name
    );
    assert_eq!(
        (other.shrinkage_percent.as_str(), other.verdicts.len()),
        ("", 0)
    );
    let ask = ListMixTrialsRequest {
        parent: "sites/long-acre".into(),
        ..Default::default()
    };
    let listed = trials
        .list_mix_trials(ask)
        .await
        .expect("listed")
        .into_inner();
    assert_eq!(listed.mix_trials, [made, other]);
}

#[tokio::test]
async fn a_bar_that_loses_a_hundredth_of_an_inch_more_does_not_hold() {
    let ground = Ground::priced().await;
    let mut over = half_and_half();
    // 22.99 in.
    over.mix_trial.as_mut().expect("a trial").shrinkage_dry_mm = "583.946".into();
    let made = ground
        .client
        .mix_trials()
        .create_mix_trial(over)
        .await
        .expect("made")
        .into_inner();
    let verdict = &made.verdicts[0];
    assert_eq!((verdict.found.as_str(), verdict.holds), ("4.21", false));
    let rule = verdict.rule.as_ref().expect("a rule");
    assert!(rule.section.starts_with("AU103.4.1"), "{}", rule.section);
}

#[tokio::test]
async fn a_trial_is_refused_with_every_fault_at_once() {
    let ground = Ground::priced().await;
    let mut trials = ground.client.mix_trials();
    let mut bad = half_and_half();
    let trial = bad.mix_trial.as_mut().expect("a trial");
    trial.made_date = String::new();
    trial.soil_test = "sites/mill/soilTests/pit-1".into();
    trial.ingredients[0].parts = "0".into();
    trial.shrinkage_dry_mm = String::new();
    trial.crushed[1].depth_mm = "9".into();
    trial.broken[0].load_kn = "much".into();
    trial.rule_pack = "cob".into();
    trial.outcome = 0;
    assert_fields(
        &trials.create_mix_trial(bad).await.expect_err("refused"),
        &[
            ("mix_trial.made_date", "MISSING"),
            ("mix_trial.soil_test", "OF_ANOTHER_SITE"),
            ("mix_trial.ingredients[0].parts", "OUT_OF_RANGE"),
            ("mix_trial.shrinkage_dry_mm", "MISSING"),
            ("mix_trial.crushed[1].depth_mm", "OUT_OF_RANGE"),
            ("mix_trial.broken[0].load_kn", "NOT_A_NUMBER"),
            ("mix_trial.rule_pack", "NOT_A_NAME"),
            ("mix_trial.outcome", "MISSING"),
        ],
    );
    let mut grown = half_and_half();
    let trial = grown.mix_trial.as_mut().expect("a trial");
    trial.shrinkage_dry_mm = "610".into();
    trial.ingredients = vec![part("site-subsoil", "1"), part("site-subsoil", "2")];
    assert_fields(
        &trials.create_mix_trial(grown).await.expect_err("refused"),
        &[
            ("mix_trial.ingredients[1].material", "MATERIAL_TWICE"),
            ("mix_trial.shrinkage_dry_mm", "SHRINKAGE_BAR_GREW"),
        ],
    );
    for (change, name) in [
        (
            (|trial| trial.rule_pack = "rulePacks/none".into()) as fn(&mut MixTrial),
            "rulePacks/none",
        ),
        (
            |trial| trial.soil_test = "sites/long-acre/soilTests/none".into(),
            "sites/long-acre/soilTests/none",
        ),
        (
            |trial| trial.ingredients[0].material = "materials/none".into(),
            "materials/none",
        ),
    ] {
        let mut missing = half_and_half();
        change(missing.mix_trial.as_mut().expect("a trial"));
        let refused = trials.create_mix_trial(missing).await.expect_err("missing");
        assert_refused(&refused, Code::NotFound, "NOT_FOUND", name);
    }
    let name = "sites/long-acre/mixTrials/none".into();
    let missing = trials
        .get_mix_trial(GetMixTrialRequest { name })
        .await
        .expect_err("missing");
    assert_refused(
        &missing,
        Code::NotFound,
        "NOT_FOUND",
        "sites/long-acre/mixTrials/none",
    );
    let parent = "sites/none".into();
    let ask = ListMixTrialsRequest {
        parent,
        ..Default::default()
    };
    let missing = trials.list_mix_trials(ask).await.expect_err("no site");
    assert_refused(&missing, Code::NotFound, "NOT_FOUND", "sites/none");
}

#[tokio::test]
async fn a_mix_names_a_trial_that_was_taken() {
    let ground = Ground::priced().await;
    let mut trials = ground.client.mix_trials();
    let taken = trials
        .create_mix_trial(half_and_half())
        .await
        .expect("made")
        .into_inner();
    let mut open = half_and_half();
    open.mix_trial_id = "open".into();
    open.mix_trial.as_mut().expect("a trial").outcome = TrialOutcome::Open.into();
    let open = trials
        .create_mix_trial(open)
        .await
        .expect("made")
        .into_inner();
    let naming = |trial: &str| UpdateMixRequest {
        mix: Some(Mix {
            name: "mixes/house-cob".into(),
            trial: trial.into(),
            ..Default::default()
        }),
        ..Default::default()
    };
    let mut mixes = ground.client.mixes();
    let changed = mixes
        .update_mix(naming(&taken.name))
        .await
        .expect("changed")
        .into_inner();
    assert_eq!(changed.trial, taken.name);
    let refused = mixes
        .update_mix(naming(&open.name))
        .await
        .expect_err("not taken");
    assert_refused(
        &refused,
        Code::FailedPrecondition,
        "RULE_BROKEN",
        "is still open",
    );
    let refused = mixes
        .update_mix(naming("sites/long-acre/mixTrials/none"))
        .await
        .expect_err("missing");
    assert_refused(
        &refused,
        Code::NotFound,
        "NOT_FOUND",
        "sites/long-acre/mixTrials/none",
    );
}

#[tokio::test]
async fn a_trial_is_of_the_soil_of_its_own_site() {
    let ground = Ground::priced().await;
    let client = &ground.client;
    client
        .sites()
        .create_site(site("mill", "regions/north"))
        .await
        .expect("a site");
    let test = CreateSoilTestRequest {
        parent: "sites/long-acre".into(),
        soil_test_id: "pit-1".into(),
        soil_test: Some(SoilTest {
            method: SoilTestMethod::ByHand.into(),
            sample_date: "2026-04-02".into(),
            ..Default::default()
        }),
        ..Default::default()
    };
    client
        .soil_tests()
        .create_soil_test(test)
        .await
        .expect("a test");
    let mut own = half_and_half();
    own.mix_trial.as_mut().expect("a trial").soil_test = "sites/long-acre/soilTests/pit-1".into();
    let mut elsewhere = own.clone();
    elsewhere.parent = "sites/mill".into();
    let made = client
        .mix_trials()
        .create_mix_trial(own)
        .await
        .expect("made")
        .into_inner();
    assert_eq!(made.soil_test, "sites/long-acre/soilTests/pit-1");
    let refused = client
        .mix_trials()
        .create_mix_trial(elsewhere)
        .await
        .expect_err("another site's");
    assert_fields(&refused, &[("mix_trial.soil_test", "OF_ANOTHER_SITE")]);
}
