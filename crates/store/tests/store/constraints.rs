//! Each constraint of the database and a row that it refuses, by name.
//!
//! A row is a valid one with one value (or the few that belong together) changed, written as SQL, past the store and
//! past the types of the middle: the database is the second lock. That the valid rows are accepted is the first test;
//! that no constraint is left out, the last.

mod broken;
mod valid;

use std::collections::BTreeSet;

use hod_testkit::database::TestDatabase;
use sqlx::{AssertSqlSafe, PgConnection, PgPool};

use broken::BROKEN;
use valid::{AFRESH, FIRM, Row, STANDING};

/// Constraints that the store tells as a name taken or as a thing missing; the others have a sentence.
const TOLD_BY_NAME: [&str; 31] = [
    "crew_key",
    "estimate_key",
    "estimate_region_exists",
    "job_key",
    "job_site_exists",
    "labour_constant_key",
    "material_key",
    "mix_ingredient_material_exists",
    "mix_key",
    "mix_straw_exists",
    "mix_trial_exists",
    "mix_trial_ingredient_material_exists",
    "mix_trial_key",
    "mix_trial_rule_pack_exists",
    "mix_trial_site_exists",
    "mix_trial_soil_test_exists",
    "mix_water_exists",
    "quote_estimate_exists",
    "quote_key",
    "region_key",
    "region_parent_exists",
    "request_key",
    "rule_pack_key",
    "site_key",
    "site_region_exists",
    "soil_test_key",
    "soil_test_site_exists",
    "variation_key",
    "variation_quote_exists",
    // Of a new firm and a new token, whose names are random: only a fault of the program can meet them.
    "access_token_key",
    "firm_key",
];

/// Keys of rows that the store numbers itself, in order or under the lock of what they belong to.
const NUMBERED_BY_THE_STORE: [&str; 15] = [
    "crew_grade_key",
    "labour_constant_grade_key",
    "labour_rate_key",
    "mix_ingredient_key",
    "mix_trial_broken_key",
    "mix_trial_crushed_key",
    "mix_trial_ingredient_key",
    "price_key",
    "quote_counter_key",
    "quote_event_key",
    "region_allowance_key",
    "region_list_key",
    "region_tax_key",
    "rule_pack_rule_key",
    "soil_observation_key",
];

/// Rules that a trigger keeps and that no list of constraints has.
const KEPT_BY_A_TRIGGER: [&str; 10] = [
    "price_no_overlap",
    "quote_event_accepted_in_time",
    "quote_event_follows_another",
    "quote_event_goes_forward",
    "quote_event_not_before_the_last",
    "quote_event_superseded_by_a_quote",
    "quote_number_follows",
    "variation_not_before_acceptance",
    "variation_number_follows",
    "variation_under_an_accepted_quote",
];

/// A firm has one row of it, so that the one that stands is all that is accepted.
const ONE_A_FIRM: &str = "quote_counter";

/// Wider than the key beside them and so refusing nothing: they are what foreign keys over more columns point at.
const WIDER_THAN_THE_KEY: [&str; 3] = [
    "material_with_unit",
    "quote_with_job",
    "region_with_currency",
];

fn insert(row: Row, changes: &[&[(&str, &str)]]) -> String {
    let (table, columns) = row;
    let mut columns = columns.to_vec();
    for (name, value) in changes.iter().flat_map(|change| change.iter()) {
        match columns.iter_mut().find(|(column, _)| column == name) {
            Some(column) => column.1 = value,
            None => columns.push((name, value)),
        }
    }
    let (names, values): (Vec<&str>, Vec<&str>) = columns.into_iter().unzip();
    format!(
        "insert into {table} ({}) values ({})",
        names.join(", "),
        values.join(", ")
    )
}

fn afresh(table: &str) -> &'static [(&'static str, &'static str)] {
    AFRESH.iter().find(|(name, _)| *name == table).unwrap().1
}

fn standing(table: &str) -> Row {
    *STANDING.iter().find(|(name, _)| *name == table).unwrap()
}

/// Puts every valid row in, and a region, a material and two quotes more, in a transaction of the owner's that is never
/// kept. What is looked at when all is kept is so looked at now.
async fn stand(connection: &mut PgConnection) {
    let other_region = insert(standing("region"), &[&[("region_id", "'other'")]]);
    let other_material = insert(standing("material"), &[&[("material_id", "'other'")]]);
    let second = insert(standing("quote"), &[&[("quote_number", "2")]]);
    let third = insert(
        standing("quote"),
        &[&[("quote_number", "3")], valid::REVISION],
    );
    set_firm(connection, FIRM).await;
    run(connection, "set constraints all immediate".to_owned())
        .await
        .unwrap();
    for row in STANDING {
        run(connection, insert(*row, &[])).await.unwrap();
        if row.0 == "material" {
            run(connection, other_region.clone()).await.unwrap();
            run(connection, other_material.clone()).await.unwrap();
        }
        if row.0 == "quote" {
            run(connection, second.clone()).await.unwrap();
            run(connection, third.clone()).await.unwrap();
        }
    }
}

