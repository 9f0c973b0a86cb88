//! Soil tests over the wire: each method once as it should be and once refused.

use hod_wire::v1::{
    CreateSoilTestRequest, GetSoilTestRequest, JarProtocol, ListSoilTestsRequest, SoilObservation,
    SoilTest, SoilTestMethod, SoilTexture,
};
use tonic::Code;

use crate::support::{Ground, assert_fields, assert_refused, price, violations};

/// 60 mm of sand, 15 mm of silt and 45 mm of clay, 120 mm together: 50, 12.5 and 37.5 %.
fn jar() -> CreateSoilTestRequest {
    CreateSoilTestRequest {
        parent: "sites/long-acre".into(),
        soil_test_id: "pit-1".into(),
        soil_test: Some(SoilTest {
            method: SoilTestMethod::Jar.into(),
            sample_date: "2026-04-02".into(),
            depth_m: "0.60".into(),
            sand_mm: "60".into(),
            silt_mm: "15".into(),
            clay_mm: "45".into(),
            note: "red, no smell\nroots to 0.3 m".into(),
            ..Default::default()
        }),
        ..Default::default()
    }
}

#[tokio::test]
async fn soil_tests_are_made_read_and_listed_and_a_jar_tells_its_shares() {
    let ground = Ground::with_library().await;
    price(&ground.client).await;
    let mut tests = ground.client.soil_tests();
    let made = tests
        .create_soil_test(jar())
        .await
        .expect("made")
        .into_inner();
    assert_eq!(made.name, "sites/long-acre/soilTests/pit-1");
    assert_eq!(
        [&made.sand_percent, &made.silt_percent, &made.clay_percent],
        ["50", "12.5", "37.5"]
    );
    assert_eq!(
        (made.depth_m.as_str(), made.sand_mm.as_str()),
        ("0.6", "60")
    );
    let got = tests
        .get_soil_test(GetSoilTestRequest {
            name: made.name.clone(),
        })
        .await
        .expect("got");
    assert_eq!(got.into_inner(), made);

    let laboratory = CreateSoilTestRequest {
        soil_test_id: String::new(),
        soil_test: Some(SoilTest {
            method: SoilTestMethod::Laboratory.into(),
            sample_date: "2026-04-09".into(),
            sand_percent: "48.2".into(),
            silt_percent: "20.1".into(),
            clay_percent: "31.7".into(),
            ..Default::default()
        }),
        ..jar()
    };
    let other = tests
        .create_soil_test(laboratory)
        .await
        .expect("made")
        .into_inner();
    assert!(
        other.name.starts_with("sites/long-acre/soilTests/s"),
        "{}",
        other.name
    );
    assert_eq!(other.sand_mm, "");
    let ask = ListSoilTestsRequest {
        parent: "sites/long-acre".into(),
        ..Default::default()
    };
    let listed = tests
        .list_soil_tests(ask)
        .await
        .expect("listed")
        .into_inner();
    assert_eq!(listed.soil_tests, [made, other]);
}

#[tokio::test]
async fn a_soil_test_is_refused_with_every_fault_at_once() {
    let ground = Ground::with_library().await;
    price(&ground.client).await;
    let mut tests = ground.client.soil_tests();
    let mut bad = jar();
    let test = bad.soil_test.as_mut().expect("a test");
    test.method = SoilTestMethod::Laboratory.into();
    test.sample_date = "2026-02-30".into();
    test.sand_percent = "1_0".into();
    test.silt_percent = "20".into();
    test.clay_percent = "30".into();
    test.silt_mm = String::new();
    test.depth_m = "-0.1".into();
    bad.parent = "long-acre".into();
    assert_fields(
        &tests.create_soil_test(bad).await.expect_err("refused"),
        &[
            ("parent", "NOT_A_NAME"),
            ("soil_test.sand_mm", "NOT_OF_THIS_METHOD"),
            ("soil_test.clay_mm", "NOT_OF_THIS_METHOD"),
            ("soil_test.sand_percent", "NOT_A_NUMBER"),
            ("soil_test.sample_date", "NOT_A_DATE"),
            ("soil_test.depth_m", "OUT_OF_RANGE"),
        ],
    );
    let mut empty = jar();
    let test = empty.soil_test.as_mut().expect("a test");
    (test.sand_mm, test.silt_mm, test.clay_mm) = ("0".into(), "0".into(), "0".into());
    let refused = tests
        .create_soil_test(empty)
        .await
        .expect_err("an empty jar");
    assert_eq!(
        violations(&refused),
        [(
            "soil_test.sand_mm".to_owned(),
            "JAR_SHOWS_NO_LAYERS".to_owned()
        )]
    );
    let mut nowhere = jar();
    nowhere.parent = "sites/none".into();
    let missing = tests.create_soil_test(nowhere).await.expect_err("no site");
    assert_refused(&missing, Code::NotFound, "NOT_FOUND", "sites/none");
    let missing = tests
        .get_soil_test(GetSoilTestRequest {
            name: "sites/long-acre/soilTests/x".into(),
        })
        .await;
    assert_refused(
        &missing.expect_err("missing"),
        Code::NotFound,
        "NOT_FOUND",
        "sites/long-acre/soilTests/x",
    );
    let ask = ListSoilTestsRequest {
        parent: "sites/none".into(),
        ..Default::default()
    };
    let missing = tests.list_soil_tests(ask).await.expect_err("no site");
    assert_refused(&missing, Code::NotFound, "NOT_FOUND", "sites/none");
}

