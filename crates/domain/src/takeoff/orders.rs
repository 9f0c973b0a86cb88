//! Orders: what is to be got of every material for the whole job, in what can be ordered. All batches of all mixes that
//! take it and all pieces of it are summed first and rounded up once.

use hod_units::Decimal;

use super::mixes::MixTakeoff;
use super::tally::Tally;
use crate::basis::Basis;
use crate::fault::too_large;
use crate::id::MaterialId;
use crate::material::Material;
use crate::text::Text;
use crate::unit::Unit;

/// What is to be got of a material.
#[derive(Debug, Clone, PartialEq)]
pub struct Order {
    /// Which.
    pub material: MaterialId,
    /// What people call it.
    pub item: Text,
    /// How much, rounded up to what can be ordered.
    pub quantity: Decimal,
    /// What it is ordered in.
    pub unit: Unit,
    /// How that came about.
    pub basis: Basis,
}

/// The orders of a tally: those of its mixes in their order, then what is used as it comes.
pub(super) fn sum_up(tally: &mut Tally, mixes: &[MixTakeoff]) -> Vec<Order> {
    let mut sums: Vec<(&Material, Basis)> = Vec::new();
    for mix in mixes {
        let Some(recipe) = tally.library.recipe(&mix.mix) else {
            continue;
        };
        let batches = mix.batches();
        for portion in recipe.portions() {
            if let Some(material) = recipe.material(&portion.material) {
                add(&mut sums, material, portion.basis.times_over(&batches));
            }
        }
    }
    for need in std::mem::take(&mut tally.needs) {
        if let Some(material) = tally.library.material(&need.material) {
            add(&mut sums, material, need.basis);
        }
    }
    let mut orders = Vec::with_capacity(sums.len());
    for (material, basis) in sums {
        match order(material, basis) {
            Some(order) => orders.push(order),
            None => tally
                .faults
                .push(too_large(&format!("the order of {}", material.id))),
        }
    }
    orders
}

fn add<'a>(sums: &mut Vec<(&'a Material, Basis)>, material: &'a Material, basis: Basis) {
    match sums.iter_mut().find(|(of, _)| of.id == material.id) {
        Some((_, sum)) => sum.terms.extend(basis.terms),
        None => sums.push((material, basis)),
    }
}

/// `None` on overflow.
fn order(material: &Material, basis: Basis) -> Option<Order> {
    Some(Order {
        material: material.id.clone(),
        item: Text::from(material.display_name.clone()),
        quantity: material.ordered(basis.work()?)?,
        unit: material.purchase_unit,
        basis: basis.to(material.order_rounding()),
    })
}
