//! From a job to its price on a date: estimates that are not kept, and those that are and are then never changed.

use std::sync::Arc;

use futures::FutureExt;
use hod_domain::estimate::{self as engine, ENGINE_VERSION, Estimate};
use hod_domain::fault::Fault;
use hod_domain::id::{EstimateId, JobId};
use hod_domain::job::Job;
use hod_domain::takeoff;
use hod_store::estimate::{self as kept, NewEstimate};
use hod_store::{Session, StoreFault, inputs, job as kept_job};
use hod_units::Date;
use hod_wire::v1 as wire;
use prost::Message;

use super::App;
use super::heavy::compute;
use super::identity::new_id;
use super::inputs::{Found, Prepared, Wanted};
use super::job::kept_drawing;
use super::measure::{JOB, Subject, drawing, job_field, job_of};
use super::problem::Problems;
use super::resource::{Page, cut};
use super::store_fault::refusal;
use super::write::act;
use crate::call::Call;
use crate::decode::{Act, Decoder, Page as AskedPage};
use crate::encode::{self, EstimateHead, timestamp};
use crate::name::{Collection, Estimates, Jobs, Sites, child_name};
use crate::refusal::Refusal;

/// Prices a job on a date and keeps nothing.
pub async fn estimate_job(
    app: &App,
    call: &Call,
    subject: Subject,
    price_date: &str,
) -> Result<wire::Estimate, Refusal> {
    let mut problems = Problems::default();
    let mut decoder = Decoder::new();
    let on = decoder.date("price_date", price_date);
    problems.fields.extend(decoder.violations());
    let mut session = None;
    let (drawing, name) = match drawing(app, call, subject, &mut session).await {
        Ok(drawn) => drawn,
        Err(refusal) => {
            problems.add_refusal(refusal)?;
            return Err(told(problems));
        }
    };
    let job = job_of(&drawing, &mut problems);
    let wanted = wanted(job.as_ref(), on, &mut problems);
    let prepared = match &wanted {
        Some(wanted) => prepare(app, call, session, wanted, &mut problems).await?,
        None => None,
    };
    let estimate = price(job.as_ref(), prepared.as_deref(), &mut problems);
    let (Some(job), Some(prepared), Some(estimate), true) =
        (job, prepared, estimate, problems.is_empty())
    else {
        return Err(told(problems));
    };
    let head = head(&job, &prepared, name.unwrap_or_default());
    Ok(encode::estimate(
        &estimate,
        head,
        prepared.inputs.on,
        &prepared.lists,
    ))
}

/// Prices a kept job and keeps the estimate, as the very bytes that are answered.
pub async fn create_estimate(
    app: &App,
    call: &Call,
    mut decoder: Decoder<'_>,
    how: Option<Act>,
    request: &wire::CreateEstimateRequest,
) -> Result<wire::Estimate, Refusal> {
    let id = decoder.name::<Jobs>("parent", &request.parent);
    let on = decoder.date("price_date", &request.price_date);
    let (Some(id), Some(on), Some(how), true) = (id, on, how, decoder.is_clean()) else {
        return Err(Refusal::Fields(decoder.violations()));
    };
    act(app, call, &how, |session| keep(session, id, on).boxed()).await
}

async fn keep(session: &mut Session, id: JobId, on: Date) -> Result<wire::Estimate, Refusal> {
    let stored = kept_job::get(session, &id)
        .await
        .map_err(|fault| refusal(fault, |_| "parent"))?;
    let drawing = kept_drawing(&stored.value).map_err(|fault| refusal(fault, |_| ""))?;
    let mut problems = Problems::default();
    let job = job_of(&drawing, &mut problems);
    let prepared = match wanted(job.as_ref(), Some(on), &mut problems) {
        None => None,
        Some(wanted) => load(session, &wanted, &mut problems).await?,
    };
    let estimate = price(job.as_ref(), prepared.as_deref(), &mut problems);
    let (Some(job), Some(prepared), Some(estimate), true) =
        (job, prepared, estimate, problems.is_empty())
    else {
        return Err(told(problems));
    };
    let estimate_id = EstimateId::parse(&new_id('e')).map_err(Refusal::internal)?;
    let head = EstimateHead {
        name: child_name::<Jobs, Estimates>(&id, &estimate_id),
        create_time: Some(timestamp(session.now())),
        ..head(&job, &prepared, Jobs::name(&id))
    };
    let answer = encode::estimate(&estimate, head, on, &prepared.lists);
    let new = new_estimate(
        id,
        estimate_id,
        &estimate,
        &prepared,
        answer.encode_to_vec(),
    )?;
    kept::insert(session, &new)
        .await
        .map_err(|fault| refusal(fault, |_| "parent"))?;
    Ok(answer)
}

fn new_estimate(
    job: JobId,
    id: EstimateId,
    estimate: &Estimate,
    prepared: &Prepared,
    body: Vec<u8>,
) -> Result<NewEstimate, Refusal> {
    let region = prepared.lists.first().map(|(region, _)| region.clone());
    Ok(NewEstimate {
        job,
        id,
        price_date: prepared.inputs.on,
        region: region.ok_or_else(|| Refusal::internal("an estimate without a region"))?,
        currency: estimate.currency,
        total: estimate.totals.total.amount(),
        batch_count: estimate.batch_count,
        engine_version: ENGINE_VERSION.to_owned(),
        body,
    })
}

