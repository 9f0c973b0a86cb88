//! Estimates: lines, hours, sums, and what they were made from. Nothing of the clock is in one that is not kept.

use hod_domain::estimate::{
    DayworkRate, ENGINE_VERSION, Estimate, LabourLine, Line, ProvisionalMatter, Totals, WorkLine,
};
use hod_domain::id::RegionId;
use hod_domain::takeoff::Takeoff;
use hod_units::{Date, Money, canonical};
use hod_wire::v1 as wire;

use super::basis::basis;
use super::build_up::build_up;
use super::choice;
use super::mix_takeoff::mixes;
use super::purchase::purchase;
use super::scope::scope_line;
use super::takeoff::{cautions, count, lines, payment, totals as takeoff_totals};
use crate::name::{Collection, LabourConstants, Regions};

/// What an estimate says about itself, beside its figures.
#[derive(Debug, Clone, Default)]
pub struct EstimateHead {
    /// `jobs/ID/estimates/ID`; empty when it is not kept.
    pub name: String,
    /// `jobs/ID`; empty for a job that is not stored.
    pub job: String,
    /// What people call the job.
    pub display_name: String,
    /// `sites/ID`.
    pub site: String,
    /// Versions of the mix, crew, materials and labour constants.
    pub inputs: Vec<String>,
    /// When it was kept.
    pub create_time: Option<prost_types::Timestamp>,
}

/// An estimate made on a date with the lists of these regions, the site's own first.
pub fn estimate(
    estimate: &Estimate,
    head: EstimateHead,
    on: Date,
    lists: &[(RegionId, i64)],
) -> wire::Estimate {
    let takeoff = &estimate.takeoff;
    let region = lists.first().map(|(region, _)| Regions::name(region));
    wire::Estimate {
        name: head.name,
        job: head.job,
        display_name: head.display_name,
        site: head.site,
        region: region.unwrap_or_default(),
        price_date: on.to_string(),
        currency_code: estimate.currency.code().to_owned(),
        lines: estimate.lines.iter().map(line).collect(),
        labour: estimate.labour.iter().map(labour_line).collect(),
        totals: Some(totals(&estimate.totals)),
        batch_count: count(estimate.batch_count),
        takeoff: Some(takeoff_totals(&takeoff.totals, takeoff.batch_count)),
        list_versions: lists.iter().map(list_version).collect(),
        inputs: head.inputs,
        engine_version: ENGINE_VERSION.to_owned(),
        create_time: head.create_time,
        mixes: mixes(&takeoff.mixes),
        measured: lines(&takeoff.lines),
        payment: payment(&takeoff.payment),
        cautions: cautions(&takeoff.cautions),
        purchases: estimate.purchases.iter().map(purchase).collect(),
        works: estimate.works.iter().map(work_line).collect(),
        scope: estimate.scope.iter().map(scope_line).collect(),
        build_up: Some(build_up(&estimate.build_up)),
        rounding: choice::rounding(estimate.rounding),
        daywork_rates: estimate.daywork_rates.iter().map(daywork_rate).collect(),
        provisional: estimate.provisional.iter().map(provisional).collect(),
        lift_count: lift_count(takeoff),
    }
}

fn line(line: &Line) -> wire::EstimateLine {
    wire::EstimateLine {
        kind: choice::line_kind(line.kind),
        item: String::from(&*line.item),
        quantity: canonical(line.quantity),
        unit: choice::unit(line.unit),
        unit_price: line.unit_price.map(canonical).unwrap_or_default(),
        amount: line.amount.fixed(),
        basis: Some(basis(&line.basis)),
        price_source: String::from(&*line.price_source),
        part: line
            .part
            .as_ref()
            .map(|part| part.as_str().to_owned())
            .unwrap_or_default(),
    }
}

/// Lifts of all walls.
fn lift_count(takeoff: &Takeoff) -> i32 {
    let lifts = takeoff.walls.iter().map(|wall| wall.measure.lifts.len());
    i32::try_from(lifts.sum::<usize>()).unwrap_or(i32::MAX)
}

fn work_line(work: &WorkLine) -> wire::WorkLine {
    wire::WorkLine {
        task: choice::task(work.task),
        method: work
            .method
            .as_ref()
            .map(|method| method.as_str().to_owned())
            .unwrap_or_default(),
        labour_constant: LabourConstants::name(&work.labour_constant),
        driver: choice::driver(work.driver),
        quantity: canonical(work.quantity),
        hours_per_unit: canonical(work.hours_per_unit),
        hours: canonical(work.hours),
    }
}

fn daywork_rate(rate: &DayworkRate) -> wire::DayworkRate {
    wire::DayworkRate {
        grade: rate.grade.as_str().to_owned(),
        rate_per_hour: rate.rate.fixed(),
        basis: Some(basis(&rate.basis)),
    }
}

fn provisional(matter: &ProvisionalMatter) -> wire::ProvisionalMatter {
    wire::ProvisionalMatter {
        reason: matter.reason.reason().to_owned(),
        subject: matter.subject.clone(),
        description: matter.description.clone(),
    }
}

fn labour_line(line: &LabourLine) -> wire::LabourLine {
    wire::LabourLine {
        task: choice::task(line.task),
        grade: line.grade.as_str().to_owned(),
        hours: canonical(line.hours.hours()),
        amount: line.amount.fixed(),
    }
}

fn totals(totals: &Totals) -> wire::EstimateTotals {
    let money = |money: Money| money.fixed();
    wire::EstimateTotals {
        material: money(totals.material),
        labour: money(totals.labour),
        equipment: money(totals.equipment),
        other: money(totals.other),
        overhead: money(totals.overhead),
        contingency: money(totals.contingency),
        profit: money(totals.profit),
        tax: money(totals.tax),
        total: money(totals.total),
        subcontract: money(totals.subcontract),
        fee: money(totals.fee),
        travel: money(totals.travel),
        provisional_sum: money(totals.provisional_sum),
        income: money(totals.income),
        discount: money(totals.discount),
        minimum_charge: money(totals.minimum_charge),
        rounding: money(totals.rounding),
    }
}

fn list_version((region, version): &(RegionId, i64)) -> wire::ListVersion {
    wire::ListVersion {
        region: Regions::name(region),
        version: *version,
    }
}
