//! What is told when something cannot be done: an exit code, a line for each fault and, where there is one, the next
//! step. A server's status is put into these here; where in a job file a fault stands is `job_file`'s to know.

use std::fmt;
use std::io;

use tonic::{Code, Status};
use tonic_types::{ErrorDetails, StatusExt};

use crate::exit;
use crate::job_file::{Place, Places};
use crate::name;

/// One thing that is wrong.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Fault {
    /// Where in a job file; none for what was not read from one.
    pub place: Option<Place>,
    /// The field of the contract, as `walls[0].height_m`; empty when none is to blame.
    pub field: String,
    /// What was found, what was expected, what to do.
    pub description: String,
}

impl Fault {
    /// A fault of nothing in particular.
    pub fn plain(description: impl Into<String>) -> Self {
        Self {
            place: None,
            field: String::new(),
            description: description.into(),
        }
    }

    /// A fault on a field that a flag gives.
    fn of_field(field: &str, description: &str) -> Self {
        Self {
            place: None,
            field: field.to_owned(),
            description: description.to_owned(),
        }
    }
}

/// `studio.toml:12: wall south: height_m: ...`, or `--display-name: ...`, or the sentence alone.
impl fmt::Display for Fault {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match &self.place {
            Some(place) if place.line.is_none() && place.key.is_empty() => {
                write!(f, "{place} {}", self.description)
            }
            Some(place) => write!(f, "{place}: {}", self.description),
            // A wall named in the sentence says more than its number in the path.
            None if self.description.starts_with("wall \"") => f.write_str(&self.description),
            None => match named(&self.field) {
                name if name.is_empty() => f.write_str(&self.description),
                name => match after_leaf(&self.field, &self.description) {
                    Some(rest) => write!(f, "{name}{rest}"),
                    None => write!(f, "{name}: {}", self.description),
                },
            },
        }
    }
}

/// The rest of a sentence that begins with the field's own name.
fn after_leaf<'text>(field: &str, description: &'text str) -> Option<&'text str> {
    let leaf = field.rsplit('.').next().unwrap_or(field);
    let rest = description.strip_prefix(leaf)?;
    rest.starts_with([' ', ':']).then_some(rest)
}

/// What a person calls a field of a request: the flag that gives it, the path below a job, or nothing where the
/// sentence alone says it. `region.build_up.tax_percent` is `--tax-percent`.
fn named(field: &str) -> String {
    if let Some(below) = below_job(field) {
        return below.to_owned();
    }
    let (thing, leaf) = match (field.split_once('.'), field.rsplit_once('.')) {
        (Some((thing, _)), Some((_, leaf))) => (thing, leaf),
        _ => ("", field),
    };
    match (thing, leaf) {
        (_, "price_date" | "on_date") => "--on".to_owned(),
        ("", "request_id" | "list_version") => flag(field),
        ("", _) | (_, "name") => String::new(),
        ("mix", _) if field.contains("ingredients") => "--part".to_owned(),
        (_, _) if field.contains("make_up") => "--grade".to_owned(),
        (_, leaf) => flag(leaf),
    }
}

fn flag(field: &str) -> String {
    format!("--{}", field.replace('_', "-"))
}

/// Why a command could not be carried out.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Failure {
    /// The exit code.
    pub code: u8,
    /// The rule that refused, as the server names it; empty when it was not a server.
    pub reason: String,
    /// All that is wrong.
    pub faults: Vec<Fault>,
    /// The next step.
    pub hint: Option<String>,
}

impl Failure {
    /// Several faults.
    pub fn new(code: u8, faults: Vec<Fault>) -> Self {
        Self {
            code,
            reason: String::new(),
            faults,
            hint: None,
        }
    }

    /// One fault of nothing in particular.
    pub fn plain(code: u8, description: impl Into<String>) -> Self {
        Self::new(code, vec![Fault::plain(description)])
    }

    /// The answer could not be written. A reader that went away has what it wanted.
    pub fn printing(refusal: &io::Error) -> Self {
        if refusal.kind() == io::ErrorKind::BrokenPipe {
            Self::new(exit::DONE, Vec::new())
        } else {
            Self::plain(
                exit::UNEXPECTED,
                format!("the answer could not be written: {refusal}"),
            )
        }
    }

    /// With the next step.
    pub fn hinting(mut self, hint: impl Into<String>) -> Self {
        self.hint = Some(hint.into());
        self
    }

    /// The faults on a job brought back to the lines of its file.
    pub fn placed(mut self, places: &Places) -> Self {
        for fault in &mut self.faults {
            let Some(field) = below_job(&fault.field) else {
                continue;
            };
            if let Some(place) = places.find(field) {
                fault.description = without_repetition(&place, &fault.description);
                fault.place = Some(place.unless_said_in(&fault.description));
            }
        }
        self
    }

    /// With the job named that it is of, where a fault does not say so by its place.
    pub fn of_input(mut self, input: &str) -> Self {
        for fault in self.faults.iter_mut().filter(|fault| fault.place.is_none()) {
            fault.description = format!("{input}: {fault}");
            fault.field = String::new();
        }
        self
    }

