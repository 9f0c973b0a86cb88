//! What surrounds every call, whatever it asks: its id, its place among all calls, whose it is, its deadline, what
//! becomes of a panic, and one line in the log. What the call itself does is in `rpc`.

use std::convert::Infallible;
use std::future::Future;
use std::panic::AssertUnwindSafe;
use std::pin::Pin;
use std::sync::Arc;
use std::task::{Context, Poll};
use std::time::{Duration, Instant};

use futures::FutureExt;
use http::{HeaderMap, HeaderValue, Request, Response};
use tokio::sync::Semaphore;
use tonic::body::Body;
use tonic::{Code, Status};
use tower::{Layer, Service};
use tracing::Instrument;
use uuid::Uuid;

use crate::access::Access;
use crate::call::{Call, Deadline};
use crate::limits::{TIME_MAX, TIME_USUAL};
use crate::refusal::Refusal;
use crate::status::of_transport;

/// The header that names a call, in and out.
const REQUEST_ID: &str = "x-request-id";

/// Most characters of a caller's name for a call.
const REQUEST_ID_CHARACTERS_MAX: usize = 128;

/// Services that answer without a token: they tell nothing of any firm.
const OPEN: [&str; 3] = [
    "/grpc.health.v1.Health/",
    "/grpc.reflection.v1.ServerReflection/",
    "/grpc.reflection.v1alpha.ServerReflection/",
];

/// Puts every call into its envelope.
#[derive(Clone)]
pub struct Envelope {
    gate: Arc<Gate>,
}

/// What decides whether a call may come in.
struct Gate {
    access: Access,
    places: Arc<Semaphore>,
}

impl Envelope {
    /// An envelope for at most `calls_max` calls at once.
    pub fn new(access: Access, calls_max: usize) -> Self {
        let places = Arc::new(Semaphore::new(calls_max));
        Self {
            gate: Arc::new(Gate { access, places }),
        }
    }
}

impl<S> Layer<S> for Envelope {
    type Service = Enveloped<S>;

    fn layer(&self, inner: S) -> Enveloped<S> {
        Enveloped {
            gate: Arc::clone(&self.gate),
            inner,
        }
    }
}

/// The services, each call in its envelope.
#[derive(Clone)]
pub struct Enveloped<S> {
    gate: Arc<Gate>,
    inner: S,
}

impl<S> Service<Request<Body>> for Enveloped<S>
where
    S: Service<Request<Body>, Response = Response<Body>, Error = Infallible>
        + Clone
        + Send
        + 'static,
    S::Future: Send + 'static,
{
    type Response = Response<Body>;
    type Error = Infallible;
    type Future = Pin<Box<dyn Future<Output = Result<Response<Body>, Infallible>> + Send>>;

    fn poll_ready(&mut self, context: &mut Context<'_>) -> Poll<Result<(), Infallible>> {
        self.inner.poll_ready(context)
    }

    fn call(&mut self, mut request: Request<Body>) -> Self::Future {
        let gate = Arc::clone(&self.gate);
        // The service that was asked whether it is ready is the one to call; its copy takes its place.
        let fresh = self.inner.clone();
        let inner = std::mem::replace(&mut self.inner, fresh);
        let name = name_of(request.headers());
        let span = tracing::info_span!(
            "call",
            request_id = name.to_str().unwrap_or_default(),
            method = request.uri().path()
        );
        let deadline = deadline(request.headers());
        let answered = async move {
            let started = Instant::now();
            let mut response = match gate.admit(&mut request, deadline).await {
                Ok(()) => answer(inner, request, deadline).await,
                Err(refusal) => Status::from(refusal).into_http(),
            };
            mend(&mut response);
            note(&response, started);
            response.headers_mut().insert(REQUEST_ID, name);
            Ok(response)
        };
        Box::pin(answered.instrument(span))
    }
}

