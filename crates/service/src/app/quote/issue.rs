//! Issuing a quote: from a kept estimate to what a client sees, numbered, dated and kept whole, in one transaction.

use futures::FutureExt;
use hod_domain::id::{EstimateId, JobId, QuoteId};
use hod_domain::quote::{IssueTerms, PricedEstimate, QuoteAct, offer};
use hod_store::quote::{self as kept, NewQuote, Snapshots};
use hod_store::{Session, estimate as kept_estimate, site as kept_site};
use hod_units::Date;
use hod_wire::v1 as wire;
use prost::Message;

use super::{against, fetched, hold, priced, today, told};
use crate::app::App;
use crate::app::compare::compared;
use crate::app::estimate::decoded;
use crate::app::store_fault::refusal;
use crate::app::write::act;
use crate::call::Call;
use crate::decode::{Act, Decoder, issue_terms, kept_estimate as read_kept};
use crate::encode;
use crate::name::{Collection, Estimates, Jobs, Quotes, Sites, read_name};
use crate::refusal::Refusal;

/// What is issued, and on what terms.
struct Issue {
    job: JobId,
    estimate: EstimateId,
    terms: IssueTerms,
    revised: Option<QuoteId>,
    is_trial: bool,
}

/// Issues a quote under the next number.
pub async fn issue_quote(
    app: &App,
    call: &Call,
    mut decoder: Decoder<'_>,
    how: Option<Act>,
    request: &wire::IssueQuoteRequest,
) -> Result<wire::Quote, Refusal> {
    let estimate = decoder.child_name::<Jobs, Estimates>("estimate", &request.estimate);
    let terms = issue_terms(&mut decoder, request);
    let revised = decoder.name_if_any::<Quotes>("revised_quote", &request.revised_quote);
    let (Some((job, estimate)), Some(terms), Some(revised), Some(how), true) =
        (estimate, terms, revised, how, decoder.is_clean())
    else {
        return Err(Refusal::Fields(decoder.violations()));
    };
    let issue = Issue {
        job,
        estimate,
        terms,
        revised,
        is_trial: how.validate_only,
    };
    act(app, call, &how, |session| issued(session, issue).boxed()).await
}

async fn issued(session: &mut Session, issue: Issue) -> Result<wire::Quote, Refusal> {
    let stored = kept_estimate::get(session, &issue.job, &issue.estimate)
        .await
        .map_err(|fault| refusal(fault, |_| "estimate"))?;
    let estimate = decoded(&stored.value).map_err(|fault| refusal(fault, |_| ""))?;
    let after = read_kept(&estimate).map_err(Refusal::internal)?;
    let mut terms = issue.terms.clone();
    terms.site_display_name = site_display_name(session, &estimate.site).await?;
    let mut changes = None;
    if let Some(revised) = &issue.revised {
        let before = revisable(session, revised, &issue.job, terms.issue_date).await?;
        terms.revised_number = revised.number();
        let (before_name, after_name) = (Quotes::name(revised), &estimate.name);
        changes = Some(compared(&before, &after, &before_name, after_name)?);
    }
    let mut offer =
        offer(&after, &terms, session.latest_date()).map_err(|faults| against("", faults))?;
    // Taken last, since nobody else takes one until this one is kept or undone. A trial takes one too, so that all that
    // the store has against it is told, and gives it back.
    let id = kept::next_number(session)
        .await
        .map_err(|fault| refusal(fault, |_| ""))?;
    offer.number = if issue.is_trial { 0 } else { id.number() };
    let snapshots = Snapshots {
        offer: encode::offer(&offer, estimate.takeoff).encode_to_vec(),
        estimate: stored.value,
        comparison: changes.map(|changes| changes.encode_to_vec()),
    };
    let new = NewQuote {
        id,
        job: issue.job,
        estimate: issue.estimate,
        client: terms.client,
        issue_date: offer.issue_date,
        valid_until: offer.valid_until,
        currency: offer.currency,
        total: offer.total.amount(),
        lift_count: after.lift_count,
        revised: issue.revised,
        snapshots,
    };
    let kept = kept::insert(session, &new)
        .await
        .map_err(|fault| refusal(fault, |_| "revised_quote"))?;
    let mut answer = told(&kept, &new.snapshots, today(session))?;
    if issue.is_trial {
        answer.name.clear();
    }
    Ok(answer)
}

/// What people call the site that an estimate was made for.
async fn site_display_name(session: &mut Session, name: &str) -> Result<String, Refusal> {
    let id = read_name::<Sites>(name).map_err(Refusal::internal)?;
    let site = kept_site::get(session, &id)
        .await
        .map_err(|fault| refusal(fault, |_| "estimate"))?;
    Ok(site.value.display_name)
}

/// The estimate of a quote that may be revised on this day, by a quote of this job.
async fn revisable(
    session: &mut Session,
    id: &QuoteId,
    job: &JobId,
    on: Date,
) -> Result<PricedEstimate, Refusal> {
    hold(session, "revised_quote", id).await?;
    let revised = fetched(session, "revised_quote", id).await?.value;
    if revised.job != *job {
        return Err(Refusal::field(
            "revised_quote",
            "QUOTE_OF_ANOTHER_JOB",
            format!(
                "{} is of another job, {}; name a quote of the job whose estimate is issued",
                Quotes::name(id),
                Jobs::name(&revised.job)
            ),
        ));
    }
    revised
        .standing()
        .after(QuoteAct::Supersede, on, session.latest_date())
        .map_err(|faults| against(&Quotes::name(id), faults))?;
    priced(session, id).await
}
