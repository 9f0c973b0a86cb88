//! Quotes: issued once (`issue`), read back as the very bytes that were kept, moved forward (`advance`), varied (`vary`)
//! and adjusted by indices (`escalate`). What a client sees and what may become of a quote is for the middle.

mod advance;
mod escalate;
mod issue;
mod vary;

use hod_domain::fault::Fault;
use hod_domain::id::QuoteId;
use hod_domain::quote::PricedEstimate;
use hod_store::quote::{self as kept, QuoteFilter, Snapshots, StoredQuote};
use hod_store::{Session, Stored};
use hod_units::Date;
use hod_wire::v1 as wire;
use prost::Message;

pub use self::advance::{Advance, advance_quote};
pub use self::escalate::escalate_quote;
pub use self::issue::issue_quote;
pub use self::vary::{create_variation, get_variation, list_variations};

use super::App;
use super::resource::{Page, cut};
use super::store_fault::refusal;
use crate::call::Call;
use crate::decode::{Decoder, Page as AskedPage, QuoteView, kept_estimate, quote_state_if_any};
use crate::encode::{self, QuoteMessages};
use crate::name::{Collection, Jobs, Quotes};
use crate::refusal::{Lack, Refusal, Violation};

/// Reads a quote.
pub async fn get_quote(
    app: &App,
    call: &Call,
    mut decoder: Decoder<'_>,
    view: Option<QuoteView>,
    name: &str,
) -> Result<wire::Quote, Refusal> {
    let id = decoder.name::<Quotes>("name", name);
    let (Some(id), Some(view), true) = (id, view, decoder.is_clean()) else {
        return Err(Refusal::Fields(decoder.violations()));
    };
    let mut session = app.session(call).await?;
    let stored = fetched(&mut session, "name", &id).await?;
    let today = today(&session);
    match view {
        QuoteView::Client => client_view(&stored, today),
        QuoteView::All => whole(&mut session, &stored, today).await,
    }
}

/// Lists quotes, the newest first, in the client's view.
pub async fn list_quotes(
    app: &App,
    call: &Call,
    mut decoder: Decoder<'_>,
    page: Option<AskedPage>,
    request: &wire::ListQuotesRequest,
) -> Result<Page<wire::Quote>, Refusal> {
    let job = decoder.name_if_any::<Jobs>("job", &request.job);
    let state = quote_state_if_any(&mut decoder, "state", request.state);
    let (Some(page), Some(job), Some(state), true) = (page, job, state, decoder.is_clean()) else {
        return Err(Refusal::Fields(decoder.violations()));
    };
    let mut session = app.session(call).await?;
    let today = today(&session);
    let after = page
        .after
        .as_deref()
        .and_then(|after| Quotes::id(after).ok());
    let state_on = state.map(|state| (state, today));
    let filter = QuoteFilter { job, state_on };
    let found = kept::list(&mut session, &filter, after.as_ref(), page.size + 1)
        .await
        .map_err(|fault| refusal(fault, |_| "job"))?;
    let all: Result<Vec<wire::Quote>, Refusal> = found
        .iter()
        .map(|stored| client_view(stored, today))
        .collect();
    Ok(cut(all?, &page, |quote| &quote.name))
}

/// The day that it is, by the database's clock, in UTC.
fn today(session: &Session) -> Date {
    session.now().date_naive()
}

/// A kept quote, which this field of the request names.
pub async fn fetched(
    session: &mut Session,
    field: &'static str,
    id: &QuoteId,
) -> Result<Stored<StoredQuote>, Refusal> {
    kept::get(session, id)
        .await
        .map_err(|fault| refusal(fault, |_| field))
}

/// Holds a quote to the end of the transaction, so that what becomes of it waits for what is done now.
async fn hold(session: &mut Session, field: &'static str, id: &QuoteId) -> Result<(), Refusal> {
    kept::hold(session, id)
        .await
        .map_err(|fault| refusal(fault, |_| field))
}

/// What a client sees of a quote on a day.
fn client_view(stored: &Stored<StoredQuote>, today: Date) -> Result<wire::Quote, Refusal> {
    let messages = QuoteMessages {
        offer: read(&stored.value.offer)?,
        ..Default::default()
    };
    let state = stored.value.standing().on(today);
    Ok(encode::quote(stored, messages, state))
}

/// All of a quote on a day: the bytes kept are the bytes told.
async fn whole(
    session: &mut Session,
    stored: &Stored<StoredQuote>,
    today: Date,
) -> Result<wire::Quote, Refusal> {
    let snapshots = snapshots(session, &stored.value.id).await?;
    told(stored, &snapshots, today)
}

/// All of a quote with these kept bytes on a day.
fn told(
    stored: &Stored<StoredQuote>,
    snapshots: &Snapshots,
    today: Date,
) -> Result<wire::Quote, Refusal> {
    let messages = QuoteMessages {
        offer: read(&snapshots.offer)?,
        estimate: Some(read(&snapshots.estimate)?),
        changes: snapshots.comparison.as_deref().map(read).transpose()?,
    };
    let state = stored.value.standing().on(today);
    Ok(encode::quote(stored, messages, state))
}

async fn snapshots(session: &mut Session, id: &QuoteId) -> Result<Snapshots, Refusal> {
    kept::snapshots(session, id)
        .await
        .map_err(|fault| refusal(fault, |_| ""))
}

/// A message of kept bytes.
fn read<M: Message + Default>(bytes: &[u8]) -> Result<M, Refusal> {
    M::decode(bytes).map_err(Refusal::internal)
}

/// The estimate of a quote that is there, as quotes and comparisons read it.
pub async fn priced(session: &mut Session, id: &QuoteId) -> Result<PricedEstimate, Refusal> {
    let snapshots = snapshots(session, id).await?;
    kept_estimate(&read(&snapshots.estimate)?).map_err(Refusal::internal)
}

/// The refusal of what does not hold, all of it: by its fields where any of them is to blame, else by what it is about.
/// `subject` is what a fault is about that has neither a field nor a subject of its own.
pub fn against(subject: &str, faults: Vec<Fault>) -> Refusal {
    if faults.iter().any(|fault| !fault.field.is_empty()) {
        let violations = faults.into_iter().map(|fault| Violation {
            field: fault.field,
            reason: fault.reason,
            description: fault.message,
        });
        return Refusal::Fields(violations.collect());
    }
    let lacks = faults.into_iter().map(|fault| Lack {
        reason: fault.reason,
        subject: if fault.subject.is_empty() {
            subject.to_owned()
        } else {
            fault.subject
        },
        description: fault.message,
    });
    Refusal::StandsAgainst(lacks.collect())
}
