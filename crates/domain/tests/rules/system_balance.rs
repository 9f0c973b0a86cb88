//! Mass balance: over random walls of every system, what goes in by mass, of batches and of pieces, is what stands, was pared,
//! wasted or broken, or is left over; and what stands fills the walls.

use hod_domain::geometry::WallDrawing;
use hod_domain::id::MaterialId;
use hod_domain::job::{Build, Job, Lattice, WallSystem};
use hod_domain::library::Library;
use hod_domain::material::{Material, PieceSize, Supply};
use hod_domain::takeoff::{MixTakeoff, Order, Takeoff};
use hod_domain::unit::Unit;
use hod_units::{Decimal, Length, Mass, Share};
use proptest::prelude::*;
use rust_decimal::dec;

use crate::sample::*;
use crate::system_sample::*;

/// A decimal of so many places within bounds given in units of the last.
fn decimal(units: std::ops::Range<i64>, places: u32) -> impl Strategy<Value = Decimal> {
    units.prop_map(move |units| Decimal::new(units, places))
}

/// One to three walls with up to three openings each, pared or not.
fn walls(thickness: std::ops::Range<i64>) -> impl Strategy<Value = Vec<WallDrawing>> {
    let sizes = (
        decimal(400..1200, 2),
        decimal(150..350, 2),
        decimal(thickness, 3),
        decimal(0..30, 0),
    );
    let openings = prop::collection::vec((decimal(20..90, 2), decimal(20..120, 2)), 0..4);
    let wall = (sizes, openings).prop_map(|((length, height, thickness, paring), openings)| {
        let mut wall = plumb("wall", length, height, thickness);
        wall.paring = Length::from_mm(paring);
        for (at, (width, tall)) in openings.into_iter().enumerate() {
            let place = Decimal::from(at) + dec!(0.1);
            let id = format!("opening-{at}");
            wall.openings
                .push(opening(&id, width, tall, dec!(0.2), place));
        }
        wall
    });
    prop::collection::vec(wall, 1..4).prop_map(|mut walls| {
        for (at, wall) in walls.iter_mut().enumerate() {
            wall.id = format!("wall-{at}");
        }
        walls
    })
}

/// What is lost: breakage, waste of the mix, parings used again, percent each.
fn losses() -> impl Strategy<Value = [Decimal; 3]> {
    [
        decimal(0..2000, 2),
        decimal(0..2000, 2),
        decimal(0..10000, 2),
    ]
}

/// The job and its library, with these losses in them.
fn losing(
    build: Build,
    walls: Vec<WallDrawing>,
    pieces: Vec<Material>,
    losses: [Decimal; 3],
) -> (Job, Library) {
    let [breakage, waste, reused] = losses.map(Share::from_percent);
    let mut library = library_with(pieces);
    for recipe in &mut library.recipes {
        let mut mix = recipe.mix().clone();
        mix.waste = waste;
        *recipe = hod_domain::mix::Recipe::new(mix, materials()).expect("whole");
    }
    let job = Job {
        parings_reused: reused,
        ..job_of(Build { breakage, ..build }, walls)
    };
    (job, library)
}

/// Where the mass of a takeoff goes, kg.
#[derive(Default)]
struct Balance {
    in_all: Decimal,
    out: Decimal,
}

impl Balance {
    fn mix(&mut self, mix: &MixTakeoff) {
        let masses = mix.masses.expect("weighed");
        self.in_all += masses.dry_in.kg();
        self.out += [
            masses.standing,
            masses.pared,
            masses.wasted,
            masses.left_over,
        ]
        .map(Mass::kg)
        .iter()
        .sum::<Decimal>();
    }

    /// So many pieces laid of those ordered, the rest broken or left over.
    fn pieces(&mut self, order: &Order, laid: Decimal, breakage: Share, each: Mass) {
        let broken = laid * breakage.fraction();
        let left_over = order.quantity - laid - broken;
        assert!(
            dec!(-0.000001) <= left_over && left_over < dec!(1.000001),
            "{left_over} left of {}",
            order.quantity
        );
        self.in_all += order.quantity * each.kg();
        self.out += (laid + broken + left_over) * each.kg();
    }

