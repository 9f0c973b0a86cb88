//! Every refusal of an estimate: its rule, what it blames, and its sentence. All of a job's are told at once.

use hod_domain::estimate::{Inputs, estimate, named};
use hod_domain::fault::Fault;
use hod_domain::geometry::{Profile, WallDrawing};
use hod_domain::id::Method;
use hod_domain::job::Job;
use hod_domain::mix::Recipe;
use hod_domain::region::Profit;
use hod_domain::takeoff::measure;
use hod_domain::unit::Unit;
use hod_domain::work::{Driver, Task};
use hod_units::{Currency, Decimal, Length, Share};
use rust_decimal::dec;

use crate::resource_faults::recipe_refusal;
use crate::sample::*;

fn refusals(job: &Job, inputs: &Inputs) -> Vec<Fault> {
    estimate(job, inputs).expect_err("refused")
}

pub fn reasons(faults: &[Fault]) -> Vec<&'static str> {
    faults.iter().map(|fault| fault.reason).collect()
}

/// The only fault of the sample with a change made to its inputs, as `subject | field | rule | sentence`.
fn refusal(change: impl FnOnce(&mut Inputs)) -> [String; 4] {
    let mut inputs = inputs();
    change(&mut inputs);
    let faults = refusals(&small_job(), &inputs);
    assert_eq!(faults.len(), 1, "{faults:?}");
    parts(&faults[0])
}

pub fn parts(fault: &Fault) -> [String; 4] {
    [
        fault.subject.clone(),
        fault.field.clone(),
        fault.reason.to_owned(),
        fault.message.clone(),
    ]
}

#[test]
fn a_job_without_walls_is_refused() {
    let faults = refusals(&job(Vec::new()), &inputs());
    assert_eq!(
        faults.iter().map(parts).collect::<Vec<_>>(),
        [[
            "",
            "walls",
            "JOB_HAS_NO_WALLS",
            "the job has no walls; draw at least one"
        ]]
    );
}

#[test]
fn a_job_is_told_every_name_that_it_lacks() {
    let job = Job {
        site: None,
        mixing: None,
        crew: None,
        ..job_without_mix()
    };
    let expected = [
        (
            "site",
            "JOB_NAMES_NO_SITE",
            "the job names no site; give the site whose region's prices hold",
        ),
        (
            "crew",
            "JOB_NAMES_NO_CREW",
            "the job names no crew; give who works, such as practised",
        ),
        (
            "mix",
            "JOB_NAMES_NO_MIX",
            "the job names no mix; give the recipe, such as house-cob",
        ),
        (
            "mixing",
            "JOB_NAMES_NO_MIXING",
            "the job names no method of mixing; give one that has a labour constant, such as tarp",
        ),
    ];
    let faults = refusals(&job, &inputs());
    let found: Vec<_> = faults
        .iter()
        .map(|fault| (fault.field.as_str(), fault.reason, fault.message.as_str()))
        .collect();
    assert_eq!(found, expected);
    assert!(faults.iter().all(|fault| fault.subject.is_empty()));
    // Without site and crew nothing can be fetched, and whoever fetches is told of both.
    assert_eq!(named(&job).expect_err("refused"), faults[..2]);
}

#[test]
fn a_material_without_a_price_in_force_is_named() {
    let expected = [
        "materials/straw",
        "",
        "NO_PRICE_IN_FORCE",
        "no price for straw is in force on 2026-05-04 in regions/coast or its parents regions/county; put in a price \
         for one bale from that day or before",
    ];
    assert_eq!(
        refusal(|inputs| inputs.lists[1]
            .prices
            .retain(|price| price.material.as_str() != "straw")),
        expected
    );
    // One that ended, and one that has not begun, are not in force.
    let ended = price(
        "straw-a",
        "straw",
        dec!(4),
        Unit::Bale,
        "2025-01-01",
        Some("2026-05-04"),
    );
    let later = price("straw-b", "straw", dec!(5), Unit::Bale, "2026-05-05", None);
    assert_eq!(
        refusal(|inputs| inputs.lists[1].prices = vec![ended, later]),
        expected
    );
}

#[test]
fn a_price_for_another_unit_is_refused_and_not_converted() {
    assert_eq!(
        refusal(|inputs| inputs.lists[0].prices[0].unit = Unit::M3),
        [
            "regions/coast/prices/sand-26",
            "",
            "PRICE_UNIT_DIFFERS",
            "regions/coast/prices/sand-26, 2026-03-01 is for one m3 of sand, which is ordered by the t; put in a price \
             for one t",
        ]
    );
}

