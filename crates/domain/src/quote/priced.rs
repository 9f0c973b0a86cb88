//! A kept estimate as quotes and comparisons read it: its lines without their working, what its hours were counted by,
//! and what it did not know. How it is kept, and how it was priced, is for others.

use hod_units::{Currency, Date, Decimal, Money, Rounding};

use crate::estimate::{LabourLine, LineKind, ProvisionalMatter, WorkLine};
use crate::id::{Grade, ScopePart};
use crate::job::ScopeLine;
use crate::region::BuildUp;
use crate::unit::Unit;

/// An estimate that was priced and kept. Its lines add up to its total, to the minor unit.
#[derive(Debug, Clone, PartialEq)]
pub struct PricedEstimate {
    /// What people call the job.
    pub display_name: String,
    /// Of every amount.
    pub currency: Currency,
    /// How money is rounded.
    pub rounding: Rounding,
    /// The day whose prices and rates it used.
    pub price_date: Date,
    /// The lines in their order: direct cost, steps of the build-up, adjustments, taxes.
    pub lines: Vec<PricedLine>,
    /// The hours, each as on its line.
    pub labour: Vec<LabourLine>,
    /// What the hours were counted by; none in an estimate that does not say it.
    pub works: Vec<WorkLine>,
    /// The parts of the building and who does them.
    pub scope: Vec<ScopeLine>,
    /// What was measured besides the walls, part by part.
    pub measured: Vec<MeasuredItem>,
    /// The build-up that held.
    pub build_up: BuildUp,
    /// What an hour costs the client, by grade.
    pub daywork_rates: Vec<HourRate>,
    /// What whoever reads the figures must know, the gravest first.
    pub cautions: Vec<PricedCaution>,
    /// Why a quote of it is only provisional.
    pub provisional: Vec<ProvisionalMatter>,
    /// Lifts of all walls.
    pub lift_count: u32,
}

/// A line of it: `amount` is quantity times unit price, rounded; on a step of the build-up its percentage of what
/// stands before it.
#[derive(Debug, Clone, PartialEq)]
pub struct PricedLine {
    /// What it is for.
    pub kind: LineKind,
    /// What it is: a material's name, a task and grade, a step of the build-up.
    pub item: String,
    /// How much, in `unit`; on a step of the build-up its percentage.
    pub quantity: Decimal,
    /// What it is counted in.
    pub unit: Unit,
    /// Money to one unit; `None` on a step of the build-up.
    pub unit_price: Option<Decimal>,
    /// To the currency's minor unit.
    pub amount: Money,
    /// The part of the scope that it is for.
    pub part: Option<ScopePart>,
}

/// Something that was measured besides the walls, and is in the price.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct MeasuredItem {
    /// Of which part of the building: `trench`.
    pub part: String,
    /// What: `drain`.
    pub item: String,
}

/// What an hour of a grade costs the client, without how it came about.
#[derive(Debug, Clone, PartialEq)]
pub struct HourRate {
    /// Whose hour.
    pub grade: Grade,
    /// Money an hour before tax.
    pub rate: Money,
}

/// A caution as it was kept with an estimate, perhaps by an earlier engine: its reason is any text.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct PricedCaution {
    /// Which, in capitals: `DENSITY_ASSUMED`.
    pub reason: String,
    /// What it is about: `mixes/house-cob`; empty for the whole job.
    pub subject: String,
    /// In words.
    pub description: String,
}
