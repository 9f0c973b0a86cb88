//! `hod estimate`: prices jobs on a date, and reads the estimates that were kept.
//! Several jobs travel in one stream; each answer is printed as it comes, so a long row needs no more room than one.
//! Holding two estimates against each other, and pricing all open jobs again, have a file each below this one.

mod again;
mod compare;

use std::collections::VecDeque;
use std::sync::{Arc, Mutex, PoisonError};

use clap::{Args, Subcommand};
use futures::stream;
use hod_wire::v1::estimate_job_request::Subject as Asked;
use hod_wire::v1::estimate_jobs_response::Result as Answered;
use hod_wire::v1::{
    CreateEstimateRequest, Estimate, EstimateJobRequest, EstimateJobsRequest, EstimateJobsResponse,
    GetEstimateRequest, ListEstimatesRequest,
};
use tonic::Streaming;
use uuid::Uuid;

use super::Context;
use super::page::{PAGE_SIZE, all_pages};
use super::subject::{Progress, SEVERAL, Subject, connect, first_failure, is_file};
use super::takeoff::print_summary;
use super::write::date;
use crate::connect::Connection;
use crate::exit;
use crate::fault::Failure;
use crate::name::collection::{ESTIMATES, JOBS};
use crate::name::{full, full_below};
use crate::output::{Answers, Format};
use crate::render::estimate::{EstimateAnswer, not_in_any_price};
use crate::render::summary::Summary;
use crate::text::counted;

/// What the help says behind the flags.
fn after_help() -> String {
    format!("{}\n\n{SEVERAL}", not_in_any_price())
}

/// Prices jobs, or reads what was kept.
#[derive(Debug, Args)]
#[command(args_conflicts_with_subcommands = true, subcommand_negates_reqs = true, after_help = after_help())]
pub struct EstimateCommand {
    /// What was kept.
    #[command(subcommand)]
    kept: Option<KeptCommand>,
    /// What is asked for.
    #[command(flatten)]
    ask: Ask,
}

/// The estimates that were kept.
#[derive(Debug, Subcommand)]
pub enum KeptCommand {
    /// List the kept estimates of a job, newest first.
    #[command(before_help = "Example: hod estimate list long-acre-studio")]
    List {
        /// The stored job.
        job: String,
    },
    /// Show a kept estimate as it was made.
    #[command(before_help = "Example: hod estimate show long-acre-studio/0192f")]
    Show {
        /// The job and the estimate, as JOB/ID.
        #[arg(value_name = "JOB/ID")]
        estimate: String,
        /// How each line came about, under it.
        #[arg(long)]
        basis: bool,
        /// What is bought, from whom, and what was not taken; CSV has a row to each of it then.
        #[arg(long)]
        purchases: bool,
    },
    /// Hold two kept estimates or quotes against each other, line by line.
    #[command(
        before_help = "Example: hod estimate compare long-acre-studio/0192f q17",
        after_help = compare::AFTER_HELP
    )]
    Compare(compare::CompareEstimates),
    /// Price all open jobs again on a date: those without an accepted quote.
    #[command(before_help = "Example: hod estimate again --on 2026-09-01 --region west --dry-run")]
    Again(again::PriceAgain),
}

/// Which jobs, on which date, and how much of each.
#[derive(Debug, Args)]
pub struct Ask {
    /// Job files, `-` for standard input, or the ids of stored jobs.
    #[arg(value_name = "FILE|JOB", required = true)]
    jobs: Vec<String>,
    /// The day whose prices and labour rates hold, as 2026-05-01.
    #[arg(long, value_name = "DATE", required = true, value_parser = date)]
    on: Option<String>,
    /// Keep each estimate with all it was made from; for stored jobs.
    #[arg(long)]
    keep: bool,
    /// How each line came about, under it.
    #[arg(long)]
    basis: bool,
    /// What is bought, from whom, and what was not taken; CSV has a row to each of it then.
    #[arg(long)]
    purchases: bool,
    /// One row to a job, for tables and CSV.
    #[arg(long)]
    summary: bool,
}

impl EstimateCommand {
    pub(super) async fn run(self, context: Context<'_>) -> Result<(), Failure> {
        match self.kept {
            Some(kept) => kept.run(context).await,
            None => self.ask.run(context).await,
        }
    }
}

impl KeptCommand {
    async fn run(self, context: Context<'_>) -> Result<(), Failure> {
        match self {
            Self::List { job } => list(&job, context).await,
            Self::Show {
                estimate,
                basis,
                purchases,
            } => show(&estimate, basis, purchases, context).await,
            Self::Compare(compare) => compare.run(context).await,
            Self::Again(again) => again.run(context).await,
        }
    }
}

