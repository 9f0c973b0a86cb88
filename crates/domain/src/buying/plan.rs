//! One order list of several jobs: what is bought at one price is ordered together, and what that saves is told.

use hod_units::{Decimal, Money, canonical};

use super::choose::take;
use super::offer::Offer;
use super::{Charged, Purchase};
use crate::basis::{Basis, Joint, Term};
use crate::estimate::Inputs;
use crate::fault::{Fault, too_large};
use crate::id::JobId;
use crate::job::Job;
use crate::material::Material;
use crate::price::Price;
use crate::text::Text;

/// What a job buys of a material, with all that is needed to order it together with others.
#[derive(Debug, Clone, PartialEq)]
pub struct Need {
    /// Whose.
    pub job: JobId,
    /// What it buys when it orders alone.
    pub alone: Purchase,
    /// The price that answers.
    pub price: Price,
    /// The material.
    pub material: Material,
    /// Kilometres charged for a load, where the job says its own.
    pub distance_km: Option<Decimal>,
}

/// One order list.
#[derive(Debug, Clone, PartialEq)]
pub struct PurchasePlan {
    /// The orders, in the order in which the jobs come to them.
    pub purchases: Vec<SharedPurchase>,
    /// What goods and deliveries come to when each job orders alone.
    pub alone: Money,
    /// What they come to ordered together.
    pub together: Money,
    /// The one less the other.
    pub saving: Money,
}

/// An order for several jobs.
#[derive(Debug, Clone, PartialEq)]
pub struct SharedPurchase {
    /// The order. Other offers are held against each job's own order and are not told of this one.
    pub purchase: Purchase,
    /// What each job has of it.
    pub parts: Vec<PurchasePart>,
    /// What it comes to when each job orders alone.
    pub alone: Money,
    /// That less goods and delivery of the order. Below 0 where ordering together costs more: by breaks whose prices rise, or
    /// because all loads go as far as the farthest job.
    pub saving: Money,
}

/// What one job has of a shared order.
#[derive(Debug, Clone, PartialEq)]
pub struct PurchasePart {
    /// Whose.
    pub job: JobId,
    /// How much it needs.
    pub needed: Decimal,
    /// What that costs ordered alone, delivery within.
    pub alone: Money,
}

/// What a priced job buys, with the prices and materials that it was priced with. Refused when the purchases were not made
/// from these inputs.
pub fn needs(
    id: &JobId,
    job: &Job,
    inputs: &Inputs,
    purchases: &[Purchase],
) -> Result<Vec<Need>, Vec<Fault>> {
    let mut needs = Vec::with_capacity(purchases.len());
    let mut faults = Vec::new();
    for purchase in purchases {
        let list = inputs
            .lists
            .iter()
            .find(|list| list.region == purchase.region);
        let price = list.and_then(|list| {
            let is_it = |price: &&Price| price.id == purchase.price;
            list.prices.iter().find(is_it)
        });
        let source = job
            .sources
            .iter()
            .find(|source| source.material == purchase.material);
        match (price, inputs.library.material(&purchase.material)) {
            (Some(price), Some(material)) => needs.push(Need {
                job: id.clone(),
                alone: purchase.clone(),
                price: price.clone(),
                material: material.clone(),
                distance_km: source.and_then(|source| source.distance_km),
            }),
            _ => faults.push(unknown(id, purchase)),
        }
    }
    if faults.is_empty() {
        Ok(needs)
    } else {
        Err(faults)
    }
}

/// One order list of what jobs need, all in one currency. What is bought at one price is one order: the sum of what is
/// needed, brought once to whole packs and the minimum order. Its loads go as far as the farthest of its jobs.
pub fn plan(needs: &[Need], charged: Charged) -> Result<PurchasePlan, Vec<Fault>> {
    let foreign = needs
        .iter()
        .filter(|need| need.alone.goods.currency() != charged.currency);
    let mut faults: Vec<Fault> = foreign.map(|need| foreign_money(need, charged)).collect();
    if !faults.is_empty() {
        return Err(faults);
    }
    let mut purchases = Vec::new();
    for group in grouped(needs) {
        match share(&group, charged) {
            Ok(shared) => purchases.push(shared),
            Err(found) => faults.extend(found),
        }
    }
    if !faults.is_empty() {
        return Err(faults);
    }
    summed(purchases, charged).ok_or_else(|| vec![too_large("the order list")])
}

