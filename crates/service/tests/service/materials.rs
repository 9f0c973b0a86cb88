//! Materials over the wire: each method once as it should be and once refused.

use hod_wire::v1::{
    CreateMaterialRequest, GetMaterialRequest, ListMaterialsRequest, Material, Supply, Unit,
    UpdateMaterialRequest,
};
use prost_types::FieldMask;
use tonic::Code;

use crate::support::{Ground, assert_fields, assert_refused, new_price, price};

fn scoria() -> CreateMaterialRequest {
    CreateMaterialRequest {
        material_id: "scoria".into(),
        material: Some(Material {
            display_name: "Scoria".into(),
            supply: Supply::Bought.into(),
            purchase_unit: Unit::T.into(),
            density_loose_kg_m3: "1600.50".into(),
            order_step: "0.50".into(),
            source: "weighed in March".into(),
            ..Default::default()
        }),
        ..Default::default()
    }
}

#[tokio::test]
async fn materials_are_made_read_listed_and_changed() {
    let ground = Ground::with_library().await;
    let mut materials = ground.client.materials();
    let made = materials
        .create_material(scoria())
        .await
        .expect("made")
        .into_inner();
    assert_eq!(made.name, "materials/scoria");
    assert_eq!(
        (
            made.density_loose_kg_m3.as_str(),
            made.bulking_percent.as_str()
        ),
        ("1600.5", "0")
    );
    assert_eq!(
        (made.mass_per_unit_kg.as_str(), made.length_mm.as_str()),
        ("", "")
    );
    assert_eq!(
        (made.order_step.as_str(), made.clay_percent.as_str()),
        ("0.5", "0")
    );
    let got = materials
        .get_material(GetMaterialRequest {
            name: made.name.clone(),
        })
        .await
        .expect("got");
    assert_eq!(got.into_inner(), made);

    let listed = materials
        .list_materials(ListMaterialsRequest::default())
        .await
        .expect("listed")
        .into_inner();
    assert!(listed.materials.contains(&made));

    let change = UpdateMaterialRequest {
        material: Some(Material {
            name: made.name.clone(),
            moisture_percent: "4".into(),
            ..Default::default()
        }),
        ..Default::default()
    };
    let changed = materials
        .update_material(change)
        .await
        .expect("changed")
        .into_inner();
    let expected = Material {
        moisture_percent: "4".into(),
        etag: "\"2\"".into(),
        update_time: changed.update_time,
        ..made
    };
    assert_eq!(changed, expected);
}

#[tokio::test]
async fn a_material_is_refused_with_every_fault_at_once() {
    let ground = Ground::with_library().await;
    let mut materials = ground.client.materials();
    let bad = CreateMaterialRequest {
        material_id: "scoria".into(),
        material: Some(Material {
            display_name: "Sco\u{1b}ria".into(),
            purchase_unit: Unit::H.into(),
            density_loose_kg_m3: "9".into(),
            swell_percent: "-1".into(),
            moisture_percent: "61".into(),
            mass_per_unit_kg: "0".into(),
            length_mm: "450".into(),
            height_mm: "20001".into(),
            order_step: "0".into(),
            clay_percent: "101".into(),
            ..Default::default()
        }),
        ..Default::default()
    };
    assert_fields(
        &materials.create_material(bad).await.expect_err("refused"),
        &[
            ("material.display_name", "CONTROL_CHARACTER"),
            ("material.supply", "MISSING"),
            ("material.purchase_unit", "NOT_A_PURCHASE_UNIT"),
            ("material.density_loose_kg_m3", "OUT_OF_RANGE"),
            ("material.swell_percent", "OUT_OF_RANGE"),
            ("material.moisture_percent", "OUT_OF_RANGE"),
            ("material.mass_per_unit_kg", "OUT_OF_RANGE"),
            ("material.width_mm", "MISSING"),
            ("material.height_mm", "OUT_OF_RANGE"),
            ("material.order_step", "OUT_OF_RANGE"),
            ("material.clay_percent", "OUT_OF_RANGE"),
            ("material.source", "MISSING"),
        ],
    );
    let none = CreateMaterialRequest {
        material_id: "scoria".into(),
        ..Default::default()
    };
    assert_fields(
        &materials.create_material(none).await.expect_err("refused"),
        &[("material", "MISSING")],
    );
    let missing = materials
        .get_material(GetMaterialRequest {
            name: "materials/scoria".into(),
        })
        .await;
    assert_refused(
        &missing.expect_err("missing"),
        Code::NotFound,
        "NOT_FOUND",
        "materials/scoria",
    );
    let bad = ListMaterialsRequest {
        page_token: "x".into(),
        ..Default::default()
    };
    assert_fields(
        &materials.list_materials(bad).await.expect_err("refused"),
        &[("page_token", "NOT_OF_THIS_LIST")],
    );
}

#[tokio::test]
async fn a_piece_has_three_sizes_and_an_order_step_that_its_unit_can_hold() {
    let ground = Ground::with_library().await;
    let mut materials = ground.client.materials();
    let brick = |order_step: &str| CreateMaterialRequest {
        material_id: "long-adobe".into(),
        material: Some(Material {
            display_name: "Long adobe".into(),
            supply: Supply::Site.into(),
            purchase_unit: Unit::Each.into(),
            length_mm: "355.60".into(),
            width_mm: "254".into(),
            height_mm: "101.6".into(),
            order_step: order_step.into(),
            source: "measured".into(),
            ..Default::default()
        }),
        ..Default::default()
    };
    let refused = materials.create_material(brick("0.5")).await;
    assert_fields(
        &refused.expect_err("half an adobe"),
        &[("material.order_step", "ORDER_STEP_TOO_FINE")],
    );
    let made = materials
        .create_material(brick("50"))
        .await
        .expect("made")
        .into_inner();
    let sizes = [&made.length_mm, &made.width_mm, &made.height_mm];
    assert_eq!(sizes, ["355.6", "254", "101.6"]);

    // All three go by the mask together, and come back as they were given.
    let change = UpdateMaterialRequest {
        material: Some(Material {
            name: made.name.clone(),
            ..Default::default()
        }),
        update_mask: Some(FieldMask {
            paths: ["length_mm", "width_mm", "height_mm", "order_step"]
                .map(str::to_owned)
                .into(),
        }),
        ..Default::default()
    };
    let changed = materials
        .update_material(change)
        .await
        .expect("changed")
        .into_inner();
    assert_eq!(
        (changed.length_mm.as_str(), changed.order_step.as_str()),
        ("", "")
    );
}

#[tokio::test]
async fn the_unit_of_a_material_is_fixed_once_it_has_a_price() {
    let ground = Ground::with_library().await;
    price(&ground.client).await;
    let mut materials = ground.client.materials();
    let change = |name: &str| UpdateMaterialRequest {
        material: Some(Material {
            name: name.into(),
            purchase_unit: Unit::M3.into(),
            ..Default::default()
        }),
        ..Default::default()
    };
    let refused = materials
        .update_material(change("materials/sharp-sand"))
        .await
        .expect_err("it has a price");
    assert_refused(&refused, Code::FailedPrecondition, "RULE_BROKEN", "unit");
    materials.create_material(scoria()).await.expect("made");
    materials
        .update_material(change("materials/scoria"))
        .await
        .expect("it has none");
    let other_unit = new_price("regions/north", "scoria", Unit::T, "9", "2026-01-01");
    let refused = ground
        .client
        .prices()
        .create_price(other_unit)
        .await
        .expect_err("another unit");
    assert_eq!(refused.code(), Code::FailedPrecondition);
}
