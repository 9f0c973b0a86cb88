//! From a job to its price on a date: estimates that are not kept, and those that are and are then never changed.

use std::sync::Arc;

use chrono::{DateTime, Utc};
use futures::FutureExt;
use hod_domain::estimate::{self as engine, ENGINE_VERSION, Estimate};
use hod_domain::id::{EstimateId, JobId};
use hod_domain::job::Job;
use hod_domain::library::Library;
use hod_domain::work::LabourConstant;
use hod_store::estimate::{self as kept, NewEstimate};
use hod_store::inputs::{self, LibraryNames, Names};
use hod_store::{Session, StoreFault, job as kept_job, labour_constant};
use hod_units::Date;
use hod_wire::v1 as wire;
use prost::Message;

use super::App;
use super::heavy::compute;
use super::identity::new_id;
use super::inputs::{Found, Prepared};
use super::job::kept_drawing;
use super::library::{load_library, missing, names as library_names, without};
use super::measure::{JOB, Subject, at_their_systems, drawing, job_of, measured, opened};
use super::problem::Problems;
use super::resource::{Page, cut};
use super::store_fault::refusal;
use super::write::act;
use crate::call::Call;
use crate::decode::{Act, Decoder, Page as AskedPage};
use crate::encode::{self, EstimateHead, timestamp};
use crate::name::{Collection, Estimates, Jobs, Sites, child_name};
use crate::refusal::Refusal;

/// What there is to price a job with.
pub enum Ready {
    /// All of it.
    Inputs(Arc<Prepared>),
    /// Only what it draws on, as far as that is there, and the hours of work: enough to tell what else is wrong.
    Part(Box<Library>, Vec<LabourConstant>),
}

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
    let Some(job) = job_of(&drawing, &mut problems) else {
        return Err(told(problems));
    };
    let names = names(&job, on, &mut problems);
    let asked = Asked {
        drawing: &drawing,
        job: &job,
    };
    let ready = prepare(app, call, session, &asked, names, &mut problems).await?;
    let (prepared, estimate) = price(&job, ready, problems)?;
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
    let Some(job) = job_of(&drawing, &mut problems) else {
        return Err(told(problems));
    };
    let asked = Asked {
        drawing: &drawing,
        job: &job,
    };
    let names = names(&job, Some(on), &mut problems);
    let ready = load(session, &asked, names.as_deref(), &mut problems).await?;
    let (prepared, estimate) = price(&job, ready, problems)?;
    let (answer, new) = kept_one(id, &job, &prepared, &estimate, session.now())?;
    kept::insert(session, &new)
        .await
        .map_err(|fault| refusal(fault, |_| "parent"))?;
    Ok(answer)
}

/// A priced job as it is kept from `now` on: what is answered, and the row of its very bytes.
pub fn kept_one(
    id: JobId,
    job: &Job,
    prepared: &Prepared,
    estimate: &Estimate,
    now: DateTime<Utc>,
) -> Result<(wire::Estimate, NewEstimate), Refusal> {
    let estimate_id = EstimateId::parse(&new_id('e')).map_err(Refusal::internal)?;
    let head = EstimateHead {
        name: child_name::<Jobs, Estimates>(&id, &estimate_id),
        create_time: Some(timestamp(now)),
        ..head(job, prepared, Jobs::name(&id))
    };
    let answer = encode::estimate(estimate, head, prepared.inputs.on, &prepared.lists);
    let body = answer.encode_to_vec();
    let new = new_estimate(id, estimate_id, estimate, prepared, body)?;
    Ok((answer, new))
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

pub fn decoded(bytes: &[u8]) -> Result<wire::Estimate, StoreFault> {
    wire::Estimate::decode(bytes).map_err(|fault| StoreFault::Internal(fault.into()))
}

/// A job that is to be priced, and the message that it came in.
pub struct Asked<'a> {
    /// The message.
    pub drawing: &'a wire::Job,
    /// The job.
    pub job: &'a Job,
}

