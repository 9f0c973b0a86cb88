//! Soil tests as they are shown.

use hod_wire::v1::{JarProtocol, SoilObservation, SoilTest, SoilTestMethod, SoilTexture};

use super::{Column, Noun, figures, words};
use crate::name::short;
use crate::render::record::Record;
use crate::word::{self, Word};

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
        words("Clay may be %", clay_may_be),
        words("Class", |test| {
            word::of::<SoilTexture>(test.texture).to_owned()
        }),
        words("Seen", |test| {
            let seen: Vec<&str> = test
                .observations
                .iter()
                .map(|seen| word::of::<SoilObservation>(*seen))
                .collect();
            seen.join(", ")
        }),
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
            .one_if_there("jar_protocol", self.jar_protocol.as_ref(), protocol)
            .text("ribbon_mm", &self.ribbon_mm)
            .text("drop_note", &self.drop_note)
            .texts(
                "observations",
                &named::<SoilObservation>(&self.observations),
            )
            .word::<SoilTexture>("texture", self.texture)
            .text("sand_mark_grain_mm", &self.sand_mark_grain_mm)
            .text("silt_mark_grain_mm", &self.silt_mark_grain_mm)
            .text("clay_percent_low", &self.clay_percent_low)
            .text("clay_percent_high", &self.clay_percent_high)
            .texts(
                "textures_within",
                &named::<SoilTexture>(&self.textures_within),
            )
    }

    fn name(&self) -> &str {
        &self.name
    }
}

/// `12.7 to 25.8`, of a jar.
fn clay_may_be(test: &SoilTest) -> String {
    match (
        test.clay_percent_low.as_str(),
        test.clay_percent_high.as_str(),
    ) {
        ("", _) | (_, "") => String::new(),
        (low, high) => format!("{low} to {high}"),
    }
}

fn named<W: Word>(numbers: &[i32]) -> Vec<String> {
    numbers
        .iter()
        .map(|number| word::of::<W>(*number).to_owned())
        .collect()
}

fn protocol(protocol: &JarProtocol) -> Record {
    Record::new()
        .text("sand_mark_s", &protocol.sand_mark_s)
        .text("silt_mark_min", &protocol.silt_mark_min)
        .text("clay_mark_h", &protocol.clay_mark_h)
        .text("water_height_mm", &protocol.water_height_mm)
        .text("water_celsius", &protocol.water_celsius)
}
