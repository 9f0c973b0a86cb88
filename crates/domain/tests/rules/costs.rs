//! What a job costs besides walls and work: where each line stands, how often it comes back, and what is refused.

use hod_domain::estimate::{Estimate, Line, LineKind, estimate};
use hod_domain::fault::Fault;
use hod_domain::job::{
    BuildUpChange, Cost, CostDriver, CostKind, Job, ScopeHolder, SiteTime, Source,
};
use hod_domain::region::{Allowance, AllowanceAmount, PricePart, Profit};
use hod_domain::takeoff::measure;
use hod_domain::unit::Unit;
use hod_units::{Decimal, Share};
use rust_decimal::dec;

use crate::commerce_sample::{cost, job_with, part, scope};
use crate::faults::{parts, reasons};
use crate::price_sample::{shown, terms};
use crate::sample::*;

fn estimated(job: &Job) -> Estimate {
    estimate(job, &inputs()).expect("nothing is missing")
}

fn lines_of(estimate: &Estimate, kind: LineKind) -> Vec<&Line> {
    let of_kind = estimate.lines.iter().filter(|line| line.kind == kind);
    of_kind.collect()
}

#[test]
fn costs_stand_by_kind_between_labour_and_overhead_and_income_after_profit() {
    let kinds = [
        (CostKind::Other, "sign board"),
        (CostKind::Keep, "board of volunteers"),
        (CostKind::WorkshopIncome, "workshop fees"),
        (CostKind::ProvisionalSum, "bad ground"),
        (CostKind::Lodging, "beds"),
        (CostKind::Travel, "journeys"),
        (CostKind::Fee, "permit"),
        (CostKind::Subcontract, "roofer"),
        (CostKind::WeatherCover, "tarps"),
        (CostKind::Hire, "mixer"),
    ];
    let costs = kinds
        .iter()
        .zip(1_u32..)
        .map(|((kind, item), hundreds)| cost(item, *kind, Decimal::from(hundreds * 100)));
    let estimate = estimated(&job_with(costs.collect()));
    assert!(estimate.lines.is_sorted_by_key(|line| line.kind.place()));
    let besides = estimate
        .lines
        .iter()
        .filter(|line| line.unit == Unit::Sum)
        .map(shown);
    assert_eq!(
        besides.collect::<Vec<_>>(),
        [
            "Equipment | mixer | 1 sum | 1000.00",
            "Equipment | tarps | 1 sum | 900.00",
            "Subcontract | roofer | 1 sum | 800.00",
            "Fee | permit | 1 sum | 700.00",
            "Travel | journeys | 1 sum | 600.00",
            "Travel | beds | 1 sum | 500.00",
            "ProvisionalSum | bad ground | 1 sum | 400.00",
            "Other | board of volunteers | 1 sum | 200.00",
            "Other | sign board | 1 sum | 100.00",
            "Income | workshop fees | 1 sum | -300.00",
        ]
    );
    let totals = estimate.totals;
    let by_kind = [
        totals.equipment,
        totals.subcontract,
        totals.fee,
        totals.travel,
        totals.provisional_sum,
        totals.other,
        totals.income,
    ];
    assert_eq!(
        by_kind.map(|money| money.fixed()),
        [
            "1900.00", "800.00", "700.00", "1100.00", "400.00", "300.00", "-300.00"
        ]
    );
    // Direct cost is 2323.65 (see the small estimate) and 5200.00; x 6 %.
    let overhead = &estimate.lines[lines_of(&estimate, LineKind::Material).len()
        + lines_of(&estimate, LineKind::Labour).len()
        + 9];
    assert_eq!(
        shown(overhead),
        "Overhead | site overhead | 6 percent | 451.42"
    );
}

