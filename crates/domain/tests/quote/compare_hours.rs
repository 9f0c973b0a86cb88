//! What changed in hours, worked by hand: more work, or other labour constants, or another wage.

use hod_domain::compare::Comparison;
use hod_domain::estimate::{LineKind, WorkLine};
use hod_domain::unit::Unit;
use hod_domain::work::{Driver, Task};
use hod_units::Decimal;
use rust_decimal::dec;

use crate::compare::{compared, effects, row};
use crate::sample::{Counted, Said, counted, work};

fn hours(item: &str, hours: Decimal, rate: Decimal) -> Counted {
    counted(LineKind::Labour, item, Unit::H, hours, rate)
}

fn said(counted: Vec<Counted>, works: Vec<WorkLine>) -> Said {
    Said {
        works,
        ..Said::of(counted)
    }
}

/// Quantity, labour constant and price of one line of hours.
fn split(comparison: &Comparison, item: &str) -> [Decimal; 3] {
    let [quantity, price, constant, scope, carried, build_up] = effects(row(comparison, item));
    assert_eq!([scope, carried, build_up], [Decimal::ZERO; 3], "{item}");
    [quantity, constant, price]
}

const PLACE: &str = "place, lead";

#[test]
fn hours_are_split_in_more_work_slower_work_and_a_dearer_hour() {
    let place = |quantity, constant| {
        vec![work(
            Task::Place,
            None,
            Driver::M3Placed,
            quantity,
            constant,
        )]
    };
    let before = said(
        vec![hours(PLACE, dec!(30), dec!(31))],
        place(dec!(10), dec!(3)),
    );
    let after = said(
        vec![hours(PLACE, dec!(42), dec!(33))],
        place(dec!(12), dec!(3.5)),
    );
    // 30 h are 930.00. 12 m3 at 3 h are 36 h: 1116.00. At 3.5 h they are 42 h: 1302.00. At 33.00 they cost 1386.00.
    assert_eq!(
        split(&compared(&before, &after), PLACE),
        [dec!(186.00), dec!(186.00), dec!(84.00)]
    );
}

#[test]
fn each_grade_keeps_its_old_share_of_the_hours() {
    let place = |quantity, constant| {
        vec![work(
            Task::Place,
            None,
            Driver::M3Placed,
            quantity,
            constant,
        )]
    };
    let helper = "place, helper";
    let before = said(
        vec![
            hours(PLACE, dec!(12), dec!(30)),
            hours(helper, dec!(18), dec!(20)),
        ],
        place(dec!(10), dec!(3)),
    );
    // The work did not change, and half of the hours are the lead's now: who does it is told with the labour constants.
    let after = said(
        vec![
            hours(PLACE, dec!(15), dec!(30)),
            hours(helper, dec!(15), dec!(20)),
        ],
        place(dec!(10), dec!(3)),
    );
    let comparison = compared(&before, &after);
    assert_eq!(split(&comparison, PLACE), [dec!(0), dec!(90.00), dec!(0)]);
    assert_eq!(split(&comparison, helper), [dec!(0), dec!(-60.00), dec!(0)]);
}

#[test]
fn hundredths_of_an_hour_that_were_rounded_are_not_slower_work() {
    let place = |quantity| vec![work(Task::Place, None, Driver::M3Placed, quantity, dec!(1))];
    // A third of 10.01 and of 20.03 m3: 3.34 h of 3.3367, and 6.68 h of 6.6767, where 3.34 x 20.03 / 10.01 would be 6.6833.
    let before = said(
        vec![hours(PLACE, dec!(3.34), dec!(100))],
        place(dec!(10.01)),
    );
    let after = said(
        vec![hours(PLACE, dec!(6.68), dec!(100))],
        place(dec!(20.03)),
    );
    assert_eq!(
        split(&compared(&before, &after), PLACE),
        [dec!(334.00), dec!(0), dec!(0)]
    );
}

