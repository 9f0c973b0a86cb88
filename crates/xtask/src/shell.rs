//! Running other programs: shown before they run, refused when they fail.

use std::error::Error;
use std::path::{Path, PathBuf};
use std::process::Command;

/// What a chore answers.
pub type Done<T = ()> = Result<T, Box<dyn Error>>;

/// The root of the repository.
pub fn root() -> PathBuf {
    let nested = Path::new(env!("CARGO_MANIFEST_DIR")).join("../..");
    nested.canonicalize().unwrap_or(nested)
}

/// A program to be run at the root of the repository.
pub fn command(program: impl AsRef<std::ffi::OsStr>, arguments: &[&str]) -> Command {
    let mut command = Command::new(program);
    command.args(arguments).current_dir(root());
    command
}

/// Cargo, as it was called.
pub fn cargo(arguments: &[&str]) -> Command {
    command(
        std::env::var_os("CARGO").unwrap_or_else(|| "cargo".into()),
        arguments,
    )
}

/// Runs it to its end, letting it talk; fails when it does.
pub fn run(mut command: Command) -> Done {
    eprintln!("+ {}", words(&command));
    let status = command
        .status()
        .map_err(|fault| format!("{} could not be started: {fault}", words(&command)))?;
    if status.success() {
        Ok(())
    } else {
        Err(format!("{} ended with {status}", words(&command)).into())
    }
}

/// Runs it to its end and gives what it printed on stdout; fails when it does.
pub fn read(mut command: Command) -> Done<String> {
    let output = command
        .output()
        .map_err(|fault| format!("{} could not be started: {fault}", words(&command)))?;
    if !output.status.success() {
        let said = String::from_utf8_lossy(&output.stderr).into_owned();
        return Err(format!("{} ended with {}\n{said}", words(&command), output.status).into());
    }
    Ok(String::from_utf8(output.stdout)?)
}

/// Whether a program is there and answers.
pub fn answers(program: &str, argument: &str) -> bool {
    command(program, &[argument])
        .output()
        .is_ok_and(|output| output.status.success())
}

fn words(command: &Command) -> String {
    let shown = std::iter::once(command.get_program()).chain(command.get_args());
    shown
        .map(|word| word.to_string_lossy().into_owned())
        .collect::<Vec<_>>()
        .join(" ")
}