/// What a job has to be priced with, when it names all of it.
pub fn names(job: &Job, on: Option<Date>, problems: &mut Problems) -> Option<Arc<Names>> {
    let named = engine::named(job)
        .map_err(|faults| problems.add(JOB, faults))
        .ok()?;
    Some(Arc::new(Names {
        site: named.site.clone(),
        crew: named.crew.clone(),
        on: on?,
        library: library_names(job),
    }))
}

/// What a job is priced with. A call that has a session already loads it there; one that has none may find it
/// remembered. Never is the database asked about the memory while a session is open: with all connections taken by
/// calls that wait for one more, none would ever come back.
async fn prepare(
    app: &App,
    call: &Call,
    mut session: Option<Session>,
    asked: &Asked<'_>,
    names: Option<Arc<Names>>,
    problems: &mut Problems,
) -> Result<Ready, Refusal> {
    let (None, Some(names)) = (&session, &names) else {
        let session = opened(app, call, &mut session).await?;
        return load(session, asked, names.as_deref(), problems).await;
    };
    let before = match app.inputs.find(&app.store, call.firm, names).await {
        Found::Inputs(inputs) => return Ok(Ready::Inputs(inputs)),
        Found::Nothing(before) => before,
    };
    let mut session = app.session(call).await?;
    let ready = load(&mut session, asked, Some(names), problems).await?;
    drop(session);
    if let (Ready::Inputs(loaded), Some(before)) = (&ready, before) {
        app.inputs
            .keep(&app.store, call.firm, names, loaded, before)
            .await;
    }
    Ok(ready)
}

/// Loads what a job is priced with, as far as it is there.
pub async fn load(
    session: &mut Session,
    asked: &Asked<'_>,
    names: Option<&Names>,
    problems: &mut Problems,
) -> Result<Ready, Refusal> {
    let Some(names) = names else {
        return load_part(session, asked, library_names(asked.job), problems).await;
    };
    match inputs::load(session, names).await {
        Ok(loaded) => Ok(Ready::Inputs(Arc::new(Prepared::of(loaded, names)))),
        Err(StoreFault::NotFound(things)) => {
            let left = without(&names.library, &things);
            problems.missing.extend(missing(things, asked.drawing));
            load_part(session, asked, left, problems).await
        }
        Err(fault) => Err(refusal(fault, |_| "")),
    }
}

/// Most labour constants that a job is held against where it cannot be priced.
const CONSTANTS_MAX: u32 = 10_000;

/// Loads what tells what is wrong with a job besides that it lacks a site, a crew or a day.
async fn load_part(
    session: &mut Session,
    asked: &Asked<'_>,
    names: LibraryNames,
    problems: &mut Problems,
) -> Result<Ready, Refusal> {
    let library = load_library(session, asked.drawing, names, problems).await?;
    let constants = labour_constant::list(session, None, None, CONSTANTS_MAX)
        .await
        .map_err(|fault| refusal(fault, |_| ""))?;
    let constants = constants.into_iter().map(|stored| stored.value).collect();
    Ok(Ready::Part(Box::new(library), constants))
}

/// Prices a job; refused with all that is wrong. Without all inputs it is measured all the same, so that what is wrong
/// with its walls and its work is told too.
pub fn price(
    job: &Job,
    ready: Ready,
    mut problems: Problems,
) -> Result<(Arc<Prepared>, Estimate), Refusal> {
    let prepared = match ready {
        Ready::Inputs(prepared) => prepared,
        Ready::Part(library, constants) => {
            if let Some(takeoff) = measured(job, &library, &mut problems) {
                problems.add_lacks(JOB, engine::lacks(&takeoff, &constants));
            }
            return Err(told(problems));
        }
    };
    problems.add(JOB, prepared.faults.clone());
    let priced = compute(job.walls.len(), || engine::estimate(job, &prepared.inputs));
    match priced {
        Ok(estimate) if problems.is_empty() => Ok((prepared, estimate)),
        Ok(_) => Err(told(problems)),
        Err(faults) => {
            problems.add_measured(JOB, at_their_systems(faults, job));
            Err(told(problems))
        }
    }
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

pub fn told(problems: Problems) -> Refusal {
    problems
        .into_refusal()
        .unwrap_or_else(|| Refusal::internal("no estimate and nothing against it"))
}