#[tokio::test]
async fn a_jar_tells_its_class_and_what_it_cannot_tell() {
    let ground = Ground::with_library().await;
    price(&ground.client).await;
    let mut tests = ground.client.soil_tests();
    // 33, 34 and 33 mm: sand, silt and clay of 33, 34 and 33 %, which is clay loam. Marked after a minute and two hours in
    // 10 cm at 20 degrees: grains of 0.0431 and 0.0039 mm. Of the silt 0.20747 had not settled, 34 x 0.26178 = 8.90 mm:
    // (33 - 8.90 - 2) / 99 = 22.3 %, loam; at the most (33 + 2) / 101 = 34.65 -> 34.7 %.
    let mut told = jar();
    let test = told.soil_test.as_mut().expect("a test");
    (test.sand_mm, test.silt_mm, test.clay_mm) = ("33".into(), "34".into(), "33".into());
    test.jar_protocol = Some(JarProtocol {
        sand_mark_s: "60".into(),
        silt_mark_min: "120".into(),
        water_height_mm: "100".into(),
        ..Default::default()
    });
    test.ribbon_mm = "35.0".into();
    test.drop_note = "flattened".into();
    test.observations = vec![
        SoilObservation::SwellingClay.into(),
        SoilObservation::Salts.into(),
    ];
    let made = tests
        .create_soil_test(told)
        .await
        .expect("made")
        .into_inner();
    assert_eq!(made.texture(), SoilTexture::ClayLoam);
    assert_eq!(
        (
            made.sand_mark_grain_mm.as_str(),
            made.silt_mark_grain_mm.as_str()
        ),
        ("0.0431", "0.0039")
    );
    assert_eq!(
        (
            made.clay_percent_low.as_str(),
            made.clay_percent_high.as_str()
        ),
        ("22.3", "34.7")
    );
    let within: Vec<SoilTexture> = made.textures_within().collect();
    assert!(
        within.contains(&SoilTexture::Loam) && !within.contains(&SoilTexture::ClayLoam),
        "{within:?}"
    );
    let protocol = made.jar_protocol.clone().expect("told");
    assert_eq!(
        (
            protocol.water_celsius.as_str(),
            protocol.clay_mark_h.as_str()
        ),
        ("20", "")
    );
    assert_eq!(
        (made.ribbon_mm.as_str(), made.drop_note.as_str()),
        ("35", "flattened")
    );
    let seen: Vec<SoilObservation> = made.observations().collect();
    assert_eq!(
        seen,
        [SoilObservation::SwellingClay, SoilObservation::Salts]
    );
    let got = tests
        .get_soil_test(GetSoilTestRequest {
            name: made.name.clone(),
        })
        .await
        .expect("got");
    assert_eq!(got.into_inner(), made);
}

