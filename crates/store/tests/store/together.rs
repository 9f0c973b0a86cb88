//! Two at once: nothing is lost, and versions follow each other without a gap.

use std::collections::BTreeSet;
use std::sync::Arc;
use std::time::Duration;

use hod_store::price::PriceFilter;
use hod_store::{StoreFault, labour_rate, price, region};

use crate::examples::*;

const ESTIMATORS: usize = 6;
const CHANGES: usize = 8;

#[tokio::test]
async fn estimators_who_change_one_list_at_once_lose_nothing_and_the_versions_are_consecutive() {
    let ground = Arc::new(Ground::new().await);
    ground.furnished().await.commit().await.unwrap();
    let mut estimators = Vec::new();
    for estimator in 0..ESTIMATORS {
        let ground = Arc::clone(&ground);
        estimators.push(tokio::spawn(async move {
            let mut versions = Vec::new();
            for change in 0..CHANGES {
                let mut session = ground.session().await;
                let id = format!("n-{estimator}-{change}");
                let start = format!("2026-{:02}-{:02}", change + 1, estimator + 1);
                let version = if estimator % 3 == 0 {
                    let new = new_rate(&id, &start);
                    labour_rate::insert(&mut session, &region_id("coast"), &new, None)
                        .await
                        .unwrap()
                        .version
                } else {
                    let new = new_price(&id, &start);
                    price::insert(&mut session, &region_id("coast"), &new, None)
                        .await
                        .unwrap()
                        .version
                };
                session.commit().await.unwrap();
                versions.push(version);
            }
            versions
        }));
    }
    let mut versions = BTreeSet::new();
    for each in estimators {
        versions.extend(each.await.unwrap());
    }
    let all = i64::try_from(ESTIMATORS * CHANGES).unwrap();
    assert_eq!(versions, (1..=all).collect());
    let mut session = ground.session().await;
    assert_eq!(
        region::list_version(&mut session, &region_id("coast"))
            .await
            .unwrap(),
        all
    );
    let prices = price::list(
        &mut session,
        &region_id("coast"),
        &PriceFilter::default(),
        None,
        99,
    )
    .await
    .unwrap();
    assert_eq!(
        prices.len(),
        ESTIMATORS * 2 / 3 * CHANGES,
        "each began on a day of its own, so all stand"
    );
}

#[tokio::test]
async fn a_version_given_up_is_given_again() {
    let ground = Ground::new().await;
    ground.furnished().await.commit().await.unwrap();
    let coast = region_id("coast");
    let mut session = ground.session().await;
    price::insert(&mut session, &coast, &new_price("a", "2026-01-01"), None)
        .await
        .unwrap();
    session.rollback().await.unwrap();
    let mut session = ground.session().await;
    let kept = price::insert(&mut session, &coast, &new_price("b", "2026-01-01"), None)
        .await
        .unwrap();
    assert_eq!(kept.version, 1);
}

#[tokio::test]
async fn who_changes_a_list_holds_up_its_changers_and_no_reader() {
    let ground = Ground::new().await;
    ground.furnished().await.commit().await.unwrap();
    let coast = region_id("coast");
    let mut first = ground.session().await;
    price::insert(&mut first, &coast, &new_price("a", "2026-01-01"), None)
        .await
        .unwrap();

    let mut reader = ground.session().await;
    reader
        .limit_statement_time(Duration::from_millis(500))
        .await
        .unwrap();
    assert_eq!(
        price::list(&mut reader, &coast, &PriceFilter::default(), None, 9)
            .await
            .unwrap(),
        []
    );
    let mut second = ground.session().await;
    second
        .limit_statement_time(Duration::from_millis(100))
        .await
        .unwrap();
    let fault = labour_rate::insert(&mut second, &coast, &new_rate("b", "2026-01-01"), None)
        .await
        .unwrap_err();
    assert!(matches!(fault, StoreFault::TimedOut(_)), "{fault:?}");
}

#[tokio::test]
async fn two_who_each_make_one_region_the_parent_of_the_other_do_not_close_a_ring() {
    let ground = Arc::new(Ground::new().await);
    for round in 0..10 {
        let (one, other) = (format!("a-{round}"), format!("b-{round}"));
        let mut session = ground.session().await;
        for id in [&one, &other] {
            region::insert(&mut session, &region(id)).await.unwrap();
        }
        session.commit().await.unwrap();
        let mut both = Vec::new();
        for (id, parent) in [(one.clone(), other.clone()), (other, one)] {
            let ground = Arc::clone(&ground);
            both.push(tokio::spawn(async move {
                let mut session = ground.session().await;
                let mut moved = region(&id);
                moved.parent = Some(region_id(&parent));
                region::update(&mut session, &moved, None).await?;
                session.commit().await
            }));
        }
        let mut refused = 0;
        for each in both {
            match each.await.unwrap() {
                Ok(()) => {}
                Err(StoreFault::Refused {
                    rule: "region_chain_ends",
                    ..
                }) => refused += 1,
                Err(other) => panic!("{other:?}"),
            }
        }
        assert_eq!(refused, 1, "round {round}");
    }
}

#[tokio::test]
async fn of_two_changes_from_one_reading_one_is_stale() {
    let ground = Arc::new(Ground::new().await);
    ground.furnished().await.commit().await.unwrap();
    let mut both = Vec::new();
    for name in ["One", "Two"] {
        let ground = Arc::clone(&ground);
        both.push(tokio::spawn(async move {
            let mut session = ground.session().await;
            let mut renamed = region("coast");
            renamed.display_name = name.to_owned();
            region::update(&mut session, &renamed, Some(1)).await?;
            session.commit().await
        }));
    }
    let mut stale = 0;
    for each in both {
        match each.await.unwrap() {
            Ok(()) => {}
            Err(StoreFault::Stale(_)) => stale += 1,
            Err(other) => panic!("{other:?}"),
        }
    }
    assert_eq!(stale, 1);
    assert_eq!(
        region::get(&mut ground.session().await, &region_id("coast"))
            .await
            .unwrap()
            .version,
        2
    );
}

#[tokio::test]
async fn the_database_reads_otherwise_after_every_commit() {
    let ground = Ground::new().await;
    ground.furnished().await.commit().await.unwrap();
    let mut watch = ground.store.watch().await.unwrap();
    let mut read = BTreeSet::from([watch.visible().await.unwrap()]);
    for change in 1..=5 {
        let mut session = ground.session().await;
        region::update(&mut session, &region("coast"), None)
            .await
            .unwrap();
        session.commit().await.unwrap();
        read.insert(watch.visible().await.unwrap());
        assert_eq!(read.len(), change + 1, "{read:?}");
    }
}
