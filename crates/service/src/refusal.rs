//! What the service answers when it does not do what was asked: each kind with its facts, in sentences for people.
//! Which gRPC code each becomes is in `status`, and nowhere else.

use std::error::Error;

use crate::limits::MESSAGE_BYTES_MAX;

/// One thing that is wrong with a request.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Violation {
    /// Path of the field from the root of the request: `job.walls[0].openings[1].width_m`; empty when none is to blame.
    pub field: String,
    /// The rule's name, such as `OUT_OF_RANGE`.
    pub reason: &'static str,
    /// What was found, what was expected, what to do.
    pub description: String,
}

/// Something a request names that is not there.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Missing {
    /// Path of the field that names it.
    pub field: String,
    /// One of its kind: `mix`.
    pub noun: &'static str,
    /// Its resource name.
    pub name: String,
}

/// Something an estimate needs and the region, the library or the recipe does not have.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Lack {
    /// The rule's name, such as `NO_PRICE_IN_FORCE`.
    pub reason: &'static str,
    /// The resource it concerns.
    pub subject: String,
    /// What is missing and what to do.
    pub description: String,
}

/// Where the cause of a failure came from; for the log, never for the caller.
pub type Cause = Box<dyn Error + Send + Sync>;

/// Why a request was not done.
#[derive(Debug, thiserror::Error)]
pub enum Refusal {
    /// Fields that cannot be taken.
    #[error("the request has {} to be mended", faults(.0.len()))]
    Fields(Vec<Violation>),
    /// A job that cannot be read or measured.
    #[error("the job has {} to be mended", faults(.0.len()))]
    JobHasFaults(Vec<Violation>),
    /// Things named that are not there, and whatever else an estimate lacks besides.
    #[error("{}", missing(.0))]
    NotFound(Vec<Missing>, Vec<Lack>),
    /// The name is in use.
    #[error("{name} is there already; choose another id")]
    Taken {
        /// The resource name.
        name: String,
    },
    /// The version that the caller read is no longer the current one.
    #[error("{name} has changed since it was read; read it again and repeat the change")]
    Stale {
        /// The resource name.
        name: String,
        /// What changed since, as far as that is known.
        changes: Vec<Violation>,
    },
    /// Prices, rates, constants or properties of materials that an estimate needs.
    #[error("the estimate lacks {}", things(.0.len()))]
    LacksInputs(Vec<Lack>),
    /// What stands against an act on something that is there, all of it.
    #[error("{}", against(.0))]
    StandsAgainst(Vec<Lack>),
    /// A rule of what is stored, given what is there now.
    #[error("{message}")]
    RuleBroken {
        /// The rule's name.
        rule: &'static str,
        /// What stands against it.
        message: String,
    },
    /// A request id that was used for another request.
    #[error("this request_id was used for another request; choose a new one for each request")]
    RequestReused,
    /// No token, or none that is known.
    #[error("a valid token is needed: send `authorization: Bearer TOKEN`")]
    Unauthenticated,
    /// More calls at once than the server takes.
    #[error("the server has all the calls it can take; try again in a moment")]
    Busy,
    /// A message larger than is taken or sent.
    #[error("{what} is larger than the limit of {limit} bytes; {advice}")]
    TooLarge {
        /// Which message.
        what: &'static str,
        /// The limit, in bytes.
        limit: usize,
        /// What to do.
        advice: &'static str,
    },
    /// Bytes that are not the message they should be.
    #[error("the request is not a message of this method; send it as its proto says")]
    NotAMessage,
    /// A method that there is none of.
    #[error("there is no such method here; ask reflection which there are")]
    UnknownMethod,
    /// The caller's time is over.
    #[error("the time allowed for the call is over; allow more, or ask for less at once")]
    DeadlineExceeded,
    /// The caller went away, or the connection broke, in the middle of what was being sent.
    #[error("the request broke off")]
    Interrupted(#[source] Cause),
    /// The database cannot be reached just now.
    #[error("the database cannot be reached just now; try again")]
    Unavailable(#[source] Cause),
    /// A fault of the program.
    #[error("something went wrong inside the server; its log has the particulars")]
    Internal(#[source] Cause),
}

impl Refusal {
    /// A fault of the program, told in words.
    pub fn internal(what: impl Into<Cause>) -> Self {
        Self::Internal(what.into())
    }

    /// Refuses an answer that is larger than a message may be.
    pub fn too_large_to_send(answer: &impl prost::Message) -> Result<(), Self> {
        if answer.encoded_len() <= MESSAGE_BYTES_MAX {
            return Ok(());
        }
        Err(Self::TooLarge {
            what: "the answer",
            limit: MESSAGE_BYTES_MAX,
            advice: "ask for less at once",
        })
    }

    /// One thing that is not there.
    pub fn not_found(
        field: impl Into<String>,
        noun: &'static str,
        name: impl Into<String>,
    ) -> Self {
        let missing = Missing {
            field: field.into(),
            noun,
            name: name.into(),
        };
        Self::NotFound(vec![missing], Vec::new())
    }

    /// One field that cannot be taken.
    pub fn field(
        field: impl Into<String>,
        reason: &'static str,
        description: impl Into<String>,
    ) -> Self {
        Self::Fields(vec![Violation {
            field: field.into(),
            reason,
            description: description.into(),
        }])
    }
}

fn faults(count: usize) -> String {
    match count {
        1 => "a fault".to_owned(),
        _ => format!("{count} faults"),
    }
}

fn things(count: usize) -> String {
    match count {
        1 => "a thing it is made from".to_owned(),
        _ => format!("{count} things it is made from"),
    }
}

fn against(all: &[Lack]) -> String {
    match all {
        [one] if one.subject.is_empty() => one.description.clone(),
        [one] => format!("{}: {}", one.subject, one.description),
        all => format!("{} things stand against it", all.len()),
    }
}

/// Most missing things that one sentence names: it travels in a header.
pub const NAMED_MAX: usize = 12;

fn missing(all: &[Missing]) -> String {
    let named = all.iter().take(NAMED_MAX);
    let names: Vec<String> = named
        .map(|missing| format!("{} {}", missing.noun, missing.name))
        .collect();
    let named = names.join(", and no ");
    match all.len().saturating_sub(NAMED_MAX) {
        0 => format!("there is no {named}"),
        left => format!("there is no {named}, nor {left} more"),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn mix(name: &str) -> Missing {
        Missing {
            field: "job.mix".into(),
            noun: "mix",
            name: name.into(),
        }
    }

    #[test]
    fn all_that_is_missing_is_named_in_one_sentence() {
        let site = Missing {
            field: "job.site".into(),
            noun: "site",
            name: "sites/b".into(),
        };
        let both = Refusal::NotFound(vec![mix("mixes/a"), site], Vec::new());
        assert_eq!(
            both.to_string(),
            "there is no mix mixes/a, and no site sites/b"
        );
    }

    #[test]
    fn a_sentence_that_would_grow_too_long_counts_what_it_does_not_name() {
        let many = vec![mix("mixes/a"); NAMED_MAX + 3];
        let told = Refusal::NotFound(many, Vec::new()).to_string();
        assert!(told.ends_with("mixes/a, nor 3 more"), "{told}");
    }
}
