//! `hod completions`.

use clap::{Args, CommandFactory};
use clap_complete::Shell;

use super::Context;
use crate::Arguments;
use crate::fault::Failure;

/// For which shell.
#[derive(Debug, Args)]
pub struct CompletionsCommand {
    /// The shell.
    shell: Shell,
}

impl CompletionsCommand {
    pub(super) fn run(self, mut context: Context<'_>) -> Result<(), Failure> {
        let mut script = Vec::new();
        clap_complete::generate(self.shell, &mut Arguments::command(), "hod", &mut script);
        context
            .output
            .printer()
            .answer(&String::from_utf8_lossy(&script))
    }
}
