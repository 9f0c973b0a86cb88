//! A stand-in for the server: the contract over a real connection, with answers made up in `figures`.
//! It keeps what it was asked, so that a test can see what a command sent.

mod figures;
mod kept;
mod labour_rates;
mod nouns;
mod quotes;
mod soil;
mod straw_clay;

use std::net::SocketAddr;
use std::sync::{Arc, Mutex};

use futures::{Stream, StreamExt};
use hod_wire::v1 as wire;
use hod_wire::v1::crew_service_server::CrewServiceServer;
use hod_wire::v1::estimate_job_request::Subject as Priced;
use hod_wire::v1::estimate_jobs_response::Result as Answered;
use hod_wire::v1::estimation_service_server::{EstimationService, EstimationServiceServer};
use hod_wire::v1::job_service_server::JobServiceServer;
use hod_wire::v1::labour_constant_service_server::LabourConstantServiceServer;
use hod_wire::v1::labour_rate_service_server::LabourRateServiceServer;
use hod_wire::v1::material_service_server::MaterialServiceServer;
use hod_wire::v1::measure_job_request::Subject as Measured;
use hod_wire::v1::mix_service_server::MixServiceServer;
use hod_wire::v1::mix_trial_service_server::MixTrialServiceServer;
use hod_wire::v1::price_service_server::PriceServiceServer;
use hod_wire::v1::quote_service_server::QuoteServiceServer;
use hod_wire::v1::region_service_server::RegionServiceServer;
use hod_wire::v1::rule_pack_service_server::RulePackServiceServer;
use hod_wire::v1::site_service_server::SiteServiceServer;
use hod_wire::v1::soil_test_service_server::SoilTestServiceServer;
use tokio_stream::wrappers::TcpListenerStream;
use tonic::{Code, Request, Response, Status, Streaming};
use tonic_types::{ErrorDetails, PreconditionViolation, StatusExt};

pub const TOKEN: &str = "hod_stand-in";

type Answer<T> = Result<Response<T>, Status>;

/// What a stream answers with.
type Events<T> = std::pin::Pin<Box<dyn Stream<Item = Result<T, Status>> + Send>>;

/// A server on a port of its own, which ends with the test.
pub struct StandIn {
    pub address: String,
    asked: Asked,
    _runtime: tokio::runtime::Runtime,
}

/// What was asked, in order.
type Asked = Arc<Mutex<Vec<String>>>;

impl StandIn {
    pub fn start() -> Self {
        let runtime = tokio::runtime::Builder::new_multi_thread()
            .worker_threads(1)
            .enable_all()
            .build()
            .unwrap();
        let asked = Asked::default();
        let listener = runtime
            .block_on(tokio::net::TcpListener::bind(SocketAddr::from((
                [127, 0, 0, 1],
                0,
            ))))
            .unwrap();
        let address = listener.local_addr().unwrap().to_string();
        let services = Services {
            asked: asked.clone(),
        };
        runtime.spawn(async move {
            let (reporter, health) = tonic_health::server::health_reporter();
            reporter
                .set_service_status("", tonic_health::ServingStatus::Serving)
                .await;
            let mut server = tonic::transport::Server::builder();
            let mut router = server.add_service(health);
            macro_rules! serve {
                ($($service:ident),*) => {
                    $(router = router.add_service($service::with_interceptor(
                        services.clone(),
                        entered,
                    ));)*
                };
            }
            serve!(
                EstimationServiceServer,
                RegionServiceServer,
                PriceServiceServer,
                JobServiceServer,
                SiteServiceServer,
                MaterialServiceServer,
                MixServiceServer,
                CrewServiceServer,
                LabourConstantServiceServer,
                LabourRateServiceServer,
                QuoteServiceServer,
                SoilTestServiceServer,
                MixTrialServiceServer,
                RulePackServiceServer
            );
            router
                .serve_with_incoming(TcpListenerStream::new(listener))
                .await
        });
        Self {
            address,
            asked,
            _runtime: runtime,
        }
    }

    /// The requests so far, with the ids that a command makes up taken out.
    pub fn asked(&self) -> String {
        self.asked.lock().unwrap().join("\n")
    }
}

