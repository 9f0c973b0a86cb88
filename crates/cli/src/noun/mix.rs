//! Mixes as they are shown.

use hod_wire::v1::{DensityEvidence, Ingredient, Mix, MixPurpose, PartMeasure};

use super::{Column, Noun, figures, words};
use crate::name::short;
use crate::render::record::Record;
use crate::word;

impl Noun for Mix {
    const COLUMNS: &'static [Column<Self>] = &[
        words("Mix", |mix| short(&mix.name)),
        words("Name", |mix| mix.display_name.clone()),
        words("Purpose", |mix| {
            word::of::<MixPurpose>(mix.purpose).to_owned()
        }),
        words("Parts by volume", |mix| {
            let parts: Vec<String> = mix.ingredients.iter().map(part).collect();
            parts.join(" : ")
        }),
        words("Measure", measure),
        figures("Measure l", |mix| mix.bucket_l.clone()),
        figures("To a part", |mix| mix.buckets_per_part.clone()),
        figures("Yield l", |mix| mix.batch_yield_l.clone()),
        figures("Straw kg/m3", |mix| mix.straw_kg_per_m3.clone()),
        figures("Waste %", |mix| mix.waste_percent.clone()),
        words("Trial", |mix| short(&mix.trial)),
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
            .word::<MixPurpose>("purpose", self.purpose)
            .word::<PartMeasure>("measure", self.measure)
            .text("mixing", &self.mixing)
            .word::<DensityEvidence>("density_evidence", self.density_evidence)
            .text("trial", &self.trial)
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

/// What its parts are measured in: a bucket, unless something else is named.
fn measure(mix: &Mix) -> String {
    match word::of::<PartMeasure>(mix.measure) {
        "" => "bucket".to_owned(),
        word => word.replace('-', " "),
    }
}
