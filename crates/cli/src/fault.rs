//! What is told when something cannot be done: an exit code, a line for each fault and, where there is one, the next
//! step. A server's status is put into these here; where in a job file a fault stands is `job_file`'s to know. What a
//! person calls a field is in `field`, the next steps in `hint`.

mod field;
mod hint;
#[cfg(test)]
mod tests;

use std::fmt;
use std::io;

use tonic::{Code, Status, TimeoutExpired};
use tonic_types::{ErrorDetails, StatusExt};

use field::{after_leaf, below_job, named, without_leaf};

use crate::exit;
use crate::job_file::{Place, Places};

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
                name if name.is_empty() => {
                    f.write_str(without_leaf(&self.field, &self.description))
                }
                name => match after_leaf(&self.field, &self.description) {
                    Some(rest) => write!(f, "{name}{rest}"),
                    None => write!(f, "{name}: {}", self.description),
                },
            },
        }
    }
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
    pub fn placed(self, places: &Places) -> Self {
        // The name and the tag of a stored job stand in no file.
        self.placed_by(places, |field| {
            below_job(field).filter(|field| !matches!(*field, "name" | "etag"))
        })
    }

    /// The faults on what was read from a file brought back to its lines; `below` gives the path in the file of a field
    /// that stands in it.
    pub fn placed_by(mut self, places: &Places, below: impl Fn(&str) -> Option<&str>) -> Self {
        for fault in &mut self.faults {
            let Some(field) = below(&fault.field) else {
                continue;
            };
            if let Some(place) = places.find(field) {
                fault.description = without_repetition(&place, &fault.description);
                if let Some(rest) = after_leaf(field, &fault.description) {
                    fault.description = format!("{}{rest}", place.key);
                }
                fault.place = Some(place.unless_said_in(&fault.description));
            }
        }
        self
    }

    /// With the server named that it is of, where only its command knows.
    pub fn at(mut self, server: &str) -> Self {
        for fault in &mut self.faults {
            if fault.description == lost(SOME_SERVER) {
                fault.description = lost(server);
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

    /// The connection broke while an answer was waited for.
    fn lost() -> Self {
        Self::plain(exit::NO_SERVER, lost(SOME_SERVER)).hinting(
            "see how it is with `hod server status` and ask again, a change with the same --request-id; where the \
             server encrypts, HOD_SERVER begins with https://",
        )
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
        failure.hint = hint::of_reason(&faults.reason, &failure.faults);
        failure.reason = faults.reason;
        failure
    }
}

/// A sentence without the wall and opening in front of it, where the place says them already, and maybe more.
fn without_repetition(place: &Place, description: &str) -> String {
    let rest = description.match_indices(": ").find_map(|(at, colon)| {
        let (thing, rest) = description.split_at_checked(at)?;
        let beyond = place.thing.strip_prefix(&thing.replace('"', ""))?;
        let is_said = at != 0 && (beyond.is_empty() || beyond.starts_with(", "));
        is_said.then(|| &rest[colon.len()..])
    });
    rest.unwrap_or(description).to_owned()
}

/// A server's refusal, with every fault that it names.
impl From<Status> for Failure {
    fn from(status: Status) -> Self {
        let details = status.get_error_details();
        let reason = details.error_info().map_or("", |info| info.reason.as_str());
        if reason.is_empty() && is_lost(&status) {
            return Self::lost();
        }
        if reason.is_empty() && is_foreign(status.code()) {
            return Self::foreign(&status);
        }
        let mut failure = Self::new(code(&status, reason), faults(&status, &details));
        failure.hint = hint::of_provisional(&details)
            .or_else(|| hint::of_reason(reason, &failure.faults))
            .or_else(|| hint::of_code(&status));
        failure.reason = reason.to_owned();
        failure
    }
}

/// What is told of a connection that broke.
fn lost(server: &str) -> String {
    format!(
        "the connection to {server} was lost before an answer came; a change may or may not have been kept"
    )
}

/// A server whose address is not known where its status is read.
const SOME_SERVER: &str = "the server";

/// Whether the connection broke: a status without a reason that was made on this side, and not for want of time.
fn is_lost(status: &Status) -> bool {
    let causes =
        || std::iter::successors(std::error::Error::source(status), |cause| cause.source());
    match status.code() {
        Code::Unavailable => true,
        Code::Unknown => causes().next().is_some(),
        Code::Cancelled => {
            causes().next().is_some() && !causes().any(|cause| cause.is::<TimeoutExpired>())
        }
        _ => false,
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
    match (status.code(), told.is_empty()) {
        // What is told then is what changed meanwhile, and it needs the sentence that says so.
        (Code::Aborted, false) => std::iter::once(Fault::plain(message(status)))
            .chain(told.iter().map(meanwhile))
            .collect(),
        (_, true) => vec![Fault::plain(message(status))],
        (_, false) => told,
    }
}

/// What changed since it was read, under the name that the thing has for it: nobody gave it with a flag.
fn meanwhile(changed: &Fault) -> Fault {
    let field = changed.field.as_str();
    let description = changed.description.as_str();
    let is_said = field.is_empty() || after_leaf(field, description).is_some();
    Fault::plain(if is_said {
        format!("meanwhile: {description}")
    } else {
        format!("meanwhile: {field}: {description}")
    })
}

/// What the server said, or what happened when it said nothing.
fn message(status: &Status) -> String {
    match (status.code(), status.message()) {
        (Code::DeadlineExceeded | Code::Cancelled, _) => {
            "the server did not answer in time".to_owned()
        }
        (Code::Unauthenticated, _) => "the server does not take this token".to_owned(),
        (Code::OutOfRange, message) => format!("the answer is too large to be read: {message}"),
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
