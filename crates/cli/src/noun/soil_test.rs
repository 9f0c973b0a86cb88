//! Soil tests as they are shown.

use hod_wire::v1::{SoilTest, SoilTestMethod};

use super::{Column, Noun, figures, words};
use crate::name::short;
use crate::render::record::Record;
use crate::word;

impl Noun for SoilTest {
    const COLUMNS: &'static [Column<Self>] = &[
        words("Soil test", |test| short(&test.name)),
        words("Method", |test| {
            word::of::<SoilTestMethod>(test.method).to_owned()
        }),
        words("Sampled", |test| test.sample_date.clone()),
        figures("Depth m", |test| test.depth_m.clone()),
        figures("Sand %", |test| test.sand_percent.clone()),
        figures("Silt %", |test| test.silt_percent.clone()),
        figures("Clay %", |test| test.clay_percent.clone()),
        words("Note", |test| test.note.clone()),
    ];

    fn record(&self) -> Record {
        Record::new()
            .text("name", &self.name)
            .word::<SoilTestMethod>("method", self.method)
            .text("sample_date", &self.sample_date)
            .text("depth_m", &self.depth_m)
            .text("sand_mm", &self.sand_mm)
            .text("silt_mm", &self.silt_mm)
            .text("clay_mm", &self.clay_mm)
            .text("sand_percent", &self.sand_percent)
            .text("silt_percent", &self.silt_percent)
            .text("clay_percent", &self.clay_percent)
            .text("note", &self.note)
            .time("create_time", self.create_time.as_ref())
    }

    fn name(&self) -> &str {
        &self.name
    }
}
