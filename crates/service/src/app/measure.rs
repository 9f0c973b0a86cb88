//! From a job to its takeoff. Needs no site, price or rate, and nothing is kept.

use hod_domain::fault::Fault;
use hod_domain::job::{Build, Job, WallSystem};
use hod_domain::library::Library;
use hod_domain::takeoff::{self, Takeoff};
use hod_store::inputs::LibraryNames;
use hod_store::{Session, job as kept};
use hod_wire::v1 as wire;

use super::App;
use super::heavy::compute;
use super::job::kept_drawing;
use super::job_reading::read_job;
use super::library::{load_library, names};
use super::problem::Problems;
use super::store_fault::refusal;
use crate::call::Call;
use crate::decode::Decoder;
use crate::encode;
use crate::name::{Collection, Jobs};
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
pub async fn measure_job(
    app: &App,
    call: &Call,
    subject: Subject,
) -> Result<wire::Takeoff, Refusal> {
    let mut session = None;
    let (drawing, _) = drawing(app, call, subject, &mut session).await?;
    let mut problems = Problems::default();
    let measured = match job_of(&drawing, &mut problems) {
        None => None,
        Some(job) => {
            let library = drawn_on(app, call, &mut session, &drawing, &job, &mut problems).await?;
            measured(&job, &library, &mut problems).map(|takeoff| (job, takeoff))
        }
    };
    match (measured, problems.into_refusal()) {
        (Some((job, takeoff)), None) => Ok(encode::takeoff(&takeoff, &job)),
        (_, Some(refusal)) => Err(refusal),
        (None, None) => Err(Refusal::internal("no takeoff and nothing against it")),
    }
}

/// What a job draws on, as far as it is there. A job that draws on nothing needs no session.
async fn drawn_on(
    app: &App,
    call: &Call,
    session: &mut Option<Session>,
    drawing: &wire::Job,
    job: &Job,
    problems: &mut Problems,
) -> Result<Library, Refusal> {
    let names = names(job);
    if names == LibraryNames::default() {
        return Ok(Library::default());
    }
    let session = opened(app, call, session).await?;
    load_library(session, drawing, names, problems).await
}

/// Measures a job with what it draws on; what is wrong goes to the problems.
pub fn measured(job: &Job, library: &Library, problems: &mut Problems) -> Option<Takeoff> {
    compute(job.walls.len(), || takeoff::measure(job, library))
        .map_err(|faults| problems.add_measured(JOB, at_their_systems(faults, job)))
        .ok()
}

/// Fields of a build that a wall of adobe or bales cannot do without, and the systems that need each.
const NEEDED_OF_A_BUILD: [(&str, &[WallSystem]); 2] = [
    (
        "piece_material",
        &[WallSystem::Adobe, WallSystem::StrawBale],
    ),
    ("joint_mm", &[WallSystem::Adobe]),
];

/// Faults of what only a build can say are to be blamed on the `system` that was given where no build was named: that
/// of the job, or of the first wall that gives it.
pub fn at_their_systems(mut faults: Vec<Fault>, job: &Job) -> Vec<Fault> {
    for (field, systems) in NEEDED_OF_A_BUILD {
        let is_it = |build: &Build| build.field.is_empty() && systems.contains(&build.system);
        let nameless = job.builds.iter().enumerate();
        let mut given = nameless
            .filter(|(_, build)| is_it(build))
            .filter_map(|(place, _)| {
                let wall = job.works.iter().position(|work| work.build == place)?;
                Some(match place {
                    0 => "system".to_owned(),
                    _ => format!("walls[{wall}].system"),
                })
            });
        // The middle comes to the builds in their order, and so to their faults.
        for fault in faults.iter_mut().filter(|fault| fault.field == field) {
            if let Some(given) = given.next() {
                fault.field = given;
            }
        }
    }
    faults
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
