//! What a batch takes and gives, with the working beside each figure.

use hod_domain::material::Supply;
use hod_domain::mix::{Ingredient, Mix, Recipe};
use hod_domain::unit::Unit;
use hod_units::{Decimal, Mass, Share, Volume, canonical};
use rust_decimal::dec;

use crate::sample::*;

/// What a batch of the recipe takes of a material, in its purchase unit.
fn portion(recipe: &Recipe, id: &str) -> String {
    let portion = recipe
        .portions()
        .iter()
        .find(|portion| portion.material.as_str() == id);
    portion
        .and_then(|portion| portion.basis.work())
        .map_or("none".to_owned(), canonical)
}

/// A mix of one ingredient and nothing else, with the change made to its only material.
fn of_one(change: impl FnOnce(&mut hod_domain::material::Material)) -> Recipe {
    let mut soil = materials().remove(0);
    change(&mut soil);
    let mix = Mix {
        ingredients: vec![Ingredient {
            material: soil.id.clone(),
            parts: Decimal::ONE,
        }],
        straw: None,
        water: None,
        ..mix()
    };
    Recipe::new(mix, vec![soil]).expect("weighed")
}

#[test]
fn a_batch_yields_its_dry_mass_over_the_dry_density_in_place() {
    let batch = recipe();
    let batch = batch.batch();
    // Two buckets of 20 l of each: 0.04 m3 loose.
    let loose: Vec<_> = batch
        .loose
        .iter()
        .map(|(id, volume)| (id.as_str(), volume.litres()))
        .collect();
    assert_eq!(loose, [("soil", dec!(40)), ("sand", dec!(40))]);
    // Soil 0.04 x 1200 = 48 kg; sand 0.04 x 1500 / 1.25 = 48 kg; minerals 96 kg.
    // In place 1620 kg/m3 of which 20 straw: 96 / 1600 = 0.06 m3.
    assert_eq!(batch.yield_placed, Volume::from_litres(dec!(60)));
    // Straw 0.06 x 20 = 1.2 kg. Dry mass with it 97.2 kg, which is 0.06 m3 at 1620.
    assert_eq!(batch.straw, Mass::from_kg(dec!(1.2)));
    assert_eq!(batch.dry_mass, Some(Mass::from_kg(dec!(97.2))));
    // Water wanted 20 % of 97.2 = 19.44; held 10 % of 48 = 4.8 and 5 % of 48 = 2.4: 12.24 to pour.
    assert_eq!(batch.water, Volume::from_litres(dec!(12.24)));
}

#[test]
fn the_yield_is_told_to_a_millilitre() {
    // 0.04 x 1200 = 48 kg over 1620: 0.0296296... m3.
    let batch = of_one(|_| {});
    assert_eq!(batch.batch().yield_placed.cubic_metres(), dec!(0.029630));
    assert_eq!(batch.batch().yield_basis.rounding, "to 0.000001 m3");
}

#[test]
fn a_yield_measured_at_a_site_comes_before_the_mass_balance() {
    let mix = Mix {
        batch_yield_measured: Some(Volume::from_litres(dec!(57))),
        ..mix()
    };
    let recipe = Recipe::new(mix, materials()).expect("weighed");
    assert_eq!(recipe.batch().yield_placed, Volume::from_litres(dec!(57)));
    assert_eq!(recipe.batch().yield_basis.work(), Some(dec!(0.057)));
    // Straw goes by what is placed: 0.057 x 20.
    assert_eq!(recipe.batch().straw, Mass::from_kg(dec!(1.14)));
}

#[test]
fn bulking_is_a_share_of_the_dry_volume() {
    // Sand that stands 200 mm moist and 160 mm flooded has bulked by (200 - 160) / 160 = 25 %, not by 40 / 200 = 20 %
    // (https://www.civilease.com/2020/07/bulking-of-sand.html). So 200 of it moist weigh what 160 weigh dry.
    let bulked = of_one(|sand| sand.bulking = Share::from_percent(dec!(25)));
    let dry = of_one(|_| {});
    let ratio = |recipe: &Recipe| recipe.batch().dry_mass.map(Mass::kg).unwrap_or_default();
    assert_eq!(ratio(&bulked) * dec!(200), ratio(&dry) * dec!(160));
}

