//! The build-up that holds for a job: the region's, and what the job says in its place, each figure with who said it.

use hod_domain::estimate::{Estimate, LineKind, ProvisionalCause, estimate};
use hod_domain::job::{BuildUpChange, Job};
use hod_domain::price::{Burden, BurdenAmount};
use hod_domain::region::{Allowance, AllowanceAmount, BuildUp, Discount, Profit, TaxBasis, Taxes};
use hod_units::{Decimal, Rounding, Share};
use rust_decimal::dec;

use crate::price_sample::{tax_on, terms};
use crate::sample::*;

fn estimated(job: &Job) -> Estimate {
    estimate(job, &inputs()).expect("nothing is missing")
}

fn small_with(build_up: BuildUpChange) -> Job {
    Job {
        build_up,
        ..small_job()
    }
}

/// All that a job may say otherwise.
fn whole_change() -> BuildUpChange {
    BuildUpChange {
        site_overhead: Some(percent(dec!(1))),
        firm_overhead: Some(percent(dec!(2))),
        contingency: Some(percent(dec!(3))),
        profit: Some(Profit::MarkupOnCost(percent(dec!(4)))),
        taxes: Some(vec![tax_on("job's tax", dec!(5), &[])]),
        tax_basis: Some(TaxBasis::Line),
        allowances: Some(vec![Allowance {
            label: "tools".to_owned(),
            amount: AllowanceAmount::Fixed(dec!(6)),
        }]),
        discount: Some(Discount::Fixed(dec!(7))),
        minimum_charge: Some(dec!(8)),
        round_price_to: Some(dec!(9)),
        daywork: Some(percent(dec!(10))),
    }
}

#[test]
fn what_a_job_says_replaces_the_region_field_by_field() {
    let region = region("coast", None, "EUR").build_up;
    assert_eq!(BuildUpChange::default().applied_to(&region), region);
    let one = BuildUpChange {
        contingency: Some(Share::ZERO),
        ..BuildUpChange::default()
    };
    assert_eq!(
        one.applied_to(&region),
        BuildUp {
            contingency: Share::ZERO,
            ..region.clone()
        }
    );
    assert_eq!(
        whole_change().applied_to(&region),
        BuildUp {
            site_overhead: percent(dec!(1)),
            firm_overhead: percent(dec!(2)),
            contingency: percent(dec!(3)),
            profit: Profit::MarkupOnCost(percent(dec!(4))),
            taxes: Taxes {
                each: vec![tax_on("job's tax", dec!(5), &[])],
                basis: TaxBasis::Line,
            },
            allowances: vec![Allowance {
                label: "tools".to_owned(),
                amount: AllowanceAmount::Fixed(dec!(6)),
            }],
            discount: Discount::Fixed(dec!(7)),
            minimum_charge: Some(dec!(8)),
            round_price_to: Some(dec!(9)),
            daywork: percent(dec!(10)),
        }
    );
}

#[test]
fn an_estimate_keeps_the_build_up_that_held() {
    let plain = estimated(&small_job());
    assert_eq!(plain.build_up, region("coast", None, "EUR").build_up);
    assert_eq!(plain.rounding, Rounding::HalfAwayFromZero);
    let changed = estimated(&Job {
        rounding: Some(Rounding::HalfToEven),
        ..small_with(whole_change())
    });
    assert_eq!(changed.build_up, whole_change().applied_to(&plain.build_up));
    assert_eq!(changed.rounding, Rounding::HalfToEven);
}

