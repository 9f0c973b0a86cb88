//! Plain walls of every system, with mixes and materials that work out by hand, for the tests of systems to vary.
//!
//! A batch of either mix here takes 100 l of soil at 1200 kg/m3 loose and dry, 120 kg.

use hod_domain::geometry::WallDrawing;
use hod_domain::id::MixId;
use hod_domain::job::{Build, Job, WallSystem};
use hod_domain::library::Library;
use hod_domain::material::{Material, PieceSize, Supply};
use hod_domain::mix::{Ingredient, Mix, Recipe, Straw};
use hod_domain::takeoff::{Takeoff, TakeoffLine, measure};
use hod_domain::unit::Unit;
use hod_domain::work::{Driver, Task};
use hod_units::{
    Decimal, Density, DensityUnit, Length, LengthUnit, Mass, Rounding, Volume, canonical, round,
};
use rust_decimal::dec;

use crate::sample::*;

pub fn inches(value: Decimal) -> Length {
    Length::of(value, LengthUnit::Inch).expect("small")
}

pub fn pcf(value: Decimal) -> Density {
    Density::of(value, DensityUnit::PoundPerCubicFoot).expect("small")
}

pub fn mix_id(text: &str) -> MixId {
    MixId::parse(text).expect("an id")
}

pub fn rounded(value: Decimal, places: u32) -> String {
    canonical(round(value, places, Rounding::HalfAwayFromZero))
}

/// A plumb wall that is not pared, in lifts of 0.5 m.
pub fn plumb(id: &str, length: Decimal, height: Decimal, thickness: Decimal) -> WallDrawing {
    WallDrawing {
        paring: Length::ZERO,
        lift_height: Some(metres(dec!(0.5))),
        ..wall(id, length, height, thickness)
    }
}

/// The wall of a published adobe page: 15 ft x 8 ft x 10 in, which is 4.572 m x 2.4384 m x 0.254 m.
pub fn published_wall() -> WallDrawing {
    plumb("south", dec!(4.572), dec!(2.4384), dec!(0.254))
}

/// 120 kg of soil in a batch: at a density in place of so much, less the straw in it, 120 / (density - straw) m3.
pub fn recipe_of(id: &str, density_dry: Density, straw: Decimal) -> Recipe {
    let mix = Mix {
        id: mix_id(id),
        ingredients: vec![Ingredient {
            material: material_id("soil"),
            parts: dec!(5),
        }],
        buckets_per_part: dec!(1),
        density_dry,
        straw: (!straw.is_zero()).then(|| Straw {
            material: material_id("straw"),
            per_placed: density(straw),
        }),
        water: None,
        waste: percent(dec!(0)),
        ..mix()
    };
    Recipe::new(mix, materials()).expect("a whole recipe")
}

pub fn piece(id: &str, size: [Decimal; 3], kg: Decimal, supply: Supply, unit: Unit) -> Material {
    let [length, width, height] = size.map(inches);
    Material {
        size: Some(PieceSize {
            length,
            width,
            height,
        }),
        mass_per_unit: Some(Mass::from_kg(kg)),
        ..material(id, supply, unit)
    }
}

/// 14 x 10 x 4 in, 30 lb: desertphile.org/adobe/brick.htm.
pub fn adobe() -> Material {
    let size = [dec!(14), dec!(10), dec!(4)];
    piece("adobe", size, dec!(13.6077711), Supply::Bought, Unit::Each)
}

/// 36 x 18 x 14 in, 20 kg: 134.5 kg/m3.
pub fn bale() -> Material {
    let size = [dec!(36), dec!(18), dec!(14)];
    piece("bale", size, dec!(20), Supply::Bought, Unit::Bale)
}

pub fn of_system(system: WallSystem) -> Build {
    Build {
        system,
        mix: Some(mix_id("earth")),
        ..Build::default()
    }
}

/// Adobes in joints of 1/2 in, one in twenty broken.
pub fn adobe_build() -> Build {
    Build {
        piece: Some(material_id("adobe")),
        mortar: Some(mix_id("mortar")),
        joint: Some(inches(dec!(0.5))),
        breakage: percent(dec!(5)),
        ..of_system(WallSystem::Adobe)
    }
}

