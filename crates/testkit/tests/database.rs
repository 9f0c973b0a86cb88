//! The kit's own promises: a test's database is migrated, its own, and gone afterwards.
#![allow(clippy::unwrap_used, clippy::expect_used)]

use std::sync::Arc;

use hod_testkit::cluster::TestCluster;
use hod_testkit::database::TestDatabase;
use sqlx::{ConnectOptions, PgPool};

async fn tables(pool: &PgPool) -> i64 {
    sqlx::query_scalar("select count(*) from pg_tables where schemaname = 'public' and tablename <> '_sqlx_migrations'")
        .fetch_one(pool)
        .await
        .unwrap()
}

async fn who(pool: &PgPool) -> String {
    sqlx::query_scalar("select current_user::text")
        .fetch_one(pool)
        .await
        .unwrap()
}

#[tokio::test]
async fn a_tests_database_is_migrated_and_an_unmigrated_one_is_empty() {
    let migrated = TestDatabase::new().await;
    assert!(0 < tables(&migrated.owner_pool().await).await);
    let empty = TestDatabase::unmigrated().await;
    assert_eq!(tables(&empty.owner_pool().await).await, 0);
}

#[tokio::test]
async fn two_databases_do_not_see_each_others_tables() {
    let (one, other) = tokio::join!(TestDatabase::new(), TestDatabase::new());
    let (one, other) = (one.owner_pool().await, other.owner_pool().await);
    let before = tables(&other).await;
    sqlx::query("create table only_here (n int)")
        .execute(&one)
        .await
        .unwrap();
    assert_eq!(tables(&one).await, before + 1);
    assert_eq!(tables(&other).await, before);
}

#[tokio::test]
async fn the_application_role_works_in_the_database_and_owns_nothing() {
    let database = TestDatabase::new().await;
    let app = database.app_pool().await;
    assert_eq!(who(&app).await, "hod_app");
    let refused = sqlx::query("create table mine (n int)")
        .execute(&app)
        .await
        .unwrap_err();
    assert_eq!(
        refused.as_database_error().unwrap().code().unwrap(),
        "42501",
        "{refused}"
    );
    let owned: i64 = sqlx::query_scalar(
        "select count(*) from pg_class where pg_get_userbyid(relowner) = current_user",
    )
    .fetch_one(&app)
    .await
    .unwrap();
    assert_eq!(owned, 0);
}

#[tokio::test]
async fn the_urls_lead_to_the_same_database_as_the_pools() {
    let database = TestDatabase::new().await;
    for (url, role) in [
        (database.app_url(), "hod_app"),
        (database.owner_url(), "hod_owner"),
    ] {
        let pool = PgPool::connect(&url).await.unwrap();
        let name: String = sqlx::query_scalar("select current_database()::text")
            .fetch_one(&pool)
            .await
            .unwrap();
        assert_eq!(Some(name.as_str()), database.owner_options().get_database());
        if std::env::var_os("HOD_TEST_DATABASE_URL").is_none() {
            assert_eq!(who(&pool).await, role);
        }
    }
}

#[tokio::test]
async fn on_a_server_that_stays_a_database_is_dropped_even_with_its_pools_open() {
    let server = TestCluster::start().await;
    let attached = Arc::new(TestCluster::attach(&server.url()));
    let database = TestDatabase::on(Arc::clone(&attached)).await;
    let name = database.owner_options().get_database().unwrap().to_owned();
    let (owner, app) = (database.owner_pool().await, database.app_pool().await);
    drop(database);

    let mut left = sqlx::postgres::PgConnectOptions::connect(&server.url().parse().unwrap())
        .await
        .unwrap();
    let still_there: bool =
        sqlx::query_scalar("select exists (select from pg_database where datname = $1)")
            .bind(&name)
            .fetch_one(&mut left)
            .await
            .unwrap();
    assert!(!still_there);
    assert!(
        sqlx::query("select 1").execute(&app).await.is_err(),
        "its sessions are gone too"
    );
    owner.close().await;
}

#[tokio::test]
async fn a_server_of_our_own_goes_with_its_last_user() {
    let server = TestCluster::start().await;
    let url = server.url();
    PgPool::connect(&url).await.expect("it runs").close().await;
    drop(server);
    PgPool::connect(&url).await.expect_err("it is gone");
}
