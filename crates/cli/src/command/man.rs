//! `hod man`.

use std::path::PathBuf;

use clap::{Args, CommandFactory};

use super::Context;
use crate::Arguments;
use crate::exit;
use crate::fault::Failure;

/// Where the pages go.
#[derive(Debug, Args)]
pub struct ManCommand {
    /// The folder, which is made when it is not there.
    #[arg(value_name = "DIR")]
    folder: PathBuf,
}

impl ManCommand {
    pub(super) fn run(self, mut context: Context<'_>) -> Result<(), Failure> {
        let shown = self.folder.display().to_string();
        std::fs::create_dir_all(&self.folder)
            .and_then(|()| clap_mangen::generate_to(Arguments::command(), &self.folder))
            .map_err(|refusal| {
                Failure::plain(
                    exit::UNEXPECTED,
                    format!("{shown} cannot be written to: {refusal}"),
                )
            })?;
        let printer = context.output.printer();
        printer.answer(&format!("the manual pages are in {shown}\n"))?;
        printer.say(&format!("next: man -l {shown}/hod.1"));
        Ok(())
    }
}
