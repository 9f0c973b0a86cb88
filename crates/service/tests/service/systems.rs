//! A job of many systems over the wire, measured, priced and kept. What such a job can say wrong is in `system_faults`.

use hod_wire::v1::{
    BaleLay, Build, Buried, CreateEstimateRequest, CreateJobRequest, CreateSoilTestRequest,
    Estimate, EstimateJobRequest, Face, Finish, Floor, GetEstimateRequest, Ground as DiggingGround,
    Job, LineKind, ListMaterialsRequest, ListMixesRequest, MeasureJobRequest, MixPurpose,
    MixTakeoff, Opening, OpeningShape, Oven, SoilTest, SoilTestMethod, StemSystem, StemWall,
    Supply, Takeoff, Trench, Unit, UpdateJobRequest, Wall, WallAbove, WallSystem,
    estimate_job_request, measure_job_request,
};
use prost::Message;
use prost_types::FieldMask;
use tonic::Status;

use crate::support::{Client, Ground, new_price, studio};

pub fn coats(face: Face, coats: &[&str]) -> Finish {
    Finish {
        face: face.into(),
        coats: coats.iter().map(ToString::to_string).collect(),
        ..Default::default()
    }
}

fn adobe() -> Build {
    Build {
        id: "adobe".into(),
        system: WallSystem::Adobe.into(),
        mix: "mixes/adobe-earth".into(),
        piece_material: "materials/adobe".into(),
        mortar_mix: "mixes/earth-mortar".into(),
        joint_mm: "12.7".into(),
        breakage_percent: "5".into(),
        ..Default::default()
    }
}

fn bales() -> Build {
    Build {
        id: "bale".into(),
        system: WallSystem::StrawBale.into(),
        piece_material: "materials/straw-bale".into(),
        bale_lay: BaleLay::Flat.into(),
        settling_percent: "3".into(),
        tie_material: "materials/baling-twine".into(),
        ties_per_piece: "1.5".into(),
        ..Default::default()
    }
}

fn infill() -> Build {
    Build {
        id: "infill".into(),
        system: WallSystem::LightStrawClay.into(),
        mix: "mixes/straw-clay-240".into(),
        form_material: "materials/form-board".into(),
        form_use_count: 6,
        ..Default::default()
    }
}

fn wall(id: &str, length: &str, thickness: &str, next: &str, build: &str) -> Wall {
    Wall {
        id: id.into(),
        length_m: length.into(),
        height_m: "2.40".into(),
        thickness_mm: thickness.into(),
        ends: format!("corner:{next}"),
        build: build.into(),
        ..Default::default()
    }
}

fn door() -> Opening {
    Opening {
        id: "door".into(),
        shape: OpeningShape::Rectangle.into(),
        width_m: "0.95".into(),
        height_m: "2.45".into(),
        sill_m: "-0.45".into(),
        at_m: "3.60".into(),
        lintel_material: "materials/oak-lintel".into(),
        lintel_count: 3,
        bearing_mm: "300".into(),
        frame_material: "materials/door-frame".into(),
        ..Default::default()
    }
}

