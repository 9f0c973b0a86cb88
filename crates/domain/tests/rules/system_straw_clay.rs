//! Light straw-clay: every row of the table, what lies between the rows and beyond its ends, and walls held against it.

use hod_domain::basis::Basis;
use hod_domain::id::SoilTestId;
use hod_domain::job::{Build, Form, WallSystem};
use hod_domain::library::Library;
use hod_domain::material::Supply;
use hod_domain::soil::{SoilEvidence, SoilShares, SoilTest};
use hod_domain::system::straw_clay::{TABLE, proportions};
use hod_domain::takeoff::Takeoff;
use hod_domain::unit::Unit;
use hod_domain::work::{Driver, Task};
use hod_units::{Decimal, Density};
use rust_decimal::dec;

use crate::sample::*;
use crate::system_sample::*;

fn worked(basis: &Basis, places: u32) -> String {
    rounded(basis.work().expect("small"), places)
}

/// The table in SI, derived apart from it: density, straw and soil kg/m3, water l/m3, W/mK, and mm at the most.
const IN_SI: [(Decimal, [&str; 4], &str, &str); 8] = [
    (dec!(10), ["160", "107.3", "52.9", "207"], "0.08", "381"),
    (dec!(12), ["192", "107.3", "84.9", "218"], "0.084", "381"),
    (dec!(13), ["208", "107.3", "100.9", "223"], "0.085", "381"),
    (dec!(15), ["240", "107.3", "133", "233"], "0.088", "381"),
    (dec!(20), ["320", "107.3", "213", "258"], "0.097", "304.8"),
    (dec!(30), ["481", "107.3", "373.2", "309"], "0.118", "304.8"),
    (dec!(40), ["641", "107.3", "533.4", "361"], "0.143", "304.8"),
    (dec!(50), ["801", "107.3", "693.6", "412"], "0.172", "304.8"),
];

#[test]
fn every_row_of_the_table_comes_out_in_kilograms_and_litres() {
    assert_eq!(TABLE.len(), IN_SI.len());
    for (row, (density, [total, straw, soil, water], lambda, thickest)) in TABLE.iter().zip(IN_SI) {
        assert_eq!(row.density_pcf, density);
        let takes = proportions(pcf(density)).expect("a row");
        assert_eq!(rounded(takes.density.kg_per_cubic_metre(), 0), total);
        assert_eq!(worked(&takes.straw, 1), straw);
        assert_eq!(worked(&takes.soil, 1), soil);
        assert_eq!(worked(&takes.water, 0), water);
        assert_eq!(rounded(takes.thickness_max.mm(), 1), thickest);
        // An inch of 1 h ft2 F/BTU conducts 0.0254 m / 0.176110 m2K/W = 0.144228 W/mK.
        assert_eq!(
            rounded(dec!(0.144228) / row.resistance_per_inch, 3),
            lambda,
            "{density}"
        );
    }
}

#[test]
fn the_least_clay_of_every_row_is_the_tables() {
    let table = [
        Some(("70 %", dec!(3.5))),
        Some(("46 %", dec!(1.7))),
        Some(("40 %", dec!(1.33))),
        Some(("35 %", dec!(0.95))),
        Some(("30 %", dec!(0.60))),
        None,
        None,
        None,
    ];
    for (row, clay) in TABLE.iter().zip(table) {
        let takes = proportions(pcf(row.density_pcf)).expect("a row");
        assert_eq!(
            takes.clay_min.map(|share| share.to_string()).as_deref(),
            clay.map(|(percent, _)| percent)
        );
        assert_eq!(takes.clay_to_silt_min, clay.map(|(_, to_silt)| to_silt));
    }
}

#[test]
fn the_table_agrees_with_itself() {
    for row in &TABLE {
        assert_eq!(row.straw_pcf + row.subsoil_pcf, row.density_pcf);
        // Derived of the rows: water is within 0.006 gal/ft3 of 1.425 + 0.0382 x subsoil.
        let fitted = dec!(1.425) + dec!(0.0382) * row.subsoil_pcf;
        assert!(
            (row.water_gal_per_ft3 - fitted).abs() <= dec!(0.006),
            "{}",
            row.density_pcf
        );
    }
    assert!(
        TABLE.is_sorted_by(|one, next| one.density_pcf < next.density_pcf
            && next.resistance_per_inch < one.resistance_per_inch
            && one.water_gal_per_ft3 < next.water_gal_per_ft3)
    );
}

