//! Soil tests, rule packs and mix trials: read as they were written, and refused as the caller hears it.

use hod_domain::id::{MixTrialId, RulePackId, SoilTestId};
use hod_domain::mix::{Ingredient, TrialName};
use hod_domain::rules::{Rule, RuleKind, RuleStanding};
use hod_domain::soil::{JarProtocol, SoilEvidence, SoilObservation, SoilShares, SoilTest};
use hod_domain::trial::TrialOutcome;
use hod_store::{StoreFault, mix, mix_trial, rule_pack, soil_test};
use hod_units::{Decimal, Length};

use crate::examples::*;
use crate::faults::{busy, fault, not_found, refused, taken};

/// As fine as a column holds: 12 places.
const FINE: &str = "12.345678901234";

fn full_jar() -> SoilTest {
    SoilTest {
        protocol: Some(JarProtocol {
            sand_mark_s: number("45"),
            silt_mark_min: number("180.000000000001"),
            clay_mark_h: Some(number("24")),
            water_height: Length::from_mm(number("151.5")),
            water_celsius: number(FINE),
        }),
        ribbon: Some(Length::from_mm(number("42"))),
        drop_note: "flattened, few cracks".to_owned(),
        observations: vec![SoilObservation::Salts, SoilObservation::Topsoil],
        ..soil_test("full")
    }
}

#[tokio::test]
async fn a_soil_test_is_read_with_its_protocol_and_what_was_seen_in_their_order() {
    let ground = busy().await;
    let mut session = ground.session().await;
    let mut without_clay_mark = full_jar();
    without_clay_mark.id = SoilTestId::parse("no-clay-mark").unwrap();
    without_clay_mark.observations = Vec::new();
    if let Some(protocol) = &mut without_clay_mark.protocol {
        protocol.clay_mark_h = None;
    }
    let mut by_hand = soil_test("by-hand");
    by_hand.evidence = SoilEvidence::ByHand;
    by_hand.observations = vec![
        SoilObservation::Topsoil,
        SoilObservation::Salts,
        SoilObservation::Contamination,
        SoilObservation::SwellingClay,
    ];
    let site = site_id("long-acre");
    for test in [&full_jar(), &without_clay_mark, &by_hand] {
        let kept = soil_test::insert(&mut session, &site, test).await.unwrap();
        assert_eq!(kept.value, *test);
        assert_eq!(
            soil_test::get(&mut session, &site, &test.id).await.unwrap(),
            kept
        );
    }
    let listed = soil_test::list(&mut session, &site, None, 9).await.unwrap();
    let ids: Vec<&str> = listed.iter().map(|test| test.value.id.as_str()).collect();
    assert_eq!(ids, ["by-hand", "full", "jar-1", "no-clay-mark"]);
}

#[tokio::test]
async fn laboratory_shares_that_were_rounded_are_kept_as_given_within_a_tenth() {
    let ground = busy().await;
    let of = |id: &str, shares: [&str; 3]| {
        let [sand, silt, clay] = shares.map(percent);
        SoilTest {
            evidence: SoilEvidence::Laboratory(SoilShares { sand, silt, clay }),
            ..soil_test(id)
        }
    };
    let site = site_id("long-acre");
    let mut session = ground.session().await;
    for test in [
        of("rounded-down", ["48.5", "25.2", "26.2"]),
        of("rounded-up", ["33.4", "33.4", "33.3"]),
    ] {
        soil_test::insert(&mut session, &site, &test).await.unwrap();
        let read = soil_test::get(&mut session, &site, &test.id).await.unwrap();
        assert_eq!(read.value, test);
    }
    for shares in [["48.5", "25.2", "26.19"], ["33.4", "33.4", "33.31"]] {
        let fault = fault!(ground, |s| soil_test::insert(s, &site, &of("out", shares)));
        assert_eq!(refused(&fault), "soil_test_shares_total_whole");
        assert_eq!(
            fault.to_string(),
            "The shares of sand, silt and clay add up to 100 percent, within 0.1."
        );
    }
}

