//! Regions: where prices and labour rates hold, and how a price is built up from them.

use hod_units::{Currency, Rounding, Share};

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

/// From direct cost to price, each step on what stands before it.
#[derive(Debug, Clone, PartialEq)]
pub struct BuildUp {
    /// Of direct cost.
    pub site_overhead: Share,
    /// Of direct cost and site overhead.
    pub firm_overhead: Share,
    /// Of the cost so far.
    pub contingency: Share,
    /// Profit and what it is a share of.
    pub profit: Profit,
    /// Tax on the price.
    pub tax: Tax,
}

/// Profit, and what it is a share of: 20 % markup on 1000.00 gives 1200.00, 20 % margin gives 1250.00.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Profit {
    /// A share of the cost before profit.
    MarkupOnCost(Share),
    /// A share of the price after profit and before tax; below the whole.
    MarginOnPrice(Share),
}

/// Tax on the price.
#[derive(Debug, Clone, PartialEq)]
pub struct Tax {
    /// What it is called on paper; may be empty.
    pub label: String,
    /// Of the price before tax.
    pub share: Share,
    /// Where it is rounded.
    pub basis: TaxBasis,
}

/// Whether tax is rounded line by line or once.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum TaxBasis {
    /// On each line, rounded, then added.
    Line,
    /// Lines added, then once.
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
        if let Profit::MarginOnPrice(margin) = self.build_up.profit
            && Share::WHOLE <= margin
        {
            faults.push(Fault::of_field(
                "build_up.profit_percent",
                "MARGIN_NOT_BELOW_WHOLE",
                format!(
                    "a margin of {margin} of the price leaves nothing to pay the cost with; \
                     give less than 100 %, or a markup on cost"
                ),
            ));
        }
        faults
    }
}
