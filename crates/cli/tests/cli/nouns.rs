//! Lists, single things and changes, and what a command sends for them.

use insta::assert_snapshot;

use crate::program::Program;

#[test]
fn a_list_pages_by_itself() {
    let program = Program::new();
    assert_snapshot!("regions_table", program.run(&["region", "list"]));
    let json = program.run(&["region", "list", "--format", "json"]);
    let regions: serde_json::Value = serde_json::from_str(&json.answer).unwrap();
    assert_eq!(regions.as_array().map(Vec::len), Some(3));
    assert_eq!(
        program
            .run(&["region", "list", "--format", "jsonl"])
            .answer
            .lines()
            .count(),
        3
    );
}

#[test]
fn a_text_that_a_spreadsheet_would_run_is_defused_in_csv() {
    assert_snapshot!(Program::new().run(&["region", "list", "--format", "csv"]));
}

#[test]
fn an_empty_list_has_its_headings_and_no_rows() {
    let program = Program::new();
    assert_snapshot!("no_jobs_table", program.run(&["job", "list"]));
    assert_eq!(
        program.run(&["job", "list", "--format", "json"]).answer,
        "[]\n"
    );
    assert_eq!(
        program.run(&["job", "list", "--format", "jsonl"]).answer,
        ""
    );
    let csv = program.run(&["job", "list", "--format", "csv"]).answer;
    assert!(csv.starts_with("name,display_name,site,system"), "{csv}");
    assert_eq!(csv.lines().count(), 1);
}

#[test]
fn one_thing_is_shown_in_full() {
    let program = Program::new();
    assert_snapshot!("region_table", program.run(&["region", "show", "west"]));
    assert_snapshot!(
        "region_json",
        program.run(&["region", "show", "regions/west", "--format", "json"])
    );
    assert_snapshot!("job_table", program.run(&["job", "show", "kept"]));
    assert_snapshot!("price_table", program.run(&["price", "show", "west/p1"]));
}

#[test]
fn a_list_of_prices_is_filtered_by_the_server() {
    let program = Program::new();
    let said = program.run(&[
        "price",
        "list",
        "west",
        "--material",
        "sharp-sand",
        "--on",
        "2026-05-01",
        "--list-version",
        "3",
    ]);
    assert_snapshot!("prices_table", said);
    assert_snapshot!("prices_asked", program.stand_in.asked());
}

#[test]
fn a_change_is_told_in_a_line_with_the_next_step() {
    let program = Program::new();
    let created = program.run(&[
        "region",
        "create",
        "west",
        "--display-name",
        "The West",
        "--currency-code",
        "EUR",
        "--parent-region",
        "land",
        "--rounding",
        "half-to-even",
        "--tax-percent",
        "21",
        "--tax-basis",
        "line",
    ]);
    assert_snapshot!("region_created", created);
    assert_snapshot!("region_create_asked", program.stand_in.asked());
}

#[test]
fn a_dry_run_says_that_nothing_was_kept() {
    let program = Program::new();
    let said = program.run(&[
        "region",
        "create",
        "west",
        "--currency-code",
        "EUR",
        "--dry-run",
    ]);
    assert_eq!(
        said.answer,
        "regions/west would be made; nothing was kept\n"
    );
    assert!(program.stand_in.asked().contains("validate_only: true"));
}

#[test]
fn an_update_names_what_it_changes_and_nothing_else() {
    let program = Program::new();
    let said = program.run(&[
        "region",
        "update",
        "west",
        "--profit-percent",
        "12",
        "--parent-region",
        "",
        "--etag",
        "\"7\"",
    ]);
    assert_eq!(said.code, 0);
    assert_snapshot!("region_update_asked", program.stand_in.asked());
}

#[test]
fn a_price_is_set_from_a_date() {
    let program = Program::new();
    let said = program.run(&[
        "price",
        "set",
        "west",
        "sharp-sand",
        "--unit-price",
        "38.50",
        "--unit",
        "t",
        "--start-date",
        "2026-05-01",
    ]);
    assert_snapshot!("price_set", said);
    assert_snapshot!("price_set_asked", program.stand_in.asked());
}

#[test]
fn a_price_before_a_later_one_is_told_with_its_end() {
    let program = Program::new();
    let set = |more: &[&str]| {
        let words = [
            "price",
            "set",
            "west",
            "sharp-sand",
            "--unit-price",
            "38.50",
            "--unit",
            "t",
            "--start-date",
            "2025-05-01",
        ];
        program.run(&[&words, more].concat()).answer
    };
    assert_eq!(
        set(&[]),
        "regions/west/prices/p9 in force from 2025-05-01 to 2025-12-31\n"
    );
    assert_eq!(
        set(&["--dry-run"]),
        "regions/west/prices/p9 would be in force from 2025-05-01 to 2025-12-31; nothing was kept\n"
    );
}

#[test]
fn a_job_is_stored_replaced_and_deleted() {
    let program = Program::new();
    program.file("studio.toml", crate::answers::STUDIO);
    assert_snapshot!(
        "job_stored",
        program.run(&["job", "add", "studio.toml", "--id", "studio"])
    );
    assert_snapshot!(
        "job_changed",
        program.run(&["job", "update", "studio", "studio.toml"])
    );
    assert_snapshot!("job_deleted", program.run(&["job", "delete", "old"]));
    let json = program.run(&["job", "delete", "old", "--format", "json"]);
    assert_eq!(json.answer, "{\n  \"name\": \"jobs/old\"\n}\n");
}

#[test]
fn the_server_says_how_it_is() {
    let program = Program::new();
    assert_snapshot!("server_status", program.run(&["server", "status"]));
    let mut command = program.command(&["server", "status", "--format", "json"]);
    assert_snapshot!(
        "server_status_refused",
        program.said(command.env("HOD_TOKEN", "hod_other"))
    );
}
