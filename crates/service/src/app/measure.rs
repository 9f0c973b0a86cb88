//! From a job to its takeoff. Needs no site, price or rate, and nothing is kept.

use hod_domain::job::Job;
use hod_domain::mix::Recipe;
use hod_domain::takeoff::{self, Takeoff};
use hod_store::{Session, inputs, job as kept};
use hod_wire::v1 as wire;

use super::App;
use super::heavy::compute;
use super::job::kept_drawing;
use super::job_reading::read_job;
use super::problem::Problems;
use super::store_fault::refusal;
use crate::call::Call;
use crate::decode::Decoder;
use crate::name::{Collection, Jobs, Mixes};
use crate::refusal::Refusal;

/// The field of a request that holds a job in full.
pub const JOB: &str = "job";

/// Which job a request is about.
pub enum Subject {
    /// One in full.
    Inline(Box<wire::Job>),
    /// A kept one, by its name.
    Kept(String),
    /// None at all.
    Nothing,
}

/// Measures a job.
pub async fn measure_job(app: &App, call: &Call, subject: Subject) -> Result<Takeoff, Refusal> {
    let mut session = None;
    let (drawing, _) = drawing(app, call, subject, &mut session).await?;
    let mut problems = Problems::default();
    let job = job_of(&drawing, &mut problems);
    let recipe = match job.as_ref().and_then(|job| job.mix.as_ref()) {
        None => None,
        Some(mix) => {
            let session = opened(app, call, &mut session).await?;
            match inputs::load_recipe(session, mix).await {
                Ok(loaded) => Recipe::new(loaded.mix, loaded.materials)
                    .map_err(|faults| problems.add(JOB, faults))
                    .ok(),
                Err(fault) => {
                    problems.add_refusal(refusal(fault, |_| "job.mix"))?;
                    None
                }
            }
        }
    };
    let takeoff = job.as_ref().and_then(|job| {
        compute(job.walls.len(), || takeoff::measure(job, recipe.as_ref()))
            .map_err(|faults| problems.add(JOB, faults))
            .ok()
    });
    match (takeoff, problems.into_refusal()) {
        (Some(takeoff), None) => Ok(takeoff),
        (_, Some(refusal)) => Err(refusal),
        (None, None) => Err(Refusal::internal("no takeoff and nothing against it")),
    }
}

/// The session of a call that may not need one: opened by the first that does.
pub async fn opened<'s>(
    app: &App,
    call: &Call,
    session: &'s mut Option<Session>,
) -> Result<&'s mut Session, Refusal> {
    match session {
        Some(open) => Ok(open),
        closed => Ok(closed.insert(app.session(call).await?)),
    }
}

/// The drawing of the job that a request is about, and its name when it is a kept one.
pub async fn drawing(
    app: &App,
    call: &Call,
    subject: Subject,
    session: &mut Option<Session>,
) -> Result<(wire::Job, Option<String>), Refusal> {
    match subject {
        Subject::Inline(job) => Ok((*job, None)),
        Subject::Kept(name) => {
            let mut decoder = Decoder::new();
            let Some(id) = decoder.name::<Jobs>("name", &name) else {
                return Err(Refusal::Fields(decoder.violations()));
            };
            let stored = kept::get(opened(app, call, session).await?, &id)
                .await
                .map_err(|fault| refusal(fault, |_| "name"))?;
            let drawing = kept_drawing(&stored.value).map_err(|fault| refusal(fault, |_| ""))?;
            Ok((drawing, Some(Jobs::name(&id))))
        }
        Subject::Nothing => Err(Refusal::field(
            JOB,
            "MISSING",
            "neither a job nor the name of one is given; give `job` in full, or `name` as jobs/ID",
        )),
    }
}

/// The job of a drawing; what is wrong with it goes to the problems.
pub fn job_of(drawing: &wire::Job, problems: &mut Problems) -> Option<Job> {
    let mut decoder = Decoder::new();
    let job = decoder.within(JOB, |decoder| read_job(decoder, drawing));
    problems.job.extend(decoder.violations());
    job
}

/// Which field of a job names a thing of this noun.
pub fn job_field(noun: &str) -> &'static str {
    match noun {
        "site" => "job.site",
        "crew" => "job.crew",
        noun if noun == Mixes::NOUN => "job.mix",
        _ => JOB,
    }
}
