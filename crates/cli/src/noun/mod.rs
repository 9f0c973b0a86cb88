//! The nouns of the contract as they are shown: which fields each has, in which order, and which of them a list needs.
//! Calling the server for them is for `command`.

mod crew;
mod estimate;
mod job;
mod labour_constant;
mod labour_rate;
mod material;
mod mix;
mod price;
mod region;
mod site;
mod soil_test;

use crate::render::record::Record;
use crate::render::table::Side;

/// Something the server keeps.
pub trait Noun: Default + 'static {
    /// The columns of a list, units in their headings.
    const COLUMNS: &'static [Column<Self>];

    /// All its fields under the names of the contract.
    fn record(&self) -> Record;

    /// Its resource name.
    fn name(&self) -> &str;
}

/// A column of a list.
pub struct Column<T> {
    /// With the unit of what stands below it.
    pub heading: &'static str,
    /// Figures stand to the right.
    pub side: Side,
    /// What stands in it.
    pub show: fn(&T) -> String,
}

/// A column of words.
const fn words<T>(heading: &'static str, show: fn(&T) -> String) -> Column<T> {
    Column {
        heading,
        side: Side::Left,
        show,
    }
}

/// A column of figures.
const fn figures<T>(heading: &'static str, show: fn(&T) -> String) -> Column<T> {
    Column {
        heading,
        side: Side::Right,
        show,
    }
}
