//! How the total is paid: stages tied to the work, and what is held back of them until after completion.

use hod_units::{Decimal, Money, Rounding, Share, canonical};
use rust_decimal::dec;

use crate::fault::{Fault, too_large};
use crate::unit::round_up;

/// The most that is held back, percent.
const RETENTION_MAX_PERCENT: Decimal = dec!(20);

/// The most months that it is held back for after completion.
const RETENTION_MONTHS_MAX: u32 = 60;

/// When a payment falls due, in the order of the work.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Milestone {
    /// On acceptance: the deposit, of which nothing is held back.
    Acceptance,
    /// When work begins on the site.
    Start,
    /// When a share of the lifts is finished.
    Lifts,
    /// When the wall plate is on.
    WallPlate,
    /// When it is roofed.
    Roofed,
    /// When it is plastered.
    Plastered,
    /// When all is done.
    Completion,
}

impl Milestone {
    /// How a sentence to the client says when, but for lifts, whose number it does not know.
    pub const fn words(self) -> &'static str {
        match self {
            Self::Acceptance => "on acceptance",
            Self::Start => "when work begins on the site",
            Self::Lifts => "when lifts are finished",
            Self::WallPlate => "when the wall plate is on",
            Self::Roofed => "when it is roofed",
            Self::Plastered => "when it is plastered",
            Self::Completion => "when all is done",
        }
    }
}

/// A payment to be agreed.
#[derive(Debug, Clone, PartialEq)]
pub struct StageTerm {
    /// When it falls due.
    pub milestone: Milestone,
    /// Of the total; above 0, and all of them come to the whole.
    pub share: Share,
    /// Of the lifts, how many must be finished; for lifts, and only for them.
    pub lifts: Option<Share>,
}

/// A payment.
#[derive(Debug, Clone, PartialEq)]
pub struct Stage {
    /// When it falls due.
    pub milestone: Milestone,
    /// In words: `when 12 of 24 lifts are finished`.
    pub description: String,
    /// Of the total.
    pub share: Share,
    /// Of the total with tax, before anything is held back.
    pub amount: Money,
    /// Held back of it.
    pub retained: Money,
    /// To be paid then: amount less what is held back.
    pub due: Money,
}

/// What is held back of every payment but the deposit.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Retention {
    /// Of each such payment, 0 to 20 %.
    pub share: Share,
    /// After completion, when it is paid; 0 to 60, above 0 where anything is held back.
    pub months: u32,
}

/// A total in payments.
#[derive(Debug, Clone, PartialEq)]
pub struct Payments {
    /// Each of them, in the order of the work; they add up to the total.
    pub stages: Vec<Stage>,
    /// What is held back in all; what is held back of each adds up to it.
    pub retained: Money,
}