#[tokio::test]
async fn a_rule_pack_is_read_with_rules_of_every_kind_in_their_order() {
    use RuleKind::*;
    let ground = Ground::new().await;
    let mut session = ground.session().await;
    let mut pack = rule_pack("valley");
    let standings = [
        RuleStanding::Read,
        RuleStanding::Reported,
        RuleStanding::FromMemory,
    ];
    let kinds = [
        BoundaryVoidDeducted,
        ShrinkagePercentMax,
        CompressionKpaMin,
        CompressionBracingKpaMin,
        RuptureKpaMin,
        MasonryVoidM2Max,
        PlasterVoidM2Max,
        PlasterOneFaceVoidM2Max,
    ];
    pack.rules = kinds
        .into_iter()
        .zip(standings.into_iter().cycle())
        .map(|(kind, standing)| Rule {
            kind,
            limit: if kind == BoundaryVoidDeducted {
                Decimal::ONE
            } else {
                number(FINE)
            },
            section: format!("{}: made up", kind.words()),
            standing,
        })
        .collect();
    let kept = rule_pack::insert(&mut session, &pack).await.unwrap();
    assert_eq!(kept.value, pack);
    assert_eq!(rule_pack::get(&mut session, &pack.id).await.unwrap(), kept);
    let other = rule_pack::insert(&mut session, &rule_pack("zone"))
        .await
        .unwrap();
    let all = rule_pack::list(&mut session, None, 9).await.unwrap();
    assert_eq!(all, [kept, other.clone()]);
    let after = rule_pack::list(&mut session, Some(&pack.id), 9)
        .await
        .unwrap();
    assert_eq!(after, [other]);
}

#[tokio::test]
async fn a_mix_trial_is_read_with_its_parts_and_specimens_in_their_order() {
    let ground = busy().await;
    let mut session = ground.session().await;
    rule_pack::insert(&mut session, &rule_pack("valley"))
        .await
        .unwrap();
    let mut full = mix_trial("full");
    full.soil_test = Some(SoilTestId::parse("jar-1").unwrap());
    full.rule_pack = Some(RulePackId::parse("valley").unwrap());
    full.ingredients.insert(
        0,
        Ingredient {
            material: material_id("sharp-sand"),
            parts: number("1.000000000001"),
        },
    );
    let mut weaker = full.crushed[0];
    weaker.load_kn = number(FINE);
    full.crushed.insert(0, weaker);
    let mut stronger = full.broken[0];
    stronger.span = Length::from_mm(number("255.5"));
    full.broken.push(stronger);
    full.outcome = TrialOutcome::TurnedDown;
    full.note = "cracked\nand dusted".to_owned();
    let mut bare = mix_trial("bare");
    (bare.shrinkage, bare.density_dry) = (None, None);
    bare.crushed = Vec::new();
    bare.broken = Vec::new();
    bare.outcome = TrialOutcome::Open;
    let mut kept = Vec::new();
    for trial in [&bare, &full] {
        kept.push(mix_trial::insert(&mut session, trial).await.unwrap());
        let read = mix_trial::get(&mut session, &trial.site, &trial.id)
            .await
            .unwrap();
        assert_eq!((&read, &read.value), (&kept[kept.len() - 1], trial));
    }
    let all = mix_trial::list(&mut session, &full.site, None, 9)
        .await
        .unwrap();
    assert_eq!(all, kept);
    let after = mix_trial::list(&mut session, &full.site, Some(&bare.id), 9)
        .await
        .unwrap();
    assert_eq!(after, kept[1..]);
}

#[tokio::test]
async fn what_a_trial_names_and_is_not_there_is_named() {
    let ground = busy().await;
    let with = |change: fn(&mut hod_domain::trial::MixTrial)| {
        let mut trial = mix_trial("new");
        change(&mut trial);
        trial
    };
    let table = [
        (
            with(|trial| trial.site = site_id("nowhere")),
            "sites/nowhere",
        ),
        (
            with(|trial| trial.soil_test = SoilTestId::parse("none").ok()),
            "sites/long-acre/soilTests/none",
        ),
        (
            with(|trial| trial.rule_pack = RulePackId::parse("none").ok()),
            "rulePacks/none",
        ),
        (
            with(|trial| trial.ingredients[0].material = material_id("nothing")),
            "materials/nothing",
        ),
    ];
    for (trial, name) in table {
        let fault = fault!(ground, |s| mix_trial::insert(s, &trial));
        assert_eq!(not_found(&fault), [name]);
    }
    let id = MixTrialId::parse("none").unwrap();
    let site = site_id("long-acre");
    assert_eq!(
        not_found(&fault!(ground, |s| mix_trial::get(s, &site, &id))),
        ["sites/long-acre/mixTrials/none"]
    );
    let nowhere = site_id("nowhere");
    assert_eq!(
        not_found(&fault!(ground, |s| mix_trial::list(s, &nowhere, None, 9))),
        ["sites/nowhere"]
    );
    let none = RulePackId::parse("none").unwrap();
    assert_eq!(
        not_found(&fault!(ground, |s| rule_pack::get(s, &none))),
        ["rulePacks/none"]
    );
}