async fn list(job: &str, mut context: Context<'_>) -> Result<(), Failure> {
    let mut stub = context.connect().await?.estimation();
    let parent = full(JOBS, job);
    let all = all_pages(async |page_token| {
        let request = ListEstimatesRequest {
            parent: parent.clone(),
            page_size: PAGE_SIZE,
            page_token,
        };
        let page = stub.list_estimates(request).await?.into_inner();
        Ok((page.estimates, page.next_page_token))
    });
    context.output.list(&all.await?)
}

async fn show(
    estimate: &str,
    with_basis: bool,
    with_purchases: bool,
    context: Context<'_>,
) -> Result<(), Failure> {
    let mut stub = context.connect().await?.estimation();
    let name = estimate_name(estimate)?;
    let estimate = stub.get_estimate(GetEstimateRequest { name }).await?;
    let mut answers = context.output.answers(false);
    answers.answer(&EstimateAnswer {
        estimate: estimate.into_inner(),
        with_basis,
        with_purchases,
    })?;
    answers.close()
}

/// The name of a kept estimate from JOB/ID.
pub(super) fn estimate_name(text: &str) -> Result<String, Failure> {
    full_below(JOBS, ESTIMATES, text).ok_or_else(|| {
        Failure::plain(
            exit::USAGE,
            format!("{text} is not an estimate; write JOB/ID"),
        )
    })
}

impl Ask {
    async fn run(self, mut context: Context<'_>) -> Result<(), Failure> {
        if self.keep {
            self.refuse_to_keep_files()?;
        }
        let connection = connect(&mut context, &self.jobs).await?;
        let progress = Progress::of(self.jobs.len(), context.output.printer());
        let format = context.output.format();
        let mut row = Row {
            answers: context.output.answers(1 < self.jobs.len()),
            summary: (self.summary && matches!(format, Format::Table | Format::Csv))
                .then(Summary::of_estimates),
            with_basis: self.basis,
            with_purchases: self.purchases,
            progress,
            codes: Vec::new(),
        };
        match self.jobs.as_slice() {
            [one] => row.one(one, self.single(&connection, one).await)?,
            _ if self.keep => {
                for job in &self.jobs {
                    row.one(job, self.single(&connection, job).await)?;
                }
            }
            several => self.stream(&connection, several, &mut row).await?,
        }
        row.finish(format)
    }

    /// Only what is stored has a place to keep an estimate in.
    fn refuse_to_keep_files(&self) -> Result<(), Failure> {
        match self.jobs.iter().find(|job| is_file(job)) {
            None => Ok(()),
            Some(file) => Err(Failure::plain(
                exit::USAGE,
                format!("{file} is a file, and only the estimate of a stored job can be kept"),
            )
            .hinting(format!("store it first: hod job add {file} --id ID"))),
        }
    }

    fn price_date(&self) -> String {
        self.on.clone().unwrap_or_default()
    }

    async fn single(&self, connection: &Connection, input: &str) -> Result<Estimate, Failure> {
        if self.keep {
            let request = CreateEstimateRequest {
                parent: full(JOBS, input),
                price_date: self.price_date(),
                request_id: Uuid::new_v4().to_string(),
                validate_only: false,
            };
            return Ok(connection
                .estimation()
                .create_estimate(request)
                .await?
                .into_inner());
        }
        let subject = Subject::read(input)?;
        let request = request(&subject, self.price_date());
        match connection.estimation().estimate_job(request).await {
            Ok(estimate) => Ok(estimate.into_inner()),
            Err(status) => Err(subject.placed(status.into())),
        }
    }

    /// Asks for all in one stream. Files are read as the stream takes them; what was asked waits in a queue for its
    /// answer, and a file that could not be read waits there with its faults.
    async fn stream(
        &self,
        connection: &Connection,
        jobs: &[String],
        row: &mut Row<'_>,
    ) -> Result<(), Failure> {
        let waiting = Waiting::default();
        let questions = questions(jobs.to_vec(), self.price_date(), waiting.clone());
        let mut answers = connection
            .estimation()
            .estimate_jobs(questions)
            .await?
            .into_inner();
        let mut answered = 0;
        for input in jobs {
            let result = match waiting.next_for(&mut answers).await {
                Ok(Some(result)) => result,
                Ok(None) => break,
                Err(failure) => {
                    row.progress.step(|| row.answers.broken(&failure));
                    row.codes.push(failure.code);
                    break;
                }
            };
            answered += 1;
            row.one(input, result)?;
        }
        if answered < jobs.len() {
            let left = jobs.len() - answered;
            row.answers.printer().say(&format!(
                "{} left without an answer",
                counted(left, "job was", "jobs were")
            ));
            row.codes.push(exit::UNEXPECTED);
        }
        Ok(())
    }
}

