//! How much of the rate of a bare call an inline estimate of twelve walls reaches. The bare call decodes the same
//! request and encodes the same answer through the same layers, token and connections, and does nothing else.
//! Prints both rates and their ratio; the target is 0.4. Rounds alternate, so that a busy machine hits both alike.
//! The caller, which shares the cores, sends bytes made ready and compares bytes: its own part is the same small one
//! in both rates.
//!
//! `cargo bench -p hod-service --bench inline_estimate`

use std::future::Future;
use std::io::Write;
use std::net::SocketAddr;
use std::pin::Pin;
use std::time::{Duration, Instant};

use futures::Stream;
use hod_service::app::App;
use hod_service::limits::MESSAGE_BYTES_MAX;
use hod_service::rpc::Api;
use hod_service::serve::routes;
use hod_store::Store;
use hod_testkit::database::TestDatabase;
use hod_testkit::server::TestFirm;
use hod_wire::v1::estimation_service_server::{EstimationService, EstimationServiceServer};
use hod_wire::v1::{
    CompareEstimatesRequest, Comparison, CreateEstimateRequest, Estimate, EstimateJobRequest,
    EstimateJobsRequest, EstimateJobsResponse, GetEstimateRequest, ListEstimatesRequest,
    ListEstimatesResponse, MeasureJobRequest, PlanPurchasesRequest, PriceJobsAgainRequest,
    PriceJobsAgainResponse, PurchasePlan, Takeoff,
};
use http::uri::PathAndQuery;
use prost::Message;
use tonic::client::Grpc;
use tonic::codec::CompressionEncoding;
use tonic::metadata::MetadataValue;
use tonic::service::Routes;
use tonic::transport::{Channel, Endpoint};
use tonic::{Request, Response, Status, Streaming};

mod serving;
#[path = "../tests/service/support.rs"]
#[allow(dead_code, reason = "the tests use the rest of it")]
mod support;

#[global_allocator]
static ALLOCATOR: hod_service::Allocator = hod_service::Allocator;

/// Connections, and calls at once on each.
const CONNECTIONS: usize = 4;
const CALLS: usize = 16;

/// Rounds of each kind, and how long one takes.
const ROUNDS: usize = 7;
const ROUND: Duration = Duration::from_secs(2);

/// Answers every inline estimate with the same one.
struct Bare(Estimate);

#[tonic::async_trait]
impl EstimationService for Bare {
    async fn estimate_job(
        &self,
        _: Request<EstimateJobRequest>,
    ) -> Result<Response<Estimate>, Status> {
        Ok(Response::new(self.0.clone()))
    }

    async fn measure_job(
        &self,
        _: Request<MeasureJobRequest>,
    ) -> Result<Response<Takeoff>, Status> {
        Err(Status::unimplemented("not measured here"))
    }

    type EstimateJobsStream =
        Pin<Box<dyn Stream<Item = Result<EstimateJobsResponse, Status>> + Send>>;

    async fn estimate_jobs(
        &self,
        _: Request<Streaming<EstimateJobsRequest>>,
    ) -> Result<Response<Self::EstimateJobsStream>, Status> {
        Err(Status::unimplemented("not measured here"))
    }

    async fn create_estimate(
        &self,
        _: Request<CreateEstimateRequest>,
    ) -> Result<Response<Estimate>, Status> {
        Err(Status::unimplemented("not measured here"))
    }

    async fn get_estimate(
        &self,
        _: Request<GetEstimateRequest>,
    ) -> Result<Response<Estimate>, Status> {
        Err(Status::unimplemented("not measured here"))
    }

    async fn list_estimates(
        &self,
        _: Request<ListEstimatesRequest>,
    ) -> Result<Response<ListEstimatesResponse>, Status> {
        Err(Status::unimplemented("not measured here"))
    }

    async fn compare_estimates(
        &self,
        _: Request<CompareEstimatesRequest>,
    ) -> Result<Response<Comparison>, Status> {
        Err(Status::unimplemented("not measured here"))
    }

    type PriceJobsAgainStream =
        Pin<Box<dyn Stream<Item = Result<PriceJobsAgainResponse, Status>> + Send>>;

    async fn price_jobs_again(
        &self,
        _: Request<PriceJobsAgainRequest>,
    ) -> Result<Response<Self::PriceJobsAgainStream>, Status> {
        Err(Status::unimplemented("not measured here"))
    }

