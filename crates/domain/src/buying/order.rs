//! How much is really ordered of what is needed: whole packs, and the least that is sold.

use hod_units::{Decimal, Rounding, canonical, round};
use rust_decimal::prelude::ToPrimitive;

use crate::material::Material;
use crate::price::Terms;
use crate::text::Text;

/// An order as the merchant takes it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Ordered {
    /// How much.
    pub quantity: Decimal,
    /// In how many packs; 0 when it is not sold by the pack.
    pub packs: u32,
}

/// What is ordered where so much is needed: the least that is sold at least, and whole packs. Where nothing is needed
/// nothing is ordered. `None` on overflow, or when more than 4,294,967,295 packs would be.
pub(super) fn ordered(material: &Material, terms: &Terms, needed: Decimal) -> Option<Ordered> {
    if needed <= Decimal::ZERO {
        return Some(Ordered {
            quantity: needed,
            packs: 0,
        });
    }
    let quantity = match terms.minimum_order {
        Some(least) if needed < least => material.ordered(least)?,
        _ => needed,
    };
    match terms.pack_size {
        None => Some(Ordered { quantity, packs: 0 }),
        Some(size) => in_packs(quantity, size),
    }
}

fn in_packs(quantity: Decimal, size: Decimal) -> Option<Ordered> {
    // Held against the quantity itself, so that what a division leaves behind its last digit neither adds a pack nor takes
    // one away.
    let mut packs = round(quantity.checked_div(size)?, 0, Rounding::Down);
    if packs.checked_mul(size)? < quantity {
        packs = packs.checked_add(Decimal::ONE)?;
    }
    Some(Ordered {
        quantity: packs.checked_mul(size)?,
        packs: packs.to_u32()?,
    })
}

/// How an order was brought from what is needed to what is ordered, in words; empty when it was not.
pub(super) fn words(terms: &Terms, needed: Decimal, unit: &str) -> Text {
    if needed <= Decimal::ZERO {
        return Text::default();
    }
    let least = terms.minimum_order.filter(|least| needed < *least);
    let least = least.map(|least| format!("to the minimum order of {} {unit}", canonical(least)));
    let packs = terms.pack_size;
    let packs = packs.map(|size| format!("up to whole packs of {} {unit}", canonical(size)));
    match (least, packs) {
        (None, None) => Text::default(),
        (Some(words), None) | (None, Some(words)) => Text::from(words),
        (Some(least), Some(packs)) => Text::from(format!("{least}, then {packs}")),
    }
}
