//! Postgres: rows in, domain values out; the private cluster.
//!
//! A [`Store`] is a pool of connections as the application role; a [`Session`] on it is one transaction held to one
//! firm. Each noun has a file of free functions over a session, with the sentences of its constraints beside its
//! queries. Nothing here prices, measures or decodes a message: what is read goes to the middle as it is.

pub mod application_role;
pub mod cluster;
pub mod crew;
mod dated;
pub mod estimate;
mod exact;
mod fault;
pub mod firm;
mod history;
pub mod inputs;
pub mod job;
pub mod labour_constant;
pub mod labour_rate;
pub mod library;
mod make_up;
pub mod material;
pub mod mix;
pub mod mix_trial;
pub mod open_job;
pub mod past_version;
mod pool;
pub mod price;
pub mod price_changes;
pub mod price_walk;
pub mod quote;
pub mod region;
pub mod request;
mod row;
pub mod rule_pack;
mod session;
pub mod site;
pub mod soil_test;
mod stored;
mod thing;
pub mod variation;
mod words;

pub use exact::{PLACES_MAX, UNIT_PRICE_PLACES_MAX, WAGE_PLACES_MAX};
pub use fault::{Stale, StoreFault, sentence};
pub use firm::{Access, Role};
pub use session::{FirmId, Session, Store, Watch};
pub use stored::Stored;
pub use thing::Thing;