#[test]
fn a_grade_without_a_labour_rate_in_force_is_named_once() {
    assert_eq!(
        refusal(|inputs| inputs.lists[1].labour_rates.clear()),
        [
            "labourRates/helper",
            "",
            "NO_LABOUR_RATE_IN_FORCE",
            "no labour rate for helper is in force on 2026-05-04 in regions/coast or its parents regions/county; put in \
             a rate from that day or before",
        ]
    );
}

#[test]
fn a_task_without_a_labour_constant_is_named_with_the_method() {
    assert_eq!(
        refusal(|inputs| inputs
            .constants
            .retain(|constant| constant.task != Task::Place)),
        [
            "labourConstants of task place, method tarp",
            "",
            "NO_LABOUR_CONSTANT",
            "no labour constant says how long it takes to place, neither with tarp nor with any method; add one",
        ]
    );
}

#[test]
fn mixing_by_a_method_without_a_constant_of_its_own_is_refused_not_guessed() {
    // The sample has a general constant for mixing, which must not be taken.
    let job = Job {
        mixing: Some(Method::parse("trodden-bed").expect("a method")),
        ..small_job()
    };
    let faults = refusals(&job, &inputs());
    assert_eq!(
        faults.iter().map(parts).collect::<Vec<_>>(),
        [[
            "labourConstants of task mix, method trodden-bed",
            "",
            "NO_LABOUR_CONSTANT",
            "no labour constant says how long it takes to mix by trodden-bed; add one with the method trodden-bed, or \
             name a method that has one",
        ]]
    );
}

#[test]
fn every_task_of_the_job_needs_a_constant() {
    let mut inputs = inputs();
    inputs.constants.clear();
    let subjects: Vec<_> = refusals(&small_job(), &inputs)
        .into_iter()
        .map(|fault| fault.subject)
        .collect();
    let words = [
        "set up",
        "dig",
        "screen",
        "haul",
        "mix",
        "place",
        "pare",
        "set openings",
        "cover",
        "clean up",
    ];
    assert_eq!(
        subjects,
        words.map(|word| format!("labourConstants of task {word}, method tarp"))
    );
}

#[test]
fn two_constants_for_one_task_counted_alike_are_refused() {
    assert_eq!(
        refusal(|inputs| {
            inputs.constants.push(constant(
                "place-again",
                Task::Place,
                None,
                Driver::M3Placed,
                dec!(2),
            ));
        }),
        [
            "labourConstants/place-again",
            "",
            "LABOUR_CONSTANTS_COMPETE",
            "labour constants place and place-again both say how long it takes to place, counted alike; keep one of them",
        ]
    );
}

#[test]
fn a_constant_that_counts_soil_which_nobody_digs_is_refused() {
    let found = refusal(|inputs| {
        let mut bought = materials();
        bought[0].supply = hod_domain::material::Supply::Bought;
        inputs.library = library_of(Recipe::new(mix(), bought).expect("weighed"));
        inputs.lists[0].prices.push(price(
            "soil-26",
            "soil",
            dec!(18),
            Unit::M3,
            "2026-01-01",
            None,
        ));
        inputs
            .constants
            .retain(|constant| constant.task != Task::Place);
        inputs.constants.push(constant(
            "place",
            Task::Place,
            None,
            Driver::M3Loose,
            dec!(2),
        ));
    });
    assert_eq!(
        found,
        [
            "labourConstants/place",
            "",
            "NOTHING_TO_COUNT",
            "labour constant place counts the hours to place by the m3 loose, of which there is none in this work; give \
             one that counts by job, m3 placed, m2 of face, m2 of panel, lift, opening, batch, m3 mixed",
        ]
    );
}

#[test]
fn a_site_in_a_region_that_is_not_there_is_refused() {
    let faults = refusals(
        &small_job(),
        &Inputs {
            regions: Vec::new(),
            ..inputs()
        },
    );
    assert_eq!(faults[0].subject, "regions/coast");
    assert_eq!(faults[0].reason, "NO_REGION");
    assert_eq!(
        faults[0].message,
        "site quarry-lane lies in region coast, which is not there; add it, or name another"
    );
}

#[test]
fn a_chain_of_regions_has_one_currency() {
    assert_eq!(
        refusal(|inputs| inputs.regions[1].currency = Currency::parse("SEK").expect("in the list")),
        [
            "regions/county",
            "",
            "CURRENCIES_DIFFER",
            "region coast is paid in EUR and county, which answers for it, in SEK; a chain of regions has one currency",
        ]
    );
}

#[test]
fn a_margin_of_the_whole_price_is_refused() {
    for margin in [dec!(100), dec!(120)] {
        let found = refusal(|inputs| {
            inputs.regions[0].build_up.profit = Profit::MarginOnPrice(percent(margin));
        });
        let message = format!(
            "a margin of {margin} % of the price leaves nothing to pay the cost with; give less than 100 %, or a markup \
             on cost"
        );
        assert_eq!(
            found,
            [
                "regions/coast",
                "build_up.profit_percent",
                "MARGIN_NOT_BELOW_WHOLE",
                message.as_str()
            ]
        );
    }
}