#[allow(clippy::result_large_err, reason = "the shape that an interceptor has")]
fn entered(request: Request<()>) -> Result<Request<()>, Status> {
    let shown = request.metadata().get("authorization");
    if shown.is_some_and(|shown| shown.as_bytes() == format!("Bearer {TOKEN}").as_bytes()) {
        Ok(request)
    } else {
        Err(refused(
            Code::Unauthenticated,
            "UNAUTHENTICATED",
            "a valid token is needed: send `authorization: Bearer TOKEN`",
            &[],
        ))
    }
}

fn refused(code: Code, reason: &str, message: &str, fields: &[(&str, &str)]) -> Status {
    let mut details =
        ErrorDetails::with_error_info(reason, "hod", std::collections::HashMap::new());
    for (field, description) in fields {
        details.add_bad_request_violation(*field, *description);
    }
    Status::with_error_details(code, message, details)
}

fn lacks(lacks: &[(&str, &str, &str)]) -> Status {
    let mut details = ErrorDetails::with_error_info(
        "ESTIMATE_LACKS_INPUTS",
        "hod",
        std::collections::HashMap::new(),
    );
    let violations = lacks
        .iter()
        .map(|(reason, subject, description)| {
            PreconditionViolation::new(*reason, *subject, *description)
        })
        .collect::<Vec<_>>();
    details.set_precondition_failure(violations);
    Status::with_error_details(
        Code::FailedPrecondition,
        "the estimate lacks 2 things it is made from",
        details,
    )
}

#[derive(Clone)]
struct Services {
    asked: Asked,
}

impl Services {
    fn keep(&self, request: &impl std::fmt::Debug) {
        self.asked.lock().unwrap().push(format!("{request:#?}"));
    }
}

/// A job's faults as the server finds them: a door too wide and a wall too high, when the first wall is 99 m high.
fn faults(job: &wire::Job) -> Result<(), Status> {
    if job.walls[0].height_m != "99" {
        return Ok(());
    }
    Err(refused(
        Code::InvalidArgument,
        "JOB_HAS_FAULTS",
        "the job has 3 faults to be mended",
        &[
            (
                "job.walls[0].height_m",
                "wall \"south\": height_m is 99 m; it must be from 0.05 to 30 m",
            ),
            (
                "job.walls[0].openings[0].width_m",
                "wall \"south\", opening \"door\": it reaches from 1.1 m to 12 m, past the end of the wall at 6.2 m",
            ),
            (
                "job.walls[1].turn_deg",
                "wall \"east\": the run does not close: the gap is 12 mm",
            ),
        ],
    ))
}

fn priced(request: &wire::EstimateJobRequest) -> Result<wire::Estimate, Status> {
    let job = match request.subject.as_ref().unwrap() {
        Priced::Job(job) => job,
        Priced::Name(name) if name == "jobs/kept" => {
            return Ok(figures::estimate(&request.price_date));
        }
        Priced::Name(name) if name == "jobs/full" => {
            return Ok(figures::estimate_in_full(&request.price_date));
        }
        Priced::Name(name) => {
            let told = format!("there is no job {name}");
            return Err(refused(
                Code::NotFound,
                "NOT_FOUND",
                &told,
                &[("name", &told)],
            ));
        }
    };
    faults(job)?;
    if request.price_date == "1999-01-01" {
        return Err(lacks(&[
            (
                "NO_PRICE_IN_FORCE",
                "materials/sharp-sand",
                "no price of sharp-sand is in force in west on 1999-01-01",
            ),
            (
                "NO_RATE_IN_FORCE",
                "regions/west",
                "no labour rate of lead is in force in west on 1999-01-01",
            ),
        ]));
    }
    if job.mix == "mixes/none" {
        return Err(refused(
            Code::NotFound,
            "NOT_FOUND",
            "there is no mix mixes/none",
            &[("job.mix", "there is no mix mixes/none")],
        ));
    }
    let estimate = if job.builds.is_empty() {
        figures::estimate(&request.price_date)
    } else {
        figures::estimate_of_several(&request.price_date)
    };
    Ok(wire::Estimate {
        display_name: job.display_name.clone(),
        ..estimate
    })
}

