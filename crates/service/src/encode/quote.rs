//! Quotes: what was kept of one, with where it stands on a day.

use hod_domain::id::QuoteId;
use hod_domain::quote::QuoteState;
use hod_store::Stored;
use hod_store::quote::{QuoteEvent, StoredQuote};
use hod_units::Money;
use hod_wire::v1 as wire;

use super::choice;
use super::stamp::{etag, timestamp};
use crate::name::{Collection, Estimates, Jobs, Quotes, child_name};

/// What of a quote was kept as messages, as far as it is shown.
#[derive(Debug, Default)]
pub struct QuoteMessages {
    /// What the client sees.
    pub offer: wire::Offer,
    /// The estimate as it was; none in the client's view.
    pub estimate: Option<wire::Estimate>,
    /// What changed since the quote that it revises; none in the client's view, and without one.
    pub changes: Option<wire::Comparison>,
}

/// A quote in the state in which it stands on the day that is asked for.
pub fn quote(
    kept: &Stored<StoredQuote>,
    messages: QuoteMessages,
    state: QuoteState,
) -> wire::Quote {
    let quote = &kept.value;
    let money = |amount| Money::new(amount, quote.currency).fixed();
    let contract = quote.total.checked_add(quote.variations.total);
    wire::Quote {
        name: Quotes::name(&quote.id),
        job: Jobs::name(&quote.job),
        estimate: child_name::<Jobs, Estimates>(&quote.job, &quote.estimate),
        state: choice::quote_state(state),
        events: quote.events.iter().map(event).collect(),
        revised_quote: name_if_any(quote.revised.as_ref()),
        superseding_quote: name_if_any(quote.superseding.as_ref()),
        offer: Some(messages.offer),
        digest: hexadecimal(&quote.digest),
        estimate_snapshot: messages.estimate,
        changes: messages.changes,
        variations_total: money(quote.variations.total),
        contract_total: contract.map(money).unwrap_or_default(),
        variation_days: i32::try_from(quote.variations.days).unwrap_or(i32::MAX),
        create_time: Some(timestamp(kept.created)),
        etag: etag(kept.version),
    }
}

fn name_if_any(id: Option<&QuoteId>) -> String {
    id.map(Quotes::name).unwrap_or_default()
}

fn event(event: &QuoteEvent) -> wire::QuoteEvent {
    wire::QuoteEvent {
        state: choice::quote_state(event.state),
        date: event.date.to_string(),
        note: event.note.clone(),
        create_time: Some(timestamp(event.created)),
    }
}

fn hexadecimal(bytes: &[u8]) -> String {
    bytes.iter().map(|byte| format!("{byte:02x}")).collect()
}
