//! From a refusal to what is sent: the only place that knows gRPC codes. Every status has exactly one `ErrorInfo`,
//! and the fields to blame where there are any. What is inside is logged here, once, and never sent.

use std::collections::HashMap;
use std::time::Duration;

use tonic::{Code, Status};
use tonic_types::{
    BadRequest, ErrorDetail, ErrorInfo, FieldViolation, PreconditionFailure, PreconditionViolation,
    ResourceInfo, RetryInfo, StatusExt,
};

use crate::limits::MESSAGE_BYTES_MAX;
use crate::refusal::{Lack, Missing, NAMED_MAX, Refusal, Violation};

/// The domain of every `ErrorInfo`.
pub const DOMAIN: &str = "hod";

/// How long a caller that was sent away is asked to wait: a few times what a call takes.
const RETRY_AFTER: Duration = Duration::from_millis(100);

/// Most bytes of violations in one status. They travel in a header, which is half as long again in base64, and
/// common clients take 8 KiB of headers and no more.
const VIOLATION_BYTES_MAX: usize = 4500;

impl From<Refusal> for Status {
    fn from(refusal: Refusal) -> Self {
        log(&refusal);
        let message = refusal.to_string();
        let (code, reason, metadata, mut details) = parts(refusal);
        let metadata: HashMap<String, String> = metadata
            .into_iter()
            .map(|(key, value)| (key.to_owned(), value))
            .collect();
        details.insert(0, ErrorInfo::new(reason, DOMAIN, metadata).into());
        Status::with_error_details_vec(code, message, details)
    }
}

/// The reason that stands in the `ErrorInfo` of a refusal.
pub fn reason(refusal: &Refusal) -> &'static str {
    match refusal {
        Refusal::Fields(_) => "FIELDS_HAVE_FAULTS",
        Refusal::JobHasFaults(_) => "JOB_HAS_FAULTS",
        Refusal::NotFound(..) => "NOT_FOUND",
        Refusal::Taken { .. } => "ALREADY_EXISTS",
        Refusal::Stale { .. } => "ETAG_MISMATCH",
        Refusal::LacksInputs(_) => "ESTIMATE_LACKS_INPUTS",
        Refusal::StandsAgainst(_) => "STANDS_AGAINST",
        Refusal::RuleBroken { .. } => "RULE_BROKEN",
        Refusal::RequestReused => "REQUEST_ID_REUSED",
        Refusal::Unauthenticated => "UNAUTHENTICATED",
        Refusal::Busy => "TOO_MANY_CALLS",
        Refusal::TooLarge { .. } => "MESSAGE_TOO_LARGE",
        Refusal::NotAMessage => "NOT_A_MESSAGE",
        Refusal::UnknownMethod => "UNKNOWN_METHOD",
        Refusal::DeadlineExceeded => "DEADLINE_EXCEEDED",
        Refusal::Interrupted(_) => "INTERRUPTED",
        Refusal::Unavailable(_) => "DATABASE_UNAVAILABLE",
        Refusal::Internal(_) => "INTERNAL",
    }
}