/// Reads a kept estimate.
pub async fn get_estimate(app: &App, call: &Call, name: &str) -> Result<wire::Estimate, Refusal> {
    let mut decoder = Decoder::new();
    let Some((job, id)) = decoder.child_name::<Jobs, Estimates>("name", name) else {
        return Err(Refusal::Fields(decoder.violations()));
    };
    let mut session = app.session(call).await?;
    let stored = kept::get(&mut session, &job, &id)
        .await
        .map_err(|fault| refusal(fault, |_| "name"))?;
    decoded(&stored.value).map_err(|fault| refusal(fault, |_| ""))
}

/// Lists the kept estimates of a job, newest first.
pub async fn list_estimates(
    app: &App,
    call: &Call,
    mut decoder: Decoder<'_>,
    page: Option<AskedPage>,
    parent: &str,
) -> Result<Page<wire::Estimate>, Refusal> {
    let job = decoder.name::<Jobs>("parent", parent);
    let (Some(page), Some(job), true) = (page, job, decoder.is_clean()) else {
        return Err(Refusal::Fields(decoder.violations()));
    };
    let mut session = app.session(call).await?;
    let after = page
        .after
        .as_deref()
        .and_then(|after| Estimates::id(after).ok());
    let found = kept::list(&mut session, &job, after.as_ref(), page.size + 1)
        .await
        .map_err(|fault| refusal(fault, |_| "parent"))?;
    let all: Result<Vec<wire::Estimate>, StoreFault> =
        found.iter().map(|stored| decoded(&stored.value)).collect();
    let all = all.map_err(|fault| refusal(fault, |_| ""))?;
    Ok(cut(all, &page, |estimate| &estimate.name))
}

fn decoded(bytes: &[u8]) -> Result<wire::Estimate, StoreFault> {
    wire::Estimate::decode(bytes).map_err(|fault| StoreFault::Internal(fault.into()))
}

/// What a job has to be priced with, when it names all of it.
fn wanted(job: Option<&Job>, on: Option<Date>, problems: &mut Problems) -> Option<Wanted> {
    let named = engine::named(job?)
        .map_err(|faults| problems.add(JOB, faults))
        .ok()?;
    Some(Wanted {
        site: named.site.clone(),
        mix: named.mix.clone(),
        crew: named.crew.clone(),
        on: on?,
    })
}

/// What a job is priced with. A call that has a session already loads it there; one that has none may find it
/// remembered. Never is the database asked about the memory while a session is open: with all connections taken by
/// calls that wait for one more, none would ever come back.
async fn prepare(
    app: &App,
    call: &Call,
    session: Option<Session>,
    wanted: &Wanted,
    problems: &mut Problems,
) -> Result<Option<Arc<Prepared>>, Refusal> {
    if let Some(mut session) = session {
        return load(&mut session, wanted, problems).await;
    }
    let before = match app.inputs.find(&app.store, call.firm, wanted).await {
        Found::Inputs(inputs) => return Ok(Some(inputs)),
        Found::Nothing(before) => before,
    };
    let mut session = app.session(call).await?;
    let loaded = load(&mut session, wanted, problems).await?;
    drop(session);
    if let (Some(loaded), Some(before)) = (&loaded, before) {
        app.inputs
            .keep(&app.store, call.firm, wanted, loaded, before)
            .await;
    }
    Ok(loaded)
}

/// Loads what a job is priced with; what is not there, or does not make a recipe, goes to the problems.
async fn load(
    session: &mut Session,
    wanted: &Wanted,
    problems: &mut Problems,
) -> Result<Option<Arc<Prepared>>, Refusal> {
    let Wanted {
        site,
        mix,
        crew,
        on,
    } = wanted;
    match inputs::load(session, site, mix, crew, *on).await {
        Ok(loaded) => match Prepared::of(loaded, *on) {
            Ok(prepared) => Ok(Some(Arc::new(prepared))),
            Err(faults) => {
                problems.add(JOB, faults);
                Ok(None)
            }
        },
        Err(fault) => {
            problems.add_refusal(refusal(fault, job_field))?;
            Ok(None)
        }
    }
}

/// Prices a job. Without inputs its walls are measured all the same, so that what is wrong with them is told too.
fn price(
    job: Option<&Job>,
    prepared: Option<&Prepared>,
    problems: &mut Problems,
) -> Option<Estimate> {
    let job = job?;
    let priced: Result<Option<Estimate>, Vec<Fault>> =
        compute(job.walls.len(), || match prepared {
            Some(prepared) => engine::estimate(job, &prepared.inputs).map(Some),
            None => takeoff::measure(job, None).map(|_| None),
        });
    priced.map_err(|faults| problems.add(JOB, faults)).ok()?
}

fn head(job: &Job, prepared: &Prepared, name: String) -> EstimateHead {
    EstimateHead {
        name: String::new(),
        job: name,
        display_name: job.display_name.clone(),
        site: Sites::name(&prepared.inputs.site.id),
        inputs: prepared.tags.clone(),
        create_time: None,
    }
}

fn told(problems: Problems) -> Refusal {
    problems
        .into_refusal()
        .unwrap_or_else(|| Refusal::internal("no estimate and nothing against it"))
}
