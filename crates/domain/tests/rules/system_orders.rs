//! The order list of every system, read aloud: whole bales, whole adobes, metres and loads, as a builder would ask for them.

use hod_domain::geometry::WallDrawing;
use hod_domain::id::MixId;
use hod_domain::job::{Build, Form, Lattice, Tie, WallSystem};
use hod_domain::library::Library;
use hod_domain::material::{Material, Supply};
use hod_domain::mix::{Ingredient, Mix, Recipe, Straw};
use hod_domain::unit::Unit;
use hod_units::{Decimal, Length};
use rust_decimal::dec;

use crate::sample::*;
use crate::system_sample::*;

/// A garden room: four walls of 5 m x 2.4 m, each with a window of 1.2 m x 1 m: 10.8 m2 each, 43.2 m2.
fn garden_room(thickness: Decimal) -> Vec<WallDrawing> {
    let wall = |id: &&str| {
        let mut wall = plumb(id, dec!(5), dec!(2.4), thickness);
        wall.openings = vec![opening("window", dec!(1.2), dec!(1), dec!(0.9), dec!(1.5))];
        wall
    };
    ["south", "east", "north", "west"]
        .iter()
        .map(wall)
        .collect()
}

/// The sample's mix, a part of soil to one of sand, at another density and with so much straw.
fn mixed(id: &str, density_dry: Decimal, straw: Decimal) -> Recipe {
    let soil = Ingredient {
        material: material_id("soil"),
        parts: dec!(1),
    };
    let is_light = density_dry < dec!(1000);
    let sand = Ingredient {
        material: material_id("sand"),
        ..soil.clone()
    };
    let mix = Mix {
        id: MixId::parse(id).expect("an id"),
        ingredients: if is_light {
            vec![soil]
        } else {
            vec![soil, sand]
        },
        density_dry: density(density_dry),
        straw: (!straw.is_zero()).then(|| Straw {
            material: material_id("straw"),
            per_placed: density(straw),
        }),
        ..mix()
    };
    let mut materials = materials();
    // Sand comes by the half tonne.
    materials[1].order_step = Some(dec!(0.5));
    Recipe::new(mix, materials).expect("whole")
}

fn read_out(
    build: Build,
    thickness: Decimal,
    recipes: Vec<Recipe>,
    materials: Vec<Material>,
) -> Vec<String> {
    let library = Library {
        recipes,
        materials,
        ..Library::default()
    };
    orders(&taken_off(&job_of(build, garden_room(thickness)), &library))
}

fn boards() -> Material {
    Material {
        order_step: Some(dec!(3)),
        ..material("board", Supply::Bought, Unit::M2)
    }
}

fn form() -> Option<Form> {
    Some(Form {
        material: material_id("board"),
        uses: 8,
    })
}

#[test]
fn adobes_are_asked_for_whole_with_those_that_break() {
    let recipes = vec![mixed("mortar", dec!(1600), dec!(0))];
    // 43.2 m2 x 23.75 = 1026.2 adobes, 1077.5 with 5 %. Mortar 10.9728 - 9.4173 = 1.5555 m3 + 5 % / 0.06 = 27.2 batches, 28
    // of 40 l of soil, 48 x 1.05 = 50.4 kg of sand as it comes, and 48 x 10 % + 48 x 15 % = 12 l of water.
    assert_eq!(
        read_out(adobe_build(), dec!(0.254), recipes, vec![adobe()]),
        [
            "soil: 1.12 m3",
            "sand: 1.5 t",
            "water: 336 l",
            "adobe: 1078 each"
        ]
    );
}

#[test]
fn rammed_earth_is_asked_for_in_soil_sand_and_boards() {
    let build = Build {
        form: form(),
        ..of_system(WallSystem::RammedEarth)
    };
    let recipes = vec![mixed("earth", dec!(1920), dec!(0))];
    // 43.2 x 0.4 = 17.28 m3 + 5 % / 0.05 = 362.88 batches, 363 of 40 l of soil, 50.4 kg of sand and 12 l of water; 86.4 m2
    // of form over 8 uses, 10.8 m2, by the board of 3 m2.
    assert_eq!(
        read_out(build, dec!(0.4), recipes, vec![boards()]),
        [
            "soil: 14.52 m3",
            "sand: 18.5 t",
            "water: 4356 l",
            "board: 12 m2"
        ]
    );
}

#[test]
fn straw_clay_is_asked_for_in_soil_bales_of_straw_and_boards() {
    let build = Build {
        form: form(),
        ..of_system(WallSystem::LightStrawClay)
    };
    let recipes = vec![mixed("earth", dec!(240), dec!(107))];
    // 43.2 x 0.3 = 12.96 m3 + 5 %; 48 kg of soil a batch / 133 = 0.360902 m3: 37.7 batches, 38 of 40 l, 38.6165 kg of straw,
    // and 48 x 10 % + 38.6165 x 20 % = 12.5233 l of water.
    assert_eq!(
        read_out(build, dec!(0.3), recipes, vec![boards()]),
        [
            "soil: 1.52 m3",
            "straw: 74 bale",
            "water: 476 l",
            "board: 12 m2"
        ]
    );
}

#[test]
fn bales_are_asked_for_whole_and_pins_with_them() {
    let build = Build {
        settling: percent(dec!(4)),
        breakage: percent(dec!(8)),
        tie: Some(Tie {
            material: material_id("twine"),
            to_a_piece: dec!(2.5),
        }),
        ..bale_build()
    };
    let twine = material("twine", Supply::Bought, Unit::M);
    // 43.2 / 0.96 / 0.9144 / 0.3556 = 138.394, and 8 %. Custom: of 7.03 courses 4 at each end, and 2 of 2.93 at each jamb:
    // 12 a wall, 48, which are 24 pieces more: 162.394 x 2.5 m.
    assert_eq!(
        read_out(build, dec!(0.4572), vec![], vec![bale(), twine]),
        ["bale: 150 bale", "twine: 405.99 m"]
    );
}

#[test]
fn wattle_is_asked_for_in_staves_metres_of_rod_and_daub() {
    let lattice = |id, mm| {
        Some(Lattice {
            material: material_id(id),
            spacing: Length::from_mm(mm),
        })
    };
    let build = Build {
        staves: lattice("stave", dec!(400)),
        rods: lattice("rod", dec!(50)),
        wattle: percent(dec!(25)),
        breakage: percent(dec!(5)),
        ..of_system(WallSystem::WattleAndDaub)
    };
    let pieces = vec![
        material("stave", Supply::Bought, Unit::Each),
        material("rod", Supply::Bought, Unit::M),
    ];
    let recipes = vec![mixed("earth", dec!(1620), dec!(20))];
    // 10.8 / 2.4 = 4.5 m: 12 spaces, 13 staves a wall, 52 and 5 %; 48 rows x 4.5 m x 4 = 864 m and 5 %. Daub 43.2 x 0.12 x
    // 0.75 = 3.888 m3 + 5 % / 0.06 = 68.04 batches, 69 of 40 l, 50.4 kg of sand, 1.2 kg of straw and 12.24 l of water.
    assert_eq!(
        read_out(build, dec!(0.12), recipes, pieces),
        [
            "soil: 2.76 m3",
            "sand: 3.5 t",
            "straw: 5 bale",
            "water: 845 l",
            "stave: 55 each",
            "rod: 907.2 m"
        ]
    );
}
