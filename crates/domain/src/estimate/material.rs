//! Lines of material: what is ordered, at its price. What an order comes to with breaks and delivery is for `buying`.

use hod_units::{Decimal, Money};

use super::price_chain::Answer;
use super::{Line, LineKind};
use crate::buying::{self, Charged, Purchase};
use crate::fault::{Fault, too_large};
use crate::takeoff::Order;
use crate::text::Text;

/// Adds the lines of all orders; gives what is bought.
pub(super) fn buy(
    orders: &[Order],
    prices: &[Answer],
    charged: Charged,
    lines: &mut Vec<Line>,
) -> Result<Vec<Purchase>, Fault> {
    let mut purchases = Vec::with_capacity(prices.len());
    for (order, answer) in orders.iter().zip(prices) {
        match answer {
            Answer::Site => lines.push(from_site(order, charged)),
            Answer::Bought(material, offers) => {
                let purchase = buying::buy(order, material, offers, charged, lines);
                let overflow = || too_large(&format!("the line of {}", order.material));
                purchases.push(purchase.ok_or_else(overflow)?);
            }
        }
    }
    Ok(purchases)
}

/// What the site gives costs nothing but labour.
fn from_site(order: &Order, charged: Charged) -> Line {
    Line {
        kind: LineKind::Material,
        item: order.item.clone(),
        quantity: order.quantity,
        unit: order.unit,
        unit_price: Some(Decimal::ZERO),
        price_source: Text::from("from the site, at no price"),
        amount: Money::zero(charged.currency),
        basis: order.basis.clone(),
        part: None,
    }
}
