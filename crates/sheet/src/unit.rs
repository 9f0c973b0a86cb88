//! The words for purchase units in a file: those by which every message names them.

use hod_domain::unit::Unit;

/// Everything that is bought in.
const PURCHASE_UNITS: [Unit; 10] = [
    Unit::M3,
    Unit::T,
    Unit::Kg,
    Unit::L,
    Unit::M,
    Unit::M2,
    Unit::Bale,
    Unit::Bag,
    Unit::Roll,
    Unit::Each,
];

/// The unit that the word stands for.
pub(crate) fn purchase_unit(word: &str) -> Option<Unit> {
    PURCHASE_UNITS.into_iter().find(|unit| unit.word() == word)
}

/// All words, for a message.
pub(crate) fn purchase_units() -> String {
    PURCHASE_UNITS.map(Unit::word).join(", ")
}
