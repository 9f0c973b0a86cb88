//! Which materials of a mix must be weighed, and which of those are not.
//! A mass balance needs every ingredient's density; so does water by dry mass; so does an order by mass.

use super::Mix;
use crate::fault::Fault;
use crate::id::MaterialId;
use crate::material::Material;
use crate::unit::Unit;

/// A fault for each figure that is needed and not there.
pub(super) fn faults(mix: &Mix, materials: &[Material]) -> Vec<Fault> {
    let find = |id: &MaterialId| materials.iter().find(|material| material.id == *id);
    let mut faults = Vec::new();
    for material in mix
        .ingredients
        .iter()
        .filter_map(|ingredient| find(&ingredient.material))
    {
        faults.extend(density_for(material, ingredient_need(mix, material)));
        faults.extend(mass_per_unit(material));
    }
    let straw = mix
        .straw
        .as_ref()
        .filter(|straw| straw.per_placed.is_positive());
    if let Some(material) = straw.and_then(|straw| find(&straw.material)) {
        faults.extend(density_for(material, straw_need(mix, material)));
        faults.extend(mass_per_unit(material));
    }
    let water = mix.water.as_ref().filter(|_| mix.water_share.is_positive());
    if let Some(material) = water.and_then(find) {
        faults.extend(mass_per_unit(material));
    }
    faults
}

/// What an ingredient's density is needed for.
fn ingredient_need(mix: &Mix, material: &Material) -> Option<String> {
    if mix.batch_yield_measured.is_none() {
        Some(format!(
            "mix {} has no measured yield, so its batch is reckoned by mass",
            mix.id
        ))
    } else if mix.water.is_some() && mix.water_share.is_positive() {
        Some(format!("mix {} takes its water by dry mass", mix.id))
    } else if is_ordered_loose(material) {
        None
    } else {
        Some(format!(
            "it is ordered by the {}",
            material.purchase_unit.word()
        ))
    }
}

/// What straw's density is needed for.
fn straw_need(mix: &Mix, material: &Material) -> Option<String> {
    is_ordered_loose(material).then(|| {
        format!(
            "mix {} takes it by mass and it is ordered by the {}",
            mix.id,
            material.purchase_unit.word()
        )
    })
}

fn is_ordered_loose(material: &Material) -> bool {
    matches!(material.purchase_unit, Unit::M3 | Unit::L)
}

/// The fault of a density that is needed and missing.
fn density_for(material: &Material, need: Option<String>) -> Option<Fault> {
    let need = need.filter(|_| {
        !material
            .density_loose
            .is_some_and(|density| density.is_positive())
    })?;
    Some(missing(
        material,
        "density_loose_kg_m3",
        "DENSITY_MISSING",
        format!(
            "{} has no loose density, and {need}; weigh a bucket of it dry and give density_loose_kg_m3",
            material.id
        ),
    ))
}

/// The fault of a piece that is bought by number and used by mass, and was not weighed.
fn mass_per_unit(material: &Material) -> Option<Fault> {
    let is_piece = matches!(
        material.purchase_unit,
        Unit::Bale | Unit::Bag | Unit::Roll | Unit::Each
    );
    let is_weighed = material
        .mass_per_unit
        .is_some_and(|mass| mass.is_positive());
    (is_piece && !is_weighed).then(|| {
        let word = material.purchase_unit.word();
        missing(
            material,
            "mass_per_unit_kg",
            "MASS_PER_UNIT_MISSING",
            format!("{} is ordered by the {word} and used by mass; weigh some and give mass_per_unit_kg", material.id),
        )
    })
}

fn missing(material: &Material, field: &str, reason: &'static str, message: String) -> Fault {
    Fault::of_field(field, reason, message).about(format!("materials/{}", material.id))
}
