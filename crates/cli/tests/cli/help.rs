//! The whole reference of the command line, so that every change of it shows in review.

use clap::CommandFactory;
use hod_cli::exit;
use insta::assert_snapshot;

use crate::program::bare;

fn help_of(words: &[String], reference: &mut String) {
    let mut arguments = words.to_vec();
    arguments.push("--help".to_owned());
    let output = bare(&arguments, &std::env::temp_dir()).output().unwrap();
    assert_eq!(output.status.code(), Some(0), "{words:?}");
    let heading = ["hod".to_owned()]
        .iter()
        .chain(words)
        .cloned()
        .collect::<Vec<_>>()
        .join(" ");
    reference.push_str(&format!(
        "## {heading}\n\n{}\n",
        String::from_utf8(output.stdout).unwrap()
    ));
}

fn walk(command: &clap::Command, words: &mut Vec<String>, reference: &mut String) {
    help_of(words, reference);
    for below in command.get_subcommands() {
        words.push(below.get_name().to_owned());
        walk(below, words, reference);
        words.pop();
    }
}

#[test]
fn the_whole_reference() {
    let mut reference = String::new();
    walk(
        &hod_cli::Arguments::command(),
        &mut Vec::new(),
        &mut reference,
    );
    assert_snapshot!(reference);
}

/// Every flag that takes a number or a date, with the words of its command.
fn figures(command: &clap::Command, words: &[String], found: &mut Vec<(Vec<String>, String)>) {
    for argument in command.get_arguments() {
        let takes = |name: &str| {
            let names = argument.get_value_names().unwrap_or_default();
            names.iter().any(|value| value.as_str() == name)
        };
        if takes("NUMBER") || takes("DATE") {
            found.push((words.to_vec(), argument.get_long().unwrap().to_owned()));
        }
    }
    for below in command.get_subcommands() {
        let words = [words, &[below.get_name().to_owned()]].concat();
        figures(below, &words, found);
    }
}

#[test]
fn no_flag_of_a_number_or_a_date_takes_an_empty_text() {
    let mut found = Vec::new();
    figures(&hod_cli::Arguments::command(), &[], &mut found);
    assert!(40 < found.len(), "{found:?}");
    for (words, flag) in found {
        let arguments = [words, vec![format!("--{flag}"), String::new()]].concat();
        let output = bare(&arguments, &std::env::temp_dir()).output().unwrap();
        let talk = String::from_utf8(output.stderr).unwrap();
        assert_eq!(output.status.code(), Some(2), "{arguments:?}");
        assert!(
            talk.contains("nothing was given where a"),
            "{arguments:?}: {talk}"
        );
    }
}

#[test]
fn every_command_and_flag_is_explained() {
    fn check(command: &clap::Command, path: &str) {
        let path = format!("{path} {}", command.get_name());
        assert!(command.get_about().is_some(), "{path} has no explanation");
        for argument in command.get_arguments() {
            let is_told = argument.get_help().is_some();
            assert!(is_told, "{path}: {} has no explanation", argument.get_id());
        }
        command
            .get_subcommands()
            .for_each(|below| check(below, &path));
    }
    let mut command = hod_cli::Arguments::command();
    command.build();
    check(&command, "");
}

#[test]
fn every_exit_code_is_in_the_help_and_in_the_manual() {
    let folder = tempfile::tempdir().unwrap();
    let said = bare(&["man", folder.path().to_str().unwrap()], folder.path())
        .output()
        .unwrap();
    assert_eq!(said.status.code(), Some(0));
    let manual = std::fs::read_to_string(folder.path().join("hod.1")).unwrap();
    let help = bare(&["--help"], folder.path()).output().unwrap();
    let help = String::from_utf8(help.stdout).unwrap();
    for (code, meaning) in exit::MEANINGS {
        assert!(
            help.contains(&format!("  {code}  {meaning}")),
            "{code} in {help}"
        );
        assert!(manual.contains(meaning), "{code} in {manual}");
    }
    assert!(folder.path().join("hod-estimate.1").is_file());
    assert!(folder.path().join("hod-labour-rate-set.1").is_file());
}

#[test]
fn every_shell_gets_its_completions() {
    for shell in ["bash", "zsh", "fish", "elvish", "powershell"] {
        let output = bare(&["completions", shell], &std::env::temp_dir())
            .output()
            .unwrap();
        assert_eq!(output.status.code(), Some(0), "{shell}");
        assert!(
            String::from_utf8(output.stdout)
                .unwrap()
                .contains("labour-rate"),
            "{shell}"
        );
    }
}

#[test]
fn the_version_is_that_of_the_program() {
    let output = bare(&["--version"], &std::env::temp_dir())
        .output()
        .unwrap();
    assert_eq!(
        String::from_utf8(output.stdout).unwrap(),
        format!("hod {}\n", env!("CARGO_PKG_VERSION"))
    );
}
