//! Walls of a job as they are shown, and what is on them.

use hod_wire::v1::{
    Batter, Buried, Face, Finish, Inclusion, Niche, Opening, OpeningShape, Wall, WallAbove,
    WallSystem,
};

use crate::render::record::Record;

pub(super) fn wall(wall: &Wall) -> Record {
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
        .text("build", &wall.build)
        .many("above", &wall.above, above)
        .many("finishes", &wall.finishes, finish)
        .many("buried", &wall.buried, buried)
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
        .text("lintel_material", &opening.lintel_material)
        .count_if_given("lintel_count", opening.lintel_count)
        .text("bearing_mm", &opening.bearing_mm)
        .text("sill_material", &opening.sill_material)
        .text("frame_material", &opening.frame_material)
        .text("arch_form_material", &opening.arch_form_material)
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

fn above(above: &WallAbove) -> Record {
    Record::new()
        .text("from_m", &above.from_m)
        .text("build", &above.build)
}

/// Coats on a face, of a wall or of all walls of a job.
pub(super) fn finish(finish: &Finish) -> Record {
    Record::new()
        .word::<Face>("face", finish.face)
        .texts("coats", &finish.coats)
        .text("levelling_mm", &finish.levelling_mm)
        .text("reveal_percent", &finish.reveal_percent)
}

/// What is buried in a wall, or in a lift of it.
pub(crate) fn buried(buried: &Buried) -> Record {
    Record::new()
        .text("id", &buried.id)
        .text("height_m", &buried.height_m)
        .count_if_given("count", buried.count)
        .text("material", &buried.material)
}
