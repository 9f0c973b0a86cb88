//! Many jobs in, an answer for each out, in the order asked: a few at a time, so that memory stays flat however many
//! there are. A job that cannot be priced answers with its faults; only what ends the server's ability to answer ends
//! the stream.

use std::sync::Arc;

use futures::{Stream, StreamExt};
use hod_wire::v1 as wire;
use hod_wire::v1::estimate_jobs_response::Result as Answer;

use super::App;
use super::estimate::estimate_job;
use super::measure::Subject;
use crate::call::Call;
use crate::limits::STREAM_JOBS_MAX;
use crate::refusal::{Lack, Missing, Refusal, Violation};
use crate::status::reason;

/// Prices each job of a stream. Dropping the answers stops the work.
pub fn estimate_jobs(
    app: Arc<App>,
    call: Call,
    questions: impl Stream<Item = Result<(Subject, String), Refusal>> + Send + 'static,
) -> impl Stream<Item = Result<wire::EstimateJobsResponse, Refusal>> + Send + 'static {
    let answers = questions.enumerate().map(move |(index, question)| {
        let (app, call) = (Arc::clone(&app), call.clone());
        async move {
            let index = i32::try_from(index).map_err(|_| too_many())?;
            let (subject, price_date) = question?;
            let result = answer(app, call, subject, price_date).await?;
            Ok(wire::EstimateJobsResponse {
                index,
                result: Some(result),
            })
        }
    });
    until_refused(answers.buffered(STREAM_JOBS_MAX))
}

/// Prices one job in a task of its own, so that jobs share the cores and a panic costs one answer.
async fn answer(
    app: Arc<App>,
    call: Call,
    subject: Subject,
    price_date: String,
) -> Result<Answer, Refusal> {
    let work = async move { estimate_job(&app, &call, subject, &price_date).await };
    let task = AbortOnDrop(tokio::spawn(work));
    match task.finished().await {
        Ok(estimate) => Ok(Answer::Estimate(estimate)),
        Err(refusal) => faults(refusal).map(Answer::Faults),
    }
}

/// A task that nobody waits for any more is stopped.
struct AbortOnDrop<T>(tokio::task::JoinHandle<Result<T, Refusal>>);

impl<T> AbortOnDrop<T> {
    async fn finished(mut self) -> Result<T, Refusal> {
        match (&mut self.0).await {
            Ok(done) => done,
            Err(fault) => Err(Refusal::internal(fault)),
        }
    }
}

impl<T> Drop for AbortOnDrop<T> {
    fn drop(&mut self) {
        self.0.abort();
    }
}

/// What is wrong with one job; what is wrong with the server or the stream is given back and ends it.
pub fn faults(refusal: Refusal) -> Result<wire::Faults, Refusal> {
    let reason = reason(&refusal).to_owned();
    let told = |field: String, description: String| wire::Fault { field, description };
    let lacking = |lack: Lack| {
        let description = format!("{}: {}", lack.subject, lack.description);
        told(String::new(), description)
    };
    let faults = match refusal {
        Refusal::Fields(all) | Refusal::JobHasFaults(all) => all
            .into_iter()
            .map(
                |Violation {
                     field, description, ..
                 }| told(field, description),
            )
            .collect(),
        Refusal::NotFound(all, lacks) => {
            let missing =
                |Missing { field, noun, name }| told(field, format!("there is no {noun} {name}"));
            let missing = all.into_iter().map(missing);
            missing.chain(lacks.into_iter().map(lacking)).collect()
        }
        Refusal::LacksInputs(all) | Refusal::StandsAgainst(all) => {
            all.into_iter().map(lacking).collect()
        }
        Refusal::RuleBroken { message, .. } => vec![told(String::new(), message)],
        other @ (Refusal::Taken { .. }
        | Refusal::Stale { .. }
        | Refusal::RequestReused
        | Refusal::Unauthenticated
        | Refusal::Busy
        | Refusal::TooLarge { .. }
        | Refusal::NotAMessage
        | Refusal::UnknownMethod
        | Refusal::DeadlineExceeded
        | Refusal::Interrupted(_)
        | Refusal::Unavailable(_)
        | Refusal::Internal(_)) => return Err(other),
    };
    Ok(wire::Faults { reason, faults })
}

fn too_many() -> Refusal {
    Refusal::field(
        "request",
        "TOO_MANY_QUESTIONS",
        "a stream takes 2147483647 questions; begin another",
    )
}

/// The stream up to the first refusal, and that.
fn until_refused<T: Send + 'static>(
    stream: impl Stream<Item = Result<T, Refusal>> + Send + 'static,
) -> impl Stream<Item = Result<T, Refusal>> + Send + 'static {
    stream.scan(false, |is_over, item| {
        let out = if *is_over { None } else { Some(item) };
        *is_over = *is_over || out.as_ref().is_some_and(Result::is_err);
        std::future::ready(out)
    })
}
