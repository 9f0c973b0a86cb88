//! What becomes of a quote: accepted, declined, or ended. States only move forward.

use futures::FutureExt;
use hod_domain::id::QuoteId;
use hod_domain::quote::QuoteAct;
use hod_store::quote::{self as kept, QuoteEvent, StoredQuote};
use hod_store::{Session, Stored};
use hod_units::Date;
use hod_wire::v1 as wire;

use super::{against, fetched, hold, today, whole};
use crate::app::App;
use crate::app::meanwhile::CHANGED;
use crate::app::store_fault::refusal;
use crate::app::write::act;
use crate::call::Call;
use crate::decode::{Act, Decoder, note, tag};
use crate::name::{Collection, Quotes};
use crate::refusal::{Refusal, Violation};

/// What is said to have become of a quote, as the request has it.
pub struct Advance<'a> {
    /// What.
    pub act: QuoteAct,
    /// Which quote.
    pub name: &'a str,
    /// When.
    pub date: &'a str,
    /// What was said.
    pub note: &'a str,
    /// The state that the caller has read.
    pub etag: &'a str,
}

/// The same, read.
struct Step {
    act: QuoteAct,
    id: QuoteId,
    date: Date,
    note: String,
    expected: Option<i64>,
}

/// Keeps what became of a quote.
pub async fn advance_quote(
    app: &App,
    call: &Call,
    mut decoder: Decoder<'_>,
    how: Option<Act>,
    asked: Advance<'_>,
) -> Result<wire::Quote, Refusal> {
    let id = decoder.name::<Quotes>("name", asked.name);
    let date = decoder.date("date", asked.date);
    let note = note(&mut decoder, asked.note);
    let (Some(id), Some(date), Some(note), Some(how), true) =
        (id, date, note, how, decoder.is_clean())
    else {
        return Err(Refusal::Fields(decoder.violations()));
    };
    let step = Step {
        act: asked.act,
        id,
        date,
        note,
        expected: tag(asked.etag),
    };
    act(app, call, &how, |session| advanced(session, step).boxed()).await
}

async fn advanced(session: &mut Session, step: Step) -> Result<wire::Quote, Refusal> {
    hold(session, "name", &step.id).await?;
    let stored = fetched(session, "name", &step.id).await?;
    if step
        .expected
        .is_some_and(|expected| expected != stored.version)
    {
        return Err(stale(&step, &stored));
    }
    let standing = stored
        .value
        .standing()
        .after(step.act, step.date, session.latest_date())
        .map_err(|faults| against(&Quotes::name(&step.id), faults))?;
    let (id, state) = (&step.id, standing.state);
    let stored = kept::add_event(session, id, state, step.date, &step.note, step.expected)
        .await
        .map_err(|fault| refusal(fault, |_| "name"))?;
    let today = today(session);
    whole(session, &stored, today).await
}

/// The version of a quote is the number of its events: those behind the one that was read came meanwhile.
fn stale(step: &Step, stored: &Stored<StoredQuote>) -> Refusal {
    let read = step.expected.and_then(|read| usize::try_from(read).ok());
    let events = &stored.value.events;
    let since = read
        .filter(|read| 0 < *read)
        .and_then(|read| events.get(read..))
        .unwrap_or_default();
    let told = |event: &QuoteEvent| Violation {
        field: "state".to_owned(),
        reason: CHANGED,
        description: format!("it is {} since {}", event.state, event.date),
    };
    Refusal::Stale {
        name: Quotes::name(&step.id),
        changes: since.iter().map(told).collect(),
    }
}
