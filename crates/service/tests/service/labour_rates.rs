//! Labour rates over the wire: each method once as it should be and once refused.

use hod_wire::v1::{
    CreateLabourRateRequest, GetLabourRateRequest, LabourRate, ListLabourRatesRequest,
};
use tonic::Code;

use crate::support::{Ground, assert_fields, assert_refused, new_rate};

fn list() -> ListLabourRatesRequest {
    ListLabourRatesRequest {
        parent: "regions/north".into(),
        ..Default::default()
    }
}

#[tokio::test]
async fn labour_rates_are_made_read_and_listed_and_a_new_one_closes_the_old() {
    let ground = Ground::priced().await;
    let mut rates = ground.client.labour_rates();
    // 22.505 an hour and 30 %: 29.2565, charged as 29.26.
    let made = rates
        .create_labour_rate(new_rate(
            "regions/north",
            "practised",
            "22.505",
            "2026-07-01",
        ))
        .await;
    let made = made.expect("made").into_inner();
    assert_eq!(
        (
            made.wage_per_hour.as_str(),
            made.loaded_rate_per_hour.as_str()
        ),
        ("22.505", "29.26")
    );
    assert!(
        made.name.starts_with("regions/north/labourRates/r"),
        "{}",
        made.name
    );
    let got = rates
        .get_labour_rate(GetLabourRateRequest {
            name: made.name.clone(),
        })
        .await
        .expect("got");
    assert_eq!(got.into_inner(), made);

    let ask = ListLabourRatesRequest {
        grade: "practised".into(),
        ..list()
    };
    let both = rates
        .list_labour_rates(ask.clone())
        .await
        .expect("listed")
        .into_inner()
        .labour_rates;
    let old = both
        .iter()
        .find(|rate| rate.name != made.name)
        .expect("the old one");
    assert_eq!((both.len(), old.end_date.as_str()), (2, "2026-06-30"));
    let on = ListLabourRatesRequest {
        on_date: "2026-06-30".into(),
        ..ask
    };
    let found = rates
        .list_labour_rates(on)
        .await
        .expect("listed")
        .into_inner()
        .labour_rates;
    assert_eq!(found, std::slice::from_ref(old));
}

#[tokio::test]
async fn a_labour_rate_is_refused_with_every_fault_at_once() {
    let ground = Ground::priced().await;
    let mut rates = ground.client.labour_rates();
    let bad = CreateLabourRateRequest {
        parent: "regions/north".into(),
        labour_rate: Some(LabourRate {
            wage_per_hour: "12.34567".into(),
            burden_percent: "301".into(),
            ..Default::default()
        }),
        ..Default::default()
    };
    assert_fields(
        &rates.create_labour_rate(bad).await.expect_err("refused"),
        &[
            ("labour_rate.grade", "NOT_AN_ID"),
            ("labour_rate.wage_per_hour", "TOO_MANY_DECIMALS"),
            ("labour_rate.burden_percent", "OUT_OF_RANGE"),
            ("labour_rate.start_date", "MISSING"),
        ],
    );
    let nowhere = rates
        .create_labour_rate(new_rate("regions/none", "lead", "1", "2026-01-01"))
        .await;
    assert_refused(
        &nowhere.expect_err("no region"),
        Code::NotFound,
        "NOT_FOUND",
        "regions/none",
    );
    let missing = rates
        .get_labour_rate(GetLabourRateRequest {
            name: "regions/north/labourRates/none".into(),
        })
        .await;
    assert_refused(
        &missing.expect_err("missing"),
        Code::NotFound,
        "NOT_FOUND",
        "regions/north/labourRates/none",
    );
    let bad = ListLabourRatesRequest {
        grade: "a b".into(),
        ..list()
    };
    assert_fields(
        &rates.list_labour_rates(bad).await.expect_err("refused"),
        &[("grade", "NOT_AN_ID")],
    );
}
