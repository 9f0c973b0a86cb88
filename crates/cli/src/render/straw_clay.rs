//! What a placed m3 of light straw-clay takes by its table, and what the table asks of its soil and its wall.

use hod_wire::v1::{Basis, ProportionStrawClayResponse};

use super::basis;
use super::record::Record;
use super::table::{Side, Table};
use crate::output::Answer;
use crate::text::plain;

/// What it takes, and how much of that is shown.
pub struct StrawClayAnswer {
    /// What the server answered.
    pub takes: ProportionStrawClayResponse,
    /// Whether the sums stand below the figures.
    pub with_basis: bool,
}

impl StrawClayAnswer {
    /// The command that makes a mix of it; what only its maker knows stands in capitals.
    pub fn next(&self) -> String {
        let ProportionStrawClayResponse {
            density_kg_m3,
            straw_kg_per_m3,
            water_percent,
            source,
            ..
        } = &self.takes;
        format!(
            "hod mix create ID --display-name TEXT --part SOIL=1 --bucket-l NUMBER --buckets-per-part NUMBER \
             --density-dry-kg-m3 {density_kg_m3} --straw-material STRAW --straw-kg-per-m3 {straw_kg_per_m3} \
             --water-material WATER --water-percent {water_percent} --source \"{}\"",
            plain(source)
        )
    }

    /// The figures that have a sum, each with it below when that is asked for.
    fn worked(&self, table: &mut Table, [part, figure, unit]: [&str; 3], basis: Option<&Basis>) {
        table.row([part, figure, unit]);
        let words = basis::words(basis, "");
        if self.with_basis && !words.is_empty() {
            table.note(&format!("= {words}"));
        }
    }
}

impl Answer for StrawClayAnswer {
    fn record(&self) -> Record {
        let takes = &self.takes;
        let words = |basis: &Option<Basis>| basis::words(basis.as_ref(), "");
        Record::new()
            .text("density_kg_m3", &takes.density_kg_m3)
            .text("straw_kg_per_m3", &takes.straw_kg_per_m3)
            .text("soil_kg_per_m3", &takes.soil_kg_per_m3)
            .text("water_l_per_m3", &takes.water_l_per_m3)
            .text("water_percent", &takes.water_percent)
            .text("clay_percent_min", &takes.clay_percent_min)
            .text("clay_to_silt_min", &takes.clay_to_silt_min)
            .text("thickness_mm_max", &takes.thickness_mm_max)
            .text("source", &takes.source)
            .text("straw_basis", &words(&takes.straw_basis))
            .text("soil_basis", &words(&takes.soil_basis))
            .text("water_basis", &words(&takes.water_basis))
    }

    fn header(&self) -> Vec<String> {
        let flat = self.record().flat();
        flat.into_iter().map(|(name, _)| name).collect()
    }

    fn rows(&self) -> Vec<Vec<String>> {
        let flat = self.record().flat();
        vec![flat.into_iter().map(|(_, value)| value).collect()]
    }

    fn table(&self) -> String {
        let takes = &self.takes;
        let mut table = Table::new(&[
            ("A placed m3 of light straw-clay", Side::Left),
            ("Figure", Side::Right),
            ("Unit", Side::Left),
        ]);
        table.row(["dry density", &takes.density_kg_m3, "kg/m3"]);
        let (straw, soil, water) = (
            takes.straw_basis.as_ref(),
            takes.soil_basis.as_ref(),
            takes.water_basis.as_ref(),
        );
        self.worked(&mut table, ["straw", &takes.straw_kg_per_m3, "kg"], straw);
        let kg = "kg dry";
        self.worked(&mut table, ["subsoil", &takes.soil_kg_per_m3, kg], soil);
        self.worked(&mut table, ["water", &takes.water_l_per_m3, "l"], water);
        let of_dry = "% of the dry mass";
        table.row(["the same water", &takes.water_percent, of_dry]);
        table.rule();
        let (clay, to_silt) = (&takes.clay_percent_min, &takes.clay_to_silt_min);
        let percent = if clay.is_empty() { "" } else { "%" };
        table.row(["clay of the subsoil, at the least", or_none(clay), percent]);
        table.row(["clay to one of silt, at the least", or_none(to_silt), ""]);
        let thickest = &takes.thickness_mm_max;
        table.row(["thickness of a wall, at the most", thickest, "mm"]);
        format!("{table}\nBy {}.\n", plain(&takes.source))
    }
}

/// A limit; one that the table does not have is told as such.
fn or_none(limit: &str) -> &str {
    if limit.is_empty() { "none" } else { limit }
}
