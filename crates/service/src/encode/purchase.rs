//! What is bought, from whom, and what was not taken.

use hod_domain::buying::{Hint, LoadLimit, OtherOffer, Purchase};
use hod_domain::id::{PriceId, RegionId};
use hod_units::canonical;
use hod_wire::v1 as wire;

use super::basis::basis;
use super::choice;
use super::takeoff::count;
use crate::name::{Collection, Materials, Prices, Regions, child_name};

/// An order of a material.
pub fn purchase(purchase: &Purchase) -> wire::Purchase {
    let left_over = purchase.ordered.checked_sub(purchase.needed);
    wire::Purchase {
        material: Materials::name(&purchase.material),
        item: String::from(&*purchase.item),
        price: price_name(&purchase.region, &purchase.price),
        supplier: purchase.supplier.clone(),
        needed: canonical(purchase.needed),
        ordered: canonical(purchase.ordered),
        left_over: canonical(left_over.unwrap_or_default()),
        unit: choice::unit(purchase.unit),
        pack_count: count(purchase.pack_count),
        load_count: purchase.loads.map_or(0, |loads| count(loads.count)),
        load_limit: purchase
            .loads
            .map_or("", |loads| load_limit(loads.limit))
            .to_owned(),
        goods_amount: purchase.goods.fixed(),
        delivery_amount: purchase.delivery.fixed(),
        lead_days: count(purchase.lead_days),
        basis: Some(basis(&purchase.basis)),
        hint: purchase.hint.as_ref().map(hint),
        other_offers: purchase.other_offers.iter().map(other_offer).collect(),
    }
}

/// The name of a price.
fn price_name(region: &RegionId, price: &PriceId) -> String {
    child_name::<Regions, Prices>(region, price)
}

const fn load_limit(limit: LoadLimit) -> &'static str {
    match limit {
        LoadLimit::Volume => "volume",
        LoadLimit::Mass => "mass",
        LoadLimit::Quantity => "quantity",
    }
}

fn hint(hint: &Hint) -> wire::PurchaseHint {
    wire::PurchaseHint {
        quantity: canonical(hint.quantity),
        amount: hint.amount.fixed(),
        saving: hint.saving.fixed(),
    }
}

fn other_offer(offer: &OtherOffer) -> wire::OtherOffer {
    wire::OtherOffer {
        price: price_name(&offer.region, &offer.price),
        supplier: offer.supplier.clone(),
        amount: offer.amount.fixed(),
        lead_days: count(offer.lead_days),
    }
}
