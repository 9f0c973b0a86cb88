//! Prices and labour rates: what a region asks for a material or an hour over a range of dates, what must hold across
//! their fields, what an hour costs the firm, and how prices change by rule. What an order comes to is for `buying`.

use hod_units::{DateRange, Decimal, Hours, Mass, Share, Volume};

use crate::id::{Grade, MaterialId, PriceId, RegionId};
use crate::unit::Unit;

mod adjust;
mod change;
mod faults;
mod loaded;
mod row;

pub use self::adjust::{Adjustment, adjust};
pub use self::change::PriceChange;
pub use self::row::PriceRow;

/// What a material costs in a region over a date range.
#[derive(Debug, Clone, PartialEq)]
pub struct Price {
    /// Its id within the region.
    pub id: PriceId,
    /// What it is for.
    pub material: MaterialId,
    /// Money per purchase unit before tax, 6 places at most.
    pub unit_price: Decimal,
    /// The unit it is for.
    pub unit: Unit,
    /// When it holds.
    pub in_force: DateRange,
    /// Who sells at it; may be empty. A material has at most one price of a supplier in force in a region.
    pub supplier: String,
    /// Where it was read; may be empty.
    pub source: String,
    /// How it is sold besides.
    pub terms: Terms,
}

/// How a material is sold: packs, the least order, breaks, delivery.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Terms {
    /// Whole packs of so much, in the purchase unit; none: as the material is ordered.
    pub pack_size: Option<Decimal>,
    /// The least that is sold, in the purchase unit.
    pub minimum_order: Option<Decimal>,
    /// Other unit prices from some quantities on.
    pub breaks: Option<Breaks>,
    /// How it comes to the site; none: fetched, or within the price.
    pub delivery: Option<Delivery>,
    /// Days from order to delivery.
    pub lead_days: u32,
    /// What else there is to know; may be empty.
    pub note: String,
}

/// Quantity breaks.
#[derive(Debug, Clone, PartialEq)]
pub struct Breaks {
    /// What they lower.
    pub rule: BreakRule,
    /// By quantity, the lowest first; one at least.
    pub steps: Vec<BreakStep>,
}

/// What a quantity break lowers.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum BreakRule {
    /// The whole quantity is at the price of the break that it reaches.
    AllUnits,
    /// Each part of the quantity is at the price of its own break.
    Incremental,
}

/// A quantity from which another unit price holds.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct BreakStep {
    /// From this quantity on, in the purchase unit; above 0.
    pub from: Decimal,
    /// Money per purchase unit, 6 places at most.
    pub unit_price: Decimal,
}

/// How what is bought comes to the site; one limit of a load at least.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Delivery {
    /// Most loose volume of a load.
    pub load_volume: Option<Volume>,
    /// Most mass of a load.
    pub load_mass: Option<Mass>,
    /// Most of a load in the purchase unit.
    pub load_quantity: Option<Decimal>,
    /// Money for each load.
    pub per_load: Decimal,
    /// Money for each load and kilometre.
    pub per_km: Decimal,
    /// Kilometres charged for a load; a job may say its own.
    pub distance_km: Option<Decimal>,
}

/// Money per hour for a grade in a region over a date range.
#[derive(Debug, Clone, PartialEq)]
pub struct LabourRate {
    /// Its id within the region.
    pub id: PriceId,
    /// Whose hour it is.
    pub grade: Grade,
    /// What the worker is paid an hour, 4 places at most.
    pub wage: Decimal,
    /// What comes on top, of the wage.
    pub burden: Share,
    /// What else comes on top.
    pub burdens: Vec<Burden>,
    /// Hours paid against hours productive; none: every hour paid is productive.
    pub year: Option<PaidYear>,
    /// When it holds.
    pub in_force: DateRange,
    /// Where it was read; may be empty.
    pub source: String,
    /// What else there is to know; may be empty.
    pub note: String,
}

/// Something that comes on top of a wage.
#[derive(Debug, Clone, PartialEq)]
pub struct Burden {
    /// What it is: `social insurance`.
    pub label: String,
    /// How much.
    pub amount: BurdenAmount,
}

/// How much comes on top of a wage.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum BurdenAmount {
    /// Of the wage.
    OfWage(Share),
    /// Money an hour, 4 places at most.
    PerHour(Decimal),
}

/// The hours of a year.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct PaidYear {
    /// Paid.
    pub paid: Hours,
    /// Productive: above 0, at most the paid.
    pub productive: Hours,
}

/// What of a region's list is in force on one day.
#[derive(Debug, Clone, PartialEq)]
pub struct PriceList {
    /// Whose list.
    pub region: RegionId,
    /// Which version of it.
    pub version: i64,
    /// One at most for each material and supplier.
    pub prices: Vec<Price>,
    /// One at most for each grade.
    pub labour_rates: Vec<LabourRate>,
}
