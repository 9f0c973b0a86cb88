//! Estimation: takeoffs and estimates, inline, streamed or kept.

use std::pin::Pin;
use std::sync::Arc;

use futures::{Stream, StreamExt};
use hod_wire::v1::estimation_service_server::EstimationService;
use hod_wire::v1::{
    CompareEstimatesRequest, Comparison, CreateEstimateRequest, Estimate, EstimateJobRequest,
    EstimateJobsRequest, EstimateJobsResponse, GetEstimateRequest, ListEstimatesRequest,
    ListEstimatesResponse, MeasureJobRequest, PlanPurchasesRequest, PriceJobsAgainRequest,
    PriceJobsAgainResponse, PurchasePlan, Takeoff, estimate_job_request, measure_job_request,
};
use tokio::time::timeout;
use tokio_stream::wrappers::ReceiverStream;
use tonic::{Request, Response, Status, Streaming};

use super::{Answer, Api, answer, how, open, page};
use crate::app::{self, Subject};
use crate::call::Deadline;
use crate::decode::Decoder;
use crate::limits::STREAM_IDLE_MAX;
use crate::refusal::Refusal;
use crate::status::of_transport;

#[tonic::async_trait]
impl EstimationService for Api {
    async fn measure_job(&self, request: Request<MeasureJobRequest>) -> Answer<Takeoff> {
        let (call, request) = open(request)?;
        let subject = match request.subject {
            Some(measure_job_request::Subject::Job(job)) => Subject::Inline(Box::new(job)),
            Some(measure_job_request::Subject::Name(name)) => Subject::Kept(name),
            None => Subject::Nothing,
        };
        answer(app::measure_job(&self.app, &call, subject).await?)
    }

    async fn estimate_job(&self, request: Request<EstimateJobRequest>) -> Answer<Estimate> {
        let (call, request) = open(request)?;
        let (subject, price_date) = question(request);
        answer(app::estimate_job(&self.app, &call, subject, &price_date).await?)
    }

    type EstimateJobsStream =
        Pin<Box<dyn Stream<Item = Result<EstimateJobsResponse, Status>> + Send>>;

    async fn estimate_jobs(
        &self,
        request: Request<Streaming<EstimateJobsRequest>>,
    ) -> Answer<Self::EstimateJobsStream> {
        let (call, questions) = open(request)?;
        let deadline = call.deadline;
        let answers = app::estimate_jobs(Arc::clone(&self.app), call, asked(questions));
        let answers = until(answers, deadline).map(|answer| answer.map_err(Status::from));
        Ok(Response::new(Box::pin(answers)))
    }

    async fn create_estimate(&self, request: Request<CreateEstimateRequest>) -> Answer<Estimate> {
        let (call, request) = open(request)?;
        let mut decoder = Decoder::new();
        let how = how(&mut decoder, "EstimationService/CreateEstimate", &request);
        answer(app::create_estimate(&self.app, &call, decoder, how, &request).await?)
    }

    async fn get_estimate(&self, request: Request<GetEstimateRequest>) -> Answer<Estimate> {
        let (call, request) = open(request)?;
        answer(app::get_estimate(&self.app, &call, &request.name).await?)
    }

    async fn list_estimates(
        &self,
        request: Request<ListEstimatesRequest>,
    ) -> Answer<ListEstimatesResponse> {
        let (call, mut request) = open(request)?;
        let mut decoder = Decoder::new();
        let page = page(
            &mut decoder,
            "EstimationService/ListEstimates",
            &mut request,
        );
        let (estimates, next_page_token) =
            app::list_estimates(&self.app, &call, decoder, page, &request.parent).await?;
        answer(ListEstimatesResponse {
            estimates,
            next_page_token,
        })
    }

    async fn compare_estimates(
        &self,
        request: Request<CompareEstimatesRequest>,
    ) -> Answer<Comparison> {
        let (call, request) = open(request)?;
        answer(app::compare_estimates(&self.app, &call, &request).await?)
    }

    type PriceJobsAgainStream =
        Pin<Box<dyn Stream<Item = Result<PriceJobsAgainResponse, Status>> + Send>>;

    async fn price_jobs_again(
        &self,
        request: Request<PriceJobsAgainRequest>,
    ) -> Answer<Self::PriceJobsAgainStream> {
        let (call, request) = open(request)?;
        let deadline = call.deadline;
        let mut decoder = Decoder::new();
        let how = how(&mut decoder, "EstimationService/PriceJobsAgain", &request);
        let app = Arc::clone(&self.app);
        let events = app::price_jobs_again(app, call, decoder, how, &request)?;
        let events = until(ReceiverStream::new(events), deadline);
        let events = events.map(|event| event.map_err(Status::from));
        Ok(Response::new(Box::pin(events)))
    }

    async fn plan_purchases(&self, request: Request<PlanPurchasesRequest>) -> Answer<PurchasePlan> {
        let (call, request) = open(request)?;
        answer(app::plan_purchases(&self.app, &call, &request).await?)
    }
}

/// Which job is to be priced, and on which day.
fn question(request: EstimateJobRequest) -> (Subject, String) {
    let subject = match request.subject {
        Some(estimate_job_request::Subject::Job(job)) => Subject::Inline(Box::new(job)),
        Some(estimate_job_request::Subject::Name(name)) => Subject::Kept(name),
        None => Subject::Nothing,
    };
    (subject, request.price_date)
}

/// The questions of a stream. One that brings none for too long is ended, so that it does not keep its place for ever.
fn asked(
    questions: Streaming<EstimateJobsRequest>,
) -> impl Stream<Item = Result<(Subject, String), Refusal>> + Send {
    futures::stream::unfold(Some(questions), |questions| async {
        let mut questions = questions?;
        let asked = match timeout(STREAM_IDLE_MAX, questions.message()).await {
            Ok(Ok(None)) => return None,
            Ok(Ok(Some(asked))) => Ok(question(asked.request.unwrap_or_default())),
            Ok(Err(status)) => Err(unreadable(&status)),
            Err(_) => Err(Refusal::DeadlineExceeded),
        };
        let rest = asked.is_ok().then_some(questions);
        Some((asked, rest))
    })
}

/// A question that the transport could not hand over.
pub(super) fn unreadable(status: &Status) -> Refusal {
    of_transport(status.code(), status.message())
        .unwrap_or_else(|| Refusal::Interrupted(status.to_string().into()))
}

/// The answers that come before the caller's deadline, and after it that it is over.
pub(super) fn until<T: Send + 'static>(
    answers: impl Stream<Item = Result<T, Refusal>> + Send + 'static,
    deadline: Deadline,
) -> impl Stream<Item = Result<T, Refusal>> + Send + 'static {
    let over = async move {
        if deadline.is_the_callers {
            tokio::time::sleep_until(deadline.at.into()).await;
        } else {
            std::future::pending::<()>().await;
        }
    };
    let state = Some((Box::pin(answers), Box::pin(over)));
    futures::stream::unfold(state, |state| async {
        let (mut answers, mut over) = state?;
        tokio::select! {
            answer = answers.next() => Some((answer?, Some((answers, over)))),
            () = &mut over => Some((Err(Refusal::DeadlineExceeded), None)),
        }
    })
}
