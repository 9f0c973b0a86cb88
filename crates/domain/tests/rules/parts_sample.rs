//! Coats, floors, ovens and what lies beneath walls, with mixes that work out by hand, for the tests of those parts to vary.
//!
//! The walls are the sample's, plumb and not pared, of a cob that counts for nothing here: its mix is named by no build.

use hod_domain::geometry::{Face, WallDrawing};
use hod_domain::job::{Build, Finish, Job, Layer, WallWork};
use hod_domain::library::Library;
use hod_domain::material::{Material, Supply};
use hod_domain::mix::{Ingredient, Mix, PartMeasure, Purpose, Recipe};
use hod_domain::takeoff::Takeoff;
use hod_domain::unit::Unit;
use hod_units::{Decimal, Length, Mass, Volume, canonical};
use rust_decimal::dec;

use crate::sample::*;
use crate::system_sample::{mix_id, recipe_of};

/// Walls with nothing said of what they are built of.
pub fn bare(walls: Vec<WallDrawing>) -> Job {
    let works = walls.iter().map(|_| WallWork::default()).collect();
    Job {
        waste: None,
        builds: vec![Build::default()],
        works,
        ..job(walls)
    }
}

pub fn layer(mix: &str, mm: Decimal) -> Layer {
    Layer {
        mix: mix_id(mix),
        thickness: Length::from_mm(mm),
    }
}

/// Coats on a face of the first wall.
pub fn finish(face: Face, coats: &[(&str, Decimal)]) -> Finish {
    Finish {
        field: "walls[0].finishes[0]".to_owned(),
        face,
        coats: coats.iter().map(|(mix, mm)| layer(mix, *mm)).collect(),
        levelling: Length::ZERO,
        reveals: None,
    }
}

/// One wall with coats.
pub fn coated(wall: WallDrawing, finishes: Vec<Finish>) -> Job {
    let mut job = bare(vec![wall]);
    job.works[0].finishes = finishes;
    job
}

/// 120 kg of soil in a batch of a mix of this purpose, without waste: at 1200 kg/m3 in place, 0.1 m3.
pub fn recipe_for(id: &str, purpose: Purpose) -> Recipe {
    let plain = recipe_of(id, density(dec!(1200)), dec!(0));
    let mix = Mix {
        purpose,
        ..plain.mix().clone()
    };
    Recipe::new(mix, materials()).expect("a whole recipe")
}

/// One whole bag, tonne or the like to a batch, which yields so many litres as measured.
pub fn measured(id: &str, of: Material, loose_l: Decimal, yield_l: Decimal) -> Recipe {
    let mix = Mix {
        id: mix_id(id),
        purpose: Purpose::FinishPlaster,
        ingredients: vec![Ingredient {
            material: of.id.clone(),
            parts: Decimal::ONE,
        }],
        measure: PartMeasure::Bucket,
        bucket: Volume::from_litres(loose_l),
        buckets_per_part: Decimal::ONE,
        batch_yield_measured: Some(Volume::from_litres(yield_l)),
        straw: None,
        water: None,
        waste: percent(dec!(0)),
        ..mix()
    };
    Recipe::new(mix, vec![of]).expect("a whole recipe")
}

/// Of 1250 kg/m3 loose: 20 l of it weigh 25 kg, 800 l a tonne.
pub fn bagged(id: &str, unit: Unit) -> Material {
    Material {
        density_loose: Some(density(dec!(1250))),
        mass_per_unit: Some(Mass::from_kg(dec!(25))),
        ..material(id, Supply::Bought, unit)
    }
}

pub fn bought(id: &str, unit: Unit) -> Material {
    material(id, Supply::Bought, unit)
}

pub fn library_of_recipes(recipes: Vec<Recipe>, materials: Vec<Material>) -> Library {
    Library {
        recipes,
        materials,
        ..Library::default()
    }
}

/// The lines of a part as they are read: `base, 12 mm, inner face: 12 m2`.
pub fn lines(takeoff: &Takeoff, part: &str) -> Vec<String> {
    let of_part = takeoff.lines.iter().filter(|line| line.part == part);
    of_part
        .map(|line| {
            let quantity = canonical(line.quantity);
            format!("{}: {quantity} {}", line.item, line.unit.word())
        })
        .collect()
}

/// What stands of a mix, m3.
pub fn standing(takeoff: &Takeoff, mix: &str) -> Decimal {
    let found = takeoff.mixes.iter().find(|taken| taken.mix == mix_id(mix));
    found.expect("the mix is taken").net.cubic_metres()
}

pub fn batches(takeoff: &Takeoff, mix: &str) -> u32 {
    let found = takeoff.mixes.iter().find(|taken| taken.mix == mix_id(mix));
    found.expect("the mix is taken").batch_count
}

pub fn millimetres(mm: Decimal) -> Length {
    Length::from_mm(mm)
}
