//! Reading a fault that a test expects, and a firm in which most of them can be met.

use hod_store::{StoreFault, job, labour_rate, price, soil_test};

use crate::examples::*;

pub fn not_found(fault: &StoreFault) -> Vec<&str> {
    match fault {
        StoreFault::NotFound(things) => things.iter().map(|thing| thing.name.as_str()).collect(),
        other => panic!("{other:?}"),
    }
}

pub fn taken(fault: &StoreFault) -> &str {
    match fault {
        StoreFault::Taken(thing) => &thing.name,
        other => panic!("{other:?}"),
    }
}

pub fn stale(fault: &StoreFault) -> &str {
    match fault {
        StoreFault::Stale(stale) => &stale.thing.name,
        other => panic!("{other:?}"),
    }
}

pub fn refused(fault: &StoreFault) -> &'static str {
    match fault {
        StoreFault::Refused { rule, message } => {
            assert_eq!(fault.to_string(), *message);
            rule
        }
        other => panic!("{other:?}"),
    }
}

/// Each is tried in a session of its own, for a refused statement ends its transaction.
macro_rules! fault {
    ($ground:expr, |$session:ident| $act:expr) => {{
        let mut opened = $ground.session().await;
        let $session = &mut opened;
        $act.await.unwrap_err()
    }};
}
pub(crate) use fault;

/// A furnished firm with a job, a soil test, a price and a rate.
pub async fn busy() -> Ground {
    let ground = Ground::new().await;
    let mut session = ground.furnished().await;
    job::insert(&mut session, &job("round-hut")).await.unwrap();
    soil_test::insert(&mut session, &site_id("long-acre"), &soil_test("jar-1"))
        .await
        .unwrap();
    price::insert(
        &mut session,
        &region_id("coast"),
        &new_price("p-1", "2026-05-01"),
        None,
    )
    .await
    .unwrap();
    labour_rate::insert(
        &mut session,
        &region_id("coast"),
        &new_rate("r-1", "2026-05-01"),
        None,
    )
    .await
    .unwrap();
    session.commit().await.unwrap();
    ground
}