#[test]
fn a_figure_of_the_job_says_so_in_its_basis() {
    let of = |job: &Job, kind| {
        let estimate = estimated(job);
        let mut lines = estimate.lines.iter();
        terms(lines.find(|line| line.kind == kind).expect("there"))
    };
    let changed = small_with(BuildUpChange {
        contingency: Some(percent(dec!(3))),
        ..BuildUpChange::default()
    });
    assert_eq!(
        of(&small_job(), LineKind::Contingency)[1],
        "PercentOf 8 share (regions/coast)"
    );
    assert_eq!(
        of(&changed, LineKind::Contingency)[1],
        "PercentOf 3 share (the job)"
    );
    // What it does not say is the region's still.
    assert_eq!(
        of(&changed, LineKind::Overhead)[1],
        "PercentOf 6 share (regions/coast)"
    );
    let by_the_job = [
        LineKind::Other,
        LineKind::Overhead,
        LineKind::Contingency,
        LineKind::Profit,
        LineKind::Discount,
        LineKind::Tax,
    ];
    for kind in by_the_job {
        let basis = of(&small_with(whole_change()), kind);
        assert!(
            basis.iter().any(|term| term.ends_with("(the job)")),
            "{kind:?}: {basis:?}"
        );
    }
}

#[test]
fn the_job_s_rounding_holds_from_the_loaded_rate_to_the_tax() {
    let mut inputs = inputs();
    // 20.10 and 25 % on top are 25.125: to the even cent 25.12.
    inputs.lists[0].labour_rates[0].wage = dec!(20.10);
    // 5 bales at 4.805 are 24.025.
    inputs.lists[1].prices[1].unit_price = dec!(4.805);
    let of = |rounding| {
        let job = Job {
            rounding,
            ..small_job()
        };
        estimate(&job, &inputs).expect("nothing is missing")
    };
    let rate_and_straw = |estimate: &Estimate| {
        let lead = estimate
            .lines
            .iter()
            .find(|line| line.kind == LineKind::Labour);
        (
            lead.and_then(|line| line.unit_price),
            estimate.lines[2].amount.fixed(),
        )
    };
    assert_eq!(
        rate_and_straw(&of(None)),
        (Some(dec!(25.13)), "24.03".to_owned())
    );
    assert_eq!(
        rate_and_straw(&of(Some(Rounding::HalfToEven))),
        (Some(dec!(25.12)), "24.02".to_owned())
    );
}

#[test]
fn works_come_to_the_hours_of_their_task() {
    let estimate = estimated(&small_job());
    let works: Vec<String> = estimate
        .works
        .iter()
        .map(|work| {
            let method = work.method.as_ref().map_or("any", |method| method.as_str());
            format!(
                "{} {method} {} {} x {} = {}",
                work.task.word(),
                work.labour_constant,
                hod_units::canonical(work.quantity),
                hod_units::canonical(work.hours_per_unit),
                hod_units::canonical(work.hours)
            )
        })
        .collect();
    // Quantities as in the small estimate; the crew takes 1.5 times the hours.
    assert_eq!(
        works,
        [
            "set up any set-up 1 x 6 = 6",
            "dig any dig 2.272 x 3 = 6.816",
            "screen any screen 2.84 x 0.75 = 2.13",
            "haul any haul 2.84 x 1.2 = 3.408",
            "haul any haul-further 5.68 x 0.45 = 2.556",
            "mix tarp mix-tarp 71 x 0.75 = 53.25",
            "place any place 3.85 x 4.5 = 17.325",
            "pare any pare 14 x 0.3 = 4.2",
            "set openings any set-opening 1 x 3 = 3",
            "cover any cover 5 x 0.375 = 1.875",
            "clean up any clean-up 1 x 4.5 = 4.5",
        ]
    );
    for work in &estimate.works {
        let of_task = |sum: Decimal, hours: Decimal| sum + hours;
        let worked = estimate
            .works
            .iter()
            .filter(|other| other.task == work.task)
            .map(|other| other.hours)
            .fold(Decimal::ZERO, of_task);
        let shown: Decimal = estimate
            .labour
            .iter()
            .filter(|line| line.task == work.task)
            .map(|line| line.hours.hours())
            .sum();
        let rounded = hod_units::round(worked, 2, Rounding::HalfAwayFromZero);
        assert_eq!(rounded, shown, "{}", work.task.word());
    }
}