#[test]
fn a_make_up_names_each_grade_once_and_totals_one() {
    assert_eq!(
        refusal(|inputs| inputs.crew.make_up[1].share = percent(dec!(50))),
        [
            "crews/learners",
            "make_up",
            "SHARES_MUST_TOTAL_ONE",
            "the shares of the make-up add up to 90 %; they must add up to 100 %",
        ]
    );
    assert_eq!(
        refusal(|inputs| inputs.crew.make_up = shares(&[("lead", dec!(40)), ("lead", dec!(60))])),
        [
            "crews/learners",
            "make_up[1].grade",
            "GRADE_TWICE",
            "lead stands twice; give each grade once, with all its share",
        ]
    );
    let mut empty = crew();
    empty.make_up.clear();
    assert_eq!(
        empty.faults()[0].message,
        "the shares of the make-up add up to 0 %; they must add up to 100 %"
    );
    // A constant's own make-up likewise, but it may have none.
    let mut own = constant("place", Task::Place, None, Driver::Job, dec!(1));
    assert_eq!(own.faults(), []);
    own.make_up = shares(&[("lead", dec!(99.9))]);
    assert_eq!(reasons(&own.faults()), ["SHARES_MUST_TOTAL_ONE"]);
}

#[test]
fn figures_beyond_a_decimal_are_told_and_do_not_panic() {
    let found = refusal(|inputs| inputs.lists[0].prices[0].unit_price = Decimal::MAX);
    assert_eq!(found[2], "FIGURE_TOO_LARGE");
    assert_eq!(
        found[3],
        "the line of sand comes to more than can be reckoned with; look for a slip in the sizes, parts, hours or prices"
    );
    assert_eq!(
        refusal(|inputs| inputs.crew.hours_factor = Decimal::MAX)[2],
        "FIGURE_TOO_LARGE"
    );
    assert_eq!(
        recipe_refusal(|mix, _| mix.buckets_per_part = Decimal::MAX)[2],
        "FIGURE_TOO_LARGE"
    );
    let mut job = small_job();
    job.waste = Some(Share::from_fraction(Decimal::MAX));
    assert_eq!(reasons(&refusals(&job, &inputs())), ["FIGURE_TOO_LARGE"]);
}

#[test]
fn all_faults_of_a_job_and_its_inputs_are_told_at_once() {
    let mut job = small_job();
    job.crew = None;
    job.walls[0].openings[0].width = metres(dec!(9));
    let mut inputs = inputs();
    inputs.lists[1].prices.clear();
    inputs.lists[1].labour_rates.clear();
    inputs.regions[1].currency = Currency::parse("SEK").expect("in the list");
    let faults = refusals(&job, &inputs);
    let found = reasons(&faults);
    for expected in [
        "JOB_NAMES_NO_CREW",
        "OPENING_OUTSIDE_WALL",
        "NO_PRICE_IN_FORCE",
        "CURRENCIES_DIFFER",
    ] {
        assert!(found.contains(&expected), "{expected} is not in {found:?}");
    }
    let opening = faults
        .iter()
        .find(|fault| fault.reason == "OPENING_OUTSIDE_WALL")
        .expect("there");
    assert!(
        opening.field.starts_with("walls[0].openings[0]."),
        "{}",
        opening.field
    );
}

#[test]
fn a_job_of_more_lifts_than_can_be_read_is_refused_before_it_is_measured() {
    // 30 m in lifts of 0.05 m: 600 to a wall, so 84 walls come to 50,400 and 83 to 49,800.
    let tall = || {
        let mut wall = small_job().walls.remove(0);
        wall.profile = Profile::Level {
            height: Length::from_metres(dec!(30)),
        };
        wall.lift_height = Some(Length::from_metres(dec!(0.05)));
        wall
    };
    let walls = |count: usize| {
        let named = |at| WallDrawing {
            id: format!("w{at}"),
            ..tall()
        };
        measure(&job((0..count).map(named).collect()), &library())
    };
    assert!(walls(83).is_ok());
    assert_eq!(
        walls(84)
            .expect_err("refused")
            .iter()
            .map(parts)
            .collect::<Vec<_>>(),
        [[
            "",
            "walls",
            "JOB_HAS_TOO_MANY_LIFTS",
            "the job comes to 50400 lifts, and at most 50000 are measured at once; raise lift_height_m, or take fewer \
             walls to a job",
        ]]
    );
}
