//! A small invented job with figures that work out by hand, for the tests and the benchmark to vary.
//!
//! The wall: 4.00 m x 2.00 m x 0.50 m with a window of 1.00 m x 1.00 m.
//! A batch: two buckets of 20 l of soil (1200 kg/m3) and two of sand (1500 kg/m3, bulked by 25 %) weigh 48 + 48 kg
//! dry; at 1620 kg/m3 in place, 20 of them straw, they yield 96 / 1600 = 0.06 m3.

use hod_domain::estimate::Inputs;
use hod_domain::geometry::{End, Opening, OpeningShape, Path, Profile, WallDrawing};
use hod_domain::id::*;
use hod_domain::job::{Build, Job};
use hod_domain::library::Library;
use hod_domain::material::{Material, Supply};
use hod_domain::mix::{DensityEvidence, Ingredient, Mix, PartMeasure, Purpose, Recipe, Straw};
use hod_domain::price::{LabourRate, Price, PriceList, Terms};
use hod_domain::region::{BuildUp, Profit, Region, Tax, TaxBasis, Taxes};
use hod_domain::site::Site;
use hod_domain::unit::Unit;
use hod_domain::work::{Crew, Driver, GradeShare, LabourConstant, Task};
use hod_units::{
    Currency, Date, DateRange, Decimal, Density, Hours, Length, Mass, Rounding, Share, Volume,
    parse_date,
};
use rust_decimal::dec;

pub fn metres(value: Decimal) -> Length {
    Length::from_metres(value)
}

pub fn percent(value: Decimal) -> Share {
    Share::from_percent(value)
}

pub fn density(kg_m3: Decimal) -> Density {
    Density::from_kg_per_cubic_metre(kg_m3)
}

pub fn date(text: &str) -> Date {
    parse_date(text).expect("a date")
}

pub fn material_id(text: &str) -> MaterialId {
    MaterialId::parse(text).expect("an id")
}

pub fn grade(text: &str) -> Grade {
    Grade::parse(text).expect("a grade")
}

/// A plumb straight wall of free ends, pared by 25 mm on each face.
pub fn wall(id: &str, length: Decimal, height: Decimal, thickness: Decimal) -> WallDrawing {
    WallDrawing {
        id: id.to_owned(),
        path: Path::Straight {
            length: metres(length),
        },
        profile: Profile::Level {
            height: metres(height),
        },
        thickness: metres(thickness),
        taper: None,
        start: End::Free,
        end: End::Free,
        turn_degrees: None,
        openings: Vec::new(),
        niches: Vec::new(),
        inclusions: Vec::new(),
        zones: Vec::new(),
        lift_height: None,
        stem_height: Length::ZERO,
        paring: Length::from_mm(dec!(25)),
    }
}

pub fn opening(id: &str, width: Decimal, height: Decimal, sill: Decimal, at: Decimal) -> Opening {
    Opening {
        id: id.to_owned(),
        shape: OpeningShape::Rectangle {
            height: metres(height),
        },
        width: metres(width),
        sill: metres(sill),
        at: metres(at),
        splay: Length::ZERO,
    }
}

pub fn job(walls: Vec<WallDrawing>) -> Job {
    Job {
        display_name: "Garden store".to_owned(),
        site: Some(SiteId::parse("quarry-lane").expect("an id")),
        mixing: Some(Method::parse("tarp").expect("a method")),
        crew: Some(CrewId::parse("learners").expect("an id")),
        waste: Some(percent(dec!(10))),
        builds: vec![Build {
            mix: Some(MixId::parse("trial-cob").expect("an id")),
            ..Build::default()
        }],
        walls,
        ..Job::default()
    }
}

/// The small job before anybody has chosen a mix.
pub fn job_without_mix() -> Job {
    Job {
        builds: vec![Build::default()],
        ..small_job()
    }
}

/// What the sample's job draws on.
pub fn library() -> Library {
    library_of(recipe())
}

pub fn library_of(recipe: Recipe) -> Library {
    Library {
        recipes: vec![recipe],
        ..Library::default()
    }
}

