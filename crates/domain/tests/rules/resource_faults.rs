//! What does not hold across the fields of one resource, and what a recipe lacks: rule, blame and sentence of each.

use hod_domain::id::RegionId;
use hod_domain::material::Material;
use hod_domain::mix::{Mix, Recipe, Straw};
use hod_domain::unit::Unit;
use hod_domain::work::{Driver, LabourConstant, Task};
use hod_units::{Hours, Volume};
use rust_decimal::dec;

use crate::faults::{parts, reasons};
use crate::sample::*;

/// The only fault of a recipe with a change made to its mix and materials.
pub fn recipe_refusal(change: impl FnOnce(&mut Mix, &mut Vec<Material>)) -> [String; 4] {
    let (mut mix, mut materials) = (mix(), materials());
    change(&mut mix, &mut materials);
    let faults = Recipe::new(mix, materials).expect_err("refused");
    assert_eq!(faults.len(), 1, "{faults:?}");
    parts(&faults[0])
}

#[test]
fn a_region_is_not_its_own_parent() {
    let mut region = region("coast", None, "EUR");
    assert_eq!(region.faults(), []);
    region.parent = Some(RegionId::parse("coast").expect("an id"));
    assert_eq!(
        region.faults().iter().map(parts).collect::<Vec<_>>(),
        [[
            "",
            "parent_region",
            "REGION_IS_ITS_OWN_PARENT",
            "region coast names itself as its parent; name another, or none",
        ]]
    );
}

#[test]
fn hours_stand_low_likely_high() {
    let refused = |low, likely, high| {
        let [low, likely, high] = [low, likely, high].map(Hours::from_hours);
        LabourConstant {
            low,
            likely,
            high,
            ..constant("place", Task::Place, None, Driver::Job, dec!(1))
        }
        .faults()
    };
    assert_eq!(refused(dec!(1), dec!(1), dec!(1)), []);
    assert_eq!(
        reasons(&refused(dec!(2), dec!(1), dec!(3))),
        ["HOURS_OUT_OF_ORDER"]
    );
    let faults = refused(dec!(1), dec!(4), dec!(3));
    assert_eq!(
        faults.iter().map(parts).collect::<Vec<_>>(),
        [[
            "",
            "likely_hours",
            "HOURS_OUT_OF_ORDER",
            "1 h at the least, 4 h as a rule and 3 h at the most are out of order; each may not be below the one before",
        ]]
    );
}

#[test]
fn a_material_that_the_mix_names_must_be_there() {
    assert_eq!(
        recipe_refusal(|_, materials| materials.retain(|material| material.id.as_str() != "straw")),
        [
            "materials/straw",
            "",
            "MATERIAL_UNKNOWN",
            "mix trial-cob needs straw, which is not among the materials; add materials/straw, or change the mix",
        ]
    );
}

#[test]
fn what_cannot_be_weighed_is_refused_by_name() {
    let density = |need: &str| {
        format!(
            "sand has no loose density, and {need}; weigh a bucket of it dry and give density_loose_kg_m3"
        )
    };
    let balance = "mix trial-cob has no measured yield, so its batch is reckoned by mass";
    let refused = |change: fn(&mut Mix, &mut Vec<Material>)| {
        recipe_refusal(|mix, materials| {
            materials[1].density_loose = None;
            change(mix, materials);
        })
    };
    let subject = ["materials/sand", "density_loose_kg_m3", "DENSITY_MISSING"];
    let expected = |need| {
        [subject[0], subject[1], subject[2]]
            .map(str::to_owned)
            .into_iter()
            .chain([density(need)])
    };
    assert!(refused(|_, _| {}).into_iter().eq(expected(balance)));
    // A measured yield needs no balance, but its water is by dry mass; and an order by mass must be weighed.
    let measured = Some(Volume::from_litres(dec!(57)));
    assert!(
        recipe_refusal(|mix, materials| {
            mix.batch_yield_measured = measured;
            materials[1].density_loose = None;
        })
        .into_iter()
        .eq(expected("mix trial-cob takes its water by dry mass"))
    );
    assert!(
        recipe_refusal(|mix, materials| {
            mix.batch_yield_measured = measured;
            mix.water = None;
            materials[1].density_loose = None;
        })
        .into_iter()
        .eq(expected("it is ordered by the t"))
    );
    // With a measured yield, no water and an order by loose volume nothing is weighed at all.
    let (mut mix, mut materials) = (mix(), materials());
    mix.batch_yield_measured = measured;
    mix.water = None;
    for ingredient in &mut materials[..2] {
        ingredient.density_loose = None;
        ingredient.purchase_unit = Unit::M3;
    }
    assert_eq!(
        Recipe::new(mix, materials).map(|recipe| recipe.batch().dry_mass),
        Ok(None)
    );
}

