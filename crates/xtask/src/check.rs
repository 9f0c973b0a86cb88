//! The form of the project: formatting, lints with warnings denied, documentation.

use crate::shell::{self, Done, cargo};

/// Runs all of it.
pub fn run() -> Done {
    shell::run(cargo(&["fmt", "--all", "--check"]))?;
    shell::run(cargo(&[
        "clippy",
        "--workspace",
        "--all-targets",
        "--locked",
        "--",
        "--deny",
        "warnings",
    ]))?;
    let mut documentation = cargo(&["doc", "--workspace", "--no-deps", "--locked"]);
    documentation.env("RUSTDOCFLAGS", "--deny warnings");
    shell::run(documentation)
}
