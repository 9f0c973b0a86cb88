//! The project's own chores, run as `cargo xtask CHORE`.
//!
//! Each chore is a file. What a chore prints is for a person at a terminal.
#![allow(clippy::print_stdout, clippy::print_stderr, reason = "a chore talks to a terminal")]

mod generate;

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
    /// Writes the Rust messages and stubs from the protos.
    Gen {
        /// Writes nothing, and fails when what is committed is not what the protos say.
        #[arg(long)]
        check: bool,
    },
}

fn main() -> ExitCode {
    let done = match Chores::parse().chore {
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
