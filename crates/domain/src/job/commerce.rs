//! What a job says beside its walls: who does which part of the building, what else it costs, where materials are
//! bought, and what in the region's build-up is otherwise. What these come to is for `estimate`.

use hod_units::{Decimal, Share};

use crate::id::{MaterialId, ScopePart};
use crate::region::{Allowance, BuildUp, Discount, Profit, Tax, TaxBasis, Taxes};
use crate::unit::Unit;

/// Who does a part of the building.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum ScopeHolder {
    /// Within our price.
    Ours,
    /// Done by others, whom the client asks.
    ByOthers,
    /// Not part of the works.
    Excluded,
}

/// A part of the building and who does it.
#[derive(Debug, Clone, PartialEq)]
pub struct ScopeLine {
    /// Which part.
    pub part: ScopePart,
    /// What people call it; empty: as the part.
    pub display_name: String,
    /// Who does it.
    pub holder: ScopeHolder,
    /// What is within it and what is not; may be empty.
    pub note: String,
}

/// What kind of cost it is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum CostKind {
    /// Work that others do for us.
    Subcontract,
    /// Permit, engineer, tests.
    Fee,
    /// Machines, forms and scaffold on hire.
    Hire,
    /// Journeys.
    Travel,
    /// Beds and board of the crew.
    Lodging,
    /// Tarps and roofs over the work.
    WeatherCover,
    /// A sum for what cannot be measured yet.
    ProvisionalSum,
    /// Food and lodging of volunteers.
    Keep,
    /// What people pay to learn at the work: taken off the price.
    WorkshopIncome,
    /// None of these.
    Other,
}

/// What a cost comes back with.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum CostDriver {
    /// Once for the job.
    Once,
    /// Each week at the site.
    PerWeek,
    /// Each day at the site.
    PerDay,
    /// Each journey there and back.
    PerTrip,
    /// Each visit after or between.
    PerVisit,
}

/// Something that a job costs besides walls and work.
#[derive(Debug, Clone, PartialEq)]
pub struct Cost {
    /// What it is.
    pub item: String,
    /// What kind.
    pub kind: CostKind,
    /// How much each time; above 0.
    pub quantity: Decimal,
    /// What it is counted in.
    pub unit: Unit,
    /// Money to one unit before tax, 6 places at most.
    pub unit_price: Decimal,
    /// What it comes back with.
    pub driver: CostDriver,
    /// The part of the scope that it is for, which must be ours.
    pub part: Option<ScopePart>,
    /// Where the price was read; may be empty.
    pub source: String,
}

/// How long and how often the crew is at the site.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct SiteTime {
    /// Weeks.
    pub weeks: Option<Decimal>,
    /// Days.
    pub days: Option<Decimal>,
    /// Journeys there and back.
    pub trips: Option<u32>,
    /// Visits after or between.
    pub visits: Option<u32>,
}

/// Where a material is to be bought.
#[derive(Debug, Clone, PartialEq)]
pub struct Source {
    /// What.
    pub material: MaterialId,
    /// Only from this supplier; none: from whom the whole costs least.
    pub supplier: Option<String>,
    /// Kilometres charged for a load; none: as the price says.
    pub distance_km: Option<Decimal>,
}

/// What in a region's build-up is otherwise for a job; what is `None` stays.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct BuildUpChange {
    /// Of direct cost.
    pub site_overhead: Option<Share>,
    /// Of direct cost and site overhead.
    pub firm_overhead: Option<Share>,
    /// Of the cost so far.
    pub contingency: Option<Share>,
    /// Profit and what it is a share of.
    pub profit: Option<Profit>,
    /// Taxes.
    pub taxes: Option<Vec<Tax>>,
    /// Where they are rounded.
    pub tax_basis: Option<TaxBasis>,
    /// What is allowed for within direct cost.
    pub allowances: Option<Vec<Allowance>>,
    /// What the price is lowered by.
    pub discount: Option<Discount>,
    /// The least that is charged before tax.
    pub minimum_charge: Option<Decimal>,
    /// The price before tax is brought to the nearest multiple of this.
    pub round_price_to: Option<Decimal>,
    /// Added to the loaded rate of an hour for work paid by the hour.
    pub daywork: Option<Share>,
}

impl BuildUpChange {
    /// A region's build-up with what is said here in its place.
    pub fn applied_to(&self, region: &BuildUp) -> BuildUp {
        let allowances = self.allowances.as_ref().unwrap_or(&region.allowances);
        BuildUp {
            site_overhead: self.site_overhead.unwrap_or(region.site_overhead),
            firm_overhead: self.firm_overhead.unwrap_or(region.firm_overhead),
            contingency: self.contingency.unwrap_or(region.contingency),
            profit: self.profit.unwrap_or(region.profit),
            taxes: Taxes {
                each: self.taxes.as_ref().unwrap_or(&region.taxes.each).clone(),
                basis: self.tax_basis.unwrap_or(region.taxes.basis),
            },
            allowances: allowances.clone(),
            discount: self.discount.unwrap_or(region.discount),
            minimum_charge: self.minimum_charge.or(region.minimum_charge),
            round_price_to: self.round_price_to.or(region.round_price_to),
            daywork: self.daywork.unwrap_or(region.daywork),
        }
    }
}

impl CostDriver {
    /// The field of `site_time` that says how often; none for what comes once.
    pub const fn field(self) -> Option<&'static str> {
        match self {
            Self::Once => None,
            Self::PerWeek => Some("weeks"),
            Self::PerDay => Some("days"),
            Self::PerTrip => Some("trips"),
            Self::PerVisit => Some("visits"),
        }
    }

    /// What one of it is counted in.
    pub const fn unit(self) -> Unit {
        match self {
            Self::Once => Unit::Number,
            Self::PerWeek => Unit::Week,
            Self::PerDay => Unit::Day,
            Self::PerTrip => Unit::Trip,
            Self::PerVisit => Unit::Visit,
        }
    }
}

impl SiteTime {
    /// How often a cost with this driver comes back; `None` where nobody said.
    pub fn times(&self, driver: CostDriver) -> Option<Decimal> {
        match driver {
            CostDriver::Once => Some(Decimal::ONE),
            CostDriver::PerWeek => self.weeks,
            CostDriver::PerDay => self.days,
            CostDriver::PerTrip => self.trips.map(Decimal::from),
            CostDriver::PerVisit => self.visits.map(Decimal::from),
        }
    }
}
