//! `hod job`: job files and stored jobs.

use clap::{Args, Subcommand};
use hod_wire::v1::{
    CreateJobRequest, DeleteJobRequest, GetJobRequest, Job, ListJobsRequest, PlanPurchasesRequest,
    UpdateJobRequest, Wall,
};
use prost_types::FieldMask;

use super::Context;
use super::page::{PAGE_SIZE, all_pages};
use super::subject::first_failure;
use super::write::{Which, Writing, date};
use crate::fault::Failure;
use crate::job_file::{self, JobFile};
use crate::name::{
    collection::{JOBS, SITES},
    full, full_if_given, short,
};
use crate::output::{Answer, Format};
use crate::render::purchase_plan::PurchasePlanAnswer;
use crate::render::record::Record;
use crate::text::counted;

/// A job file, for the help.
pub(super) fn example() -> String {
    let set_in: String = EXAMPLE
        .lines()
        .map(|line| format!("  {line}").trim_end().to_owned() + "\n")
        .collect();
    format!(
        "A job file is TOML. Numbers keep their digits; a length may also be text with its unit, such as \"20'4\\\"\".\n\
         Materials, mixes, crews and sites are named by their ids. Below the first keys sections may stand in any order.\n\n\
         {set_in}"
    )
}

/// It has every section, and can be read as it stands.
const EXAMPLE: &str = include_str!("job_example.toml");

/// What can be done with jobs.
#[derive(Debug, Subcommand)]
pub enum JobCommand {
    /// Check how job files are written; asks no server.
    #[command(before_help = "Example: hod job check studio.toml")]
    Check(CheckJob),
    /// List the stored jobs.
    List {
        /// Only at this site.
        #[arg(long, value_name = "ID")]
        site: Option<String>,
    },
    /// Show a stored job in full.
    #[command(before_help = "Example: hod job show long-acre-studio --format json")]
    Show(Which),
    /// Store the job of a file.
    #[command(before_help = "Example: hod job add studio.toml --id long-acre-studio")]
    Add(AddJob),
    /// Put the job of a file in the place of a stored one.
    #[command(before_help = "Example: hod job update long-acre-studio studio.toml")]
    Update(UpdateJob),
    /// Make one order list of several stored jobs, and tell what is saved by ordering together.
    #[command(before_help = "Example: hod job orders long-acre-studio mill-house --on 2026-05-01")]
    Orders(JobOrders),
    /// Delete a stored job.
    #[command(before_help = "Example: hod job delete long-acre-studio")]
    Delete(DeleteJob),
}

/// Files to be checked.
#[derive(Debug, Args)]
pub struct CheckJob {
    /// Job files, or `-` for standard input.
    #[arg(value_name = "FILE", required = true)]
    files: Vec<String>,
}

/// A job to be stored.
#[derive(Debug, Args)]
pub struct AddJob {
    /// The job file, or `-` for standard input.
    file: String,
    /// The id to store it under: lower-case letters, digits and hyphens, starting with a letter.
    #[arg(long, value_name = "ID")]
    id: String,
    /// How it is written.
    #[command(flatten)]
    writing: Writing,
}

/// A stored job to be replaced.
#[derive(Debug, Args)]
pub struct UpdateJob {
    /// The stored job.
    #[arg(value_name = "ID")]
    id: String,
    /// The job file, or `-` for standard input.
    file: String,
    /// The tag of the version you read; refused when it has changed since.
    #[arg(long, value_name = "TAG")]
    etag: Option<String>,
    /// How it is written.
    #[command(flatten)]
    writing: Writing,
}

/// The jobs to order for.
#[derive(Debug, Args)]
pub struct JobOrders {
    /// The stored jobs.
    #[arg(value_name = "JOB", required = true)]
    jobs: Vec<String>,
    /// The day whose prices hold, as 2026-05-01.
    #[arg(long, value_name = "DATE", value_parser = date)]
    on: String,
    /// How each order came about, under it.
    #[arg(long)]
    basis: bool,
}

/// A stored job to be deleted.
#[derive(Debug, Args)]
pub struct DeleteJob {
    /// The stored job.
    #[arg(value_name = "ID")]
    id: String,
    /// The tag of the version you read; refused when it has changed since.
    #[arg(long, value_name = "TAG")]
    etag: Option<String>,
    /// How it is written.
    #[command(flatten)]
    writing: Writing,
}

impl CheckJob {
    pub(super) fn run(self, context: Context<'_>) -> Result<(), Failure> {
        let mut answers = context.output.answers(1 < self.files.len());
        let mut codes = Vec::new();
        for file in &self.files {
            match job_file::read(file) {
                Ok(read) => answers.answer(&Checked(read))?,
                Err(failure) => {
                    codes.push(failure.code);
                    answers.failed(file, &failure)?;
                }
            }
        }
        answers.close()?;
        first_failure(&codes)
    }
}

impl JobCommand {
    pub(super) async fn run(self, context: Context<'_>) -> Result<(), Failure> {
        match self {
            Self::Check(check) => check.run(context),
            Self::List { site } => list(site, context).await,
            Self::Show(which) => show(which, context).await,
            Self::Add(add) => add.run(context).await,
            Self::Update(update) => update.run(context).await,
            Self::Orders(orders) => orders.run(context).await,
            Self::Delete(delete) => delete.run(context).await,
        }
    }
}

async fn list(site: Option<String>, mut context: Context<'_>) -> Result<(), Failure> {
    let mut stub = context.connect().await?.jobs();
    let site = full_if_given(SITES, site).unwrap_or_default();
    let all = all_pages(async |page_token| {
        let request = ListJobsRequest {
            page_size: PAGE_SIZE,
            page_token,
            site: site.clone(),
        };
        let page = stub.list_jobs(request).await?.into_inner();
        Ok((page.jobs, page.next_page_token))
    });
    context.output.list(&all.await?)
}

