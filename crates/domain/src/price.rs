//! Prices and labour rates: what a region asks for a material or an hour over a range of dates.

use hod_units::{DateRange, Decimal, Share};

use crate::id::{Grade, MaterialId, PriceId, RegionId};
use crate::unit::Unit;

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
    /// Who sells at it; may be empty.
    pub supplier: String,
    /// Where it was read; may be empty.
    pub source: String,
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
    /// When it holds.
    pub in_force: DateRange,
    /// Where it was read; may be empty.
    pub source: String,
}

/// What of a region's list is in force on one day.
#[derive(Debug, Clone, PartialEq)]
pub struct PriceList {
    /// Whose list.
    pub region: RegionId,
    /// Which version of it.
    pub version: i64,
    /// One at most for each material.
    pub prices: Vec<Price>,
    /// One at most for each grade.
    pub labour_rates: Vec<LabourRate>,
}
