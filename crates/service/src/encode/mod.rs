//! From the domain to the wire. The same value always gives the same bytes: decimals in their canonical form, amounts
//! with the decimals of their currency, lists in the order of the domain. A file per noun; nothing here can fail.

mod basis;
mod build_up;
mod choice;
mod comparison;
mod crew;
mod escalation;
mod estimate;
mod job;
mod labour_constant;
mod labour_rate;
mod material;
mod mix;
mod mix_takeoff;
mod mix_trial;
mod offer;
mod price;
mod price_changes;
mod purchase;
mod purchase_plan;
mod quote;
mod region;
mod rule_pack;
mod scope;
mod site;
mod soil_test;
mod stamp;
mod straw_clay;
mod takeoff;
mod trial_mixes;
mod variation;

pub use comparison::comparison;
pub use crew::crew;
pub use escalation::escalation;
pub use estimate::{EstimateHead, estimate};
pub use job::job;
pub use labour_constant::labour_constant;
pub use labour_rate::labour_rate;
pub use material::material;
pub use mix::mix;
pub use mix_trial::mix_trial;
pub use offer::offer;
pub use price::price;
pub use price_changes::{event, file_fault, number, price_change};
pub use purchase_plan::purchase_plan;
pub use quote::{QuoteMessages, quote};
pub use region::region;
pub use rule_pack::rule_pack;
pub use site::site;
pub use soil_test::soil_test;
pub use stamp::timestamp;
pub use straw_clay::straw_clay;
pub use takeoff::takeoff;
pub use trial_mixes::trial_mixes;
pub use variation::{VariationWords, variation};

use hod_units::{Decimal, canonical};

/// A number that may be missing; empty when it is.
fn number_if_any(number: Option<Decimal>) -> String {
    number.map(canonical).unwrap_or_default()
}