#[test]
fn between_two_rows_figures_lie_on_the_straight_line() {
    // 25 is half-way from 20 to 30: (1.93 + 2.31) / 2 = 2.12 gal/ft3 x 133.680556 = 283.402778 l; 11 half-way from 10 to
    // 12: 1.59 gal/ft3, 58 % clay and 2.6 to one of silt; 17.5 half-way from 15 to 20: 1.835 gal/ft3, 32.5 %, 0.775.
    for (density, water, clay, to_silt) in [
        (dec!(25), "283.402778", Some("30"), Some("0.6")),
        (dec!(11), "212.552083", Some("58"), Some("2.6")),
        (dec!(17.5), "245.303819", Some("32.5"), Some("0.775")),
        (dec!(35), "334.869792", None, None),
    ] {
        let takes = proportions(pcf(density)).expect("between rows");
        assert_eq!(worked(&takes.water, 6), water, "{density}");
        let soil = pcf(density - dec!(6.7)).kg_per_cubic_metre();
        assert_eq!(worked(&takes.soil, 9), rounded(soil, 9), "{density}");
        let clay_min = takes.clay_min.map(|share| rounded(share.percent(), 6));
        assert_eq!(clay_min.as_deref(), clay, "{density}");
        let clay_to_silt = takes.clay_to_silt_min.map(|ratio| rounded(ratio, 6));
        assert_eq!(clay_to_silt.as_deref(), to_silt, "{density}");
    }
}

#[test]
fn between_15_and_20_pounds_the_lesser_thickness_holds() {
    for (density, mm) in [
        (dec!(14.9), "381"),
        (dec!(15), "381"),
        (dec!(15.1), "304.8"),
        (dec!(20), "304.8"),
    ] {
        let takes = proportions(pcf(density)).expect("within the table");
        assert_eq!(rounded(takes.thickness_max.mm(), 1), mm, "{density}");
    }
}

#[test]
fn a_density_written_for_a_row_is_that_row_with_its_limits() {
    // 15 lb/ft3 is 240.27695 kg/m3 and 30 is 480.55390: written to 0.01, one is above its row and one below.
    let row = proportions(density(dec!(240.28))).expect("a row");
    assert_eq!(row.density, pcf(dec!(15)));
    assert_eq!(rounded(row.thickness_max.mm(), 1), "381");
    let row = proportions(density(dec!(480.55))).expect("a row");
    assert_eq!((row.density, row.clay_min), (pcf(dec!(30)), None));
    // Half of 0.01 off is the most: 240.27695 + 0.005 = 240.28195.
    for (kg_m3, mm) in [(dec!(240.2819), "381"), (dec!(240.2820), "304.8")] {
        let takes = proportions(density(kg_m3)).expect("within the table");
        assert_eq!(rounded(takes.thickness_max.mm(), 1), mm, "{kg_m3}");
    }
}

#[test]
fn no_term_has_more_decimals_than_can_be_written() {
    for kg_m3 in [dec!(160), dec!(240.28), dec!(400.461584349003)] {
        let takes = proportions(density(kg_m3)).expect("within the table");
        for term in [takes.straw, takes.soil, takes.water]
            .iter()
            .flat_map(|basis| &basis.terms)
        {
            assert!(term.value.normalize().scale() <= 12, "{term:?}");
        }
    }
}

#[test]
fn nothing_is_carried_on_beyond_the_ends_of_the_table() {
    for density in [dec!(0), dec!(9), dec!(9.96), dec!(50.04), dec!(55)] {
        let outside = proportions(pcf(density)).expect_err("outside");
        assert_eq!(outside.lightest.to_string(), "160.18 kg/m3");
        assert_eq!(outside.heaviest.to_string(), "800.92 kg/m3");
    }
    // A whole kg/m3 at either end is that end: 160 for 160.18, 801 for 800.92.
    let lightest = proportions(density(dec!(160))).expect("the end");
    assert_eq!(lightest.density, pcf(dec!(10)));
    let heaviest = proportions(density(dec!(801))).expect("the end");
    assert_eq!(heaviest.density, pcf(dec!(50)));
}