#[tokio::test]
async fn a_test_by_hand_has_no_shares_and_a_laboratory_leaves_nothing_open() {
    let ground = Ground::with_library().await;
    price(&ground.client).await;
    let mut tests = ground.client.soil_tests();
    let by_hand = CreateSoilTestRequest {
        soil_test: Some(SoilTest {
            method: SoilTestMethod::ByHand.into(),
            sample_date: "2026-04-02".into(),
            observations: vec![SoilObservation::Topsoil.into()],
            ..Default::default()
        }),
        ..jar()
    };
    let made = tests
        .create_soil_test(by_hand)
        .await
        .expect("made")
        .into_inner();
    assert_eq!(
        (made.clay_percent.as_str(), made.texture()),
        ("", SoilTexture::Unspecified)
    );
    assert_eq!(made.clay_percent_high, "");
    // A laboratory that rounds each share to a tenth may be a tenth out together, and is kept as given.
    let laboratory = CreateSoilTestRequest {
        soil_test_id: "rounded".into(),
        soil_test: Some(SoilTest {
            method: SoilTestMethod::Laboratory.into(),
            sample_date: "2026-04-09".into(),
            sand_percent: "48.5".into(),
            silt_percent: "25.2".into(),
            clay_percent: "26.2".into(),
            ..Default::default()
        }),
        ..jar()
    };
    let made = tests
        .create_soil_test(laboratory)
        .await
        .expect("made")
        .into_inner();
    assert_eq!(
        [&made.sand_percent, &made.silt_percent, &made.clay_percent],
        ["48.5", "25.2", "26.2"]
    );
    assert_eq!(made.texture(), SoilTexture::SandyClayLoam);
    assert_eq!(
        (made.clay_percent_low.as_str(), made.textures_within.len()),
        ("", 0)
    );
}

#[tokio::test]
async fn what_is_told_of_a_soil_is_refused_with_every_fault_at_once() {
    let ground = Ground::with_library().await;
    price(&ground.client).await;
    let mut tests = ground.client.soil_tests();
    let mut bad = jar();
    let test = bad.soil_test.as_mut().expect("a test");
    test.jar_protocol = Some(JarProtocol {
        sand_mark_s: "0".into(),
        water_celsius: "41".into(),
        ..Default::default()
    });
    test.ribbon_mm = "301".into();
    test.drop_note = "d".repeat(201);
    test.observations = vec![SoilObservation::Salts.into(), 0, 9];
    assert_fields(
        &tests.create_soil_test(bad).await.expect_err("refused"),
        &[
            ("soil_test.jar_protocol.sand_mark_s", "OUT_OF_RANGE"),
            ("soil_test.jar_protocol.silt_mark_min", "MISSING"),
            ("soil_test.jar_protocol.water_height_mm", "MISSING"),
            ("soil_test.jar_protocol.water_celsius", "OUT_OF_RANGE"),
            ("soil_test.ribbon_mm", "OUT_OF_RANGE"),
            ("soil_test.drop_note", "TOO_LONG"),
            ("soil_test.observations[1]", "UNKNOWN_CHOICE"),
            ("soil_test.observations[2]", "UNKNOWN_CHOICE"),
        ],
    );
    let mut out_of_order = jar();
    let test = out_of_order.soil_test.as_mut().expect("a test");
    test.jar_protocol = Some(JarProtocol {
        sand_mark_s: "60".into(),
        silt_mark_min: "1".into(),
        water_height_mm: "150".into(),
        ..Default::default()
    });
    test.observations = vec![SoilObservation::Salts.into(), SoilObservation::Salts.into()];
    assert_fields(
        &tests
            .create_soil_test(out_of_order)
            .await
            .expect_err("refused"),
        &[
            (
                "soil_test.jar_protocol.silt_mark_min",
                "JAR_MARKS_OUT_OF_ORDER",
            ),
            ("soil_test.observations[1]", "OBSERVATION_TWICE"),
        ],
    );
    let mut by_hand = jar();
    by_hand.soil_test.as_mut().expect("a test").method = SoilTestMethod::ByHand.into();
    assert_fields(
        &tests.create_soil_test(by_hand).await.expect_err("refused"),
        &[
            ("soil_test.sand_mm", "NOT_OF_THIS_METHOD"),
            ("soil_test.silt_mm", "NOT_OF_THIS_METHOD"),
            ("soil_test.clay_mm", "NOT_OF_THIS_METHOD"),
        ],
    );
}

#[tokio::test]
async fn nobody_has_taken_a_sample_that_lies_ahead() {
    let ground = Ground::with_library().await;
    price(&ground.client).await;
    let mut ahead = jar();
    ahead.soil_test.as_mut().expect("a test").sample_date = "2190-01-01".into();
    let refused = ground.client.soil_tests().create_soil_test(ahead).await;
    assert_refused(
        &refused.expect_err("refused"),
        Code::FailedPrecondition,
        "RULE_BROKEN",
        "on 2190-01-01, which lies ahead",
    );
}
