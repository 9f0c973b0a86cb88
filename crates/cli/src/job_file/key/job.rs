//! What a job file says of the building as a whole: the top of the file, and the sections beside its walls.

use hod_wire::v1::{
    BaleLay, Build, Face, Finish, Floor, Ground, Job, Oven, Rounding, StemSystem, StemWall, Trench,
    WallSystem,
};

use super::{Holds, Key, Keyed, ListOf};
use crate::job_file::number::Measure;
use crate::name::collection::{CREWS, MATERIALS, MIXES, RULE_PACKS, SITES};
use crate::word::Word;

keys! {
    Job, "at the top of the file, before its first section",
    one of ["wall"] or "a job needs at least one [[wall]]" {
        needed "name" => display_name: text,
        option "site" => site: id(SITES),
        needed "system" => system: word(WallSystem::WORDS),
        option "mix" => mix: id(MIXES),
        option "mixing" => mixing: text,
        option "crew" => crew: id(CREWS),
        option "paring_mm" => paring_mm: millimetres,
        option "parings_reused_percent" => parings_reused_percent: number,
        option "waste_percent" => waste_percent: number,
        option "stem_height_m" => stem_height_m: metres,
        option "lift_height_m" => lift_height_m: metres,
        option "measurement" => measurement: id(RULE_PACKS),
        option "build" => builds: sections("build"),
        option "finish" => finishes: sections("finish"),
        option "stem_wall" => stem_wall: section("stem_wall"),
        option "trench" => trench: section("trench"),
        option "floor" => floors: sections("floor"),
        option "oven" => ovens: sections("oven"),
        option "ground" => ground: section("ground"),
        option "wall" => walls: sections("wall"),
        option "scope" => scope: sections("scope"),
        option "cost" => costs: sections("cost"),
        option "site_time" => site_time: section("site_time"),
        option "source" => sources: sections("source"),
        option "build_up" => build_up: section("build_up"),
        option "rounding" => rounding: word(Rounding::WORDS),
    }
}

keys! {
    Build, "in a [[build]]" {
        needed "id" => id: text,
        needed "system" => system: word(WallSystem::WORDS),
        option "mix" => mix: id(MIXES),
        option "mixing" => mixing: text,
        option "lift_height_m" => lift_height_m: metres,
        option "paring_mm" => paring_mm: millimetres,
        option "piece_material" => piece_material: id(MATERIALS),
        option "mortar_mix" => mortar_mix: id(MIXES),
        option "joint_mm" => joint_mm: millimetres,
        option "breakage_percent" => breakage_percent: number,
        option "bale_lay" => bale_lay: word(BaleLay::WORDS),
        option "settling_percent" => settling_percent: number,
        option "tie_material" => tie_material: id(MATERIALS),
        option "ties_per_piece" => ties_per_piece: number,
        option "stave_material" => stave_material: id(MATERIALS),
        option "stave_spacing_mm" => stave_spacing_mm: millimetres,
        option "rod_material" => rod_material: id(MATERIALS),
        option "rod_spacing_mm" => rod_spacing_mm: millimetres,
        option "wattle_percent" => wattle_percent: number,
        option "form_material" => form_material: id(MATERIALS),
        option "form_use_count" => form_use_count: count,
    }
}

keys! {
    Finish, "in a [[finish]] or a [[wall.finish]]", called by "face" {
        needed "face" => face: word(Face::WORDS),
        needed "coats" => coats: texts(ListOf::Coats),
        option "levelling_mm" => levelling_mm: millimetres,
        option "reveal_percent" => reveal_percent: number,
    }
}

keys! {
    StemWall, "in [stem_wall]" {
        needed "system" => system: word(StemSystem::WORDS),
        option "thickness_mm" => thickness_mm: millimetres,
        option "stone_material" => stone_material: id(MATERIALS),
        option "mortar_mix" => mortar_mix: id(MIXES),
        option "mortar_percent" => mortar_percent: number,
        option "bag_material" => bag_material: id(MATERIALS),
        option "fill_mix" => fill_mix: id(MIXES),
        option "damp_course_material" => damp_course_material: id(MATERIALS),
    }
}

keys! {
    Trench, "in [trench]" {
        needed "width_mm" => width_mm: millimetres,
        needed "depth_mm" => depth_mm: millimetres,
        needed "fill_mix" => fill_mix: id(MIXES),
        option "drain_material" => drain_material: id(MATERIALS),
        option "fabric_material" => fabric_material: id(MATERIALS),
    }
}

keys! {
    Floor, "in a [[floor]]",
    one of ["area_m2", "length_m", "width_m", "inside"] or
    "is missing; give it, or length_m and width_m, or inside with a wall of a closed run" {
        needed "id" => id: text,
        option "area_m2" => area_m2: number,
        option "length_m" => length_m: metres,
        option "width_m" => width_m: metres,
        option "inside" => inside: text,
        needed "layers" => layers: texts(ListOf::Coats),
        option "sheet_material" => sheet_material: id(MATERIALS),
        option "lap_percent" => lap_percent: number,
    }
}

keys! {
    Oven, "in an [[oven]]" {
        needed "id" => id: text,
        needed "inner_diameter_m" => inner_diameter_m: metres,
        option "dome_height_m" => dome_height_m: metres,
        needed "door_width_m" => door_width_m: metres,
        option "door_height_m" => door_height_m: metres,
        needed "layers" => layers: texts(ListOf::Coats),
        option "base_layers" => base_layers: texts(ListOf::Coats),
        option "form_mix" => form_mix: id(MIXES),
    }
}

keys! {
    Ground, "in [ground]" {
        option "dig_area_m2" => dig_area_m2: number,
        option "topsoil_mm" => topsoil_mm: millimetres,
        option "subsoil_mm" => subsoil_mm: millimetres,
        option "soil_test" => soil_test: text,
        option "tip_material" => tip_material: id(MATERIALS),
        option "swell_percent" => swell_percent: number,
    }
}
