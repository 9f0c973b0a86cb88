//! Materials as they are shown.

use hod_wire::v1::{Material, Supply, Unit};

use super::{Column, Noun, figures, words};
use crate::name::short;
use crate::render::record::Record;
use crate::word;

impl Noun for Material {
    const COLUMNS: &'static [Column<Self>] = &[
        words("Material", |material| short(&material.name)),
        words("Name", |material| material.display_name.clone()),
        words("Group", |material| material.group.clone()),
        words("Supply", |material| {
            word::of::<Supply>(material.supply).to_owned()
        }),
        words("Ordered in", |material| {
            word::of::<Unit>(material.purchase_unit).to_owned()
        }),
        figures("Loose kg/m3", |material| {
            material.density_loose_kg_m3.clone()
        }),
        figures("Bulking %", |material| material.bulking_percent.clone()),
        figures("Swell %", |material| material.swell_percent.clone()),
        figures("Moisture %", |material| material.moisture_percent.clone()),
        figures("Each kg", |material| material.mass_per_unit_kg.clone()),
        words("Piece mm", piece),
    ];

    fn record(&self) -> Record {
        Record::new()
            .text("name", &self.name)
            .text("display_name", &self.display_name)
            .word::<Supply>("supply", self.supply)
            .word::<Unit>("purchase_unit", self.purchase_unit)
            .text("density_loose_kg_m3", &self.density_loose_kg_m3)
            .text("bulking_percent", &self.bulking_percent)
            .text("swell_percent", &self.swell_percent)
            .text("moisture_percent", &self.moisture_percent)
            .text("mass_per_unit_kg", &self.mass_per_unit_kg)
            .text("length_mm", &self.length_mm)
            .text("width_mm", &self.width_mm)
            .text("height_mm", &self.height_mm)
            .text("order_step", &self.order_step)
            .text("clay_percent", &self.clay_percent)
            .text("group", &self.group)
            .text("source", &self.source)
            .time("create_time", self.create_time.as_ref())
            .time("update_time", self.update_time.as_ref())
            .text("etag", &self.etag)
    }

    fn name(&self) -> &str {
        &self.name
    }
}

/// `400 x 300 x 100`, for what is laid piece by piece.
fn piece(material: &Material) -> String {
    let sizes = [&material.length_mm, &material.width_mm, &material.height_mm];
    let known: Vec<&str> = sizes
        .into_iter()
        .map(String::as_str)
        .filter(|size| !size.is_empty())
        .collect();
    known.join(" x ")
}
