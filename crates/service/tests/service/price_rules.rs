//! Prices and rates that end, and prices that change by a rule, over the wire: each as it should be and refused.

use hod_wire::v1::adjust_prices_request::Change;
use hod_wire::v1::{
    AdjustPricesRequest, CloseLabourRateRequest, ClosePriceRequest, GetRegionRequest, IndexChange,
    ListLabourRatesRequest, ListPricesRequest, Price, PriceChangeKind, Unit,
};
use tonic::{Code, Status};

use crate::price_files::{Told, told};
use crate::support::{Ground, assert_fields, assert_refused, new_price, new_rate, reason};

/// The price of sand in the north, 31.50 from the first of January.
async fn sand(ground: &Ground) -> Price {
    let ask = ListPricesRequest {
        parent: "regions/north".into(),
        material: "materials/sharp-sand".into(),
        ..Default::default()
    };
    let listed = ground.client.prices().list_prices(ask).await;
    let mut prices = listed.expect("listed").into_inner().prices;
    prices.pop().expect("a price")
}

async fn version(ground: &Ground) -> i64 {
    let name = "regions/north".into();
    let got = ground
        .client
        .regions()
        .get_region(GetRegionRequest { name })
        .await;
    got.expect("got").into_inner().list_version
}

async fn adjust(ground: &Ground, asked: AdjustPricesRequest) -> Result<Told, Status> {
    let events = ground.client.prices().adjust_prices(asked).await?;
    told(events.into_inner()).await
}

fn by(percent: &str) -> AdjustPricesRequest {
    AdjustPricesRequest {
        parent: "regions/north".into(),
        change: Some(Change::Percent(percent.into())),
        start_date: "2026-06-01".into(),
        ..Default::default()
    }
}

#[tokio::test]
async fn a_price_ends_with_nothing_in_its_place() {
    let ground = Ground::priced().await;
    let close = |name: &str, end: &str| ClosePriceRequest {
        name: name.into(),
        end_date: end.into(),
        ..Default::default()
    };
    let (before, name) = (version(&ground).await, sand(&ground).await.name);
    let mut prices = ground.client.prices();
    let closed = prices.close_price(close(&name, "2026-05-31")).await;
    assert_eq!(closed.expect("closed").into_inner().end_date, "2026-05-31");
    assert_eq!(version(&ground).await, before + 1);
    let longer = prices.close_price(close(&name, "2026-08-31")).await;
    assert_eq!(
        reason(&longer.expect_err("it has ended")).0,
        Code::FailedPrecondition
    );
    let unknown = prices
        .close_price(close("regions/north/prices/none", "2026-05-31"))
        .await;
    let unknown = unknown.expect_err("no such price");
    assert_refused(
        &unknown,
        Code::NotFound,
        "NOT_FOUND",
        "regions/north/prices/none",
    );
}

#[tokio::test]
async fn a_rate_ends_with_nothing_in_its_place() {
    let ground = Ground::priced().await;
    let mut rates = ground.client.labour_rates();
    let made = rates
        .create_labour_rate(new_rate("regions/north", "mason", "25", "2026-01-01"))
        .await;
    let name = made.expect("made").into_inner().name;
    let close = |end: &str| CloseLabourRateRequest {
        name: name.clone(),
        end_date: end.into(),
        ..Default::default()
    };
    let closed = rates.close_labour_rate(close("2026-05-31")).await;
    assert_eq!(closed.expect("closed").into_inner().end_date, "2026-05-31");
    let on = |date: &str| ListLabourRatesRequest {
        parent: "regions/north".into(),
        grade: "mason".into(),
        on_date: date.into(),
        ..Default::default()
    };
    for (date, count) in [("2026-05-31", 1), ("2026-06-01", 0)] {
        let listed = rates.list_labour_rates(on(date)).await.expect("listed");
        assert_eq!(listed.into_inner().labour_rates.len(), count, "{date}");
    }
    let never = rates.close_labour_rate(close("yesterday")).await;
    assert_fields(&never.expect_err("refused"), &[("end_date", "NOT_A_DATE")]);
}

#[tokio::test]
async fn prices_change_by_a_percentage_or_an_index_in_one_act() {
    let ground = Ground::priced().await;
    // 31.50 and 4.5 % is 32.9175; straw at 4.20 becomes 4.389.
    let raised = adjust(&ground, by("4.5")).await.expect("changed");
    assert_eq!(
        raised.changed(),
        [
            (
                PriceChangeKind::Raised,
                "materials/sharp-sand",
                "31.5",
                "32.92"
            ),
            (
                PriceChangeKind::Raised,
                "materials/straw-bale",
                "4.2",
                "4.39"
            ),
        ]
    );
    assert_eq!(
        (raised.summary.raised_count, raised.summary.kept),
        (2, true)
    );
    // By an index, of one material, to four places: 32.92 x 109 / 101.2 = 35.45731...
    let index = IndexChange {
        series: "Sand and gravel, ex works".into(),
        base_index: "101.2".into(),
        current_index: "109".into(),
    };
    let indexed = AdjustPricesRequest {
        materials: vec!["materials/sharp-sand".into()],
        change: Some(Change::Index(index)),
        start_date: "2026-09-01".into(),
        places: Some(4),
        ..by("")
    };
    let indexed = adjust(&ground, indexed).await.expect("changed");
    assert_eq!(
        indexed.changed(),
        [(
            PriceChangeKind::Raised,
            "materials/sharp-sand",
            "32.92",
            "35.4573"
        )]
    );
    let trial = AdjustPricesRequest {
        validate_only: true,
        ..by("-10")
    };
    let before = version(&ground).await;
    let tried = adjust(&ground, trial).await.expect("tried");
    assert!(!tried.summary.kept && !tried.changes.is_empty());
    assert_eq!(version(&ground).await, before);
}

#[tokio::test]
async fn a_rule_is_refused_with_every_fault_and_on_a_list_that_has_moved() {
    let ground = Ground::priced().await;
    let bad = AdjustPricesRequest {
        parent: "north".into(),
        group: "Lime!".into(),
        start_date: "soon".into(),
        places: Some(7),
        ..by("-100")
    };
    let refused = ground
        .client
        .prices()
        .adjust_prices(bad)
        .await
        .expect_err("refused");
    assert_fields(
        &refused,
        &[
            ("parent", "NOT_A_NAME"),
            ("group", "NOT_AN_ID"),
            ("percent", "PERCENT_OUT_OF_RANGE"),
            ("start_date", "NOT_A_DATE"),
            ("places", "OUT_OF_RANGE"),
        ],
    );
    let read = version(&ground).await;
    let other = new_price("regions/north", "sharp-sand", Unit::T, "33", "2026-05-01");
    ground
        .client
        .prices()
        .create_price(other)
        .await
        .expect("made");
    let late = AdjustPricesRequest {
        list_version: read,
        ..by("4")
    };
    let late = adjust(&ground, late).await.expect_err("the list has moved");
    assert_eq!(reason(&late).0, Code::Aborted);
    assert!(
        crate::support::violations(&late)
            .iter()
            .any(|(_, why)| why == "CHANGED_MEANWHILE"),
        "{late:?}"
    );
}