fn straw_clay(
    density_dry: Density,
    straw: Decimal,
    thickness: Decimal,
) -> (hod_domain::job::Job, Library) {
    let build = Build {
        form: Some(Form {
            material: material_id("board"),
            uses: 8,
        }),
        ..of_system(WallSystem::LightStrawClay)
    };
    let mut library = library_with(vec![material("board", Supply::Bought, Unit::M2)]);
    library.recipes[0] = recipe_of("earth", density_dry, straw);
    (
        job_of(build, vec![plumb("north", dec!(4), dec!(2), thickness)]),
        library,
    )
}

fn takeoff_of(density_dry: Density, straw: Decimal, thickness: Decimal) -> Takeoff {
    let (job, library) = straw_clay(density_dry, straw, thickness);
    taken_off(&job, &library)
}

#[test]
fn a_wall_takes_its_mix_its_form_and_the_work() {
    // 15 lb/ft3, 240.277 kg/m3 of which 107.3 straw: a batch of 120 kg of soil makes 120 / 132.977 = 0.902412 m3. 2.4 m3
    // are 2.66 batches, 3: 0.3 m3 of soil, 3 x 96.83 kg of straw, 14.5 bales of 20 kg. Boards: 16 m2 over 8 uses.
    let takeoff = takeoff_of(pcf(dec!(15)), dec!(107.3), dec!(0.3));
    assert_eq!(
        orders(&takeoff),
        ["soil: 0.3 m3", "straw: 15 bale", "board: 2 m2"]
    );
    assert_eq!(told(&takeoff, "wall north", "form"), "16 m2");
    assert_eq!(reasons(&takeoff), ["STRAW_CLAY_IS_INFILL"]);
    assert_eq!(
        amount(&takeoff, Task::SetForm, Driver::M2Face),
        Some(dec!(16))
    );
    assert_eq!(
        amount(&takeoff, Task::Tamp, Driver::M3Placed),
        Some(dec!(2.4))
    );
    assert_eq!(amount(&takeoff, Task::Tamp, Driver::Batch), Some(dec!(3)));
}

#[test]
fn a_density_outside_the_table_is_refused_with_both_its_ends() {
    for outside in [dec!(9), dec!(55)] {
        let (job, library) = straw_clay(pcf(outside), dec!(107.3), dec!(0.3));
        let faults = hod_domain::takeoff::measure(&job, &library).expect_err("outside");
        assert_eq!(faults.len(), 1);
        assert_eq!(
            (&*faults[0].field, faults[0].reason),
            ("mix", "STRAW_CLAY_DENSITY_OUTSIDE_TABLE")
        );
        let message = &faults[0].message;
        for end in [
            "mix earth",
            "160.18 kg/m3",
            "800.92 kg/m3",
            "10 to 50 lb/ft3",
            "IRC 2018 Table AR103.2.3",
        ] {
            assert!(message.contains(end), "{message}");
        }
    }
}

#[test]
fn straw_further_than_two_percent_off_the_table_is_cautioned() {
    // 107.3237 x 0.98 = 105.177; x 1.02 = 109.470.
    for (straw, is_said) in [
        (dec!(105.17), true),
        (dec!(105.18), false),
        (dec!(109.47), false),
        (dec!(109.48), true),
        (dec!(0), true),
    ] {
        let takeoff = takeoff_of(pcf(dec!(20)), straw, dec!(0.3));
        assert_eq!(
            reasons(&takeoff).contains(&"STRAW_CLAY_STRAW_OFF_TABLE"),
            is_said,
            "{straw}"
        );
    }
}

