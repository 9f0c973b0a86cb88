//! One order list of several jobs.

use hod_domain::buying::{PurchasePart, PurchasePlan, SharedPurchase};
use hod_domain::takeoff::Caution;
use hod_units::canonical;
use hod_wire::v1 as wire;

use super::purchase::purchase;
use super::takeoff::cautions;
use crate::name::{Collection, Jobs};

/// An order list, with what whoever reads it must know.
pub fn purchase_plan(plan: &PurchasePlan, told: &[Caution]) -> wire::PurchasePlan {
    wire::PurchasePlan {
        currency_code: plan.together.currency().code().to_owned(),
        purchases: plan.purchases.iter().map(shared).collect(),
        alone_amount: plan.alone.fixed(),
        together_amount: plan.together.fixed(),
        saving: plan.saving.fixed(),
        cautions: cautions(told),
    }
}

fn shared(shared: &SharedPurchase) -> wire::SharedPurchase {
    wire::SharedPurchase {
        purchase: Some(purchase(&shared.purchase)),
        parts: shared.parts.iter().map(part).collect(),
        alone_amount: shared.alone.fixed(),
        saving: shared.saving.fixed(),
    }
}

fn part(part: &PurchasePart) -> wire::PurchasePart {
    wire::PurchasePart {
        job: Jobs::name(&part.job),
        needed: canonical(part.needed),
        alone_amount: part.alone.fixed(),
    }
}
