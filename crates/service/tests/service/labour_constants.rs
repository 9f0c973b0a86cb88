//! Labour constants over the wire: each method once as it should be and once refused.

use hod_wire::v1::{
    CreateLabourConstantRequest, Driver, GetLabourConstantRequest, LabourConstant,
    ListLabourConstantsRequest, Task, UpdateLabourConstantRequest,
};
use tonic::Code;

use crate::support::{Ground, assert_fields, assert_refused, violations};

fn digger() -> CreateLabourConstantRequest {
    CreateLabourConstantRequest {
        labour_constant_id: "mix-by-digger".into(),
        labour_constant: Some(LabourConstant {
            display_name: "Mix with a digger".into(),
            task: Task::Mix.into(),
            method: "digger".into(),
            driver: Driver::M3Placed.into(),
            low_hours: "0.5".into(),
            likely_hours: "0.8".into(),
            high_hours: "1.40".into(),
            source: "a judgement".into(),
            ..Default::default()
        }),
        ..Default::default()
    }
}

#[tokio::test]
async fn labour_constants_are_made_read_listed_and_changed() {
    let ground = Ground::with_library().await;
    let mut constants = ground.client.labour_constants();
    let made = constants
        .create_labour_constant(digger())
        .await
        .expect("made")
        .into_inner();
    assert_eq!(
        (made.name.as_str(), made.high_hours.as_str()),
        ("labourConstants/mix-by-digger", "1.4")
    );
    let got = constants
        .get_labour_constant(GetLabourConstantRequest {
            name: made.name.clone(),
        })
        .await
        .expect("got");
    assert_eq!(got.into_inner(), made);

    let ask = ListLabourConstantsRequest {
        task: Task::Mix.into(),
        ..Default::default()
    };
    let mixing = constants
        .list_labour_constants(ask)
        .await
        .expect("listed")
        .into_inner()
        .labour_constants;
    assert!(mixing.contains(&made) && mixing.iter().all(|constant| constant.task() == Task::Mix));
    let all = constants
        .list_labour_constants(ListLabourConstantsRequest::default())
        .await
        .expect("listed");
    assert!(mixing.len() < all.into_inner().labour_constants.len());

    let change = UpdateLabourConstantRequest {
        labour_constant: Some(LabourConstant {
            name: made.name.clone(),
            likely_hours: "0.9".into(),
            ..Default::default()
        }),
        ..Default::default()
    };
    let changed = constants
        .update_labour_constant(change)
        .await
        .expect("changed")
        .into_inner();
    assert_eq!(
        (changed.likely_hours.as_str(), changed.low_hours.as_str()),
        ("0.9", "0.5")
    );
}

/// Every task and every driver of the contract, by its number there.
#[tokio::test]
async fn a_labour_constant_can_be_of_every_task_and_driver() {
    let ground = Ground::with_library().await;
    let mut constants = ground.client.labour_constants();
    let drivers = (1..=13).cycle();
    for (task, driver) in (1..=30).zip(drivers) {
        let mut each = digger();
        each.labour_constant_id = format!("our-{task}");
        let constant = each.labour_constant.as_mut().expect("a constant");
        constant.method = "our-own".into();
        (constant.task, constant.driver) = (task, driver);
        let made = constants
            .create_labour_constant(each)
            .await
            .unwrap_or_else(|refused| panic!("task {task}, driver {driver}: {refused}"))
            .into_inner();
        let got = GetLabourConstantRequest { name: made.name };
        let got = constants.get_labour_constant(got).await.expect("got");
        let got = got.into_inner();
        assert_eq!((got.task, got.driver), (task, driver));
    }
    assert_eq!(Task::try_from(31), Err(prost::UnknownEnumValue(31)));
    assert_eq!(Driver::try_from(14), Err(prost::UnknownEnumValue(14)));
}

#[tokio::test]
async fn a_labour_constant_is_refused_with_every_fault_at_once() {
    let ground = Ground::with_library().await;
    let mut constants = ground.client.labour_constants();
    let mut bad = digger();
    let constant = bad.labour_constant.as_mut().expect("a constant");
    constant.task = 0;
    constant.driver = 99;
    constant.method = "Digger".into();
    constant.high_hours = "10001".into();
    assert_fields(
        &constants
            .create_labour_constant(bad)
            .await
            .expect_err("refused"),
        &[
            ("labour_constant.task", "MISSING"),
            ("labour_constant.method", "NOT_AN_ID"),
            ("labour_constant.driver", "UNKNOWN_CHOICE"),
            ("labour_constant.high_hours", "OUT_OF_RANGE"),
        ],
    );
    let mut upside_down = digger();
    upside_down
        .labour_constant
        .as_mut()
        .expect("a constant")
        .low_hours = "0.81".into();
    let refused = constants
        .create_labour_constant(upside_down)
        .await
        .expect_err("low above likely");
    assert_eq!(violations(&refused).len(), 1, "{refused:?}");
    let missing = constants
        .get_labour_constant(GetLabourConstantRequest {
            name: "labourConstants/none".into(),
        })
        .await;
    assert_refused(
        &missing.expect_err("missing"),
        Code::NotFound,
        "NOT_FOUND",
        "labourConstants/none",
    );
    let bad = ListLabourConstantsRequest {
        task: 99,
        ..Default::default()
    };
    assert_fields(
        &constants
            .list_labour_constants(bad)
            .await
            .expect_err("refused"),
        &[("task", "UNKNOWN_CHOICE")],
    );
    let change = UpdateLabourConstantRequest::default();
    assert_fields(
        &constants
            .update_labour_constant(change)
            .await
            .expect_err("refused"),
        &[("labour_constant", "MISSING")],
    );
}