/// The payments of a total with tax. Without terms all of it on completion. Refused with every term that does not hold.
///
/// ```text
/// amount    total x percent, by largest remainder
/// retained  (total - deposit) x retention, rounded, over the stages after the deposit by largest remainder
/// due       amount - retained
/// ```
///
/// ```
/// use hod_domain::quote::{Milestone, Retention, StageTerm, payments};
/// use hod_units::{Currency, Money, Rounding, Share};
/// use rust_decimal::dec;
///
/// let share = |percent| Share::from_percent(percent);
/// let term = |milestone, percent, lifts: Option<_>| StageTerm { milestone, share: share(percent), lifts };
/// let terms = [
///     term(Milestone::Acceptance, dec!(20), None),
///     term(Milestone::Lifts, dec!(40), Some(share(dec!(50)))),
///     term(Milestone::Completion, dec!(40), None),
/// ];
/// let euro = Currency::parse("EUR")?;
/// let total = Money::new(dec!(10000.01), euro);
/// let retention = Retention { share: share(dec!(5)), months: 6 };
/// let paid = payments(total, &terms, retention, 23, Rounding::default()).expect("they hold");
/// // 2000.002, 4000.004, 4000.004: the cent over goes to the first of the larger remainders.
/// assert_eq!(paid.stages[0].amount, Money::new(dec!(2000.00), euro));
/// assert_eq!(paid.stages[1].amount, Money::new(dec!(4000.01), euro));
/// assert_eq!(paid.stages[2].amount, Money::new(dec!(4000.00), euro));
/// // 5 % of 8000.01 is 400.0005, so 400.00 is held back, 200.00 of each, and nothing of the deposit.
/// assert_eq!(paid.retained, Money::new(dec!(400.00), euro));
/// assert_eq!(paid.stages[1].due, Money::new(dec!(3800.01), euro));
/// // Half of 23 lifts is 11.5: twelve are finished.
/// assert_eq!(paid.stages[1].description, "when 12 of 23 lifts are finished");
/// # Ok::<(), hod_units::CurrencyFault>(())
/// ```
pub fn payments(
    total: Money,
    terms: &[StageTerm],
    retention: Retention,
    lift_count: u32,
    rounding: Rounding,
) -> Result<Payments, Vec<Fault>> {
    let all_on_completion = [StageTerm {
        milestone: Milestone::Completion,
        share: Share::WHOLE,
        lifts: None,
    }];
    let terms = if terms.is_empty() {
        &all_on_completion
    } else {
        terms
    };
    let mut faults = stage_faults(terms, lift_count);
    faults.extend(retention_faults(retention));
    if total.amount() < Decimal::ZERO {
        faults.push(Fault::of_resource(
            "",
            "TOTAL_BELOW_ZERO",
            format!("the total is {total}, below 0: there is nothing for the client to pay; look at the income and discount"),
        ));
    }
    if faults.is_empty() {
        share_out(total, terms, retention, lift_count, rounding)
            .ok_or_else(|| vec![too_large("what is paid in stages")])
    } else {
        Err(faults)
    }
}

/// The stages of terms that hold; `None` on overflow.
fn share_out(
    total: Money,
    terms: &[StageTerm],
    retention: Retention,
    lift_count: u32,
    rounding: Rounding,
) -> Option<Payments> {
    let percents: Vec<Decimal> = terms.iter().map(|term| term.share.percent()).collect();
    let amounts = total.split(&percents)?;
    let held_from: Vec<Decimal> = terms
        .iter()
        .zip(&amounts)
        .map(|(term, amount)| match term.milestone {
            Milestone::Acceptance => Decimal::ZERO,
            _ => amount.amount(),
        })
        .collect();
    let whole = held_from
        .iter()
        .try_fold(Decimal::ZERO, |sum, amount| sum.checked_add(*amount))?;
    let retained = Money::new(whole, total.currency())
        .checked_mul(retention.share.fraction())
        .ok()?
        .rounded(rounding);
    let held = if whole.is_zero() {
        vec![retained; terms.len()]
    } else {
        retained.split(&held_from)?
    };
    let stages = terms.iter().zip(amounts).zip(held);
    let stages = stages.map(|((term, amount), retained)| {
        Some(Stage {
            milestone: term.milestone,
            description: description(term, lift_count)?,
            share: term.share,
            amount,
            retained,
            due: amount.checked_sub(retained).ok()?,
        })
    });
    Some(Payments {
        stages: stages.collect::<Option<_>>()?,
        retained,
    })
}

/// When a payment falls due, in words; `None` on overflow.
fn description(term: &StageTerm, lift_count: u32) -> Option<String> {
    let Some(lifts) = term.lifts else {
        return Some(term.milestone.words().to_owned());
    };
    let finished = Decimal::from(lift_count).checked_mul(lifts.fraction())?;
    let finished = canonical(round_up(finished, 0)?);
    let are = if finished == "1" { "is" } else { "are" };
    Some(format!(
        "when {finished} of {lift_count} lifts {are} finished"
    ))
}

