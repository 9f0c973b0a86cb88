//! Prices over the wire: each method once as it should be and once refused, and the history that stays.

use hod_wire::v1::{
    CreatePriceRequest, GetPriceRequest, GetRegionRequest, ListPricesRequest, Price, Unit,
};
use tonic::Code;

use crate::support::{Ground, assert_fields, assert_refused, new_price, violations};

fn list() -> ListPricesRequest {
    ListPricesRequest {
        parent: "regions/north".into(),
        material: "materials/sharp-sand".into(),
        ..Default::default()
    }
}

#[tokio::test]
async fn a_new_price_closes_the_old_and_history_stays() {
    let ground = Ground::priced().await;
    let mut prices = ground.client.prices();
    let old = prices
        .list_prices(list())
        .await
        .expect("listed")
        .into_inner()
        .prices
        .remove(0);
    assert_eq!(
        (
            old.unit_price.as_str(),
            old.currency_code.as_str(),
            old.end_date.as_str()
        ),
        ("31.5", "EUR", "")
    );

    let dearer = CreatePriceRequest {
        price_id: "sand-june".into(),
        ..new_price(
            "regions/north",
            "sharp-sand",
            Unit::T,
            "33.123456",
            "2026-06-01",
        )
    };
    let new = prices
        .create_price(dearer)
        .await
        .expect("made")
        .into_inner();
    assert_eq!(new.name, "regions/north/prices/sand-june");
    let region = ground
        .client
        .regions()
        .get_region(GetRegionRequest {
            name: "regions/north".into(),
        })
        .await;
    assert_eq!(
        region.expect("got").into_inner().list_version,
        new.list_version
    );

    let got = prices
        .get_price(GetPriceRequest {
            name: old.name.clone(),
        })
        .await
        .expect("got")
        .into_inner();
    assert_eq!(got.end_date, "2026-05-31");
    let on = |day: &str| ListPricesRequest {
        on_date: day.into(),
        ..list()
    };
    for (day, unit_price) in [
        ("2026-01-01", "31.5"),
        ("2026-05-31", "31.5"),
        ("2026-06-01", "33.123456"),
    ] {
        let found = prices
            .list_prices(on(day))
            .await
            .expect("listed")
            .into_inner()
            .prices;
        assert_eq!(found.len(), 1, "{day}");
        assert_eq!(found[0].unit_price, unit_price, "{day}");
    }
    assert!(
        prices
            .list_prices(on("2025-12-31"))
            .await
            .expect("listed")
            .into_inner()
            .prices
            .is_empty()
    );

    let before = ListPricesRequest {
        list_version: new.list_version - 1,
        ..list()
    };
    let as_it_stood = prices
        .list_prices(before)
        .await
        .expect("listed")
        .into_inner()
        .prices;
    assert_eq!(as_it_stood.len(), 1);
    assert_eq!(
        (
            as_it_stood[0].name.as_str(),
            as_it_stood[0].end_date.as_str()
        ),
        (old.name.as_str(), "")
    );
}

#[tokio::test]
async fn a_price_is_refused_with_every_fault_at_once() {
    let ground = Ground::priced().await;
    let mut prices = ground.client.prices();
    let bad = CreatePriceRequest {
        parent: "north".into(),
        price_id: "Sand".into(),
        price: Some(Price {
            unit_price: "1.2345678".into(),
            start_date: "2026/01/01".into(),
            supplier: "s".repeat(121),
            ..Default::default()
        }),
        ..Default::default()
    };
    assert_fields(
        &prices.create_price(bad).await.expect_err("refused"),
        &[
            ("parent", "NOT_A_NAME"),
            ("price_id", "NOT_AN_ID"),
            ("price.material", "NOT_A_NAME"),
            ("price.unit_price", "TOO_MANY_DECIMALS"),
            ("price.unit", "MISSING"),
            ("price.start_date", "NOT_A_DATE"),
            ("price.supplier", "TOO_LONG"),
        ],
    );
    let nowhere = new_price("regions/none", "sharp-sand", Unit::T, "1", "2026-01-01");
    let missing = prices.create_price(nowhere).await.expect_err("no region");
    assert_eq!(
        violations(&missing),
        [("parent".to_owned(), "NOT_FOUND".to_owned())]
    );
    let nothing = new_price("regions/north", "clay", Unit::T, "1", "2026-01-01");
    let missing = prices.create_price(nothing).await.expect_err("no material");
    assert_eq!(
        violations(&missing),
        [("price.material".to_owned(), "NOT_FOUND".to_owned())]
    );
    let missing = prices
        .get_price(GetPriceRequest {
            name: "regions/north/prices/none".into(),
        })
        .await;
    assert_refused(
        &missing.expect_err("missing"),
        Code::NotFound,
        "NOT_FOUND",
        "regions/north/prices/none",
    );
    let bad = ListPricesRequest {
        on_date: "today".into(),
        list_version: -1,
        material: "sand".into(),
        ..list()
    };
    assert_fields(
        &prices.list_prices(bad).await.expect_err("refused"),
        &[
            ("material", "NOT_A_NAME"),
            ("on_date", "NOT_A_DATE"),
            ("list_version", "OUT_OF_RANGE"),
        ],
    );
    let missing = prices
        .list_prices(ListPricesRequest {
            parent: "regions/none".into(),
            ..list()
        })
        .await;
    assert_refused(
        &missing.expect_err("missing"),
        Code::NotFound,
        "NOT_FOUND",
        "regions/none",
    );
}
