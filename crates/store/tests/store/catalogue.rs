//! Rules about the tables as a whole, read from the database's own catalogue, so that a new table keeps them too.

use std::collections::BTreeSet;

use hod_testkit::database::TestDatabase;
use sqlx::PgPool;

/// The written list of tables that stand outside a firm: the log of migrations, and the look-up that tells the firm.
const OUTSIDE_A_FIRM: [&str; 2] = ["_sqlx_migrations", "access_token"];

/// Tables of which nothing is ever changed, besides a version taken out of a list.
const APPEND_ONLY: [&str; 16] = [
    "soil_test",
    "soil_observation",
    "rule_pack",
    "rule_pack_rule",
    "mix_trial",
    "mix_trial_ingredient",
    "mix_trial_crushed",
    "mix_trial_broken",
    "estimate",
    "quote",
    "quote_event",
    "variation",
    "past_version",
    "request",
    "price",
    "labour_rate",
];

async fn names(pool: &PgPool, query: &'static str) -> Vec<String> {
    sqlx::query_scalar(query).fetch_all(pool).await.unwrap()
}

async fn inside(pool: &PgPool) -> Vec<String> {
    let tables = names(
        pool,
        "select relname::text from pg_class where relnamespace = 'public'::regnamespace and relkind = 'r' order by 1",
    )
    .await;
    let inside: Vec<String> = tables
        .into_iter()
        .filter(|table| !OUTSIDE_A_FIRM.contains(&table.as_str()))
        .collect();
    assert!(15 < inside.len(), "found only {inside:?}");
    inside
}

#[tokio::test]
async fn every_table_and_every_column_whose_name_says_too_little_is_commented() {
    let database = TestDatabase::new().await;
    let pool = database.owner_pool().await;
    let silent = names(
        &pool,
        "select relname::text from pg_class where relnamespace = 'public'::regnamespace and relkind = 'r' \
         and relname <> '_sqlx_migrations' and obj_description(oid, 'pg_class') is null",
    )
    .await;
    assert_eq!(silent, [""; 0]);
    // A column that may be empty means something by it, and the comment says what.
    let unsaid = names(
        &pool,
        "select relname || '.' || attname from pg_attribute join pg_class on pg_class.oid = attrelid \
         where relnamespace = 'public'::regnamespace and relkind = 'r' and relname <> '_sqlx_migrations' \
         and 0 < attnum and not attisdropped and not attnotnull and col_description(attrelid, attnum) is null",
    )
    .await;
    assert_eq!(unsaid, [""; 0]);
}

#[tokio::test]
async fn no_column_is_a_float_a_serial_or_money() {
    let database = TestDatabase::new().await;
    let wrong = names(
        &database.owner_pool().await,
        "select table_name || '.' || column_name from information_schema.columns \
         where table_schema = 'public' and table_name <> '_sqlx_migrations' \
         and (data_type in ('real', 'double precision', 'money', 'timestamp without time zone', 'character varying') \
              or column_default like 'nextval%' or is_identity = 'YES' \
              or (data_type = 'numeric' and (numeric_precision is null or 28 < numeric_precision)))",
    )
    .await;
    assert_eq!(wrong, [""; 0]);
}

#[tokio::test]
async fn the_firm_leads_every_primary_unique_and_foreign_key() {
    let database = TestDatabase::new().await;
    let pool = database.owner_pool().await;
    let led_by_another = names(
        &pool,
        "select conrelid::regclass || ' ' || conname from pg_constraint \
         join pg_attribute on attrelid = conrelid and attnum = conkey[1] \
         where connamespace = 'public'::regnamespace and contype in ('p', 'u', 'f') and attname <> 'firm_id' \
         and conrelid::regclass::text <> '_sqlx_migrations'",
    )
    .await;
    // The token look-up is the one that stands outside.
    assert_eq!(led_by_another, ["access_token access_token_key"]);
    let foreign_end = names(
        &pool,
        "select conname::text from pg_constraint join pg_attribute on attrelid = confrelid and attnum = confkey[1] \
         where connamespace = 'public'::regnamespace and contype = 'f' and attname <> 'firm_id'",
    )
    .await;
    assert_eq!(foreign_end, [""; 0]);
    let unique_indexes = names(
        &pool,
        "select indexrelid::regclass::text from pg_index join pg_class on pg_class.oid = indrelid \
         join pg_attribute on attrelid = indrelid and attnum = indkey[0] \
         where relnamespace = 'public'::regnamespace and indisunique and attname <> 'firm_id' \
         and relname <> '_sqlx_migrations'",
    )
    .await;
    assert_eq!(unique_indexes, ["access_token_key"]);
}

