//! What holds of every jar and of every sand.

use hod_domain::id::MaterialId;
use hod_domain::material::{Material, Supply};
use hod_domain::soil::{Aim, JarProtocol, SoilTest, propose, settled_grain, settling_seconds};
use hod_domain::unit::Unit;
use hod_units::{Decimal, Density, Length, Share};
use proptest::prelude::*;
use rust_decimal::dec;

use crate::jar::jar;

fn tenths(tenths: i64) -> Decimal {
    Decimal::new(tenths, 1)
}

fn protocols() -> impl Strategy<Value = JarProtocol> {
    (1_i64..600, 10_i64..28_800, 200_i64..10_000, 0_i64..=400).prop_map(
        |(seconds, minutes, height, celsius)| JarProtocol {
            sand_mark_s: tenths(seconds),
            silt_mark_min: tenths(minutes),
            clay_mark_h: None,
            water_height: Length::from_mm(tenths(height)),
            water_celsius: tenths(celsius),
        },
    )
}

fn material(id: &str, kg_per_m3: i64, clay: Decimal, bulking: i64) -> Material {
    Material {
        id: MaterialId::parse(id).expect("an id"),
        display_name: id.to_owned(),
        supply: Supply::Site,
        purchase_unit: Unit::M3,
        density_loose: Some(Density::from_kg_per_cubic_metre(kg_per_m3.into())),
        bulking: Share::from_percent(tenths(bulking)),
        swell: Share::ZERO,
        moisture: Share::ZERO,
        mass_per_unit: None,
        size: None,
        order_step: None,
        clay: Share::from_percent(clay),
        group: None,
        source: "invented".to_owned(),
    }
}

proptest! {
    #[test]
    fn what_a_jar_shows_lies_within_what_it_cannot_tell(
        heights in (0_i64..2000, 0_i64..2000, 0_i64..2000), protocol in proptest::option::of(protocols()),
    ) {
        prop_assume!(0 < heights.0 + heights.1 + heights.2);
        let heights = [heights.0, heights.1, heights.2].map(tenths);
        let test = SoilTest { protocol, ..jar(heights) };
        let shares = test.shares().expect("has layers").expect("a jar");
        let found = test.uncertainty().expect("a jar");
        // The share that is told is itself rounded to a tenth.
        let step = Share::from_percent(dec!(0.1));
        prop_assert!(found.clay_low <= shares.clay.checked_add(step).expect("small"), "{found:?}");
        prop_assert!(shares.clay <= found.clay_high.checked_add(step).expect("small"), "{found:?}");
        prop_assert!(!found.clay_low.is_negative() && found.clay_high <= Share::WHOLE, "{found:?}");
        prop_assert!(found.textures_within.iter().all(|class| Some(*class) != test.texture()));
        prop_assert!(found.textures_within.is_sorted());
    }

    #[test]
    fn the_grain_that_settles_in_a_time_takes_that_time(grain in 10_i64..500, height in 200_i64..10_000, celsius in 0_i64..=400) {
        // A ten-thousandth of a millimetre at a time, from 0.001 to 0.05 mm.
        let (grain, height) = (Length::from_mm(Decimal::new(grain, 4)), Length::from_mm(tenths(height)));
        let seconds = settling_seconds(grain, height, tenths(celsius)).expect("can be reckoned");
        let back = settled_grain(height, seconds, tenths(celsius)).expect("can be reckoned");
        // Seconds are told to a tenth: of a short fall that is more than the last place of the grain.
        let off = back.checked_sub(grain).expect("small").mm().abs();
        let short = grain.mm() * dec!(0.05) / seconds;
        prop_assert!(off <= dec!(0.0001) + short, "{grain} in {seconds} s comes back as {back}");
    }

    #[test]
    fn soil_and_sand_in_the_ratio_told_hold_the_clay_aimed_at(
        soil in (1000_i64..1800, 50_i64..900, 0_i64..600), sand in (1000_i64..1800, 0_i64..100, 0_i64..600),
        target in 10_i64..600,
    ) {
        let soil_clay = tenths(soil.1);
        let of_soil = material("soil", soil.0, dec!(0), soil.2);
        let of_sand = material("sand", sand.0, tenths(sand.1), sand.2);
        let aim = Aim {
            clay: Share::from_percent(tenths(target)),
            step: Share::from_percent(dec!(2.5)),
            step_count: 2,
        };
        prop_assume!(sand.1 < target);
        let proposal = propose(Share::from_percent(soil_clay), "as given", &of_soil, &of_sand, aim).expect("can be reckoned");
        prop_assert!(!proposal.mixes.is_empty());
        let clays: Vec<Share> = proposal.mixes.iter().map(|mix| mix.clay).collect();
        prop_assert!(clays.is_sorted(), "{clays:?}");
        for mix in proposal.mixes.iter().filter(|mix| !mix.basis.terms.is_empty()) {
            prop_assert!(Decimal::ZERO <= mix.sand_by_mass && Decimal::ZERO <= mix.sand_parts);
            // From parts back to mass: parts x sand's density / (1 + its bulking) to one of soil likewise.
            let weight = |material: &Material| {
                let density = material.density_loose.expect("weighed").kg_per_cubic_metre();
                density / (Decimal::ONE + material.bulking.fraction())
            };
            let parts = mix.basis.work().expect("a figure");
            let (soil, sand) = (weight(&of_soil), parts * weight(&of_sand));
            let clay = (soil * soil_clay + sand * of_sand.clay.percent()) / (soil + sand);
            prop_assert!((clay - mix.clay.percent()).abs() < dec!(0.000000001), "{clay} for {}", mix.clay);
        }
    }
}