    fn closes(&self) {
        let off = (self.in_all - self.out).abs();
        assert!(
            off <= self.in_all * dec!(0.000000001),
            "{} in and {} out",
            self.in_all,
            self.out
        );
        assert!(Decimal::ZERO < self.in_all);
    }
}

fn order<'a>(takeoff: &'a Takeoff, id: &str) -> &'a Order {
    let id = MaterialId::parse(id).expect("an id");
    takeoff
        .orders
        .iter()
        .find(|order| order.material == id)
        .expect("ordered")
}

fn mix<'a>(takeoff: &'a Takeoff, id: &str) -> &'a MixTakeoff {
    takeoff
        .mixes
        .iter()
        .find(|mix| mix.mix == mix_id(id))
        .expect("mixed")
}

/// Pieces laid by the order's own basis: it is worked before breakage.
fn laid_of(order: &Order, breakage: Share) -> Decimal {
    order.basis.work().expect("small") / (Decimal::ONE + breakage.fraction())
}

/// Equal within so much.
fn near(one: Decimal, other: Decimal, within: Decimal) {
    assert!((one - other).abs() <= within, "{one} and {other}");
}

/// A volume is told to 1e-6 m3 for each of at most three walls, and a face cut to 1e-4 m2 for each thickness.
const VOLUME_STEP: Decimal = dec!(0.0002);

