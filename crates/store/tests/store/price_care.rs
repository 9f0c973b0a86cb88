//! Two who change prices at once: nobody's change is lost, and the database itself keeps two prices apart.

use std::collections::BTreeSet;
use std::sync::Arc;
use std::time::Duration;

use hod_store::price::PriceFilter;
use hod_store::{StoreFault, labour_rate, price, price_walk, region};
use sqlx::Connection;

use crate::examples::*;
use crate::faults::{fault, refused};
use crate::price_changes::range;

const CHANGES: usize = 500;

/// Each reads the list, then changes the one price as of what was read; refused, it reads again.
#[tokio::test]
async fn two_estimators_who_change_one_price_1000_times_lose_no_change() {
    let ground = Arc::new(Ground::new().await);
    ground.furnished().await.commit().await.unwrap();
    let mut both = Vec::new();
    for who in 0..2 {
        let ground = Arc::clone(&ground);
        both.push(tokio::spawn(async move {
            let mut refusals = 0;
            let mut kept = Vec::new();
            let mut change = 0;
            while change < CHANGES {
                let mut session = ground.session().await;
                let read = region::list_version(&mut session, &region_id("coast"))
                    .await
                    .unwrap();
                session.commit().await.unwrap();
                let mut session = ground.session().await;
                let mut new = new_price(&format!("n-{who}-{change}"), "2026-01-01");
                new.unit_price = (change + 1).into();
                match price::insert(&mut session, &region_id("coast"), &new, Some(read)).await {
                    Ok(stored) => {
                        session.commit().await.unwrap();
                        kept.push((stored.version, new.id.to_string(), read));
                        change += 1;
                    }
                    Err(StoreFault::Stale(stale)) => {
                        assert!(
                            stale.changes.iter().any(|told| told.contains("is now")),
                            "{stale:?}"
                        );
                        refusals += 1;
                    }
                    Err(other) => panic!("{other:?}"),
                }
            }
            (kept, refusals)
        }));
    }
    let mut kept = Vec::new();
    let mut refusals = 0;
    for each in both {
        let (theirs, refused) = each.await.unwrap();
        kept.extend(theirs);
        refusals += refused;
    }
    kept.sort();
    let versions: Vec<i64> = kept.iter().map(|(version, ..)| *version).collect();
    assert_eq!(versions, (1..=1000).collect::<Vec<i64>>());
    assert!(
        kept.iter().all(|(version, _, read)| read + 1 == *version),
        "each was made of what it had read"
    );
    assert!(0 < refusals, "the two met, or this shows nothing");
    let mut session = ground.session().await;
    for (version, id, _) in kept.iter().step_by(97) {
        let filter = PriceFilter {
            list_version: Some(*version),
            ..PriceFilter::default()
        };
        let list = price::list(&mut session, &region_id("coast"), &filter, None, 9)
            .await
            .unwrap();
        let ids: BTreeSet<String> = list
            .into_iter()
            .map(|stored| stored.value.id.to_string())
            .collect();
        assert_eq!(ids, BTreeSet::from([id.clone()]), "at version {version}");
    }
}

#[tokio::test]
async fn who_has_read_an_older_list_is_told_what_changed_of_the_same_price_and_of_no_other() {
    let ground = Ground::new().await;
    let mut session = ground.furnished().await;
    let coast = region_id("coast");
    price::insert(&mut session, &coast, &new_price("old", "2026-01-01"), None)
        .await
        .unwrap();
    let mut dearer = new_price("new", "2026-03-01");
    dearer.unit_price = number("41");
    price::insert(&mut session, &coast, &dearer, None)
        .await
        .unwrap();
    session.commit().await.unwrap();
    let third = new_price("third", "2026-05-01");
    let StoreFault::Stale(stale) = fault!(ground, |s| price::insert(s, &coast, &third, Some(1)))
    else {
        panic!("stale");
    };
    let expected = [
        "regions/coast/prices/old was 38.5 for one m3, from 2026-01-01 on",
        "regions/coast/prices/old is now 38.5 for one m3, from 2026-01-01 to 2026-02-28",
        "regions/coast/prices/new is now 41 for one m3, from 2026-03-01 on",
    ];
    assert_eq!(stale.changes, expected);
    let mut session = ground.session().await;
    let StoreFault::Stale(stale) = price_walk::lock_list(&mut session, &coast, Some(1))
        .await
        .unwrap_err()
    else {
        panic!("stale");
    };
    assert_eq!(stale.changes.len(), 3);
    let mut elsewhere = new_price("elsewhere", "2026-05-01");
    elsewhere.supplier = "Another".to_owned();
    price::insert(&mut session, &coast, &elsewhere, Some(1))
        .await
        .unwrap();
    session.commit().await.unwrap();
    assert_eq!(
        refused(&fault!(ground, |s| price::insert(
            s,
            &coast,
            &third,
            Some(9)
        ))),
        "list_version_reached"
    );
}

