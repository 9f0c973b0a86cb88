//! `hod takeoff`: measures jobs.

use clap::Args;
use futures::{StreamExt, stream};
use hod_wire::v1::measure_job_request::Subject as Asked;
use hod_wire::v1::{MeasureJobRequest, Takeoff};

use super::Context;
use super::subject::{Progress, SEVERAL, Subject, connect, first_failure};
use crate::connect::Connection;
use crate::fault::Failure;
use crate::output::{Answers, Format};
use crate::render::summary::Summary;
use crate::render::takeoff::{Rows, TakeoffAnswer};

/// How many takeoffs are asked for before the first of them is back.
const ASKED_AT_ONCE: usize = 8;

/// Which jobs, and how much of each.
#[derive(Debug, Args)]
#[command(after_help = SEVERAL)]
pub struct TakeoffCommand {
    /// Job files, `-` for standard input, or the ids of stored jobs.
    #[arg(value_name = "FILE|JOB", required = true)]
    jobs: Vec<String>,
    /// The lifts of each wall too; CSV has a row to each lift then.
    #[arg(long)]
    lifts: bool,
    /// What CSV has a row to each of: walls (as a rule), lifts, lines, mixes, orders, payment or cautions.
    #[arg(long, value_name = "WORD", hide_possible_values = true)]
    rows: Option<Rows>,
    /// How each figure came about, under it.
    #[arg(long)]
    basis: bool,
    /// One row to a job, for tables and CSV.
    #[arg(long)]
    summary: bool,
}

impl TakeoffCommand {
    pub(super) async fn run(self, mut context: Context<'_>) -> Result<(), Failure> {
        let connection = connect(&mut context, &self.jobs).await?;
        let progress = Progress::of(self.jobs.len(), context.output.printer());
        let is_summary =
            self.summary && matches!(context.output.format(), Format::Table | Format::Csv);
        let format = context.output.format();
        let mut answers = context.output.answers(1 < self.jobs.len());
        let mut summary = Summary::of_takeoffs();
        let mut codes = Vec::new();

        let asked = self.jobs.iter().map(|input| measure(&connection, input));
        let mut measured = stream::iter(asked).buffered(ASKED_AT_ONCE);
        for input in &self.jobs {
            let Some(result) = measured.next().await else {
                break;
            };
            match result {
                Ok((title, takeoff)) if is_summary => {
                    progress.step(|| summary.takeoff(&title, &takeoff));
                }
                Ok((title, takeoff)) => {
                    let answer = self.answer(title, takeoff);
                    progress.step(|| answers.answer(&answer))?;
                }
                Err(failure) => {
                    codes.push(failure.code);
                    progress.step(|| answers.failed(input, &failure))?;
                }
            }
        }
        progress.finish();
        if is_summary {
            print_summary(&mut answers, &summary, format)?;
        }
        answers.close()?;
        first_failure(&codes)
    }

    fn answer(&self, title: String, takeoff: Takeoff) -> TakeoffAnswer {
        TakeoffAnswer {
            title,
            takeoff,
            with_lifts: self.lifts,
            with_basis: self.basis,
            rows: self
                .rows
                .unwrap_or(if self.lifts { Rows::Lifts } else { Rows::Walls }),
        }
    }
}

/// The rows of a summary, in the format asked for.
pub(super) fn print_summary(
    answers: &mut Answers<'_>,
    summary: &Summary,
    format: Format,
) -> Result<(), Failure> {
    let text = match format {
        Format::Csv => summary.csv(),
        Format::Table | Format::Json | Format::Jsonl => summary.table(),
    };
    answers.printer().answer(&text)
}

async fn measure(connection: &Connection, input: &str) -> Result<(String, Takeoff), Failure> {
    let subject = Subject::read(input)?;
    let asked = match &subject {
        Subject::File(file) => Asked::Job(file.job.clone()),
        Subject::Stored(name) => Asked::Name(name.clone()),
    };
    let request = MeasureJobRequest {
        subject: Some(asked),
    };
    match connection.estimation().measure_job(request).await {
        Ok(takeoff) => Ok((subject.title(), takeoff.into_inner())),
        Err(status) => Err(subject.placed(status.into())),
    }
}