/// Every order is a whole number of what can be bought.
fn reads_well(takeoff: &Takeoff) {
    for order in &takeoff.orders {
        let places = order.unit.order_places().expect("bought");
        let digits = order.quantity.normalize().scale();
        assert!(digits <= places, "{} {}", order.quantity, order.unit.word());
    }
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 96, ..ProptestConfig::default() })]

    #[test]
    fn monolithic_walls_hold_all_that_was_mixed_for_them(
        walls in walls(300..600), losses in losses(),
        system in prop_oneof![Just(WallSystem::Cob), Just(WallSystem::RammedEarth)],
    ) {
        let (job, library) = losing(of_system(system), walls, vec![], losses);
        let takeoff = taken_off(&job, &library);
        let earth = mix(&takeoff, "earth");
        prop_assert_eq!(earth.net, takeoff.totals.net);
        prop_assert_eq!(earth.placed, takeoff.totals.placed);
        let mut balance = Balance::default();
        balance.mix(earth);
        balance.closes();
        reads_well(&takeoff);
    }

    #[test]
    fn straw_clay_walls_hold_their_straw_and_soil(
        walls in walls(150..300), losses in losses(), density in decimal(1000..5000, 2),
    ) {
        let (job, mut library) = losing(of_system(WallSystem::LightStrawClay), walls, vec![], losses);
        let waste = library.recipes[0].mix().waste;
        let mut mix_of = recipe_of("earth", pcf(density), dec!(107.3)).mix().clone();
        mix_of.waste = waste;
        library.recipes[0] = hod_domain::mix::Recipe::new(mix_of, materials()).expect("whole");
        let takeoff = taken_off(&job, &library);
        prop_assert_eq!(mix(&takeoff, "earth").net, takeoff.totals.net);
        let mut balance = Balance::default();
        balance.mix(mix(&takeoff, "earth"));
        balance.closes();
        reads_well(&takeoff);
    }

    #[test]
    fn adobes_bought_and_their_mortar_fill_their_walls(walls in walls(254..700), losses in losses()) {
        let (job, library) = losing(adobe_build(), walls, vec![adobe()], losses);
        let takeoff = taken_off(&job, &library);
        let breakage = job.builds[0].breakage;
        let laid = laid_of(order(&takeoff, "adobe"), breakage);
        let brick = adobe().size.and_then(|size| size.volume()).expect("sizes");
        let mortar = mix(&takeoff, "mortar");
        let stands = laid * brick.cubic_metres() + mortar.net.cubic_metres();
        near(stands, takeoff.totals.net.cubic_metres(), VOLUME_STEP);
        prop_assert!(mortar.net.is_positive());
        let mut balance = Balance::default();
        balance.mix(mortar);
        balance.pieces(order(&takeoff, "adobe"), laid, breakage, adobe().mass_per_unit.expect("weighed"));
        balance.closes();
        reads_well(&takeoff);
    }

    #[test]
    fn adobes_of_the_site_stand_of_their_mix_and_break_of_it(walls in walls(254..700), losses in losses()) {
        let own = Material { supply: Supply::Site, ..adobe() };
        let (job, library) = losing(adobe_build(), walls, vec![own], losses);
        let takeoff = taken_off(&job, &library);
        let (earth, mortar) = (mix(&takeoff, "earth"), mix(&takeoff, "mortar"));
        let stands = earth.net.checked_add(mortar.net).expect("small");
        prop_assert_eq!(stands, takeoff.totals.net);
        let mut balance = Balance::default();
        balance.mix(earth);
        balance.mix(mortar);
        balance.closes();
        // Nothing is pared off an adobe; what is lost is broken, or lost by the mix.
        let masses = earth.masses.expect("weighed");
        prop_assert!(masses.pared.is_zero());
        let [breakage, waste, _] = losses.map(|percent| Share::from_percent(percent).fraction());
        let lost = (dec!(1) + breakage) * (dec!(1) + waste) - dec!(1);
        near(masses.wasted.kg(), masses.standing.kg() * lost, masses.standing.kg() * dec!(0.000000001));
        reads_well(&takeoff);
    }

    #[test]
    fn bales_fill_the_face_of_their_walls_as_they_were_stacked(
        walls in walls(458..480), losses in losses(), settling in decimal(0..1500, 2),
    ) {
        let build = Build { settling: percent(settling), ..bale_build() };
        let (job, library) = losing(build, walls, vec![bale()], losses);
        let takeoff = taken_off(&job, &library);
        let breakage = job.builds[0].breakage;
        let laid = laid_of(order(&takeoff, "bale"), breakage);
        // length x course x (1 - settling) of each bale is the face it stands for.
        let size = bale().size.expect("sizes");
        let face = size.length.metres() * size.height.metres() * (dec!(1) - settling / dec!(100));
        let faces: Decimal = takeoff.walls.iter().zip(&job.walls)
            .map(|(wall, drawn)| wall.measure.net.cubic_metres() / drawn.thickness.metres()).sum();
        near(laid * face, faces, dec!(0.0004));
        let mut balance = Balance::default();
        balance.pieces(order(&takeoff, "bale"), laid, breakage, bale().mass_per_unit.expect("weighed"));
        balance.closes();
        reads_well(&takeoff);
    }

    #[test]
    fn daub_fills_what_the_wattle_leaves(walls in walls(80..200), losses in losses(), wattle in decimal(0..6000, 2)) {
        let lattice = |id, mm| Some(Lattice { material: material_id(id), spacing: Length::from_mm(mm) });
        let build = Build {
            staves: lattice("stave", dec!(300)),
            rods: lattice("rod", dec!(60)),
            wattle: percent(wattle),
            ..of_system(WallSystem::WattleAndDaub)
        };
        let rod = Material {
            mass_per_unit: Some(Mass::from_kg(dec!(0.9))),
            size: Some(PieceSize { length: metres(dec!(1.8)), width: metres(dec!(0.02)), height: metres(dec!(0.02)) }),
            ..material("rod", Supply::Bought, Unit::Each)
        };
        let pieces = vec![material("stave", Supply::Bought, Unit::M), rod];
        let (job, library) = losing(build, walls, pieces, losses);
        let takeoff = taken_off(&job, &library);
        let daub = mix(&takeoff, "earth");
        let net = takeoff.totals.net.cubic_metres();
        near(daub.net.cubic_metres(), net * (dec!(1) - wattle / dec!(100)), dec!(0.0000005));
        // What is pared off is daub.
        let pared = takeoff.totals.placed.checked_sub(takeoff.totals.net);
        prop_assert_eq!(daub.placed.checked_sub(daub.net), pared);
        let breakage = job.builds[0].breakage;
        let mut balance = Balance::default();
        balance.mix(daub);
        let rods = order(&takeoff, "rod");
        balance.pieces(rods, laid_of(rods, breakage), breakage, Mass::from_kg(dec!(0.9)));
        balance.closes();
        reads_well(&takeoff);
    }
}
