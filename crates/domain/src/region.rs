//! Regions: where prices and labour rates hold, and how a price is built up from them.

use hod_units::{Currency, Decimal, Rounding, Share};

use crate::fault::Fault;
use crate::id::RegionId;

/// Where a set of prices and labour rates holds.
#[derive(Debug, Clone, PartialEq)]
pub struct Region {
    /// Its id.
    pub id: RegionId,
    /// What people call it.
    pub display_name: String,
    /// The region that answers when this one has no price in force.
    pub parent: Option<RegionId>,
    /// What is paid in.
    pub currency: Currency,
    /// How money is rounded.
    pub rounding: Rounding,
    /// From direct cost to price.
    pub build_up: BuildUp,
}

/// From direct cost to price, each step on what stands before it. By default nothing is added.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct BuildUp {
    /// Of direct cost.
    pub site_overhead: Share,
    /// Of direct cost and site overhead.
    pub firm_overhead: Share,
    /// Of the cost so far.
    pub contingency: Share,
    /// Profit and what it is a share of.
    pub profit: Profit,
    /// Taxes on the price.
    pub taxes: Taxes,
    /// What is allowed for within direct cost.
    pub allowances: Vec<Allowance>,
    /// What the price is lowered by after profit and before tax.
    pub discount: Discount,
    /// The least that is charged before tax.
    pub minimum_charge: Option<Decimal>,
    /// The price before tax is brought to the nearest multiple of this.
    pub round_price_to: Option<Decimal>,
    /// Added to the loaded rate of an hour for work paid by the hour.
    pub daywork: Share,
}

/// A part of a price, for what is reckoned on some parts and not on others.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum PricePart {
    /// Materials and their delivery.
    Material,
    /// Labour.
    Labour,
    /// Hire and weather cover.
    Equipment,
    /// Work that others do for us.
    Subcontract,
    /// Fees.
    Fee,
    /// Travel and lodging.
    Travel,
    /// Provisional sums.
    ProvisionalSum,
    /// Direct cost that is none of these.
    Other,
    /// Overheads, contingency and profit.
    OnCost,
}

impl PricePart {
    /// Every part, in the order of the lines.
    pub const ALL: [Self; 9] = [
        Self::Material,
        Self::Labour,
        Self::Equipment,
        Self::Subcontract,
        Self::Fee,
        Self::Travel,
        Self::ProvisionalSum,
        Self::Other,
        Self::OnCost,
    ];

    /// How a basis names it.
    pub const fn word(self) -> &'static str {
        match self {
            Self::Material => "materials",
            Self::Labour => "labour",
            Self::Equipment => "equipment",
            Self::Subcontract => "subcontracts",
            Self::Fee => "fees",
            Self::Travel => "travel",
            Self::ProvisionalSum => "provisional sums",
            Self::Other => "other direct cost",
            Self::OnCost => "overheads, contingency and profit",
        }
    }
}

/// Something that is allowed for within direct cost without being measured.
#[derive(Debug, Clone, PartialEq)]
pub struct Allowance {
    /// What for: `small tools`.
    pub label: String,
    /// How much.
    pub amount: AllowanceAmount,
}

/// How much is allowed for.
#[derive(Debug, Clone, PartialEq)]
pub enum AllowanceAmount {
    /// A share of these parts of direct cost; of all of it before allowances when none is named.
    Of(Share, Vec<PricePart>),
    /// Money.
    Fixed(Decimal),
}

/// What the price is lowered by.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub enum Discount {
    /// Nothing.
    #[default]
    None,
    /// Of the price after profit and before tax.
    Of(Share),
    /// Money; at most the price.
    Fixed(Decimal),
}

/// Profit, and what it is a share of: 20 % markup on 1000.00 gives 1200.00, 20 % margin gives 1250.00.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Profit {
    /// A share of the cost before profit.
    MarkupOnCost(Share),
    /// A share of the price after profit and before tax; below the whole.
    MarginOnPrice(Share),
}

impl Default for Profit {
    /// None, which is the same either way.
    fn default() -> Self {
        Self::MarkupOnCost(Share::ZERO)
    }
}

/// Taxes on the price.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Taxes {
    /// Each of them, in the order of the lines.
    pub each: Vec<Tax>,
    /// Where they are rounded.
    pub basis: TaxBasis,
}

/// A tax on the price, or on some parts of it.
#[derive(Debug, Clone, PartialEq)]
pub struct Tax {
    /// What it is called on paper; may be empty for the only one.
    pub label: String,
    /// Of what it is on.
    pub share: Share,
    /// The parts that it is on; none: all.
    pub parts: Vec<PricePart>,
}

impl Tax {
    /// What it is called on a line: its label, or `tax` without one.
    pub fn called(&self) -> &str {
        match self.label.as_str() {
            "" => "tax",
            label => label,
        }
    }
}

/// Whether tax is rounded line by line or once.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum TaxBasis {
    /// On each line, rounded, then added.
    Line,
    /// Lines added, then once.
    #[default]
    Invoice,
}

impl Region {
    /// What does not hold across its fields.
    pub fn faults(&self) -> Vec<Fault> {
        let mut faults = Vec::new();
        if self.parent.as_ref() == Some(&self.id) {
            faults.push(Fault::of_field(
                "parent_region",
                "REGION_IS_ITS_OWN_PARENT",
                format!(
                    "region {} names itself as its parent; name another, or none",
                    self.id
                ),
            ));
        }
        faults.extend(self.build_up.profit.fault());
        faults.extend(allowance_faults(&self.build_up.allowances));
        faults
    }
}

impl Profit {
    /// A margin of all of the price leaves nothing to pay the cost with.
    pub(crate) fn fault(self) -> Option<Fault> {
        let Self::MarginOnPrice(margin) = self else {
            return None;
        };
        (Share::WHOLE <= margin).then(|| {
            Fault::of_field(
                "build_up.profit_percent",
                "MARGIN_NOT_BELOW_WHOLE",
                format!(
                    "a margin of {margin} of the price leaves nothing to pay the cost with; \
                     give less than 100 %, or a markup on cost"
                ),
            )
        })
    }
}

/// An allowance stands within direct cost, which overheads, contingency and profit come after.
pub(crate) fn allowance_faults(allowances: &[Allowance]) -> impl Iterator<Item = Fault> {
    allowances.iter().enumerate().filter_map(|(at, allowance)| {
        let AllowanceAmount::Of(_, parts) = &allowance.amount else {
            return None;
        };
        parts.contains(&PricePart::OnCost).then(|| {
            Fault::of_field(
                format!("build_up.allowances[{at}].parts"),
                "ALLOWANCE_ON_ON_COST",
                format!(
                    "the allowance {} is a share of {}, which come after it; name parts of direct cost, or none for all of it",
                    allowance.label,
                    PricePart::OnCost.word()
                ),
            )
        })
    })
}
