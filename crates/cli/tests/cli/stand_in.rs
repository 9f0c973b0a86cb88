//! A stand-in for the server: the contract over a real connection, with answers made up in `figures`.
//! It keeps what it was asked, so that a test can see what a command sent.

mod figures;

use std::net::SocketAddr;
use std::sync::{Arc, Mutex};

use futures::{Stream, StreamExt};
use hod_wire::v1 as wire;
use hod_wire::v1::estimate_job_request::Subject as Priced;
use hod_wire::v1::estimate_jobs_response::Result as Answered;
use hod_wire::v1::estimation_service_server::{EstimationService, EstimationServiceServer};
use hod_wire::v1::job_service_server::{JobService, JobServiceServer};
use hod_wire::v1::measure_job_request::Subject as Measured;
use hod_wire::v1::price_service_server::{PriceService, PriceServiceServer};
use hod_wire::v1::region_service_server::{RegionService, RegionServiceServer};
use tokio_stream::wrappers::TcpListenerStream;
use tonic::{Code, Request, Response, Status, Streaming};
use tonic_types::{ErrorDetails, PreconditionViolation, StatusExt};

pub const TOKEN: &str = "hod_stand-in";

type Answer<T> = Result<Response<T>, Status>;

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
            tonic::transport::Server::builder()
                .add_service(health)
                .add_service(EstimationServiceServer::with_interceptor(
                    services.clone(),
                    entered,
                ))
                .add_service(RegionServiceServer::with_interceptor(
                    services.clone(),
                    entered,
                ))
                .add_service(PriceServiceServer::with_interceptor(
                    services.clone(),
                    entered,
                ))
                .add_service(JobServiceServer::with_interceptor(services, entered))
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
    type EstimateJobsStream =
        std::pin::Pin<Box<dyn Stream<Item = Result<wire::EstimateJobsResponse, Status>> + Send>>;

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

#[tonic::async_trait]
impl RegionService for Services {
    async fn get_region(&self, request: Request<wire::GetRegionRequest>) -> Answer<wire::Region> {
        let wire::GetRegionRequest { name } = request.into_inner();
        match figures::regions()
            .into_iter()
            .find(|region| region.name == name)
        {
            Some(region) => Ok(Response::new(region)),
            None => {
                let told = format!("there is no region {name}");
                Err(refused(
                    Code::NotFound,
                    "NOT_FOUND",
                    &told,
                    &[("name", &told)],
                ))
            }
        }
    }

    /// Two to a page, whatever is asked for.
    async fn list_regions(
        &self,
        request: Request<wire::ListRegionsRequest>,
    ) -> Answer<wire::ListRegionsResponse> {
        let start: usize = request.into_inner().page_token.parse().unwrap_or(0);
        let all = figures::regions();
        let end = (start + 2).min(all.len());
        Ok(Response::new(wire::ListRegionsResponse {
            regions: all[start..end].to_vec(),
            next_page_token: if end < all.len() {
                end.to_string()
            } else {
                String::new()
            },
        }))
    }

    async fn create_region(
        &self,
        request: Request<wire::CreateRegionRequest>,
    ) -> Answer<wire::Region> {
        let mut request = request.into_inner();
        assert_eq!(request.request_id.len(), 36);
        request.request_id = "UUID".to_owned();
        self.keep(&request);
        let region = request.region.unwrap();
        if region.currency_code != "EUR" {
            return Err(refused(
                Code::InvalidArgument,
                "FIELDS_HAVE_FAULTS",
                "the request has 2 faults to be mended",
                &[
                    (
                        "region.currency_code",
                        "\"XYZ\" is not a currency known here; write its ISO 4217 code, such as EUR",
                    ),
                    (
                        "region.build_up.tax_percent",
                        "tax_percent is 190; it must be from 0 to 100",
                    ),
                ],
            ));
        }
        Ok(Response::new(wire::Region {
            name: format!("regions/{}", request.region_id),
            ..region
        }))
    }

    async fn update_region(
        &self,
        request: Request<wire::UpdateRegionRequest>,
    ) -> Answer<wire::Region> {
        let mut request = request.into_inner();
        request.request_id = "UUID".to_owned();
        self.keep(&request);
        let region = request.region.unwrap();
        if region.etag == "stale" {
            return Err(refused(
                Code::Aborted,
                "ETAG_MISMATCH",
                "regions/west has changed since it was read; read it again and repeat the change",
                &[],
            ));
        }
        Ok(Response::new(region))
    }
}

#[tonic::async_trait]
impl PriceService for Services {
    async fn get_price(&self, request: Request<wire::GetPriceRequest>) -> Answer<wire::Price> {
        let price = figures::prices().remove(0);
        assert_eq!(request.into_inner().name, price.name);
        Ok(Response::new(price))
    }

    async fn list_prices(
        &self,
        request: Request<wire::ListPricesRequest>,
    ) -> Answer<wire::ListPricesResponse> {
        self.keep(request.get_ref());
        Ok(Response::new(wire::ListPricesResponse {
            prices: figures::prices(),
            next_page_token: String::new(),
        }))
    }

    async fn create_price(
        &self,
        request: Request<wire::CreatePriceRequest>,
    ) -> Answer<wire::Price> {
        let mut request = request.into_inner();
        request.request_id = "UUID".to_owned();
        self.keep(&request);
        let price = request.price.unwrap();
        // A later price is there already.
        let end_date = match price.start_date.as_str() {
            "2025-05-01" => "2025-12-31",
            _ => "",
        };
        Ok(Response::new(wire::Price {
            name: format!("{}/prices/p9", request.parent),
            end_date: end_date.to_owned(),
            ..price
        }))
    }
}

#[tonic::async_trait]
impl JobService for Services {
    async fn get_job(&self, request: Request<wire::GetJobRequest>) -> Answer<wire::Job> {
        let wire::GetJobRequest { name } = request.into_inner();
        if name == "jobs/kept" {
            return Ok(Response::new(figures::job()));
        }
        let told = format!("there is no job {name}");
        Err(refused(
            Code::NotFound,
            "NOT_FOUND",
            &told,
            &[("name", &told)],
        ))
    }

    async fn list_jobs(&self, _: Request<wire::ListJobsRequest>) -> Answer<wire::ListJobsResponse> {
        Ok(Response::new(wire::ListJobsResponse::default()))
    }

    async fn create_job(&self, request: Request<wire::CreateJobRequest>) -> Answer<wire::Job> {
        let wire::CreateJobRequest { job_id, job, .. } = request.into_inner();
        let job = job.unwrap();
        faults(&job)?;
        Ok(Response::new(wire::Job {
            name: format!("jobs/{job_id}"),
            ..job
        }))
    }

    async fn update_job(&self, request: Request<wire::UpdateJobRequest>) -> Answer<wire::Job> {
        let wire::UpdateJobRequest {
            job, update_mask, ..
        } = request.into_inner();
        assert_eq!(update_mask.unwrap().paths, ["*"]);
        Ok(Response::new(job.unwrap()))
    }

    async fn delete_job(&self, request: Request<wire::DeleteJobRequest>) -> Answer<()> {
        assert_eq!(request.into_inner().name, "jobs/old");
        Ok(Response::new(()))
    }
}