#[test]
fn a_wall_thicker_than_the_table_is_cautioned_by_name() {
    for (density, thickness, is_said) in [
        (dec!(15), dec!(0.381), false),
        (dec!(15), dec!(0.382), true),
        (dec!(18), dec!(0.305), true),
        (dec!(18), dec!(0.3048), false),
    ] {
        let takeoff = takeoff_of(pcf(density), dec!(107.3), thickness);
        let caution = takeoff
            .cautions
            .iter()
            .find(|caution| caution.reason == "STRAW_CLAY_THICKER_THAN_TABLE");
        assert_eq!(caution.is_some(), is_said, "{density} {thickness}");
        if let Some(caution) = caution {
            assert_eq!(caution.subject, "wall north");
            assert!(caution.description.contains("IRC 2018 Table AR103.2.3"));
        }
    }
}

fn soil_test(sand: Decimal, silt: Decimal, clay: Decimal) -> SoilTest {
    SoilTest {
        id: SoilTestId::parse("pit-1").expect("an id"),
        evidence: SoilEvidence::Laboratory(SoilShares {
            sand: percent(sand),
            silt: percent(silt),
            clay: percent(clay),
        }),
        sampled: date("2026-04-02"),
        depth: None,
        protocol: None,
        ribbon: None,
        drop_note: String::new(),
        observations: Vec::new(),
        note: String::new(),
    }
}

#[test]
fn a_tested_soil_below_the_tables_clay_is_cautioned() {
    // At 20 lb/ft3: 30 % clay, and 0.60 to one of silt. At 40 the table asks for none.
    for (density, test, is_said) in [
        (dec!(20), soil_test(dec!(20), dec!(50), dec!(30)), false),
        (dec!(20), soil_test(dec!(40), dec!(31), dec!(29)), true),
        (dec!(20), soil_test(dec!(15), dec!(54), dec!(31)), true),
        (dec!(15), soil_test(dec!(20), dec!(50), dec!(30)), true),
        (dec!(40), soil_test(dec!(40), dec!(50), dec!(10)), false),
    ] {
        let (job, mut library) = straw_clay(pcf(density), dec!(107.3), dec!(0.3));
        library.soil_test = Some(test);
        let takeoff = taken_off(&job, &library);
        assert_eq!(
            reasons(&takeoff).contains(&"STRAW_CLAY_SOIL_TOO_LEAN"),
            is_said,
            "{density}"
        );
    }
}

#[test]
fn a_lean_soil_is_told_as_shares_beside_what_is_asked_for() {
    let (job, mut library) = straw_clay(pcf(dec!(20)), dec!(107.3), dec!(0.3));
    library.soil_test = Some(soil_test(dec!(59.3), dec!(25.9), dec!(14.8)));
    let takeoff = taken_off(&job, &library);
    let words = said(&takeoff, "STRAW_CLAY_SOIL_TOO_LEAN");
    assert!(
        words.contains("has 14.8 % clay and 25.9 % silt; at "),
        "{words}"
    );
    assert!(
        words.contains("at least 30 % clay and 0.6 parts of clay to one of silt:"),
        "{words}"
    );
}

#[test]
fn a_test_of_the_ground_says_nothing_of_soil_that_is_bought() {
    let (job, mut library) = straw_clay(pcf(dec!(15)), dec!(107.3), dec!(0.3));
    library.soil_test = Some(soil_test(dec!(80), dec!(15), dec!(5)));
    let mut bought = materials();
    bought[0].supply = Supply::Bought;
    let mix = library.recipes[0].mix().clone();
    library.recipes[0] = hod_domain::mix::Recipe::new(mix, bought).expect("whole");
    assert_eq!(
        reasons(&taken_off(&job, &library)),
        ["STRAW_CLAY_IS_INFILL"]
    );
}

#[test]
fn two_builds_of_straw_clay_say_once_that_it_bears_nothing() {
    let (mut job, library) = straw_clay(pcf(dec!(15)), dec!(107.3), dec!(0.3));
    job.walls.push(plumb("east", dec!(3), dec!(2), dec!(0.3)));
    job.builds.push(Build {
        id: "thin".to_owned(),
        field: "builds[0]".to_owned(),
        ..job.builds[0].clone()
    });
    let of_build = |build| hod_domain::job::WallWork {
        build,
        ..hod_domain::job::WallWork::default()
    };
    job.works = vec![of_build(0), of_build(1)];
    assert_eq!(
        reasons(&taken_off(&job, &library)),
        ["STRAW_CLAY_IS_INFILL"]
    );
}
