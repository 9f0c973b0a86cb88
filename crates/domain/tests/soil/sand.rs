//! Sand to a clay that is aimed at, and the trials around it.

use hod_domain::fault::Fault;
use hod_domain::id::MaterialId;
use hod_domain::material::{Material, Supply};
use hod_domain::soil::{Aim, Proposal, propose};
use hod_domain::unit::Unit;
use hod_units::{Decimal, Density, Share, canonical};
use rust_decimal::dec;

fn material(id: &str, kg_per_m3: Decimal) -> Material {
    Material {
        id: MaterialId::parse(id).expect("an id"),
        display_name: id.to_owned(),
        supply: Supply::Site,
        purchase_unit: Unit::M3,
        density_loose: Some(Density::from_kg_per_cubic_metre(kg_per_m3)),
        bulking: Share::ZERO,
        swell: Share::ZERO,
        moisture: Share::ZERO,
        mass_per_unit: None,
        size: None,
        order_step: None,
        clay: Share::ZERO,
        group: None,
        source: "invented".to_owned(),
    }
}

fn aim(clay: Decimal, step: Decimal, step_count: u32) -> Aim {
    Aim {
        clay: Share::from_percent(clay),
        step: Share::from_percent(step),
        step_count,
    }
}

fn proposed(
    clay: Decimal,
    soil: &Material,
    sand: &Material,
    aim: Aim,
) -> Result<Proposal, Vec<Fault>> {
    propose(
        Share::from_percent(clay),
        "sites/long-acre/soilTests/pit-1",
        soil,
        sand,
        aim,
    )
}

/// Clay, sand by mass, parts, buckets, clay of the buckets.
fn rows(proposal: &Proposal) -> Vec<[String; 5]> {
    let row = |mix: &hod_domain::soil::ProposedMix| {
        [
            canonical(mix.clay.percent()),
            canonical(mix.sand_by_mass),
            canonical(mix.sand_parts),
            mix.buckets(),
            canonical(mix.buckets_clay.percent()),
        ]
    };
    proposal.mixes.iter().map(row).collect()
}

#[test]
fn a_soil_of_35_percent_takes_one_part_of_sand_to_come_to_17_5() {
    // The published pair: (0.35 - 0.175) / (0.175 - 0) = 1; equal loose densities make it one by volume too.
    let (soil, sand) = (material("soil", dec!(1300)), material("sand", dec!(1300)));
    let one =
        proposed(dec!(35), &soil, &sand, aim(dec!(17.5), dec!(2.5), 0)).expect("can be reckoned");
    assert_eq!(rows(&one), [["17.5", "1", "1", "1 soil, 1 sand", "17.5"]]);
    assert_eq!(one.mixes[0].basis.work(), Some(dec!(1)));
}

#[test]
fn trials_stand_around_the_target_from_the_least_clay_to_the_most() {
    // 35 % soil, clean sand, equal densities: 35 / c - 1. 12.5: 1.8; 15: 1.333; 17.5: 1; 20: 0.75; 22.5: 0.556.
    // Buckets within half a point, at the fewest: 1 + 2 makes 11.67 (0.83 off), 2 + 3.5 makes 12.73 (0.23 off);
    // 1 + 1.5 makes 14 (1.0 off), 2 + 2.5 15.56 (0.56), 3 + 4 exactly 15; 1 + 1 17.5; 1 + 1 is 2.5 off 20, 2 + 1.5 exact;
    // 1 + 0.5 makes 23.33 (0.83 off), 2 + 1 likewise, 3 + 1.5 likewise, 4 + 2 likewise: the nearest is the first.
    let (soil, sand) = (material("soil", dec!(1300)), material("sand", dec!(1300)));
    let five =
        proposed(dec!(35), &soil, &sand, aim(dec!(17.5), dec!(2.5), 2)).expect("can be reckoned");
    assert_eq!(
        rows(&five),
        [
            ["12.5", "1.8", "1.8", "2 soil, 3.5 sand", "12.7"],
            ["15", "1.333", "1.33", "3 soil, 4 sand", "15"],
            ["17.5", "1", "1", "1 soil, 1 sand", "17.5"],
            ["20", "0.75", "0.75", "2 soil, 1.5 sand", "20"],
            ["22.5", "0.556", "0.56", "1 soil, 0.5 sand", "23.3"],
        ]
    );
}

