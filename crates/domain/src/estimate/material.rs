//! Lines of material: what is ordered, at its price. Price breaks and delivery are not reckoned here.

use hod_units::Money;

use super::price_chain::Answer;
use super::{Line, LineKind};
use crate::buying::Purchase;
use crate::fault::{Fault, too_large};
use crate::region::Region;
use crate::takeoff::Order;

/// Adds the lines of all orders; gives what is bought.
pub(super) fn buy(
    orders: &[Order],
    prices: &[Answer],
    region: &Region,
    lines: &mut Vec<Line>,
) -> Result<Vec<Purchase>, Fault> {
    for (order, price) in orders.iter().zip(prices) {
        let line = line(order, price, region);
        lines.push(line.ok_or_else(|| too_large(&format!("the line of {}", order.material)))?);
    }
    Ok(Vec::new())
}

/// The line of an order; `None` on overflow.
fn line(order: &Order, price: &Answer, region: &Region) -> Option<Line> {
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