#[test]
fn a_cost_comes_back_as_often_as_its_driver_says() {
    let table = [
        (
            CostDriver::Once,
            dec!(2),
            "2 | 25.00",
            "Start 2 once (the job)",
            None,
        ),
        (
            CostDriver::PerWeek,
            dec!(2),
            "12 | 150.00",
            "Start 2 each week (the job)",
            Some("Times 6 weeks at the site (the job)"),
        ),
        (
            CostDriver::PerDay,
            dec!(0.333333),
            // 0.333333 x 28.5 = 9.4999905, to 9.499991 (up); x 12.5 = 118.7498875
            "9.499991 | 118.75",
            "Start 0.333333 each day (the job)",
            Some("Times 28.5 days at the site (the job)"),
        ),
        (
            CostDriver::PerTrip,
            dec!(84),
            "756 | 9450.00",
            "Start 84 each trip (the job)",
            Some("Times 9 trips (the job)"),
        ),
        (
            CostDriver::PerVisit,
            dec!(1),
            "2 | 25.00",
            "Start 1 each visit (the job)",
            Some("Times 2 visits (the job)"),
        ),
    ];
    for (driver, quantity, expected, start, times) in table {
        let job = job_with(vec![Cost {
            quantity,
            driver,
            unit: Unit::Km,
            ..cost("journeys", CostKind::Travel, dec!(12.5))
        }]);
        let estimate = estimated(&job);
        let [line] = lines_of(&estimate, LineKind::Travel)[..] else {
            panic!("one line: {driver:?}");
        };
        let quantity = hod_units::canonical(line.quantity);
        assert_eq!(format!("{quantity} | {}", line.amount.fixed()), expected);
        let expected: Vec<&str> = std::iter::once(start).chain(times).collect();
        assert_eq!(terms(line), expected);
        let is_rounded = !line.basis.rounding.is_empty();
        assert_eq!(is_rounded, driver == CostDriver::PerDay);
    }
}

#[test]
fn a_cost_says_where_its_price_was_read_and_what_part_it_is_for() {
    let mut job = job_with(vec![
        Cost {
            source: "quotation of 3 May".to_owned(),
            part: Some(part("roof")),
            ..cost("roofer", CostKind::Subcontract, dec!(4200))
        },
        cost("plasterer", CostKind::Subcontract, dec!(900)),
    ]);
    job.scope = vec![scope("roof", ScopeHolder::Ours)];
    let estimate = estimated(&job);
    let [roofer, plasterer] = lines_of(&estimate, LineKind::Subcontract)[..] else {
        panic!("two lines");
    };
    assert_eq!(roofer.price_source, "quotation of 3 May");
    assert_eq!(roofer.part, Some(part("roof")));
    assert_eq!(plasterer.price_source, "the job");
    assert_eq!(plasterer.part, None);
    assert_eq!(estimate.scope, job.scope);
}

#[test]
fn a_unit_price_finer_than_a_cent_is_rounded_on_its_line_only() {
    let fine = Cost {
        quantity: dec!(3),
        ..cost("bolts", CostKind::Other, dec!(0.335))
    };
    let estimate = estimated(&job_with(vec![fine]));
    let line = lines_of(&estimate, LineKind::Other)[0];
    // 3 x 0.335 = 1.005
    assert_eq!(line.unit_price, Some(dec!(0.335)));
    assert_eq!(line.amount.fixed(), "1.01");
}

#[test]
fn a_driver_that_the_site_time_does_not_count_is_lacking_and_a_takeoff_is_not_refused() {
    let drivers = [
        ("scaffold", CostDriver::PerWeek),
        ("tarps", CostDriver::PerWeek),
        ("board", CostDriver::PerDay),
        ("journeys", CostDriver::PerTrip),
        ("inspections", CostDriver::PerVisit),
    ];
    let costs = drivers.map(|(item, driver)| Cost {
        driver,
        ..cost(item, CostKind::Other, dec!(10))
    });
    let job = Job {
        site_time: SiteTime::default(),
        ..job_with(costs.to_vec())
    };
    let faults = estimate(&job, &inputs()).expect_err("refused");
    let lacking = |field, message| ["", field, "SITE_TIME_MISSING", message].map(str::to_owned);
    assert_eq!(
        faults.iter().map(parts).collect::<Vec<_>>(),
        [
            lacking(
                "site_time.weeks",
                "scaffold, tarps comes back with each week, and the site time says of no weeks; give site_time.weeks"
            ),
            lacking(
                "site_time.days",
                "board comes back with each day, and the site time says of no days; give site_time.days"
            ),
            lacking(
                "site_time.trips",
                "journeys comes back with each trip, and the site time says of no trips; give site_time.trips"
            ),
            lacking(
                "site_time.visits",
                "inspections comes back with each visit, and the site time says of no visits; give site_time.visits"
            ),
        ]
    );
    let takeoff = measure(&job, &library()).expect("measured all the same");
    assert_eq!(takeoff.lacks, faults);
}

