//! Light straw-clay: straw coated in clay slip and tamped between forms, as infill within a frame. What a wall of it comes
//! to, held against the table by which it is mixed (`table`).

use hod_units::{Decimal, Density, Rounding, canonical, round};
use rust_decimal::dec;

use super::stretch::mm;
use super::{Built, BuiltSums, form, mixing_of, place_earth};
use crate::job::Build;
use crate::material::Supply;
use crate::mix::Recipe;
use crate::takeoff::tally::Tally;
use crate::work::Task;

mod table;

pub use table::{OutsideTable, Proportions, Row, TABLE, TABLE_NAME, proportions};

/// A mix may have so much more or less straw than the table (judgement, no source).
const STRAW_TOLERANCE: Decimal = dec!(0.02);

/// Puts down light straw-clay: its mix, if the table reaches it, the form, and the work.
pub(super) fn put_down(built: &Built, sums: &BuiltSums, tally: &mut Tally) {
    let method = mixing_of(built.build, tally);
    tally.caution(
        "STRAW_CLAY_IS_INFILL",
        "light straw-clay",
        "light straw-clay bears no load but its own; a frame carries the roof, and an engineer sizes the frame",
    );
    place_earth(built.build, sums, &[Task::Tamp], tally);
    hold_against_table(built, tally);
    form::put_down(built, sums, method.as_ref(), tally);
    tally.work(Task::Tamp, method.as_ref(), sums.amounts());
}

/// Holds a build's mix and walls against the table: a density outside it is a fault, all else a caution.
fn hold_against_table(built: &Built, tally: &mut Tally) {
    let build = built.build;
    let mix = build.mix.as_ref();
    let Some(recipe) = mix.and_then(|mix| tally.library.recipe(mix)) else {
        return;
    };
    let takes = match proportions(recipe.mix().density_dry) {
        Ok(takes) => takes,
        Err(outside) => {
            let id = &recipe.mix().id;
            let message = format!(
                "mix {id}: a dry density of {outside}; give a density_dry_kg_m3 within it, or build of something else"
            );
            let reason = "STRAW_CLAY_DENSITY_OUTSIDE_TABLE";
            tally.refuse(build.path("mix"), reason, message);
            return;
        }
    };
    straw_off_table(recipe, &takes, tally);
    clay_below_table(build, recipe, &takes, tally);
    walls_thicker_than_table(built, &takes, tally);
}

fn straw_off_table(recipe: &Recipe, takes: &Proportions, tally: &mut Tally) {
    let mix = recipe.mix();
    let straw = mix
        .straw
        .as_ref()
        .map_or(Density::ZERO, |straw| straw.per_placed);
    let held = straw.kg_per_cubic_metre();
    let Some(wanted) = takes.straw.work() else {
        return;
    };
    let off = held.saturating_sub(wanted).abs();
    if off <= wanted.saturating_mul(STRAW_TOLERANCE) {
        return;
    }
    let description = format!(
        "mix {} has {} kg of straw to a placed m3, and {TABLE_NAME} {} kg at every density; within 2 percent is \
         taken as the same: ask the authority and a licensed engineer",
        mix.id,
        canonical(held),
        canonical(round(wanted, 1, Rounding::HalfAwayFromZero))
    );
    tally.caution(
        "STRAW_CLAY_STRAW_OFF_TABLE",
        format!("mixes/{}", mix.id),
        description,
    );
}

/// A caution where the soil of the site is in the mix, was tested, and holds less clay than the table asks for.
fn clay_below_table(build: &Build, recipe: &Recipe, takes: &Proportions, tally: &mut Tally) {
    let is_dug = recipe.mix().ingredients.iter().any(|ingredient| {
        recipe
            .material(&ingredient.material)
            .is_some_and(|material| material.supply == Supply::Site)
    });
    let test = tally.library.soil_test.as_ref().filter(|_| is_dug);
    let Some((test, Ok(Some(shares)))) = test.map(|test| (test, test.shares())) else {
        return;
    };
    let (clay, silt) = (shares.clay.fraction(), shares.silt.fraction());
    let is_lean = takes.clay_min.is_some_and(|least| shares.clay < least);
    let is_silty = takes
        .clay_to_silt_min
        .is_some_and(|least| clay < silt.saturating_mul(least));
    if !is_lean && !is_silty {
        return;
    }
    let to_places = |value, places| canonical(round(value, places, Rounding::HalfAwayFromZero));
    let description = format!(
        "the soil of test {} has {} clay and {} silt; at {} {TABLE_NAME} asks for at least {} % clay and {} parts of clay to \
         one of silt: bring in a richer clay or mix it heavier, and ask the authority and a licensed engineer",
        test.id,
        shares.clay,
        shares.silt,
        takes.density.rounded(1, Rounding::HalfAwayFromZero),
        to_places(takes.clay_min.unwrap_or_default().percent(), 1),
        to_places(takes.clay_to_silt_min.unwrap_or_default(), 2),
    );
    tally.caution(
        "STRAW_CLAY_SOIL_TOO_LEAN",
        build.name().to_owned(),
        description,
    );
}

fn walls_thicker_than_table(built: &Built, takes: &Proportions, tally: &mut Tally) {
    for stretch in &built.stretches {
        let thickest = stretch.thickness_max();
        if thickest <= takes.thickness_max {
            continue;
        }
        let description = format!(
            "{} is {} mm thick, and {TABLE_NAME} has {} mm at the most at {}; between two of its rows \
             the lesser limit holds: ask the authority and a licensed engineer",
            stretch.part(),
            mm(thickest),
            mm(takes.thickness_max),
            takes.density.rounded(1, Rounding::HalfAwayFromZero)
        );
        tally.caution("STRAW_CLAY_THICKER_THAN_TABLE", stretch.part(), description);
    }
}
