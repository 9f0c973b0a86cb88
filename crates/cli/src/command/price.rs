//! `hod price`. A price is never changed: a new one is put in force from a date and closes the old.
//! What changes many at once has a file each below this one.

mod adjust;
mod changes;
mod export;
mod import;
mod set;

use clap::{Args, Subcommand};
use hod_wire::v1::{ClosePriceRequest, GetPriceRequest, ListPricesRequest};

use super::Context;
use super::page::{PAGE_SIZE, all_pages};
use super::write::{Writing, date, done, version};
use crate::exit;
use crate::fault::Failure;
use crate::name::collection::{MATERIALS, PRICES, REGIONS};
use crate::name::{full, full_below, full_if_given, short};

/// What can be done with prices.
#[derive(Debug, Subcommand)]
pub enum PriceCommand {
    /// List the prices of a region.
    #[command(before_help = "Example: hod price list west --material sharp-sand --on 2026-05-01")]
    List(ListPrices),
    /// Show a price in full.
    #[command(before_help = "Example: hod price show west/sharp-sand-1")]
    Show {
        /// The region and the price, as REGION/ID.
        #[arg(value_name = "REGION/ID")]
        price: String,
    },
    /// Put a price in force from a date; the price then in force ends the day before.
    #[command(
        before_help = "Example: hod price set west sharp-sand --unit-price 38.50 --unit t --start-date 2026-05-01 --supplier \"Mill quarry\""
    )]
    Set(Box<set::SetPrice>),
    /// End a price on a day, with nothing in its place.
    #[command(before_help = "Example: hod price close west/sharp-sand-1 --end-date 2026-05-31")]
    Close(ClosePrice),
    /// Put a whole file of prices in force, all of it or nothing.
    #[command(
        before_help = "Example: hod price import spring.csv --dry-run --effect-on 2026-05-01",
        after_help = import::AFTER_HELP
    )]
    Import(import::ImportPrices),
    /// Change the prices of a region, or some of them, by a percentage or by an index, in one act.
    #[command(
        before_help = "Example: hod price adjust west --percent 4.5 --group lime --from 2026-05-01 --dry-run"
    )]
    Adjust(Box<adjust::AdjustPrices>),
    /// Write prices as a file that `hod price import` takes.
    #[command(before_help = "Example: hod price export west --on 2026-05-01 --output west.csv")]
    Export(export::ExportPrices),
}

/// Which prices.
#[derive(Debug, Args)]
pub struct ListPrices {
    /// The region.
    region: String,
    /// Only this material.
    #[arg(long, value_name = "ID")]
    material: Option<String>,
    /// Only what is in force on this day, as 2026-05-01.
    #[arg(long, value_name = "DATE", value_parser = date)]
    on: Option<String>,
    /// The list as it stood at this version of it.
    #[arg(long, value_name = "NUMBER", value_parser = version, allow_negative_numbers = true)]
    list_version: Option<i64>,
}

/// A price to be ended.
#[derive(Debug, Args)]
pub struct ClosePrice {
    /// The region and the price, as REGION/ID.
    #[arg(value_name = "REGION/ID")]
    price: String,
    /// Its last day in force, as 2026-05-31.
    #[arg(long, alias = "end", value_name = "DATE", value_parser = date)]
    end_date: String,
    /// The version of the list that you read; refused when the supplier's prices of the material have changed since.
    #[arg(long, value_name = "NUMBER", value_parser = version, allow_negative_numbers = true)]
    list_version: Option<i64>,
    /// How it is written.
    #[command(flatten)]
    writing: Writing,
}

impl PriceCommand {
    pub(super) async fn run(self, context: Context<'_>) -> Result<(), Failure> {
        match self {
            Self::List(given) => list(given, context).await,
            Self::Show { price } => show(price, context).await,
            Self::Set(given) => given.run(context).await,
            Self::Close(given) => close(given, context).await,
            Self::Import(given) => given.run(context).await,
            Self::Adjust(given) => given.run(context).await,
            Self::Export(given) => given.run(context).await,
        }
    }
}

async fn list(list: ListPrices, mut context: Context<'_>) -> Result<(), Failure> {
    let mut stub = context.connect().await?.prices();
    let request = ListPricesRequest {
        parent: full(REGIONS, &list.region),
        page_size: PAGE_SIZE,
        material: full_if_given(MATERIALS, list.material).unwrap_or_default(),
        on_date: list.on.unwrap_or_default(),
        list_version: list.list_version.unwrap_or_default(),
        ..ListPricesRequest::default()
    };
    let all = all_pages(async |page_token| {
        let request = ListPricesRequest {
            page_token,
            ..request.clone()
        };
        let page = stub.list_prices(request).await?.into_inner();
        Ok((page.prices, page.next_page_token))
    });
    context.output.list(&all.await?)
}

async fn show(price: String, mut context: Context<'_>) -> Result<(), Failure> {
    let mut stub = context.connect().await?.prices();
    let name = price_name(&price)?;
    let price = stub.get_price(GetPriceRequest { name }).await?;
    context.output.one(&price.into_inner())
}

async fn close(close: ClosePrice, mut context: Context<'_>) -> Result<(), Failure> {
    let request = ClosePriceRequest {
        name: price_name(&close.price)?,
        end_date: close.end_date,
        request_id: close.writing.request_id(),
        validate_only: close.writing.dry_run,
        list_version: close.list_version.unwrap_or_default(),
    };
    let mut stub = context.connect().await?.prices();
    let price = stub.close_price(request).await?.into_inner();
    let ended = format!("in force to {} and no longer", price.end_date);
    let region = price.name.split('/').nth(1).unwrap_or_default();
    let next = format!(
        "hod price list {region} --material {}",
        short(&price.material)
    );
    let done = done(close.writing.dry_run, &ended);
    context.output.written(&price, &done, &next)
}

fn price_name(price: &str) -> Result<String, Failure> {
    full_below(REGIONS, PRICES, price).ok_or_else(|| {
        Failure::plain(
            exit::USAGE,
            format!("{price} is not a price; write REGION/ID"),
        )
    })
}
