//! Open jobs priced again on a date: what each came to, what it comes to now, and why one cannot be priced. A few jobs
//! at a time, so that memory stays flat however many there are; what several of them are priced with is loaded once.

use std::collections::{BTreeMap, HashMap};
use std::sync::Arc;

use hod_domain::id::{JobId, RegionId};
use hod_domain::job::Job;
use hod_store::Session;
use hod_store::estimate::{self as kept_estimate, NewEstimate};
use hod_store::inputs::Names;
use hod_store::open_job::{self, OpenJob};
use hod_units::{Currency, Date, Decimal, Money, Rounding, canonical, round};
use hod_wire::v1 as wire;
use hod_wire::v1::price_jobs_again_response::Event;
use rust_decimal::dec;
use tokio::sync::mpsc;

use super::App;
use super::estimate::{Asked, Ready, kept_one, load, names, price, told};
use super::heavy::compute_each;
use super::inputs::Prepared;
use super::job::kept_drawing;
use super::measure::job_of;
use super::problem::Problems;
use super::store_fault::refusal;
use super::stream::faults;
use super::write::{answered, end};
use crate::call::Call;
use crate::decode::{Act, Decoder};
use crate::name::{Collection, Estimates, Jobs, Regions, child_name};
use crate::refusal::Refusal;

/// So many jobs are read, priced and kept at once; fewer where they are large.
const JOBS_AT_ONCE: u32 = 32;

/// So many different sites, crews and libraries are remembered within a run.
const REMEMBERED_MAX: usize = 64;

/// So many movements wait for a caller that reads slowly; then the work waits too.
const WAITING_MAX: usize = 64;

/// Which open jobs are priced again, on which day, and whether the new estimates are kept.
#[derive(Debug, Clone)]
pub struct Again {
    /// The day whose prices and rates hold.
    pub on: Date,
    /// Only jobs at sites of this region.
    pub region: Option<RegionId>,
    /// Whether the new estimates are kept in the session, which the caller then commits.
    pub keeps: bool,
}

/// What listens to a run: where events go, and how a movement becomes one. What is sent waits when nobody reads it.
pub struct Listener<'a, T> {
    /// Where events go.
    pub sender: &'a mpsc::Sender<Result<T, Refusal>>,
    /// The event of a movement.
    pub event: fn(wire::Movement) -> T,
}

/// Prices all open jobs again within a session, and tells each movement in the order of the jobs' ids, as soon as it is
/// known. Prices and rates are those that the session sees, its own uncommitted ones too. A job that cannot be priced
/// is a movement with its faults. The summary says what of it was kept in the session; the caller commits.
pub async fn movements<T>(
    session: &mut Session,
    again: &Again,
    listener: &Listener<'_, T>,
) -> Result<wire::MovementSummary, Refusal> {
    let mut run = Run::default();
    let mut after: Option<JobId> = None;
    loop {
        let region = again.region.as_ref();
        let page = open_job::list(session, region, after.as_ref(), JOBS_AT_ONCE)
            .await
            .map_err(|fault| refusal(fault, |_| "region"))?;
        // A page is short where jobs are large; only an empty one is the end.
        let Some(last) = page.last() else {
            return Ok(run.summary.into_wire(again.keeps));
        };
        after = Some(last.job.value.id.clone());
        for movement in run.page(session, again, page).await? {
            let event = (listener.event)(movement);
            let is_heard = listener.sender.send(Ok(event)).await;
            is_heard.map_err(|_| Refusal::Interrupted("nobody listens any more".into()))?;
        }
    }
}

/// A run: what has been loaded for it, and what it has come to.
#[derive(Default)]
struct Run {
    prepared: HashMap<Arc<Names>, Arc<Prepared>>,
    summary: Summary,
}

impl Run {
    /// Prices some jobs, keeps their estimates if that is asked, and gives their movements in the same order.
    async fn page(
        &mut self,
        session: &mut Session,
        again: &Again,
        page: Vec<OpenJob>,
    ) -> Result<Vec<wire::Movement>, Refusal> {
        let on = again.on;
        let read = compute_each(page, move |open| ReadJob::of(open, on)).await?;
        let mut jobs = Vec::with_capacity(read.len());
        for job in read {
            jobs.push(self.prepare(session, job).await?);
        }
        let now = session.now();
        let done = compute_each(jobs, move |job| job.priced(now)).await?;
        let mut movements = Vec::with_capacity(done.len());
        let mut new = Vec::with_capacity(done.len());
        for done in done {
            let Done { before, after } = done?;
            let movement = self.summary.movement(&before, &after, again.keeps)?;
            movements.push(movement);
            new.extend(after.ok().map(|kept| kept.row));
        }
        if again.keeps && !new.is_empty() {
            kept_estimate::insert_all(session, &new)
                .await
                .map_err(|fault| refusal(fault, |_| ""))?;
        }
        Ok(movements)
    }