/// `None` on overflow.
fn summed(purchases: Vec<SharedPurchase>, charged: Charged) -> Option<PurchasePlan> {
    let alone = purchases.iter().map(|shared| shared.alone);
    let alone = Money::checked_sum(charged.currency, alone).ok()?;
    let saving = purchases.iter().map(|shared| shared.saving);
    let saving = Money::checked_sum(charged.currency, saving).ok()?;
    Some(PurchasePlan {
        purchases,
        alone,
        together: alone.checked_sub(saving).ok()?,
        saving,
    })
}

/// The needs that one price answers, in the order in which the first of them comes.
fn grouped(needs: &[Need]) -> Vec<Vec<&Need>> {
    let mut groups: Vec<Vec<&Need>> = Vec::new();
    for need in needs {
        let is_alike = |group: &&mut Vec<&Need>| {
            group.first().is_some_and(|first| {
                (&first.alone.region, &first.alone.price) == (&need.alone.region, &need.alone.price)
            })
        };
        match groups.iter_mut().find(is_alike) {
            Some(group) => group.push(need),
            None => groups.push(vec![need]),
        }
    }
    groups
}

/// One order of needs that one price answers, one at least.
pub fn share(needs: &[&Need], charged: Charged) -> Result<SharedPurchase, Vec<Fault>> {
    let Some(first) = needs.first() else {
        let message = "an order of no job; name one at least";
        return Err(vec![Fault::of_field("jobs", "NO_JOB", message)]);
    };
    let Need {
        alone,
        price,
        material,
        ..
    } = first;
    let offer = Offer::new(&alone.region, price, material, farthest(needs))?;
    shared(&offer, material, needs, charged)
        .ok_or_else(|| vec![too_large(&format!("the order of {}", material.id))])
}

/// The most kilometres of the jobs, when one of them says its own.
fn farthest(needs: &[&Need]) -> Option<Decimal> {
    let own = needs.iter().filter_map(|need| need.distance_km).max()?;
    let of_price = |need: &&Need| need.price.terms.delivery.as_ref()?.distance_km;
    let by_price = needs.iter().filter(|need| need.distance_km.is_none());
    Some(by_price.filter_map(of_price).fold(own, Decimal::max))
}

/// `None` on overflow.
fn shared(
    offer: &Offer,
    material: &Material,
    needs: &[&Need],
    charged: Charged,
) -> Option<SharedPurchase> {
    let mut parts = Vec::with_capacity(needs.len());
    let mut terms = Vec::with_capacity(needs.len());
    let (mut needed, mut alone) = (Decimal::ZERO, Money::zero(charged.currency));
    for need in needs {
        let purchase = &need.alone;
        let part = PurchasePart {
            job: need.job.clone(),
            needed: purchase.needed,
            alone: purchase.goods.checked_add(purchase.delivery).ok()?,
        };
        needed = needed.checked_add(part.needed)?;
        alone = alone.checked_add(part.alone).ok()?;
        let joint = if terms.is_empty() {
            Joint::Start
        } else {
            Joint::Plus
        };
        let source = format!("jobs/{}", need.job);
        terms.push(Term::new(
            joint,
            part.needed,
            purchase.unit,
            "needed",
            source,
        ));
        parts.push(part);
    }
    let item = needs
        .first()
        .map_or_else(Text::default, |need| need.alone.item.clone());
    let taken = take(offer, material, needed, charged)?;
    let saving = alone.checked_sub(taken.cost.total).ok()?;
    Some(SharedPurchase {
        purchase: taken.purchase(offer, material, &item, Basis::of(terms)),
        parts,
        alone,
        saving,
    })
}

fn unknown(job: &JobId, purchase: &Purchase) -> Fault {
    let name = format!("regions/{}/prices/{}", purchase.region, purchase.price);
    let message = format!(
        "jobs/{job} buys {} of {} at {name}, which is not among the prices that it is said to be priced with; price the job \
         again",
        canonical(purchase.ordered),
        purchase.material
    );
    Fault::of_resource(name, "PRICE_UNKNOWN", message)
}

fn foreign_money(need: &Need, charged: Charged) -> Fault {
    let message = format!(
        "jobs/{} pays in {} and the order list is in {}; plan the purchases of one currency at a time",
        need.job,
        need.alone.goods.currency(),
        charged.currency
    );
    Fault::of_resource(format!("jobs/{}", need.job), "CURRENCIES_DIFFER", message)
}
