//! One order list of several kept jobs on a date: each is priced as if it ordered alone, and what is bought at one price
//! is then ordered together. Nothing is kept. A job that cannot be priced is told with all that stands against it, and
//! the others with theirs.

use std::collections::BTreeSet;

use hod_domain::buying::{Charged, Need, SharedPurchase, needs, plan};
use hod_domain::fault::Fault;
use hod_domain::id::{JobId, SiteId};
use hod_domain::takeoff::Caution;
use hod_store::{Session, StoreFault, job as kept};
use hod_units::Date;
use hod_wire::v1 as wire;

use super::App;
use super::estimate::{Asked, load, names, price, told};
use super::job::kept_drawing;
use super::measure::job_of;
use super::problem::Problems;
use super::store_fault::refusal;
use super::stream::faults;
use crate::call::Call;
use crate::decode::Decoder;
use crate::encode;
use crate::name::{Collection, Jobs};
use crate::refusal::{Lack, Missing, Refusal};

const JOBS_MAX: usize = 100;

/// Plans what several jobs buy.
pub async fn plan_purchases(
    app: &App,
    call: &Call,
    request: &wire::PlanPurchasesRequest,
) -> Result<wire::PurchasePlan, Refusal> {
    let mut decoder = Decoder::new();
    let ids = jobs(&mut decoder, &request.jobs);
    let on = decoder.date("price_date", &request.price_date);
    let (Some(ids), Some(on), true) = (ids, on, decoder.is_clean()) else {
        return Err(Refusal::Fields(decoder.violations()));
    };
    let mut session = app.session(call).await?;
    let mut list = List::default();
    for (place, id) in ids.into_iter().enumerate() {
        list.add(&mut session, place, id, on).await?;
    }
    drop(session);
    list.planned()
}

fn jobs<'a>(decoder: &mut Decoder<'a>, names: &'a [String]) -> Option<Vec<JobId>> {
    let sent = decoder.list("jobs", names, 1, JOBS_MAX);
    let ids = decoder.each("jobs", sent, |decoder, name| decoder.name::<Jobs>("", name));
    decoder.each_once("jobs", "", sent.iter().map(String::as_str));
    ids
}

/// What the jobs need so far, and what stands against some of them.
#[derive(Default)]
struct List {
    needs: Vec<Need>,
    charged: Option<Charged>,
    sites: Vec<(JobId, SiteId)>,
    missing: Vec<Missing>,
    lacks: Vec<Lack>,
}

impl List {
    /// Prices one job and adds what it buys. Only what is wrong with the server is refused.
    async fn add(
        &mut self,
        session: &mut Session,
        place: usize,
        id: JobId,
        on: Date,
    ) -> Result<(), Refusal> {
        let stored = match kept::get(session, &id).await {
            Ok(stored) => stored,
            Err(StoreFault::NotFound(things)) => {
                self.missing.extend(things.into_iter().map(|thing| Missing {
                    field: format!("jobs[{place}]"),
                    noun: thing.noun,
                    name: thing.name,
                }));
                return Ok(());
            }
            Err(fault) => return Err(refusal(fault, |_| "jobs")),
        };
        let drawing = kept_drawing(&stored.value).map_err(|fault| refusal(fault, |_| ""))?;
        match self.price(session, &id, &drawing, on).await {
            Ok(()) => Ok(()),
            Err(refused) => {
                let subject = Jobs::name(&id);
                let told = faults(refused)?.faults.into_iter();
                self.lacks.extend(told.map(|fault| Lack {
                    reason: "JOB_CANNOT_BE_PRICED",
                    subject: subject.clone(),
                    description: match fault.field.as_str() {
                        "" => fault.description,
                        field => format!("{field}: {}", fault.description),
                    },
                }));
                Ok(())
            }
        }
    }

    async fn price(
        &mut self,
        session: &mut Session,
        id: &JobId,
        drawing: &wire::Job,
        on: Date,
    ) -> Result<(), Refusal> {
        let mut problems = Problems::default();
        let Some(job) = job_of(drawing, &mut problems) else {
            return Err(told(problems));
        };
        let names = names(&job, Some(on), &mut problems);
        let asked = Asked { drawing, job: &job };
        let ready = load(session, &asked, names.as_deref(), &mut problems).await?;
        let (prepared, estimate) = price(&job, ready, problems)?;
        let found = needs(id, &job, &prepared.inputs, &estimate.purchases);
        self.needs
            .extend(found.map_err(|faults| lacking(id, faults))?);
        self.sites
            .push((id.clone(), prepared.inputs.site.id.clone()));
        self.charged.get_or_insert(Charged {
            currency: estimate.currency,
            rounding: estimate.rounding,
        });
        Ok(())
    }

    fn planned(self) -> Result<wire::PurchasePlan, Refusal> {
        if !self.missing.is_empty() {
            return Err(Refusal::NotFound(self.missing, self.lacks));
        }
        if !self.lacks.is_empty() {
            return Err(Refusal::LacksInputs(self.lacks));
        }
        let charged = self
            .charged
            .ok_or_else(|| Refusal::internal("jobs were priced and none says in what"))?;
        let plan = plan(&self.needs, charged).map_err(lacks)?;
        let cautions = self.cautions(&plan.purchases);
        Ok(encode::purchase_plan(&plan, &cautions))
    }

    /// Loads that are shared must come to every site.
    fn cautions(&self, purchases: &[SharedPurchase]) -> Vec<Caution> {
        let site_of = |job: &JobId| {
            self.sites
                .iter()
                .find(|(id, _)| id == job)
                .map(|(_, site)| site)
        };
        let is_split = |shared: &&SharedPurchase| {
            let sites: BTreeSet<Option<&SiteId>> =
                shared.parts.iter().map(|part| site_of(&part.job)).collect();
            shared.purchase.loads.is_some() && 1 < sites.len()
        };
        let split = purchases.iter().filter(is_split);
        split
            .map(|shared| Caution {
                reason: "LOADS_GO_TO_SEVERAL_SITES",
                subject: format!("materials/{}", shared.purchase.material).into(),
                description: format!(
                    "one order of {} goes to jobs at different sites, its loads counted as if one site took them all and each \
                     went as far as the farthest; ask the supplier for drops at several sites before you count on the saving",
                    &*shared.purchase.item
                )
                .into(),
            })
            .collect()
    }
}

/// Faults of the needs of one job.
fn lacking(id: &JobId, faults: Vec<Fault>) -> Refusal {
    let lack = |fault: Fault| Lack {
        reason: fault.reason,
        subject: Jobs::name(id),
        description: fault.message,
    };
    Refusal::LacksInputs(faults.into_iter().map(lack).collect())
}

fn lacks(faults: Vec<Fault>) -> Refusal {
    let lack = |fault: Fault| Lack {
        reason: fault.reason,
        subject: fault.subject,
        description: fault.message,
    };
    Refusal::LacksInputs(faults.into_iter().map(lack).collect())
}