#[test]
fn what_is_bought_by_the_piece_and_used_by_mass_must_be_weighed() {
    assert_eq!(
        recipe_refusal(|_, materials| materials[2].mass_per_unit = None),
        [
            "materials/straw",
            "mass_per_unit_kg",
            "MASS_PER_UNIT_MISSING",
            "straw is ordered by the bale and used by mass; weigh some and give mass_per_unit_kg",
        ]
    );
    assert_eq!(
        recipe_refusal(|_, materials| materials[2].purchase_unit = Unit::M3),
        [
            "materials/straw",
            "density_loose_kg_m3",
            "DENSITY_MISSING",
            "straw has no loose density, and mix trial-cob takes it by mass and it is ordered by the m3; weigh a bucket \
             of it dry and give density_loose_kg_m3",
        ]
    );
}

#[test]
fn a_material_is_ordered_in_what_things_are_sold_in() {
    assert_eq!(
        recipe_refusal(|_, materials| {
            materials[1].purchase_unit = Unit::H;
            materials[1].mass_per_unit = Some(hod_units::Mass::from_kg(dec!(25)));
        }),
        [
            "materials/sand",
            "purchase_unit",
            "PURCHASE_UNIT_UNFIT",
            "sand is ordered in h, in which nothing is bought; use m3, t, kg, l, m, m2, bale, bag, roll or each",
        ]
    );
}

#[test]
fn a_mix_has_ingredients_each_material_once_and_less_straw_than_earth() {
    assert_eq!(
        reasons(
            &Mix {
                ingredients: Vec::new(),
                ..mix()
            }
            .faults()
        ),
        ["MIX_HAS_NO_INGREDIENT"]
    );
    let mut twice = mix();
    twice.ingredients.push(twice.ingredients[0].clone());
    twice.straw = Some(Straw {
        material: material_id("sand"),
        per_placed: density(dec!(1620)),
    });
    twice.water = Some(material_id("sand"));
    let expected = [
        [
            "",
            "ingredients[2].material",
            "MATERIAL_TWICE",
            "mix trial-cob has soil twice; give each material once, with all its parts",
        ],
        [
            "",
            "straw_material",
            "MATERIAL_TWICE",
            "mix trial-cob has sand twice; give each material once, with all its parts",
        ],
        [
            "",
            "water_material",
            "MATERIAL_TWICE",
            "mix trial-cob has sand twice; give each material once, with all its parts",
        ],
        [
            "",
            "straw_kg_per_m3",
            "STRAW_OUTWEIGHS_MIX",
            "mix trial-cob has 1620 kg/m3 of straw in a dry density of 1620 kg/m3, which leaves no earth; the density \
             counts the straw",
        ],
    ];
    assert_eq!(
        twice.faults().iter().map(parts).collect::<Vec<_>>(),
        expected
    );
}

#[test]
fn a_batch_must_yield_something() {
    assert_eq!(
        recipe_refusal(|mix, _| mix.bucket = Volume::from_litres(dec!(0.0001))),
        [
            "mixes/trial-cob",
            "batch_yield_l",
            "BATCH_YIELDS_NOTHING",
            "a batch of mix trial-cob yields 0 m3 placed; look at its bucket, parts and densities",
        ]
    );
}

#[test]
fn a_measured_yield_keeps_a_proportion_to_what_went_in_loose() {
    // Four buckets of 20 l: 80 l loose, so 24 to 96 l as placed.
    let yields = |litres| {
        let mut mix = mix();
        mix.batch_yield_measured = Some(Volume::from_litres(litres));
        mix.faults().iter().map(parts).collect::<Vec<_>>()
    };
    for right in [dec!(24), dec!(57), dec!(96)] {
        assert!(yields(right).is_empty(), "{right}");
    }
    for (wrong, found) in [
        (dec!(23.999), "23.999"),
        (dec!(96.001), "96.001"),
        (dec!(0.057), "0.057"),
    ] {
        let sentence = format!(
            "mix trial-cob yields {found} l a batch of 80 l loose; a batch closes up to between 24 and 96 l, so measure it again"
        );
        assert_eq!(
            yields(wrong),
            [[
                "",
                "batch_yield_l",
                "YIELD_OUT_OF_PROPORTION",
                sentence.as_str()
            ]]
        );
    }
}
