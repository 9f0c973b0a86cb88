//! The lines of an order: its goods tier by tier, and how they come to the site.

use hod_units::{Decimal, canonical};

use super::choose::Taken;
use super::goods::{Tier, tiers};
use super::loads::{Distance, km_of};
use super::offer::Offer;
use super::{Charged, Loads};
use crate::basis::{Basis, Joint, Term};
use crate::estimate::{Line, LineKind};
use crate::takeoff::Order;
use crate::text::Text;
use crate::unit::Unit;

/// Adds the lines of an order; `None` on overflow.
pub(super) fn add_lines(
    order: &Order,
    offer: &Offer,
    taken: &Taken,
    charged: Charged,
    lines: &mut Vec<Line>,
) -> Option<()> {
    let source = Text::from(offer.source());
    let add = Adding {
        order,
        charged,
        source,
    };
    let ordered = taken.ordered.quantity;
    let is_in_parts = tiers(offer.price, ordered).nth(1).is_some();
    for tier in tiers(offer.price, ordered) {
        let basis = if is_in_parts {
            part_basis(tier, order.unit)
        } else {
            whole_basis(order, taken)
        };
        lines.push(add.goods(tier, is_in_parts, basis)?);
    }
    let (Some(haul), Some(carried)) = (&offer.haul, &taken.cost.carried) else {
        return Some(());
    };
    if carried.loads.count == 0 {
        return Some(());
    }
    if let Some(charge) = haul.charge_per_load() {
        let basis = loads_basis(order, ordered, haul.to_loads(carried.loads.limit));
        let item = format!("delivery of {}", order.item);
        let count = carried.loads.count.into();
        lines.push(add.line(item.into(), count, Unit::Load, charge, basis)?);
    }
    if let Some((charge, distance)) = haul.charge_per_km() {
        let km = km_of(carried.loads, distance)?;
        let basis = km_basis(carried.loads, distance, &add.source);
        let item = format!("haulage of {}", order.item);
        lines.push(add.line(item.into(), km, Unit::Km, charge, basis)?);
    }
    Some(())
}

/// What all lines of an order have in common.
struct Adding<'a> {
    order: &'a Order,
    charged: Charged,
    source: Text,
}

impl Adding<'_> {
    /// The goods of a tier; those above the first are told apart by their break.
    fn goods(&self, tier: Tier, is_in_parts: bool, basis: Basis) -> Option<Line> {
        let Order { item, unit, .. } = self.order;
        let from = tier.from.filter(|_| is_in_parts);
        let item = from.map_or_else(
            || item.clone(),
            |from| Text::from(format!("{item}, from {} {}", canonical(from), unit.word())),
        );
        let mut line = self.line(item, tier.quantity, *unit, tier.unit_price, basis)?;
        if let Some(from) = tier.from {
            let (source, from) = (&self.source, canonical(from));
            line.price_source = Text::from(format!("{source}, from {from} {}", unit.word()));
        }
        Some(line)
    }

    fn line(
        &self,
        item: Text,
        quantity: Decimal,
        unit: Unit,
        unit_price: Decimal,
        basis: Basis,
    ) -> Option<Line> {
        Some(Line {
            kind: LineKind::Material,
            item,
            quantity,
            unit,
            unit_price: Some(unit_price),
            price_source: self.source.clone(),
            amount: self.charged.amount(quantity, unit_price)?,
            basis,
            part: None,
        })
    }
}

/// The basis of what is needed, with how that was brought to what is ordered said beside it.
fn whole_basis(order: &Order, taken: &Taken) -> Basis {
    let basis = order.basis.clone();
    if taken.words.is_empty() {
        return basis;
    }
    let rounding = if basis.rounding.is_empty() {
        taken.words.clone()
    } else {
        Text::from(format!("{}, then {}", basis.rounding, taken.words))
    };
    basis.to(rounding)
}

/// A part of an order: what stands up to its end, less what is below it.
fn part_basis(tier: Tier, unit: Unit) -> Basis {
    let upto = tier.below.saturating_add(tier.quantity);
    let mut terms = vec![Term::new(
        Joint::Start,
        upto,
        unit,
        "of the order, up to here",
        "",
    )];
    if !tier.below.is_zero() {
        let label = "at the prices before";
        terms.push(Term::new(Joint::Less, tier.below, unit, label, ""));
    }
    Basis::of(terms)
}

fn loads_basis(order: &Order, ordered: Decimal, to_loads: &[Term]) -> Basis {
    let start = Term::new(Joint::Start, ordered, order.unit, "ordered", "");
    Basis::of([start])
        .carried_on(to_loads)
        .to("up to a whole load")
}

fn km_basis(loads: Loads, distance: Distance, price: &Text) -> Basis {
    let source = if distance.is_of_job {
        Text::from("the job's sources")
    } else {
        price.clone()
    };
    let label = "km charged for a load";
    Basis::of([
        Term::new(Joint::Start, loads.count.into(), Unit::Load, "loads", ""),
        Term::new(Joint::Times, distance.km, Unit::Km, label, source),
    ])
}
