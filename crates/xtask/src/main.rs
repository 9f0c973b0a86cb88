//! The project's own chores, run as `cargo xtask CHORE`.
//!
//! Each chore is a file. What a chore prints is for a person at a terminal.
#![allow(
    clippy::print_stdout,
    clippy::print_stderr,
    reason = "a chore talks to a terminal"
)]

mod bench;
mod check;
mod demo;
mod generate;
mod prepare;
mod shell;
mod test;

use std::process::ExitCode;

use clap::{Parser, Subcommand};

/// The project's own chores.
#[derive(Parser)]
#[command(name = "cargo xtask")]
struct Chores {
    #[command(subcommand)]
    chore: Chore,
}

#[derive(Subcommand)]
enum Chore {
    /// Loads an invented firm into a server of its own, estimates its jobs, prints the answers and stops.
    Demo,
    /// Installs what the tests need and runs every test.
    Test,
    /// Checks the form: formatting, lints with warnings denied, documentation.
    Check,
    /// Runs the benchmarks and prints their ratios.
    Bench,
    /// Writes the Rust messages and stubs from the protos.
    Gen {
        /// Writes nothing, and fails when what is committed is not what the protos say.
        #[arg(long)]
        check: bool,
    },
}

fn main() -> ExitCode {
    let done = match Chores::parse().chore {
        Chore::Demo => demo::run(),
        Chore::Test => test::run(),
        Chore::Check => check::run(),
        Chore::Bench => bench::run(),
        Chore::Gen { check } => generate::run(check),
    };
    match done {
        Ok(()) => ExitCode::SUCCESS,
        Err(fault) => {
            eprintln!("error: {fault}");
            ExitCode::FAILURE
        }
    }
}