#[test]
fn swell_is_a_share_of_the_bank_volume() {
    // 10 yd3 in the bank at 30 % make 13 yd3 loose, and 13 loose were 10, not 13 x 0.7 = 9.1
    // (definition: https://projectengineer.net/swell-factors-for-various-soils).
    // 300 m3 of clay at 40 % make 420
    // (https://euromed-dialogue-interculturel.fr/volume_change_crushing_stone_into_aggregate_bulking_factor-36930.html).
    for (swell, loose, bank) in [
        (dec!(30), dec!(13), dec!(10)),
        (dec!(40), dec!(420), dec!(300)),
    ] {
        let mut soil = materials().remove(0);
        soil.swell = Share::from_percent(swell);
        // As many parts as there is loose soil, of a bucket that holds one.
        let ingredients = vec![Ingredient {
            material: soil.id.clone(),
            parts: loose,
        }];
        let bucket = Volume::from_cubic_metres(Decimal::ONE);
        let mix = Mix {
            ingredients,
            bucket,
            buckets_per_part: Decimal::ONE,
            straw: None,
            water: None,
            ..mix()
        };
        let recipe = Recipe::new(mix, vec![soil]).expect("weighed");
        assert_eq!(recipe.dug_loose().work(), Some(loose));
        assert_eq!(recipe.dug_bank().work(), Some(bank), "{swell} %");
    }
}

#[test]
fn a_material_is_counted_in_the_unit_that_it_is_ordered_in() {
    let table = [
        // Sand of the sample, 0.04 m3 loose, 48 kg dry, 48 x 1.05 = 50.4 kg as it comes.
        ("sand", Unit::M3, "0.04"),
        ("sand", Unit::L, "40"),
        ("sand", Unit::Kg, "50.4"),
        ("sand", Unit::T, "0.0504"),
        // In bags of 25 kg: 50.4 / 25.
        ("sand", Unit::Bag, "2.016"),
        // Straw, 1.2 kg; at 30 kg/m3 loose 0.04 m3; in bales of 25 kg 0.048.
        ("straw", Unit::Kg, "1.2"),
        ("straw", Unit::T, "0.0012"),
        ("straw", Unit::M3, "0.04"),
        ("straw", Unit::L, "40"),
        ("straw", Unit::Bale, "0.048"),
        // Water, 12.24 kg; in cans of 25 kg 0.4896.
        ("water", Unit::L, "12.24"),
        ("water", Unit::M3, "0.01224"),
        ("water", Unit::Kg, "12.24"),
        ("water", Unit::T, "0.01224"),
        ("water", Unit::Each, "0.4896"),
    ];
    for (id, unit, expected) in table {
        let mut materials = materials();
        let material = materials
            .iter_mut()
            .find(|material| material.id.as_str() == id)
            .expect("there");
        material.purchase_unit = unit;
        material.mass_per_unit = Some(Mass::from_kg(dec!(25)));
        material.density_loose = material.density_loose.or(Some(density(dec!(30))));
        let recipe = Recipe::new(mix(), materials).expect("weighed");
        assert_eq!(
            portion(&recipe, id),
            expected,
            "{id} by the {}",
            unit.word()
        );
    }
}

#[test]
fn ingredients_that_hold_enough_water_get_none_poured() {
    let mut wet = materials();
    wet[0].moisture = Share::from_percent(dec!(40));
    let recipe = Recipe::new(mix(), wet).expect("weighed");
    // Wanted 19.44; held 40 % of 48 and 5 % of 48: 21.6.
    assert_eq!(recipe.batch().water, Volume::ZERO);
    assert_eq!(portion(&recipe, "water"), "none");
}

#[test]
fn only_ingredients_from_the_site_are_dug() {
    assert_eq!(recipe().dug_loose().work(), Some(dec!(0.04)));
    assert_eq!(recipe().dug_bank().work(), Some(dec!(0.032)));
    let mut bought = materials();
    bought[0].supply = Supply::Bought;
    let recipe = Recipe::new(mix(), bought).expect("weighed");
    assert_eq!(recipe.dug_loose().terms, []);
}

#[test]
fn the_mass_balance_closes() {
    // What the batch weighs dry, spread at its yield, is the density in place to the millilitre of the yield.
    let batch = recipe().batch().clone();
    let in_place = batch
        .dry_mass
        .and_then(|mass| mass.checked_density(batch.yield_placed));
    assert_eq!(in_place, Some(mix().density_dry));
}