impl Gate {
    /// Gives a call its place and finds out whose it is.
    async fn admit(&self, request: &mut Request<Body>, deadline: Deadline) -> Result<(), Refusal> {
        let path = request.uri().path();
        if OPEN.iter().any(|service| path.starts_with(service)) {
            return Ok(());
        }
        let place = Arc::clone(&self.places)
            .try_acquire_owned()
            .map_err(|_| Refusal::Busy)?;
        let firm =
            tokio::time::timeout_at(deadline.at.into(), self.access.firm_of(request.headers()))
                .await
                .map_err(|_| Refusal::DeadlineExceeded)??;
        request.extensions_mut().insert(Call {
            firm,
            deadline,
            place: Arc::new(place),
        });
        Ok(())
    }
}

/// Runs the call until its deadline. A panic is a fault of the program, and costs its own call and no other.
async fn answer<S>(mut inner: S, request: Request<Body>, deadline: Deadline) -> Response<Body>
where
    S: Service<Request<Body>, Response = Response<Body>, Error = Infallible>,
{
    // The place stays taken until the answer is there, even where the call itself has let go of it.
    let _place = request.extensions().get::<Call>().cloned();
    let run = AssertUnwindSafe(inner.call(request)).catch_unwind();
    let done = tokio::time::timeout_at(deadline.at.into(), run).await;
    // Work that never waits is not interrupted; what it has to say then comes too late all the same.
    let is_late = deadline.at <= Instant::now();
    match done {
        Ok(Ok(Ok(response))) if !is_late => response,
        Ok(Err(_)) => Status::from(Refusal::internal("the call panicked")).into_http(),
        Ok(Ok(Ok(_))) | Err(_) => Status::from(Refusal::DeadlineExceeded).into_http(),
    }
}

/// Puts a refusal of ours in the place of a status that the transport made. Ours carry details, and its do not.
fn mend(response: &mut Response<Body>) {
    let Some(code) = code(response.headers()) else {
        return;
    };
    if response.headers().contains_key("grpc-status-details-bin") {
        return;
    }
    let message = response.headers().get("grpc-message");
    let message = message
        .and_then(|message| message.to_str().ok())
        .unwrap_or_default();
    let plain = message.replace("%20", " ");
    if let Some(refusal) = of_transport(code, &plain) {
        *response = Status::from(refusal).into_http();
    }
}

/// One line for each call: what became of it and how long that took. A stream is noted when it begins.
fn note(response: &Response<Body>, started: Instant) {
    let code = code(response.headers()).unwrap_or(Code::Ok);
    let micros = u64::try_from(started.elapsed().as_micros()).unwrap_or(u64::MAX);
    tracing::info!(code = ?code, duration_us = micros, "answered");
}

/// The code of an answer that is nothing but a status; `None` while a message is on its way.
fn code(headers: &HeaderMap) -> Option<Code> {
    let code = headers.get("grpc-status")?;
    Some(Code::from_bytes(code.as_bytes()))
}

/// The caller's name for the call, where it is one that can stand in a log, else a new one.
fn name_of(headers: &HeaderMap) -> HeaderValue {
    let is_fit = |name: &&HeaderValue| {
        let plain = |byte: &u8| byte.is_ascii_alphanumeric() || matches!(byte, b'.' | b'_' | b'-');
        (1..=REQUEST_ID_CHARACTERS_MAX).contains(&name.len()) && name.as_bytes().iter().all(plain)
    };
    match headers.get(REQUEST_ID).filter(is_fit) {
        Some(name) => name.clone(),
        // A UUID is printable ASCII, so the other branch is never taken.
        None => HeaderValue::try_from(Uuid::now_v7().to_string())
            .unwrap_or_else(|_| HeaderValue::from_static("unnamed")),
    }
}

/// Until when the caller waits: `grpc-timeout`, or the server's own limit.
fn deadline(headers: &HeaderMap) -> Deadline {
    let asked = headers
        .get("grpc-timeout")
        .and_then(|value| value.to_str().ok())
        .and_then(timeout);
    let time = asked.unwrap_or(TIME_USUAL).min(TIME_MAX);
    Deadline {
        at: Instant::now() + time,
        is_the_callers: asked.is_some(),
    }
}

