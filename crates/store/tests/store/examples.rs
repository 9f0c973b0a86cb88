//! A made-up firm's things, each valid, for tests to change one value of.

use hod_domain::id::{
    CrewId, EstimateId, Grade, JobId, LabourConstantId, MaterialId, Method, MixId, MixTrialId,
    PriceId, QuoteId, RegionId, RulePackId, SiteId, SoilTestId,
};
use hod_domain::material::{Material, Supply};
use hod_domain::mix::{DensityEvidence, Ingredient, Mix, PartMeasure, Purpose, Straw};
use hod_domain::price::{LabourRate, Price, Terms};
use hod_domain::quote::QuoteState;
use hod_domain::region::{BuildUp, Discount, Profit, Region, Tax, TaxBasis, Taxes};
use hod_domain::rules::{Rule, RuleKind, RulePack, RuleStanding};
use hod_domain::site::Site;
use hod_domain::soil::{SoilEvidence, SoilObservation, SoilTest};
use hod_domain::trial::{BrokenSpecimen, CrushedSpecimen, MixTrial, ShrinkageBar, TrialOutcome};
use hod_domain::unit::Unit;
use hod_domain::work::{Crew, Driver, GradeShare, LabourConstant, Task};
use hod_store::estimate::NewEstimate;
use hod_store::job::StoredJob;
use hod_store::quote::{NewQuote, Snapshots, StoredQuote};
use hod_store::variation::StoredVariation;
use hod_store::{FirmId, Session, Store};
use hod_testkit::database::TestDatabase;
use hod_units::{
    Currency, Date, DateRange, Decimal, Density, Hours, Length, Rounding, Share, Volume,
    parse_date, parse_decimal,
};
use sqlx::{ConnectOptions, Connection};
use uuid::Uuid;

pub fn number(text: &str) -> Decimal {
    parse_decimal(text).unwrap()
}

pub fn percent(text: &str) -> Share {
    Share::from_percent(number(text))
}

pub fn day(text: &str) -> Date {
    parse_date(text).unwrap()
}

pub fn region_id(text: &str) -> RegionId {
    RegionId::parse(text).unwrap()
}

pub fn material_id(text: &str) -> MaterialId {
    MaterialId::parse(text).unwrap()
}

pub fn price_id(text: &str) -> PriceId {
    PriceId::parse(text).unwrap()
}

pub fn site_id(text: &str) -> SiteId {
    SiteId::parse(text).unwrap()
}

pub fn mix_id(text: &str) -> MixId {
    MixId::parse(text).unwrap()
}

pub fn crew_id(text: &str) -> CrewId {
    CrewId::parse(text).unwrap()
}

pub fn job_id(text: &str) -> JobId {
    JobId::parse(text).unwrap()
}

pub fn grade(text: &str) -> Grade {
    Grade::parse(text).unwrap()
}

/// A fresh database with one firm, and the store on it.
pub struct Ground {
    // Dropped in this order: its connections before the database.
    pub store: Store,
    pub database: TestDatabase,
    pub firm: FirmId,
}

impl Ground {
    pub async fn new() -> Ground {
        let database = TestDatabase::new().await;
        let firm = add_firm(&database, "Barrow Down Walls").await;
        let store = Store::connect(database.app_options(), 8).await.unwrap();
        Ground {
            database,
            store,
            firm,
        }
    }

    pub async fn session(&self) -> Session {
        self.store.begin(self.firm).await.unwrap()
    }

    /// A session in which the firm has a region, materials, a site, a mix, a crew and a labour constant.
    pub async fn furnished(&self) -> Session {
        let mut session = self.session().await;
        furnish(&mut session).await;
        session
    }
}

/// Another firm in the same database.
pub async fn add_firm(database: &TestDatabase, display_name: &str) -> FirmId {
    let firm = FirmId::new(Uuid::new_v4());
    let mut owner = database.owner_options().connect().await.unwrap();
    let mut transaction = owner.begin().await.unwrap();
    sqlx::query("select set_config('hod.firm', $1, true)")
        .bind(firm.to_string())
        .execute(&mut *transaction)
        .await
        .unwrap();
    sqlx::query("insert into firm (firm_id, display_name) values ($1, $2)")
        .bind(firm.uuid())
        .bind(display_name)
        .execute(&mut *transaction)
        .await
        .unwrap();
    transaction.commit().await.unwrap();
    firm
}

pub async fn furnish(session: &mut Session) {
    hod_store::region::insert(session, &region("coast"))
        .await
        .unwrap();
    for each in [
        material("clay-soil"),
        material("sharp-sand"),
        bale("straw"),
        material("water"),
    ] {
        hod_store::material::insert(session, &each).await.unwrap();
    }
    hod_store::site::insert(session, &site("long-acre"))
        .await
        .unwrap();
    hod_store::mix::insert(session, &mix("house-cob"))
        .await
        .unwrap();
    hod_store::crew::insert(session, &crew("practised"))
        .await
        .unwrap();
    hod_store::labour_constant::insert(session, &labour_constant("place-cob"))
        .await
        .unwrap();
}