pub fn small_job() -> Job {
    let mut south = wall("south", dec!(4.00), dec!(2.00), dec!(0.50));
    south.openings.push(opening(
        "window",
        dec!(1.00),
        dec!(1.00),
        dec!(0.80),
        dec!(1.50),
    ));
    job(vec![south])
}

pub fn material(id: &str, supply: Supply, purchase_unit: Unit) -> Material {
    Material {
        id: material_id(id),
        display_name: id.to_owned(),
        supply,
        purchase_unit,
        density_loose: None,
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

pub fn materials() -> Vec<Material> {
    vec![
        Material {
            density_loose: Some(density(dec!(1200))),
            swell: percent(dec!(25)),
            moisture: percent(dec!(10)),
            ..material("soil", Supply::Site, Unit::M3)
        },
        Material {
            density_loose: Some(density(dec!(1500))),
            bulking: percent(dec!(25)),
            moisture: percent(dec!(5)),
            ..material("sand", Supply::Bought, Unit::T)
        },
        Material {
            mass_per_unit: Some(Mass::from_kg(dec!(20))),
            ..material("straw", Supply::Bought, Unit::Bale)
        },
        material("water", Supply::Site, Unit::L),
    ]
}

pub fn mix() -> Mix {
    let part = |id| Ingredient {
        material: material_id(id),
        parts: Decimal::ONE,
    };
    Mix {
        id: MixId::parse("trial-cob").expect("an id"),
        display_name: "Trial cob".to_owned(),
        ingredients: vec![part("soil"), part("sand")],
        bucket: Volume::from_litres(dec!(20)),
        buckets_per_part: dec!(2),
        purpose: Purpose::Structural,
        measure: PartMeasure::Bucket,
        mixing: None,
        density_evidence: DensityEvidence::Assumed,
        trial: None,
        density_dry: density(dec!(1620)),
        batch_yield_measured: None,
        straw: Some(Straw {
            material: material_id("straw"),
            per_placed: density(dec!(20)),
        }),
        water: Some(material_id("water")),
        water_share: percent(dec!(20)),
        waste: percent(dec!(5)),
        source: "invented".to_owned(),
    }
}

pub fn recipe() -> Recipe {
    Recipe::new(mix(), materials()).expect("a whole recipe")
}

pub fn shares(make_up: &[(&str, Decimal)]) -> Vec<GradeShare> {
    make_up
        .iter()
        .map(|(name, share)| GradeShare {
            grade: grade(name),
            share: percent(*share),
        })
        .collect()
}

pub fn crew() -> Crew {
    Crew {
        id: CrewId::parse("learners").expect("an id"),
        display_name: "Learners under a lead".to_owned(),
        hours_factor: dec!(1.5),
        make_up: shares(&[("lead", dec!(40)), ("helper", dec!(60))]),
        source: "invented".to_owned(),
    }
}

pub fn constant(
    id: &str,
    task: Task,
    method: Option<&str>,
    driver: Driver,
    likely: Decimal,
) -> LabourConstant {
    LabourConstant {
        id: LabourConstantId::parse(id).expect("an id"),
        display_name: id.to_owned(),
        task,
        method: method.map(|method| Method::parse(method).expect("a method")),
        driver,
        low: Hours::ZERO,
        likely: Hours::from_hours(likely),
        high: Hours::from_hours(dec!(100)),
        make_up: Vec::new(),
        source: "invented".to_owned(),
    }
}

pub fn constants() -> Vec<LabourConstant> {
    vec![
        constant("set-up", Task::SetUp, None, Driver::Job, dec!(4)),
        constant("dig", Task::Dig, None, Driver::M3Bank, dec!(2)),
        constant("screen", Task::Screen, None, Driver::M3Loose, dec!(0.5)),
        constant("haul", Task::Haul, None, Driver::M3Loose, dec!(0.8)),
        constant(
            "haul-further",
            Task::Haul,
            None,
            Driver::M3Loose25m,
            dec!(0.3),
        ),
        constant("mix-any", Task::Mix, None, Driver::M3Placed, dec!(9)),
        constant(
            "mix-tarp",
            Task::Mix,
            Some("tarp"),
            Driver::Batch,
            dec!(0.5),
        ),
        constant(
            "mix-digger",
            Task::Mix,
            Some("digger"),
            Driver::M3Placed,
            dec!(3),
        ),
        constant("place", Task::Place, None, Driver::M3Placed, dec!(3)),
        constant("pare", Task::Pare, None, Driver::M2Face, dec!(0.2)),
        LabourConstant {
            make_up: shares(&[("lead", dec!(100))]),
            ..constant(
                "set-opening",
                Task::SetOpening,
                None,
                Driver::Opening,
                dec!(2),
            )
        },
        constant("cover", Task::Cover, None, Driver::Lift, dec!(0.25)),
        constant("clean-up", Task::CleanUp, None, Driver::Job, dec!(3)),
    ]
}

/// A tax on everything.
pub fn tax(label: &str, of_price: Decimal) -> Tax {
    Tax {
        label: label.to_owned(),
        share: percent(of_price),
        parts: Vec::new(),
    }
}

pub fn region(id: &str, parent: Option<&str>, currency: &str) -> Region {
    Region {
        id: RegionId::parse(id).expect("an id"),
        display_name: id.to_owned(),
        parent: parent.map(|parent| RegionId::parse(parent).expect("an id")),
        currency: Currency::parse(currency).expect("a currency"),
        rounding: Rounding::HalfAwayFromZero,
        build_up: BuildUp {
            site_overhead: percent(dec!(6)),
            firm_overhead: percent(dec!(12)),
            contingency: percent(dec!(8)),
            profit: Profit::MarginOnPrice(percent(dec!(20))),
            taxes: Taxes {
                each: vec![tax("Sales tax", dec!(21))],
                basis: TaxBasis::Invoice,
            },
            ..BuildUp::default()
        },
    }
}

pub fn price(
    id: &str,
    material: &str,
    unit_price: Decimal,
    unit: Unit,
    from: &str,
    to: Option<&str>,
) -> Price {
    Price {
        id: PriceId::parse(id).expect("an id"),
        material: material_id(material),
        unit_price,
        unit,
        in_force: DateRange::new(date(from), to.map(date)).expect("a range"),
        supplier: String::new(),
        source: String::new(),
        terms: Terms::default(),
    }
}

pub fn labour_rate(id: &str, of: &str, wage: Decimal, burden: Decimal, from: &str) -> LabourRate {
    LabourRate {
        id: PriceId::parse(id).expect("an id"),
        grade: grade(of),
        wage,
        burden: percent(burden),
        burdens: Vec::new(),
        year: None,
        in_force: DateRange::new(date(from), None).expect("a range"),
        source: String::new(),
        note: String::new(),
    }
}

/// Sand and leads in the region itself, straw and helpers in its parent.
pub fn lists() -> Vec<PriceList> {
    vec![
        PriceList {
            region: RegionId::parse("coast").expect("an id"),
            version: 7,
            prices: vec![price(
                "sand-26",
                "sand",
                dec!(32.50),
                Unit::T,
                "2026-03-01",
                None,
            )],
            labour_rates: vec![labour_rate(
                "lead-26",
                "lead",
                dec!(20),
                dec!(25),
                "2026-01-01",
            )],
        },
        PriceList {
            region: RegionId::parse("county").expect("an id"),
            version: 3,
            prices: vec![
                price("sand-25", "sand", dec!(28.00), Unit::T, "2025-01-01", None),
                price(
                    "straw-25",
                    "straw",
                    dec!(4.80),
                    Unit::Bale,
                    "2025-08-01",
                    None,
                ),
            ],
            labour_rates: vec![labour_rate(
                "helper-26",
                "helper",
                dec!(14.50),
                dec!(22.5),
                "2026-01-01",
            )],
        },
    ]
}

pub fn inputs() -> Inputs {
    Inputs {
        on: date("2026-05-04"),
        site: Site {
            id: SiteId::parse("quarry-lane").expect("an id"),
            display_name: "Quarry Lane".to_owned(),
            region: RegionId::parse("coast").expect("an id"),
            haul_distance: metres(dec!(60)),
        },
        regions: vec![
            region("coast", Some("county"), "EUR"),
            region("county", None, "EUR"),
        ],
        lists: lists(),
        library: library(),
        crew: crew(),
        constants: constants(),
    }
}