/// Cob to the south, adobe to the east, straw-clay over cob to the west, bales to the north; on stone over a trench, with
/// plaster, a floor, an oven, and the ground that it is dug from.
pub fn cottage() -> Job {
    let south = Wall {
        openings: vec![door()],
        buried: vec![Buried {
            id: "deadmen".into(),
            height_m: "1.00".into(),
            count: 4,
            material: "materials/deadman".into(),
        }],
        ..wall("south", "8.20", "450", "east", "")
    };
    let west = Wall {
        above: vec![WallAbove {
            from_m: "1.80".into(),
            build: "infill".into(),
        }],
        ..wall("west", "4.60", "300", "south", "")
    };
    let north = Wall {
        finishes: vec![coats(Face::Outer, &["lime-base:25", "limewash:0.3"])],
        ..wall("north", "8.20", "450", "west", "bale")
    };
    Job {
        display_name: "Quillet".into(),
        builds: vec![adobe(), bales(), infill()],
        finishes: vec![coats(Face::Inner, &["clay-base:12", "clay-finish:3"])],
        stem_height_m: "0.45".into(),
        stem_wall: Some(StemWall {
            system: StemSystem::StoneInMortar.into(),
            stone_material: "materials/building-stone".into(),
            mortar_mix: "mixes/lime-mortar".into(),
            mortar_percent: "30".into(),
            damp_course_material: "materials/damp-course".into(),
            ..Default::default()
        }),
        trench: Some(Trench {
            width_mm: "600".into(),
            depth_mm: "600".into(),
            fill_mix: "mixes/rubble-fill".into(),
            drain_material: "materials/drain-pipe".into(),
            fabric_material: "materials/geotextile".into(),
        }),
        floors: vec![Floor {
            id: "hall".into(),
            inside: "south".into(),
            layers: vec!["gravel-bed:100".into(), "earth-floor:19".into()],
            sheet_material: "materials/floor-membrane".into(),
            lap_percent: "12".into(),
            ..Default::default()
        }],
        ovens: vec![Oven {
            id: "yard".into(),
            inner_diameter_m: "0.84".into(),
            door_width_m: "0.42".into(),
            layers: vec!["oven-thermal:75".into(), "oven-insulation:100".into()],
            base_layers: vec!["rubble-fill:450".into()],
            form_mix: "mixes/oven-sand".into(),
            ..Default::default()
        }],
        ground: Some(DiggingGround {
            dig_area_m2: "60".into(),
            topsoil_mm: "250".into(),
            subsoil_mm: "900".into(),
            soil_test: "sites/long-acre/soilTests/bank".into(),
            tip_material: "materials/spoil-tipping".into(),
            swell_percent: "25".into(),
        }),
        parings_reused_percent: "50".into(),
        measurement: "rulePacks/is-1200".into(),
        walls: vec![
            south,
            wall("east", "4.60", "254", "north", "adobe"),
            north,
            west,
        ],
        ..studio()
    }
}

/// A site with a test of its soil, and a price of all that the library buys.
pub async fn prepared() -> Ground {
    let ground = Ground::priced().await;
    ground
        .client
        .soil_tests()
        .create_soil_test(CreateSoilTestRequest {
            parent: "sites/long-acre".into(),
            soil_test_id: "bank".into(),
            soil_test: Some(SoilTest {
                method: SoilTestMethod::Laboratory.into(),
                sample_date: "2026-04-09".into(),
                sand_percent: "48".into(),
                silt_percent: "20".into(),
                clay_percent: "32".into(),
                ..Default::default()
            }),
            ..Default::default()
        })
        .await
        .expect("a soil test");
    price_all(&ground.client).await;
    ground
}

async fn price_all(client: &Client) {
    let all = client
        .materials()
        .list_materials(ListMaterialsRequest::default())
        .await
        .expect("listed")
        .into_inner();
    for material in all.materials {
        let id = material.name.trim_start_matches("materials/");
        if material.supply() == Supply::Bought && !["sharp-sand", "straw-bale"].contains(&id) {
            let price = new_price(
                "regions/north",
                id,
                material.purchase_unit(),
                "10",
                "2026-01-01",
            );
            client.prices().create_price(price).await.expect(id);
        }
    }
}

pub async fn measure(client: &Client, job: Job) -> Result<Takeoff, Status> {
    let request = MeasureJobRequest {
        subject: Some(measure_job_request::Subject::Job(job)),
    };
    let answer = client.estimation().measure_job(request).await;
    answer.map(tonic::Response::into_inner)
}

pub async fn estimate(client: &Client, job: Job) -> Result<Estimate, Status> {
    let request = EstimateJobRequest {
        subject: Some(estimate_job_request::Subject::Job(job)),
        price_date: "2026-05-01".into(),
    };
    let answer = client.estimation().estimate_job(request).await;
    answer.map(tonic::Response::into_inner)
}

/// A mass as a whole number of grammes.
fn grammes(kg: &str) -> i64 {
    let (whole, part) = kg.split_once('.').unwrap_or((kg, ""));
    assert!(part.len() <= 3, "{kg} is told to a gramme");
    format!("{whole}{part:0<3}").parse().expect("a mass")
}