pub fn region(id: &str) -> Region {
    Region {
        id: region_id(id),
        display_name: "The coast".to_owned(),
        parent: None,
        currency: Currency::parse("EUR").unwrap(),
        rounding: Rounding::HalfAwayFromZero,
        build_up: BuildUp {
            site_overhead: percent("8"),
            firm_overhead: percent("12.5"),
            contingency: percent("10"),
            profit: Profit::MarkupOnCost(percent("15")),
            taxes: Taxes {
                each: vec![Tax {
                    label: "VAT".to_owned(),
                    share: percent("19"),
                    parts: Vec::new(),
                }],
                basis: TaxBasis::Invoice,
            },
            allowances: Vec::new(),
            discount: Discount::None,
            minimum_charge: None,
            round_price_to: None,
            daywork: percent("0"),
        },
    }
}

pub fn material(id: &str) -> Material {
    Material {
        id: material_id(id),
        display_name: format!("Our {id}"),
        supply: Supply::Bought,
        purchase_unit: Unit::M3,
        density_loose: Some(Density::from_kg_per_cubic_metre(number("1450"))),
        bulking: percent("20"),
        swell: percent("0"),
        moisture: percent("4.5"),
        mass_per_unit: None,
        size: None,
        order_step: None,
        clay: percent("0"),
        group: None,
        source: "made up for a test".to_owned(),
    }
}

pub fn bale(id: &str) -> Material {
    Material {
        purchase_unit: Unit::Bale,
        density_loose: None,
        mass_per_unit: Some(hod_units::Mass::from_kg(number("12"))),
        ..material(id)
    }
}

pub fn site(id: &str) -> Site {
    Site {
        id: site_id(id),
        display_name: "Long Acre".to_owned(),
        region: region_id("coast"),
        haul_distance: Length::from_metres(number("40")),
    }
}

pub fn soil_test(id: &str) -> SoilTest {
    SoilTest {
        id: SoilTestId::parse(id).unwrap(),
        evidence: SoilEvidence::Jar {
            sand: Length::from_mm(number("60")),
            silt: Length::from_mm(number("20")),
            clay: Length::from_mm(number("40.5")),
        },
        sampled: day("2026-03-02"),
        depth: Some(Length::from_metres(number("0.9"))),
        protocol: None,
        ribbon: None,
        drop_note: String::new(),
        observations: vec![SoilObservation::SwellingClay],
        note: "smelt of nothing".to_owned(),
    }
}

pub fn rule_pack(id: &str) -> RulePack {
    let rule = |kind, limit, standing| Rule {
        kind,
        limit: number(limit),
        section: "made up for a test".to_owned(),
        standing,
    };
    RulePack {
        id: RulePackId::parse(id).unwrap(),
        display_name: "Valley rules".to_owned(),
        jurisdiction: "the valley".to_owned(),
        rules: vec![
            rule(RuleKind::RuptureKpaMin, "344.74", RuleStanding::FromMemory),
            rule(RuleKind::ShrinkagePercentMax, "4.17", RuleStanding::Read),
        ],
    }
}

/// A trial of the site `long-acre`, held against no rules and resting on no soil test.
pub fn mix_trial(id: &str) -> MixTrial {
    let mm = |text| Length::from_mm(number(text));
    MixTrial {
        site: site_id("long-acre"),
        id: MixTrialId::parse(id).unwrap(),
        made: day("2026-04-20"),
        soil_test: None,
        ingredients: vec![Ingredient {
            material: material_id("clay-soil"),
            parts: number("1"),
        }],
        straw_per_placed: Density::from_kg_per_cubic_metre(number("20")),
        shrinkage: Some(ShrinkageBar {
            wet: mm("609.6"),
            dry: mm("584.2"),
        }),
        crushed: vec![CrushedSpecimen {
            load_kn: number("5.5"),
            width: mm("101.6"),
            depth: mm("101.6"),
        }],
        broken: vec![BrokenSpecimen {
            load_kn: number("2.37"),
            span: mm("254"),
            width: mm("254"),
            height: mm("101.6"),
        }],
        density_dry: Some(Density::from_kg_per_cubic_metre(number("1650"))),
        rule_pack: None,
        outcome: TrialOutcome::Taken,
        note: String::new(),
    }
}

pub fn mix(id: &str) -> Mix {
    Mix {
        id: mix_id(id),
        display_name: "House cob".to_owned(),
        purpose: Purpose::Structural,
        ingredients: vec![
            Ingredient {
                material: material_id("sharp-sand"),
                parts: number("1"),
            },
            Ingredient {
                material: material_id("clay-soil"),
                parts: number("1.25"),
            },
        ],
        measure: PartMeasure::Bucket,
        bucket: Volume::from_litres(number("12")),
        buckets_per_part: number("2"),
        mixing: None,
        density_dry: Density::from_kg_per_cubic_metre(number("1700")),
        density_evidence: DensityEvidence::Assumed,
        batch_yield_measured: None,
        straw: Some(Straw {
            material: material_id("straw"),
            per_placed: Density::from_kg_per_cubic_metre(number("25")),
        }),
        water: Some(material_id("water")),
        water_share: percent("18"),
        waste: percent("5"),
        trial: None,
        source: "made up for a test".to_owned(),
    }
}

