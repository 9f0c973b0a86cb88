//! Of coats, floors, ovens and what lies beneath walls, as of walls: what goes in by mass is what stands, is wasted and is
//! left over, and what stands is what was measured.

use hod_domain::geometry::Face;
use hod_domain::job::{Extent, Floor, Job, Masonry, Oven, StemWall, Trench};
use hod_domain::library::Library;
use hod_domain::mix::{Mix, Purpose, Recipe};
use hod_domain::takeoff::{MixTakeoff, Takeoff};
use hod_domain::unit::Unit;
use hod_units::{Area, Decimal, Mass};
use proptest::prelude::*;
use rust_decimal::dec;

use crate::parts_sample::*;
use crate::sample::*;
use crate::system_sample::{mix_id, plumb, taken_off};

const MIXES: [(&str, Purpose); 5] = [
    ("coat", Purpose::BasePlaster),
    ("mortar", Purpose::Mortar),
    ("rubble", Purpose::Fill),
    ("floor", Purpose::Floor),
    ("dense", Purpose::HeatStoring),
];

fn library(waste: Decimal) -> Library {
    let recipe = |(id, purpose): (&str, Purpose)| {
        let mix = Mix {
            waste: percent(waste),
            ..recipe_for(id, purpose).mix().clone()
        };
        Recipe::new(mix, materials()).expect("a whole recipe")
    };
    library_of_recipes(
        MIXES.into_iter().map(recipe).collect(),
        vec![bought("stone", Unit::M3)],
    )
}

fn job_of_parts(length: Decimal, mm: Decimal) -> Job {
    let mut wall = plumb("south", length, dec!(2.40), dec!(0.45));
    wall.stem_height = metres(dec!(0.50));
    let stem_wall = StemWall {
        masonry: Masonry::StoneInMortar {
            stone: material_id("stone"),
            mortar: mix_id("mortar"),
            mortar_share: percent(dec!(35)),
        },
        thickness: None,
        damp_course: None,
    };
    let oven = Oven {
        id: "yard".to_owned(),
        inner_diameter: metres(dec!(0.84)),
        dome_height: None,
        door_width: metres(dec!(0.40)),
        door_height: None,
        layers: vec![layer("dense", mm)],
        base_layers: Vec::new(),
        form: None,
    };
    Job {
        stem_wall: Some(stem_wall),
        trench: Some(Trench {
            width: metres(dec!(0.60)),
            depth: metres(dec!(0.70)),
            fill: mix_id("rubble"),
            drain: None,
            fabric: None,
        }),
        floors: vec![Floor {
            id: "hall".to_owned(),
            extent: Extent::Area(Area::from_square_metres(length)),
            layers: vec![layer("floor", mm)],
            sheet: None,
        }],
        ovens: vec![oven],
        ..coated(wall, vec![finish(Face::Inner, &[("coat", mm)])])
    }
}

fn taken<'a>(takeoff: &'a Takeoff, mix: &str) -> &'a MixTakeoff {
    let found = takeoff.mixes.iter().find(|taken| taken.mix == mix_id(mix));
    found.expect("the mix is taken")
}

proptest! {
    #[test]
    fn what_goes_in_is_what_stands_and_what_does_not(
        length in 100_i64..2000,
        mm in 3_i64..150,
        waste in 0_i64..30,
    ) {
        let (length, mm) = (Decimal::new(length, 2), Decimal::from(mm));
        let takeoff = taken_off(&job_of_parts(length, mm), &library(waste.into()));
        prop_assert_eq!(takeoff.mixes.len(), MIXES.len());
        for mix in &takeoff.mixes {
            let masses = mix.masses.expect("all is weighed");
            let out = [masses.standing, masses.pared, masses.wasted, masses.left_over];
            let out = Mass::checked_sum(out).expect("small").kg();
            prop_assert!((masses.dry_in.kg() - out).abs() < dec!(0.000000001), "{:?}", mix.mix);
            prop_assert_eq!(masses.pared, Mass::ZERO);
            // All of these weigh 1200 kg/m3 in place.
            let standing = mix.net.cubic_metres() * dec!(1200);
            prop_assert!((masses.standing.kg() - standing).abs() < dec!(0.000000001));
        }
        let net = |mix| taken(&takeoff, mix).net.cubic_metres();
        let thick = mm / dec!(1000);
        prop_assert_eq!(net("coat"), length * dec!(2.40) * thick);
        prop_assert_eq!(net("floor"), length * thick);
        prop_assert_eq!(net("mortar"), length * dec!(0.45) * dec!(0.50) * dec!(0.35));
        prop_assert_eq!(net("rubble"), length * dec!(0.60) * dec!(0.70));
        // The whole shell, of which the door takes less than half.
        let shell = dec!(2.0943951023931955) * ((dec!(0.42) + thick) * (dec!(0.42) + thick) * (dec!(0.42) + thick)
            - dec!(0.074088));
        prop_assert!(shell / dec!(2) < net("dense") && net("dense") < shell);
    }
}