    /// Loads what a job is priced with, if another of the run has not brought it.
    async fn prepare(&mut self, session: &mut Session, job: ReadJob) -> Result<ReadyJob, Refusal> {
        let ReadJob {
            open,
            drawn,
            names,
            mut problems,
        } = job;
        let Some((drawing, job)) = drawn else {
            return Ok(ReadyJob {
                open,
                ready: None,
                problems,
            });
        };
        let remembered = names.as_ref().and_then(|names| self.prepared.get(names));
        let ready = match remembered {
            Some(prepared) => Ready::Inputs(Arc::clone(prepared)),
            None => {
                let asked = Asked {
                    drawing: &drawing,
                    job: &job,
                };
                load(session, &asked, names.as_deref(), &mut problems).await?
            }
        };
        if let (Some(names), Ready::Inputs(prepared)) = (names, &ready) {
            if REMEMBERED_MAX <= self.prepared.len() {
                self.prepared.clear();
            }
            self.prepared.insert(names, Arc::clone(prepared));
        }
        Ok(ReadyJob {
            open,
            ready: Some((job, ready)),
            problems,
        })
    }
}

/// An open job, read as far as it can be.
struct ReadJob {
    open: OpenJob,
    drawn: Option<(wire::Job, Job)>,
    names: Option<Arc<Names>>,
    problems: Problems,
}

impl ReadJob {
    fn of(open: OpenJob, on: Date) -> Self {
        let mut problems = Problems::default();
        let drawn = match kept_drawing(&open.job.value) {
            Ok(drawing) => job_of(&drawing, &mut problems).map(|job| (drawing, job)),
            Err(fault) => {
                tracing::error!(cause = %fault, job = open.job.value.id.as_str(), "a kept job cannot be read");
                None
            }
        };
        let names = drawn
            .as_ref()
            .and_then(|(_, job)| names(job, Some(on), &mut problems));
        Self {
            open,
            drawn,
            names,
            problems,
        }
    }
}

/// An open job with what there is to price it with.
struct ReadyJob {
    open: OpenJob,
    ready: Option<(Job, Ready)>,
    problems: Problems,
}

/// What a job came to before, and comes to now: its new row, or why there is none.
struct Done {
    before: OpenJob,
    after: Result<Kept, Vec<String>>,
}

/// A new estimate.
struct Kept {
    total: Money,
    rounding: Rounding,
    row: NewEstimate,
}

impl ReadyJob {
    /// Prices it. Only what is wrong with the server is refused.
    fn priced(self, now: chrono::DateTime<chrono::Utc>) -> Result<Done, Refusal> {
        let Self {
            open,
            ready,
            problems,
        } = self;
        let priced = match ready {
            Some((job, ready)) => price(&job, ready, problems).and_then(|(prepared, estimate)| {
                let (_, row) =
                    kept_one(open.job.value.id.clone(), &job, &prepared, &estimate, now)?;
                Ok(Kept {
                    total: estimate.totals.total,
                    rounding: estimate.rounding,
                    row,
                })
            }),
            None => Err(told(problems)),
        };
        let after = match priced {
            Ok(kept) => Ok(kept),
            Err(refusal) => Err(faults(refusal)?
                .faults
                .into_iter()
                .map(|fault| sentence(&fault))
                .collect()),
        };
        Ok(Done {
            before: open,
            after,
        })
    }
}

/// A fault in a sentence that names its field.
fn sentence(fault: &wire::Fault) -> String {
    match fault.field.as_str() {
        "" => fault.description.clone(),
        field => format!("{field}: {}", fault.description),
    }
}

/// What a run has come to.
#[derive(Default)]
struct Summary {
    priced: i32,
    failed: i32,
    totals: BTreeMap<&'static str, Sum>,
}

/// The sums of a currency.
struct Sum {
    before: Money,
    after: Money,
    jobs: i32,
}

