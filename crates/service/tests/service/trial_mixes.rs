//! Trial mixes that are proposed: as they should be, and refused.

use hod_wire::v1::propose_trial_mixes_request::Soil;
use hod_wire::v1::{
    CreateMaterialRequest, CreateSoilTestRequest, Joint, Material, ProposeTrialMixesRequest,
    SoilObservation, SoilTest, SoilTestMethod, Supply, Unit,
};
use tonic::Code;

use crate::support::{Ground, assert_fields, assert_refused};

/// A firm with a soil of 1200 kg/m3 and a sand of 1500, bulked by 25 %: each 1200 kg dry to the m3 of the damp heap.
async fn ground() -> Ground {
    let ground = Ground::priced().await;
    for (id, density, bulking) in [
        ("pit-soil", "1200", ""),
        ("pit-sand", "1500", "25"),
        ("unweighed", "", ""),
    ] {
        let material = CreateMaterialRequest {
            material_id: id.into(),
            material: Some(Material {
                display_name: id.into(),
                supply: Supply::Site.into(),
                purchase_unit: Unit::M3.into(),
                density_loose_kg_m3: density.into(),
                bulking_percent: bulking.into(),
                source: "made up".into(),
                ..Default::default()
            }),
            ..Default::default()
        };
        ground
            .client
            .materials()
            .create_material(material)
            .await
            .expect(id);
    }
    ground
}

fn ask(soil: Soil) -> ProposeTrialMixesRequest {
    ProposeTrialMixesRequest {
        soil: Some(soil),
        soil_material: "materials/pit-soil".into(),
        sand_material: "materials/pit-sand".into(),
        ..Default::default()
    }
}

async fn test(ground: &Ground, id: &str, soil_test: SoilTest) -> String {
    let request = CreateSoilTestRequest {
        parent: "sites/long-acre".into(),
        soil_test_id: id.into(),
        soil_test: Some(SoilTest {
            sample_date: "2026-04-02".into(),
            ..soil_test
        }),
        ..Default::default()
    };
    let made = ground
        .client
        .soil_tests()
        .create_soil_test(request)
        .await
        .expect(id);
    made.into_inner().name
}

#[tokio::test]
async fn a_soil_of_35_percent_wants_one_part_of_damp_sand_and_trials_around_that() {
    let ground = ground().await;
    let mut tests = ground.client.soil_tests();
    let asked = ask(Soil::ClayPercent("35".into()));
    let proposal = tests
        .propose_trial_mixes(asked)
        .await
        .expect("proposed")
        .into_inner();
    let rows: Vec<[&str; 5]> = proposal
        .mixes
        .iter()
        .map(|mix| {
            [
                mix.clay_percent.as_str(),
                &mix.sand_to_soil_by_mass,
                &mix.sand_parts,
                &mix.buckets,
                &mix.buckets_clay_percent,
            ]
        })
        .collect();
    assert_eq!(
        rows,
        [
            ["12.5", "1.8", "1.8", "2 soil, 3.5 sand", "12.7"],
            ["15", "1.333", "1.33", "3 soil, 4 sand", "15"],
            ["17.5", "1", "1", "1 soil, 1 sand", "17.5"],
            ["20", "0.75", "0.75", "2 soil, 1.5 sand", "20"],
            ["22.5", "0.556", "0.56", "1 soil, 0.5 sand", "23.3"],
        ]
    );
    assert_eq!(proposal.notes, [""; 0]);
    // (35 - 17.5) / 17.5 x 1200 / 1500 x 1.25.
    let basis = proposal.mixes[2].basis.as_ref().expect("a basis");
    let terms: Vec<(Joint, &str)> = basis
        .terms
        .iter()
        .map(|term| (term.joint(), term.value.as_str()))
        .collect();
    assert_eq!(
        terms,
        [
            (Joint::Start, "35"),
            (Joint::Less, "17.5"),
            (Joint::Over, "17.5"),
            (Joint::Times, "1200"),
            (Joint::Over, "1500"),
            (Joint::Times, "1.25"),
        ]
    );
    let mut one = ask(Soil::ClayPercent("35".into()));
    (one.target_clay_percent, one.step_count) = ("14".into(), Some(0));
    let one = tests
        .propose_trial_mixes(one)
        .await
        .expect("proposed")
        .into_inner();
    assert_eq!(
        (one.mixes.len(), one.mixes[0].sand_to_soil_by_mass.as_str()),
        (1, "1.5")
    );
}

