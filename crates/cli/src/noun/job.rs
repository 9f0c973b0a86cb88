//! Jobs as they are shown.

use hod_wire::v1::{Batter, Face, Inclusion, Job, Niche, Opening, OpeningShape, Wall, WallSystem};

use super::{Column, Noun, figures, words};
use crate::name::short;
use crate::render::record::Record;
use crate::word;

impl Noun for Job {
    const COLUMNS: &'static [Column<Self>] = &[
        words("Job", |job| short(&job.name)),
        words("Name", |job| job.display_name.clone()),
        words("Site", |job| short(&job.site)),
        words("System", |job| {
            word::of::<WallSystem>(job.system).to_owned()
        }),
        words("Mix", |job| short(&job.mix)),
        words("Mixing", |job| job.mixing.clone()),
        words("Crew", |job| short(&job.crew)),
        figures("Walls", |job| job.walls.len().to_string()),
    ];

    fn record(&self) -> Record {
        Record::new()
            .text("name", &self.name)
            .text("display_name", &self.display_name)
            .text("site", &self.site)
            .word::<WallSystem>("system", self.system)
            .text("mix", &self.mix)
            .text("mixing", &self.mixing)
            .text("crew", &self.crew)
            .text("paring_mm", &self.paring_mm)
            .text("waste_percent", &self.waste_percent)
            .text("stem_height_m", &self.stem_height_m)
            .text("lift_height_m", &self.lift_height_m)
            .many("walls", &self.walls, wall)
            .time("create_time", self.create_time.as_ref())
            .time("update_time", self.update_time.as_ref())
            .text("etag", &self.etag)
    }

    fn name(&self) -> &str {
        &self.name
    }
}

fn wall(wall: &Wall) -> Record {
    Record::new()
        .text("id", &wall.id)
        .text("length_m", &wall.length_m)
        .text("radius_m", &wall.radius_m)
        .text("bend_deg", &wall.bend_deg)
        .text("height_m", &wall.height_m)
        .text("height_end_m", &wall.height_end_m)
        .text("peak_m", &wall.peak_m)
        .text("peak_at_m", &wall.peak_at_m)
        .text("thickness_mm", &wall.thickness_mm)
        .text("thickness_top_mm", &wall.thickness_top_mm)
        .word::<Batter>("batter", wall.batter)
        .text("starts", &wall.starts)
        .text("ends", &wall.ends)
        .text("turn_deg", &wall.turn_deg)
        .text("into_at_m", &wall.into_at_m)
        .text("start_turn_deg", &wall.start_turn_deg)
        .text("start_into_at_m", &wall.start_into_at_m)
        .word::<WallSystem>("system", wall.system)
        .text("stem_height_m", &wall.stem_height_m)
        .text("lift_height_m", &wall.lift_height_m)
        .many("openings", &wall.openings, opening)
        .many("niches", &wall.niches, niche)
        .many("inclusions", &wall.inclusions, inclusion)
}

fn opening(opening: &Opening) -> Record {
    Record::new()
        .text("id", &opening.id)
        .word::<OpeningShape>("shape", opening.shape)
        .text("width_m", &opening.width_m)
        .text("height_m", &opening.height_m)
        .text("rise_m", &opening.rise_m)
        .text("sill_m", &opening.sill_m)
        .text("at_m", &opening.at_m)
        .text("splay_mm", &opening.splay_mm)
}

fn niche(niche: &Niche) -> Record {
    Record::new()
        .text("id", &niche.id)
        .word::<OpeningShape>("shape", niche.shape)
        .text("width_m", &niche.width_m)
        .text("height_m", &niche.height_m)
        .text("rise_m", &niche.rise_m)
        .text("sill_m", &niche.sill_m)
        .text("at_m", &niche.at_m)
        .text("depth_mm", &niche.depth_mm)
        .word::<Face>("face", niche.face)
}

fn inclusion(inclusion: &Inclusion) -> Record {
    Record::new()
        .text("id", &inclusion.id)
        .count("count", inclusion.count)
        .text("volume_l", &inclusion.volume_l)
}
