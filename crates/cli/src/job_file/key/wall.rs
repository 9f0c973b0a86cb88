//! What a job file says of a wall, and of what is on it.

use hod_wire::v1::{
    Batter, Buried, Face, Inclusion, Niche, Opening, OpeningShape, Wall, WallAbove, WallSystem,
};

use super::{Holds, Key, Keyed};
use crate::job_file::number::Measure;
use crate::name::collection::MATERIALS;
use crate::word::Word;

keys! {
    Wall, "in a [[wall]], above the sections on it",
    one of ["length_m", "radius_m", "bend_deg"] or
    "is missing; give it, or radius_m and bend_deg for an arc" {
        needed "id" => id: text,
        option "length_m" => length_m: metres,
        option "radius_m" => radius_m: metres,
        option "bend_deg" => bend_deg: number,
        needed "height_m" => height_m: metres,
        option "height_end_m" => height_end_m: metres,
        option "peak_m" => peak_m: metres,
        option "peak_at_m" => peak_at_m: metres,
        needed "thickness_mm" => thickness_mm: millimetres,
        option "thickness_top_mm" => thickness_top_mm: millimetres,
        option "batter" => batter: word(Batter::WORDS),
        option "starts" => starts: text,
        option "ends" => ends: text,
        option "turn_deg" => turn_deg: number,
        option "into_at_m" => into_at_m: metres,
        option "start_turn_deg" => start_turn_deg: number,
        option "start_into_at_m" => start_into_at_m: metres,
        option "system" => system: word(WallSystem::WORDS),
        option "build" => build: text,
        option "stem_height_m" => stem_height_m: metres,
        option "lift_height_m" => lift_height_m: metres,
        option "opening" => openings: sections("wall.opening"),
        option "niche" => niches: sections("wall.niche"),
        option "inclusion" => inclusions: sections("wall.inclusion"),
        option "above" => above: sections("wall.above"),
        option "finish" => finishes: sections("wall.finish"),
        option "buried" => buried: sections("wall.buried"),
    }
}

keys! {
    Opening, "in a [[wall.opening]]" {
        needed "id" => id: text,
        needed "shape" => shape: word(OpeningShape::WORDS),
        needed "width_m" => width_m: metres,
        option "height_m" => height_m: metres,
        option "rise_m" => rise_m: metres,
        needed "sill_m" => sill_m: metres,
        needed "at_m" => at_m: metres,
        option "splay_mm" => splay_mm: millimetres,
        option "lintel_material" => lintel_material: id(MATERIALS),
        option "lintel_count" => lintel_count: count,
        option "bearing_mm" => bearing_mm: millimetres,
        option "sill_material" => sill_material: id(MATERIALS),
        option "frame_material" => frame_material: id(MATERIALS),
        option "arch_form_material" => arch_form_material: id(MATERIALS),
    }
}

keys! {
    Niche, "in a [[wall.niche]]" {
        needed "id" => id: text,
        needed "shape" => shape: word(OpeningShape::WORDS),
        needed "width_m" => width_m: metres,
        option "height_m" => height_m: metres,
        option "rise_m" => rise_m: metres,
        needed "sill_m" => sill_m: metres,
        needed "at_m" => at_m: metres,
        needed "depth_mm" => depth_mm: millimetres,
        needed "face" => face: word(Face::WORDS),
    }
}

keys! {
    Inclusion, "in a [[wall.inclusion]]" {
        needed "id" => id: text,
        needed "count" => count: count,
        needed "volume_l" => volume_l: number,
    }
}

keys! {
    WallAbove, "in a [[wall.above]]", called by "from_m" {
        needed "from_m" => from_m: metres,
        needed "build" => build: text,
    }
}

keys! {
    Buried, "in a [[wall.buried]]" {
        needed "id" => id: text,
        needed "height_m" => height_m: metres,
        option "count" => count: count,
        option "material" => material: id(MATERIALS),
    }
}
