//! One of many prices that are to be put in force in one act.

use hod_units::{DateRange, Decimal};

use super::{Price, Terms};
use crate::fault::Fault;
use crate::id::{MaterialId, PriceId, RegionId};
use crate::unit::Unit;

/// One of many prices that are to be put in force: a price with its region, and without an id where whoever keeps it is to
/// make one.
#[derive(Debug, Clone, PartialEq)]
pub struct PriceRow {
    /// The row, as whoever asks for it counts; in a file as a spreadsheet does, the header being 1.
    pub row: u32,
    /// Where it holds.
    pub region: RegionId,
    /// Its id within the region; none, or that of a price of the same region, material and supplier: one is made.
    pub id: Option<PriceId>,
    /// What it is for.
    pub material: MaterialId,
    /// Money per purchase unit before tax, 6 places at most.
    pub unit_price: Decimal,
    /// The material's purchase unit.
    pub unit: Unit,
    /// When it holds. Without an end it holds until the next one of its supplier begins.
    pub in_force: DateRange,
    /// Who sells at it; may be empty.
    pub supplier: String,
    /// Where it was read; may be empty.
    pub source: String,
    /// How it is sold besides.
    pub terms: Terms,
}

impl PriceRow {
    /// What of it breaks a rule that prices keep to wherever they come from, by the fields of a price.
    pub fn faults(&self) -> Vec<Fault> {
        // A price has an id, and no rule looks at it.
        let named = PriceId::parse("row").map(|id| self.clone().into_price(id));
        named.map_or_else(|_| Vec::new(), |price| price.faults())
    }

    /// The price, under the id that the row gives it or else this one.
    pub fn into_price(self, id: PriceId) -> Price {
        Price {
            id: self.id.unwrap_or(id),
            material: self.material,
            unit_price: self.unit_price,
            unit: self.unit,
            in_force: self.in_force,
            supplier: self.supplier,
            source: self.source,
            terms: self.terms,
        }
    }
}