#[tokio::test]
async fn a_jar_is_asked_with_what_it_cannot_tell_beside_it() {
    let ground = ground().await;
    let jar = SoilTest {
        method: SoilTestMethod::Jar.into(),
        sand_mm: "40".into(),
        silt_mm: "36".into(),
        clay_mm: "24".into(),
        observations: vec![SoilObservation::SwellingClay.into()],
        ..Default::default()
    };
    let name = test(&ground, "jar", jar).await;
    let mut tests = ground.client.soil_tests();
    let proposal = tests
        .propose_trial_mixes(ask(Soil::SoilTest(name.clone())))
        .await
        .expect("proposed")
        .into_inner();
    // 24 %: the trial of 25 % or more is the soil alone, and there is none; 22.5 is the fattest.
    assert_eq!(proposal.mixes.last().expect("some").clay_percent, "22.5");
    assert_eq!(
        proposal.mixes[0].basis.as_ref().expect("a basis").terms[0].source,
        name
    );
    assert_eq!(proposal.notes.len(), 2, "{:?}", proposal.notes);
    assert_eq!(
        proposal.notes[0],
        "the clay was read in a jar, and nobody said when its layers were marked: it may be from 0 % to 25.8 % of the \
         settled height; clay settles looser than sand, so by mass there is less, and only a laboratory tells how much"
    );
    assert!(
        proposal.notes[1].contains("has a clay that swells"),
        "{}",
        proposal.notes[1]
    );
}

#[tokio::test]
async fn what_cannot_be_proposed_is_refused_with_every_reason() {
    let ground = ground().await;
    let mut tests = ground.client.soil_tests();
    let nothing = ProposeTrialMixesRequest {
        target_clay_percent: "0.9".into(),
        step_percent: "11".into(),
        step_count: Some(5),
        ..Default::default()
    };
    assert_fields(
        &tests
            .propose_trial_mixes(nothing)
            .await
            .expect_err("refused"),
        &[
            ("soil_test", "MISSING"),
            ("soil_material", "MISSING"),
            ("sand_material", "MISSING"),
            ("target_clay_percent", "OUT_OF_RANGE"),
            ("step_percent", "OUT_OF_RANGE"),
            ("step_count", "OUT_OF_RANGE"),
        ],
    );
    let missing = ProposeTrialMixesRequest {
        soil_material: "materials/none".into(),
        ..ask(Soil::SoilTest("sites/long-acre/soilTests/none".into()))
    };
    let refused = tests
        .propose_trial_mixes(missing)
        .await
        .expect_err("missing");
    assert_refused(
        &refused,
        Code::NotFound,
        "NOT_FOUND",
        "sites/long-acre/soilTests/none",
    );
    assert!(
        refused.message().contains("materials/none"),
        "{}",
        refused.message()
    );
    let unweighed = ProposeTrialMixesRequest {
        soil_material: "materials/unweighed".into(),
        sand_material: "materials/unweighed".into(),
        ..ask(Soil::ClayPercent("35".into()))
    };
    assert_fields(
        &tests
            .propose_trial_mixes(unweighed)
            .await
            .expect_err("refused"),
        &[
            ("soil_material", "DENSITY_LOOSE_MISSING"),
            ("sand_material", "DENSITY_LOOSE_MISSING"),
            ("sand_material", "SAND_IS_THE_SOIL"),
        ],
    );
}

#[tokio::test]
async fn a_soil_that_was_seen_to_be_unfit_is_refused_and_one_without_shares_too() {
    let ground = ground().await;
    let by_hand = SoilTest {
        method: SoilTestMethod::ByHand.into(),
        observations: vec![
            SoilObservation::Topsoil.into(),
            SoilObservation::Contamination.into(),
        ],
        ..Default::default()
    };
    let name = test(&ground, "by-hand", by_hand).await;
    let mut tests = ground.client.soil_tests();
    assert_fields(
        &tests
            .propose_trial_mixes(ask(Soil::SoilTest(name)))
            .await
            .expect_err("refused"),
        &[
            ("soil_test", "SOIL_REFUSED"),
            ("soil_test", "SOIL_REFUSED"),
            ("soil_test", "SOIL_TEST_HAS_NO_SHARES"),
        ],
    );
}
