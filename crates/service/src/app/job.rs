//! How jobs are kept: as the message they came in, once it is known that their walls can be measured.

use futures::FutureExt;
use hod_domain::fault::Fault;
use hod_domain::id::{JobId, SiteId};
use hod_domain::takeoff;
use hod_store::job::StoredJob;
use hod_store::{Session, StoreFault, Stored, job as kept};
use hod_wire::v1 as wire;
use prost::Message;

use super::App;
use super::heavy::compute;
use super::job_reading::read_job;
use super::resource::{Changeable, Resource, stale_since};
use super::store_fault::refusal;
use super::write::act;
use crate::call::Call;
use crate::decode::{Act, Decoder, MaskedFields, masked, tag};
use crate::encode;
use crate::name::{Collection, Jobs};
use crate::refusal::{Refusal, Violation};

/// A job to keep: as the middle knows it, and as it is kept.
pub struct DrawnJob {
    job: hod_domain::job::Job,
    stored: StoredJob,
}

impl Resource for Jobs {
    type Key = JobId;
    type Scope = Option<SiteId>;
    type Value = DrawnJob;
    type Wire = wire::Job;

    const READ_AT_ONCE: u32 = 16;
    const FIELD: &'static str = "job";

    fn key(decoder: &mut Decoder<'_>, field: &'static str, name: &str) -> Option<JobId> {
        decoder.name::<Jobs>(field, name)
    }

    fn name(wire: &wire::Job) -> &str {
        &wire.name
    }

    fn decode<'a>(
        decoder: &mut Decoder<'a>,
        wire: &'a wire::Job,
        key: Option<&JobId>,
    ) -> Option<DrawnJob> {
        let job = read_job(decoder, wire)?;
        let stored = StoredJob {
            id: key?.clone(),
            display_name: job.display_name.clone(),
            site: job.site.clone(),
            body: drawing(wire).encode_to_vec(),
        };
        Some(DrawnJob { job, stored })
    }

    fn faults(value: &DrawnJob) -> Vec<Fault> {
        let walls = &value.job.walls;
        let measured = compute(walls.len(), || takeoff::walls(walls));
        let mut faults = measured.err().unwrap_or_default();
        faults.extend(value.job.commerce_faults());
        faults
    }

    fn field_of(noun: &str) -> &'static str {
        if noun == "site" { "job.site" } else { "" }
    }

    fn refuse(violations: Vec<Violation>) -> Refusal {
        Refusal::JobHasFaults(violations)
    }

    async fn fetch(session: &mut Session, id: &JobId) -> Result<wire::Job, StoreFault> {
        told(kept::get(session, id).await?)
    }

    async fn page(
        session: &mut Session,
        site: &Option<SiteId>,
        after: Option<&str>,
        limit: u32,
    ) -> Result<Vec<wire::Job>, StoreFault> {
        let after = after.and_then(|after| Jobs::id(after).ok());
        let found = kept::list(session, site.as_ref(), after.as_ref(), limit).await?;
        found.into_iter().map(told).collect()
    }

    async fn insert(
        session: &mut Session,
        _: &JobId,
        value: &DrawnJob,
    ) -> Result<wire::Job, StoreFault> {
        told(kept::insert(session, &value.stored).await?)
    }
}

impl Changeable for Jobs {
    const MESSAGE: &'static str = "hod.v1.Job";
    const MASKED: MaskedFields<wire::Job> = masked!(wire::Job {
        display_name,
        site,
        system,
        mix,
        mixing,
        crew,
        paring_mm,
        waste_percent,
        stem_height_m,
        lift_height_m,
        walls,
        builds,
        finishes,
        stem_wall,
        trench,
        floors,
        ovens,
        ground,
        parings_reused_percent,
        measurement,
        scope,
        build_up,
        rounding,
        costs,
        site_time,
        sources,
    });
    const NAME_FIELD: &'static str = "job.name";

    fn etag(wire: &wire::Job) -> &str {
        &wire.etag
    }

    async fn replace(
        session: &mut Session,
        _: &JobId,
        value: &DrawnJob,
        expected: Option<i64>,
    ) -> Result<wire::Job, StoreFault> {
        told(kept::update(session, &value.stored, expected).await?)
    }
}

/// Deletes a job.
pub async fn delete_job(
    app: &App,
    call: &Call,
    mut decoder: Decoder<'_>,
    how: Option<Act>,
    request: &wire::DeleteJobRequest,
) -> Result<(), Refusal> {
    let id = decoder.name::<Jobs>("name", &request.name);
    let (Some(id), Some(how), true) = (id, how, decoder.is_clean()) else {
        return Err(Refusal::Fields(decoder.violations()));
    };
    let expected = tag(&request.etag);
    act(app, call, &how, |session| {
        deleted(session, id, expected).boxed()
    })
    .await
}

async fn deleted(session: &mut Session, id: JobId, expected: Option<i64>) -> Result<(), Refusal> {
    match kept::delete(session, &id, expected).await {
        Err(StoreFault::Stale(_)) => {
            let now = Jobs::fetch(session, &id)
                .await
                .map_err(|fault| refusal(fault, |_| "name"))?;
            Err(stale_since::<Jobs>(session, expected, &now).await?)
        }
        done => done.map_err(|fault| refusal(fault, |_| "name")),
    }
}

/// What is kept of a message: the drawing, without what the server writes.
fn drawing(wire: &wire::Job) -> wire::Job {
    wire::Job {
        name: String::new(),
        create_time: None,
        update_time: None,
        etag: String::new(),
        ..wire.clone()
    }
}

/// The drawing that is kept.
pub fn kept_drawing(stored: &StoredJob) -> Result<wire::Job, StoreFault> {
    wire::Job::decode(stored.body.as_slice()).map_err(|fault| StoreFault::Internal(fault.into()))
}

fn told(stored: Stored<StoredJob>) -> Result<wire::Job, StoreFault> {
    let drawing = kept_drawing(&stored.value)?;
    let Stored {
        value,
        version,
        created,
        updated,
    } = stored;
    Ok(encode::job(drawing, &value.id, version, created, updated))
}
