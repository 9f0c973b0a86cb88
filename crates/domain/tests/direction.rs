//! Keeps use running one way: units <- domain <- everything else, with the command line on the far side of the wire.
//! The compiler does not mind a clock in the middle or a price in the printer; this does, and says why.

#![allow(clippy::unwrap_used)]

use std::path::{Path, PathBuf};

fn repository() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR"))
        .join("../..")
        .canonicalize()
        .unwrap()
}

fn read(path: &Path) -> String {
    std::fs::read_to_string(path).unwrap_or_else(|fault| panic!("{}: {fault}", path.display()))
}

/// Every file below a folder with one of the endings, leaving out what is built, fetched or hidden.
fn files(below: &Path, endings: &[&str]) -> Vec<PathBuf> {
    let mut found = Vec::new();
    for entry in std::fs::read_dir(below).unwrap() {
        let path = entry.unwrap().path();
        let name = path.file_name().unwrap().to_string_lossy().into_owned();
        if path.is_dir() {
            if !name.starts_with('.')
                && name != "target"
                && name != "node_modules"
                && !path.is_symlink()
            {
                found.extend(files(&path, endings));
            }
        } else if endings.iter().any(|ending| name.ends_with(ending)) {
            found.push(path);
        }
    }
    found.sort();
    found
}

/// The names under `[dependencies]` and its like in a manifest; `[dev-dependencies]` only when asked.
fn dependencies(manifest: &str, with_dev: bool) -> Vec<String> {
    let mut names = Vec::new();
    let mut is_in_table = false;
    for line in manifest.lines().map(str::trim) {
        if let Some(header) = line.strip_prefix('[') {
            let header = header.trim_end_matches(']');
            let of_interest = with_dev || !header.contains("dev-dependencies");
            is_in_table = of_interest && header.ends_with("dependencies");
            if let Some((_, name)) = header.split_once("dependencies.").filter(|_| of_interest) {
                names.push(name.to_owned());
            }
        } else if let Some((name, _)) = line
            .split_once('=')
            .filter(|_| is_in_table && !line.starts_with('#'))
        {
            names.push(name.split('.').next().unwrap_or(name).trim().to_owned());
        }
    }
    names
}

/// Lines of code, not of comment, in which one of the words stands by itself.
fn lines_with<'a>(code: &'a str, words: &[&'a str]) -> Vec<(usize, &'a str)> {
    let is_of_a_name = |c: char| c.is_alphanumeric() || c == '_';
    let stands_in = |line: &str, word: &str| {
        line.match_indices(word).any(|(at, _)| {
            let before = line[..at].chars().next_back();
            let after = line[at + word.len()..].chars().next();
            !before.is_some_and(is_of_a_name) && !after.is_some_and(is_of_a_name)
        })
    };
    let code_lines = code
        .lines()
        .enumerate()
        .filter(|(_, line)| !line.trim_start().starts_with("//"));
    code_lines
        .flat_map(|(at, line)| {
            words
                .iter()
                .filter(move |word| stands_in(line, word))
                .map(move |word| (at + 1, *word))
        })
        .collect()
}

/// Lines with the spelling that is not ours; words that have it by right (a laboratory, to elaborate) are left alone.
fn misspelt(text: &str) -> Vec<usize> {
    let spelling = concat!("lab", "or");
    let is_misspelt = |line: &str| {
        let line = line.to_lowercase();
        let mut places = line
            .match_indices(spelling)
            .map(|(at, _)| &line[at + spelling.len()..]);
        places.any(|after| !after.starts_with("at") && !after.starts_with("io"))
    };
    text.lines()
        .enumerate()
        .filter(|(_, line)| is_misspelt(line))
        .map(|(at, _)| at + 1)
        .collect()
}

#[test]
fn domain_depends_on_numbers_and_nothing_else() {
    const ALLOWED: [&str; 4] = ["hod-units", "libm", "rust_decimal", "thiserror"];
    let manifest = read(&repository().join("crates/domain/Cargo.toml"));
    let found = dependencies(&manifest, false);
    assert!(
        found.contains(&"hod-units".to_owned()),
        "the manifest was not understood: {found:?}"
    );
    let foreign: Vec<_> = found
        .iter()
        .filter(|name| !ALLOWED.contains(&name.as_str()))
        .collect();
    assert!(
        foreign.is_empty(),
        "hod-domain depends on {foreign:?}; the middle is values in, values out, so that an estimate made again in \
         ten years says the same: whatever waits, stores, sends or logs belongs in service, store or wire"
    );
}

