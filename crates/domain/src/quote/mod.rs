//! Quotes: an estimate as a client sees it, without the make-up of its cost, and what becomes of it.
//!
//! Numbers, dates and what is kept are given by others; nothing here reads a clock or a store.

mod priced;

pub use self::priced::{HourRate, PricedCaution, PricedEstimate, PricedLine};
