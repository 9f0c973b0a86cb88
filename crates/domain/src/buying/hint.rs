//! The hint of a larger order that costs less: worth knowing, and never taken by itself.

use hod_units::{Decimal, Money};

use super::offer::Offer;
use super::order::ordered;
use super::{Charged, Hint};
use crate::material::Material;

/// The cheapest larger order among those that just reach a quantity break, when it costs less with its delivery than the
/// order itself; of two that cost alike the smaller.
///
/// Only a break can make more cost less, and only with its first unit: between breaks every further one costs something.
pub(super) fn hint(
    offer: &Offer,
    material: &Material,
    order: Decimal,
    total: Money,
    charged: Charged,
) -> Option<Hint> {
    let terms = &offer.price.terms;
    let steps = terms.breaks.iter().flat_map(|breaks| &breaks.steps);
    let mut best: Option<(Decimal, Money)> = None;
    for step in steps.filter(|step| order < step.from) {
        let larger = larger_order(offer, material, step.from, charged);
        let Some((quantity, cost)) = larger else {
            continue;
        };
        let limit = best.map_or(total, |(_, cost)| cost);
        if order < quantity && cost.amount() < limit.amount() {
            best = Some((quantity, cost));
        }
    }
    let (quantity, amount) = best?;
    Some(Hint {
        quantity,
        amount,
        saving: total.checked_sub(amount).ok()?,
    })
}

/// The order that just reaches a break and what it comes to; none when that is more than can be reckoned with.
fn larger_order(
    offer: &Offer,
    material: &Material,
    from: Decimal,
    charged: Charged,
) -> Option<(Decimal, Money)> {
    let quantity = ordered(material, &offer.price.terms, material.ordered(from)?)?.quantity;
    Some((quantity, offer.cost(quantity, charged)?.total))
}