fn answered(index: i32, request: &wire::EstimateJobRequest) -> wire::EstimateJobsResponse {
    let result = match priced(request) {
        Ok(estimate) => Answered::Estimate(estimate),
        Err(status) => {
            let details = status.get_error_details();
            let fields = details
                .bad_request()
                .map(|bad| bad.field_violations.clone())
                .unwrap_or_default();
            let lacks = details
                .precondition_failure()
                .map(|lacks| lacks.violations.clone())
                .unwrap_or_default();
            let fault = |field: &str, description: &str| wire::Fault {
                field: field.to_owned(),
                description: description.to_owned(),
            };
            Answered::Faults(wire::Faults {
                reason: details.error_info().unwrap().reason.clone(),
                faults: fields
                    .iter()
                    .map(|violation| fault(&violation.field, &violation.description))
                    .chain(lacks.iter().map(|lack| fault("", &lack.description)))
                    .collect(),
            })
        }
    };
    wire::EstimateJobsResponse {
        index,
        result: Some(result),
    }
}

#[tonic::async_trait]
impl EstimationService for Services {
    type EstimateJobsStream = Events<wire::EstimateJobsResponse>;
    type PriceJobsAgainStream = Events<wire::PriceJobsAgainResponse>;

    async fn compare_estimates(
        &self,
        request: Request<wire::CompareEstimatesRequest>,
    ) -> Answer<wire::Comparison> {
        let request = request.into_inner();
        Ok(Response::new(figures::comparison(
            &request.before,
            &request.after,
        )))
    }

    async fn price_jobs_again(
        &self,
        request: Request<wire::PriceJobsAgainRequest>,
    ) -> Answer<Self::PriceJobsAgainStream> {
        let mut request = request.into_inner();
        request.request_id = "UUID".to_owned();
        self.keep(&request);
        let events = figures::movements(request.region.is_empty(), !request.validate_only);
        let answers = events
            .into_iter()
            .map(|event| Ok(wire::PriceJobsAgainResponse { event: Some(event) }));
        Ok(Response::new(Box::pin(futures::stream::iter(answers))))
    }

    async fn plan_purchases(
        &self,
        request: Request<wire::PlanPurchasesRequest>,
    ) -> Answer<wire::PurchasePlan> {
        self.keep(request.get_ref());
        Ok(Response::new(figures::plan()))
    }

    async fn measure_job(
        &self,
        request: Request<wire::MeasureJobRequest>,
    ) -> Answer<wire::Takeoff> {
        match request.into_inner().subject.unwrap() {
            Measured::Job(job) => {
                faults(&job)?;
                Ok(Response::new(if job.builds.is_empty() {
                    figures::takeoff(!job.mix.is_empty())
                } else {
                    figures::takeoff_of_several()
                }))
            }
            Measured::Name(_) => Ok(Response::new(figures::takeoff(true))),
        }
    }

    async fn estimate_job(
        &self,
        request: Request<wire::EstimateJobRequest>,
    ) -> Answer<wire::Estimate> {
        priced(request.get_ref()).map(Response::new)
    }

    async fn estimate_jobs(
        &self,
        request: Request<Streaming<wire::EstimateJobsRequest>>,
    ) -> Answer<Self::EstimateJobsStream> {
        let answers = request.into_inner().enumerate().map(|(index, question)| {
            let question = question?.request.unwrap();
            Ok(answered(index.try_into().unwrap(), &question))
        });
        Ok(Response::new(Box::pin(answers)))
    }

    async fn create_estimate(
        &self,
        request: Request<wire::CreateEstimateRequest>,
    ) -> Answer<wire::Estimate> {
        let wire::CreateEstimateRequest {
            parent,
            price_date,
            request_id,
            ..
        } = request.into_inner();
        assert_eq!(request_id.len(), 36, "a kept estimate is asked for once");
        Ok(Response::new(wire::Estimate {
            name: format!("{parent}/estimates/e1"),
            job: parent,
            ..figures::estimate(&price_date)
        }))
    }

    async fn get_estimate(
        &self,
        request: Request<wire::GetEstimateRequest>,
    ) -> Answer<wire::Estimate> {
        Ok(Response::new(wire::Estimate {
            name: request.into_inner().name,
            ..figures::estimate("2026-05-01")
        }))
    }

    async fn list_estimates(
        &self,
        request: Request<wire::ListEstimatesRequest>,
    ) -> Answer<wire::ListEstimatesResponse> {
        let name = format!("{}/estimates/e1", request.into_inner().parent);
        Ok(Response::new(wire::ListEstimatesResponse {
            estimates: vec![wire::Estimate {
                name,
                ..figures::estimate("2026-05-01")
            }],
            next_page_token: String::new(),
        }))
    }
}