#[tokio::test]
async fn a_job_of_four_systems_is_measured_wall_by_wall_and_part_by_part() {
    let ground = prepared().await;
    let takeoff = measure(&ground.client, cottage()).await.expect("measured");

    let lifts = |wall: usize| -> Vec<(String, String, WallSystem, &str)> {
        let lifts = takeoff.walls[wall].lifts.iter();
        lifts
            .map(|lift| {
                let (from, to) = (lift.from_m.clone(), lift.to_m.clone());
                (from, to, lift.system(), lift.build.as_str())
            })
            .collect()
    };
    let told =
        |from: &str, to: &str, system, build| (from.to_owned(), to.to_owned(), system, build);
    // Nobody says how high a lift is: cob goes up by its thickness to 0.45 m, adobe by 0.6 m, bales by 2 m.
    assert_eq!(lifts(0)[0], told("0", "0.45", WallSystem::Cob, ""));
    assert_eq!(
        lifts(1),
        [("0", "0.6"), ("0.6", "1.2"), ("1.2", "1.8"), ("1.8", "2.4")].map(|(from, to)| told(
            from,
            to,
            WallSystem::Adobe,
            "adobe"
        ))
    );
    assert_eq!(
        lifts(2),
        [("0", "2"), ("2", "2.4")].map(|(from, to)| told(from, to, WallSystem::StrawBale, "bale"))
    );
    // Cob 300 mm thick to 1.80 m in six lifts; straw-clay above it by 0.15 m to 2.40 m in four.
    let west = lifts(3);
    assert_eq!(west.len(), 6 + 4);
    assert_eq!(west[5], told("1.5", "1.8", WallSystem::Cob, ""));
    assert_eq!(
        west[6],
        told("1.8", "1.95", WallSystem::LightStrawClay, "infill")
    );

    // 1.00 m up is in the third lift: 0.90 to 1.35 m.
    let south = &takeoff.walls[0];
    let buried: Vec<(i32, &Buried)> = south
        .lifts
        .iter()
        .flat_map(|lift| lift.buried.iter().map(|buried| (lift.number, buried)))
        .collect();
    assert_eq!(
        buried,
        [(3, &cottage().walls[0].buried[0])].map(|(lift, _)| (lift, buried[0].1))
    );
    assert_eq!((buried[0].1.id.as_str(), buried[0].1.count), ("deadmen", 4));
    assert_eq!(
        (buried[0].1.height_m.as_str(), buried[0].1.material.as_str()),
        ("1", "materials/deadman")
    );

    for part in [
        "wall ",
        "stem wall",
        "trench",
        "floor hall",
        "oven yard",
        "ground",
    ] {
        assert!(
            takeoff.lines.iter().any(|line| line.part.starts_with(part)),
            "{part} in {:?}",
            takeoff.lines
        );
    }
    assert!(!takeoff.payment.is_empty());
    assert_eq!(takeoff.cautions[0].reason, "MIX_NOT_TESTED");
}

#[tokio::test]
async fn what_goes_into_every_mix_goes_somewhere_and_all_batches_are_counted() {
    let ground = prepared().await;
    let takeoff = measure(&ground.client, cottage()).await.expect("measured");
    let mixes: Vec<&str> = takeoff.mixes.iter().map(|mix| mix.mix.as_str()).collect();
    for mix in [
        "mixes/house-cob",
        "mixes/adobe-earth",
        "mixes/earth-mortar",
        "mixes/straw-clay-240",
        "mixes/clay-base",
        "mixes/lime-mortar",
        "mixes/rubble-fill",
        "mixes/earth-floor",
        "mixes/oven-thermal",
    ] {
        let times = mixes.iter().filter(|named| **named == mix).count();
        assert_eq!(times, 1, "{mix} in {mixes:?}");
    }
    let mut client = ground.client.mixes();
    let all = client.list_mixes(ListMixesRequest::default()).await;
    let all = all.expect("listed").into_inner().mixes;
    // Fills and washes are not mixed by the batch.
    let is_mixed = |taken: &&MixTakeoff| {
        let mix = all.iter().find(|mix| mix.name == taken.mix).expect("a mix");
        ![MixPurpose::Fill, MixPurpose::Wash].contains(&mix.purpose())
    };
    let mixed: Vec<i32> = takeoff
        .mixes
        .iter()
        .filter(is_mixed)
        .map(|mix| mix.batch_count)
        .collect();
    assert!(mixed.len() < mixes.len(), "some are fills and washes");
    let batches: i32 = mixed.iter().sum();
    let totals = takeoff.totals.as_ref().expect("totals");
    assert_eq!(totals.batch_count, Some(batches));
    assert_eq!(takeoff.batch_basis, None, "each mix tells its own");
    let mut weighed = 0;
    for mix in &takeoff.mixes {
        assert!(mix.basis.is_some(), "{}", mix.mix);
        if let Some(masses) = &mix.masses {
            let goes_to = [
                &masses.standing_kg,
                &masses.pared_kg,
                &masses.wasted_kg,
                &masses.left_over_kg,
            ];
            let sum: i64 = goes_to.iter().map(|mass| grammes(mass)).sum();
            assert_eq!(sum, grammes(&masses.dry_in_kg), "{}: {masses:?}", mix.mix);
            weighed += 1;
        }
    }
    assert!(5 < weighed, "{weighed} of {} mixes weighed", mixes.len());
}

