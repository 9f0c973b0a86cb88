//! Lines of material: what all batches take of it, rounded up to what can be ordered, at its price.
//! Loads, packs, price breaks and delivery are not reckoned here.

use hod_units::{Decimal, Money};

use super::{Line, LineKind};
use crate::basis::{Basis, Term};
use crate::material::Material;
use crate::region::Region;
use crate::text::Text;
use crate::unit::{Unit, round_up};

/// A material of the recipe with its price.
pub(super) struct PricedMaterial<'a> {
    /// Which.
    pub material: &'a Material,
    /// What one batch takes, in its purchase unit.
    pub portion: &'a Basis,
    /// Money to one purchase unit.
    pub unit_price: Decimal,
    /// Where that came from.
    pub source: Text,
}

impl PricedMaterial<'_> {
    /// Its line over so many batches; `None` on overflow.
    pub fn line(&self, batches: &Term, region: &Region) -> Option<Line> {
        let unit = self.material.purchase_unit;
        let basis = self.portion.times_over(batches).to(up_to(unit));
        let quantity = round_up(basis.work()?, unit.order_places()?)?;
        let amount = Money::new(self.unit_price, region.currency)
            .checked_mul(quantity)
            .ok()?;
        Some(Line {
            kind: LineKind::Material,
            item: Text::from(self.material.display_name.clone()),
            quantity,
            unit,
            unit_price: Some(self.unit_price),
            price_source: self.source.clone(),
            amount: amount.rounded(region.rounding),
            basis,
        })
    }
}

/// How an order in this unit is rounded, in words.
const fn up_to(unit: Unit) -> &'static str {
    match unit {
        Unit::M3 => "up to 0.01 m3",
        Unit::T => "up to 0.01 t",
        Unit::L => "up to a whole litre",
        Unit::Kg => "up to a whole kg",
        Unit::Bale => "up to a whole bale",
        Unit::Bag => "up to a whole bag",
        Unit::Roll => "up to a whole roll",
        _ => "up to a whole one",
    }
}
