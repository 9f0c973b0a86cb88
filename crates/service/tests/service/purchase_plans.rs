//! One order list of several jobs over the wire, and what ordering together saves.

use hod_wire::v1::{CreatePriceRequest, Delivery, PlanPurchasesRequest, Unit};

use crate::issuing::{cents, keep_job};
use crate::support::{Ground, assert_fields, new_price, studio};

#[tokio::test]
async fn jobs_that_order_together_share_their_loads_and_the_saving_is_shown() {
    let ground = Ground::priced().await;
    let client = &ground.client;
    for id in ["barn", "studio"] {
        keep_job(client, id, studio()).await;
    }
    // Sand by the lorry of 100 t, at 60.00 a load.
    let mut sand: CreatePriceRequest =
        new_price("regions/north", "sharp-sand", Unit::T, "30", "2026-04-01");
    sand.price.as_mut().expect("a price").delivery = Some(Delivery {
        load_quantity: "100".into(),
        charge_per_load: "60".into(),
        ..Default::default()
    });
    client.prices().create_price(sand).await.expect("a price");
    let request = PlanPurchasesRequest {
        jobs: vec!["jobs/barn".into(), "jobs/studio".into()],
        price_date: "2026-05-01".into(),
    };
    let plan = client.estimation().plan_purchases(request).await;
    let plan = plan.expect("a plan").into_inner();
    assert_eq!(plan.currency_code, "EUR");
    let (alone, together) = (cents(&plan.alone_amount), cents(&plan.together_amount));
    assert_eq!(cents(&plan.saving), alone - together);
    let is_sand = |material: &str| material == "materials/sharp-sand";
    let orders = &plan.purchases;
    let sand = orders
        .iter()
        .find(|order| is_sand(&order.purchase.as_ref().expect("an order").material));
    let sand = sand.expect("sand");
    assert_eq!(sand.parts.len(), 2);
    // One load in place of two.
    assert_eq!(
        sand.purchase.as_ref().map(|order| order.load_count),
        Some(1)
    );
    assert_eq!(cents(&sand.saving), 6000);
}

#[tokio::test]
async fn a_plan_names_its_jobs_and_its_day() {
    let ground = Ground::with_library().await;
    let mut estimation = ground.client.estimation();
    let refused = estimation
        .plan_purchases(PlanPurchasesRequest::default())
        .await;
    assert_fields(
        &refused.expect_err("nothing is asked"),
        &[("jobs", "WRONG_COUNT"), ("price_date", "MISSING")],
    );
}
