//! `hod labour-rate`. A rate is never changed: a new one is put in force from a date and closes the old.

use clap::{Args, Subcommand};
use hod_wire::v1::{
    CreateLabourRateRequest, GetLabourRateRequest, LabourRate, ListLabourRatesRequest,
};

use super::Context;
use super::page::{PAGE_SIZE, all_pages};
use super::write::{Writing, date, done, in_force, number, version};
use crate::exit;
use crate::fault::Failure;
use crate::name::collection::{LABOUR_RATES, REGIONS};
use crate::name::{full, full_below};

/// What can be done with labour rates.
#[derive(Debug, Subcommand)]
pub enum LabourRateCommand {
    /// List the labour rates of a region.
    #[command(before_help = "Example: hod labour-rate list west --grade lead --on 2026-05-01")]
    List(ListLabourRates),
    /// Show a labour rate in full.
    #[command(before_help = "Example: hod labour-rate show west/lead-1")]
    Show {
        /// The region and the rate, as REGION/ID.
        #[arg(value_name = "REGION/ID")]
        rate: String,
    },
    /// Put a labour rate in force from a date; the rate then in force ends the day before.
    #[command(
        before_help = "Example: hod labour-rate set west lead --wage-per-hour 24.00 --burden-percent 28 --start-date 2026-05-01"
    )]
    Set(SetLabourRate),
}

/// Which labour rates.
#[derive(Debug, Args)]
pub struct ListLabourRates {
    /// The region.
    region: String,
    /// Only this grade.
    #[arg(long, value_name = "GRADE")]
    grade: Option<String>,
    /// Only what is in force on this day, as 2026-05-01.
    #[arg(long, value_name = "DATE", value_parser = date)]
    on: Option<String>,
    /// The list as it stood at this version of it.
    #[arg(long, value_name = "NUMBER", value_parser = version, allow_negative_numbers = true)]
    list_version: Option<i64>,
}

/// A labour rate to be put in force.
#[derive(Debug, Args)]
pub struct SetLabourRate {
    /// The region.
    region: String,
    /// The grade, such as `lead`, `practised`, `helper`.
    grade: String,
    /// What the worker is paid an hour, in the region's currency.
    #[arg(long, value_name = "NUMBER", value_parser = number, allow_negative_numbers = true)]
    wage_per_hour: String,
    /// What comes on top (insurance, leave, contributions), percent of the wage.
    #[arg(long, value_name = "NUMBER", value_parser = number, allow_negative_numbers = true)]
    burden_percent: Option<String>,
    /// First day in force, as 2026-05-01.
    #[arg(long, value_name = "DATE", value_parser = date)]
    start_date: String,
    /// Where it was read.
    #[arg(long, value_name = "TEXT")]
    source: Option<String>,
    /// Its id; made by the server when left out.
    #[arg(long, value_name = "ID")]
    id: Option<String>,
    /// How it is written.
    #[command(flatten)]
    writing: Writing,
}

impl SetLabourRate {
    fn request(self) -> CreateLabourRateRequest {
        CreateLabourRateRequest {
            parent: full(REGIONS, &self.region),
            labour_rate_id: self.id.unwrap_or_default(),
            request_id: self.writing.request_id(),
            validate_only: self.writing.dry_run,
            labour_rate: Some(LabourRate {
                grade: self.grade,
                wage_per_hour: self.wage_per_hour,
                burden_percent: self.burden_percent.unwrap_or_default(),
                start_date: self.start_date,
                source: self.source.unwrap_or_default(),
                ..LabourRate::default()
            }),
        }
    }
}

impl LabourRateCommand {
    pub(super) async fn run(self, context: Context<'_>) -> Result<(), Failure> {
        match self {
            Self::List(given) => list(given, context).await,
            Self::Show { rate } => show(rate, context).await,
            Self::Set(given) => set(given, context).await,
        }
    }
}

async fn list(list: ListLabourRates, mut context: Context<'_>) -> Result<(), Failure> {
    let mut stub = context.connect().await?.labour_rates();
    let request = ListLabourRatesRequest {
        parent: full(REGIONS, &list.region),
        page_size: PAGE_SIZE,
        grade: list.grade.unwrap_or_default(),
        on_date: list.on.unwrap_or_default(),
        list_version: list.list_version.unwrap_or_default(),
        ..ListLabourRatesRequest::default()
    };
    let all = all_pages(async |page_token| {
        let request = ListLabourRatesRequest {
            page_token,
            ..request.clone()
        };
        let page = stub.list_labour_rates(request).await?.into_inner();
        Ok((page.labour_rates, page.next_page_token))
    });
    context.output.list(&all.await?)
}

async fn show(rate: String, mut context: Context<'_>) -> Result<(), Failure> {
    let mut stub = context.connect().await?.labour_rates();
    let name = full_below(REGIONS, LABOUR_RATES, &rate).ok_or_else(|| {
        Failure::plain(
            exit::USAGE,
            format!("{rate} is not a labour rate; write REGION/ID"),
        )
    })?;
    let rate = stub.get_labour_rate(GetLabourRateRequest { name }).await?;
    context.output.one(&rate.into_inner())
}

async fn set(set: SetLabourRate, mut context: Context<'_>) -> Result<(), Failure> {
    let mut stub = context.connect().await?.labour_rates();
    let next = format!("hod labour-rate list {} --grade {}", set.region, set.grade);
    let is_dry_run = set.writing.dry_run;
    let rate = stub.create_labour_rate(set.request()).await?.into_inner();
    let done = done(is_dry_run, &in_force(&rate.start_date, &rate.end_date));
    context.output.written(&rate, &done, &next)
}
