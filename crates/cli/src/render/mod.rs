//! How answers look: as tables for people, as JSON and CSV for programs.

pub mod again;
pub mod basis;
mod caution;
pub mod changes;
pub mod comparison;
pub mod csv;
pub mod escalation;
pub mod estimate;
pub mod figure;
mod lift;
mod mix;
mod movement;
mod offer;
mod order;
mod part;
mod purchase;
pub mod purchase_plan;
pub mod quote;
pub mod record;
pub mod shown;
pub mod straw_clay;
pub mod summary;
pub mod table;
pub mod takeoff;
pub mod trial_mixes;
pub mod variation;
pub(crate) mod wall;

use hod_wire::v1::Unit;

use crate::word;

/// A unit as it stands beside a figure; a step of the build-up is counted in nothing.
fn unit_symbol(unit: Unit) -> &'static str {
    match unit {
        Unit::Percent => "%",
        Unit::KgPerM3 => "kg/m3",
        Unit::Money | Unit::Number => "",
        unit => word::of::<Unit>(unit.into()),
    }
}
