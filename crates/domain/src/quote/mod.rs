//! Quotes: an estimate as a client sees it ([`offer`]), without the make-up of its cost; how it is paid; what it is
//! provisional for; what becomes of it; and the variations agreed under it.
//!
//! Numbers and today's date are given by others; nothing here reads a clock or a store.

mod heading;
mod knowledge;
mod offer;
mod payment;
mod priced;
mod provisional;
mod state;
pub(crate) mod taxed;
mod variation;

pub use self::heading::OfferLine;
pub use self::knowledge::ASKED_PARTS;
pub use self::offer::{IssueTerms, Offer, OfferTax, offer};
pub use self::payment::{Milestone, Payments, Retention, Stage, StageTerm, payments};
pub use self::priced::{HourRate, MeasuredItem, PricedCaution, PricedEstimate, PricedLine};
pub use self::provisional::{ProvisionalReason, provisional_reasons};
pub use self::state::{QuoteAct, QuoteStanding, QuoteState};
pub use self::variation::{Variation, VariationTerm, VariationTerms, VariedQuote, variation};