#[test]
fn parts_are_counted_loose_and_damp_as_they_are_measured() {
    // By mass 1. Soil 1200 kg/m3; sand 1500 kg/m3 dry, bulked by 25 %: 1500 / 1.25 = 1200 kg to the m3 of the heap, so
    // one part to one. Measured dry it would be 1200 / 1500 = 0.8 parts.
    let soil = material("soil", dec!(1200));
    let mut sand = material("sand", dec!(1500));
    sand.bulking = Share::from_percent(dec!(25));
    let target = aim(dec!(17.5), dec!(2.5), 0);
    let damp = proposed(dec!(35), &soil, &sand, target).expect("can be reckoned");
    assert_eq!(rows(&damp), [["17.5", "1", "1", "1 soil, 1 sand", "17.5"]]);
    assert_eq!(damp.notes, Vec::<String>::new());
    let terms: Vec<String> = damp.mixes[0]
        .basis
        .terms
        .iter()
        .map(|term| canonical(term.value))
        .collect();
    assert_eq!(terms, ["35", "17.5", "17.5", "1200", "1500", "1.25"]);

    sand.bulking = Share::ZERO;
    let dry = proposed(dec!(35), &soil, &sand, target).expect("can be reckoned");
    assert_eq!(dry.mixes[0].sand_parts, dec!(0.8));
    assert_eq!(
        dry.notes,
        [
            "sand is taken as measured dry: damp sand takes up to two fifths more room, so give its bulking_percent when it \
          comes off a damp heap"
        ]
    );
}

#[test]
fn a_sand_that_is_not_clean_takes_more_of_it() {
    // (35 - 17.5) / (17.5 - 5) = 1.4.
    let soil = material("soil", dec!(1300));
    let mut sand = material("pit-sand", dec!(1300));
    sand.clay = Share::from_percent(dec!(5));
    let found =
        proposed(dec!(35), &soil, &sand, aim(dec!(17.5), dec!(2.5), 0)).expect("can be reckoned");
    // 1 + 1.5 makes (35 + 7.5) / 2.5 = 17: half a point off, which is near enough.
    assert_eq!(
        rows(&found),
        [["17.5", "1.4", "1.4", "1 soil, 1.5 sand", "17"]]
    );
}

#[test]
fn a_target_that_is_not_above_the_sands_own_clay_is_refused_with_all_else() {
    let mut soil = material("soil", dec!(1300));
    soil.density_loose = None;
    let mut sand = material("pit-sand", dec!(1300));
    sand.clay = Share::from_percent(dec!(17.5));
    sand.density_loose = Some(Density::ZERO);
    let faults =
        proposed(dec!(35), &soil, &sand, aim(dec!(17.5), dec!(2.5), 2)).expect_err("refused");
    let found: Vec<_> = faults
        .iter()
        .map(|fault| (fault.field.as_str(), fault.reason))
        .collect();
    assert_eq!(
        found,
        [
            ("soil_material", "DENSITY_LOOSE_MISSING"),
            ("sand_material", "DENSITY_LOOSE_MISSING"),
            ("target_clay_percent", "TARGET_NOT_ABOVE_SAND"),
        ]
    );
    assert_eq!(
        faults[2].message,
        "the target is 17.5 % clay and pit-sand itself has 17.5 %; no amount of it brings a soil there: aim higher, or \
         take a cleaner sand"
    );
}

#[test]
fn a_soil_that_is_too_lean_is_tried_alone_and_never_takes_less_than_no_sand() {
    let (soil, mut sand) = (material("soil", dec!(1300)), material("sand", dec!(1300)));
    sand.bulking = Share::from_percent(dec!(20));
    let lean =
        proposed(dec!(16), &soil, &sand, aim(dec!(17.5), dec!(2.5), 1)).expect("can be reckoned");
    // 15 % still takes a little sand: (16 - 15) / 15 = 0.067 by mass, x 1.2 = 0.08 parts; 17.5 and 20 are one trial.
    assert_eq!(
        rows(&lean),
        [
            ["15", "0.067", "0.08", "4 soil, 0.5 sand", "14.5"],
            ["16", "0", "0", "1 soil", "16"],
        ]
    );
    assert!(lean.mixes[1].basis.terms.is_empty());
    assert_eq!(
        lean.notes,
        [
            "the soil has 16 % clay, no more than the 17.5 % aimed at: no sand is wanted, and it may be too lean; make the \
          trial of the soil alone first, and look for a fatter soil to blend in"
        ]
    );
}

#[test]
fn trials_leaner_than_the_sand_itself_are_left_out_and_said_so() {
    let soil = material("soil", dec!(1300));
    let mut sand = material("pit-sand", dec!(1300));
    (sand.clay, sand.bulking) = (Share::from_percent(dec!(12)), Share::from_percent(dec!(1)));
    let found =
        proposed(dec!(35), &soil, &sand, aim(dec!(15), dec!(3), 2)).expect("can be reckoned");
    let clays: Vec<String> = found
        .mixes
        .iter()
        .map(|mix| canonical(mix.clay.percent()))
        .collect();
    assert_eq!(clays, ["15", "18", "21"]);
    assert_eq!(
        found.notes,
        ["trials of 12 % clay or less are left out: the sand itself has 12 %"]
    );
}

#[test]
fn no_trial_is_of_no_clay_or_of_clay_alone() {
    let (soil, sand) = (material("soil", dec!(1300)), material("sand", dec!(1300)));
    let found =
        proposed(dec!(100), &soil, &sand, aim(dec!(5), dec!(5), 4)).expect("can be reckoned");
    let clays: Vec<String> = found
        .mixes
        .iter()
        .map(|mix| canonical(mix.clay.percent()))
        .collect();
    assert_eq!(clays, ["5", "10", "15", "20", "25"]);
}
