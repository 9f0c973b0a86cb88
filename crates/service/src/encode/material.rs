//! Materials.

use hod_domain::material::{Material, PieceSize};
use hod_store::Stored;
use hod_units::{Density, Length, Mass, canonical};
use hod_wire::v1 as wire;

use super::stamp::{etag, timestamp};
use super::{choice, number_if_any};
use crate::name::{Collection, Materials};

/// A material.
pub fn material(stored: &Stored<Material>) -> wire::Material {
    let material = &stored.value;
    let size = |of: fn(PieceSize) -> Length| number_if_any(material.size.map(of).map(Length::mm));
    wire::Material {
        name: Materials::name(&material.id),
        display_name: material.display_name.clone(),
        supply: choice::supply(material.supply),
        purchase_unit: choice::unit(material.purchase_unit),
        density_loose_kg_m3: number_if_any(material.density_loose.map(Density::kg_per_cubic_metre)),
        bulking_percent: canonical(material.bulking.percent()),
        swell_percent: canonical(material.swell.percent()),
        moisture_percent: canonical(material.moisture.percent()),
        mass_per_unit_kg: number_if_any(material.mass_per_unit.map(Mass::kg)),
        length_mm: size(|size| size.length),
        width_mm: size(|size| size.width),
        height_mm: size(|size| size.height),
        order_step: number_if_any(material.order_step),
        clay_percent: canonical(material.clay.percent()),
        source: material.source.clone(),
        group: material
            .group
            .as_ref()
            .map(ToString::to_string)
            .unwrap_or_default(),
        create_time: Some(timestamp(stored.created)),
        update_time: Some(timestamp(stored.updated)),
        etag: etag(stored.version),
    }
}
