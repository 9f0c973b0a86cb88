//! Buying: which price answers an order, how much is really ordered, what it costs with its delivery, and which larger
//! order would have cost less. What a job needs is for `takeoff`; lines and totals are for `estimate`.

use hod_units::{Currency, Decimal, Money, Rounding};

use crate::basis::Basis;
use crate::id::{MaterialId, PriceId, RegionId};
use crate::text::Text;
use crate::unit::Unit;

mod choose;
mod goods;
mod hint;
mod lines;
mod loads;
mod offer;
mod order;
mod plan;

pub use self::choose::{Offers, buy};
pub use self::offer::Offer;
pub use self::plan::{Need, PurchasePart, PurchasePlan, SharedPurchase, needs, plan, share};

/// In which currency amounts are, and how each is brought to what can be charged.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Charged {
    /// The currency.
    pub currency: Currency,
    /// The rule of rounding in force.
    pub rounding: Rounding,
}

impl Charged {
    /// So much at so much, rounded: the amount of a line. `None` on overflow.
    fn amount(self, quantity: Decimal, unit_price: Decimal) -> Option<Money> {
        let amount = Money::new(unit_price, self.currency).checked_mul(quantity);
        Some(amount.ok()?.rounded(self.rounding))
    }
}

/// What is bought of a material, from whom, and what was not taken.
#[derive(Debug, Clone, PartialEq)]
pub struct Purchase {
    /// What.
    pub material: MaterialId,
    /// What people call it.
    pub item: Text,
    /// The region whose price answers.
    pub region: RegionId,
    /// The price that answers.
    pub price: PriceId,
    /// Who sells at it; may be empty.
    pub supplier: String,
    /// How much is needed.
    pub needed: Decimal,
    /// How much is ordered: whole packs, and the minimum order at least.
    pub ordered: Decimal,
    /// What these are counted in.
    pub unit: Unit,
    /// Whole packs; 0 when it is not sold by the pack.
    pub pack_count: u32,
    /// How it comes to the site.
    pub loads: Option<Loads>,
    /// What the goods cost.
    pub goods: Money,
    /// What their delivery costs.
    pub delivery: Money,
    /// Days from order to delivery.
    pub lead_days: u32,
    /// How the ordered quantity came about.
    pub basis: Basis,
    /// A larger order that costs less, and is not taken.
    pub hint: Option<Hint>,
    /// The others who sell it there on the day, the cheapest first.
    pub other_offers: Vec<OtherOffer>,
}

/// The loads of a delivery.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Loads {
    /// How many.
    pub count: u32,
    /// What decides them.
    pub limit: LoadLimit,
}

/// What decides how many loads there are.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum LoadLimit {
    /// The most volume of a load.
    Volume,
    /// The most mass of a load.
    Mass,
    /// The most of a load in the purchase unit.
    Quantity,
}

/// A larger order that costs less.
#[derive(Debug, Clone, PartialEq)]
pub struct Hint {
    /// How much, in the purchase unit.
    pub quantity: Decimal,
    /// What goods and delivery come to then.
    pub amount: Money,
    /// How much less that is.
    pub saving: Money,
}

/// Another price that could have answered.
#[derive(Debug, Clone, PartialEq)]
pub struct OtherOffer {
    /// The region whose price it is.
    pub region: RegionId,
    /// The price.
    pub price: PriceId,
    /// Who sells at it; may be empty.
    pub supplier: String,
    /// What goods and delivery come to there.
    pub amount: Money,
    /// Days from order to delivery.
    pub lead_days: u32,
}