/// What does not hold of the stages.
fn stage_faults(terms: &[StageTerm], lift_count: u32) -> Vec<Fault> {
    let mut faults = Vec::new();
    for (at, term) in terms.iter().enumerate() {
        let earlier = &terms[..at];
        let field = |name: &str| format!("stages[{at}].{name}");
        if !term.share.is_positive() {
            faults.push(Fault::of_field(
                field("percent"),
                "STAGE_PERCENT_NOT_POSITIVE",
                format!(
                    "a stage is {} of the total; give more than 0 %, or leave it out",
                    term.share
                ),
            ));
        }
        faults.extend(order_fault(term, earlier, field("milestone")));
        faults.extend(lifts_fault(
            term,
            earlier,
            lift_count,
            field("lifts_percent"),
        ));
    }
    let sum = Share::checked_sum(terms.iter().map(|term| term.share));
    if sum != Some(Share::WHOLE) {
        let sum = sum.map_or_else(
            || "more than can be reckoned with".to_owned(),
            |sum| sum.to_string(),
        );
        faults.push(Fault::of_field(
            "stages",
            "STAGES_MUST_TOTAL_WHOLE",
            format!("the stages add up to {sum}; they must add up to 100 % of the total"),
        ));
    }
    faults
}

/// A milestone that came before, or that comes before one already given.
fn order_fault(term: &StageTerm, earlier: &[StageTerm], field: String) -> Option<Fault> {
    let words = term.milestone.words();
    let mut before = earlier.iter().map(|term| term.milestone);
    if term.milestone != Milestone::Lifts && before.clone().any(|before| before == term.milestone) {
        return Some(Fault::of_field(
            field,
            "MILESTONE_TWICE",
            format!(
                "a payment {words} stands twice; give each milestone once, with all of its percent"
            ),
        ));
    }
    let later = before.find(|before| term.milestone < *before)?;
    Some(Fault::of_field(
        field,
        "MILESTONE_OUT_OF_ORDER",
        format!(
            "a payment {words} stands after one {}; give the stages in the order of the work",
            later.words()
        ),
    ))
}

/// Lifts that are missing, too many, out of place, or not more than those of the stage before.
fn lifts_fault(
    term: &StageTerm,
    earlier: &[StageTerm],
    lift_count: u32,
    field: String,
) -> Option<Fault> {
    let fault = |reason, message: String| Some(Fault::of_field(field, reason, message));
    let is_of_lifts = term.milestone == Milestone::Lifts;
    let Some(lifts) = term.lifts else {
        return is_of_lifts
            .then(|| {
                "say how many percent of the lifts are finished when this payment falls due"
                    .to_owned()
            })
            .and_then(|message| fault("LIFTS_PERCENT_MISSING", message));
    };
    let before = earlier.iter().filter_map(|term| term.lifts).next_back();
    if !is_of_lifts {
        let words = term.milestone.words();
        fault(
            "LIFTS_PERCENT_UNFIT",
            format!("a payment {words} waits for no lifts; leave their percent out"),
        )
    } else if lift_count == 0 {
        fault(
            "JOB_HAS_NO_LIFTS",
            "a payment waits for lifts and the job has none; tie it to something else".to_owned(),
        )
    } else if !lifts.is_positive() || Share::WHOLE < lifts {
        fault(
            "LIFTS_PERCENT_OUT_OF_RANGE",
            format!(
                "{lifts} of the lifts cannot be finished; give more than 0 % and at most 100 %"
            ),
        )
    } else if let Some(before) = before.filter(|before| lifts <= *before) {
        fault(
            "LIFTS_PERCENT_NOT_RISING",
            format!(
                "{lifts} of the lifts is not more than {before} at the stage before; give more"
            ),
        )
    } else {
        None
    }
}

/// What does not hold of what is held back.
fn retention_faults(retention: Retention) -> Vec<Fault> {
    let Retention { share, months } = retention;
    let mut faults = Vec::new();
    if share.is_negative() || RETENTION_MAX_PERCENT < share.percent() {
        faults.push(Fault::of_field(
            "retention_percent",
            "RETENTION_OUT_OF_RANGE",
            format!("a retention of {share} is out of range; give 0 to {RETENTION_MAX_PERCENT} %"),
        ));
    }
    if RETENTION_MONTHS_MAX < months {
        faults.push(Fault::of_field(
            "retention_months",
            "RETENTION_MONTHS_OUT_OF_RANGE",
            format!("{months} months are out of range; give at most {RETENTION_MONTHS_MAX}"),
        ));
    }
    if share.is_positive() && months == 0 {
        faults.push(Fault::of_field(
            "retention_months",
            "RETENTION_MONTHS_MISSING",
            format!(
                "{share} is held back and nothing says until when; give the months after completion"
            ),
        ));
    }
    faults
}
