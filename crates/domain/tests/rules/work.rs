//! Which constants hold for a task, and the hours that follow.

use hod_domain::estimate::{Estimate, Inputs, estimate};
use hod_domain::id::Method;
use hod_domain::job::Job;
use hod_domain::material::Supply;
use hod_domain::mix::Recipe;
use hod_domain::work::{Driver, LabourConstant, Task};
use hod_units::{Decimal, Length, Share};
use rust_decimal::dec;

use crate::sample::*;

/// All hours of a task.
fn hours(estimate: &Estimate, task: Task) -> Decimal {
    estimate
        .labour
        .iter()
        .filter(|line| line.task == task)
        .map(|line| line.hours.hours())
        .sum()
}

fn estimated(job: &Job, inputs: &Inputs) -> Estimate {
    estimate(job, inputs).expect("nothing is missing")
}

/// The inputs with the constants of one task replaced.
fn with_constants(task: Task, constants: Vec<LabourConstant>) -> Inputs {
    let mut inputs = inputs();
    inputs.constants.retain(|constant| constant.task != task);
    inputs.constants.extend(constants);
    inputs
}

#[test]
fn hours_are_counted_by_what_drives_them() {
    // The sample: 71 batches, 3.85 m3 placed, 2.84 m3 loose and 2.272 in the bank, two further 25 m, 14 m2 of face,
    // 5 lifts, 1 opening. One hour to each, by a crew that takes 1.5 times the hours.
    let table = [
        (Driver::Batch, dec!(106.50)),
        (Driver::M3Placed, dec!(5.78)), // 5.775
        (Driver::M3Mixed, dec!(6.35)),  // 3.85 with 10 % waste, 4.235: 6.3525
        (Driver::M3Loose, dec!(4.26)),
        (Driver::M3Bank, dec!(3.41)),     // 3.408
        (Driver::M3Loose25m, dec!(8.52)), // 2 x 4.26
        (Driver::M2Face, dec!(21.00)),
        (Driver::Lift, dec!(7.50)),
        (Driver::Opening, dec!(1.50)),
        (Driver::Job, dec!(1.50)),
    ];
    // Setting up and cleaning up may be counted by all that the job has, as work on its walls is.
    for task in [Task::Place, Task::SetUp, Task::CleanUp] {
        for (driver, expected) in table {
            let inputs = with_constants(task, vec![constant("one", task, None, driver, dec!(1))]);
            assert_eq!(
                hours(&estimated(&small_job(), &inputs), task),
                expected,
                "{task:?} {driver:?}"
            );
        }
    }
}

#[test]
fn carrying_further_counts_each_whole_or_begun_25_m_beyond_the_first() {
    let table = [
        (dec!(0), 0),
        (dec!(25), 0),
        (dec!(25.01), 1),
        (dec!(50), 1),
        (dec!(60), 2),
        (dec!(75), 2),
        (dec!(76), 3),
    ];
    let only_further = vec![constant(
        "haul-further",
        Task::Haul,
        None,
        Driver::M3Loose25m,
        dec!(1),
    )];
    for (distance, further) in table {
        let mut inputs = with_constants(Task::Haul, only_further.clone());
        inputs.site.haul_distance = Length::from_metres(distance);
        // 2.84 m3 x 1.5
        let expected = dec!(4.26) * Decimal::from(further);
        assert_eq!(
            hours(&estimated(&small_job(), &inputs), Task::Haul),
            expected,
            "{distance} m"
        );
    }
}

#[test]
fn a_methods_own_constant_comes_before_the_general_one() {
    let general = constant("place", Task::Place, None, Driver::M3Placed, dec!(3));
    let own = constant(
        "place-tarp",
        Task::Place,
        Some("tarp"),
        Driver::M3Placed,
        dec!(2),
    );
    let other = constant(
        "place-digger",
        Task::Place,
        Some("digger"),
        Driver::M3Placed,
        dec!(1),
    );
    let inputs = with_constants(Task::Place, vec![general, own, other]);
    let mut job = small_job();
    // 3.85 x 2 x 1.5 = 11.55 by tarp, 3.85 x 1 x 1.5 = 5.775 by digger.
    for (method, expected) in [("tarp", dec!(11.55)), ("digger", dec!(5.78))] {
        job.mixing = Some(Method::parse(method).expect("a method"));
        assert_eq!(
            hours(&estimated(&job, &inputs), Task::Place),
            expected,
            "{method}"
        );
    }
}

#[test]
fn constants_with_different_drivers_add_up() {
    let inputs = with_constants(
        Task::Cover,
        vec![
            constant("cover", Task::Cover, None, Driver::Lift, dec!(0.2)),
            constant("cover-job", Task::Cover, None, Driver::Job, dec!(3)),
        ],
    );
    // (5 x 0.2 + 1 x 3) x 1.5
    assert_eq!(
        hours(&estimated(&small_job(), &inputs), Task::Cover),
        dec!(6.00)
    );
}