#[tokio::test]
async fn what_is_ordered_is_what_can_be_bought_and_is_what_the_estimate_prices() {
    let ground = prepared().await;
    let takeoff = measure(&ground.client, cottage()).await.expect("measured");
    let mut materials: Vec<&str> = takeoff
        .orders
        .iter()
        .map(|order| order.material.as_str())
        .collect();
    let count = materials.len();
    materials.sort_unstable();
    materials.dedup();
    assert_eq!(materials.len(), count, "each material once");
    for order in &takeoff.orders {
        let decimals = order
            .quantity
            .split_once('.')
            .map_or(0, |(_, part)| part.len());
        let whole = matches!(
            order.unit(),
            Unit::Each | Unit::Bale | Unit::Bag | Unit::Roll | Unit::Kg | Unit::L
        );
        assert!(decimals <= if whole { 0 } else { 2 }, "{order:?}");
    }

    let estimate = estimate(&ground.client, cottage()).await.expect("priced");
    let priced: Vec<(&str, &str)> = estimate
        .lines
        .iter()
        .filter(|line| line.kind() == LineKind::Material)
        .map(|line| (line.item.as_str(), line.quantity.as_str()))
        .collect();
    let ordered: Vec<(&str, &str)> = takeoff
        .orders
        .iter()
        .map(|order| (order.item.as_str(), order.quantity.as_str()))
        .collect();
    assert_eq!(priced, ordered);
    assert_eq!(estimate.mixes, takeoff.mixes);
    assert_eq!(estimate.measured, takeoff.lines);
    assert_eq!(estimate.payment, takeoff.payment);
    assert_eq!(estimate.cautions, takeoff.cautions);
    assert_eq!(estimate.takeoff, takeoff.totals);
    for input in [
        "mixes/adobe-earth@1",
        "materials/baling-twine@1",
        "mixes/oven-sand@1",
    ] {
        assert!(
            estimate.inputs.iter().any(|named| named == input),
            "{input}"
        );
    }
    let names = |what: &str| estimate.inputs.iter().any(|named| named.starts_with(what));
    assert!(names("sites/long-acre/soilTests/bank") && names("rulePacks/is-1200"));
}

#[tokio::test]
async fn a_job_of_four_systems_is_kept_changed_and_its_estimate_kept_with_all_of_it() {
    let ground = prepared().await;
    let mut jobs = ground.client.jobs();
    let create = CreateJobRequest {
        job_id: "cottage".into(),
        job: Some(cottage()),
        ..Default::default()
    };
    let made = jobs.create_job(create).await.expect("made").into_inner();
    let as_drawn = Job {
        name: "jobs/cottage".into(),
        create_time: made.create_time,
        update_time: made.update_time,
        etag: made.etag.clone(),
        ..cottage()
    };
    assert_eq!(made, as_drawn);
    let change = UpdateJobRequest {
        job: Some(Job {
            name: made.name.clone(),
            floors: Vec::new(),
            ..Default::default()
        }),
        update_mask: Some(FieldMask {
            paths: vec!["floors".into(), "ground".into()],
        }),
        ..Default::default()
    };
    let changed = jobs.update_job(change).await.expect("changed").into_inner();
    assert_eq!((changed.floors.len(), changed.ground.is_none()), (0, true));
    assert_eq!(changed.builds, made.builds);

    let mut estimation = ground.client.estimation();
    let keep = CreateEstimateRequest {
        parent: made.name,
        price_date: "2026-05-01".into(),
        ..Default::default()
    };
    let kept = estimation
        .create_estimate(keep)
        .await
        .expect("kept")
        .into_inner();
    let parts = |estimate: &Estimate| -> Vec<usize> {
        vec![
            estimate.mixes.len(),
            estimate.measured.len(),
            estimate.payment.len(),
            estimate.cautions.len(),
        ]
    };
    assert!(parts(&kept).iter().all(|count| 0 < *count), "{kept:?}");
    let name = kept.name.clone();
    let got = estimation
        .get_estimate(GetEstimateRequest { name })
        .await
        .expect("got")
        .into_inner();
    assert_eq!(got.encode_to_vec(), kept.encode_to_vec());
}
