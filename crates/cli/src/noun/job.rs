//! Jobs as they are shown, and what they say of the building as a whole; their walls are `wall`'s.

use hod_wire::v1::{
    BaleLay, Build, Cost, CostDriver, CostKind, Floor, Ground, Job, Oven, Rounding, ScopeHolder,
    ScopeLine, SiteTime, Source, StemSystem, StemWall, Trench, Unit, WallSystem,
};

use super::region::build_up_record;
use super::wall::{finish, wall};
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
            .text("parings_reused_percent", &self.parings_reused_percent)
            .text("measurement", &self.measurement)
            .many("builds", &self.builds, build)
            .many("finishes", &self.finishes, finish)
            .one_if_there("stem_wall", self.stem_wall.as_ref(), stem_wall)
            .one_if_there("trench", self.trench.as_ref(), trench)
            .many("floors", &self.floors, floor)
            .many("ovens", &self.ovens, oven)
            .one_if_there("ground", self.ground.as_ref(), ground)
            .many("walls", &self.walls, wall)
            .many("scope", &self.scope, scope_line)
            .one_if_there("build_up", self.build_up.as_ref(), build_up_record)
            .word::<Rounding>("rounding", self.rounding)
            .many("costs", &self.costs, cost)
            .one_if_there("site_time", self.site_time.as_ref(), site_time)
            .many("sources", &self.sources, source)
            .time("create_time", self.create_time.as_ref())
            .time("update_time", self.update_time.as_ref())
            .text("etag", &self.etag)
    }

    fn name(&self) -> &str {
        &self.name
    }
}

fn build(build: &Build) -> Record {
    Record::new()
        .text("id", &build.id)
        .word::<WallSystem>("system", build.system)
        .text("mix", &build.mix)
        .text("mixing", &build.mixing)
        .text("lift_height_m", &build.lift_height_m)
        .text("paring_mm", &build.paring_mm)
        .text("piece_material", &build.piece_material)
        .text("mortar_mix", &build.mortar_mix)
        .text("joint_mm", &build.joint_mm)
        .text("breakage_percent", &build.breakage_percent)
        .word::<BaleLay>("bale_lay", build.bale_lay)
        .text("settling_percent", &build.settling_percent)
        .text("tie_material", &build.tie_material)
        .text("ties_per_piece", &build.ties_per_piece)
        .text("stave_material", &build.stave_material)
        .text("stave_spacing_mm", &build.stave_spacing_mm)
        .text("rod_material", &build.rod_material)
        .text("rod_spacing_mm", &build.rod_spacing_mm)
        .text("wattle_percent", &build.wattle_percent)
        .text("form_material", &build.form_material)
        .count_if_given("form_use_count", build.form_use_count)
}

fn stem_wall(stem: &StemWall) -> Record {
    Record::new()
        .word::<StemSystem>("system", stem.system)
        .text("thickness_mm", &stem.thickness_mm)
        .text("stone_material", &stem.stone_material)
        .text("mortar_mix", &stem.mortar_mix)
        .text("mortar_percent", &stem.mortar_percent)
        .text("bag_material", &stem.bag_material)
        .text("fill_mix", &stem.fill_mix)
        .text("damp_course_material", &stem.damp_course_material)
}

fn trench(trench: &Trench) -> Record {
    Record::new()
        .text("width_mm", &trench.width_mm)
        .text("depth_mm", &trench.depth_mm)
        .text("fill_mix", &trench.fill_mix)
        .text("drain_material", &trench.drain_material)
        .text("fabric_material", &trench.fabric_material)
}

fn floor(floor: &Floor) -> Record {
    Record::new()
        .text("id", &floor.id)
        .text("area_m2", &floor.area_m2)
        .text("length_m", &floor.length_m)
        .text("width_m", &floor.width_m)
        .text("inside", &floor.inside)
        .texts("layers", &floor.layers)
        .text("sheet_material", &floor.sheet_material)
        .text("lap_percent", &floor.lap_percent)
}

fn oven(oven: &Oven) -> Record {
    Record::new()
        .text("id", &oven.id)
        .text("inner_diameter_m", &oven.inner_diameter_m)
        .text("dome_height_m", &oven.dome_height_m)
        .text("door_width_m", &oven.door_width_m)
        .text("door_height_m", &oven.door_height_m)
        .texts("layers", &oven.layers)
        .texts("base_layers", &oven.base_layers)
        .text("form_mix", &oven.form_mix)
}

fn ground(ground: &Ground) -> Record {
    Record::new()
        .text("dig_area_m2", &ground.dig_area_m2)
        .text("topsoil_mm", &ground.topsoil_mm)
        .text("subsoil_mm", &ground.subsoil_mm)
        .text("soil_test", &ground.soil_test)
        .text("tip_material", &ground.tip_material)
        .text("swell_percent", &ground.swell_percent)
}

/// A part of the building and who does it.
pub(crate) fn scope_line(line: &ScopeLine) -> Record {
    Record::new()
        .text("part", &line.part)
        .text("display_name", &line.display_name)
        .word::<ScopeHolder>("holder", line.holder)
        .text("note", &line.note)
}

fn cost(cost: &Cost) -> Record {
    Record::new()
        .text("item", &cost.item)
        .word::<CostKind>("kind", cost.kind)
        .text("quantity", &cost.quantity)
        .word::<Unit>("unit", cost.unit)
        .text("unit_price", &cost.unit_price)
        .word::<CostDriver>("driver", cost.driver)
        .text("part", &cost.part)
        .text("source", &cost.source)
}

fn site_time(time: &SiteTime) -> Record {
    Record::new()
        .text("weeks", &time.weeks)
        .text("days", &time.days)
        .count_if_given("trips", time.trips)
        .count_if_given("visits", time.visits)
}

fn source(source: &Source) -> Record {
    Record::new()
        .text("material", &source.material)
        .text("supplier", &source.supplier)
        .text("distance_km", &source.distance_km)
}