#[test]
fn the_grades_of_a_task_add_up_to_it() {
    // Three thirds of 1.00 h: 0.34, 0.33 and 0.33.
    let mut inputs = with_constants(
        Task::Place,
        vec![constant("place", Task::Place, None, Driver::Job, dec!(1))],
    );
    inputs.crew.hours_factor = Decimal::ONE;
    inputs.crew.make_up = shares(&[
        ("lead", dec!(33.333333)),
        ("helper", dec!(33.333333)),
        ("volunteer", dec!(33.333334)),
    ]);
    inputs.lists[0].labour_rates.push(labour_rate(
        "volunteer-26",
        "volunteer",
        dec!(0),
        dec!(0),
        "2026-01-01",
    ));
    let estimate = estimated(&small_job(), &inputs);
    let place = estimate
        .labour
        .iter()
        .filter(|line| line.task == Task::Place);
    let by_grade: Vec<_> = place
        .map(|line| (line.grade.as_str(), line.hours.hours()))
        .collect();
    assert_eq!(
        by_grade,
        [
            ("lead", dec!(0.33)),
            ("helper", dec!(0.33)),
            ("volunteer", dec!(0.34))
        ]
    );
}

#[test]
fn a_job_without_openings_needs_no_constant_for_them() {
    let inputs = with_constants(Task::SetOpening, Vec::new());
    let job = job(vec![wall("south", dec!(4), dec!(2), dec!(0.5))]);
    assert_eq!(
        hours(&estimated(&job, &inputs), Task::SetOpening),
        Decimal::ZERO
    );
}

#[test]
fn bought_earth_is_not_dug() {
    let mut inputs = inputs();
    let mut bought = materials();
    bought[0].supply = Supply::Bought;
    inputs.library = library_of(Recipe::new(mix(), bought).expect("weighed"));
    inputs.lists[0].prices.push(price(
        "soil-26",
        "soil",
        dec!(18),
        hod_domain::unit::Unit::M3,
        "2026-01-01",
        None,
    ));
    inputs
        .constants
        .retain(|constant| !matches!(constant.task, Task::Dig | Task::Screen | Task::Haul));
    let estimate = estimated(&small_job(), &inputs);
    for task in [Task::Dig, Task::Screen, Task::Haul] {
        assert_eq!(hours(&estimate, task), Decimal::ZERO, "{}", task.word());
    }
    // 2.84 m3 at 18.00
    assert_eq!(estimate.lines[0].amount.amount(), dec!(51.12));
}

#[test]
fn a_wall_placed_to_its_finished_size_is_not_pared() {
    let mut job = small_job();
    job.walls[0].paring = Length::ZERO;
    let inputs = with_constants(Task::Pare, Vec::new());
    assert_eq!(hours(&estimated(&job, &inputs), Task::Pare), Decimal::ZERO);
}

#[test]
fn a_task_that_takes_no_time_has_no_line() {
    let inputs = with_constants(
        Task::Screen,
        vec![constant(
            "screen",
            Task::Screen,
            None,
            Driver::M3Loose,
            dec!(0),
        )],
    );
    let estimate = estimated(&small_job(), &inputs);
    assert!(estimate.labour.iter().all(|line| line.task != Task::Screen));
}

#[test]
fn a_crew_twice_as_slow_takes_twice_the_hours() {
    let mut slow = inputs();
    slow.crew.hours_factor = dec!(3);
    let (fast, slow) = (
        estimated(&small_job(), &inputs()),
        estimated(&small_job(), &slow),
    );
    assert_eq!(hours(&slow, Task::Mix), dec!(2) * hours(&fast, Task::Mix));
}

#[test]
fn a_grade_without_a_share_needs_no_rate() {
    let mut inputs = inputs();
    let mut idle = shares(&[("volunteer", dec!(0))]);
    inputs.crew.make_up.append(&mut idle);
    assert!(
        inputs
            .crew
            .make_up
            .iter()
            .any(|share| share.share == Share::ZERO)
    );
    assert_eq!(
        estimated(&small_job(), &inputs),
        estimated(&small_job(), &crate::sample::inputs())
    );
}

#[test]
fn equal_remainders_go_to_the_earlier_grade_however_long_the_hours() {
    // 33.68 h and a little: 33 % is 11.1144, 9 % 3.0312, 58 % 19.5344. Cut to 0.01 a step is left over, and lead and
    // volunteer have 0.44 of a step each. The little, to twelve places, would give it to the volunteer.
    let hours = dec!(33.6800000000013);
    let mut inputs = with_constants(
        Task::Place,
        vec![constant("place", Task::Place, None, Driver::Job, hours)],
    );
    inputs.crew.hours_factor = Decimal::ONE;
    inputs.crew.make_up = shares(&[
        ("lead", dec!(33)),
        ("helper", dec!(9)),
        ("volunteer", dec!(58)),
    ]);
    inputs.lists[0].labour_rates.push(labour_rate(
        "volunteer-26",
        "volunteer",
        dec!(0),
        dec!(0),
        "2026-01-01",
    ));
    let estimate = estimated(&small_job(), &inputs);
    let placing = estimate
        .labour
        .iter()
        .filter(|line| line.task == Task::Place);
    let hours: Vec<Decimal> = placing.map(|line| line.hours.hours()).collect();
    assert_eq!(hours, [dec!(11.12), dec!(3.03), dec!(19.53)]);
}

#[test]
fn a_constant_that_comes_to_nothing_adds_neither_a_grade_nor_a_term() {
    let mut idle = constant("cover-none", Task::Cover, None, Driver::Job, dec!(0));
    idle.make_up = shares(&[("volunteer", dec!(100))]);
    let mut inputs = inputs();
    inputs.constants.push(idle);
    inputs.lists[0].labour_rates.push(labour_rate(
        "volunteer-26",
        "volunteer",
        dec!(9),
        dec!(0),
        "2026-01-01",
    ));
    let without = estimated(&small_job(), &crate::sample::inputs());
    assert_eq!(estimated(&small_job(), &inputs), without);
}