pub fn bale_build() -> Build {
    Build {
        mix: None,
        piece: Some(material_id("bale")),
        ..of_system(WallSystem::StrawBale)
    }
}

/// A job of one build, whose waste is that of its mixes.
pub fn job_of(build: Build, walls: Vec<WallDrawing>) -> Job {
    Job {
        waste: None,
        builds: vec![build],
        ..job(walls)
    }
}

/// Earth at 1600 kg/m3 in place, mortar at 1500: 0.075 and 0.08 m3 a batch.
pub fn library_with(materials: Vec<Material>) -> Library {
    Library {
        recipes: vec![
            recipe_of("earth", density(dec!(1600)), dec!(0)),
            recipe_of("mortar", density(dec!(1500)), dec!(0)),
        ],
        materials,
        ..Library::default()
    }
}

pub fn taken_off(job: &Job, library: &Library) -> Takeoff {
    match measure(job, library) {
        Ok(takeoff) => takeoff,
        Err(faults) => panic!("{faults:?}"),
    }
}

/// The reasons and fields of what stands in the way.
pub fn refused(job: &Job, library: &Library) -> Vec<(String, &'static str)> {
    let faults = measure(job, library).expect_err("refused");
    faults
        .into_iter()
        .map(|fault| (fault.field, fault.reason))
        .collect()
}

pub fn line<'a>(takeoff: &'a Takeoff, part: &str, item: &str) -> &'a TakeoffLine {
    let is_it = |line: &&TakeoffLine| line.part == part && line.item == item;
    let found = takeoff.lines.iter().find(is_it);
    found.unwrap_or_else(|| panic!("no {item} of {part} in {:?}", takeoff.lines))
}

/// A line as it is read: `265 each`.
pub fn told(takeoff: &Takeoff, part: &str, item: &str) -> String {
    let line = line(takeoff, part, item);
    format!("{} {}", canonical(line.quantity), line.unit.word())
}

/// The order list as it is read out: `adobe: 279 each`.
pub fn orders(takeoff: &Takeoff) -> Vec<String> {
    let read = |order: &hod_domain::takeoff::Order| {
        format!(
            "{}: {} {}",
            order.material,
            canonical(order.quantity),
            order.unit.word()
        )
    };
    takeoff.orders.iter().map(read).collect()
}

/// What the hours of a task may count by a driver, over all methods of mixing; none where there is nothing.
pub fn amount(takeoff: &Takeoff, task: Task, driver: Driver) -> Option<Decimal> {
    let of_driver = |work: &hod_domain::takeoff::Work| work.amounts.of(driver)?.work();
    let amounts: Vec<Decimal> = takeoff.works.of(task).filter_map(of_driver).collect();
    (!amounts.is_empty()).then(|| amounts.iter().sum())
}

/// What systems caution of; other cautions of a job are tested where they are made.
const OF_SYSTEMS: [&str; 10] = [
    "THICKNESS_NOT_OF_WHOLE_ADOBES",
    "BALE_COURSES_LEAVE_HEIGHT",
    "BALE_LESS_DENSE_THAN_RULE",
    "WALL_WIDER_THAN_BALE",
    "STRAW_CLAY_IS_INFILL",
    "STRAW_CLAY_SOIL_TOO_LEAN",
    "STRAW_CLAY_STRAW_OFF_TABLE",
    "STRAW_CLAY_THICKER_THAN_TABLE",
    "STAVE_TOO_SHORT",
    "WATTLE_NOT_COUNTED",
];

/// The reasons of what systems caution of.
pub fn reasons(takeoff: &Takeoff) -> Vec<&'static str> {
    let all = takeoff.cautions.iter().map(|caution| caution.reason);
    all.filter(|reason| OF_SYSTEMS.contains(reason)).collect()
}

/// What is said under a reason.
pub fn said<'a>(takeoff: &'a Takeoff, reason: &str) -> &'a str {
    let caution = takeoff
        .cautions
        .iter()
        .find(|caution| caution.reason == reason);
    caution.map_or_else(|| panic!("no {reason}"), |caution| &*caution.description)
}

pub fn cubic_metres(value: Decimal) -> Volume {
    Volume::from_cubic_metres(value)
}