#[tokio::test]
async fn a_trial_is_taken_of_soil_that_may_be_built_with_and_was_sampled_before() {
    let ground = busy().await;
    let mut session = ground.session().await;
    let site = site_id("long-acre");
    soil_test::insert(&mut session, &site, &full_jar())
        .await
        .unwrap();
    session.commit().await.unwrap();
    let of = |outcome| {
        let mut trial = mix_trial("of-salts");
        trial.soil_test = Some(full_jar().id);
        trial.made = full_jar().sampled;
        trial.outcome = outcome;
        trial
    };
    let fault = fault!(ground, |s| mix_trial::insert(s, &of(TrialOutcome::Taken)));
    assert_eq!(refused(&fault), "mix_trial_soil_is_fit");
    let told = fault.to_string();
    assert!(told.contains("salts") && told.contains("topsoil"), "{told}");
    let mut early = of(TrialOutcome::TurnedDown);
    early.made = full_jar().sampled.pred_opt().unwrap();
    let fault = fault!(ground, |s| mix_trial::insert(s, &early));
    assert_eq!(refused(&fault), "mix_trial_made_of_its_sample");
    // What was found of it may be written down all the same.
    let mut session = ground.session().await;
    mix_trial::insert(&mut session, &of(TrialOutcome::TurnedDown))
        .await
        .unwrap();
}

#[tokio::test]
async fn the_names_of_trials_and_rule_packs_are_taken_once() {
    let ground = busy().await;
    let mut session = ground.session().await;
    mix_trial::insert(&mut session, &mix_trial("t"))
        .await
        .unwrap();
    rule_pack::insert(&mut session, &rule_pack("valley"))
        .await
        .unwrap();
    session.commit().await.unwrap();
    let fault = fault!(ground, |s| mix_trial::insert(s, &mix_trial("t")));
    assert_eq!(taken(&fault), "sites/long-acre/mixTrials/t");
    let fault = fault!(ground, |s| rule_pack::insert(s, &rule_pack("valley")));
    assert_eq!(taken(&fault), "rulePacks/valley");
}

#[tokio::test]
async fn a_mix_is_justified_by_a_trial_that_was_taken_and_by_no_other() {
    let ground = busy().await;
    let mut session = ground.session().await;
    for (id, outcome) in [
        ("good", TrialOutcome::Taken),
        ("waiting", TrialOutcome::Open),
        ("bad", TrialOutcome::TurnedDown),
    ] {
        let mut trial = mix_trial(id);
        trial.outcome = outcome;
        mix_trial::insert(&mut session, &trial).await.unwrap();
    }
    session.commit().await.unwrap();
    let naming = |trial: &str| {
        let mut mix = mix("house-cob");
        mix.trial = Some(TrialName {
            site: site_id("long-acre"),
            trial: MixTrialId::parse(trial).unwrap(),
        });
        mix
    };
    let mut session = ground.session().await;
    let kept = mix::update(&mut session, &naming("good"), None)
        .await
        .unwrap();
    assert_eq!(kept.value, naming("good"));
    session.commit().await.unwrap();
    for (trial, words) in [("waiting", "is still open"), ("bad", "was turned down")] {
        let mut new = naming(trial);
        new.id = mix_id("new");
        for fault in [
            fault!(ground, |s| mix::update(s, &naming(trial), None)),
            fault!(ground, |s| mix::insert(s, &new)),
        ] {
            assert_eq!(refused(&fault), "mix_trial_is_taken");
            assert_eq!(
                fault.to_string(),
                format!(
                    "sites/long-acre/mixTrials/{trial} {words}; a mix is justified by a trial that was taken, so record \
                     such a one, or leave it out"
                )
            );
        }
    }
    let fault = fault!(ground, |s| mix::update(s, &naming("none"), None));
    assert_eq!(not_found(&fault), ["sites/long-acre/mixTrials/none"]);
}

#[tokio::test]
async fn every_number_that_does_not_fit_its_column_is_named() {
    let ground = busy().await;
    let third = number("1").checked_div(3.into()).unwrap();
    let mut trial = mix_trial("new");
    trial.crushed[0].load_kn = third;
    trial.broken[0].load_kn = third;
    let fault = fault!(ground, |s| mix_trial::insert(s, &trial));
    assert_eq!(refused(&fault), "number_fits_its_column");
    assert_eq!(
        fault.to_string(),
        "crushed[0].load_kn is 0.3333333333333333333333333333, with 28 decimals; at most 12 are kept; \
         broken[0].load_kn is 0.3333333333333333333333333333, with 28 decimals; at most 12 are kept"
    );
    let mut pack = rule_pack("new");
    pack.rules[1].limit = third;
    let fault = fault!(ground, |s| rule_pack::insert(s, &pack));
    assert!(
        matches!(&fault, StoreFault::Refused { message, .. } if message.starts_with("rules[1].limit is 0.33")),
        "{fault}"
    );
}
