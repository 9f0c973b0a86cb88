//! Mixes over the wire: each method once as it should be and once refused.

use hod_wire::v1::{
    CreateMixRequest, DensityEvidence, GetMixRequest, Ingredient, ListMixesRequest, Mix,
    MixPurpose, PartMeasure, UpdateMixRequest,
};
use tonic::Code;

use crate::support::{Ground, assert_fields, assert_refused};

fn part(material: &str, parts: &str) -> Ingredient {
    Ingredient {
        material: format!("materials/{material}"),
        parts: parts.into(),
    }
}

fn oven_mix() -> CreateMixRequest {
    CreateMixRequest {
        mix_id: "oven-dome".into(),
        mix: Some(Mix {
            display_name: "Oven dome, dense".into(),
            ingredients: vec![part("sharp-sand", "3"), part("site-subsoil", "1")],
            bucket_l: "12".into(),
            buckets_per_part: "1".into(),
            density_dry_kg_m3: "1900".into(),
            purpose: MixPurpose::HeatStoring.into(),
            mixing: "tarp".into(),
            batch_yield_l: "31".into(),
            source: "as built last year".into(),
            ..Default::default()
        }),
        ..Default::default()
    }
}

#[tokio::test]
async fn mixes_are_made_read_listed_and_changed_with_their_ingredients_in_order() {
    let ground = Ground::with_library().await;
    let mut mixes = ground.client.mixes();
    let made = mixes
        .create_mix(oven_mix())
        .await
        .expect("made")
        .into_inner();
    assert_eq!(
        made.ingredients,
        [part("sharp-sand", "3"), part("site-subsoil", "1")]
    );
    assert_eq!(
        (made.batch_yield_l.as_str(), made.straw_material.as_str()),
        ("31", "")
    );
    // What nobody said is told as what it means.
    assert_eq!(
        (made.purpose(), made.measure(), made.density_evidence()),
        (
            MixPurpose::HeatStoring,
            PartMeasure::Bucket,
            DensityEvidence::Assumed
        )
    );
    assert_eq!((made.mixing.as_str(), made.trial.as_str()), ("tarp", ""));
    let got = mixes
        .get_mix(GetMixRequest {
            name: "mixes/oven-dome".into(),
        })
        .await
        .expect("got");
    assert_eq!(got.into_inner(), made);
    let listed = mixes
        .list_mixes(ListMixesRequest::default())
        .await
        .expect("listed")
        .into_inner();
    assert!(
        listed.mixes.contains(&made)
            && listed.mixes.iter().any(|mix| mix.name == "mixes/house-cob")
    );

    let change = UpdateMixRequest {
        mix: Some(Mix {
            name: made.name.clone(),
            ingredients: vec![part("site-subsoil", "1"), part("sharp-sand", "2.5")],
            ..Default::default()
        }),
        ..Default::default()
    };
    let changed = mixes
        .update_mix(change)
        .await
        .expect("changed")
        .into_inner();
    assert_eq!(
        changed.ingredients,
        [part("site-subsoil", "1"), part("sharp-sand", "2.5")]
    );
    assert_eq!(changed.batch_yield_l, "31");
}

#[tokio::test]
async fn a_mix_is_refused_with_every_fault_at_once() {
    let ground = Ground::with_library().await;
    let mut mixes = ground.client.mixes();
    let mut bad = oven_mix();
    let mix = bad.mix.as_mut().expect("a mix");
    mix.ingredients = vec![
        part("sharp-sand", "0"),
        part("sharp-sand", "1e3"),
        Ingredient::default(),
    ];
    mix.density_dry_kg_m3 = "2801".into();
    mix.bucket_l = "0.09".into();
    mix.water_percent = "301".into();
    mix.purpose = 10;
    mix.measure = 5;
    mix.mixing = "By foot".into();
    mix.density_evidence = 3;
    mix.trial = "mixTrials/t-1".into();
    mix.straw_kg_per_m3 = "20".into();
    mix.source = "s".repeat(401);
    assert_fields(
        &mixes.create_mix(bad).await.expect_err("refused"),
        &[
            ("mix.ingredients[0].parts", "OUT_OF_RANGE"),
            ("mix.ingredients[1].parts", "NOT_A_NUMBER"),
            ("mix.ingredients[2].material", "NOT_A_NAME"),
            ("mix.ingredients[2].parts", "MISSING"),
            ("mix.bucket_l", "OUT_OF_RANGE"),
            ("mix.density_dry_kg_m3", "OUT_OF_RANGE"),
            ("mix.straw_material", "MISSING"),
            ("mix.water_percent", "OUT_OF_RANGE"),
            ("mix.purpose", "UNKNOWN_CHOICE"),
            ("mix.measure", "UNKNOWN_CHOICE"),
            ("mix.mixing", "NOT_AN_ID"),
            ("mix.density_evidence", "UNKNOWN_CHOICE"),
            ("mix.trial", "NOT_A_NAME"),
            ("mix.source", "TOO_LONG"),
        ],
    );
    let mut twice = oven_mix();
    twice.mix.as_mut().expect("a mix").ingredients =
        vec![part("sharp-sand", "1"), part("sharp-sand", "2")];
    assert_fields(
        &mixes.create_mix(twice).await.expect_err("refused"),
        &[("mix.ingredients[1].material", "MATERIAL_TWICE")],
    );
    let mut none = oven_mix();
    let mix = none.mix.as_mut().expect("a mix");
    mix.ingredients.clear();
    mix.batch_yield_l.clear();
    assert_fields(
        &mixes.create_mix(none).await.expect_err("refused"),
        &[("mix.ingredients", "WRONG_COUNT")],
    );
}

#[tokio::test]
async fn what_a_mix_names_and_is_not_there_is_named() {
    let ground = Ground::with_library().await;
    let mut mixes = ground.client.mixes();
    let mut unknown = oven_mix();
    unknown
        .mix
        .as_mut()
        .expect("a mix")
        .ingredients
        .push(part("clay", "1"));
    let missing = mixes.create_mix(unknown).await.expect_err("no clay");
    assert_refused(&missing, Code::NotFound, "NOT_FOUND", "materials/clay");
    let mut untried = oven_mix();
    untried.mix.as_mut().expect("a mix").trial = "sites/long-acre/mixTrials/t-1".into();
    let missing = mixes.create_mix(untried).await.expect_err("no trial");
    assert_refused(
        &missing,
        Code::NotFound,
        "NOT_FOUND",
        "sites/long-acre/mixTrials/t-1",
    );
    let missing = mixes
        .get_mix(GetMixRequest {
            name: "mixes/none".into(),
        })
        .await
        .expect_err("no mix");
    assert_refused(&missing, Code::NotFound, "NOT_FOUND", "mixes/none");
    let change = UpdateMixRequest {
        mix: Some(Mix {
            name: "mix/x".into(),
            ..Default::default()
        }),
        ..Default::default()
    };
    assert_fields(
        &mixes.update_mix(change).await.expect_err("no name"),
        &[("mix.name", "NOT_A_NAME")],
    );
    let bad = ListMixesRequest {
        page_size: -1,
        ..Default::default()
    };
    assert_fields(
        &mixes.list_mixes(bad).await.expect_err("refused"),
        &[("page_size", "OUT_OF_RANGE")],
    );
}