fn request(subject: &Subject, price_date: String) -> EstimateJobRequest {
    let subject = match subject {
        Subject::File(file) => Asked::Job(file.job.clone()),
        Subject::Stored(name) => Asked::Name(name.clone()),
    };
    EstimateJobRequest {
        subject: Some(subject),
        price_date,
    }
}

/// The questions of a stream, each made when the stream has room for it.
fn questions(
    jobs: Vec<String>,
    price_date: String,
    waiting: Waiting,
) -> impl futures::Stream<Item = EstimateJobsRequest> + Send + 'static {
    stream::iter(jobs.into_iter().filter_map(move |input| {
        let subject = Subject::read(&input);
        let question = subject
            .as_ref()
            .ok()
            .map(|subject| request(subject, price_date.clone()));
        waiting.push(subject);
        question.map(|request| EstimateJobsRequest {
            request: Some(request),
        })
    }))
}

/// What has been asked and not yet answered, in the order asked.
#[derive(Clone, Default)]
struct Waiting(Arc<Mutex<VecDeque<Result<Subject, Failure>>>>);

impl Waiting {
    fn push(&self, subject: Result<Subject, Failure>) {
        let mut queue = self.0.lock().unwrap_or_else(PoisonError::into_inner);
        queue.push_back(subject);
    }

    fn pop(&self) -> Option<Result<Subject, Failure>> {
        let mut queue = self.0.lock().unwrap_or_else(PoisonError::into_inner);
        queue.pop_front()
    }

    fn is_unreadable_next(&self) -> bool {
        let queue = self.0.lock().unwrap_or_else(PoisonError::into_inner);
        matches!(queue.front(), Some(Err(_)))
    }

    /// The answer to the next of the row; nothing when the stream ended before it.
    async fn next_for(
        &self,
        answers: &mut Streaming<EstimateJobsResponse>,
    ) -> Result<Option<Result<Estimate, Failure>>, Failure> {
        if self.is_unreadable_next() {
            return Ok(self.pop().map(|subject| subject.and_then(never_answered)));
        }
        let answer = answers.message().await?;
        // The end of a stream may come after files at the end of the row that could not be read.
        let subject = match self.pop() {
            Some(Ok(subject)) => subject,
            Some(Err(failure)) => return Ok(Some(Err(failure))),
            None => return Ok(None),
        };
        Ok(answer.map(|answer| result(&subject, answer)))
    }
}

fn never_answered(_: Subject) -> Result<Estimate, Failure> {
    Err(Failure::plain(
        exit::UNEXPECTED,
        "the job was not asked for",
    ))
}

fn result(subject: &Subject, answer: EstimateJobsResponse) -> Result<Estimate, Failure> {
    match answer.result {
        Some(Answered::Estimate(estimate)) => Ok(estimate),
        Some(Answered::Faults(faults)) => Err(subject.placed(Failure::answered(faults))),
        None => Err(Failure::plain(
            exit::UNEXPECTED,
            "the server's answer is empty",
        )),
    }
}

/// A row of estimates on its way out.
struct Row<'a> {
    answers: Answers<'a>,
    summary: Option<Summary>,
    with_basis: bool,
    with_purchases: bool,
    progress: Progress,
    /// The codes of those that failed.
    codes: Vec<u8>,
}

impl Row<'_> {
    fn one(&mut self, input: &str, result: Result<Estimate, Failure>) -> Result<(), Failure> {
        match (result, &mut self.summary) {
            (Ok(estimate), Some(summary)) => {
                self.progress.step(|| summary.estimate(&estimate));
                Ok(())
            }
            (Ok(estimate), None) => {
                let answer = EstimateAnswer {
                    estimate,
                    with_basis: self.with_basis,
                    with_purchases: self.with_purchases,
                };
                self.progress.step(|| self.answers.answer(&answer))
            }
            (Err(failure), _) => {
                self.codes.push(failure.code);
                self.progress.step(|| self.answers.failed(input, &failure))
            }
        }
    }

    fn finish(mut self, format: Format) -> Result<(), Failure> {
        self.progress.finish();
        if let Some(summary) = &self.summary {
            print_summary(&mut self.answers, summary, format)?;
        }
        self.answers.close()?;
        first_failure(&self.codes)
    }
}
