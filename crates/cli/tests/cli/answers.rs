//! Takeoffs and estimates as they are printed.

use insta::assert_snapshot;

use crate::program::Program;

pub const STUDIO: &str = include_str!("../../../../shared/demo/jobs/long-acre-studio.toml");

fn program() -> Program {
    let program = Program::new();
    program.file("studio.toml", STUDIO);
    program
}

#[test]
fn a_takeoff_as_a_table() {
    assert_snapshot!(program().run(&["takeoff", "studio.toml"]));
}

#[test]
fn a_takeoff_with_its_lifts_and_basis_as_a_table() {
    assert_snapshot!(program().run(&["takeoff", "studio.toml", "--lifts", "--basis"]));
}

#[test]
fn a_takeoff_as_json_has_the_names_of_the_contract() {
    assert_snapshot!(program().run(&["takeoff", "studio.toml", "--format", "json"]));
}

#[test]
fn a_takeoff_as_csv_has_a_row_to_each_wall_or_lift() {
    let program = program();
    assert_snapshot!(
        "takeoff_csv_walls",
        program.run(&["takeoff", "studio.toml", "--format", "csv"])
    );
    assert_snapshot!(
        "takeoff_csv_lifts",
        program.run(&["takeoff", "studio.toml", "--format", "csv", "--lifts"])
    );
}

#[test]
fn a_takeoff_of_a_job_without_a_mix_has_no_batches() {
    let program = Program::new();
    program.file("studio.toml", &STUDIO.replace("mix = \"house-cob\"", ""));
    assert_snapshot!(
        "takeoff_without_mix_table",
        program.run(&["takeoff", "studio.toml", "--lifts"])
    );
    let json = program.run(&["takeoff", "studio.toml", "--format", "jsonl"]);
    let takeoff: serde_json::Value = serde_json::from_str(&json.answer).unwrap();
    assert_eq!(takeoff["totals"]["batch_count"], serde_json::Value::Null);
    assert_eq!(
        takeoff["walls"][0]["lifts"][0]["batch_count"],
        serde_json::Value::Null
    );
}

/// A job of several systems, as far as the stand-in needs it to know one.
fn house() -> Program {
    let program = Program::new();
    let build = "\n[[build]]\nid = \"upper\"\nsystem = \"adobe\"\n";
    program.file("house.toml", &format!("{STUDIO}{build}"));
    program
}

#[test]
fn a_takeoff_of_several_systems_is_read_part_by_part() {
    assert_snapshot!(house().run(&["takeoff", "house.toml"]));
}

#[test]
fn a_takeoff_of_several_systems_with_its_lifts_and_basis() {
    assert_snapshot!(house().run(&["takeoff", "house.toml", "--lifts", "--basis"]));
}

#[test]
fn a_takeoff_of_several_systems_as_csv_has_the_rows_asked_for() {
    let house = house();
    let csv = |rows: &str| {
        let said = house.run(&["takeoff", "house.toml", "--format", "csv", "--rows", rows]);
        format!("## {rows}\n{said}\n")
    };
    let kinds = [
        "walls", "lifts", "lines", "mixes", "orders", "payment", "cautions",
    ];
    assert_snapshot!(kinds.map(csv).concat());
}

#[test]
fn an_estimate_of_several_systems_says_what_is_in_it_and_what_is_not() {
    let house = house();
    assert_snapshot!(house.run(&["estimate", "house.toml", "--on", "2026-05-01"]));
}

#[test]
fn a_caution_stands_before_every_figure_of_an_estimate_and_beside_its_rows() {
    let program = program();
    let estimate = |more: &[&str]| {
        let words = ["estimate", "studio.toml", "--on", "2026-05-01"];
        program.run(&[&words, more].concat())
    };
    let told = "Caution: house-cob: no trial has justified this mix on this soil";
    let table = estimate(&[]).answer;
    let at = table.find(told).unwrap();
    assert!(at < table.find("8.04").unwrap(), "{table}");
    let csv = estimate(&["--format", "csv"]);
    assert!(csv.talk.starts_with(told), "{csv}");
    assert!(!csv.answer.contains("Caution"), "{csv}");
    let json = estimate(&["--format", "json"]);
    let json: serde_json::Value = serde_json::from_str(&json.answer).unwrap();
    assert_eq!(json["cautions"][0]["reason"], "MIX_NOT_TESTED");
}

#[test]
fn an_estimate_as_a_builder_reads_it() {
    assert_snapshot!(program().run(&["estimate", "studio.toml", "--on", "2026-05-01"]));
}

#[test]
fn an_estimate_with_its_basis() {
    assert_snapshot!(program().run(&["estimate", "studio.toml", "--on", "2026-05-01", "--basis"]));
}

#[test]
fn an_estimate_as_json_has_the_names_of_the_contract() {
    assert_snapshot!(program().run(&[
        "estimate",
        "studio.toml",
        "--on",
        "2026-05-01",
        "--format",
        "json"
    ]));
}

#[test]
fn an_estimate_as_csv_has_a_row_to_each_line() {
    assert_snapshot!(program().run(&[
        "estimate",
        "studio.toml",
        "--on",
        "2026-05-01",
        "--format",
        "csv"
    ]));
}

