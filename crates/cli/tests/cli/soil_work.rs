//! Soil tests, trials, rule packs and straw-clay at the command line: what is sent for a line as it is typed, and what is shown.

use insta::assert_snapshot;

use crate::nouns::{asked, typed};
use crate::program::Program;

#[test]
fn what_is_there_is_listed_and_shown() {
    for (name, line) in [
        ("soil_list", "soil list mill"),
        ("soil_show", "soil show mill/pit-1"),
        ("soil_json", "soil show mill/pit-1 --format json"),
        ("soil_csv", "soil list mill --format csv"),
        ("trial_list", "trial list mill"),
        ("trial_show", "trial show mill/april-2"),
        ("trial_json", "trial show mill/april-2 --format json"),
        ("rules_list", "rules list"),
        ("rules_show", "rules show valley"),
    ] {
        assert_snapshot!(name, typed(&Program::new(), line));
    }
}

#[test]
fn what_is_recorded_is_sent_as_it_was_typed() {
    for (name, line) in [
        (
            "soil_create_jar",
            "soil create mill --id pit-1 --method jar --sample-date 2026-04-11 --depth-m 0.6 --sand-mm 48 --silt-mm 21 \
             --clay-mm 12 --sand-mark-s 60 --silt-mark-min 120 --clay-mark-h 48 --water-height-mm 100 --water-celsius 15 \
             --ribbon-mm 35 --drop-note flattened --observation swelling-clay",
        ),
        (
            "soil_create_by_hand",
            "soil create mill --id pit-2 --method by-hand --sample-date 2026-04-12 --observation topsoil --dry-run",
        ),
        (
            "trial_create",
            "trial create mill --id april-2 --made-date 2026-04-20 --soil-test pit-1 --part subsoil=2 --part sharp-sand=1 \
             --straw-kg-per-m3 20 --shrinkage-wet-mm 609.6 --shrinkage-dry-mm 590 --crushed 4.1=102x102 --crushed \
             4.4=102x101 --broken 2.4=254x254x102 --density-dry-kg-m3 1650 --rule-pack cob --outcome taken --note \"no cracks\"",
        ),
        (
            "soil_propose",
            "soil propose mill/pit-1 --soil-material subsoil --sand-material sharp-sand --basis",
        ),
        (
            "soil_propose_of_clay",
            "soil propose --clay-percent 24 --soil-material subsoil --sand-material sharp-sand --target-clay-percent 15 \
             --step-percent 1 --step-count 0 --format csv",
        ),
        (
            "soil_propose_json",
            "soil propose mill/pit-1 --soil-material subsoil --sand-material sharp-sand --format json",
        ),
    ] {
        let program = Program::new();
        let said = typed(&program, line);
        assert_snapshot!(name, format!("{said}\n--- asked\n{}", asked(&program)));
    }
}

#[test]
fn light_straw_clay_is_asked_for_by_its_density_in_any_unit() {
    let program = Program::new();
    for (name, density, flags) in [
        ("straw_clay", "240", &[][..]),
        ("straw_clay_basis", "240 kg/m3", &["--basis"]),
        ("straw_clay_json", "25 pcf", &["--format", "json"]),
        ("straw_clay_csv", "25 lb/ft3", &["--format", "csv"]),
        ("straw_clay_heavy", "25 pcf", &[]),
        ("straw_clay_faults", "9 pcf", &[]),
        ("straw_clay_unit", "15 lb", &[]),
    ] {
        let words = ["mix", "straw-clay", "--density-kg-m3", density];
        let said = program.run(&[&words[..], flags].concat());
        assert_snapshot!(name, said);
    }
    let asked = asked(&program);
    let sent = asked.lines().filter(|line| line.contains("density_kg_m3"));
    assert_eq!(
        sent.map(str::trim).collect::<Vec<_>>(),
        [
            "density_kg_m3: \"240\",",
            "density_kg_m3: \"240\",",
            "density_kg_m3: \"400.46\",",
            "density_kg_m3: \"400.46\",",
            "density_kg_m3: \"400.46\",",
            "density_kg_m3: \"144.17\",",
        ]
    );
}

const VALLEY: &str = "\
display_name = \"Valley rules\"
jurisdiction = \"the valley\"

[[rules]]
kind = \"shrinkage-percent-max\"
limit = 4.170
section = \"section 3\"
standing = \"read\"
";

#[test]
fn a_rule_pack_is_made_of_a_file() {
    let program = Program::new();
    program.file("valley.toml", VALLEY);
    let said = typed(&program, "rules create valley --file valley.toml");
    assert_snapshot!(
        "rules_create",
        format!("{said}\n--- asked\n{}", asked(&program))
    );
}

#[test]
fn a_rule_file_with_faults_is_told_line_by_line_and_asks_nothing() {
    let program = Program::new();
    program.file(
        "valley.toml",
        &VALLEY
            .replace("read", "seen")
            .replace("section =", "clause ="),
    );
    assert_snapshot!(
        "rules_file_has_faults",
        typed(&program, "rules create valley --file valley.toml")
    );
    assert_eq!(program.stand_in.asked(), "");
    assert_snapshot!(
        "rules_file_missing",
        typed(&program, "rules create valley --file none.toml")
    );
}

#[test]
fn faults_are_told_by_the_flags_that_give_them() {
    for (name, line) in [
        (
            "soil_faults",
            "soil create mill --method laboratory --sample-date 2026-04-11 --sand-mark-s 0 --silt-mark-min 120 \
             --water-height-mm 100 --observation salts --observation salts",
        ),
        (
            "soil_half_a_protocol",
            "soil create mill --method jar --sample-date 2026-04-11 --sand-mm 48 --silt-mm 21 --clay-mm 12 --silt-mark-min 120",
        ),
        (
            "trial_faults",
            "trial create mill --id T --made-date 2026-04-20 --part subsoil=0 --crushed 4=102x9 --broken much=1x2x3 \
             --outcome turned-down",
        ),
        (
            "propose_faults",
            "soil propose mill/pit-1 --soil-material subsoil --sand-material pit-sand --target-clay-percent 1 --step-count 9",
        ),
    ] {
        assert_snapshot!(name, typed(&Program::new(), line));
    }
    let program = Program::new();
    program.file("twice.toml", VALLEY);
    assert_snapshot!(
        "rules_faults",
        typed(&program, "rules create twice --file twice.toml")
    );
}

#[test]
fn a_proposal_is_of_a_test_or_of_a_clay_and_of_both_materials() {
    for line in [
        "soil propose --soil-material subsoil --sand-material sharp-sand",
        "soil propose mill/pit-1 --clay-percent 20 --soil-material subsoil --sand-material sharp-sand",
        "soil propose mill/pit-1 --soil-material subsoil",
        "soil propose pit-1 --soil-material subsoil --sand-material sharp-sand",
        "trial show april-2",
        "trial create mill --made-date 2026-04-20 --outcome taken --crushed 4.1=102",
    ] {
        let said = typed(&Program::new(), line);
        assert_eq!(said.code, 2, "{line}: {said}");
    }
}
