//! Everything that a job of many systems can say wrong, told at the field that says it.

use hod_wire::v1::{Build, CreateMixRequest, Face, GetMixRequest, Inclusion, Job, Mix, WallSystem};
use tonic::Code;

use crate::support::{Client, reason, violations};
use crate::systems::{coats, cottage, estimate, measure, prepared};

/// What is wrong with a job, as it is measured.
async fn told(client: &Client, job: Job) -> (Code, Vec<(String, String)>) {
    let refused = measure(client, job).await.expect_err("refused");
    (reason(&refused).0, violations(&refused))
}

fn changed(change: impl FnOnce(&mut Job)) -> Job {
    let mut job = cottage();
    change(&mut job);
    job
}

#[tokio::test]
async fn what_a_job_names_and_is_not_there_is_told_at_the_first_field_that_names_it() {
    let ground = prepared().await;
    let cases = [
        (
            changed(|job| job.walls[2].finishes[0].coats[1] = "moonwash:1".into()),
            "job.walls[2].finishes[0].coats[1]",
        ),
        (
            changed(|job| job.finishes[0].coats[0] = "moonwash:1".into()),
            "job.finishes[0].coats[0]",
        ),
        (
            changed(|job| job.measurement = "rulePacks/none".into()),
            "job.measurement",
        ),
        (
            changed(|job| job.builds[1].piece_material = "materials/none".into()),
            "job.builds[1].piece_material",
        ),
        (
            changed(|job| job.builds[0].mortar_mix = "mixes/none".into()),
            "job.builds[0].mortar_mix",
        ),
        (
            changed(|job| job.floors[0].layers[1] = "none:20".into()),
            "job.floors[0].layers[1]",
        ),
        (
            changed(|job| job.ovens[0].form_mix = "mixes/none".into()),
            "job.ovens[0].form_mix",
        ),
        (
            changed(|job| job.walls[0].openings[0].lintel_material = "materials/none".into()),
            "job.walls[0].openings[0].lintel_material",
        ),
        (
            changed(|job| {
                job.ground.as_mut().expect("ground").soil_test = "sites/a/soilTests/b".into();
            }),
            "job.ground.soil_test",
        ),
        (changed(|job| job.mix = "mixes/none".into()), "job.mix"),
    ];
    for (job, field) in cases {
        let expected = vec![(field.to_owned(), "NOT_FOUND".to_owned())];
        assert_eq!(
            told(&ground.client, job).await,
            (Code::NotFound, expected),
            "{field}"
        );
    }
}

#[tokio::test]
async fn what_cannot_be_built_is_told_at_the_field_that_says_it() {
    let ground = prepared().await;
    let mut mixes = ground.client.mixes();
    let name = "mixes/straw-clay-160".to_owned();
    let light = mixes.get_mix(GetMixRequest { name }).await.expect("got");
    let light = light.into_inner();
    // 9 pcf are 144 kg/m3 and 55 pcf 881; the table is from 10 to 50 pcf.
    for (id, density) in [("too-light", "144.166"), ("too-heavy", "881.015")] {
        let off_table = CreateMixRequest {
            mix_id: id.into(),
            mix: Some(Mix {
                name: String::new(),
                density_dry_kg_m3: density.into(),
                etag: String::new(),
                ..light.clone()
            }),
            ..Default::default()
        };
        mixes.create_mix(off_table).await.expect("a mix");
    }
    let alone = |system: WallSystem| {
        changed(|job| {
            job.walls[1].build.clear();
            job.walls[1].system = system.into();
        })
    };
    let cases = [
        (
            changed(|job| job.builds[2].mix = "mixes/too-light".into()),
            "job.builds[2].mix",
            "STRAW_CLAY_DENSITY_OUTSIDE_TABLE",
        ),
        (
            changed(|job| job.builds[2].mix = "mixes/too-heavy".into()),
            "job.builds[2].mix",
            "STRAW_CLAY_DENSITY_OUTSIDE_TABLE",
        ),
        (
            changed(|job| job.walls[2].thickness_mm = "400".into()),
            "job.walls[2].thickness_mm",
            "BALE_WIDER_THAN_WALL",
        ),
        (
            changed(|job| job.floors[0].inside = "cellar".into()),
            "job.floors[0].inside",
            "UNKNOWN_WALL",
        ),
        (
            changed(|job| job.walls[0].buried[0].height_m = "2.5".into()),
            "job.walls[0].buried[0].height_m",
            "BURIED_OUTSIDE_WALL",
        ),
        (
            changed(|job| job.walls[3].above[0].from_m = "2.4".into()),
            "job.walls[3].above[0].from_m",
            "ABOVE_OUTSIDE_WALL",
        ),
        (
            changed(|job| job.builds[0].joint_mm.clear()),
            "job.builds[0].joint_mm",
            "ADOBE_JOINT_MISSING",
        ),
        (
            alone(WallSystem::StrawBale),
            "job.walls[1].system",
            "BUILD_NAMES_NO_PIECE",
        ),
        (
            alone(WallSystem::Adobe),
            "job.walls[1].system",
            "BUILD_NAMES_NO_PIECE",
        ),
    ];
    for (job, field, rule) in cases {
        let (code, told) = told(&ground.client, job).await;
        assert_eq!(code, Code::InvalidArgument, "{rule}");
        let expected = (field.to_owned(), rule.to_owned());
        assert!(told.contains(&expected), "{rule} at {field} in {told:?}");
    }
}