#[test]
fn a_driver_that_another_took_the_place_of_is_a_matter_of_labour_constants() {
    let before = said(
        vec![hours(PLACE, dec!(30), dec!(10))],
        vec![work(Task::Place, None, Driver::M3Placed, dec!(10), dec!(3))],
    );
    let after = said(
        vec![hours(PLACE, dec!(36), dec!(10))],
        vec![work(Task::Place, None, Driver::Lift, dec!(24), dec!(1.5))],
    );
    assert_eq!(
        split(&compared(&before, &after), PLACE),
        [dec!(0), dec!(60.00), dec!(0)]
    );
}

#[test]
fn a_constant_added_to_others_of_its_task_is_a_matter_of_labour_constants() {
    let by_volume = |quantity| work(Task::Place, None, Driver::M3Placed, quantity, dec!(3));
    let before = said(
        vec![hours(PLACE, dec!(30), dec!(10))],
        vec![by_volume(dec!(10))],
    );
    let after = said(
        vec![hours(PLACE, dec!(45), dec!(10))],
        vec![
            by_volume(dec!(11)),
            work(Task::Place, None, Driver::Lift, dec!(24), dec!(0.5)),
        ],
    );
    // 1 m3 more is 3 h; the 12 h for the lifts are new.
    assert_eq!(
        split(&compared(&before, &after), PLACE),
        [dec!(30.00), dec!(120.00), dec!(0)]
    );
}

#[test]
fn a_method_that_another_took_the_place_of_is_a_matter_of_labour_constants() {
    let mix = |method, quantity, constant| {
        work(Task::Mix, Some(method), Driver::Batch, quantity, constant)
    };
    let item = "mix, lead";
    let before = said(
        vec![hours(item, dec!(60), dec!(10))],
        vec![mix("tarp", dec!(40), dec!(1.5))],
    );
    let after = said(
        vec![hours(item, dec!(25), dec!(10))],
        vec![mix("drum-mixer", dec!(50), dec!(0.5))],
    );
    // Ten batches more on the tarp are 15 h; the drum takes 25 h for what the tarp would take 75 h for.
    assert_eq!(
        split(&compared(&before, &after), item),
        [dec!(150.00), dec!(-500.00), dec!(0)]
    );
}

#[test]
fn a_method_that_only_comes_or_goes_is_more_or_less_work() {
    let mix = |method, quantity, constant| {
        work(Task::Mix, Some(method), Driver::Batch, quantity, constant)
    };
    let item = "mix, lead";
    let one = said(
        vec![hours(item, dec!(60), dec!(10))],
        vec![mix("tarp", dec!(40), dec!(1.5))],
    );
    let both = said(
        vec![hours(item, dec!(70), dec!(10))],
        vec![
            mix("tarp", dec!(40), dec!(1.5)),
            mix("drum-mixer", dec!(20), dec!(0.5)),
        ],
    );
    assert_eq!(
        split(&compared(&one, &both), item),
        [dec!(100.00), dec!(0), dec!(0)]
    );
    assert_eq!(
        split(&compared(&both, &one), item),
        [dec!(-100.00), dec!(0), dec!(0)]
    );
}

#[test]
fn a_grade_that_stands_in_one_only_is_scope() {
    let place = || vec![work(Task::Place, None, Driver::M3Placed, dec!(10), dec!(3))];
    let before = said(vec![hours(PLACE, dec!(30), dec!(30))], place());
    let after = said(vec![hours("place, helper", dec!(30), dec!(20))], place());
    let comparison = compared(&before, &after);
    assert_eq!(effects(row(&comparison, PLACE))[3], dec!(-900.00));
    assert_eq!(effects(row(&comparison, "place, helper"))[3], dec!(600.00));
}

#[test]
fn hours_of_which_nobody_says_what_counted_them_are_all_quantity() {
    let before = said(vec![hours(PLACE, dec!(30), dec!(10))], Vec::new());
    let after = said(vec![hours(PLACE, dec!(36), dec!(11))], Vec::new());
    assert_eq!(
        split(&compared(&before, &after), PLACE),
        [dec!(60.00), dec!(0), dec!(36.00)]
    );
}
