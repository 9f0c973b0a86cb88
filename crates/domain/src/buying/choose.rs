//! Choosing among those who sell a material in a region: the whole order, delivery within, is held against the others.

use hod_units::{Decimal, Money};

use super::hint::hint;
use super::lines::add_lines;
use super::offer::{Cost, Offer};
use super::order::{Ordered, ordered, words};
use super::{Charged, OtherOffer, Purchase};
use crate::basis::{Basis, Joint, Term};
use crate::estimate::Line;
use crate::material::Material;
use crate::takeoff::Order;
use crate::text::Text;

/// Those who sell a material in the region that answers.
#[derive(Debug, Clone)]
pub struct Offers<'a> {
    /// One that may answer.
    pub first: Offer<'a>,
    /// The others that may.
    pub rest: Vec<Offer<'a>>,
    /// Those that may not, since the job names another supplier; shown all the same.
    pub passed_over: Vec<Offer<'a>>,
}

/// Buys an order: adds its lines, and says what is bought of whom and what was not taken. `None` on overflow.
///
/// Of several offers the one answers whose goods and delivery cost least for this order; of two that cost alike, the one
/// whose price's id comes first.
pub fn buy(
    order: &Order,
    material: &Material,
    offers: &Offers,
    charged: Charged,
    lines: &mut Vec<Line>,
) -> Option<Purchase> {
    let (offer, other_offers) = choose(offers, material, order.quantity, charged)?;
    let taken = take(offer, material, order.quantity, charged)?;
    add_lines(order, offer, &taken, charged, lines)?;
    let basis = Basis::of([Term::new(
        Joint::Start,
        order.quantity,
        order.unit,
        "needed",
        "",
    )]);
    Some(Purchase {
        other_offers,
        ..taken.purchase(offer, material, &order.item, basis)
    })
}

/// An order as it is taken from an offer.
pub(super) struct Taken {
    /// How much is needed.
    pub needed: Decimal,
    /// How much is ordered.
    pub ordered: Ordered,
    /// How the one became the other, in words.
    pub words: Text,
    /// What it costs.
    pub cost: Cost,
    /// A larger order that would cost less.
    hint: Option<super::Hint>,
}

/// `None` on overflow.
pub(super) fn take(
    offer: &Offer,
    material: &Material,
    needed: Decimal,
    charged: Charged,
) -> Option<Taken> {
    let terms = &offer.price.terms;
    let ordered = ordered(material, terms, needed)?;
    let cost = offer.cost(ordered.quantity, charged)?;
    let hint = hint(offer, material, ordered.quantity, cost.total, charged);
    Some(Taken {
        needed,
        ordered,
        words: words(terms, needed, material.purchase_unit.word()),
        cost,
        hint,
    })
}

impl Taken {
    /// What is bought, from the basis of what is needed.
    pub(super) fn purchase(
        self,
        offer: &Offer,
        material: &Material,
        item: &Text,
        needed: Basis,
    ) -> Purchase {
        let price = offer.price;
        let loads = self.cost.carried.map(|carried| carried.loads);
        Purchase {
            material: material.id.clone(),
            item: item.clone(),
            region: offer.region.clone(),
            price: price.id.clone(),
            supplier: price.supplier.clone(),
            needed: self.needed,
            ordered: self.ordered.quantity,
            unit: material.purchase_unit,
            pack_count: self.ordered.packs,
            loads: loads.filter(|loads| loads.count != 0),
            goods: self.cost.goods,
            delivery: self.cost.delivery,
            lead_days: price.terms.lead_days,
            basis: needed.to(self.words),
            hint: self.hint,
            other_offers: Vec::new(),
        }
    }
}

/// The offer that answers, and the others, the cheapest first. `None` on overflow.
fn choose<'o, 'a>(
    offers: &'o Offers<'a>,
    material: &Material,
    needed: Decimal,
    charged: Charged,
) -> Option<(&'o Offer<'a>, Vec<OtherOffer>)> {
    if offers.rest.is_empty() && offers.passed_over.is_empty() {
        return Some((&offers.first, Vec::new()));
    }
    let total = |offer: &Offer| {
        let ordered = ordered(material, &offer.price.terms, needed)?;
        Some(offer.cost(ordered.quantity, charged)?.total)
    };
    let mut ranked: Vec<(&Offer, Money)> =
        Vec::with_capacity(1 + offers.rest.len() + offers.passed_over.len());
    for offer in std::iter::once(&offers.first).chain(&offers.rest) {
        ranked.push((offer, total(offer)?));
    }
    let cheapest = ranked.iter().map(|(offer, total)| rank(offer, *total));
    let cheapest = cheapest
        .enumerate()
        .min_by(|one, other| one.1.cmp(&other.1));
    let (offer, _) = ranked.swap_remove(cheapest?.0);
    // One that may not answer and cannot be reckoned with stands in nobody's way.
    let passed_over = offers.passed_over.iter();
    ranked.extend(passed_over.filter_map(|offer| Some((offer, total(offer)?))));
    ranked.sort_by(|one, other| rank(one.0, one.1).cmp(&rank(other.0, other.1)));
    let others = ranked.into_iter().map(|(offer, amount)| OtherOffer {
        region: offer.region.clone(),
        price: offer.price.id.clone(),
        supplier: offer.price.supplier.clone(),
        amount,
        lead_days: offer.price.terms.lead_days,
    });
    Some((offer, others.collect()))
}

/// By what it comes to, then by the id of the price, so that the order in which offers come decides nothing.
fn rank<'o>(offer: &'o Offer, total: Money) -> (Decimal, &'o str) {
    (total.amount(), offer.price.id.as_str())
}