#[tokio::test]
async fn every_foreign_key_is_indexed() {
    let database = TestDatabase::new().await;
    // By an index that begins with its columns, or a unique one all of whose columns are its own, which leaves one row.
    let bare = names(
        &database.owner_pool().await,
        "select conname::text from pg_constraint as c where contype = 'f' and connamespace = 'public'::regnamespace \
         and not exists (select from pg_index where indrelid = conrelid and indpred is null and ( \
             ((indkey::smallint[])[0:cardinality(conkey) - 1] @> conkey \
                 and cardinality(conkey) <= cardinality(indkey::smallint[])) \
             or (indisunique and indkey::smallint[] <@ conkey)))",
    )
    .await;
    assert_eq!(bare, [""; 0]);
}

#[tokio::test]
async fn row_level_security_is_on_and_forced_and_has_both_sides_on_every_table_of_a_firm() {
    let database = TestDatabase::new().await;
    let pool = database.owner_pool().await;
    let guarded: Vec<String> = names(
        &pool,
        "select relname::text from pg_class join pg_policy on polrelid = pg_class.oid \
         where relrowsecurity and relforcerowsecurity and polcmd = '*' and polpermissive \
         and polroles = '{0}' and pg_get_expr(polqual, polrelid) like '%hod.firm%' \
         and pg_get_expr(polwithcheck, polrelid) = pg_get_expr(polqual, polrelid) order by 1",
    )
    .await;
    assert_eq!(guarded, inside(&pool).await);
}

#[tokio::test]
async fn the_application_role_owns_nothing_and_empties_nothing() {
    let database = TestDatabase::new().await;
    let pool = database.owner_pool().await;
    let owned = names(
        &pool,
        "select relname::text from pg_class where pg_get_userbyid(relowner) = 'hod_app' \
         union all select nspname::text from pg_namespace where pg_get_userbyid(nspowner) = 'hod_app' \
         union all select datname::text from pg_database where pg_get_userbyid(datdba) = 'hod_app'",
    )
    .await;
    assert_eq!(owned, [""; 0]);
    let too_much = names(
        &pool,
        "select relname::text from pg_class where relnamespace = 'public'::regnamespace and relkind = 'r' \
         and (has_table_privilege('hod_app', oid, 'truncate, references, trigger') \
              or has_schema_privilege('hod_app', 'public', 'create'))",
    )
    .await;
    assert_eq!(too_much, [""; 0]);
}

#[tokio::test]
async fn what_is_append_only_can_be_neither_changed_nor_deleted_by_the_application_role() {
    let database = TestDatabase::new().await;
    let pool = database.owner_pool().await;
    for table in APPEND_ONLY {
        let may: (bool, bool) =
            sqlx::query_as("select has_table_privilege('hod_app', $1, 'update'), has_table_privilege('hod_app', $1, 'delete')")
                .bind(table)
                .fetch_one(&pool)
                .await
                .unwrap();
        assert_eq!(may, (false, false), "{table}");
        let columns: Vec<String> = sqlx::query_scalar(
            "select attname::text from pg_attribute where attrelid = $1::regclass and 0 < attnum \
             and has_column_privilege('hod_app', attrelid, attnum, 'update')",
        )
        .bind(table)
        .fetch_all(&pool)
        .await
        .unwrap();
        let allowed: &[&str] = if matches!(table, "price" | "labour_rate") {
            &["version_out"]
        } else {
            &[]
        };
        assert_eq!(columns, allowed, "{table}");
    }
    let outside: Vec<String> = names(
        &pool,
        "select relname::text from pg_class where oid in ('firm'::regclass, 'access_token'::regclass) \
         and has_table_privilege('hod_app', oid, 'insert, update, delete')",
    )
    .await;
    assert_eq!(outside, [""; 0]);
}

#[tokio::test]
async fn every_name_of_a_constraint_begins_with_its_table() {
    let database = TestDatabase::new().await;
    let pool = database.owner_pool().await;
    let misnamed = names(
        &pool,
        "select conname::text from pg_constraint where connamespace = 'public'::regnamespace \
         and contype in ('p', 'u', 'f', 'c', 'x') and conrelid::regclass::text <> '_sqlx_migrations' \
         and not starts_with(conname, conrelid::regclass || '_')",
    )
    .await;
    assert_eq!(misnamed, [""; 0]);
    let all = names(
        &pool,
        "select conname::text from pg_constraint where connamespace = 'public'::regnamespace",
    )
    .await;
    let once: BTreeSet<&String> = all.iter().collect();
    assert_eq!(once.len(), all.len(), "a name stands for one rule");
}
