//! What is to be got, as one would read it to the yard: so many bales of this, so many tonnes of that.

use hod_wire::v1::{Order, Unit};

use super::basis;
use super::figure::quantity;
use super::record::Record;
use super::table::{Side, Table};
use super::unit_symbol;

/// A row to each material; nothing when nothing is to be got.
pub(super) fn table(orders: &[Order], with_basis: bool) -> Option<Table> {
    let mut table = Table::new(&[
        ("To be got", Side::Left),
        ("Quantity", Side::Right),
        ("", Side::Left),
    ]);
    for order in orders {
        table.row([
            &order.item,
            &quantity(&order.quantity, order.unit()),
            counted_in(&order.quantity, order.unit()),
        ]);
        let words = basis::words(order.basis.as_ref(), "");
        if with_basis && !words.is_empty() {
            table.note(&format!("= {words}"));
        }
    }
    (!orders.is_empty()).then_some(table)
}

/// `bale` of one, `bales` of several; what is measured has its symbol.
pub(super) fn counted_in(quantity: &str, unit: Unit) -> &'static str {
    match (unit, quantity == "1") {
        (Unit::Bale, false) => "bales",
        (Unit::Bag, false) => "bags",
        (Unit::Roll, false) => "rolls",
        (Unit::Each, false) => "pieces",
        (Unit::Load, false) => "loads",
        (Unit::Day, false) => "days",
        (Unit::Week, false) => "weeks",
        (Unit::Trip, false) => "trips",
        (Unit::Visit, false) => "visits",
        (Unit::Night, false) => "nights",
        (Unit::PersonDay, false) => "person-days",
        (Unit::Sum, false) => "sums",
        (Unit::Each, true) => "piece",
        (unit, _) => unit_symbol(unit),
    }
}

pub(super) fn record(order: &Order) -> Record {
    Record::new()
        .text("material", &order.material)
        .text("item", &order.item)
        .text("quantity", &order.quantity)
        .word::<Unit>("unit", order.unit)
        .text("basis", &basis::words(order.basis.as_ref(), ""))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn an_order_reads_as_it_is_said_to_the_yard() {
        let order = |item: &str, quantity: &str, unit: Unit| Order {
            item: item.to_owned(),
            quantity: quantity.to_owned(),
            unit: unit.into(),
            ..Order::default()
        };
        let orders = [
            order("Sharp sand", "6.5", Unit::T),
            order("Straw bale", "118", Unit::Bale),
            order("Hydrated lime", "1", Unit::Bag),
            order("Adobe, made on the site", "1240", Unit::Each),
            order("Oak lintel", "2.4", Unit::M),
        ];
        let said = table(&orders, false).map(|table| table.to_string());
        assert_eq!(
            said.unwrap_or_default(),
            "To be got                Quantity\n\
             -----------------------------------------\n\
             Sharp sand                   6.50  t\n\
             Straw bale                 118     bales\n\
             Hydrated lime                1     bag\n\
             Adobe, made on the site   1240     pieces\n\
             Oak lintel                   2.40  m\n"
        );
        assert!(table(&[], false).is_none());
    }
}
