//! Two estimates held against each other.

use hod_domain::compare::{Comparison, ComparisonRow, Effects, RowSide};
use hod_units::canonical;
use hod_wire::v1 as wire;

use super::choice;

/// A comparison of what goes by these names.
pub fn comparison(comparison: &Comparison, before: String, after: String) -> wire::Comparison {
    wire::Comparison {
        before,
        after,
        currency_code: comparison.currency.code().to_owned(),
        rows: comparison.rows.iter().map(row).collect(),
        before_total: comparison.before_total.fixed(),
        after_total: comparison.after_total.fixed(),
        difference: comparison.difference.fixed(),
        effects: Some(effects(&comparison.effects)),
    }
}

fn row(row: &ComparisonRow) -> wire::ComparisonRow {
    let before = side(row.before.as_ref());
    let after = side(row.after.as_ref());
    wire::ComparisonRow {
        kind: choice::line_kind(row.kind),
        item: row.item.clone(),
        unit: choice::unit(row.unit),
        before_quantity: before.quantity,
        after_quantity: after.quantity,
        before_unit_price: before.unit_price,
        after_unit_price: after.unit_price,
        before_amount: before.amount,
        after_amount: after.amount,
        difference: row.difference.fixed(),
        effects: Some(effects(&row.effects)),
    }
}

/// What a line says in one of the two; empty where it does not stand.
#[derive(Default)]
struct Side {
    quantity: String,
    unit_price: String,
    amount: String,
}

fn side(side: Option<&RowSide>) -> Side {
    side.map_or_else(Side::default, |side| Side {
        quantity: canonical(side.quantity),
        unit_price: side.unit_price.map(canonical).unwrap_or_default(),
        amount: side.amount.fixed(),
    })
}

fn effects(effects: &Effects) -> wire::Effects {
    wire::Effects {
        quantity: effects.quantity.fixed(),
        price: effects.price.fixed(),
        labour_constant: effects.labour_constant.fixed(),
        scope: effects.scope.fixed(),
        carried: effects.carried.fixed(),
        build_up: effects.build_up.fixed(),
    }
}
