//! `hod price set`: one price with its terms.

use clap::Args;
use hod_wire::v1::{BreakRule, CreatePriceRequest, Delivery, Price, PriceBreak};

use crate::command::Context;
use crate::command::write::{
    Writing, date, done, in_force, number, purchase_units, version, words,
};
use crate::fault::Failure;
use crate::name::collection::{MATERIALS, REGIONS};
use crate::name::full;

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
    /// Last day in force; open when left out.
    #[arg(long, alias = "end", value_name = "DATE", value_parser = date)]
    end_date: Option<String>,
    /// Who sells at it.
    #[arg(long, value_name = "TEXT")]
    supplier: Option<String>,
    /// Where it was read: an offer, a call, a list.
    #[arg(long, value_name = "TEXT")]
    source: Option<String>,
    /// What else there is to know.
    #[arg(long, value_name = "TEXT")]
    note: Option<String>,
    /// Sold only in whole packs of so much, in the unit of the price.
    #[arg(long, value_name = "NUMBER", value_parser = number, allow_negative_numbers = true)]
    pack_size: Option<String>,
    /// The least that is sold, in the unit of the price.
    #[arg(long, value_name = "NUMBER", value_parser = number, allow_negative_numbers = true)]
    minimum_order: Option<String>,
    /// Unit prices that hold from a quantity on, as "10:4.80,20:4.50".
    #[arg(long, value_name = "QUANTITY:PRICE,...", value_parser = breaks, requires = "break_rule", allow_negative_numbers = true)]
    breaks: Option<Breaks>,
    /// What the breaks lower: all of the quantity, or what lies above each.
    #[arg(long, value_name = "WORD", value_parser = words::<BreakRule>())]
    break_rule: Option<i32>,
    /// How it comes to the site.
    #[command(flatten)]
    delivery: DeliveryFlags,
    /// Days from order to delivery.
    #[arg(long, value_name = "DAYS", allow_negative_numbers = true)]
    lead_days: Option<i32>,
    /// The version of the list that you read; refused when the supplier's prices of the material have changed since.
    #[arg(long, value_name = "NUMBER", value_parser = version, allow_negative_numbers = true)]
    list_version: Option<i64>,
    /// Its id; made by the server when left out.
    #[arg(long, value_name = "ID")]
    id: Option<String>,
    /// How it is written.
    #[command(flatten)]
    writing: Writing,
}

/// How what is bought comes to the site.
#[derive(Debug, Args)]
struct DeliveryFlags {
    /// Delivery: most loose volume of a load, m3. Of several limits the one that takes the most loads decides.
    #[arg(long, value_name = "NUMBER", value_parser = number, allow_negative_numbers = true)]
    load_m3: Option<String>,
    /// Delivery: most mass of a load, t.
    #[arg(long, value_name = "NUMBER", value_parser = number, allow_negative_numbers = true)]
    load_t: Option<String>,
    /// Delivery: most of a load in the unit of the price.
    #[arg(long, value_name = "NUMBER", value_parser = number, allow_negative_numbers = true)]
    load_quantity: Option<String>,
    /// Delivery: money for each load.
    #[arg(long, value_name = "NUMBER", value_parser = number, allow_negative_numbers = true)]
    charge_per_load: Option<String>,
    /// Delivery: money for each load and kilometre.
    #[arg(long, value_name = "NUMBER", value_parser = number, allow_negative_numbers = true)]
    charge_per_km: Option<String>,
    /// Delivery: kilometres charged for a load; a job may say its own.
    #[arg(long, value_name = "NUMBER", value_parser = number, allow_negative_numbers = true)]
    distance_km: Option<String>,
}

/// Quantity breaks of one flag.
#[derive(Debug, Clone)]
struct Breaks(Vec<PriceBreak>);

/// Reads `10:4.80,20:4.50`; what is wrong with the numbers the server says.
fn breaks(text: &str) -> Result<Breaks, String> {
    let read = |pair: &str| {
        let (from, unit_price) = pair.split_once(':')?;
        Some(PriceBreak {
            from_quantity: Some(from.trim())
                .filter(|text| !text.is_empty())?
                .to_owned(),
            unit_price: Some(unit_price.trim())
                .filter(|text| !text.is_empty())?
                .to_owned(),
        })
    };
    let breaks: Option<Vec<PriceBreak>> = text.split(',').map(read).collect();
    breaks.map(Breaks).ok_or_else(|| {
        "write QUANTITY:PRICE, with commas between, such as 10:4.80,20:4.50".to_owned()
    })
}

impl DeliveryFlags {
    /// Nothing when none of them is given.
    fn delivery(self) -> Option<Delivery> {
        let delivery = Delivery {
            load_m3: self.load_m3.unwrap_or_default(),
            load_t: self.load_t.unwrap_or_default(),
            load_quantity: self.load_quantity.unwrap_or_default(),
            charge_per_load: self.charge_per_load.unwrap_or_default(),
            charge_per_km: self.charge_per_km.unwrap_or_default(),
            distance_km: self.distance_km.unwrap_or_default(),
        };
        (delivery != Delivery::default()).then_some(delivery)
    }
}

impl SetPrice {
    pub(super) async fn run(self, mut context: Context<'_>) -> Result<(), Failure> {
        let mut stub = context.connect().await?.prices();
        let next = format!(
            "hod price list {} --material {}",
            self.region, self.material
        );
        let is_dry_run = self.writing.dry_run;
        let price = stub.create_price(self.request()).await?.into_inner();
        let done = done(is_dry_run, &in_force(&price.start_date, &price.end_date));
        context.output.written(&price, &done, &next)
    }

    fn request(self) -> CreatePriceRequest {
        CreatePriceRequest {
            parent: full(REGIONS, &self.region),
            price_id: self.id.unwrap_or_default(),
            request_id: self.writing.request_id(),
            validate_only: self.writing.dry_run,
            list_version: self.list_version.unwrap_or_default(),
            price: Some(Price {
                material: full(MATERIALS, &self.material),
                unit_price: self.unit_price,
                unit: self.unit,
                start_date: self.start_date,
                end_date: self.end_date.unwrap_or_default(),
                supplier: self.supplier.unwrap_or_default(),
                source: self.source.unwrap_or_default(),
                note: self.note.unwrap_or_default(),
                pack_size: self.pack_size.unwrap_or_default(),
                minimum_order: self.minimum_order.unwrap_or_default(),
                break_rule: self.break_rule.unwrap_or_default(),
                breaks: self.breaks.map_or_else(Vec::new, |breaks| breaks.0),
                delivery: self.delivery.delivery(),
                lead_days: self.lead_days.unwrap_or_default(),
                ..Price::default()
            }),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn breaks_are_pairs_with_commas_between() {
        let read = breaks("10:4.80, 20:4.50").map(|breaks| breaks.0);
        let pairs: Option<Vec<(String, String)>> = read.ok().map(|breaks| {
            let pairs = breaks.into_iter();
            pairs.map(|it| (it.from_quantity, it.unit_price)).collect()
        });
        let pair = |from: &str, price: &str| (from.to_owned(), price.to_owned());
        assert_eq!(pairs, Some(vec![pair("10", "4.80"), pair("20", "4.50")]));
        for text in ["", "10", "10:", ":4.80", "10:4.80,"] {
            assert!(breaks(text).is_err(), "{text}");
        }
    }
}