#[test]
fn domain_reads_no_clock_setting_file_or_chance_and_does_not_know_how_values_travel() {
    const FORBIDDEN: [&str; 17] = [
        "tokio",
        "sqlx",
        "tonic",
        "prost",
        "serde",
        "std::env",
        "std::time",
        "SystemTime",
        "Instant",
        "tracing",
        "rand",
        "std::fs",
        "std::net",
        "std::process",
        "std::thread",
        "hod_wire",
        "hod_store",
    ];
    let sources = files(&repository().join("crates/domain/src"), &[".rs"]);
    assert!(
        20 < sources.len(),
        "only {} source files were found",
        sources.len()
    );
    for path in sources {
        let code = read(&path);
        let found = lines_with(&code, &FORBIDDEN);
        assert!(
            found.is_empty(),
            "{} uses {found:?}; the same inputs must give the same bytes, so the date, the seed and every value are \
             arguments, and waiting, reading and sending are done outside",
            path.display()
        );
    }
}

#[test]
fn only_geometry_reckons_in_floating_point() {
    for path in files(&repository().join("crates/domain/src"), &[".rs"]) {
        if path.components().any(|part| part.as_os_str() == "geometry") {
            continue;
        }
        let code = read(&path);
        let found = lines_with(&code, &["f64", "f32"]);
        assert!(
            found.is_empty(),
            "{} uses floating point at {found:?}; hours, quantities and money are decimals, or totals stop adding up",
            path.display()
        );
    }
}

#[test]
fn the_command_line_sees_the_wire_and_units_only() {
    let manifest = read(&repository().join("crates/cli/Cargo.toml"));
    let found = dependencies(&manifest, true);
    assert!(
        found.contains(&"hod-wire".to_owned()),
        "the manifest was not understood: {found:?}"
    );
    let foreign: Vec<_> = found
        .iter()
        .filter(|name| ["hod-domain", "hod-store", "hod-service"].contains(&name.as_str()))
        .collect();
    assert!(
        foreign.is_empty(),
        "the command line depends on {foreign:?}; it parses, calls and prints, and whatever it could reckon by itself \
         would one day differ from the service's answer"
    );
}

#[test]
fn units_depend_on_no_other_crate_of_ours() {
    let manifest = read(&repository().join("crates/units/Cargo.toml"));
    let found = dependencies(&manifest, true);
    assert!(
        found.contains(&"rust_decimal".to_owned()),
        "the manifest was not understood: {found:?}"
    );
    let ours: Vec<_> = found
        .iter()
        .filter(|name| name.starts_with("hod-"))
        .collect();
    assert!(
        ours.is_empty(),
        "hod-units depends on {ours:?}; everything stands on units, so they stand on nothing of ours"
    );
}

#[test]
fn labour_is_spelt_so_everywhere() {
    let repository = repository();
    let texts = files(&repository, &[".rs", ".proto", ".sql", ".md", ".toml"]);
    assert!(50 < texts.len(), "only {} files were found", texts.len());
    let misspelt: Vec<String> = texts
        .iter()
        .flat_map(|path| {
            let shown = path.strip_prefix(&repository).unwrap_or(path).display();
            misspelt(&read(path))
                .into_iter()
                .map(move |line| format!("{shown}:{line}"))
                .collect::<Vec<_>>()
        })
        .collect();
    assert!(
        misspelt.is_empty(),
        "spelt without its u in {misspelt:?}; one word has one spelling, or a search for it finds half: write labour"
    );
}

#[test]
fn the_scanners_see_what_they_are_to_refuse() {
    let manifest = "[dependencies]\nserde = \"1\"\nhod-units.workspace = true\n[dependencies.tokio]\nversion = \"1\"\n\
                    [dev-dependencies]\nproptest = \"1\"\n";
    assert_eq!(
        dependencies(manifest, false),
        ["serde", "hod-units", "tokio"]
    );
    assert_eq!(
        dependencies(manifest, true),
        ["serde", "hod-units", "tokio", "proptest"]
    );
    let code =
        "use std::time::Instant;\n// an Instant in a comment\nlet operand = rand::random();\n";
    let found = lines_with(code, &["std::time", "Instant", "rand"]);
    assert_eq!(found, [(1, "std::time"), (1, "Instant"), (3, "rand")]);
    let text = format!(
        "labour\nLab{}\na laboratory\nlab{}ers\nelaborate\n",
        "or", "or"
    );
    assert_eq!(misspelt(&text), [2, 4]);
}
