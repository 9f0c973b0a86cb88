//! What becomes of a price when a list changes, in one word.

use super::Price;

/// What becomes of a price.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum PriceChange {
    /// The supplier had none in force for the material.
    New,
    /// It costs more than before.
    Raised,
    /// It costs less.
    Lowered,
    /// Nothing changes.
    Same,
    /// It ends with nothing in its place.
    Closed,
    /// The unit price stays, or cannot be held against the one before, and something else changes: breaks, pack,
    /// delivery, dates, unit or words.
    Altered,
}

impl PriceChange {
    /// From what was in force to what follows it. Ids are names and no part of a price: the same price under another id is
    /// the same. Nothing that follows nothing is the same too.
    pub fn between(before: Option<&Price>, after: Option<&Price>) -> Self {
        match (before, after) {
            (None, None) => Self::Same,
            (None, Some(_)) => Self::New,
            (Some(_), None) => Self::Closed,
            (Some(before), Some(after)) if before.unit != after.unit => Self::Altered,
            (Some(before), Some(after)) => match after.unit_price.cmp(&before.unit_price) {
                std::cmp::Ordering::Greater => Self::Raised,
                std::cmp::Ordering::Less => Self::Lowered,
                std::cmp::Ordering::Equal if is_same(before, after) => Self::Same,
                std::cmp::Ordering::Equal => Self::Altered,
            },
        }
    }
}

/// Alike in all but id.
fn is_same(before: &Price, after: &Price) -> bool {
    let Price {
        id: _,
        material,
        unit_price,
        unit,
        in_force,
        supplier,
        source,
        terms,
    } = before;
    *material == after.material
        && *unit_price == after.unit_price
        && *unit == after.unit
        && *in_force == after.in_force
        && *supplier == after.supplier
        && *source == after.source
        && *terms == after.terms
}
