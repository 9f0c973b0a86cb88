//! Two kept estimates or quotes held against each other over the wire.

use hod_wire::v1::{
    CompareEstimatesRequest, Comparison, CreateRegionRequest, Effects, Job, LabourConstant,
    LineKind, Unit, UpdateJobRequest, UpdateLabourConstantRequest,
};
use tonic::{Code, Status};

use crate::issuing::{cents, estimated_studio, issue, issued, keep_estimate, keep_job};
use crate::support::{
    Client, Ground, assert_fields, assert_refused, new_price, new_rate, reason, region, site,
    studio,
};

async fn compare(client: &Client, before: &str, after: &str) -> Result<Comparison, Status> {
    let request = CompareEstimatesRequest {
        before: before.into(),
        after: after.into(),
    };
    let compared = client.estimation().compare_estimates(request).await;
    Ok(compared?.into_inner())
}

fn sum(effects: &Effects) -> i64 {
    let Effects {
        quantity,
        price,
        labour_constant,
        scope,
        carried,
        build_up,
    } = effects;
    [quantity, price, labour_constant, scope, carried, build_up]
        .into_iter()
        .map(|amount| cents(amount))
        .sum()
}

/// Every row and the whole add up, to the cent.
#[track_caller]
fn assert_adds_up(comparison: &Comparison) {
    let mut whole = 0;
    for row in &comparison.rows {
        let effects = row.effects.as_ref().expect("effects");
        assert_eq!(sum(effects), cents(&row.difference), "{}", row.item);
        whole += cents(&row.difference);
    }
    let effects = comparison.effects.as_ref().expect("effects");
    assert_eq!(sum(effects), whole);
    assert_eq!(cents(&comparison.difference), whole);
    assert_eq!(
        cents(&comparison.after_total) - cents(&comparison.before_total),
        whole
    );
}

#[tokio::test]
async fn a_price_that_rose_is_told_as_price_and_what_it_carries_with_it() {
    let ground = Ground::priced().await;
    let client = &ground.client;
    let before = estimated_studio(client).await;
    let price = new_price("regions/north", "sharp-sand", Unit::T, "40", "2026-06-01");
    client.prices().create_price(price).await.expect("a price");
    let after = keep_estimate(client, "studio", "2026-06-01").await;
    let compared = compare(client, &before.name, &after.name)
        .await
        .expect("compared");
    assert_adds_up(&compared);
    let effects = compared.effects.clone().expect("effects");
    assert_eq!(
        (effects.quantity.as_str(), effects.labour_constant.as_str()),
        ("0.00", "0.00")
    );
    assert!(0 < cents(&effects.price) && 0 < cents(&effects.carried));
    let sand = before
        .lines
        .iter()
        .find(|line| line.unit_price == "31.5")
        .expect("sand");
    let row = compared
        .rows
        .iter()
        .find(|row| row.item == sand.item)
        .expect("a row of it");
    assert_eq!(
        (
            row.before_unit_price.as_str(),
            row.after_unit_price.as_str()
        ),
        ("31.5", "40")
    );
    assert_eq!(row.before_quantity, row.after_quantity);
}