async fn show(which: Which, mut context: Context<'_>) -> Result<(), Failure> {
    let name = full(JOBS, &which.id);
    let mut stub = context.connect().await?.jobs();
    let job = stub.get_job(GetJobRequest { name }).await?;
    context.output.one(&job.into_inner())
}

impl AddJob {
    async fn run(self, mut context: Context<'_>) -> Result<(), Failure> {
        let JobFile { job, places, .. } = job_file::read(&self.file)?;
        let mut stub = context.connect().await?.jobs();
        let request = CreateJobRequest {
            job_id: self.id,
            job: Some(job),
            request_id: self.writing.request_id(),
            validate_only: self.writing.dry_run,
        };
        let stored = stub.create_job(request).await;
        let job = stored.map_err(|status| Failure::from(status).placed(&places))?;
        let job = job.into_inner();
        let next = format!("hod estimate {} --on DATE", short(&job.name));
        context
            .output
            .written(&job, &self.writing.done("stored"), &next)
    }
}

impl UpdateJob {
    async fn run(self, mut context: Context<'_>) -> Result<(), Failure> {
        let JobFile { job, places, .. } = job_file::read(&self.file)?;
        let mut stub = context.connect().await?.jobs();
        let job = Job {
            name: full(JOBS, &self.id),
            etag: self.etag.unwrap_or_default(),
            ..job
        };
        let request = UpdateJobRequest {
            job: Some(job),
            // A file is a whole job: a key taken out of it is taken out of what is stored.
            update_mask: Some(FieldMask {
                paths: vec!["*".to_owned()],
            }),
            request_id: self.writing.request_id(),
            validate_only: self.writing.dry_run,
        };
        let stored = stub.update_job(request).await;
        let job = stored.map_err(|status| Failure::from(status).placed(&places))?;
        let job = job.into_inner();
        let next = format!("hod estimate {} --on DATE", short(&job.name));
        context
            .output
            .written(&job, &self.writing.done("changed"), &next)
    }
}

impl JobOrders {
    async fn run(self, context: Context<'_>) -> Result<(), Failure> {
        let request = PlanPurchasesRequest {
            jobs: self.jobs.iter().map(|job| full(JOBS, job)).collect(),
            price_date: self.on,
        };
        let mut stub = context.connect().await?.estimation();
        let plan = stub.plan_purchases(request).await?.into_inner();
        let mut answers = context.output.answers(false);
        answers.answer(&PurchasePlanAnswer {
            plan,
            with_basis: self.basis,
        })?;
        answers.close()
    }
}

impl DeleteJob {
    async fn run(self, mut context: Context<'_>) -> Result<(), Failure> {
        let mut stub = context.connect().await?.jobs();
        let name = full(JOBS, &self.id);
        let request = DeleteJobRequest {
            name: name.clone(),
            etag: self.etag.unwrap_or_default(),
            request_id: self.writing.request_id(),
            validate_only: self.writing.dry_run,
        };
        stub.delete_job(request).await?;
        let deleted = Job {
            name,
            ..Job::default()
        };
        if context.output.format() == Format::Table {
            let done = self.writing.done("deleted");
            return context.output.written(&deleted, &done, "hod job list");
        }
        context
            .output
            .record(&Record::new().text("name", &deleted.name))
    }
}

/// A file with nothing wrong in how it is written.
struct Checked(JobFile);

impl Checked {
    fn counts(&self) -> [(&'static str, usize); 9] {
        let job = &self.0.job;
        let on_walls = |count: fn(&Wall) -> usize| job.walls.iter().map(count).sum();
        [
            ("wall_count", job.walls.len()),
            ("opening_count", on_walls(|wall| wall.openings.len())),
            ("niche_count", on_walls(|wall| wall.niches.len())),
            ("inclusion_count", on_walls(|wall| wall.inclusions.len())),
            ("build_count", job.builds.len()),
            ("floor_count", job.floors.len()),
            ("oven_count", job.ovens.len()),
            ("scope_line_count", job.scope.len()),
            ("cost_count", job.costs.len()),
        ]
    }
}

impl Answer for Checked {
    fn record(&self) -> Record {
        let record = Record::new()
            .text("input", &self.0.file)
            .text("display_name", &self.0.job.display_name);
        self.counts()
            .into_iter()
            .fold(record, |record, (name, count)| {
                record.count(name, i64::try_from(count).unwrap_or(i64::MAX))
            })
    }

    fn header(&self) -> Vec<String> {
        self.record()
            .flat()
            .into_iter()
            .map(|(name, _)| name)
            .collect()
    }

    fn rows(&self) -> Vec<Vec<String>> {
        vec![
            self.record()
                .flat()
                .into_iter()
                .map(|(_, value)| value)
                .collect(),
        ]
    }

    fn table(&self) -> String {
        let counts: Vec<String> = self
            .counts()
            .into_iter()
            .filter(|(name, count)| 0 < *count || *name == "wall_count")
            .map(|(name, count)| {
                let one = name.trim_end_matches("_count").replace('_', " ");
                counted(count, &one, &format!("{one}s"))
            })
            .collect();
        format!("{}: well written, {}\n", self.0.file, counts.join(", "))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_job_file_of_the_help_is_one() {
        let read = job_file::parse("example.toml", EXAMPLE);
        assert!(read.is_ok(), "{:?}", read.err());
        for line in EXAMPLE.lines() {
            assert!(line.len() <= 96, "a terminal would break {line}");
        }
    }
}
