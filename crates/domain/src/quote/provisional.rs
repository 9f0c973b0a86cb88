//! What makes a quote provisional, and the written reasons with which it goes out all the same. What an estimate is
//! provisional for is the estimate's to say.

use crate::estimate::ProvisionalMatter;
use crate::fault::Fault;

/// How long a written reason is, in characters, once the spaces around it are gone: `ok` explains nothing.
const EXPLANATION_CHARS: std::ops::RangeInclusive<usize> = 10..=400;

/// Why a quote goes out although it is provisional.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct ProvisionalReason {
    /// For which matter: `WAGE_ZERO`.
    pub reason: String,
    /// Why it is let through, 10 to 400 characters.
    pub explanation: String,
}

/// The reasons as they are printed on the quote, in the order of the matters; refused with every matter that has none,
/// and with every reason that is too short, stands twice, or is for a matter that is not there.
///
/// A fault of what was given names its field; a matter without a reason has its subject instead, if it has one, and no
/// field.
///
/// ```
/// use hod_domain::estimate::{ProvisionalCause, ProvisionalMatter};
/// use hod_domain::quote::{ProvisionalReason, provisional_reasons};
///
/// let matters = [ProvisionalMatter {
///     reason: ProvisionalCause::WageZero,
///     subject: "regions/coast/labourRates/volunteer".to_owned(),
///     description: "volunteers are paid nothing".to_owned(),
/// }];
/// let faults = provisional_reasons(&matters, &[]).expect_err("no reason is written down");
/// assert_eq!(faults[0].reason, "PROVISIONAL_WITHOUT_REASON");
///
/// let written = ProvisionalReason {
///     reason: "WAGE_ZERO".to_owned(),
///     explanation: "the owners and their friends tread the earth themselves".to_owned(),
/// };
/// assert_eq!(provisional_reasons(&matters, &[written.clone()]), Ok(vec![written]));
/// ```
pub fn provisional_reasons(
    matters: &[ProvisionalMatter],
    given: &[ProvisionalReason],
) -> Result<Vec<ProvisionalReason>, Vec<Fault>> {
    let mut faults: Vec<Fault> = (0..given.len())
        .filter_map(|at| reason_fault(matters, given, at))
        .collect();
    let mut printed: Vec<ProvisionalReason> = Vec::new();
    for matter in matters {
        let reason = matter.reason.reason();
        match given.iter().find(|given| given.reason == reason) {
            None => faults.push(without_reason(matter)),
            Some(given) if printed.iter().all(|printed| printed.reason != reason) => {
                printed.push(ProvisionalReason {
                    reason: reason.to_owned(),
                    explanation: given.explanation.trim().to_owned(),
                });
            }
            // One reason answers for all matters of its kind.
            Some(_) => {}
        }
    }
    if faults.is_empty() {
        Ok(printed)
    } else {
        Err(faults)
    }
}

fn without_reason(matter: &ProvisionalMatter) -> Fault {
    let reason = matter.reason.reason();
    Fault::of_resource(
        matter.subject.as_str(),
        "PROVISIONAL_WITHOUT_REASON",
        format!(
            "the quote would be provisional, {reason}: {}; put that right and estimate again, or write down why it goes out so",
            matter.description
        ),
    )
}

/// What is wrong with a reason that was given.
fn reason_fault(
    matters: &[ProvisionalMatter],
    given: &[ProvisionalReason],
    at: usize,
) -> Option<Fault> {
    let ProvisionalReason {
        reason,
        explanation,
    } = given.get(at)?;
    let field = |name: &str| format!("provisional_reasons[{at}].{name}");
    let length = explanation.trim().chars().count();
    if matters
        .iter()
        .all(|matter| matter.reason.reason() != reason)
    {
        Some(Fault::of_field(
            field("reason"),
            "PROVISIONAL_REASON_FOR_NOTHING",
            format!("the estimate is not provisional for {reason:?}; leave the reason out"),
        ))
    } else if given[..at].iter().any(|earlier| earlier.reason == *reason) {
        Some(Fault::of_field(
            field("reason"),
            "PROVISIONAL_REASON_TWICE",
            format!("{reason} is explained twice; write one reason for it"),
        ))
    } else if !EXPLANATION_CHARS.contains(&length) {
        Some(Fault::of_field(
            field("explanation"),
            "EXPLANATION_LENGTH",
            format!(
                "the reason for {reason} has {length} characters; write {} to {}, so that whoever reads it later understands",
                EXPLANATION_CHARS.start(),
                EXPLANATION_CHARS.end()
            ),
        ))
    } else {
        None
    }
}
