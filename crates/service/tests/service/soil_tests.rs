//! Soil tests over the wire: each method once as it should be and once refused.

use hod_wire::v1::{
    CreateSoilTestRequest, GetSoilTestRequest, ListSoilTestsRequest, SoilTest, SoilTestMethod,
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