#[tokio::test]
async fn a_price_and_a_rate_end_on_a_day_within_their_range() {
    let ground = Ground::new().await;
    let mut session = ground.furnished().await;
    let coast = region_id("coast");
    price::insert(&mut session, &coast, &new_price("p-1", "2026-01-01"), None)
        .await
        .unwrap();
    labour_rate::insert(&mut session, &coast, &new_rate("r-1", "2026-01-01"), None)
        .await
        .unwrap();
    session.commit().await.unwrap();
    let mut session = ground.session().await;
    let price = price::close(
        &mut session,
        &coast,
        &price_id("p-1"),
        day("2026-01-31"),
        Some(2),
    )
    .await
    .unwrap();
    assert_eq!(
        (price.version, price.value.in_force),
        (3, range("2026-01-01", "2026-02-01"))
    );
    let rate = labour_rate::close(
        &mut session,
        &coast,
        &price_id("r-1"),
        day("2026-01-01"),
        None,
    )
    .await
    .unwrap();
    assert_eq!(
        (rate.version, rate.value.in_force),
        (4, range("2026-01-01", "2026-01-02"))
    );
    assert_eq!(
        price::get(&mut session, &coast, &price_id("p-1"))
            .await
            .unwrap(),
        price
    );
    session.commit().await.unwrap();
    for last_day in ["2025-12-31", "2026-01-31", "2026-02-01"] {
        let fault = fault!(ground, |s| price::close(
            s,
            &coast,
            &price_id("p-1"),
            day(last_day),
            None
        ));
        assert_eq!(refused(&fault), "closed_within_its_range", "{last_day}");
    }
}

/// Past the store: two sessions each put in a price that overlaps the other's, neither seeing the other's row.
#[tokio::test]
async fn the_database_refuses_the_second_of_two_overlapping_prices_put_in_at_once() {
    let ground = Ground::new().await;
    let mut session = ground.furnished().await;
    price::insert(
        &mut session,
        &region_id("coast"),
        &new_price("p-1", "2020-01-01"),
        None,
    )
    .await
    .unwrap();
    session.commit().await.unwrap();
    let pool = ground.database.app_pool().await;
    let put = |id: &'static str, in_force: &'static str| {
        sqlx::query(
            "insert into price (firm_id, region_id, price_id, version_in, material_id, unit_price, unit, in_force, supplier, \
             source, break_from, break_price, lead_days, note) \
             select $1, 'coast', $2, 2, 'clay-soil', 1, 'm3', $3::text::daterange, '', '', '{}', '{}', 0, ''",
        )
        .bind(ground.firm.uuid())
        .bind(id)
        .bind(in_force)
    };
    let (mut one, mut two) = (pool.acquire().await.unwrap(), pool.acquire().await.unwrap());
    let (mut first, mut second) = (one.begin().await.unwrap(), two.begin().await.unwrap());
    for each in [&mut first, &mut second] {
        sqlx::query("select set_config('hod.firm', $1, true)")
            .bind(ground.firm.to_string())
            .execute(&mut **each)
            .await
            .unwrap();
    }
    put("x-1", "[2026-01-01,2026-06-01)")
        .execute(&mut *first)
        .await
        .unwrap();
    let late = put("x-2", "[2026-05-01,2026-07-01)").execute(&mut *second);
    let (late, kept) = tokio::join!(late, async {
        tokio::time::sleep(Duration::from_millis(300)).await;
        first.commit().await
    });
    kept.unwrap();
    let refusal = late.unwrap_err();
    let constraint = refusal
        .as_database_error()
        .and_then(|fault| fault.constraint().map(str::to_owned));
    assert_eq!(constraint.as_deref(), Some("price_no_overlap"), "{refusal}");
}

#[tokio::test]
async fn what_has_gone_out_of_a_list_does_not_come_back() {
    let ground = Ground::new().await;
    let mut session = ground.furnished().await;
    for id in ["p-1", "p-2"] {
        price::insert(
            &mut session,
            &region_id("coast"),
            &new_price(id, "2026-01-01"),
            None,
        )
        .await
        .unwrap();
    }
    session.commit().await.unwrap();
    let pool = ground.database.app_pool().await;
    let mut transaction = pool.begin().await.unwrap();
    sqlx::query("select set_config('hod.firm', $1, true)")
        .bind(ground.firm.to_string())
        .execute(&mut *transaction)
        .await
        .unwrap();
    let refusal = sqlx::query("update price set version_out = null where price_id = 'p-1'")
        .execute(&mut *transaction)
        .await
        .unwrap_err();
    let constraint = refusal
        .as_database_error()
        .and_then(|fault| fault.constraint().map(str::to_owned));
    assert_eq!(
        constraint.as_deref(),
        Some("price_only_goes_out"),
        "{refusal}"
    );
}
