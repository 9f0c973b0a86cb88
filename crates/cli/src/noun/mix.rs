//! Mixes as they are shown.

use hod_wire::v1::{Ingredient, Mix};

use super::{Column, Noun, figures, words};
use crate::name::short;
use crate::render::record::Record;

impl Noun for Mix {
    const COLUMNS: &'static [Column<Self>] = &[
        words("Mix", |mix| short(&mix.name)),
        words("Name", |mix| mix.display_name.clone()),
        words("Parts by volume", |mix| {
            let parts: Vec<String> = mix.ingredients.iter().map(part).collect();
            parts.join(" : ")
        }),
        figures("Bucket l", |mix| mix.bucket_l.clone()),
        figures("Buckets to a part", |mix| mix.buckets_per_part.clone()),
        figures("Yield l", |mix| mix.batch_yield_l.clone()),
        figures("Straw kg/m3", |mix| mix.straw_kg_per_m3.clone()),
        figures("Waste %", |mix| mix.waste_percent.clone()),
    ];

    fn record(&self) -> Record {
        Record::new()
            .text("name", &self.name)
            .text("display_name", &self.display_name)
            .many("ingredients", &self.ingredients, |ingredient| {
                Record::new()
                    .text("material", &ingredient.material)
                    .text("parts", &ingredient.parts)
            })
            .text("bucket_l", &self.bucket_l)
            .text("buckets_per_part", &self.buckets_per_part)
            .text("density_dry_kg_m3", &self.density_dry_kg_m3)
            .text("batch_yield_l", &self.batch_yield_l)
            .text("straw_material", &self.straw_material)
            .text("straw_kg_per_m3", &self.straw_kg_per_m3)
            .text("water_material", &self.water_material)
            .text("water_percent", &self.water_percent)
            .text("waste_percent", &self.waste_percent)
            .text("source", &self.source)
            .time("create_time", self.create_time.as_ref())
            .time("update_time", self.update_time.as_ref())
            .text("etag", &self.etag)
    }

    fn name(&self) -> &str {
        &self.name
    }
}

/// `1 subsoil`.
fn part(ingredient: &Ingredient) -> String {
    format!("{} {}", ingredient.parts, short(&ingredient.material))
}
