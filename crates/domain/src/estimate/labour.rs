//! Lines of labour: what drives each task, the hours that follow, and their pay by grade.
//! Hours are shown to 0.01 and shared so that the grades of a task add up to it.

use std::borrow::Cow;

use hod_units::{Decimal, Hours, Money, Rounding, round, split};
use rust_decimal::dec;

use super::price_chain::LoadedRate;
use super::tasks::{ChosenTask, Counted};
use super::{LabourLine, Line, LineKind, WorkLine};
use crate::basis::{Basis, Joint, Term};
use crate::id::Grade;
use crate::region::Region;
use crate::site::Site;
use crate::text::Text;
use crate::unit::{Unit, round_up};
use crate::work::{Crew, Driver, GradeShare, LabourConstant, Task};

/// Hours are shown to a hundredth.
const HOUR_PLACES: u32 = 2;

/// Where they must be, hours are weighed to twelve places, past which the last digit of a division stands.
const WEIGHT_PLACES: u32 = 12;

/// Soil is carried this far before carrying it further counts.
const NEAR_HAUL_M: Decimal = dec!(25);

/// How much there is of what a constant counts; `None` on overflow.
fn count<'a>(counted: &Counted<'a>, site: &Site) -> Option<Cow<'a, Basis>> {
    let of = |driver| match counted.amounts.of(driver) {
        Some(basis) => Cow::Borrowed(basis),
        None => Cow::default(),
    };
    match counted.constant.driver {
        Driver::M3Loose25m => carried_further(&of(Driver::M3Loose), site).map(Cow::Owned),
        driver => Some(of(driver)),
    }
}

/// Loose soil times the whole or begun 25 m beyond the first 25 m; nothing when it is mixed close by.
fn carried_further(loose: &Basis, site: &Site) -> Option<Basis> {
    let beyond = site.haul_distance.metres().checked_sub(NEAR_HAUL_M)?;
    let further = round_up(beyond.checked_div(NEAR_HAUL_M)?, 0)?;
    if further <= Decimal::ZERO {
        return Some(Basis::default());
    }
    let source = format!("sites/{}", site.id);
    let term = Term::new(Joint::Times, further, Unit::Number, "further 25 m", source);
    Some(loose.carried_on(&[term]))
}

/// A grade's hours of a task.
pub(super) struct GradedHours {
    grade: Grade,
    /// Not rounded, as the basis comes to.
    exact: Decimal,
    /// As shown.
    hours: Decimal,
    basis: Basis,
}

/// The hours of a task by grade, in the order in which its constants name them; none when they come to nothing. What they
/// were counted by goes to the works. `None` on overflow.
pub(super) fn hours(
    chosen: &ChosenTask,
    site: &Site,
    crew: &Crew,
    crew_source: &Text,
    works: &mut Vec<WorkLine>,
) -> Option<Vec<GradedHours>> {
    let first = works.len();
    let mut by_grade: Vec<GradedHours> = Vec::with_capacity(crew.make_up.len());
    let mut make_ups: Vec<&[GradeShare]> = Vec::with_capacity(chosen.counted.len());
    for counted in &chosen.counted {
        let count = count(counted, site)?;
        if share_out(counted.constant, &count, crew, crew_source, &mut by_grade)? {
            add_work(counted.constant, count.work()?, crew, first, works)?;
            make_ups.push(counted.constant.done_by(crew));
        }
    }
    let sum = by_grade
        .iter()
        .try_fold(Decimal::ZERO, |sum, graded| sum.checked_add(graded.exact))?;
    let whole = round(sum, HOUR_PLACES, Rounding::HalfAwayFromZero);
    if whole.is_zero() {
        return Some(Vec::new());
    }
    let weights = weights(&make_ups, &by_grade);
    for (graded, hours) in by_grade
        .iter_mut()
        .zip(split(whole, &weights, HOUR_PLACES)?)
    {
        graded.hours = hours;
    }
    Some(by_grade)
}

/// Works and their hours are kept to a millionth.
const WORK_PLACES: u32 = 6;

/// Puts down what a constant counted, together with what the same constant counted for the same task before. `first` is
/// where the works of the task begin. `None` on overflow.
fn add_work(
    constant: &LabourConstant,
    counted: Decimal,
    crew: &Crew,
    first: usize,
    works: &mut Vec<WorkLine>,
) -> Option<()> {
    let counted = round(counted, WORK_PLACES, Rounding::HalfAwayFromZero);
    let is_it = |work: &&mut WorkLine| work.labour_constant == constant.id;
    let hours_per_unit = constant.likely.hours().checked_mul(crew.hours_factor)?;
    let hours = |quantity: Decimal| {
        let exact = quantity.checked_mul(hours_per_unit)?;
        Some(round(exact, WORK_PLACES, Rounding::HalfAwayFromZero))
    };
    if let Some(work) = works.iter_mut().skip(first).find(is_it) {
        work.quantity = work.quantity.checked_add(counted)?;
        work.hours = hours(work.quantity)?;
        return Some(());
    }
    works.push(WorkLine {
        task: constant.task,
        method: constant.method.clone(),
        labour_constant: constant.id.clone(),
        driver: constant.driver,
        quantity: counted,
        hours_per_unit,
        hours: hours(counted)?,
    });
    Some(())
}

