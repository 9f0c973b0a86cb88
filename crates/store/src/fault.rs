//! Why the store could not do what was asked. A broken constraint becomes the plain sentence that stands beside its
//! noun's queries; what is no business of the caller's is kept as a source for the log and never said.

use sqlx::error::DatabaseError;

use crate::thing::Thing;

/// Why the store could not do what was asked.
#[derive(Debug, thiserror::Error)]
pub enum StoreFault {
    /// There is nothing of these names in the firm. Never empty; several when several were needed at once.
    #[error("not found: {}", names(.0))]
    NotFound(Vec<Thing>),
    /// The name is in use already.
    #[error("{0} exists already")]
    Taken(Thing),
    /// It has changed since the version that the caller has read.
    #[error("{} has changed since it was read; read it again and repeat the change", .0.thing)]
    Stale(Stale),
    /// A rule was broken.
    #[error("{message}")]
    Refused {
        /// The rule: the name of a constraint of the database, or of a rule that the store keeps itself.
        rule: &'static str,
        /// What the rule is, in a sentence for people.
        message: String,
    },
    /// The request id was used before, for another request.
    #[error("this request id was used before for another request; use a new one")]
    RequestReused,
    /// The time that the session allows a statement ran out, and it was cancelled.
    #[error("the database took longer than was allowed")]
    TimedOut(#[source] sqlx::Error),
    /// The database cannot be reached or has no room now; the same may succeed later.
    #[error("the database cannot be reached or is overloaded")]
    Unavailable(#[source] sqlx::Error),
    /// A fault of the program or of the database, with no part of the caller's in it.
    #[error("the database answered what was not expected")]
    Internal(#[source] Box<dyn std::error::Error + Send + Sync>),
}

/// What has changed since it was read.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Stale {
    /// What.
    pub thing: Thing,
    /// What has become of it meanwhile, in words, where that is known.
    pub changes: Vec<String>,
}

impl From<Thing> for Stale {
    fn from(thing: Thing) -> Self {
        Self {
            thing,
            changes: Vec::new(),
        }
    }
}

fn names(things: &[Thing]) -> String {
    let names: Vec<_> = things.iter().map(|thing| thing.name.as_str()).collect();
    names.join(", ")
}

/// Constraints and what each says to people.
pub(crate) type Rules = &'static [(&'static str, &'static str)];

/// What an id is, for the constraints that keep it.
pub(crate) const ID: &str = "An id has 1 to 63 lower-case letters, digits and hyphens, starts with a letter and does not end in a hyphen.";
/// What a display name is.
pub(crate) const DISPLAY_NAME: &str = "A display name has 1 to 120 characters.";
/// What a source is, where there must be one.
pub(crate) const SOURCE: &str =
    "A source has 1 to 400 characters: say where the figures come from.";
/// What a version is; nothing that a caller does can break it.
pub(crate) const VERSION: &str = "A version counts from 1.";
/// Not for people as a rule: a session cannot be of a firm that is not there.
pub(crate) const FIRM: &str = "The firm does not exist.";

impl StoreFault {
    /// One thing that is not there.
    pub(crate) fn not_found(thing: Thing) -> Self {
        Self::NotFound(vec![thing])
    }

    /// Something that has changed since it was read.
    pub(crate) fn stale(thing: Thing) -> Self {
        Self::Stale(thing.into())
    }

    /// Something that has changed since it was read, and how.
    pub(crate) fn stale_because(thing: Thing, changes: Vec<String>) -> Self {
        Self::Stale(Stale { thing, changes })
    }

    /// A rule that the store keeps itself, broken.
    pub(crate) fn refused(rule: &'static str, message: impl Into<String>) -> Self {
        Self::Refused {
            rule,
            message: message.into(),
        }
    }
}

impl From<sqlx::Error> for StoreFault {
    fn from(error: sqlx::Error) -> Self {
        match &error {
            sqlx::Error::Database(refusal) => match refusal.code().as_deref() {
                Some("57014") => Self::TimedOut(error),
                Some(code) if is_passing(code) => Self::Unavailable(error),
                _ => Self::Internal(error.into()),
            },
            sqlx::Error::Io(_)
            | sqlx::Error::Tls(_)
            | sqlx::Error::PoolTimedOut
            | sqlx::Error::PoolClosed
            | sqlx::Error::WorkerCrashed
            | sqlx::Error::BeginFailed => Self::Unavailable(error),
            _ => Self::Internal(error.into()),
        }
    }
}

/// Whether a code of Postgres tells of a state that passes: connections (08), lost races (40001, 40P01), resources
/// (53), a lock not given (55P03), a server going down or not up yet (57P), a session ended for idling (25P03).
fn is_passing(code: &str) -> bool {
    ["08", "53", "57P"]
        .iter()
        .any(|class| code.starts_with(class))
        || ["40001", "40P01", "55P03", "25P03"].contains(&code)
}

/// What a failed write means: `named` knows the constraints that stand for a name taken or a thing missing, `rules`
/// the sentences of the others. A constraint that neither knows is a fault of the program.
pub(crate) fn broken(
    error: sqlx::Error,
    rules: Rules,
    named: impl FnOnce(&str) -> Option<StoreFault>,
) -> StoreFault {
    let Some(constraint) = error
        .as_database_error()
        .and_then(DatabaseError::constraint)
    else {
        return error.into();
    };
    if let Some(fault) = named(constraint) {
        return fault;
    }
    match rules.iter().find(|(rule, _)| *rule == constraint) {
        Some((rule, message)) => StoreFault::refused(rule, *message),
        None => StoreFault::Internal(error.into()),
    }
}

/// What a constraint of the database, or a rule that the store keeps itself, says to people; nothing for one that
/// stands for a name taken or a thing missing.
pub fn sentence(rule: &str) -> Option<&'static str> {
    let nouns = [
        crate::firm::RULES,
        crate::region::RULES,
        crate::price::RULES,
        crate::labour_rate::RULES,
        crate::material::RULES,
        crate::site::RULES,
        crate::soil_test::RULES,
        crate::mix::RULES,
        crate::mix_trial::RULES,
        crate::rule_pack::RULES,
        crate::crew::RULES,
        crate::labour_constant::RULES,
        crate::job::RULES,
        crate::estimate::RULES,
        crate::quote::RULES,
        crate::variation::RULES,
        crate::past_version::RULES,
        crate::request::RULES,
    ];
    let found = nouns
        .iter()
        .flat_map(|rules| rules.iter())
        .find(|(name, _)| *name == rule);
    found.map(|(_, sentence)| *sentence)
}
