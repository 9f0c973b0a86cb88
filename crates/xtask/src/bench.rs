//! The benchmarks: figures as ratios in one run, never a timed test.

use crate::shell::{self, Done, cargo};

/// Runs every benchmark.
pub fn run() -> Done {
    shell::run(cargo(&["bench", "--package", "hod-domain", "--benches"]))?;
    shell::run(cargo(&["bench", "--package", "hod-store", "--benches"]))?;
    shell::run(cargo(&["bench", "--package", "hod-service", "--benches"]))
}
