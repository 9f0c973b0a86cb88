//! What the store promises, each promise on a real database of its own.
#![allow(clippy::unwrap_used)]

mod application_role;
mod catalogue;
mod constraints;
mod examples;
mod faults;
mod firms;
mod history;
mod inputs;
mod lists;
mod numbers;
mod open_jobs;
mod price_at_any_date;
mod price_care;
mod price_changes;
mod quotes;
mod refusals;
mod requests;
mod round_trip;
mod soil_work;
mod tampering;
mod together;
