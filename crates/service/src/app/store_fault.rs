//! From what the store could not do to what the caller is told.

use hod_store::StoreFault;

use super::meanwhile::in_words;
use crate::refusal::{Missing, Refusal};

/// What a fault of the store means to the caller. `field_of` knows which field of the request names a thing of a noun.
pub fn refusal(fault: StoreFault, field_of: impl Fn(&str) -> &'static str) -> Refusal {
    match fault {
        StoreFault::NotFound(things) => {
            let missing = things.into_iter().map(|thing| Missing {
                field: field_of(thing.noun).to_owned(),
                noun: thing.noun,
                name: thing.name,
            });
            Refusal::NotFound(missing.collect(), Vec::new())
        }
        StoreFault::Taken(thing) => Refusal::Taken { name: thing.name },
        StoreFault::Stale(stale) => Refusal::Stale {
            name: stale.thing.name,
            changes: stale.changes.into_iter().map(in_words).collect(),
        },
        StoreFault::Refused { rule, message } => Refusal::RuleBroken { rule, message },
        StoreFault::RequestReused => Refusal::RequestReused,
        StoreFault::TimedOut(_) => Refusal::DeadlineExceeded,
        StoreFault::Unavailable(_) => Refusal::Unavailable(Box::new(fault)),
        StoreFault::Internal(_) => Refusal::Internal(Box::new(fault)),
    }
}
