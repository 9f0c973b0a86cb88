//! What one batch takes of a material, told in the unit that the material is ordered in.
//! Rounding up to what can be ordered comes once, over all batches, and is for the estimate.

use hod_units::{Decimal, Volume};
use rust_decimal::dec;

use super::Mix;
use super::batch::{straw_basis, water_basis};
use super::part::Part;
use crate::basis::{Basis, Joint, Term};
use crate::id::MaterialId;
use crate::material::Material;
use crate::unit::Unit;

/// Kilograms in a tonne, litres in a cubic metre, and kilograms of water in a cubic metre (at 4 degrees C to 0.003 %;
/// from memory).
const THOUSAND: Decimal = dec!(1000);

/// What one batch takes of a material.
#[derive(Debug, Clone, PartialEq)]
pub struct Portion {
    /// Which.
    pub material: MaterialId,
    /// How much, in the unit that it is ordered in, not rounded.
    pub basis: Basis,
}

/// The portions of a batch; `None` when a material is not weighed as it must be, or on overflow.
pub(super) fn all(
    mix: &Mix,
    materials: &[Material],
    parts: &[Part],
    yield_placed: Volume,
) -> Option<Vec<Portion>> {
    let find = |id: &MaterialId| materials.iter().find(|material| material.id == *id);
    let mut portions: Vec<Portion> = parts
        .iter()
        .map(|part| Some(portion(part.material, of_part(part)?)))
        .collect::<Option<_>>()?;
    if let (Some(straw), Some(mass)) = (&mix.straw, straw_basis(mix, yield_placed)) {
        let material = find(&straw.material)?;
        portions.push(portion(material, of_straw(material, mass)?));
    }
    if let (Some(water), Some(mass)) = (&mix.water, water_basis(mix, parts, yield_placed)) {
        let material = find(water)?;
        // Ingredients wet enough already need none poured.
        if Decimal::ZERO < mass.work()? {
            portions.push(portion(material, of_water(material, mass)?));
        }
    }
    Some(portions)
}

fn portion(material: &Material, basis: Basis) -> Portion {
    Portion {
        material: material.id.clone(),
        basis,
    }
}

/// An ingredient: its loose volume, or what that weighs with the water that it holds.
fn of_part(part: &Part) -> Option<Basis> {
    match part.material.purchase_unit {
        Unit::M3 => Some(part.loose()),
        Unit::L => Some(part.loose().carried_on(&[litres()])),
        _ => by_mass(part.material, part.moist()?),
    }
}

/// Straw, from its mass in kg.
fn of_straw(material: &Material, mass: Basis) -> Option<Basis> {
    let loose = |mass: Basis| {
        let density = material.density_loose?.kg_per_cubic_metre();
        Some(mass.carried_on(&[material.term(
            Joint::Over,
            density,
            Unit::KgPerM3,
            "loose dry density",
        )]))
    };
    match material.purchase_unit {
        Unit::M3 => loose(mass),
        Unit::L => Some(loose(mass)?.carried_on(&[litres()])),
        _ => by_mass(material, mass),
    }
}

/// Water, from its mass in kg, of which one is a litre.
fn of_water(material: &Material, mass: Basis) -> Option<Basis> {
    match material.purchase_unit {
        Unit::L => Some(mass),
        Unit::M3 => Some(mass.carried_on(&[Term::new(
            Joint::Over,
            THOUSAND,
            Unit::KgPerM3,
            "density of water",
            "",
        )])),
        _ => by_mass(material, mass),
    }
}

/// A mass in kg, told in kg, tonnes or pieces.
fn by_mass(material: &Material, mass: Basis) -> Option<Basis> {
    match material.purchase_unit {
        Unit::Kg => Some(mass),
        Unit::T => Some(mass.carried_on(&[Term::new(
            Joint::Over,
            THOUSAND,
            Unit::Number,
            "kg in a tonne",
            "",
        )])),
        _ => {
            let piece = material.mass_per_unit?.kg();
            Some(mass.carried_on(&[material.term(Joint::Over, piece, Unit::Kg, "mass of one")]))
        }
    }
}

fn litres() -> Term {
    Term::new(
        Joint::Times,
        THOUSAND,
        Unit::Number,
        "litres in a cubic metre",
        "",
    )
}