fn refused(job: &Job) -> Vec<Fault> {
    let faults = estimate(job, &inputs()).expect_err("refused");
    // A takeoff is refused for the same, and so is the job before it is measured.
    assert_eq!(measure(job, &library()).expect_err("refused"), faults);
    assert_eq!(job.commerce_faults(), faults);
    faults
}

#[test]
fn a_part_stands_once_in_the_scope() {
    let mut job = job_with(Vec::new());
    job.scope = vec![
        scope("roof", ScopeHolder::ByOthers),
        scope("plate", ScopeHolder::ByOthers),
        scope("roof", ScopeHolder::Excluded),
    ];
    assert_eq!(
        refused(&job).iter().map(parts).collect::<Vec<_>>(),
        [[
            "",
            "scope[2].part",
            "SCOPE_PART_TWICE",
            "roof stands twice in the scope; say once who does it"
        ]]
    );
}

#[test]
fn a_cost_is_for_a_part_that_is_ours() {
    let of = |id| Cost {
        part: Some(part(id)),
        ..cost("carpenter", CostKind::Subcontract, dec!(10))
    };
    let mut job = job_with(vec![of("plate"), of("roof"), of("engineer"), of("porch")]);
    job.scope = vec![
        scope("plate", ScopeHolder::Ours),
        scope("roof", ScopeHolder::ByOthers),
        scope("engineer", ScopeHolder::Excluded),
    ];
    assert_eq!(
        refused(&job).iter().map(parts).collect::<Vec<_>>(),
        [
            [
                "",
                "costs[1].part",
                "PART_NOT_OURS",
                "carpenter is for roof, which by the scope is done by others; make the part ours, or take the cost out"
            ],
            [
                "",
                "costs[2].part",
                "PART_NOT_OURS",
                "carpenter is for engineer, which by the scope is not part of the works; make the part ours, or take the cost out"
            ],
            [
                "",
                "costs[3].part",
                "PART_NOT_IN_SCOPE",
                "carpenter is for porch, which no line of the scope names; add porch to the scope as ours, or leave the part out"
            ],
        ]
    );
}

fn source(material: &str) -> Source {
    Source {
        material: material_id(material),
        supplier: None,
        distance_km: None,
    }
}

#[test]
fn a_source_is_of_a_material_that_is_bought_and_said_once() {
    let mut job = job_with(Vec::new());
    job.sources = vec![source("sand"), source("straw"), source("sand")];
    assert_eq!(
        refused(&job).iter().map(parts).collect::<Vec<_>>(),
        [[
            "",
            "sources[2].material",
            "SOURCE_TWICE",
            "it is said twice where sand is bought; say it once"
        ]]
    );
    // Lime is not in the job, and soil is dug there. A takeoff is not refused for it.
    job.sources = vec![source("sand"), source("lime"), source("soil")];
    let faults = estimate(&job, &inputs()).expect_err("refused");
    let idle = |at: u32, material: &str| {
        [
            String::new(),
            format!("sources[{at}].material"),
            "SOURCE_NOT_ORDERED".to_owned(),
            format!(
                "it is said where {material} is bought, and the job buys none; name a material that it buys, or take the \
                 source out"
            ),
        ]
    };
    assert_eq!(
        faults.iter().map(parts).collect::<Vec<_>>(),
        [idle(1, "lime"), idle(2, "soil")]
    );
    assert_eq!(measure(&job, &library()).expect("measured").lacks, faults);
    // What is ordered is not known before there is a mix.
    let unmixed = Job {
        builds: job_without_mix().builds,
        ..job
    };
    let lacks = measure(&unmixed, &library()).expect("measured").lacks;
    assert!(
        !reasons(&lacks).contains(&"SOURCE_NOT_ORDERED"),
        "{lacks:?}"
    );
}