/// Reads a timeout as the gRPC protocol writes it: at most eight digits and a unit.
fn timeout(text: &str) -> Option<Duration> {
    let (digits, unit) = text.split_at_checked(text.len().checked_sub(1)?)?;
    let is_number =
        (1..=8).contains(&digits.len()) && digits.bytes().all(|digit| digit.is_ascii_digit());
    let number: u64 = is_number.then(|| digits.parse().ok())??;
    match unit {
        "H" => Some(Duration::from_secs(number.checked_mul(3600)?)),
        "M" => Some(Duration::from_secs(number.checked_mul(60)?)),
        "S" => Some(Duration::from_secs(number)),
        "m" => Some(Duration::from_millis(number)),
        "u" => Some(Duration::from_micros(number)),
        "n" => Some(Duration::from_nanos(number)),
        _ => None,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_timeout_is_at_most_eight_digits_and_a_unit() {
        let cases = [
            ("1H", Some(Duration::from_secs(3600))),
            ("2M", Some(Duration::from_secs(120))),
            ("3S", Some(Duration::from_secs(3))),
            ("4m", Some(Duration::from_millis(4))),
            ("5u", Some(Duration::from_micros(5))),
            ("99999999n", Some(Duration::from_nanos(99_999_999))),
            ("100000000n", None),
            ("", None),
            ("S", None),
            ("5", None),
            ("-5S", None),
            ("5s", None),
            ("é", None),
        ];
        for (text, expected) in cases {
            assert_eq!(timeout(text), expected, "{text}");
        }
    }

    #[tokio::test]
    async fn a_panic_costs_its_own_call_and_is_told_as_a_fault_inside() {
        let panics = tower::service_fn(|_: Request<Body>| async {
            if true {
                panic!("a secret");
            }
            Ok(Response::new(Body::empty()))
        });
        let deadline = deadline(&HeaderMap::new());
        let response = answer(panics, Request::new(Body::empty()), deadline).await;
        assert_eq!(code(response.headers()), Some(Code::Internal));
        assert!(!format!("{response:?}").contains("secret"));
    }

    #[tokio::test]
    async fn a_call_that_takes_too_long_is_given_up() {
        let endless = tower::service_fn(|_: Request<Body>| std::future::pending());
        let deadline = Deadline {
            at: Instant::now() + Duration::from_millis(20),
            is_the_callers: false,
        };
        let response = answer(endless, Request::new(Body::empty()), deadline).await;
        assert_eq!(code(response.headers()), Some(Code::DeadlineExceeded));
    }

    #[test]
    fn a_status_of_the_transport_becomes_one_of_ours_and_ours_stays() {
        let mended = |status: Status| {
            let mut response = status.into_http();
            mend(&mut response);
            Status::from_header_map(response.headers())
                .map(|status| (status.code(), status.details().is_empty()))
        };
        let large = Status::out_of_range(
            "Error, decoded message length too large: found 5 bytes, the limit is: 4 bytes",
        );
        assert_eq!(mended(large), Some((Code::ResourceExhausted, false)));
        let junk = Status::internal("failed to decode Protobuf message: invalid wire type");
        assert_eq!(mended(junk), Some((Code::InvalidArgument, false)));
        assert_eq!(
            mended(Status::unimplemented("")),
            Some((Code::Unimplemented, false))
        );
        assert_eq!(
            mended(Status::not_found("service not registered")),
            Some((Code::NotFound, true))
        );
        assert_eq!(
            mended(Refusal::Busy.into()),
            Some((Code::ResourceExhausted, false))
        );
    }

    #[test]
    fn a_callers_name_for_a_call_is_kept_when_it_can_stand_in_a_log() {
        let named = |value: &'static str| {
            let mut headers = HeaderMap::new();
            headers.insert(REQUEST_ID, HeaderValue::from_static(value));
            name_of(&headers)
        };
        assert_eq!(named("job-17.a_b"), "job-17.a_b");
        for bad in ["", "two words", "{\"a\":1}"] {
            assert_ne!(named(bad), bad);
            assert_eq!(named(bad).len(), 36);
        }
    }
}