/// A job with faults in its drawing, all of which and nothing else it is told.
async fn assert_told(client: &Client, job: Job, expected: &[(&str, &str)]) {
    let (code, told) = told(client, job).await;
    assert_eq!(code, Code::InvalidArgument, "{told:#?}");
    for (field, rule) in expected {
        let fault = ((*field).to_owned(), (*rule).to_owned());
        assert!(told.contains(&fault), "{field}: {rule} in {told:#?}");
    }
    assert_eq!(told.len(), expected.len(), "and nothing else: {told:#?}");
}

#[tokio::test]
async fn what_cannot_be_read_of_builds_is_told_all_at_once() {
    let ground = prepared().await;
    let bad = changed(|job| {
        job.builds[0].joint_mm = "51".into();
        job.builds[1].mix = "mixes/house-cob".into();
        job.builds[1].ties_per_piece.clear();
        job.builds[2].id = "adobe".into();
        job.builds.push(Build {
            system: 99,
            stave_spacing_mm: "300".into(),
            ..Default::default()
        });
        job.walls[1].build = "brick".into();
        job.walls[2].system = WallSystem::Cob.into();
        job.walls[3].above[0].build = "thatch".into();
    });
    let expected = [
        ("job.builds[0].joint_mm", "OUT_OF_RANGE"),
        ("job.builds[1].mix", "NOT_OF_THIS_SYSTEM"),
        ("job.builds[1].ties_per_piece", "MISSING"),
        ("job.builds[2].id", "DUPLICATE_ID"),
        ("job.builds[3].id", "MISSING"),
        ("job.builds[3].system", "UNKNOWN_CHOICE"),
        ("job.builds[3].stave_material", "MISSING"),
        ("job.walls[1].build", "UNKNOWN_BUILD"),
        ("job.walls[2].system", "SYSTEM_IS_NOT_THE_BUILDS"),
        ("job.walls[3].above[0].build", "UNKNOWN_BUILD"),
    ];
    assert_told(&ground.client, bad, &expected).await;
}

#[tokio::test]
async fn what_cannot_be_read_of_what_is_in_and_on_a_wall_is_told_all_at_once() {
    let ground = prepared().await;
    let bad = changed(|job| {
        job.walls[0].openings[0].bearing_mm.clear();
        job.walls[0].openings[0].arch_form_material = "materials/arch-form".into();
        job.walls[0].inclusions.push(Inclusion {
            id: "bottles".into(),
            count: -1,
            volume_l: "1".into(),
        });
        let again = job.walls[0].buried[0].clone();
        job.walls[0].buried.push(again);
        job.walls[2].finishes = vec![
            coats(Face::Outer, &["lime-base", "Lime:3", "limewash:0.01"]),
            coats(Face::Unspecified, &[]),
        ];
        job.finishes
            .push(coats(Face::Outer, &["clay-finish:201", "clay-finish:1_0"]));
    });
    let expected = [
        ("job.walls[0].openings[0].bearing_mm", "MISSING"),
        (
            "job.walls[0].openings[0].arch_form_material",
            "NOT_OF_THIS_SHAPE",
        ),
        ("job.walls[0].inclusions[0].count", "OUT_OF_RANGE"),
        ("job.walls[0].buried[1].id", "DUPLICATE_ID"),
        ("job.walls[2].finishes[0].coats[0]", "NOT_A_LAYER"),
        ("job.walls[2].finishes[0].coats[1]", "NOT_AN_ID"),
        ("job.walls[2].finishes[0].coats[2]", "OUT_OF_RANGE"),
        ("job.walls[2].finishes[1].face", "MISSING"),
        ("job.walls[2].finishes[1].coats", "WRONG_COUNT"),
        ("job.finishes[1].coats[0]", "OUT_OF_RANGE"),
        ("job.finishes[1].coats[1]", "NOT_A_NUMBER"),
    ];
    assert_told(&ground.client, bad, &expected).await;
}

