//! One row of a comparison: a line before and after, and why its amount differs.

use hod_units::{Decimal, Money};
use rust_decimal::dec;

use super::hours::{TaskHours, task_hours};
use super::pair::Pair;
use super::rule::Rule;
use super::{ComparisonRow, Effects, RowSide};
use crate::estimate::{LabourLine, LineKind};
use crate::quote::{PricedEstimate, PricedLine};

/// To what hours are shown: what is within it may be rounding.
const HOURS_STEP: Decimal = dec!(0.01);

/// The row of a pair; `None` on overflow.
pub(super) fn row(
    before: &PricedEstimate,
    after: &PricedEstimate,
    pair: &Pair,
) -> Option<ComparisonRow> {
    let line = pair.before.or(pair.after)?;
    let effects = effects(before, after, pair)?;
    Some(ComparisonRow {
        kind: pair.kind,
        item: line.item.clone(),
        unit: line.unit,
        before: pair.before.map(side),
        after: pair.after.map(side),
        difference: effects.sum()?,
        effects,
    })
}

fn side(line: &PricedLine) -> RowSide {
    RowSide {
        quantity: line.quantity,
        unit_price: line.unit_price,
        amount: line.amount,
    }
}

fn effects(before: &PricedEstimate, after: &PricedEstimate, pair: &Pair) -> Option<Effects> {
    let nothing = Money::zero(before.currency);
    let amounts = [pair.before, pair.after].map(|line| line.map_or(nothing, |line| line.amount));
    let is_step = |line: Option<&PricedLine>| line.is_some_and(|line| line.unit_price.is_none());
    if is_step(pair.before) || is_step(pair.after) {
        return of_step(before, after, pair, amounts);
    }
    match (pair.before, pair.after) {
        (Some(old), Some(new)) => of_counted(before, after, old, new),
        _ => Some(Effects {
            scope: less(amounts[1], amounts[0])?,
            ..Effects::none(before.currency)
        }),
    }
}

/// A step of the build-up: as it was on what now stands before it, and then as it is.
fn of_step(
    before: &PricedEstimate,
    after: &PricedEstimate,
    pair: &Pair,
    [old, new]: [Money; 2],
) -> Option<Effects> {
    let rules = [before, after].map(|estimate| Rule::of(estimate, pair));
    let carried = if rules[0] == rules[1] && before.rounding == after.rounding {
        new
    } else {
        rules[0].on(after, before.rounding)?
    };
    Some(Effects {
        carried: less(carried, old)?,
        build_up: less(new, carried)?,
        ..Effects::none(before.currency)
    })
}

/// A quantity at a price: first the new quantity at the old constants, then the new constants, then the new price, then
/// another rounding. Each step is taken from the one before, so that they add up.
fn of_counted(
    before: &PricedEstimate,
    after: &PricedEstimate,
    old: &PricedLine,
    new: &PricedLine,
) -> Option<Effects> {
    let (old_price, new_price) = (old.unit_price?, new.unit_price?);
    let worth = |quantity: Decimal, price: Decimal| {
        let worth = Money::new(quantity.checked_mul(price)?, before.currency);
        // What workshops bring in is taken off, however its line is written.
        let is_taken_off = old.kind == LineKind::Income && worth.amount() > Decimal::ZERO;
        let worth = if is_taken_off {
            worth.checked_mul(Decimal::NEGATIVE_ONE).ok()?
        } else {
            worth
        };
        Some(worth.rounded(before.rounding))
    };
    let between = quantity_between(before, after, old, new)?;
    let more = if between == old.quantity {
        old.amount
    } else {
        worth(between, old_price)?
    };
    let slower = if between == new.quantity {
        more
    } else {
        worth(new.quantity, old_price)?
    };
    let dearer = if new_price == old_price {
        slower
    } else if before.rounding == after.rounding {
        new.amount
    } else {
        worth(new.quantity, new_price)?
    };
    Some(Effects {
        quantity: less(more, old.amount)?,
        labour_constant: less(slower, more)?,
        price: less(dearer, slower)?,
        build_up: less(new.amount, dearer)?,
        ..Effects::none(before.currency)
    })
}

/// The quantity at the old labour constants: of hours what the grade would have at its old share of them; of all else, and
/// where nobody says what hours were counted by, the new quantity itself.
fn quantity_between(
    before: &PricedEstimate,
    after: &PricedEstimate,
    old: &PricedLine,
    new: &PricedLine,
) -> Option<Decimal> {
    let labour = before.labour.iter().find(|labour| is_of(labour, old));
    let task = labour
        .filter(|_| old.kind == LineKind::Labour)
        .map(|labour| labour.task);
    let hours = task.and_then(|task| task_hours(task, &before.works, &after.works));
    let Some(hours) = hours.filter(|hours| !hours.before.is_zero()) else {
        return Some(new.quantity);
    };
    let TaskHours {
        before: old_hours,
        between,
        after: new_hours,
    } = hours;
    let is_all_quantity = between == new_hours;
    if between == old_hours {
        // Nothing more and nothing less to do; where no constant moved either, what moved is rounding, or who does it.
        return Some(old.quantity);
    }
    let ratio = between.checked_div(old_hours)?;
    let of_grade = old.quantity.checked_mul(ratio)?;
    // Both quantities are rounded, and the old one's part of a step grows with the ratio.
    let rounding = HOURS_STEP.checked_mul(ratio.checked_add(Decimal::ONE)?)?;
    let off = new.quantity.checked_sub(of_grade)?.abs();
    Some(if is_all_quantity && off <= rounding {
        new.quantity
    } else {
        of_grade
    })
}

/// Whether a line is the one of these hours.
fn is_of(labour: &LabourLine, line: &PricedLine) -> bool {
    let grade = line.item.strip_prefix(labour.task.word());
    grade.and_then(|rest| rest.strip_prefix(", ")) == Some(labour.grade.as_str())
}

fn less(this: Money, that: Money) -> Option<Money> {
    this.checked_sub(that).ok()
}
