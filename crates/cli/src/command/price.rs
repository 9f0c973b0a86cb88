//! `hod price`. A price is never changed: a new one is put in force from a date and closes the old.

use clap::{Args, Subcommand};
use hod_wire::v1::{CreatePriceRequest, GetPriceRequest, ListPricesRequest, Price};

use super::Context;
use super::page::{PAGE_SIZE, all_pages};
use super::write::{Writing, date, done, in_force, number, purchase_units, version};
use crate::exit;
use crate::fault::Failure;
use crate::name::collection::{MATERIALS, PRICES, REGIONS};
use crate::name::{full, full_below, full_if_given};

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
    Set(SetPrice),
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

/// A price to be put in force.
#[derive(Debug, Args)]
pub struct SetPrice {
    /// The region.
    region: String,
    /// The material.
    material: String,
    /// Money per unit before tax, in the region's currency.
    #[arg(long, value_name = "NUMBER", value_parser = number, allow_negative_numbers = true)]
    unit_price: String,
    /// The unit it is for: the one that the material is ordered in.
    #[arg(long, value_name = "WORD", value_parser = purchase_units())]
    unit: i32,
    /// First day in force, as 2026-05-01.
    #[arg(long, value_name = "DATE", value_parser = date)]
    start_date: String,
    /// Who sells at it.
    #[arg(long, value_name = "TEXT")]
    supplier: Option<String>,
    /// Where it was read: an offer, a call, a list.
    #[arg(long, value_name = "TEXT")]
    source: Option<String>,
    /// Its id; made by the server when left out.
    #[arg(long, value_name = "ID")]
    id: Option<String>,
    /// How it is written.
    #[command(flatten)]
    writing: Writing,
}

impl SetPrice {
    fn request(self) -> CreatePriceRequest {
        CreatePriceRequest {
            parent: full(REGIONS, &self.region),
            price_id: self.id.unwrap_or_default(),
            request_id: self.writing.request_id(),
            validate_only: self.writing.dry_run,
            price: Some(Price {
                material: full(MATERIALS, &self.material),
                unit_price: self.unit_price,
                unit: self.unit,
                start_date: self.start_date,
                supplier: self.supplier.unwrap_or_default(),
                source: self.source.unwrap_or_default(),
                ..Price::default()
            }),
        }
    }
}

impl PriceCommand {
    pub(super) async fn run(self, context: Context<'_>) -> Result<(), Failure> {
        match self {
            Self::List(given) => list(given, context).await,
            Self::Show { price } => show(price, context).await,
            Self::Set(given) => set(given, context).await,
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
    let name = full_below(REGIONS, PRICES, &price).ok_or_else(|| {
        Failure::plain(
            exit::USAGE,
            format!("{price} is not a price; write REGION/ID"),
        )
    })?;
    let price = stub.get_price(GetPriceRequest { name }).await?;
    context.output.one(&price.into_inner())
}

async fn set(set: SetPrice, mut context: Context<'_>) -> Result<(), Failure> {
    let mut stub = context.connect().await?.prices();
    let next = format!("hod price list {} --material {}", set.region, set.material);
    let is_dry_run = set.writing.dry_run;
    let price = stub.create_price(set.request()).await?.into_inner();
    let done = done(is_dry_run, &in_force(&price.start_date, &price.end_date));
    context.output.written(&price, &done, &next)
}
