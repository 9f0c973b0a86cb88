//! Lines of what a job costs besides walls and work: so much each time, as often as the driver says, at its price.

use hod_units::{Decimal, Money, Rounding, round};

use super::{Line, LineKind};
use crate::basis::{Basis, Joint, Term};
use crate::fault::{Fault, too_large};
use crate::job::{Cost, CostDriver, CostKind, Job};
use crate::region::Region;
use crate::text::Text;

/// A quantity is kept to a millionth.
const QUANTITY_PLACES: u32 = 6;

/// Where the lines of each kind stand, in the order of an estimate.
const DIRECT: [(CostKind, LineKind); 9] = [
    (CostKind::Hire, LineKind::Equipment),
    (CostKind::WeatherCover, LineKind::Equipment),
    (CostKind::Subcontract, LineKind::Subcontract),
    (CostKind::Fee, LineKind::Fee),
    (CostKind::Travel, LineKind::Travel),
    (CostKind::Lodging, LineKind::Travel),
    (CostKind::ProvisionalSum, LineKind::ProvisionalSum),
    (CostKind::Keep, LineKind::Other),
    (CostKind::Other, LineKind::Other),
];

/// Adds the lines of direct cost; gives the lines of income, which stand after profit and are below 0.
pub(super) fn add(job: &Job, region: &Region, lines: &mut Vec<Line>) -> Result<Vec<Line>, Fault> {
    let mut income = Vec::new();
    if job.costs.is_empty() {
        return Ok(income);
    }
    let of_kind = |kind| job.costs.iter().filter(move |cost| cost.kind == kind);
    let of = |cost: &Cost, kind| {
        line(cost, kind, job, region).ok_or_else(|| too_large(&format!("the cost {}", cost.item)))
    };
    for (kind, line_kind) in DIRECT {
        for cost in of_kind(kind) {
            lines.push(of(cost, line_kind)?);
        }
    }
    for cost in of_kind(CostKind::WorkshopIncome) {
        income.push(of(cost, LineKind::Income)?);
    }
    Ok(income)
}

/// `None` on overflow, or where the site time does not say how often.
///
/// 2 beds a night, 30 nights at 18.50 each: `2 x 30 = 60`, 1110.00.
fn line(cost: &Cost, kind: LineKind, job: &Job, region: &Region) -> Option<Line> {
    let times = job.site_time.times(cost.driver)?;
    let basis = basis(cost, times);
    let exact = basis.work()?;
    let quantity = round(exact, QUANTITY_PLACES, Rounding::HalfAwayFromZero);
    let basis = if quantity == exact {
        basis
    } else {
        basis.to("to 0.000001")
    };
    let unit_price = match kind {
        LineKind::Income => Decimal::ZERO.checked_sub(cost.unit_price)?,
        _ => cost.unit_price,
    };
    let amount = Money::new(unit_price, region.currency).checked_mul(quantity);
    Some(Line {
        kind,
        item: Text::from(cost.item.clone()),
        quantity,
        unit: cost.unit,
        unit_price: Some(unit_price),
        price_source: price_source(cost),
        amount: amount.ok()?.rounded(region.rounding),
        basis,
        part: cost.part.clone(),
    })
}

fn basis(cost: &Cost, times: Decimal) -> Basis {
    let (each, often) = match cost.driver {
        CostDriver::Once => ("once", None),
        CostDriver::PerWeek => ("each week", Some("weeks at the site")),
        CostDriver::PerDay => ("each day", Some("days at the site")),
        CostDriver::PerTrip => ("each trip", Some("trips")),
        CostDriver::PerVisit => ("each visit", Some("visits")),
    };
    let mut terms = vec![Term::new(
        Joint::Start,
        cost.quantity,
        cost.unit,
        each,
        "the job",
    )];
    let unit = cost.driver.unit();
    terms.extend(often.map(|often| Term::new(Joint::Times, times, unit, often, "the job")));
    Basis::of(terms)
}

fn price_source(cost: &Cost) -> Text {
    if cost.source.is_empty() {
        "the job".into()
    } else {
        Text::from(cost.source.clone())
    }
}
