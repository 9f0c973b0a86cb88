//! What the client sees of a quote: never the make-up of the cost, no hours, no margins.

use hod_domain::quote::{HourRate, Offer, OfferLine, OfferTax, ProvisionalReason, Stage};
use hod_units::canonical;
use hod_wire::v1 as wire;

use super::choice;
use super::scope::scope_line;
use super::takeoff::count;

/// An offer, with the sums of what was measured.
pub fn offer(offer: &Offer, takeoff: Option<wire::TakeoffTotals>) -> wire::Offer {
    wire::Offer {
        number: count(offer.number),
        display_name: offer.display_name.clone(),
        client: offer.client.clone(),
        site_display_name: offer.site_display_name.clone(),
        issue_date: offer.issue_date.to_string(),
        valid_until_date: offer.valid_until.to_string(),
        price_date: offer.price_date.to_string(),
        currency_code: offer.currency.code().to_owned(),
        revised_number: count(offer.revised_number),
        lines: offer.lines.iter().map(line).collect(),
        adjustments: offer.adjustments.iter().map(line).collect(),
        price_before_tax: offer.price_before_tax.fixed(),
        taxes: offer.taxes.iter().map(offer_tax).collect(),
        total: offer.total.fixed(),
        takeoff,
        scope: offer.scope.iter().map(scope_line).collect(),
        exclusions: offer.exclusions.clone(),
        assumptions: offer.assumptions.clone(),
        terms: offer.terms.clone(),
        stages: offer.stages.iter().map(stage).collect(),
        retention_percent: canonical(offer.retention.share.percent()),
        retention_amount: offer.retained.fixed(),
        retention_months: count(offer.retention.months),
        daywork_rates: offer.daywork_rates.iter().map(hour_rate).collect(),
        is_provisional: offer.is_provisional(),
        provisional_reasons: offer.provisional_reasons.iter().map(reason).collect(),
    }
}

fn line(line: &OfferLine) -> wire::OfferLine {
    wire::OfferLine {
        item: line.item.clone(),
        amount: line.amount.fixed(),
        is_provisional: line.is_provisional,
    }
}

/// What a tax comes to.
pub fn offer_tax(tax: &OfferTax) -> wire::OfferTax {
    wire::OfferTax {
        label: tax.label.clone(),
        percent: canonical(tax.share.percent()),
        base_amount: tax.base.fixed(),
        amount: tax.amount.fixed(),
    }
}

fn stage(stage: &Stage) -> wire::Stage {
    wire::Stage {
        milestone: choice::milestone(stage.milestone),
        description: stage.description.clone(),
        percent: canonical(stage.share.percent()),
        amount: stage.amount.fixed(),
        retained: stage.retained.fixed(),
        due: stage.due.fixed(),
    }
}

/// How an hour comes about is no business of the client's.
fn hour_rate(rate: &HourRate) -> wire::DayworkRate {
    wire::DayworkRate {
        grade: rate.grade.as_str().to_owned(),
        rate_per_hour: rate.rate.fixed(),
        basis: None,
    }
}

fn reason(reason: &ProvisionalReason) -> wire::ProvisionalReason {
    wire::ProvisionalReason {
        reason: reason.reason.clone(),
        explanation: reason.explanation.clone(),
    }
}
