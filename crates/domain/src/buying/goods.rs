//! What goods cost: the quantity shared out over the tiers of a price, each an amount of its own.

use hod_units::{Decimal, Money};

use super::Charged;
use crate::price::{BreakRule, BreakStep, Breaks, Price};
use crate::unit::{Unit, round_up};

/// A part of an order at one unit price.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Tier {
    /// The break whose price it is; none: the price below the first.
    pub from: Option<Decimal>,
    /// How much of the order stands below it.
    pub below: Decimal,
    /// How much there is of it.
    pub quantity: Decimal,
    /// Money to one.
    pub unit_price: Decimal,
}

/// The tiers of an ordered quantity, the lowest first: one at least, and more than one only with incremental breaks.
///
/// ```text
/// all units      the whole quantity at the price of the highest break that it reaches
/// incremental    each part at the price of its own break
/// ```
pub(super) fn tiers(price: &Price, ordered: Decimal) -> impl Iterator<Item = Tier> {
    let breaks = price.terms.breaks.as_ref();
    let (whole, steps) = match breaks {
        Some(breaks) if breaks.rule == BreakRule::Incremental => (None, breaks.steps.as_slice()),
        _ => (Some(whole(price, breaks, ordered)), [].as_slice()),
    };
    let is_in_parts = whole.is_none();
    let in_parts = (0..=steps.len())
        .filter(move |_| is_in_parts)
        .filter_map(move |at| part(price, steps, ordered, at));
    whole.into_iter().chain(in_parts)
}

/// The whole quantity at the price of the break that it reaches.
fn whole(price: &Price, breaks: Option<&Breaks>, ordered: Decimal) -> Tier {
    let reached = breaks.and_then(|breaks| {
        let is_reached = |step: &&BreakStep| step.from <= ordered;
        breaks.steps.iter().rev().find(is_reached)
    });
    Tier {
        from: reached.map(|step| step.from),
        below: Decimal::ZERO,
        quantity: ordered,
        unit_price: reached.map_or(price.unit_price, |step| step.unit_price),
    }
}

/// The part of a quantity at the price below the first break, `at` 0, or at that of a break; none when it does not reach
/// so far. Of a quantity of nothing the first part stands, with nothing in it.
fn part(price: &Price, steps: &[BreakStep], ordered: Decimal, at: usize) -> Option<Tier> {
    let own = at.checked_sub(1).and_then(|at| steps.get(at));
    let below = own.map_or(Decimal::ZERO, |step| most_below(step.from, price.unit));
    let upto = steps.get(at).map_or(ordered, |next| {
        most_below(next.from, price.unit).min(ordered)
    });
    let quantity = upto.saturating_sub(below);
    let is_there = Decimal::ZERO < quantity || (at == 0 && ordered.is_zero());
    is_there.then_some(Tier {
        from: own.map(|step| step.from),
        below,
        quantity,
        unit_price: own.map_or(price.unit_price, |step| step.unit_price),
    })
}

/// The most that does not reach a break. What is bought by whole ones reaches a break from 1,000 with the thousandth, which
/// is then the first at the new price, so that 999 keep the price below; what is measured out reaches it at 1,000 itself.
fn most_below(from: Decimal, unit: Unit) -> Decimal {
    if unit.order_places() == Some(0) {
        let reaching = round_up(from, 0).unwrap_or(from);
        reaching.saturating_sub(Decimal::ONE)
    } else {
        from
    }
}

/// What the goods of an order cost: the sum of its tiers' amounts. `None` on overflow.
pub(super) fn cost(price: &Price, ordered: Decimal, charged: Charged) -> Option<Money> {
    tiers(price, ordered).try_fold(Money::zero(charged.currency), |sum, tier| {
        let amount = charged.amount(tier.quantity, tier.unit_price)?;
        sum.checked_add(amount).ok()
    })
}
