//! Invented prices and orders to buy by, and how the tests show what comes of it.

use hod_domain::basis::{Basis, Joint, Term};
use hod_domain::buying::{Charged, Offer, Offers, Purchase, buy};
use hod_domain::estimate::Line;
use hod_domain::fault::Fault;
use hod_domain::id::RegionId;
use hod_domain::material::{Material, Supply};
use hod_domain::price::{BreakRule, BreakStep, Breaks, Delivery, Price, Terms};
use hod_domain::takeoff::Order;
use hod_domain::text::Text;
use hod_domain::unit::Unit;
use hod_units::{Currency, Decimal, Mass, Rounding, Volume, canonical};

use crate::sample;

pub fn euros() -> Charged {
    charged("EUR", Rounding::HalfAwayFromZero)
}

pub fn charged(currency: &str, rounding: Rounding) -> Charged {
    Charged {
        currency: Currency::parse(currency).expect("a currency"),
        rounding,
    }
}

pub fn coast() -> RegionId {
    RegionId::parse("coast").expect("an id")
}

/// Bought by this unit, with no figure of its own.
pub fn goods(unit: Unit) -> Material {
    sample::material("goods", Supply::Bought, unit)
}

/// A price for the goods, with an id.
pub fn price(id: &str, unit_price: Decimal, unit: Unit) -> Price {
    sample::price(id, "goods", unit_price, unit, "2026-03-01", None)
}

pub fn with_terms(price: Price, terms: Terms) -> Price {
    Price { terms, ..price }
}

pub fn breaks(rule: BreakRule, steps: &[(Decimal, Decimal)]) -> Option<Breaks> {
    let step = |(from, unit_price): &(Decimal, Decimal)| BreakStep {
        from: *from,
        unit_price: *unit_price,
    };
    let steps = steps.iter().map(step).collect();
    Some(Breaks { rule, steps })
}

/// A load of so many, at so much.
pub fn by_quantity(most: Decimal, per_load: Decimal) -> Delivery {
    Delivery {
        load_quantity: Some(most),
        per_load,
        ..Delivery::default()
    }
}

pub fn cubic_metres(value: Decimal) -> Option<Volume> {
    Some(Volume::from_cubic_metres(value))
}

pub fn tonnes(value: Decimal) -> Option<Mass> {
    Mass::from_tonnes(value)
}

/// What a job needs of the goods, as its takeoff orders it.
pub fn order(material: &Material, quantity: Decimal) -> Order {
    let term = Term::new(
        Joint::Start,
        quantity,
        material.purchase_unit,
        "in the walls",
        "",
    );
    Order {
        material: material.id.clone(),
        item: Text::from(material.display_name.clone()),
        quantity,
        unit: material.purchase_unit,
        basis: Basis {
            terms: vec![term],
            rounding: material.order_rounding(),
        },
    }
}

/// Buys of the first that may answer, the others beside it.
pub fn bought_of(
    material: &Material,
    quantity: Decimal,
    may_answer: &[Price],
    passed_over: &[Price],
    charged: Charged,
) -> (Purchase, Vec<Line>) {
    let coast = coast();
    let offer = |price| Offer::new(&coast, price, material, None).expect("nothing is missing");
    let (first, rest) = may_answer.split_first().expect("one at least");
    let offers = Offers {
        first: offer(first),
        rest: rest.iter().map(offer).collect(),
        passed_over: passed_over.iter().map(offer).collect(),
    };
    let mut lines = Vec::new();
    let order = order(material, quantity);
    let purchase = buy(&order, material, &offers, charged, &mut lines).expect("small");
    (purchase, lines)
}

pub fn bought(material: &Material, quantity: Decimal, price: &Price) -> (Purchase, Vec<Line>) {
    bought_of(
        material,
        quantity,
        std::slice::from_ref(price),
        &[],
        euros(),
    )
}

/// A line as `item | quantity unit | unit price | amount`.
pub fn shown(line: &Line) -> String {
    let unit_price = canonical(line.unit_price.expect("every line of an order has one"));
    format!(
        "{} | {} {} | {unit_price} | {}",
        line.item,
        canonical(line.quantity),
        line.unit.word(),
        line.amount.fixed()
    )
}

pub fn all_shown(lines: &[Line]) -> Vec<String> {
    lines.iter().map(shown).collect()
}

/// A fault as `subject | field | rule | sentence`.
pub fn parts(fault: &Fault) -> [String; 4] {
    [
        fault.subject.clone(),
        fault.field.clone(),
        fault.reason.to_owned(),
        fault.message.clone(),
    ]
}

/// Faults as `field rule`.
pub fn blamed(faults: &[Fault]) -> Vec<String> {
    let words = |fault: &Fault| format!("{} {}", fault.field, fault.reason);
    faults.iter().map(words).collect()
}