/// Code, reason, variables of the message, and the other details.
type Parts = (
    Code,
    &'static str,
    Vec<(&'static str, String)>,
    Vec<ErrorDetail>,
);

fn parts(refusal: Refusal) -> Parts {
    let reason = reason(&refusal);
    match refusal {
        Refusal::Fields(violations) | Refusal::JobHasFaults(violations) => (
            Code::InvalidArgument,
            reason,
            vec![("faultCount", violations.len().to_string())],
            vec![bad_request(violations).into()],
        ),
        Refusal::NotFound(missing, lacks) => (
            Code::NotFound,
            reason,
            vec![("names", names(&missing))],
            not_found(missing, lacks),
        ),
        Refusal::Taken { name } => (
            Code::AlreadyExists,
            reason,
            vec![("name", name)],
            Vec::new(),
        ),
        Refusal::Stale { name, changes } => (
            Code::Aborted,
            reason,
            vec![("name", name)],
            changed(changes),
        ),
        Refusal::LacksInputs(lacks) => (
            Code::FailedPrecondition,
            reason,
            vec![("lackCount", lacks.len().to_string())],
            vec![precondition_failure(lacks, VIOLATION_BYTES_MAX).into()],
        ),
        Refusal::StandsAgainst(all) => (
            Code::FailedPrecondition,
            reason,
            vec![("faultCount", all.len().to_string())],
            vec![precondition_failure(all, VIOLATION_BYTES_MAX).into()],
        ),
        Refusal::RuleBroken { rule, .. } => (
            Code::FailedPrecondition,
            reason,
            vec![("rule", rule.to_owned())],
            Vec::new(),
        ),
        Refusal::RequestReused => (Code::FailedPrecondition, reason, Vec::new(), Vec::new()),
        Refusal::Unauthenticated => (Code::Unauthenticated, reason, Vec::new(), Vec::new()),
        Refusal::Busy => (
            Code::ResourceExhausted,
            reason,
            Vec::new(),
            vec![RetryInfo::new(Some(RETRY_AFTER)).into()],
        ),
        Refusal::TooLarge { limit, .. } => (
            Code::ResourceExhausted,
            reason,
            vec![("limitBytes", limit.to_string())],
            Vec::new(),
        ),
        Refusal::NotAMessage => (Code::InvalidArgument, reason, Vec::new(), Vec::new()),
        Refusal::UnknownMethod => (Code::Unimplemented, reason, Vec::new(), Vec::new()),
        Refusal::DeadlineExceeded => (Code::DeadlineExceeded, reason, Vec::new(), Vec::new()),
        Refusal::Interrupted(_) => (Code::Cancelled, reason, Vec::new(), Vec::new()),
        Refusal::Unavailable(_) => (
            Code::Unavailable,
            reason,
            Vec::new(),
            vec![RetryInfo::new(Some(RETRY_AFTER)).into()],
        ),
        Refusal::Internal(_) => (Code::Internal, reason, Vec::new(), Vec::new()),
    }
}

fn names(missing: &[Missing]) -> String {
    let named = missing.iter().take(NAMED_MAX);
    let names: Vec<&str> = named.map(|missing| missing.name.as_str()).collect();
    names.join(" ")
}

/// One thing missing is told as itself; several, or one that a field names, as the fields that name them. What else is
/// lacking has what room they leave.
fn not_found(missing: Vec<Missing>, lacks: Vec<Lack>) -> Vec<ErrorDetail> {
    let mut details = Vec::new();
    if let [one] = missing.as_slice() {
        let info = ResourceInfo::new(one.noun, one.name.as_str(), "", "it is not there");
        details.push(info.into());
    }
    let violations: Vec<Violation> = missing
        .into_iter()
        .map(|missing| Violation {
            description: format!("there is no {} {}", missing.noun, missing.name),
            field: missing.field,
            reason: "NOT_FOUND",
        })
        .collect();
    let left = VIOLATION_BYTES_MAX.saturating_sub(violations.iter().map(size_of_violation).sum());
    details.push(bad_request(violations).into());
    if !lacks.is_empty() {
        details.push(precondition_failure(lacks, left).into());
    }
    details
}

/// What changed since a thing was read, field by field.
fn changed(changes: Vec<Violation>) -> Vec<ErrorDetail> {
    if changes.is_empty() {
        return Vec::new();
    }
    vec![bad_request(changes).into()]
}

fn size_of_violation(violation: &Violation) -> usize {
    violation.field.len() + violation.description.len() + violation.reason.len() + 12
}

fn bad_request(violations: Vec<Violation>) -> BadRequest {
    let told = how_many_fit(&violations, size_of_violation, VIOLATION_BYTES_MAX);
    let left = violations.len() - told;
    let mut fields: Vec<FieldViolation> = violations
        .into_iter()
        .take(told)
        .map(|violation| {
            let mut field = FieldViolation::new(violation.field, violation.description);
            field.reason = violation.reason.to_owned();
            field
        })
        .collect();
    if 0 < left {
        fields.push(FieldViolation::new("", and_more(left)));
    }
    BadRequest::new(fields)
}

fn precondition_failure(lacks: Vec<Lack>, room: usize) -> PreconditionFailure {
    let size = |lack: &Lack| lack.reason.len() + lack.subject.len() + lack.description.len() + 12;
    let told = how_many_fit(&lacks, size, room);
    let left = lacks.len() - told;
    let mut violations: Vec<PreconditionViolation> = lacks
        .into_iter()
        .take(told)
        .map(|lack| PreconditionViolation::new(lack.reason, lack.subject, lack.description))
        .collect();
    if 0 < left {
        violations.push(PreconditionViolation::new("", "", and_more(left)));
    }
    PreconditionFailure::new(violations)
}

fn how_many_fit<T>(all: &[T], size: impl Fn(&T) -> usize, room: usize) -> usize {
    let mut bytes = 0;
    all.iter()
        .take_while(|one| {
            bytes += size(one);
            bytes <= room
        })
        .count()
}

fn and_more(left: usize) -> String {
    format!("and {left} more; mend these first")
}

/// Failures of the server's own are logged with their whole chain; what a caller did wrong is the caller's business.
fn log(refusal: &Refusal) {
    match refusal {
        Refusal::Interrupted(cause) => {
            tracing::debug!(cause = chain(cause.as_ref()), "{refusal}");
        }
        Refusal::Unavailable(cause) => {
            tracing::warn!(cause = chain(cause.as_ref()), "{refusal}");
        }
        Refusal::Internal(cause) => {
            tracing::error!(cause = chain(cause.as_ref()), "{refusal}");
        }
        Refusal::Fields(_)
        | Refusal::JobHasFaults(_)
        | Refusal::NotFound(..)
        | Refusal::Taken { .. }
        | Refusal::Stale { .. }
        | Refusal::LacksInputs(_)
        | Refusal::StandsAgainst(_)
        | Refusal::RuleBroken { .. }
        | Refusal::RequestReused
        | Refusal::Unauthenticated
        | Refusal::Busy
        | Refusal::TooLarge { .. }
        | Refusal::NotAMessage
        | Refusal::UnknownMethod
        | Refusal::DeadlineExceeded => {}
    }
}

/// What a status means that the transport made, before or instead of the service: it knows only codes of its own.
/// `None` for one that can stay as it is.
pub fn of_transport(code: Code, message: &str) -> Option<Refusal> {
    match code {
        // A size beyond the limit, as it comes or once it is unpacked.
        Code::OutOfRange | Code::ResourceExhausted => Some(Refusal::TooLarge {
            what: "the request",
            limit: MESSAGE_BYTES_MAX,
            advice: "send less at once",
        }),
        Code::Internal if message.starts_with("failed to decode Protobuf message") => {
            Some(Refusal::NotAMessage)
        }
        Code::Unimplemented => Some(Refusal::UnknownMethod),
        Code::Ok
        | Code::Cancelled
        | Code::Unknown
        | Code::InvalidArgument
        | Code::DeadlineExceeded
        | Code::NotFound
        | Code::AlreadyExists
        | Code::PermissionDenied
        | Code::FailedPrecondition
        | Code::Aborted
        | Code::Internal
        | Code::Unavailable
        | Code::DataLoss
        | Code::Unauthenticated => None,
    }
}

/// An error and all that caused it, in one line.
pub fn chain(error: &(dyn std::error::Error + 'static)) -> String {
    let mut told = error.to_string();
    let mut source = error.source();
    while let Some(cause) = source {
        told.push_str(": ");
        told.push_str(&cause.to_string());
        source = cause.source();
    }
    told
}

#[cfg(test)]
mod tests {
    use super::*;

    fn violations(count: usize) -> Vec<Violation> {
        (0..count)
            .map(|index| Violation {
                field: format!("job.walls[{index}].height_m"),
                reason: "OUT_OF_RANGE",
                description: "height_m is 99 m; it must be from 0.05 to 30 m".into(),
            })
            .collect()
    }

    fn every_refusal() -> Vec<(Refusal, Code)> {
        let lack = Lack {
            reason: "NO_PRICE_IN_FORCE",
            subject: "regions/north".into(),
            description: "no price of sand".into(),
        };
        let too_large = Refusal::TooLarge {
            what: "the request",
            limit: 4,
            advice: "send less",
        };
        let broken = Refusal::RuleBroken {
            rule: "one_currency",
            message: "the chain has one currency".into(),
        };
        vec![
            (Refusal::Fields(violations(1)), Code::InvalidArgument),
            (Refusal::JobHasFaults(violations(2)), Code::InvalidArgument),
            (Refusal::not_found("name", "mix", "mixes/a"), Code::NotFound),
            (
                Refusal::Taken {
                    name: "mixes/a".into(),
                },
                Code::AlreadyExists,
            ),
            (
                Refusal::Stale {
                    name: "mixes/a".into(),
                    changes: violations(1),
                },
                Code::Aborted,
            ),
            (
                Refusal::StandsAgainst(vec![lack.clone()]),
                Code::FailedPrecondition,
            ),
            (Refusal::LacksInputs(vec![lack]), Code::FailedPrecondition),
            (broken, Code::FailedPrecondition),
            (Refusal::RequestReused, Code::FailedPrecondition),
            (Refusal::Unauthenticated, Code::Unauthenticated),
            (Refusal::Busy, Code::ResourceExhausted),
            (too_large, Code::ResourceExhausted),
            (Refusal::NotAMessage, Code::InvalidArgument),
            (Refusal::UnknownMethod, Code::Unimplemented),
            (Refusal::DeadlineExceeded, Code::DeadlineExceeded),
            (Refusal::Interrupted("reset".into()), Code::Cancelled),
            (Refusal::Unavailable("pool".into()), Code::Unavailable),
            (Refusal::internal("secret"), Code::Internal),
        ]
    }

    #[test]
    fn every_refusal_has_its_code_and_exactly_one_error_info_of_the_permitted_form() {
        for (refusal, code) in every_refusal() {
            let named = reason(&refusal);
            let status = Status::from(refusal);
            assert_eq!(status.code(), code, "{named}");
            let infos: Vec<ErrorInfo> = status
                .get_error_details_vec()
                .into_iter()
                .filter_map(|detail| match detail {
                    ErrorDetail::ErrorInfo(info) => Some(info),
                    _ => None,
                })
                .collect();
            assert_eq!(infos.len(), 1, "{named}");
            assert_eq!(
                (infos[0].reason.as_str(), infos[0].domain.as_str()),
                (named, DOMAIN)
            );
            assert!(
                named.len() <= 63 && named.bytes().all(|b| b.is_ascii_uppercase() || b == b'_')
            );
            for key in infos[0].metadata.keys() {
                assert!(key.bytes().all(|b| b.is_ascii_alphanumeric()), "{key}");
            }
        }
    }

    #[test]
    fn what_went_wrong_inside_is_never_sent() {
        for refusal in [
            Refusal::internal("relation price does not exist"),
            Refusal::Unavailable("host 10.0.0.1 refused".into()),
        ] {
            let sent = format!("{:?}", Status::from(refusal));
            assert!(
                !sent.contains("relation") && !sent.contains("10.0.0.1"),
                "{sent}"
            );
        }
    }

    #[test]
    fn faults_that_do_not_fit_in_a_header_are_counted() {
        let status = Status::from(Refusal::JobHasFaults(violations(5000)));
        let details = status.get_error_details();
        let fields = details
            .bad_request()
            .expect("violations")
            .field_violations
            .clone();
        let told = fields.len() - 1;
        assert!(30 < told && told < 100, "{told}");
        assert_eq!(
            fields[told].description,
            format!("and {} more; mend these first", 5000 - told)
        );
        let info = details.error_info().expect("info").metadata.clone();
        assert_eq!(info["faultCount"], "5000");
        // In base64, with what else stands in the header.
        assert!(
            status.details().len() * 4 / 3 < 7 * 1024,
            "{}",
            status.details().len()
        );
    }

    #[test]
    fn the_chain_of_causes_is_told_in_one_line() {
        let inner = std::io::Error::other("socket closed");
        let outer = Refusal::Unavailable(Box::new(inner));
        assert_eq!(
            chain(&outer),
            "the database cannot be reached just now; try again: socket closed"
        );
    }
}