impl Summary {
    /// The movement of a job, and its part of the sums.
    fn movement(
        &mut self,
        open: &OpenJob,
        after: &Result<Kept, Vec<String>>,
        keeps: bool,
    ) -> Result<wire::Movement, Refusal> {
        let id = &open.job.value.id;
        let mut movement = wire::Movement {
            job: Jobs::name(id),
            display_name: open.job.value.display_name.clone(),
            ..Default::default()
        };
        let before = open.newest.as_ref();
        if let Some(before) = before {
            movement.before_estimate = child_name::<Jobs, Estimates>(id, &before.id);
            movement.before_date = before.price_date.to_string();
            movement.before_total = Money::new(before.total, before.currency).fixed();
            movement.currency_code = before.currency.code().to_owned();
        }
        let kept = match after {
            Ok(kept) => kept,
            Err(faults) => {
                self.failed += 1;
                movement.faults.clone_from(faults);
                return Ok(movement);
            }
        };
        self.priced += 1;
        let currency = kept.total.currency();
        movement.after_total = kept.total.fixed();
        movement.currency_code = currency.code().to_owned();
        if keeps {
            movement.after_estimate = child_name::<Jobs, Estimates>(id, &kept.row.id);
        }
        match before.map(|before| Money::new(before.total, before.currency)) {
            Some(before) if before.currency() == currency => {
                self.add(currency, before, kept.total)?;
                let moved = kept.total.checked_sub(before).map_err(Refusal::internal)?;
                movement.difference = moved.fixed();
                movement.percent = percent(moved, before, kept.rounding);
            }
            // In another currency than now: nothing that could be held against it.
            Some(_) => movement.before_total.clear(),
            None => {}
        }
        Ok(movement)
    }

    fn add(&mut self, currency: Currency, before: Money, after: Money) -> Result<(), Refusal> {
        let nothing = || Sum {
            before: Money::zero(currency),
            after: Money::zero(currency),
            jobs: 0,
        };
        let sum = self.totals.entry(currency.code()).or_insert_with(nothing);
        sum.before = sum.before.checked_add(before).map_err(Refusal::internal)?;
        sum.after = sum.after.checked_add(after).map_err(Refusal::internal)?;
        sum.jobs += 1;
        Ok(())
    }

    fn into_wire(self, kept: bool) -> wire::MovementSummary {
        let total = |sum: &Sum| {
            let difference = sum.after.checked_sub(sum.before);
            wire::MovementTotal {
                currency_code: sum.before.currency().code().to_owned(),
                before_total: sum.before.fixed(),
                after_total: sum.after.fixed(),
                difference: difference.map(Money::fixed).unwrap_or_default(),
                job_count: sum.jobs,
            }
        };
        wire::MovementSummary {
            priced_count: self.priced,
            failed_count: self.failed,
            totals: self.totals.values().map(total).collect(),
            kept,
        }
    }
}

/// A difference in percent of what it is a difference to; empty when that is nothing.
fn percent(moved: Money, before: Money, rounding: Rounding) -> String {
    let percent = moved
        .amount()
        .checked_mul(dec!(100))
        .and_then(|hundredfold: Decimal| hundredfold.checked_div(before.amount()));
    percent
        .map(|percent| canonical(round(percent, 2, rounding)))
        .unwrap_or_default()
}

/// What `PriceJobsAgain` sends.
pub type Events = mpsc::Receiver<Result<wire::PriceJobsAgainResponse, Refusal>>;

/// Prices all open jobs again. Events come as they are known, the summary last, once everything is kept for sure.
pub fn price_jobs_again(
    app: Arc<App>,
    call: Call,
    mut decoder: Decoder<'_>,
    how: Option<Act>,
    request: &wire::PriceJobsAgainRequest,
) -> Result<Events, Refusal> {
    let on = decoder.date("price_date", &request.price_date);
    let region = decoder.name_if_any::<Regions>("region", &request.region);
    let (Some(on), Some(region), Some(how), true) = (on, region, how, decoder.is_clean()) else {
        return Err(Refusal::Fields(decoder.violations()));
    };
    let again = Again {
        on,
        region,
        keeps: !how.validate_only,
    };
    let (sender, events) = mpsc::channel(WAITING_MAX);
    tokio::spawn(async move {
        let end = run(&app, &call, &how, &again, &sender).await;
        let end = end.map(|summary| wire::PriceJobsAgainResponse {
            event: Some(Event::Summary(summary)),
        });
        // Nobody is there to be told when the caller has gone.
        sender.send(end).await.ok();
    });
    Ok(events)
}

/// The whole run, in one transaction with the keeping of its summary. The same request sent again gets that summary.
async fn run(
    app: &App,
    call: &Call,
    how: &Act,
    again: &Again,
    sender: &mpsc::Sender<Result<wire::PriceJobsAgainResponse, Refusal>>,
) -> Result<wire::MovementSummary, Refusal> {
    let mut session = app.session(call).await?;
    if let Some(summary) = answered(&mut session, how).await? {
        return Ok(summary);
    }
    let listener = Listener {
        sender,
        event: |movement| wire::PriceJobsAgainResponse {
            event: Some(Event::Movement(movement)),
        },
    };
    let summary = movements(&mut session, again, &listener).await?;
    end(session, how, &summary).await?;
    Ok(summary)
}
