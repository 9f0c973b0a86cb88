//! What was promised cannot be changed by the application's own role, whatever it sends, and not by anybody whom a grant
//! given by mistake would let.

use hod_testkit::database::TestDatabase;
use sqlx::postgres::PgConnectOptions;
use sqlx::{AssertSqlSafe, ConnectOptions, Connection, PgConnection};

use crate::examples::*;
use hod_store::{estimate, job, past_version};

/// How Postgres names the refusal of what a role may not do.
const NOT_PERMITTED: &str = "42501";
/// How the triggers name theirs.
const NEVER_CHANGES: &str = "23001";

/// Each table of promises, and a change of a row of it that keeps every other rule.
const PROMISES: [(&str, &str); 4] = [
    ("quote", "client = 'somebody else'"),
    ("quote_event", "note = 'never said'"),
    ("variation", "days = 999"),
    ("past_version", "body = 'x'"),
];

/// A firm with a row in every one of them.
async fn promised() -> Ground {
    let ground = Ground::new().await;
    let mut session = ground.furnished().await;
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
    session.commit().await.unwrap();
    ground
}

async fn inside(options: PgConnectOptions, ground: &Ground) -> PgConnection {
    let mut connection = options.connect().await.unwrap();
    sqlx::query("select set_config('hod.firm', $1, false)")
        .bind(ground.firm.to_string())
        .execute(&mut connection)
        .await
        .unwrap();
    connection
}

/// All rows of a table, every byte of them, as text.
async fn rows(connection: &mut PgConnection, table: &str) -> Vec<String> {
    let query = AssertSqlSafe(format!(
        "select row(each.*)::text from {table} as each order by 1"
    ));
    sqlx::query_scalar(query)
        .fetch_all(connection)
        .await
        .unwrap()
}

/// Tries a statement in a transaction that would be kept, and answers the code of its refusal.
async fn refused(connection: &mut PgConnection, statement: &str) -> String {
    let mut transaction = connection.begin().await.unwrap();
    let tried = sqlx::raw_sql(AssertSqlSafe(statement.to_owned()))
        .execute(&mut *transaction)
        .await;
    transaction.commit().await.unwrap();
    match tried {
        Ok(done) => panic!("{statement}: {done:?}"),
        Err(refusal) => {
            let code = refusal.as_database_error().and_then(|fault| fault.code());
            code.map(|code| code.into_owned()).unwrap_or_default()
        }
    }
}

#[tokio::test]
async fn the_application_role_changes_no_promise() {
    let ground = promised().await;
    let mut app = inside(ground.database.app_options(), &ground).await;
    for (table, change) in PROMISES {
        let before = rows(&mut app, table).await;
        assert!(!before.is_empty(), "{table}");
        let update = format!("update {table} set {change}");
        assert_eq!(refused(&mut app, &update).await, NOT_PERMITTED, "{update}");
        assert_eq!(rows(&mut app, table).await, before, "{update}");
        let upsert = format!(
            "insert into {table} select * from {table} on conflict on constraint {table}_key do update set {change}"
        );
        assert_eq!(refused(&mut app, &upsert).await, NOT_PERMITTED, "{upsert}");
        assert_eq!(rows(&mut app, table).await, before, "{upsert}");
    }
}

#[tokio::test]
async fn the_application_role_deletes_no_promise() {
    let ground = promised().await;
    let mut app = inside(ground.database.app_options(), &ground).await;
    for (table, _) in PROMISES {
        let before = rows(&mut app, table).await;
        assert!(!before.is_empty(), "{table}");
        let delete = format!("delete from {table}");
        assert_eq!(refused(&mut app, &delete).await, NOT_PERMITTED, "{delete}");
        assert_eq!(rows(&mut app, table).await, before, "{delete}");
    }
    // Nor the counter, which may only be moved on, and nothing that a promise hangs on.
    for statement in [
        "delete from quote_counter",
        "delete from estimate",
        "update estimate set total = 0",
    ] {
        assert_eq!(
            refused(&mut app, statement).await,
            NOT_PERMITTED,
            "{statement}"
        );
    }
}

#[tokio::test]
async fn the_application_role_empties_no_table_of_promises() {
    let ground = promised().await;
    let mut app = inside(ground.database.app_options(), &ground).await;
    for (table, _) in PROMISES {
        let before = rows(&mut app, table).await;
        assert!(!before.is_empty(), "{table}");
        for truncate in [
            format!("truncate {table}"),
            format!("truncate {table} cascade"),
        ] {
            assert_eq!(
                refused(&mut app, &truncate).await,
                NOT_PERMITTED,
                "{truncate}"
            );
            assert_eq!(rows(&mut app, table).await, before, "{truncate}");
        }
    }
}

#[tokio::test]
async fn the_application_role_puts_no_trigger_and_no_table_out_of_the_way() {
    let ground = promised().await;
    let mut app = inside(ground.database.app_options(), &ground).await;
    for (table, _) in PROMISES {
        for statement in [
            format!("alter table {table} disable trigger all"),
            format!("drop trigger {table}_never_changes on {table}"),
            format!("drop table {table} cascade"),
            "create or replace function refuse_change() returns trigger language plpgsql as 'begin return new; end'"
                .to_owned(),
            "set session_replication_role = 'replica'".to_owned(),
        ] {
            assert_ne!(refused(&mut app, &statement).await, "", "{statement}");
        }
        // This one is answered with a warning, and grants nothing.
        let grant = AssertSqlSafe(format!("grant update on {table} to hod_app"));
        sqlx::raw_sql(grant).execute(&mut app).await.unwrap();
        assert_eq!(
            grants(&ground.database, table).await,
            ["INSERT", "SELECT"],
            "{table}"
        );
        assert!(!rows(&mut app, table).await.is_empty(), "{table}");
    }
}

async fn grants(database: &TestDatabase, table: &str) -> Vec<String> {
    sqlx::query_scalar(
        "select privilege_type::text from information_schema.table_privileges \
         where table_name = $1 and grantee = 'hod_app' order by 1",
    )
    .bind(table)
    .fetch_all(&database.owner_pool().await)
    .await
    .unwrap()
}

#[tokio::test]
async fn a_grant_given_by_mistake_changes_nothing_either() {
    let ground = promised().await;
    let mut owner = inside(ground.database.owner_options(), &ground).await;
    for (table, _) in PROMISES {
        let grant = AssertSqlSafe(format!("grant all on {table} to hod_app"));
        sqlx::raw_sql(grant).execute(&mut owner).await.unwrap();
    }
    let app = inside(ground.database.app_options(), &ground).await;
    for mut connection in [app, owner] {
        for (table, change) in PROMISES {
            let before = rows(&mut connection, table).await;
            assert!(!before.is_empty(), "{table}");
            for statement in [
                format!("update {table} set {change}"),
                format!("delete from {table}"),
                format!("truncate {table} cascade"),
            ] {
                let code = refused(&mut connection, &statement).await;
                // With a table go those that point at it, and the grant is not on the counter.
                let is_held = code == NEVER_CHANGES
                    || (statement == "truncate quote cascade" && code == NOT_PERMITTED);
                assert!(is_held, "{statement}: {code}");
                assert_eq!(rows(&mut connection, table).await, before, "{statement}");
            }
        }
    }
}
