//! Prices and labour rates: what a region asks for a material or an hour over a range of dates.

use hod_units::{Currency, DateRange, Decimal, Money, Rounding, Share};

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

impl LabourRate {
    /// Wage and burden to the currency's minor unit: what an hour costs the firm. `None` on overflow.
    ///
    /// ```
    /// use hod_domain::{id::{Grade, PriceId}, price::LabourRate};
    /// use hod_units::{Currency, DateRange, Rounding, Share, parse_date};
    /// use rust_decimal::dec;
    ///
    /// // 17.35 an hour and 22.5 % on top: 17.35 x 1.225 = 21.25375, so 21.25.
    /// let rate = LabourRate {
    ///     id: PriceId::parse("lead-2026").expect("an id"),
    ///     grade: Grade::parse("lead").expect("a grade"),
    ///     wage: dec!(17.35),
    ///     burden: Share::from_percent(dec!(22.5)),
    ///     in_force: DateRange::new(parse_date("2026-03-01").expect("a date"), None).expect("no end"),
    ///     source: String::new(),
    /// };
    /// let euro = Currency::parse("EUR").expect("in the list");
    /// let loaded = rate.loaded(euro, Rounding::HalfAwayFromZero).expect("small");
    /// assert_eq!(loaded.to_string(), "21.25 EUR");
    /// ```
    pub fn loaded(&self, currency: Currency, rounding: Rounding) -> Option<Money> {
        let factor = Share::WHOLE.checked_add(self.burden)?.fraction();
        Some(Money::new(self.wage.checked_mul(factor)?, currency).rounded(rounding))
    }
}
