//! Nothing of one firm is seen from another, nor from none; and who may come in.

use hod_store::firm::create_first;
use hod_store::{
    Access, FirmId, Role, Store, StoreFault, estimate, job, labour_rate, material, mix_trial,
    past_version, price, region, request, rule_pack, soil_test,
};
use hod_testkit::database::TestDatabase;
use sqlx::{AssertSqlSafe, ConnectOptions, Connection, PgConnection};
use uuid::Uuid;

use crate::examples::*;

const TABLES: [&str; 29] = [
    "firm",
    "region",
    "region_list",
    "material",
    "price",
    "labour_rate",
    "site",
    "soil_test",
    "soil_observation",
    "rule_pack",
    "rule_pack_rule",
    "mix_trial",
    "mix_trial_ingredient",
    "mix_trial_crushed",
    "mix_trial_broken",
    "mix",
    "mix_ingredient",
    "crew",
    "crew_grade",
    "labour_constant",
    "labour_constant_grade",
    "job",
    "estimate",
    "quote",
    "quote_counter",
    "quote_event",
    "variation",
    "past_version",
    "request",
];

/// A firm that has a row in every table.
async fn full() -> Ground {
    let ground = Ground::new().await;
    let mut session = ground.furnished().await;
    price::insert(
        &mut session,
        &region_id("coast"),
        &new_price("p", "2026-05-01"),
        None,
    )
    .await
    .unwrap();
    labour_rate::insert(
        &mut session,
        &region_id("coast"),
        &new_rate("r", "2026-05-01"),
        None,
    )
    .await
    .unwrap();
    soil_test::insert(&mut session, &site_id("long-acre"), &soil_test("s"))
        .await
        .unwrap();
    rule_pack::insert(&mut session, &rule_pack("r"))
        .await
        .unwrap();
    mix_trial::insert(&mut session, &mix_trial("t"))
        .await
        .unwrap();
    job::insert(&mut session, &job("round-hut")).await.unwrap();
    estimate::insert(&mut session, &new_estimate("e"))
        .await
        .unwrap();
    let quote = issue(&mut session, "e").await;
    accept(&mut session, &quote.id).await;
    agree(&mut session, &quote.id).await;
    past_version::insert(&mut session, "jobs/round-hut", 1, b"as it was")
        .await
        .unwrap();
    request::keep(&mut session, Uuid::nil(), "CreateSite", &[1; 32], b"answer")
        .await
        .unwrap();
    session.commit().await.unwrap();
    ground
}

/// The counts of all tables for a setting of `hod.firm`, asked without naming a firm in any query: only row-level
/// security stands between.
async fn counts(connection: &mut PgConnection, firm: Option<&str>) -> Vec<i64> {
    let mut transaction = connection.begin().await.unwrap();
    if let Some(firm) = firm {
        sqlx::query("select set_config('hod.firm', $1, true)")
            .bind(firm)
            .execute(&mut *transaction)
            .await
            .unwrap();
    }
    let mut counts = Vec::new();
    for table in TABLES {
        let count = AssertSqlSafe(format!("select count(*) from {table}"));
        counts.push(
            sqlx::query_scalar(count)
                .fetch_one(&mut *transaction)
                .await
                .unwrap(),
        );
    }
    counts
}

#[tokio::test]
async fn row_level_security_shows_a_session_its_own_firm_and_nothing_else() {
    let ground = full().await;
    let other = add_firm(&ground.database, "Another firm").await;
    for options in [
        ground.database.app_options(),
        ground.database.owner_options(),
    ] {
        let mut connection = options.connect().await.unwrap();
        assert_eq!(
            counts(&mut connection, None).await,
            [0; TABLES.len()],
            "never set"
        );
        let own = counts(&mut connection, Some(&ground.firm.to_string())).await;
        assert!(own.iter().all(|count| 0 < *count), "{own:?}");
        // Once set in a transaction, the setting is the empty text in the next, and neither shows a row nor fails.
        assert_eq!(
            counts(&mut connection, None).await,
            [0; TABLES.len()],
            "set before"
        );
        assert_eq!(
            counts(&mut connection, Some("")).await,
            [0; TABLES.len()],
            "set to nothing"
        );
        let theirs = counts(&mut connection, Some(&other.to_string())).await;
        assert_eq!(
            (theirs[0], theirs[1..].iter().sum::<i64>()),
            (1, 0),
            "the other firm has itself and no more"
        );
    }
}

#[tokio::test]
async fn a_row_for_another_firm_is_refused() {
    let ground = full().await;
    let other = add_firm(&ground.database, "Another firm").await;
    let mut app = ground.database.app_options().connect().await.unwrap();
    for (set, of) in [(other, ground.firm), (ground.firm, other)] {
        let mut transaction = app.begin().await.unwrap();
        sqlx::query("select set_config('hod.firm', $1, true)")
            .bind(set.to_string())
            .execute(&mut *transaction)
            .await
            .unwrap();
        let refusal = sqlx::query(
            "insert into crew (firm_id, crew_id, display_name, hours_factor, source) values ($1, 'c', 'c', 1, 'c')",
        )
        .bind(of.uuid())
        .execute(&mut *transaction)
        .await
        .unwrap_err();
        assert_eq!(
            refusal.as_database_error().unwrap().code().unwrap(),
            "42501",
            "{refusal}"
        );
    }
}

