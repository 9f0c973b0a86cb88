//! An offer: a price that could answer an order, checked for all that is needed to reckon with it.

use hod_units::{Decimal, Money};

use super::loads::{Carried, Haul};
use super::{Charged, goods};
use crate::fault::Fault;
use crate::id::RegionId;
use crate::material::Material;
use crate::price::Price;

/// A price that could answer an order.
#[derive(Debug, Clone)]
pub struct Offer<'a> {
    pub(super) region: &'a RegionId,
    pub(super) price: &'a Price,
    pub(super) haul: Option<Haul>,
}

/// What an order comes to.
pub(super) struct Cost {
    /// The goods.
    pub goods: Money,
    /// How they come to the site, and what that costs; none when they are fetched or it is within the price.
    pub carried: Option<Carried>,
    /// All of it that is not goods.
    pub delivery: Money,
    /// Goods and delivery.
    pub total: Money,
}

impl<'a> Offer<'a> {
    /// A price of a region for a material, with the kilometres of a load in place of its own that a job says. Refused when
    /// it is for another unit than the material is ordered in, when a limit of its loads cannot be worked out for this
    /// material, and when it charges for each kilometre and nobody says how many.
    pub fn new(
        region: &'a RegionId,
        price: &'a Price,
        material: &Material,
        distance_km: Option<Decimal>,
    ) -> Result<Self, Vec<Fault>> {
        if price.unit != material.purchase_unit {
            return Err(vec![unit_differs(region, price, material)]);
        }
        let haul = match &price.terms.delivery {
            None => None,
            Some(delivery) => {
                let name = name(region, price);
                Some(Haul::new(delivery, material, &name, distance_km)?)
            }
        };
        Ok(Self {
            region,
            price,
            haul,
        })
    }

    /// What an ordered quantity comes to. `None` on overflow.
    pub(super) fn cost(&self, ordered: Decimal, charged: Charged) -> Option<Cost> {
        let goods = goods::cost(self.price, ordered, charged)?;
        let Some(haul) = &self.haul else {
            return Some(Cost {
                goods,
                carried: None,
                delivery: Money::zero(charged.currency),
                total: goods,
            });
        };
        let carried = haul.carry(ordered, charged)?;
        let delivery = carried.by_load.checked_add(carried.by_km).ok()?;
        Some(Cost {
            goods,
            carried: Some(carried),
            delivery,
            total: goods.checked_add(delivery).ok()?,
        })
    }

    /// Its name and its first day, as every line of it shows them.
    pub(super) fn source(&self) -> String {
        let (region, price) = (self.region, self.price);
        let from = price.in_force.from();
        format!("regions/{region}/prices/{}, {from}", price.id)
    }
}

fn name(region: &RegionId, price: &Price) -> String {
    format!("regions/{region}/prices/{}", price.id)
}

fn unit_differs(region: &RegionId, price: &Price, material: &Material) -> Fault {
    let (found, wanted) = (price.unit.word(), material.purchase_unit.word());
    let name = name(region, price);
    let message = format!(
        "{name}, {} is for one {found} of {}, which is ordered by the {wanted}; put in a price for one {wanted}",
        price.in_force.from(),
        material.id
    );
    Fault::of_resource(name, "PRICE_UNIT_DIFFERS", message)
}
