//! The jobs that a takeoff or an estimate is asked for: files and stored jobs, and how far along a row of them is.

use std::path::Path;
use std::time::Duration;

use indicatif::{ProgressBar, ProgressDrawTarget, ProgressStyle};

use super::Context;
use crate::connect::Connection;
use crate::fault::Failure;
use crate::job_file::{self, JobFile, STANDARD_INPUT};
use crate::name::{collection::JOBS, full, short};
use crate::printer::Printer;

/// What the help of both commands says of their arguments.
pub(super) const SEVERAL: &str = "With several jobs the answers come in the order asked: JSON as one array, JSON lines as one to a line. \
A job that failed stands there as {\"input\", \"reason\", \"faults\"}, and its faults are told on standard error.";

/// A job, read or named.
#[derive(Debug)]
pub(super) enum Subject {
    /// From a file.
    File(Box<JobFile>),
    /// Stored: `jobs/ID`.
    Stored(String),
}

impl Subject {
    /// Reads the file, or takes the name of a stored job.
    pub(super) fn read(input: &str) -> Result<Self, Failure> {
        if is_file(input) {
            job_file::read(input).map(|file| Self::File(Box::new(file)))
        } else {
            Ok(Self::Stored(full(JOBS, input)))
        }
    }

    /// What to call it above its table.
    pub(super) fn title(&self) -> String {
        match self {
            Self::File(file) => file.job.display_name.clone(),
            Self::Stored(name) => short(name),
        }
    }

    /// A server's faults brought back to the lines of the file.
    pub(super) fn placed(&self, failure: Failure) -> Failure {
        match self {
            Self::File(file) => failure.placed(&file.places),
            Self::Stored(_) => failure,
        }
    }
}

/// Whether an argument is a file: it is called one, it lies in a folder, or it is there. All else is an id.
pub(super) fn is_file(input: &str) -> bool {
    let is_resource_name = input.starts_with(JOBS) && input.matches('/').count() == 1;
    input == STANDARD_INPUT
        || input.ends_with(".toml")
        || (!is_resource_name && (input.contains('/') || Path::new(input).is_file()))
}

/// Opens the way to the server. When there is none, what is wrong with the files is told all the same: it would be in
/// the way next.
pub(super) async fn connect(
    context: &mut Context<'_>,
    jobs: &[String],
) -> Result<Connection, Failure> {
    let no_server = match context.connect().await {
        Ok(connection) => return Ok(connection),
        Err(failure) => failure,
    };
    for job in jobs.iter().filter(|job| is_file(job)) {
        if let Err(failure) = Subject::read(job) {
            context.output.printer().failure(&failure);
        }
    }
    Err(no_server)
}

/// How far along a row of jobs is: a bar where somebody looks on and there is more than one, else nothing.
pub(super) struct Progress(ProgressBar);

impl Progress {
    pub(super) fn of(count: usize, printer: &Printer) -> Self {
        if count < 2 || !printer.is_watched() {
            return Self(ProgressBar::hidden());
        }
        let bar = ProgressBar::with_draw_target(
            Some(count.try_into().unwrap_or(u64::MAX)),
            ProgressDrawTarget::stderr(),
        );
        if let Ok(style) = ProgressStyle::with_template("{pos} of {len} jobs {wide_bar} {eta}") {
            bar.set_style(style);
        }
        bar.enable_steady_tick(Duration::from_millis(200));
        Self(bar)
    }

    /// One more is done; `print` writes its answer where the bar would be in the way.
    pub(super) fn step<T>(&self, print: impl FnOnce() -> T) -> T {
        let done = self.0.suspend(print);
        self.0.inc(1);
        done
    }

    pub(super) fn finish(self) {
        self.0.finish_and_clear();
    }
}

/// The code of a whole row: nothing more is told, since each failure has been.
pub(super) fn first_failure(codes: &[u8]) -> Result<(), Failure> {
    match codes.first() {
        Some(code) => Err(Failure::new(*code, Vec::new())),
        None => Ok(()),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_is_called_a_file_is_one_and_all_else_is_an_id() {
        for file in [
            "studio.toml",
            "-",
            "./studio",
            "drawings/studio",
            "jobs/studio.toml",
            "../jobs/studio",
        ] {
            assert!(is_file(file), "{file}");
        }
        for id in ["long-acre-studio", "jobs/long-acre-studio", "no-such-file"] {
            assert!(!is_file(id), "{id}");
        }
    }
}