#[test]
fn a_job_s_own_build_up_keeps_the_rules_of_a_region_s() {
    let mut job = job_with(Vec::new());
    job.build_up = BuildUpChange {
        profit: Some(Profit::MarginOnPrice(Share::WHOLE)),
        allowances: Some(vec![Allowance {
            label: "tools".to_owned(),
            amount: AllowanceAmount::Of(percent(dec!(2)), vec![PricePart::OnCost]),
        }]),
        ..BuildUpChange::default()
    };
    let faults = refused(&job);
    assert_eq!(
        faults.iter().map(parts).collect::<Vec<_>>(),
        [
            [
                "",
                "build_up.profit_percent",
                "MARGIN_NOT_BELOW_WHOLE",
                "a margin of 100 % of the price leaves nothing to pay the cost with; give less than 100 %, or a markup on cost"
            ],
            [
                "",
                "build_up.allowances[0].parts",
                "ALLOWANCE_ON_ON_COST",
                "the allowance tools is a share of overheads, contingency and profit, which come after it; name parts of direct \
                 cost, or none for all of it"
            ],
        ]
    );
    let mut region = region("coast", None, "EUR");
    region.build_up.allowances = job.build_up.allowances.clone().expect("given");
    assert_eq!(region.faults(), faults[1..]);
}

#[test]
fn faults_of_commerce_are_told_beside_those_of_the_walls() {
    let mut job = job_with(Vec::new());
    job.walls[0].thickness = metres(dec!(0));
    job.scope = vec![
        scope("roof", ScopeHolder::Ours),
        scope("roof", ScopeHolder::Ours),
    ];
    let faults = estimate(&job, &inputs()).expect_err("refused");
    let told = reasons(&faults);
    assert!(
        told.contains(&"SCOPE_PART_TWICE") && 2 <= told.len(),
        "{told:?}"
    );
}

#[test]
fn a_part_that_is_ours_and_that_no_cost_names_is_cautioned() {
    let mut job = job_with(vec![Cost {
        part: Some(part("plate")),
        ..cost("ring beam", CostKind::Subcontract, dec!(900))
    }]);
    job.scope = vec![
        scope("plate", ScopeHolder::Ours),
        scope("roof", ScopeHolder::Ours),
        scope("porch", ScopeHolder::Ours),
        scope("engineer", ScopeHolder::ByOthers),
        scope("drainage", ScopeHolder::Excluded),
    ];
    let takeoff = measure(&job, &library()).expect("measured");
    let caution = takeoff
        .cautions
        .iter()
        .find(|caution| caution.reason == "SCOPE_NOT_PRICED")
        .expect("told");
    assert_eq!(
        caution.description,
        "ours by the scope, and no cost names it: roof, porch; give what it costs with its part, or say that it is by others or \
         excluded"
    );
    job.scope.truncate(1);
    let takeoff = measure(&job, &library()).expect("measured");
    let is_told = |reason: &str| {
        takeoff
            .cautions
            .iter()
            .any(|caution| caution.reason == reason)
    };
    assert!(!is_told("SCOPE_NOT_PRICED"));
}

#[test]
fn volunteers_and_paying_learners_are_cautioned() {
    for (kind, expected) in [
        (CostKind::Keep, true),
        (CostKind::WorkshopIncome, true),
        (CostKind::Lodging, false),
    ] {
        let job = job_with(vec![cost("board", kind, dec!(10))]);
        let takeoff = measure(&job, &library()).expect("measured");
        let told = takeoff
            .cautions
            .iter()
            .filter(|caution| caution.reason == "VOLUNTEER_WORK");
        assert_eq!(told.count(), usize::from(expected), "{kind:?}");
    }
}