    /// An answer that no server of ours gives: it names its reason with every refusal.
    fn foreign(status: &Status) -> Self {
        let told = format!(
            "what answers there is not a server of hod's: {}",
            status.message()
        );
        Self::plain(exit::NO_SERVER, told).hinting(
            "see that HOD_SERVER is right; where the server encrypts it begins with https://",
        )
    }

    /// Faults that came as an answer of a stream and not as a status.
    pub fn answered(faults: hod_wire::v1::Faults) -> Self {
        let told = faults
            .faults
            .iter()
            .map(|fault| Fault::of_field(&fault.field, &fault.description))
            .collect();
        let code = code_of_reason(&faults.reason).unwrap_or(exit::REFUSED);
        let mut failure = Self::new(code, told);
        failure.hint = hint_of_reason(&faults.reason, &failure.faults);
        failure.reason = faults.reason;
        failure
    }
}

/// A sentence without the wall and opening in front of it, where the place says them already.
fn without_repetition(place: &Place, description: &str) -> String {
    let rest = description.split_once("\": ").and_then(|(thing, rest)| {
        let is_said = !place.thing.is_empty() && thing.replace('"', "") == place.thing;
        is_said.then_some(rest)
    });
    rest.unwrap_or(description).to_owned()
}

/// The path of a field below the job of a request; none when it is not of the job's own.
fn below_job(field: &str) -> Option<&str> {
    let field = field.strip_prefix("request.").unwrap_or(field);
    let below = field.strip_prefix("job")?;
    below.strip_prefix('.').or(below.is_empty().then_some(""))
}

/// A server's refusal, with every fault that it names.
impl From<Status> for Failure {
    fn from(status: Status) -> Self {
        let details = status.get_error_details();
        let reason = details.error_info().map_or("", |info| info.reason.as_str());
        if reason.is_empty() && is_foreign(status.code()) {
            return Self::foreign(&status);
        }
        let mut failure = Self::new(code(&status, reason), faults(&status, &details));
        failure.hint = hint_of_reason(reason, &failure.faults).or_else(|| hint_of_code(&status));
        failure.reason = reason.to_owned();
        failure
    }
}

/// Codes that the connection makes up itself when what it hears is not the contract.
fn is_foreign(code: Code) -> bool {
    matches!(code, Code::Unknown | Code::Internal | Code::Unimplemented)
}

fn faults(status: &Status, details: &ErrorDetails) -> Vec<Fault> {
    let fields = details
        .bad_request()
        .map_or(&[][..], |bad| bad.field_violations.as_slice())
        .iter()
        .map(|violation| Fault::of_field(&violation.field, &violation.description));
    let preconditions = details
        .precondition_failure()
        .map_or(&[][..], |failure| failure.violations.as_slice())
        .iter()
        .map(|violation| Fault::plain(&violation.description));
    let told: Vec<Fault> = fields.chain(preconditions).collect();
    if told.is_empty() {
        vec![Fault::plain(message(status))]
    } else {
        told
    }
}

/// What the server said, or what happened when it said nothing.
fn message(status: &Status) -> String {
    match (status.code(), status.message()) {
        (Code::Unavailable, _) => "the server went away before it answered".to_owned(),
        (Code::DeadlineExceeded | Code::Cancelled, _) => {
            "the server did not answer in time".to_owned()
        }
        (Code::Unauthenticated, _) => "the server does not take this token".to_owned(),
        (code, "") => format!("the server refused: {code}"),
        (_, message) => message.to_owned(),
    }
}

fn code(status: &Status, reason: &str) -> u8 {
    if let Some(code) = code_of_reason(reason) {
        return code;
    }
    match status.code() {
        Code::InvalidArgument
        | Code::AlreadyExists
        | Code::FailedPrecondition
        | Code::OutOfRange
        | Code::ResourceExhausted
        | Code::Unimplemented => exit::REFUSED,
        Code::NotFound => exit::MISSING,
        Code::Unavailable
        | Code::Unauthenticated
        | Code::PermissionDenied
        | Code::DeadlineExceeded
        | Code::Cancelled => exit::NO_SERVER,
        Code::Aborted => exit::CHANGED,
        Code::Ok | Code::Unknown | Code::Internal | Code::DataLoss => exit::UNEXPECTED,
    }
}

/// Reasons that say more than the status code does.
fn code_of_reason(reason: &str) -> Option<u8> {
    match reason {
        "ESTIMATE_LACKS_INPUTS" => Some(exit::MISSING),
        "JOB_HAS_FAULTS" => Some(exit::REFUSED),
        _ if reason.ends_with("NOT_FOUND") => Some(exit::MISSING),
        _ => None,
    }
}

fn hint_of_reason(reason: &str, faults: &[Fault]) -> Option<String> {
    let said = |word: &str| faults.iter().any(|fault| fault.description.contains(word));
    match reason {
        "ESTIMATE_LACKS_INPUTS" if said("price") => {
            Some("put a price in force with `hod price set REGION MATERIAL`".to_owned())
        }
        "ESTIMATE_LACKS_INPUTS" if said("rate") => {
            Some("put a rate in force with `hod labour-rate set REGION GRADE`".to_owned())
        }
        "ESTIMATE_LACKS_INPUTS" if said("constant") => {
            Some("see which there are with `hod constant list`".to_owned())
        }
        _ => None,
    }
}