#[tokio::test]
async fn slower_work_is_told_as_labour_constant_and_higher_walls_as_quantity() {
    let ground = Ground::priced().await;
    let client = &ground.client;
    let before = estimated_studio(client).await;
    let constant = before
        .works
        .first()
        .expect("what the hours were counted by");
    let slower = LabourConstant {
        name: constant.labour_constant.clone(),
        low_hours: "1".into(),
        likely_hours: "20".into(),
        high_hours: "40".into(),
        ..Default::default()
    };
    let request = UpdateLabourConstantRequest {
        labour_constant: Some(slower),
        ..Default::default()
    };
    client
        .labour_constants()
        .update_labour_constant(request)
        .await
        .expect("a constant");
    let slow = keep_estimate(client, "studio", "2026-05-01").await;
    let compared = compare(client, &before.name, &slow.name)
        .await
        .expect("compared");
    assert_adds_up(&compared);
    let effects = compared.effects.expect("effects");
    assert_ne!(cents(&effects.labour_constant), 0);
    assert_eq!(
        (effects.quantity.as_str(), effects.price.as_str()),
        ("0.00", "0.00")
    );

    let mut walls = studio().walls;
    for wall in &mut walls {
        wall.height_m = "3".into();
    }
    let higher = UpdateJobRequest {
        job: Some(Job {
            name: "jobs/studio".into(),
            walls,
            ..Default::default()
        }),
        ..Default::default()
    };
    client.jobs().update_job(higher).await.expect("a job");
    let high = keep_estimate(client, "studio", "2026-05-01").await;
    let compared = compare(client, &slow.name, &high.name)
        .await
        .expect("compared");
    assert_adds_up(&compared);
    let effects = compared.effects.expect("effects");
    assert!(0 < cents(&effects.quantity));
    assert_eq!(
        (effects.price.as_str(), effects.labour_constant.as_str()),
        ("0.00", "0.00")
    );
}

#[tokio::test]
async fn an_estimate_against_itself_and_the_quote_of_it_differs_in_nothing() {
    let ground = Ground::priced().await;
    let client = &ground.client;
    let estimate = estimated_studio(client).await;
    let quote = issued(client, issue(&estimate.name)).await;
    for after in [&estimate.name, &quote.name] {
        let compared = compare(client, &estimate.name, after)
            .await
            .expect("compared");
        assert_adds_up(&compared);
        assert_eq!(compared.difference, "0.00");
        assert_eq!(compared.rows.len(), estimate.lines.len());
        assert_eq!((&compared.before, &compared.after), (&estimate.name, after));
        let taxes = compared
            .rows
            .iter()
            .filter(|row| row.kind() == LineKind::Tax);
        assert_eq!(taxes.count(), 1);
    }
}

#[tokio::test]
async fn what_is_in_two_currencies_is_not_compared() {
    let ground = Ground::priced().await;
    let client = &ground.client;
    let euros = estimated_studio(client).await;
    let mut request: CreateRegionRequest = region("islands");
    request.region.as_mut().expect("a region").currency_code = "JPY".into();
    client
        .regions()
        .create_region(request)
        .await
        .expect("a region");
    client
        .sites()
        .create_site(site("isle", "regions/islands"))
        .await
        .expect("a site");
    for (material, unit) in [("sharp-sand", Unit::T), ("straw-bale", Unit::Bale)] {
        let price = new_price("regions/islands", material, unit, "3000", "2026-01-01");
        client.prices().create_price(price).await.expect("a price");
    }
    for grade in ["lead", "practised", "helper"] {
        let rate = new_rate("regions/islands", grade, "2500", "2026-01-01");
        client
            .labour_rates()
            .create_labour_rate(rate)
            .await
            .expect("a rate");
    }
    let job = Job {
        site: "sites/isle".into(),
        ..studio()
    };
    keep_job(client, "isle", job).await;
    let yen = keep_estimate(client, "isle", "2026-05-01").await;
    let refused = compare(client, &euros.name, &yen.name)
        .await
        .expect_err("two currencies");
    assert_refused(&refused, Code::FailedPrecondition, "STANDS_AGAINST", "EUR");
}

#[tokio::test]
async fn what_is_compared_must_be_named_and_there() {
    let ground = Ground::with_library().await;
    let nameless = CompareEstimatesRequest {
        after: "jobs/studio".into(),
        ..Default::default()
    };
    let mut estimation = ground.client.estimation();
    let refused = estimation.compare_estimates(nameless).await;
    let refused = refused.expect_err("no names");
    assert_fields(&refused, &[("before", "MISSING"), ("after", "NOT_A_NAME")]);
    let refused = compare(&ground.client, "quotes/q1", "quotes/q2").await;
    let refused = refused.expect_err("not there");
    assert_eq!(reason(&refused), (Code::NotFound, "NOT_FOUND".to_owned()));
}
