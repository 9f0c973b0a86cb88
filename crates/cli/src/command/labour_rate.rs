//! `hod labour-rate`. A rate is never changed: a new one is put in force from a date and closes the old.

use clap::{Args, Subcommand};
use hod_wire::v1::{
    Burden, CloseLabourRateRequest, CreateLabourRateRequest, GetLabourRateRequest, LabourRate,
    ListLabourRatesRequest,
};

use super::Context;
use super::page::{PAGE_SIZE, all_pages};
use super::write::{Labelled, Writing, date, done, in_force, labelled, number, version};
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
    Set(Box<SetLabourRate>),
    /// End a labour rate on a day, with nothing in its place.
    #[command(before_help = "Example: hod labour-rate close west/lead-1 --end-date 2026-05-31")]
    Close(CloseLabourRate),
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
    /// One thing more that comes on top, as "holiday pay=8.33%" of the wage, or "tools=0.60" an hour; may be given several times.
    #[arg(long = "burden", value_name = "LABEL=VALUE", value_parser = labelled)]
    burdens: Vec<Labelled>,
    /// Hours paid in a year; with --productive-hours.
    #[arg(long, value_name = "NUMBER", value_parser = number, requires = "productive_hours", allow_negative_numbers = true)]
    paid_hours: Option<String>,
    /// Of those, hours productive: without leave, sickness, weather and the yard.
    #[arg(long, value_name = "NUMBER", value_parser = number, requires = "paid_hours", allow_negative_numbers = true)]
    productive_hours: Option<String>,
    /// First day in force, as 2026-05-01.
    #[arg(long, value_name = "DATE", value_parser = date)]
    start_date: String,
    /// Last day in force; open when left out.
    #[arg(long, alias = "end", value_name = "DATE", value_parser = date)]
    end_date: Option<String>,
    /// Where it was read.
    #[arg(long, value_name = "TEXT")]
    source: Option<String>,
    /// What else there is to know.
    #[arg(long, value_name = "TEXT")]
    note: Option<String>,
    /// The version of the list that you read; refused when the grade's rates have changed since.
    #[arg(long, value_name = "NUMBER", value_parser = version, allow_negative_numbers = true)]
    list_version: Option<i64>,
    /// Its id; made by the server when left out.
    #[arg(long, value_name = "ID")]
    id: Option<String>,
    /// How it is written.
    #[command(flatten)]
    writing: Writing,
}

/// A labour rate to be ended.
#[derive(Debug, Args)]
pub struct CloseLabourRate {
    /// The region and the rate, as REGION/ID.
    #[arg(value_name = "REGION/ID")]
    rate: String,
    /// Its last day in force, as 2026-05-31.
    #[arg(long, alias = "end", value_name = "DATE", value_parser = date)]
    end_date: String,
    /// The version of the list that you read; refused when the grade's rates have changed since.
    #[arg(long, value_name = "NUMBER", value_parser = version, allow_negative_numbers = true)]
    list_version: Option<i64>,
    /// How it is written.
    #[command(flatten)]
    writing: Writing,
}

fn burden(given: Labelled) -> Burden {
    Burden {
        label: given.label,
        percent: given.percent,
        amount_per_hour: given.amount,
    }
}

impl SetLabourRate {
    fn request(self) -> CreateLabourRateRequest {
        CreateLabourRateRequest {
            parent: full(REGIONS, &self.region),
            labour_rate_id: self.id.unwrap_or_default(),
            request_id: self.writing.request_id(),
            validate_only: self.writing.dry_run,
            list_version: self.list_version.unwrap_or_default(),
            labour_rate: Some(LabourRate {
                grade: self.grade,
                wage_per_hour: self.wage_per_hour,
                burden_percent: self.burden_percent.unwrap_or_default(),
                burdens: self.burdens.into_iter().map(burden).collect(),
                paid_hours: self.paid_hours.unwrap_or_default(),
                productive_hours: self.productive_hours.unwrap_or_default(),
                start_date: self.start_date,
                end_date: self.end_date.unwrap_or_default(),
                source: self.source.unwrap_or_default(),
                note: self.note.unwrap_or_default(),
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
            Self::Set(given) => set(*given, context).await,
            Self::Close(given) => close(given, context).await,
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
    let name = rate_name(&rate)?;
    let rate = stub.get_labour_rate(GetLabourRateRequest { name }).await?;
    context.output.one(&rate.into_inner())
}

fn rate_name(rate: &str) -> Result<String, Failure> {
    full_below(REGIONS, LABOUR_RATES, rate).ok_or_else(|| {
        Failure::plain(
            exit::USAGE,
            format!("{rate} is not a labour rate; write REGION/ID"),
        )
    })
}

async fn set(set: SetLabourRate, mut context: Context<'_>) -> Result<(), Failure> {
    let mut stub = context.connect().await?.labour_rates();
    let next = format!("hod labour-rate list {} --grade {}", set.region, set.grade);
    let is_dry_run = set.writing.dry_run;
    let rate = stub.create_labour_rate(set.request()).await?.into_inner();
    let done = done(is_dry_run, &in_force(&rate.start_date, &rate.end_date));
    context.output.written(&rate, &done, &next)
}

async fn close(close: CloseLabourRate, mut context: Context<'_>) -> Result<(), Failure> {
    let request = CloseLabourRateRequest {
        name: rate_name(&close.rate)?,
        end_date: close.end_date,
        request_id: close.writing.request_id(),
        validate_only: close.writing.dry_run,
        list_version: close.list_version.unwrap_or_default(),
    };
    let mut stub = context.connect().await?.labour_rates();
    let rate = stub.close_labour_rate(request).await?.into_inner();
    let ended = format!("in force to {} and no longer", rate.end_date);
    let region = rate.name.split('/').nth(1).unwrap_or_default();
    let next = format!("hod labour-rate list {region} --grade {}", rate.grade);
    let done = done(close.writing.dry_run, &ended);
    context.output.written(&rate, &done, &next)
}