#[tokio::test]
async fn what_cannot_be_read_of_what_is_beside_the_walls_is_told_all_at_once() {
    let ground = prepared().await;
    let bad = changed(|job| {
        let stem = job.stem_wall.as_mut().expect("a stem wall");
        stem.mortar_percent.clear();
        stem.bag_material = "materials/earth-bag".into();
        job.trench.as_mut().expect("a trench").fill_mix.clear();
        job.floors[0].area_m2 = "20".into();
        let again = job.floors[0].clone();
        job.floors.push(again);
        job.ovens[0].door_width_m = "2.1".into();
        job.ground.as_mut().expect("the ground").soil_test = "bank".into();
        job.parings_reused_percent = "101".into();
        job.measurement = "is-1200".into();
    });
    let expected = [
        ("job.stem_wall.mortar_percent", "MISSING"),
        ("job.stem_wall.bag_material", "NOT_OF_THIS_SYSTEM"),
        ("job.trench.fill_mix", "MISSING"),
        ("job.floors[0].area_m2", "EXTENT_TWICE"),
        ("job.floors[1].area_m2", "EXTENT_TWICE"),
        ("job.floors[1].id", "DUPLICATE_ID"),
        ("job.ovens[0].door_width_m", "OUT_OF_RANGE"),
        ("job.ground.soil_test", "NOT_A_NAME"),
        ("job.parings_reused_percent", "OUT_OF_RANGE"),
        ("job.measurement", "NOT_A_NAME"),
    ];
    assert_told(&ground.client, bad, &expected).await;
}

#[tokio::test]
async fn a_face_has_one_finish() {
    let ground = prepared().await;
    let twice = changed(|job| job.finishes.push(coats(Face::Inner, &["clay-finish:3"])));
    assert_eq!(
        told(&ground.client, twice).await,
        (
            Code::InvalidArgument,
            vec![("job.finishes[1].face".to_owned(), "FACE_TWICE".to_owned())]
        )
    );
}

#[tokio::test]
async fn an_estimate_is_told_all_that_it_lacks_at_once() {
    let ground = prepared().await;
    let lost = changed(|job| {
        job.site = "sites/none".into();
        job.crew = "crews/none".into();
        job.mix = "mixes/none".into();
        job.measurement = "rulePacks/none".into();
        job.builds[0].mixing = "moonlight".into();
        job.walls[2].thickness_mm = "400".into();
    });
    let refused = estimate(&ground.client, lost).await.expect_err("refused");
    assert_eq!(reason(&refused).0, Code::InvalidArgument);
    let told = violations(&refused);
    for (field, rule) in [
        ("job.walls[2].thickness_mm", "BALE_WIDER_THAN_WALL"),
        ("job.site", "NOT_FOUND"),
        ("job.crew", "NOT_FOUND"),
        ("job.mix", "NOT_FOUND"),
        ("job.measurement", "NOT_FOUND"),
    ] {
        let fault = (field.to_owned(), rule.to_owned());
        assert!(told.contains(&fault), "{field}: {rule} in {told:#?}");
    }
    assert_eq!(told.len(), 5, "{told:#?}");

    // Where the walls can be built, an unknown method of mixing is told with the unknown site and crew.
    let lost = changed(|job| {
        job.site = "sites/none".into();
        job.crew = "crews/none".into();
        job.builds[0].mixing = "moonlight".into();
    });
    let refused = estimate(&ground.client, lost).await.expect_err("refused");
    let details = format!("{refused:?}");
    assert!(details.contains("moonlight"), "{details}");
    let told: Vec<String> = violations(&refused)
        .into_iter()
        .map(|(field, _)| field)
        .collect();
    assert_eq!(told[..2], ["job.site", "job.crew"]);
}
