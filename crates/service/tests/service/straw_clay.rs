//! What light straw-clay takes by its table (IRC 2018 Table AR103.2.3): at a row, between two, and refused beyond its ends.

use hod_wire::v1::{Basis, Joint, ProportionStrawClayRequest, ProportionStrawClayResponse, Unit};
use tonic::Status;
use tonic_types::StatusExt;

use crate::support::{Ground, assert_fields};

async fn ask(ground: &Ground, kg_m3: &str) -> Result<ProportionStrawClayResponse, Status> {
    let request = ProportionStrawClayRequest {
        density_kg_m3: kg_m3.into(),
    };
    let mut mixes = ground.client.mixes();
    mixes
        .proportion_straw_clay(request)
        .await
        .map(tonic::Response::into_inner)
}

/// Density, straw, soil, water, water in percent, least clay, least clay to silt, greatest thickness.
fn figures(takes: &ProportionStrawClayResponse) -> [&str; 8] {
    [
        &takes.density_kg_m3,
        &takes.straw_kg_per_m3,
        &takes.soil_kg_per_m3,
        &takes.water_l_per_m3,
        &takes.water_percent,
        &takes.clay_percent_min,
        &takes.clay_to_silt_min,
        &takes.thickness_mm_max,
    ]
}

fn terms(basis: Option<&Basis>) -> (Vec<(Joint, &str, Unit)>, &str) {
    let basis = basis.expect("a basis");
    let told = basis
        .terms
        .iter()
        .map(|term| (term.joint(), term.value.as_str(), term.unit()));
    (told.collect(), &basis.rounding)
}

#[tokio::test]
async fn a_density_of_a_row_takes_what_the_row_says() {
    let ground = Ground::with_library().await;
    let takes = ask(&ground, "240.28").await.expect("a row");
    // 15 lb/ft3, at 16.018463 kg/m3 to one: 6.7 straw = 107.3, 8.3 soil = 132.95; 1.74 gal/ft3, at 133.680556 l/m3 to one,
    // = 232.60 l, of 240.277 kg 96.81 %. 35 % clay, 0.95 to one of silt, 15 in.
    assert_eq!(
        figures(&takes),
        ["240.28", "107.3", "133", "233", "96.8", "35", "0.95", "381"]
    );
    assert_eq!(takes.source, "IRC 2018 Table AR103.2.3");
    let straw = (Joint::Start, "107.323704605533", Unit::KgPerM3);
    assert_eq!(
        terms(takes.straw_basis.as_ref()),
        (vec![straw], "to 0.1 kg")
    );
    let soil = vec![
        (Joint::Start, "240.276950609402", Unit::KgPerM3),
        (Joint::Less, "107.323704605533", Unit::KgPerM3),
    ];
    assert_eq!(terms(takes.soil_basis.as_ref()), (soil, "to 0.1 kg"));
}

#[tokio::test]
async fn half_way_between_two_rows_is_half_way_between_their_water() {
    let ground = Ground::with_library().await;
    // 25 lb/ft3 is 400.461584 kg/m3: 18.3 of soil = 293.14; (1.93 + 2.31) / 2 = 2.12 gal/ft3 = 283.40 l, 70.77 %. Of clay
    // the row of 30 asks for none, so that of 20 holds: 30 %, and 0.60 to one of silt.
    let takes = ask(&ground, "400.461584").await.expect("between rows");
    assert_eq!(
        figures(&takes),
        [
            "400.46", "107.3", "293.1", "283", "70.8", "30", "0.6", "304.8"
        ]
    );
    // (d - 20 lb/ft3) / 10 lb/ft3 x 0.38 gal/ft3 + 1.93 gal/ft3.
    let water = vec![
        (Joint::Start, "400.461584", Unit::KgPerM3),
        (Joint::Less, "320.369267479203", Unit::KgPerM3),
        (Joint::Over, "160.184633739601", Unit::KgPerM3),
        (Joint::Times, "50.798611111111", Unit::L),
        (Joint::Plus, "258.003472222222", Unit::L),
    ];
    assert_eq!(terms(takes.water_basis.as_ref()), (water, "to a whole l"));
}

#[tokio::test]
async fn a_least_clay_is_told_no_lower_than_it_is() {
    let ground = Ground::with_library().await;
    // From 35 % and 0.95 at 240.27695 to 30 % and 0.60 at 320.36927: at 256 34.01844 % and 0.881291.
    let takes = ask(&ground, "256").await.expect("between rows");
    assert_eq!(takes.clay_percent_min, "34.1");
    assert_eq!(takes.clay_to_silt_min, "0.89");
}

#[tokio::test]
async fn the_ends_of_the_table_are_taken_and_nothing_beyond_them() {
    let ground = Ground::with_library().await;
    // 10 and 50 lb/ft3 are 160.1846 and 800.9232 kg/m3, and half a kg beyond passes for them.
    let lightest = [
        "160.18", "107.3", "52.9", "207", "129.4", "70", "3.5", "381",
    ];
    let heaviest = ["800.92", "107.3", "693.6", "412", "51.4", "", "", "304.8"];
    for (kg_m3, row) in [
        ("159.685", lightest),
        ("160", lightest),
        ("801", heaviest),
        ("801.423", heaviest),
    ] {
        let takes = ask(&ground, kg_m3).await.expect(kg_m3);
        assert_eq!(figures(&takes), row, "{kg_m3}");
    }
    // 9 and 55 lb/ft3 are 144.17 and 881.02.
    for kg_m3 in ["144.17", "881.02", "159.684", "801.424", "0", "-240"] {
        let refused = ask(&ground, kg_m3).await.expect_err(kg_m3);
        let told = ("density_kg_m3", "STRAW_CLAY_DENSITY_OUTSIDE_TABLE");
        assert_fields(&refused, &[told]);
        let details = refused.get_error_details();
        let told = &details.bad_request().expect("a field").field_violations[0].description;
        for word in ["160.18 kg/m3", "800.92 kg/m3", "IRC 2018 Table AR103.2.3"] {
            assert!(told.contains(word), "{told}");
        }
    }
}

#[tokio::test]
async fn a_density_must_be_given() {
    let ground = Ground::with_library().await;
    let nothing = ProportionStrawClayRequest::default();
    let mut mixes = ground.client.mixes();
    let refused = mixes.proportion_straw_clay(nothing).await;
    assert_fields(
        &refused.expect_err("nothing"),
        &[("density_kg_m3", "MISSING")],
    );
}
