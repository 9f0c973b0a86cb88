//! Where a job names a thing: the field to blame when it is not there.

use hod_wire::v1::{
    Build, Buried, Finish, Floor, Ground, Job, Opening, Oven, StemWall, Trench, Wall,
};

/// The first field of a job, as a path below it, that names the thing of this resource name; `None` when none does.
pub fn field_naming(job: &Job, name: &str) -> Option<String> {
    let own = [
        ("site", &job.site),
        ("mix", &job.mix),
        ("crew", &job.crew),
        ("measurement", &job.measurement),
    ];
    first(&own, name)
        .or_else(|| each("builds", &job.builds, |build| of_build(build, name)))
        .or_else(|| {
            within("stem_wall", job.stem_wall.as_ref(), |wall| {
                of_stem_wall(wall, name)
            })
        })
        .or_else(|| {
            within("trench", job.trench.as_ref(), |trench| {
                of_trench(trench, name)
            })
        })
        .or_else(|| each("finishes", &job.finishes, |finish| of_finish(finish, name)))
        .or_else(|| each("walls", &job.walls, |wall| of_wall(wall, name)))
        .or_else(|| each("floors", &job.floors, |floor| of_floor(floor, name)))
        .or_else(|| each("ovens", &job.ovens, |oven| of_oven(oven, name)))
        .or_else(|| {
            within("ground", job.ground.as_ref(), |ground| {
                of_ground(ground, name)
            })
        })
}

fn of_build(build: &Build, name: &str) -> Option<String> {
    let fields = [
        ("mix", &build.mix),
        ("piece_material", &build.piece_material),
        ("mortar_mix", &build.mortar_mix),
        ("tie_material", &build.tie_material),
        ("stave_material", &build.stave_material),
        ("rod_material", &build.rod_material),
        ("form_material", &build.form_material),
    ];
    first(&fields, name)
}

fn of_stem_wall(stem_wall: &StemWall, name: &str) -> Option<String> {
    let fields = [
        ("stone_material", &stem_wall.stone_material),
        ("mortar_mix", &stem_wall.mortar_mix),
        ("bag_material", &stem_wall.bag_material),
        ("fill_mix", &stem_wall.fill_mix),
        ("damp_course_material", &stem_wall.damp_course_material),
    ];
    first(&fields, name)
}

fn of_trench(trench: &Trench, name: &str) -> Option<String> {
    let fields = [
        ("fill_mix", &trench.fill_mix),
        ("drain_material", &trench.drain_material),
        ("fabric_material", &trench.fabric_material),
    ];
    first(&fields, name)
}

fn of_finish(finish: &Finish, name: &str) -> Option<String> {
    layer("coats", &finish.coats, name)
}

fn of_wall(wall: &Wall, name: &str) -> Option<String> {
    each("openings", &wall.openings, |opening| {
        of_opening(opening, name)
    })
    .or_else(|| each("finishes", &wall.finishes, |finish| of_finish(finish, name)))
    .or_else(|| each("buried", &wall.buried, |buried| of_buried(buried, name)))
}

fn of_opening(opening: &Opening, name: &str) -> Option<String> {
    let fields = [
        ("lintel_material", &opening.lintel_material),
        ("sill_material", &opening.sill_material),
        ("frame_material", &opening.frame_material),
        ("arch_form_material", &opening.arch_form_material),
    ];
    first(&fields, name)
}

fn of_buried(buried: &Buried, name: &str) -> Option<String> {
    first(&[("material", &buried.material)], name)
}

fn of_floor(floor: &Floor, name: &str) -> Option<String> {
    layer("layers", &floor.layers, name)
        .or_else(|| first(&[("sheet_material", &floor.sheet_material)], name))
}

fn of_oven(oven: &Oven, name: &str) -> Option<String> {
    layer("base_layers", &oven.base_layers, name)
        .or_else(|| layer("layers", &oven.layers, name))
        .or_else(|| first(&[("form_mix", &oven.form_mix)], name))
}

fn of_ground(ground: &Ground, name: &str) -> Option<String> {
    let fields = [
        ("soil_test", &ground.soil_test),
        ("tip_material", &ground.tip_material),
    ];
    first(&fields, name)
}

/// The first of these fields that holds the name.
fn first(fields: &[(&str, &String)], name: &str) -> Option<String> {
    let found = fields.iter().find(|(_, text)| *text == name);
    found.map(|(field, _)| (*field).to_owned())
}

/// The first layer, as `MIX:MM`, that is of the mix of this name.
fn layer(field: &str, layers: &[String], name: &str) -> Option<String> {
    let mix = name.strip_prefix("mixes/")?;
    let is_it = |layer: &String| layer.split_once(':').is_some_and(|(of, _)| of == mix);
    let index = layers.iter().position(is_it)?;
    Some(format!("{field}[{index}]"))
}

/// The first field within an item of a list.
fn each<T>(field: &str, items: &[T], find: impl Fn(&T) -> Option<String>) -> Option<String> {
    let find = |(index, item): (usize, &T)| Some(format!("{field}[{index}].{}", find(item)?));
    items.iter().enumerate().find_map(find)
}

/// The first field within a message that may be left out.
fn within<T>(
    field: &str,
    message: Option<&T>,
    find: impl Fn(&T) -> Option<String>,
) -> Option<String> {
    Some(format!("{field}.{}", find(message?)?))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn job() -> Job {
        Job {
            mix: "mixes/house-cob".into(),
            site: "sites/a".into(),
            builds: vec![
                Build::default(),
                Build {
                    piece_material: "materials/adobe".into(),
                    mortar_mix: "mixes/house-cob".into(),
                    ..Build::default()
                },
            ],
            floors: vec![Floor {
                layers: vec!["gravel:100".into(), "earth:80".into()],
                ..Floor::default()
            }],
            walls: vec![Wall {
                buried: vec![Buried {
                    material: "materials/deadman".into(),
                    ..Buried::default()
                }],
                ..Wall::default()
            }],
            ground: Some(Ground {
                soil_test: "sites/a/soilTests/b".into(),
                ..Ground::default()
            }),
            ..Job::default()
        }
    }

    #[test]
    fn a_thing_is_found_at_the_first_field_that_names_it() {
        let expected = [
            ("sites/a", Some("site")),
            ("mixes/house-cob", Some("mix")),
            ("materials/adobe", Some("builds[1].piece_material")),
            ("mixes/earth", Some("floors[0].layers[1]")),
            ("materials/deadman", Some("walls[0].buried[0].material")),
            ("sites/a/soilTests/b", Some("ground.soil_test")),
            ("mixes/gravel:100", None),
            ("materials/gravel", None),
            ("crews/none", None),
        ];
        for (name, field) in expected {
            assert_eq!(field_naming(&job(), name).as_deref(), field, "{name}");
        }
    }
}
