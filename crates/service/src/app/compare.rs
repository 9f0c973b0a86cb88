//! Two kept estimates or quotes held against each other.

use hod_domain::compare::compare;
use hod_domain::fault::Fault;
use hod_domain::id::{EstimateId, JobId, QuoteId};
use hod_domain::quote::PricedEstimate;
use hod_store::{Session, estimate as kept_estimate};
use hod_wire::v1 as wire;

use super::App;
use super::estimate::decoded;
use super::quote::{against, fetched, priced};
use super::store_fault::refusal;
use crate::call::Call;
use crate::decode::{Decoder, kept_estimate as read_kept};
use crate::encode;
use crate::name::{Estimates, Jobs, Quotes};
use crate::refusal::Refusal;

/// What can be held against another.
enum Side {
    Estimate(JobId, EstimateId),
    Quote(QuoteId),
}

/// Holds two against each other.
pub async fn compare_estimates(
    app: &App,
    call: &Call,
    request: &wire::CompareEstimatesRequest,
) -> Result<wire::Comparison, Refusal> {
    let mut decoder = Decoder::new();
    let before = side(&mut decoder, "before", &request.before);
    let after = side(&mut decoder, "after", &request.after);
    let (Some(before), Some(after)) = (before, after) else {
        return Err(Refusal::Fields(decoder.violations()));
    };
    let mut session = app.session(call).await?;
    let before = read(&mut session, "before", before).await?;
    let after = read(&mut session, "after", after).await?;
    compared(&before, &after, &request.before, &request.after)
}

/// Two estimates held against each other, under these names.
pub fn compared(
    before: &PricedEstimate,
    after: &PricedEstimate,
    before_name: &str,
    after_name: &str,
) -> Result<wire::Comparison, Refusal> {
    let comparison = compare(before, after).map_err(|faults: Vec<Fault>| against("", faults))?;
    Ok(encode::comparison(
        &comparison,
        before_name.to_owned(),
        after_name.to_owned(),
    ))
}

fn side(decoder: &mut Decoder<'_>, field: &'static str, name: &str) -> Option<Side> {
    if name.starts_with("quotes/") {
        return decoder.name::<Quotes>(field, name).map(Side::Quote);
    }
    if name.is_empty() {
        let found = format!("{field} is needed and empty; write jobs/ID/estimates/ID or quotes/ID");
        decoder.refuse(field, "MISSING", found);
        return None;
    }
    decoder
        .child_name::<Jobs, Estimates>(field, name)
        .map(|(job, estimate)| Side::Estimate(job, estimate))
}

async fn read(
    session: &mut Session,
    field: &'static str,
    side: Side,
) -> Result<PricedEstimate, Refusal> {
    match side {
        Side::Estimate(job, id) => {
            let kept = kept_estimate::get(session, &job, &id)
                .await
                .map_err(|fault| refusal(fault, |_| field))?;
            let wire = decoded(&kept.value).map_err(|fault| refusal(fault, |_| ""))?;
            read_kept(&wire).map_err(Refusal::internal)
        }
        Side::Quote(id) => {
            fetched(session, field, &id).await?;
            priced(session, &id).await
        }
    }
}