fn hint_of_code(status: &Status) -> Option<String> {
    let hint = match status.code() {
        Code::Unavailable => {
            "see how it is with `hod server status`; where it encrypts, HOD_SERVER begins with https://".to_owned()
        }
        Code::Unauthenticated | Code::PermissionDenied => {
            "set HOD_TOKEN, or HOD_DATA to the folder of the server whose owner you are".to_owned()
        }
        Code::Aborted => "read it again with `show`, then repeat the change".to_owned(),
        Code::NotFound => format!(
            "see what there is with `hod {} list`",
            noun_in(status.message())?
        ),
        _ => return None,
    };
    Some(hint)
}

/// The command whose things a message speaks of, by the first resource name in it.
fn noun_in(message: &str) -> Option<&'static str> {
    let nouns = [
        (name::collection::PRICES, "price"),
        (name::collection::LABOUR_RATES, "labour-rate"),
        (name::collection::SOIL_TESTS, "soil"),
        (name::collection::ESTIMATES, "estimate"),
        (name::collection::REGIONS, "region"),
        (name::collection::SITES, "site"),
        (name::collection::MATERIALS, "material"),
        (name::collection::MIXES, "mix"),
        (name::collection::CREWS, "crew"),
        (name::collection::LABOUR_CONSTANTS, "constant"),
        (name::collection::JOBS, "job"),
    ];
    nouns
        .iter()
        .find(|(collection, _)| message.contains(&format!("{collection}/")))
        .map(|(_, noun)| *noun)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_status_has_its_exit_code() {
        for (code, exit_code) in [
            (Code::InvalidArgument, exit::REFUSED),
            (Code::AlreadyExists, exit::REFUSED),
            (Code::FailedPrecondition, exit::REFUSED),
            (Code::OutOfRange, exit::REFUSED),
            (Code::ResourceExhausted, exit::REFUSED),
            (Code::NotFound, exit::MISSING),
            (Code::Unavailable, exit::NO_SERVER),
            (Code::Unauthenticated, exit::NO_SERVER),
            (Code::PermissionDenied, exit::NO_SERVER),
            (Code::DeadlineExceeded, exit::NO_SERVER),
            (Code::Cancelled, exit::NO_SERVER),
            (Code::Aborted, exit::CHANGED),
            (Code::DataLoss, exit::UNEXPECTED),
            // Without a reason of ours these are not our server's.
            (Code::Unknown, exit::NO_SERVER),
            (Code::Internal, exit::NO_SERVER),
            (Code::Unimplemented, exit::NO_SERVER),
        ] {
            assert_eq!(
                Failure::from(Status::new(code, "said")).code,
                exit_code,
                "{code:?}"
            );
        }
    }

    #[test]
    fn a_reason_says_more_than_its_status() {
        let failure = |code, reason| {
            let details =
                ErrorDetails::with_error_info(reason, "hod", std::collections::HashMap::new());
            Failure::from(Status::with_error_details(code, "said", details)).code
        };
        assert_eq!(
            failure(Code::FailedPrecondition, "ESTIMATE_LACKS_INPUTS"),
            exit::MISSING
        );
        assert_eq!(
            failure(Code::FailedPrecondition, "RULE_BROKEN"),
            exit::REFUSED
        );
        assert_eq!(
            failure(Code::InvalidArgument, "JOB_HAS_FAULTS"),
            exit::REFUSED
        );
        assert_eq!(failure(Code::Internal, "INTERNAL"), exit::UNEXPECTED);
    }

    #[test]
    fn a_field_is_told_in_the_words_of_who_gave_it() {
        for (field, description, told) in [
            (
                "region.currency_code",
                "\"X\" is not a currency",
                "--currency-code: \"X\" is not a currency",
            ),
            (
                "region.build_up.tax_percent",
                "tax_percent is 190; too much",
                "--tax-percent is 190; too much",
            ),
            (
                "price.start_date",
                "start_date: \"x\" is not a date",
                "--start-date: \"x\" is not a date",
            ),
            (
                "price_date",
                "price_date: \"x\" is not a date",
                "--on: \"x\" is not a date",
            ),
            ("mix.ingredients[0].parts", "parts is 0", "--part is 0"),
            (
                "crew.make_up[1].share_percent",
                "they add up to 90",
                "--grade: they add up to 90",
            ),
            ("name", "there is no job jobs/x", "there is no job jobs/x"),
            (
                "job.mix",
                "there is no mix mixes/x",
                "mix: there is no mix mixes/x",
            ),
            (
                "job.walls[3].height_m",
                "wall \"a\": height_m is 99 m",
                "wall \"a\": height_m is 99 m",
            ),
            ("", "said", "said"),
        ] {
            assert_eq!(
                Fault::of_field(field, description).to_string(),
                told,
                "{field}"
            );
        }
    }
}