pub fn crew(id: &str) -> Crew {
    Crew {
        id: crew_id(id),
        display_name: "Practised pair".to_owned(),
        hours_factor: number("1"),
        make_up: vec![share("practised", "60"), share("helper", "40")],
        source: "made up for a test".to_owned(),
    }
}

pub fn share(of: &str, much: &str) -> GradeShare {
    GradeShare {
        grade: grade(of),
        share: percent(much),
    }
}

pub fn labour_constant(id: &str) -> LabourConstant {
    LabourConstant {
        id: LabourConstantId::parse(id).unwrap(),
        display_name: "Place cob".to_owned(),
        task: Task::Place,
        method: Some(Method::parse("tarp").unwrap()),
        driver: Driver::M3Placed,
        low: Hours::from_hours(number("3")),
        likely: Hours::from_hours(number("4.5")),
        high: Hours::from_hours(number("8")),
        make_up: vec![share("practised", "100")],
        source: "made up for a test".to_owned(),
    }
}

/// From a day on, without terms.
pub fn new_price(id: &str, start: &str) -> Price {
    Price {
        id: price_id(id),
        material: material_id("sharp-sand"),
        unit_price: number("38.5"),
        unit: Unit::M3,
        in_force: DateRange::new(day(start), None).unwrap(),
        supplier: "Pit at the ford".to_owned(),
        source: "their list".to_owned(),
        terms: Terms::default(),
    }
}

pub fn new_rate(id: &str, start: &str) -> LabourRate {
    LabourRate {
        id: price_id(id),
        grade: grade("practised"),
        wage: number("24.25"),
        burden: percent("22.5"),
        burdens: Vec::new(),
        year: None,
        in_force: DateRange::new(day(start), None).unwrap(),
        source: "the firm's pay sheet".to_owned(),
        note: String::new(),
    }
}

pub fn job(id: &str) -> StoredJob {
    StoredJob {
        id: job_id(id),
        display_name: "Round hut".to_owned(),
        site: Some(site_id("long-acre")),
        body: vec![10, 0, 255, 7],
    }
}

pub fn new_estimate(id: &str) -> NewEstimate {
    NewEstimate {
        job: job_id("round-hut"),
        id: EstimateId::parse(id).unwrap(),
        price_date: day("2026-05-01"),
        region: region_id("coast"),
        currency: Currency::parse("EUR").unwrap(),
        total: number("18250.45"),
        batch_count: 412,
        body: vec![1, 2, 3, 0],
        engine_version: "0.1.0".to_owned(),
    }
}

/// Of the job `round-hut`, issued on 1 June and valid for 30 days.
pub fn new_quote(id: QuoteId, estimate: &str) -> NewQuote {
    let offer = format!("the offer of {id}\0").into_bytes();
    NewQuote {
        id,
        job: job_id("round-hut"),
        estimate: EstimateId::parse(estimate).unwrap(),
        client: "The household at Ford End".to_owned(),
        issue_date: day("2026-06-01"),
        valid_until: day("2026-07-01"),
        currency: Currency::parse("EUR").unwrap(),
        total: number("18250.45"),
        lift_count: 24,
        revised: None,
        snapshots: Snapshots {
            offer,
            estimate: vec![1, 2, 3, 0],
            comparison: None,
        },
    }
}

/// Issues a quote from an estimate of the job `round-hut`.
pub async fn issue(session: &mut Session, estimate: &str) -> StoredQuote {
    let id = hod_store::quote::next_number(session).await.unwrap();
    let new = new_quote(id, estimate);
    let kept = hod_store::quote::insert(session, &new).await.unwrap();
    kept.value
}

/// Has it accepted in time.
pub async fn accept(session: &mut Session, id: &QuoteId) -> StoredQuote {
    let date = day("2026-06-10");
    let accepted = QuoteState::Accepted;
    let kept = hod_store::quote::add_event(session, id, accepted, date, "by letter", None).await;
    kept.unwrap().value
}

/// Has a variation agreed under it.
pub async fn agree(session: &mut Session, quote: &QuoteId) -> StoredVariation {
    let id = hod_store::variation::next_number(session, quote)
        .await
        .unwrap();
    let new = StoredVariation {
        quote: quote.clone(),
        body: format!("variation {id}\0").into_bytes(),
        id,
        agreed_date: day("2026-06-12"),
        days: 2,
        total: number("44.71"),
    };
    let kept = hod_store::variation::insert(session, &new).await.unwrap();
    kept.value
}
