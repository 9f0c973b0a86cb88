//! What the service does: load, compute, save. A file per noun says how that noun is kept; `resource` has the one
//! way of reading, listing, making and changing that they all go, `write` the one way of acting. No gRPC, no wire
//! format beyond the messages.

mod again;
mod compare;
mod crew;
mod estimate;
mod heavy;
mod identity;
mod inputs;
mod job;
mod job_reading;
mod labour_constant;
mod labour_rate;
mod library;
mod material;
mod meanwhile;
mod measure;
mod mix;
mod mix_trial;
mod naming;
mod price;
mod price_act;
mod price_adjust;
mod price_export;
mod price_fault;
mod price_file;
mod price_import;
mod problem;
mod purchase_plan;
mod quote;
mod region;
mod resource;
mod rule_pack;
mod site;
mod soil_test;
mod store_fault;
mod stream;
mod trial_mixes;
mod write;

use hod_store::{Session, Store};

use crate::call::Call;
use crate::limits::STATEMENT_TIME_LONG;
use crate::refusal::Refusal;

pub use again::price_jobs_again;
pub use compare::compare_estimates;
pub use estimate::{create_estimate, estimate_job, get_estimate, list_estimates};
pub use identity::id_or_new;
pub use job::delete_job;
pub use measure::{Subject, measure_job};
pub use price_adjust::adjust_prices;
pub use price_export::export_prices;
pub use price_import::import_prices;
pub use purchase_plan::plan_purchases;
pub use quote::{
    Advance, advance_quote, create_variation, escalate_quote, get_quote, get_variation,
    issue_quote, list_quotes, list_variations,
};
pub use resource::{Creation, Page, close_listed, create, create_listed, get, list, update};
pub use stream::estimate_jobs;
pub use trial_mixes::propose_trial_mixes;

/// Everything that calls share.
pub struct App {
    store: Store,
    inputs: inputs::Cache,
}

impl App {
    /// The service over a store.
    pub fn new(store: Store) -> Self {
        Self {
            store,
            inputs: inputs::Cache::default(),
        }
    }

    /// Opens a session for statements over very many rows, which end with the caller's patience or not soon.
    async fn long_session(&self, call: &Call) -> Result<Session, Refusal> {
        let mut session = self.session(call).await?;
        if !call.deadline.is_the_callers {
            session
                .limit_statement_time(STATEMENT_TIME_LONG)
                .await
                .map_err(|fault| store_fault::refusal(fault, |_| ""))?;
        }
        Ok(session)
    }

    /// Opens a session of the caller's firm whose statements end with the caller's patience.
    async fn session(&self, call: &Call) -> Result<Session, Refusal> {
        call.time_left()?;
        let mut session = self
            .store
            .begin(call.firm)
            .await
            .map_err(|fault| store_fault::refusal(fault, |_| ""))?;
        if call.deadline.is_the_callers {
            session
                .limit_statement_time(call.time_left()?)
                .await
                .map_err(|fault| store_fault::refusal(fault, |_| ""))?;
        }
        Ok(session)
    }
}