#[test]
fn a_stored_job_may_be_named_bare_or_in_full_and_standard_input_read() {
    let program = program();
    let bare = program.run(&["estimate", "kept", "--on", "2026-05-01"]);
    let full = program.run(&["estimate", "jobs/kept", "--on", "2026-05-01"]);
    assert_eq!(bare.code, 0);
    assert_eq!(bare.answer, full.answer);
    let piped = program.run_with_input(&["takeoff", "-"], STUDIO);
    assert_eq!(
        piped.answer,
        program.run(&["takeoff", "studio.toml"]).answer
    );
}

#[test]
fn a_kept_estimate_is_made_listed_and_shown() {
    let program = program();
    let kept = program.run(&[
        "estimate",
        "kept",
        "--on",
        "2026-05-01",
        "--keep",
        "--format",
        "json",
    ]);
    let estimate: serde_json::Value = serde_json::from_str(&kept.answer).unwrap();
    assert_eq!(estimate["name"], "jobs/kept/estimates/e1");
    assert_eq!(estimate["job"], "jobs/kept");
    assert_snapshot!("kept_list", program.run(&["estimate", "list", "kept"]));
    let shown = program.run(&["estimate", "show", "kept/e1"]);
    assert!(
        shown.answer.starts_with("Kept studio (kept as kept/e1)\n"),
        "{shown}"
    );
}

#[test]
fn several_jobs_are_answered_in_the_order_asked_and_a_failed_one_keeps_its_place() {
    let program = program();
    program
        .file("high.toml", &STUDIO.replacen("2.40", "99", 1))
        .file("broken.toml", &STUDIO.replace("= 6.20 ", "= 6,20 "));
    let jobs = [
        "studio.toml",
        "broken.toml",
        "high.toml",
        "nowhere",
        "kept",
        "last.toml",
    ];
    let estimate = |format: &str| {
        let mut arguments = vec!["estimate", "--on", "2026-05-01", "--format", format];
        arguments.extend(jobs);
        program.run(&arguments)
    };
    let lines = estimate("jsonl");
    assert_eq!(lines.code, 3, "the code of the first that failed");
    let answers: Vec<serde_json::Value> = lines
        .answer
        .lines()
        .map(|line| serde_json::from_str(line).unwrap())
        .collect();
    assert_eq!(answers.len(), jobs.len());
    assert_eq!(answers[0]["totals"]["total"], "4136.97");
    assert_eq!(answers[1]["input"], "broken.toml");
    assert_eq!(answers[2]["reason"], "JOB_HAS_FAULTS");
    assert_eq!(answers[2]["faults"][0]["line"], 12);
    assert_eq!(answers[3]["reason"], "NOT_FOUND");
    assert_eq!(answers[4]["display_name"], "Kept studio");
    assert_eq!(answers[5]["input"], "last.toml");
    assert_snapshot!("several_talk", lines.talk);

    let array = estimate("json");
    let array: serde_json::Value = serde_json::from_str(&array.answer).unwrap();
    assert_eq!(array, serde_json::Value::Array(answers));

    let csv = estimate("csv");
    assert_eq!(csv.answer.matches("job,kind,item").count(), 1, "{csv}");
    assert_eq!(csv.answer.lines().count(), 1 + 2 * 6);
}

#[test]
fn several_takeoffs_are_answered_in_the_order_asked() {
    let program = program();
    program.file("broken.toml", "name = 3");
    let said = program.run(&[
        "takeoff",
        "broken.toml",
        "studio.toml",
        "kept",
        "--format",
        "jsonl",
    ]);
    let answers: Vec<serde_json::Value> = said
        .answer
        .lines()
        .map(|line| serde_json::from_str(line).unwrap())
        .collect();
    assert_eq!(said.code, 3);
    assert_eq!(answers[0]["input"], "broken.toml");
    assert_eq!(answers[1]["walls"][0]["id"], "south");
    assert_eq!(answers[2]["totals"]["batch_count"], 268);
}

#[test]
fn a_summary_has_a_row_to_each_job() {
    let program = program();
    assert_snapshot!(
        "estimate_summary",
        program.run(&[
            "estimate",
            "studio.toml",
            "kept",
            "--on",
            "2026-05-01",
            "--summary"
        ])
    );
    assert_snapshot!(
        "estimate_summary_csv",
        program.run(&[
            "estimate",
            "studio.toml",
            "kept",
            "--on",
            "2026-05-01",
            "--summary",
            "--format",
            "csv"
        ])
    );
    assert_snapshot!(
        "takeoff_summary",
        program.run(&["takeoff", "studio.toml", "kept", "--summary"])
    );
}

#[test]
fn a_reader_that_goes_away_is_no_fault() {
    let program = program();
    let mut command = program.command(&["takeoff", "studio.toml"]);
    let (reader, writer) = std::io::pipe().unwrap();
    drop(reader);
    let output = command.stdout(writer).output().unwrap();
    assert_eq!(String::from_utf8_lossy(&output.stderr), "");
    assert_eq!(output.status.code(), Some(0));
}
