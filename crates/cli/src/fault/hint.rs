//! The next step after a refusal: which command to give, or what to look at. Faults themselves are told in `fault`.

use tonic::{Code, Status};
use tonic_types::ErrorDetails;

use super::Fault;
use crate::name;

/// The next step when a quote would be provisional and nobody has said why it goes out all the same.
pub(super) fn of_provisional(details: &ErrorDetails) -> Option<String> {
    let violations = &details.precondition_failure()?.violations;
    let open: Vec<&str> = violations
        .iter()
        .filter(|violation| violation.r#type == "PROVISIONAL_WITHOUT_REASON")
        .map(|violation| violation.description.as_str())
        .collect();
    // A fault says in its sentence which matter it is of.
    let matters = ["WAGE_ZERO", "CONTINGENCY_ZERO", "MIX_NOT_TESTED"];
    let flags: Vec<String> = matters
        .iter()
        .filter(|matter| open.iter().any(|told| told.contains(**matter)))
        .map(|matter| format!("--reason {matter}=\"WHY\""))
        .collect();
    (!flags.is_empty()).then(|| format!("write why it goes out all the same: {}", flags.join(" ")))
}

/// The next step after a refusal for a reason of the server's.
pub(super) fn of_reason(reason: &str, faults: &[Fault]) -> Option<String> {
    let said = |word: &str| faults.iter().any(|fault| fault.description.contains(word));
    match reason {
        "ESTIMATE_LACKS_INPUTS" => {
            let steps = [
                (
                    "no price",
                    "put a price in force with `hod price set REGION MATERIAL`",
                ),
                (
                    "no labour rate",
                    "put a rate in force with `hod labour-rate set REGION GRADE`",
                ),
                (
                    "labour constant",
                    "see which labour constants there are with `hod constant list`",
                ),
                (
                    "site_time",
                    "say in [site_time] of the job how long and how often the crew is there",
                ),
            ];
            let steps: Vec<&str> = steps
                .into_iter()
                .filter_map(|(lack, step)| said(lack).then_some(step))
                .collect();
            (!steps.is_empty()).then(|| steps.join("; "))
        }
        "MESSAGE_TOO_LARGE" if said("the answer") => Some(SMALLER_ANSWER.to_owned()),
        _ => None,
    }
}

/// What makes the answer to a job smaller.
pub(super) const SMALLER_ANSWER: &str = "take fewer walls to a job, or raise lift_height_m";

/// The next step after a refusal that names no reason of its own.
pub(super) fn of_code(status: &Status) -> Option<String> {
    let hint = match status.code() {
        Code::Unavailable => {
            "see how it is with `hod server status`; where it encrypts, HOD_SERVER begins with https://".to_owned()
        }
        Code::Unauthenticated | Code::PermissionDenied => {
            "set HOD_TOKEN, or HOD_DATA to the folder of the server whose owner you are".to_owned()
        }
        Code::OutOfRange => SMALLER_ANSWER.to_owned(),
        Code::Aborted => "read it again with `show`, then repeat the change".to_owned(),
        Code::NotFound => format!("see what there is with `{}`", list_for(status.message())?),
        _ => return None,
    };
    Some(hint)
}

/// The command that lists the things of the first resource name in a message: `hod site list`, and for what is kept
/// below another thing `hod soil list long-acre`.
fn list_for(message: &str) -> Option<String> {
    let below = [
        (name::collection::PRICES, "price"),
        (name::collection::LABOUR_RATES, "labour-rate"),
        (name::collection::SOIL_TESTS, "soil"),
        (name::collection::MIX_TRIALS, "trial"),
        (name::collection::ESTIMATES, "estimate"),
    ];
    let alone = [
        (name::collection::REGIONS, "region"),
        (name::collection::SITES, "site"),
        (name::collection::MATERIALS, "material"),
        (name::collection::MIXES, "mix"),
        (name::collection::CREWS, "crew"),
        (name::collection::LABOUR_CONSTANTS, "constant"),
        (name::collection::JOBS, "job"),
        (name::collection::RULE_PACKS, "rules"),
        (name::collection::QUOTES, "quote"),
    ];
    let mut words = message.split_whitespace();
    let ids: Vec<&str> = words.find(|word| word.contains('/'))?.split('/').collect();
    let noun_of = |nouns: &[(&str, &'static str)], collection: &str| {
        let found = nouns.iter().find(|(known, _)| *known == collection);
        found.map(|(_, noun)| *noun)
    };
    match ids[..] {
        [_, quote, name::collection::VARIATIONS, _] => {
            Some(format!("hod quote variations {quote}"))
        }
        [_, parent, collection, _] => {
            let noun = noun_of(&below, collection)?;
            Some(format!("hod {noun} list {parent}"))
        }
        [collection, _] => Some(format!("hod {} list", noun_of(&alone, collection)?)),
        _ => None,
    }
}
