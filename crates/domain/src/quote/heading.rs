//! The lines of the client's price: direct cost under a few headings, each with its share of overhead, contingency and
//! profit, so that no line shows what is earned on what.

use hod_units::{Decimal, Money};

use super::priced::{PricedEstimate, PricedLine};
use crate::estimate::LineKind;
use crate::id::ScopePart;
use crate::job::ScopeHolder;
use crate::region::PricePart;

/// What is measured, and all that goes with it.
const WALLS_AND_WORKS: &str = "Walls and works as measured";

/// What authorities, engineers and laboratories ask.
const FEES: &str = "Fees for permit, engineer and tests";

/// A line of the client's price.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct OfferLine {
    /// What it is.
    pub item: String,
    /// Before tax.
    pub amount: Money,
    /// Whether it is a provisional sum, of which the client pays what it comes to.
    pub is_provisional: bool,
}

/// The headings of an estimate: walls and works, each part of the scope that is ours, each provisional sum, fees. They
/// add up to direct cost, overhead, contingency and profit. Those that come to nothing are left out. `None` on overflow,
/// or where on-cost stands on costs that come to nothing.
pub(super) fn headings(estimate: &PricedEstimate) -> Option<Vec<OfferLine>> {
    let mut headings = costs(estimate)?;
    let on_cost = estimate
        .lines
        .iter()
        .filter(|line| line.kind.part() == Some(PricePart::OnCost))
        .map(|line| line.amount);
    let on_cost = Money::checked_sum(estimate.currency, on_cost).ok()?;
    if !on_cost.amount().is_zero() {
        let weights: Vec<Decimal> = headings
            .iter()
            .map(|heading| heading.amount.amount())
            .collect();
        for (heading, share) in headings.iter_mut().zip(on_cost.split(&weights)?) {
            heading.amount = heading.amount.checked_add(share).ok()?;
        }
    }
    headings.retain(|heading| !heading.amount.amount().is_zero());
    Some(headings)
}

/// Where a line of direct cost stands; the order is that of the headings.
#[derive(Debug, Clone, PartialEq, Eq)]
enum Heading<'a> {
    WallsAndWorks,
    OfPart(&'a ScopePart),
    /// The line itself, by its place.
    ProvisionalSum(usize),
    Fees,
}

/// Direct cost by heading, without what is earned on it.
fn costs(estimate: &PricedEstimate) -> Option<Vec<OfferLine>> {
    let direct: Vec<(Heading, &PricedLine)> = estimate
        .lines
        .iter()
        .enumerate()
        .filter_map(|(at, line)| Some((heading(at, line)?, line)))
        .collect();
    let mut order = vec![Heading::WallsAndWorks];
    let ours = estimate
        .scope
        .iter()
        .filter(|line| line.holder == ScopeHolder::Ours);
    order.extend(ours.map(|line| Heading::OfPart(&line.part)));
    // A part that the scope does not have comes after those that it has.
    for (heading, _) in &direct {
        if matches!(heading, Heading::OfPart(_)) && !order.contains(heading) {
            order.push(heading.clone());
        }
    }
    order.extend(
        direct
            .iter()
            .map(|(heading, _)| heading.clone())
            .filter(|heading| matches!(heading, Heading::ProvisionalSum(_))),
    );
    order.push(Heading::Fees);
    let line = |heading: Heading| {
        let under = direct.iter().filter(|(under, _)| *under == heading);
        let amounts = under.map(|(_, line)| line.amount);
        Some(OfferLine {
            amount: Money::checked_sum(estimate.currency, amounts).ok()?,
            item: name(&heading, estimate),
            is_provisional: matches!(heading, Heading::ProvisionalSum(_)),
        })
    };
    order.into_iter().map(line).collect()
}

/// Under which heading a line stands; `None` for what is not direct cost.
fn heading(at: usize, line: &PricedLine) -> Option<Heading<'_>> {
    match (line.kind.part()?, &line.part) {
        (PricePart::OnCost, _) => None,
        (PricePart::ProvisionalSum, _) => Some(Heading::ProvisionalSum(at)),
        (_, Some(part)) => Some(Heading::OfPart(part)),
        (PricePart::Fee, None) => Some(Heading::Fees),
        (_, None) => Some(Heading::WallsAndWorks),
    }
}

/// What a heading is called: a part as the scope has it.
fn name(heading: &Heading, estimate: &PricedEstimate) -> String {
    match heading {
        Heading::WallsAndWorks => WALLS_AND_WORKS.to_owned(),
        Heading::Fees => FEES.to_owned(),
        Heading::ProvisionalSum(at) => estimate.lines[*at].item.clone(),
        Heading::OfPart(part) => {
            let mut scope = estimate.scope.iter();
            let named = scope.find(|line| line.part == **part && !line.display_name.is_empty());
            named.map_or_else(|| part.to_string(), |line| line.display_name.clone())
        }
    }
}

/// Income, discount, minimum charge and rounding, those that are not 0.
pub(super) fn adjustments(estimate: &PricedEstimate) -> Vec<OfferLine> {
    let is_adjustment = |line: &&PricedLine| {
        line.kind.part().is_none() && line.kind != LineKind::Tax && !line.amount.amount().is_zero()
    };
    let adjustments = estimate.lines.iter().filter(is_adjustment);
    adjustments
        .map(|line| OfferLine {
            item: line.item.clone(),
            amount: line.amount,
            is_provisional: false,
        })
        .collect()
}

/// The lines of tax.
pub(super) fn taxes(estimate: &PricedEstimate) -> impl Iterator<Item = &PricedLine> {
    estimate
        .lines
        .iter()
        .filter(|line| line.kind == LineKind::Tax)
}