/// What the hours of a task are shared out by. Where all its constants are made up alike it is the make-up itself, which
/// is exact: the last digit of hours that were divided would decide between equal remainders.
fn weights(make_ups: &[&[GradeShare]], by_grade: &[GradedHours]) -> Vec<Decimal> {
    let alike = make_ups
        .first()
        .filter(|first| make_ups.iter().all(|other| other == *first));
    let weight = |graded: &GradedHours| {
        let share = alike
            .and_then(|make_up| make_up.iter().find(|share| share.grade == graded.grade))
            .map(|share| share.share.fraction());
        share.unwrap_or_else(|| round(graded.exact, WEIGHT_PLACES, Rounding::HalfAwayFromZero))
    };
    by_grade.iter().map(weight).collect()
}

/// Adds a constant's hours to each grade that does them: count x hours x the crew's factor x the grade's share. Says
/// whether there were any; `None` on overflow.
fn share_out(
    constant: &LabourConstant,
    count: &Basis,
    crew: &Crew,
    crew_source: &Text,
    by_grade: &mut Vec<GradedHours>,
) -> Option<bool> {
    let source = Text::from(["labourConstants/", constant.id.as_str()].concat());
    let hours = count.carried_on(&[
        Term::new(
            Joint::Times,
            constant.likely.hours(),
            Unit::H,
            hours_to(constant.driver),
            &source,
        ),
        Term::new(
            Joint::Times,
            crew.hours_factor,
            Unit::Number,
            "times a practised crew's hours",
            crew_source,
        ),
    ]);
    let worked = hours.work()?;
    if worked.is_zero() {
        return Some(false);
    }
    let made_up_by = if constant.make_up.is_empty() {
        crew_source
    } else {
        &source
    };
    for share in constant
        .done_by(crew)
        .iter()
        .filter(|share| share.share.is_positive())
    {
        let exact = worked.checked_mul(share.share.fraction())?;
        let percent = share.share.percent();
        let basis = hours.carried_on(&[Term::new(
            Joint::PercentOf,
            percent,
            Unit::Percent,
            "share of the hours",
            made_up_by,
        )]);
        match by_grade
            .iter_mut()
            .find(|graded| graded.grade == share.grade)
        {
            Some(graded) => {
                graded.exact = graded.exact.checked_add(exact)?;
                graded.basis.terms.extend(basis.terms);
            }
            None => by_grade.push(GradedHours {
                grade: share.grade.clone(),
                exact,
                hours: Decimal::ZERO,
                basis: basis.to("to 0.01 h within the task"),
            }),
        }
    }
    Some(true)
}

/// What one unit of a driver takes, in words.
const fn hours_to(driver: Driver) -> &'static str {
    match driver {
        Driver::Batch => "hours to a batch",
        Driver::M3Placed => "hours to a m3 placed",
        Driver::M3Mixed => "hours to a m3 mixed",
        Driver::M3Bank => "hours to a m3 in the bank",
        Driver::M3Loose => "hours to a m3 loose",
        Driver::M3Loose25m => "hours to a m3 loose each further 25 m",
        Driver::M2Face => "hours to a m2 of face",
        Driver::Lift => "hours to a lift",
        Driver::Opening => "hours to an opening",
        Driver::Job => "hours to a job",
        Driver::Piece => "hours to a piece",
        Driver::M2Panel => "hours to a m2 of panel",
        Driver::M2Coat => "hours to a m2 of a coat",
    }
}

impl GradedHours {
    /// Its line, and the same in short; `None` on overflow, or without a rate for the grade.
    pub fn line(
        self,
        task: Task,
        rates: &[LoadedRate],
        region: &Region,
    ) -> Option<(Line, LabourLine)> {
        let Self {
            grade,
            hours,
            basis,
            ..
        } = self;
        let rate = rates.iter().find(|rate| rate.grade == grade)?;
        let amount = Money::new(rate.amount, region.currency)
            .checked_mul(hours)
            .ok()?
            .rounded(region.rounding);
        let line = Line {
            kind: LineKind::Labour,
            item: Text::from([task.word(), ", ", grade.as_str()].concat()),
            quantity: hours,
            unit: Unit::H,
            unit_price: Some(rate.amount),
            price_source: rate.source.clone(),
            amount,
            basis,
            part: None,
        };
        Some((
            line,
            LabourLine {
                task,
                grade,
                hours: Hours::from_hours(hours),
                amount,
            },
        ))
    }
}
