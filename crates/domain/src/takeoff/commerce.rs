//! What a job says beside its walls, held against what was measured: what an estimate would need of it, and what whoever
//! reads the figures must know of it. No money.

use super::orders::Order;
use super::tally::Tally;
use crate::id::ScopePart;
use crate::job::{CostKind, Job, ScopeHolder};

/// Puts down what does not hold, what an estimate lacks, and the cautions.
pub(super) fn put_down(orders: &[Order], tally: &mut Tally) {
    let (job, library) = (tally.job, tally.library);
    tally.faults.extend(job.commerce_faults());
    // Where something else is missing, not everything is ordered yet.
    if tally.lacks.is_empty() && tally.faults.is_empty() {
        for fault in job.idle_sources(orders, library) {
            tally.lack(fault);
        }
    }
    for fault in job.site_time_lacks() {
        tally.lack(fault);
    }
    not_priced(job, tally);
    volunteers(job, tally);
}

/// Parts that are ours and that no cost and nothing measured pays for: one caution for all of them.
fn not_priced(job: &Job, tally: &mut Tally) {
    let is_priced = |part: &ScopePart| {
        is_measured(part, job)
            || job
                .costs
                .iter()
                .any(|cost| cost.part.as_ref() == Some(part))
    };
    let ours = job
        .scope
        .iter()
        .filter(|line| line.holder == ScopeHolder::Ours);
    let unpriced: Vec<&str> = ours
        .filter(|line| !is_priced(&line.part))
        .map(|line| line.part.as_str())
        .collect();
    if unpriced.is_empty() {
        return;
    }
    let description = format!(
        "ours by the scope, and no cost names it: {}; give what it costs with its part, or say that it is by others or excluded",
        unpriced.join(", ")
    );
    tally.caution("SCOPE_NOT_PRICED", "", description);
}

/// Whether the job itself measures the part: a drain in the trench, a damp course over the stem wall.
fn is_measured(part: &ScopePart, job: &Job) -> bool {
    let trench = job.trench.as_ref();
    let stem_wall = job.stem_wall.as_ref();
    match part.as_str() {
        "drainage" => trench.is_some_and(|trench| trench.drain.is_some()),
        "damp-proofing" => stem_wall.is_some_and(|stem_wall| stem_wall.damp_course.is_some()),
        _ => false,
    }
}

/// People who work unpaid, or who pay to learn at the work.
fn volunteers(job: &Job, tally: &mut Tally) {
    let is_of = |kind| job.costs.iter().any(|cost| cost.kind == kind);
    if is_of(CostKind::Keep) || is_of(CostKind::WorkshopIncome) {
        tally.caution(
            "VOLUNTEER_WORK",
            "",
            "volunteers or paying learners are reckoned with: labour law, insurance and how many of them an instructor may \
             lead differ from place to place; ask the authority and the insurer before they come",
        );
    }
}