async fn set_firm(connection: &mut PgConnection, firm: &str) {
    run(
        connection,
        format!("select set_config('hod.firm', {firm}, true)"),
    )
    .await
    .unwrap();
}

async fn run(connection: &mut PgConnection, statement: String) -> Result<(), sqlx::Error> {
    sqlx::raw_sql(AssertSqlSafe(statement))
        .execute(connection)
        .await
        .map(|_| ())
}

async fn owner() -> (TestDatabase, PgPool) {
    let database = TestDatabase::new().await;
    let pool = database.owner_pool().await;
    (database, pool)
}

#[tokio::test]
async fn the_rows_that_each_bad_one_differs_from_are_accepted() {
    let (_database, pool) = owner().await;
    let mut transaction = pool.begin().await.unwrap();
    stand(&mut transaction).await;
    for (table, _) in STANDING.iter().filter(|(table, _)| *table != ONE_A_FIRM) {
        let firm = if *table == "firm" {
            "'00000000-0000-4000-8000-000000000002'"
        } else {
            FIRM
        };
        set_firm(&mut transaction, firm).await;
        let change: &[(&str, &str)] = if *table == "firm" {
            &[("firm_id", firm)]
        } else {
            &[]
        };
        let row = insert(standing(table), &[afresh(table), change]);
        run(&mut transaction, row)
            .await
            .unwrap_or_else(|refusal| panic!("{table}: {refusal}"));
    }
}

#[tokio::test]
async fn each_constraint_refuses_a_row() {
    let (_database, pool) = owner().await;
    let mut transaction = pool.begin().await.unwrap();
    stand(&mut transaction).await;
    for (rule, table, change) in BROKEN {
        run(&mut transaction, "savepoint before".to_owned())
            .await
            .unwrap();
        // Row-level security would refuse a row of a firm that the session is not of, so the session is of that firm.
        let firm = change
            .iter()
            .find(|(column, _)| *column == "firm_id")
            .map_or(FIRM, |(_, firm)| firm);
        set_firm(&mut transaction, firm).await;
        let same_firm: &[(&str, &str)] = if *table == "firm" {
            &[("firm_id", FIRM)]
        } else {
            &[]
        };
        let row = insert(standing(table), &[afresh(table), same_firm, change]);
        let refusal = run(&mut transaction, row.clone()).await.expect_err(&row);
        let found = refusal
            .as_database_error()
            .and_then(|fault| fault.constraint().map(str::to_owned));
        assert_eq!(found.as_deref(), Some(*rule), "{row}: {refusal}");
        run(&mut transaction, "rollback to before".to_owned())
            .await
            .unwrap();
    }
}

#[tokio::test]
async fn the_table_above_has_every_constraint_of_the_database_and_no_other() {
    let (_database, pool) = owner().await;
    let mut all: BTreeSet<String> = sqlx::query_scalar(
        "select conname::text from pg_constraint where connamespace = 'public'::regnamespace \
         and contype in ('c', 'p', 'u', 'f', 'x') and conrelid::regclass::text <> '_sqlx_migrations' \
         union select indexrelid::regclass::text from pg_index join pg_class on pg_class.oid = indrelid \
         where indisunique and relnamespace = 'public'::regnamespace and relname <> '_sqlx_migrations'",
    )
    .fetch_all(&pool)
    .await
    .unwrap()
    .into_iter()
    .collect();
    for wider in WIDER_THAN_THE_KEY {
        assert!(all.remove(wider), "{wider}");
    }
    all.extend(KEPT_BY_A_TRIGGER.map(str::to_owned));
    let tried: BTreeSet<String> = BROKEN.iter().map(|(rule, ..)| (*rule).to_owned()).collect();
    assert_eq!(tried, all);
}

#[tokio::test]
async fn every_constraint_is_told_in_a_sentence_or_by_the_name_of_a_thing() {
    for (rule, ..) in BROKEN {
        let by_name = TOLD_BY_NAME.contains(rule);
        let by_store = NUMBERED_BY_THE_STORE.contains(rule);
        let in_words = hod_store::sentence(rule).is_some_and(|sentence| sentence.ends_with('.'));
        assert!(
            u8::from(by_name) + u8::from(by_store) + u8::from(in_words) == 1,
            "{rule}"
        );
    }
}