#[tokio::test]
async fn two_firms_have_things_of_the_same_names_and_neither_sees_the_others() {
    let ground = full().await;
    let other = add_firm(&ground.database, "Another firm").await;
    let mut session = ground.store.begin(other).await.unwrap();
    let fault = region::get(&mut session, &region_id("coast"))
        .await
        .unwrap_err();
    assert!(matches!(fault, StoreFault::NotFound(_)), "{fault:?}");
    assert_eq!(material::list(&mut session, None, 9).await.unwrap(), []);
    assert_eq!(
        request::find(&mut session, Uuid::nil(), "CreateSite", &[1; 32])
            .await
            .unwrap(),
        None
    );
    let fault = price::insert(
        &mut session,
        &region_id("coast"),
        &new_price("p", "2026-05-01"),
        None,
    )
    .await
    .unwrap_err();
    assert!(matches!(fault, StoreFault::NotFound(_)), "{fault:?}");
    furnish(&mut session).await;
    price::insert(
        &mut session,
        &region_id("coast"),
        &new_price("p", "2026-05-01"),
        None,
    )
    .await
    .unwrap();
    session.commit().await.unwrap();
    let mut session = ground.session().await;
    assert_eq!(
        material::list(&mut session, None, 9).await.unwrap().len(),
        4
    );
}

#[tokio::test]
async fn a_session_that_is_not_committed_leaves_nothing() {
    let ground = Ground::new().await;
    drop(ground.furnished().await);
    ground.furnished().await.rollback().await.unwrap();
    let mut session = ground.session().await;
    assert_eq!(material::list(&mut session, None, 9).await.unwrap(), []);
    assert_eq!(
        (session.firm(), session.firm().uuid()),
        (ground.firm, ground.firm.uuid())
    );
}

#[tokio::test]
async fn the_first_firm_is_made_once_and_its_token_opens_it() {
    let database = TestDatabase::new().await;
    let store = Store::connect(database.app_options(), 2).await.unwrap();
    assert_eq!(store.token_firm(&[7; 32]).await.unwrap(), None);
    let (one, two) = tokio::join!(
        create_first(database.owner_options(), "Barrow Down Walls", &[7; 32]),
        create_first(database.owner_options(), "Barrow Down Walls", &[8; 32]),
    );
    let made: Vec<FirmId> = [one.unwrap(), two.unwrap()].into_iter().flatten().collect();
    assert_eq!(made.len(), 1, "two first starts at once make one firm");
    let opened = [
        store.token_firm(&[7; 32]).await.unwrap(),
        store.token_firm(&[8; 32]).await.unwrap(),
    ];
    let opened: Vec<Access> = opened.into_iter().flatten().collect();
    assert_eq!(
        opened,
        [Access {
            firm: made[0],
            role: Role::Owner
        }]
    );
    assert_eq!(
        create_first(database.owner_options(), "Again", &[9; 32])
            .await
            .unwrap(),
        None
    );

    let mut owner = database.owner_options().connect().await.unwrap();
    sqlx::query("update access_token set revoked_at = now()")
        .execute(&mut owner)
        .await
        .unwrap();
    for token in [[7; 32], [8; 32]] {
        assert_eq!(store.token_firm(&token).await.unwrap(), None, "revoked");
    }
}

#[tokio::test]
async fn a_firm_that_is_not_there_can_keep_nothing() {
    let ground = Ground::new().await;
    let mut session = ground.store.begin(FirmId::new(Uuid::nil())).await.unwrap();
    let fault = region::insert(&mut session, &region("coast"))
        .await
        .unwrap_err();
    assert!(
        matches!(
            fault,
            StoreFault::Refused {
                rule: "region_firm_exists",
                ..
            }
        ),
        "{fault:?}"
    );
}

#[tokio::test]
async fn a_role_that_the_rules_do_not_hold_is_refused() {
    let database = TestDatabase::new().await;
    let fault = Store::connect(database.owner_options(), 1)
        .await
        .unwrap_err();
    assert!(
        matches!(
            fault,
            StoreFault::Refused {
                rule: "application_role_owns_nothing",
                ..
            }
        ),
        "{fault:?}"
    );
    let bare = TestDatabase::unmigrated().await;
    let fault = Store::connect(bare.app_options(), 1).await.unwrap_err();
    assert!(
        matches!(
            fault,
            StoreFault::Refused {
                rule: "database_has_tables",
                ..
            }
        ),
        "{fault:?}"
    );
}

#[tokio::test]
async fn migrating_makes_the_tables_and_migrating_again_changes_nothing() {
    let bare = TestDatabase::unmigrated().await;
    let (one, two) = tokio::join!(
        Store::migrate(bare.owner_options()),
        Store::migrate(bare.owner_options())
    );
    assert!(one.is_ok() && two.is_ok(), "two at once: {one:?} {two:?}");
    Store::migrate(bare.owner_options()).await.unwrap();
    let store = Store::connect(bare.app_options(), 1).await.unwrap();
    store.ping().await.unwrap();
    store.close().await;
    assert!(matches!(
        store.ping().await,
        Err(StoreFault::Unavailable(_))
    ));
}
