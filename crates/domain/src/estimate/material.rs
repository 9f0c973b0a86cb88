//! Lines of material: what is ordered, at its price. Price breaks and delivery are not reckoned here.

use hod_units::Money;

use super::price_chain::UnitPrice;
use super::{Line, LineKind};
use crate::region::Region;
use crate::takeoff::Order;

/// The line of an order; `None` on overflow.
pub(super) fn line(order: &Order, price: &UnitPrice, region: &Region) -> Option<Line> {
    let amount = Money::new(price.amount, region.currency)
        .checked_mul(order.quantity)
        .ok()?;
    Some(Line {
        kind: LineKind::Material,
        item: order.item.clone(),
        quantity: order.quantity,
        unit: order.unit,
        unit_price: Some(price.amount),
        price_source: price.source.clone(),
        amount: amount.rounded(region.rounding),
        basis: order.basis.clone(),
        part: None,
    })
}
