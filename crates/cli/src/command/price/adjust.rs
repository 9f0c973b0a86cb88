//! `hod price adjust`: many prices by one rule.

use clap::{ArgGroup, Args};
use hod_wire::v1::adjust_prices_request::Change;
use hod_wire::v1::{AdjustPricesRequest, IndexChange};

use super::changes::{Asked, tell};
use crate::command::Context;
use crate::command::write::{Writing, date, number, version};
use crate::fault::Failure;
use crate::name::collection::{MATERIALS, REGIONS};
use crate::name::full;
use crate::render::changes::Rows;

/// Which prices, and by how much.
#[derive(Debug, Args)]
#[command(group = ArgGroup::new("change").required(true).args(["percent", "index_series"]))]
pub struct AdjustPrices {
    /// The region; prices of its parents stay as they are.
    region: String,
    /// Percent of each price; below 0 lowers them.
    #[arg(long, value_name = "NUMBER", value_parser = number, allow_negative_numbers = true)]
    percent: Option<String>,
    /// Which index, as it is published; kept as the source of the new prices.
    #[arg(long, value_name = "TEXT", requires_all = ["index_base", "index_current"])]
    index_series: Option<String>,
    /// Its figure when the prices were made.
    #[arg(long, value_name = "NUMBER", value_parser = number, requires = "index_series", allow_negative_numbers = true)]
    index_base: Option<String>,
    /// Its figure now.
    #[arg(long, value_name = "NUMBER", value_parser = number, requires = "index_series", allow_negative_numbers = true)]
    index_current: Option<String>,
    /// Only this group of materials.
    #[arg(long, value_name = "GROUP")]
    group: Option<String>,
    /// Only this material; may be given several times, and together with a group means all of both.
    #[arg(long = "material", value_name = "ID")]
    materials: Vec<String>,
    /// Only this supplier's prices.
    #[arg(long, value_name = "TEXT")]
    supplier: Option<String>,
    /// First day of the new prices; those in force then and later ones change.
    #[arg(long, value_name = "DATE", value_parser = date)]
    from: String,
    /// Places that new unit prices are rounded to, 0 to 6; those of the currency when left out.
    #[arg(long, value_name = "COUNT", allow_negative_numbers = true)]
    places: Option<i32>,
    /// Price the open estimates again on this day, to show what the change does to them.
    #[arg(long, value_name = "DATE", value_parser = date)]
    effect_on: Option<String>,
    /// The version of the list that you read; refused when there is a newer.
    #[arg(long, value_name = "NUMBER", value_parser = version, allow_negative_numbers = true)]
    list_version: Option<i64>,
    /// What CSV has a row to each of: changes (as a rule), faults or movements.
    #[arg(long, value_name = "WORD", hide_possible_values = true)]
    rows: Option<Rows>,
    /// How it is written.
    #[command(flatten)]
    writing: Writing,
}

impl AdjustPrices {
    pub(super) async fn run(self, context: Context<'_>) -> Result<(), Failure> {
        let mut stub = context.connect_for_long_work().await?.prices();
        let asked = Asked {
            what: self.region.clone(),
            rows: self.rows.unwrap_or_default(),
        };
        let events = stub.adjust_prices(self.request()).await?.into_inner();
        tell(events, asked, context).await
    }

    fn request(self) -> AdjustPricesRequest {
        let index = self.index_series.map(|series| {
            Change::Index(IndexChange {
                series,
                base_index: self.index_base.unwrap_or_default(),
                current_index: self.index_current.unwrap_or_default(),
            })
        });
        let materials = self.materials.iter();
        AdjustPricesRequest {
            parent: full(REGIONS, &self.region),
            group: self.group.unwrap_or_default(),
            materials: materials.map(|id| full(MATERIALS, id)).collect(),
            supplier: self.supplier.unwrap_or_default(),
            change: self.percent.map(Change::Percent).or(index),
            start_date: self.from,
            places: self.places,
            effect_date: self.effect_on.unwrap_or_default(),
            request_id: self.writing.request_id(),
            validate_only: self.writing.dry_run,
            list_version: self.list_version.unwrap_or_default(),
        }
    }
}
