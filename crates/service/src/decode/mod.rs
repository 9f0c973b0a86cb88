//! From the wire to the domain: every field is read, and every fault is told with its path. A file per noun.
//! Rules that span several fields, and those of geometry, belong to the domain, which is asked by `app`.

mod act;
mod build;
mod build_up;
pub(crate) mod choice;
mod commerce;
mod crew;
mod decoder;
mod finish;
mod floor;
mod ground;
mod job;
mod kept_estimate;
mod labour_constant;
mod labour_rate;
mod layer;
mod mask;
mod material;
mod mix;
mod mix_trial;
mod opening;
mod oven;
mod page;
mod price;
mod price_changes;
mod quote;
mod region;
mod rule_pack;
mod site;
mod soil_test;
mod stem_wall;
mod straw_clay;
mod tag;
mod trial_mixes;
mod wall;
mod wall_work;

pub use act::Act;
pub use choice::task_if_any;
pub use crew::crew;
pub use decoder::{Bounds, Decoder};
pub use job::{Drawn, job};
pub use kept_estimate::kept_estimate;
pub use labour_constant::labour_constant;
pub use labour_rate::{grade_if_any, labour_rate};
pub(crate) use mask::masked;
pub use mask::{MaskedField, MaskedFields, is_set, merge};
pub use material::{group_if_any, material};
pub use mix::mix;
pub use mix_trial::mix_trial;
pub use page::{Page, next_page_token};
pub use price::{list_version, price};
pub use price_changes::{AdjustAsked, ExportAsked, ImportAsked, adjust, export, import_start};
pub use quote::{
    AgreedVariation, QuoteView, formula, issue_terms, note, quote_state_if_any, quote_view,
    variation,
};
pub use region::region;
pub use rule_pack::rule_pack;
pub use site::site;
pub use soil_test::soil_test;
pub use straw_clay::straw_clay;
pub use tag::tag;
pub use trial_mixes::{SoilAsked, TrialsAsked, trial_mixes};
pub use wall::DrawnWall;

#[cfg(test)]
pub use build_up::build_up;

/// Most characters of a display name or a supplier.
const NAME_CHARACTERS_MAX: usize = 120;

/// Most characters of a source.
pub const SOURCE_CHARACTERS_MAX: usize = 400;