#[test]
fn an_hour_by_daywork_is_the_loaded_rate_and_what_is_on_top() {
    let of = |daywork| {
        let build_up = BuildUpChange {
            daywork,
            ..BuildUpChange::default()
        };
        let estimate = estimated(&small_with(build_up));
        let rate = |rate: &hod_domain::estimate::DayworkRate| {
            format!("{} {}", rate.grade, rate.rate.fixed())
        };
        let rates: Vec<String> = estimate.daywork_rates.iter().map(rate).collect();
        let basis = &estimate.daywork_rates[1].basis;
        let last = basis.terms.last().expect("terms");
        (rates, basis.work().expect("small"), last.source.to_string())
    };
    // Loaded 25.00 and 17.76.
    let (rates, _, source) = of(None);
    assert_eq!(rates, ["lead 25.00", "helper 17.76"]);
    assert_eq!(source, "regions/coast");
    // 25.00 x 1.333 = 33.325 and 17.76 x 1.333 = 23.67408
    let (rates, worked, source) = of(Some(percent(dec!(33.3))));
    assert_eq!(rates, ["lead 33.33", "helper 23.67"]);
    assert_eq!(worked, dec!(23.67408));
    assert_eq!(source, "the job");
}

/// Why an estimate is provisional, as `reason subject`.
fn provisional(estimate: &Estimate) -> Vec<String> {
    let matter = |matter: &hod_domain::estimate::ProvisionalMatter| {
        assert!(!matter.description.is_empty());
        format!("{} {}", matter.reason.reason(), matter.subject)
    };
    estimate.provisional.iter().map(matter).collect()
}

#[test]
fn an_unpaid_grade_no_contingency_and_an_untried_mix_make_an_estimate_provisional() {
    let job = small_with(BuildUpChange {
        contingency: Some(Share::ZERO),
        ..BuildUpChange::default()
    });
    let mut inputs = inputs();
    let helper = &mut inputs.lists[1].labour_rates[0];
    helper.wage = Decimal::ZERO;
    // Insurance is paid for a volunteer too, and the wage is none for that.
    helper.burdens = vec![Burden {
        label: "insurance".to_owned(),
        amount: BurdenAmount::PerHour(dec!(0.5)),
    }];
    let estimate = estimate(&job, &inputs).expect("nothing is missing");
    assert_eq!(
        provisional(&estimate),
        [
            "WAGE_ZERO regions/county/labourRates/helper-26",
            "CONTINGENCY_ZERO ",
            "MIX_NOT_TESTED mixes/trial-cob"
        ]
    );
    assert_eq!(
        estimate.provisional[0].description,
        "the wage of helper is 0: the price holds only as long as somebody works for nothing"
    );
    let caution = &estimate.takeoff.cautions[0];
    assert_eq!(estimate.provisional[2].description, &*caution.description);
    assert_eq!(
        estimate.provisional[2].reason,
        ProvisionalCause::MixNotTested
    );
}

#[test]
fn an_unpaid_grade_that_does_no_work_is_none() {
    let mut inputs = inputs();
    let mut idle = constant(
        "cover-none",
        hod_domain::work::Task::Cover,
        None,
        hod_domain::work::Driver::Job,
        dec!(0),
    );
    idle.make_up = shares(&[("volunteer", dec!(100))]);
    inputs.constants.push(idle);
    inputs.lists[0].labour_rates.push(labour_rate(
        "volunteer-26",
        "volunteer",
        dec!(0),
        dec!(0),
        "2026-01-01",
    ));
    let estimate = estimate(&small_job(), &inputs).expect("nothing is missing");
    assert_eq!(provisional(&estimate), ["MIX_NOT_TESTED mixes/trial-cob"]);
    assert_eq!(estimate.daywork_rates.len(), 2);
}