    async fn plan_purchases(
        &self,
        _: Request<PlanPurchasesRequest>,
    ) -> Result<Response<PurchasePlan>, Status> {
        Err(Status::unimplemented("not measured here"))
    }
}

#[tokio::main]
async fn main() {
    let database = TestDatabase::new().await;
    let firm = TestFirm::with_library(&database).await;
    let store = Store::connect(database.app_options(), 8)
        .await
        .expect("the database");
    let (all, _) = routes(Api::new(App::new(store.clone()))).expect("the services");
    let real = serving::start(&store, all).await;
    let client = support::Client::connect(&format!("http://{real}"), &firm.token).await;
    support::price(&client).await;
    let request = EstimateJobRequest {
        subject: Some(hod_wire::v1::estimate_job_request::Subject::Job(
            twelve_walls(),
        )),
        price_date: "2026-05-01".into(),
    };
    let answer = client
        .estimation()
        .estimate_job(request.clone())
        .await
        .expect("priced")
        .into_inner();
    let bare = EstimationServiceServer::new(Bare(answer.clone()))
        .accept_compressed(CompressionEncoding::Gzip)
        .send_compressed(CompressionEncoding::Gzip)
        .max_decoding_message_size(MESSAGE_BYTES_MAX)
        .max_encoding_message_size(MESSAGE_BYTES_MAX);
    let bare = serving::start(&store, Routes::new(bare)).await;

    let load = Load {
        token: firm.token.clone(),
        request: request.encode_to_vec(),
        answer: answer.encode_to_vec(),
    };
    let mut rates = [Vec::new(), Vec::new()];
    for round in 0..=ROUNDS {
        for (address, rates) in [real, bare].into_iter().zip(&mut rates) {
            let rate = load.rate(address).await;
            // The first round of each warms it up.
            if 0 < round {
                rates.push(rate);
            }
        }
    }
    let [real, bare] = rates.map(median);
    let said = format!(
        "inline estimate of 12 walls: {real:.0} calls/s\nbare call, same messages:    {bare:.0} calls/s\nratio: {:.2} (target 0.4)\n",
        real / bare
    );
    std::io::stdout()
        .write_all(said.as_bytes())
        .expect("stdout");
    store.close().await;
}

/// Three closed runs of four tapering walls, each with a door.
fn twelve_walls() -> hod_wire::v1::Job {
    let mut job = support::studio();
    let run = std::mem::take(&mut job.walls);
    for number in 0..3 {
        for wall in &run {
            let mut wall = wall.clone();
            wall.id = format!("{}-{number}", wall.id);
            wall.ends = format!("{}-{number}", wall.ends);
            job.walls.push(wall);
        }
    }
    job
}

/// What is asked, and what has to come.
struct Load {
    token: String,
    request: Vec<u8>,
    answer: Vec<u8>,
}

impl Load {
    /// Calls a second, all answered as they should be.
    async fn rate(&self, address: SocketAddr) -> f64 {
        let until = Instant::now() + ROUND;
        let mut calls = Vec::new();
        for _ in 0..CONNECTIONS {
            let endpoint = Endpoint::from_shared(format!("http://{address}")).expect("a url");
            let channel = endpoint.connect().await.expect("a connection");
            calls.extend((0..CALLS).map(|_| tokio::spawn(self.call_until(channel.clone(), until))));
        }
        let begun = Instant::now();
        let mut count = 0_u32;
        for call in calls {
            count += call.await.expect("a task");
        }
        f64::from(count) / begun.elapsed().as_secs_f64()
    }

    fn call_until(
        &self,
        channel: Channel,
        until: Instant,
    ) -> impl Future<Output = u32> + Send + use<> {
        let mut grpc = Grpc::new(channel);
        let path = PathAndQuery::from_static("/hod.v1.EstimationService/EstimateJob");
        let bearer: MetadataValue<_> = format!("Bearer {}", self.token).parse().expect("a header");
        let (request, answer) = (self.request.clone(), self.answer.clone());
        async move {
            let mut count = 0;
            while Instant::now() < until {
                let mut asked = Request::new(request.clone());
                asked.metadata_mut().insert("authorization", bearer.clone());
                grpc.ready().await.expect("a connection");
                let told = grpc
                    .unary(asked, path.clone(), support::Bytes)
                    .await
                    .expect("an answer");
                assert!(told.into_inner() == answer, "another answer than before");
                count += 1;
            }
            count
        }
    }
}

fn median(mut rates: Vec<f64>) -> f64 {
    rates.sort_by(f64::total_cmp);
    rates[rates.len() / 2]
}
