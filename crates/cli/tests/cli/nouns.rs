//! Lists, single things and changes, and what a command sends for them: a row to each command, its words as they are typed.

use insta::assert_snapshot;

use crate::program::{Program, Said};

/// Runs a line as it is typed; a word with blanks in it stands in quotes.
pub fn typed(program: &Program, line: &str) -> Said {
    let mut words = Vec::new();
    for (index, part) in line.split('"').enumerate() {
        if index % 2 == 1 {
            words.push(part);
        } else {
            words.extend(part.split_whitespace());
        }
    }
    program.run(&words)
}

/// What was asked, without the fields that nothing was put in.
pub fn asked(program: &Program) -> String {
    let empty = [
        ": \"\",",
        ": 0,",
        ": None,",
        ": Unspecified,",
        ": [],",
        ": false,",
    ];
    let asked = program.stand_in.asked();
    let lines = asked
        .lines()
        .filter(|line| !empty.iter().any(|nothing| line.ends_with(nothing)));
    lines.collect::<Vec<_>>().join("\n")
}

#[test]
fn what_is_there_is_listed_and_shown() {
    for (name, line) in [
        ("regions_table", "region list"),
        ("regions_csv", "region list --format csv"),
        ("region_table", "region show west"),
        ("region_json", "region show regions/west --format json"),
        ("job_table", "job show kept"),
        ("no_jobs_table", "job list"),
        ("price_table", "price show west/p1"),
    ] {
        assert_snapshot!(name, typed(&Program::new(), line));
    }
}

#[test]
fn what_is_asked_for_is_sent_once_and_told_in_a_line_with_the_next_step() {
    for (name, line) in [
        (
            "region_create",
            "region create west --display-name \"The West\" --currency-code EUR --parent-region land --rounding half-to-even --tax-percent 21 --tax-basis line",
        ),
        (
            "region_update",
            "region update west --profit-percent 12 --parent-region \"\" --etag \"7\"",
        ),
        (
            "site_create",
            "site create mill --display-name \"The mill\" --region west --haul-distance-m 40",
        ),
        ("site_update", "site update sites/mill --haul-distance-m 60"),
        (
            "material_create",
            "material create adobe --display-name Adobe --supply site --purchase-unit each --length-mm 400 --width-mm 300 --height-mm 100 --mass-per-unit-kg 21 --order-step 10 --source trial",
        ),
        (
            "material_update",
            "material update sharp-sand --clay-percent 2 --order-step none --length-mm none",
        ),
        (
            "mix_create",
            "mix create oven-dense --display-name \"Dense oven mix\" --purpose heat-storing --measure wheelbarrow --part subsoil=1 --part sharp-sand=3 --bucket-l 60 --buckets-per-part 1 --density-dry-kg-m3 1850 --density-evidence measured --mixing drum-mixer --trial mill/april-2 --source trial",
        ),
        (
            "mix_update",
            "mix update house-cob --trial \"\" --straw-material barley-straw",
        ),
        (
            "crew_create",
            "crew create pair --display-name \"A pair\" --hours-factor 1 --grade lead=50 --grade practised=50 --source \"our own\"",
        ),
        ("crew_update", "crew update pair --hours-factor 1.1"),
        (
            "constant_create",
            "constant create lay-adobe --display-name \"Lay adobes\" --task lay --driver piece --low-hours 0.05 --likely-hours 0.08 --high-hours 0.12 --source \"our own\"",
        ),
        (
            "constant_update",
            "constant update lay-adobe --likely-hours 0.09 --dry-run",
        ),
        (
            "price_set",
            "price set west sharp-sand --unit-price 38.50 --unit t --start-date 2026-05-01",
        ),
        (
            "prices_list",
            "price list west --material sharp-sand --on 2026-05-01 --list-version 3",
        ),
    ] {
        let program = Program::new();
        let said = typed(&program, line);
        assert_snapshot!(name, format!("{said}\n--- asked\n{}", asked(&program)));
    }
}

#[test]
fn every_kept_noun_is_shown_by_its_id() {
    for (command, name) in [
        ("site", "sites/mill"),
        ("material", "materials/mill"),
        ("mix", "mixes/mill"),
        ("crew", "crews/mill"),
        ("constant", "labourConstants/mill"),
    ] {
        let said = typed(
            &Program::new(),
            &format!("{command} show mill --format json"),
        );
        let shown: serde_json::Value = serde_json::from_str(&said.answer).unwrap();
        assert_eq!(shown["name"], name);
    }
}

#[test]
fn a_list_pages_by_itself() {
    let program = Program::new();
    let json = typed(&program, "region list --format json");
    let regions: serde_json::Value = serde_json::from_str(&json.answer).unwrap();
    assert_eq!(regions.as_array().map(Vec::len), Some(3));
    let lines = typed(&program, "region list --format jsonl").answer;
    assert_eq!(lines.lines().count(), 3);
}

#[test]
fn an_empty_list_has_its_headings_and_no_rows() {
    let program = Program::new();
    assert_eq!(typed(&program, "job list --format json").answer, "[]\n");
    assert_eq!(typed(&program, "job list --format jsonl").answer, "");
    let csv = typed(&program, "job list --format csv").answer;
    assert!(csv.starts_with("name,display_name,site,system"), "{csv}");
    assert_eq!(csv.lines().count(), 1);
}

#[test]
fn a_dry_run_says_that_nothing_was_kept() {
    let set = "price set west sharp-sand --unit-price 38.50 --unit t --start-date 2025-05-01";
    for (line, told) in [
        (
            "region create west --currency-code EUR --dry-run",
            "regions/west would be made; nothing was kept\n",
        ),
        (
            set,
            "regions/west/prices/p9 in force from 2025-05-01 to 2025-12-31\n",
        ),
        (
            &format!("{set} --dry-run"),
            "regions/west/prices/p9 would be in force from 2025-05-01 to 2025-12-31; nothing was kept\n",
        ),
    ] {
        let program = Program::new();
        assert_eq!(typed(&program, line).answer, told);
        let is_dry_run = program.stand_in.asked().contains("validate_only: true");
        assert_eq!(is_dry_run, line.ends_with("--dry-run"), "{line}");
    }
}

#[test]
fn half_a_name_of_a_trial_is_told_with_how_to_write_it() {
    let said = typed(&Program::new(), "mix update house-cob --trial april-2");
    assert_eq!(said.code, 2);
    assert!(said.talk.contains("write SITE/ID"), "{said}");
}

#[test]
fn a_job_is_stored_replaced_and_deleted() {
    let program = Program::new();
    program.file("studio.toml", crate::answers::STUDIO);
    for (name, line) in [
        ("job_stored", "job add studio.toml --id studio"),
        ("job_changed", "job update studio studio.toml"),
        ("job_deleted", "job delete old"),
    ] {
        assert_snapshot!(name, typed(&program, line));
    }
    let json = typed(&program, "job delete old --format json");
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
