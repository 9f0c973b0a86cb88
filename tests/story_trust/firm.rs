//! A small firm and the calls that its story makes on a server: founding it, making jobs, prices and estimates, reading
//! them back. What was asked and answered is for `ledger`.

use std::sync::atomic::{AtomicU64, Ordering};

use hod_testkit::server::RunningServer;
use hod_wire::v1::estimation_service_client::EstimationServiceClient;
use hod_wire::v1::job_service_client::JobServiceClient;
use hod_wire::v1::labour_rate_service_client::LabourRateServiceClient;
use hod_wire::v1::price_service_client::PriceServiceClient;
use hod_wire::v1::region_service_client::RegionServiceClient;
use hod_wire::v1::site_service_client::SiteServiceClient;
use hod_wire::v1::*;
use prost::Message;
use sha2::{Digest, Sha256};
use tonic::metadata::{Ascii, MetadataValue};
use tonic::service::Interceptor;
use tonic::service::interceptor::InterceptedService;
use tonic::transport::{Channel, Endpoint};
use tonic::{Request, Status};

use crate::ledger::{Acknowledged, Asked};

/// The job that is estimated over and over.
pub const STEADY: &str = "steady";

/// Prices and rates that the firm is founded with, each a version of the region's list.
pub const LIST_VERSION_FOUNDED: i64 = 4;

const REGION: &str = "regions/brackenshire";
const PRICE_DATE: &str = "2026-05-04";
const FIRST_DAY: &str = "1999-01-01";

/// The owner's token on every call.
#[derive(Debug, Clone)]
struct Bearer(MetadataValue<Ascii>);

impl Interceptor for Bearer {
    fn call(&mut self, mut request: Request<()>) -> Result<Request<()>, Status> {
        request
            .metadata_mut()
            .insert("authorization", self.0.clone());
        Ok(request)
    }
}

/// A firm on a running server.
#[derive(Debug, Clone)]
pub struct Firm {
    channel: Channel,
    bearer: Bearer,
}

impl Firm {
    /// The owner's own way to a server.
    pub fn of(server: &RunningServer) -> Self {
        let bearer = Bearer(format!("Bearer {}", server.token()).parse().unwrap());
        let channel = Endpoint::from_shared(server.url()).unwrap().connect_lazy();
        Self { channel, bearer }
    }

    fn way(&self) -> InterceptedService<Channel, Bearer> {
        InterceptedService::new(self.channel.clone(), self.bearer.clone())
    }

    /// A region, a site, the price of straw and three rates; sand is priced by the story.
    pub async fn found(&self) {
        let region = Region {
            display_name: "Brackenshire".to_owned(),
            currency_code: "EUR".to_owned(),
            ..Region::default()
        };
        let region_id = "brackenshire".to_owned();
        let request = CreateRegionRequest {
            region_id,
            region: Some(region),
            ..Default::default()
        };
        RegionServiceClient::new(self.way())
            .create_region(request)
            .await
            .unwrap();
        let site = Site {
            display_name: "Fern Lane".to_owned(),
            region: REGION.to_owned(),
            ..Site::default()
        };
        let request = CreateSiteRequest {
            site_id: "fern-lane".to_owned(),
            site: Some(site),
            ..Default::default()
        };
        SiteServiceClient::new(self.way())
            .create_site(request)
            .await
            .unwrap();
        self.make(&price("straw-bale", Unit::Bale, FIRST_DAY))
            .await
            .unwrap();
        for (grade, wage) in [
            ("lead", "24.00"),
            ("practised", "19.50"),
            ("helper", "15.20"),
        ] {
            self.rate(grade, wage).await;
        }
    }

    async fn rate(&self, grade: &str, wage: &str) {
        let rate = LabourRate {
            grade: grade.to_owned(),
            wage_per_hour: wage.to_owned(),
            start_date: FIRST_DAY.to_owned(),
            ..LabourRate::default()
        };
        let parent = REGION.to_owned();
        let request = CreateLabourRateRequest {
            parent,
            labour_rate: Some(rate),
            ..Default::default()
        };
        LabourRateServiceClient::new(self.way())
            .create_labour_rate(request)
            .await
            .unwrap();
    }

    /// Makes what is asked.
    pub async fn make(&self, asked: &Asked) -> Result<Acknowledged, Status> {
        match asked.clone() {
            Asked::Job(request) => {
                let job = JobServiceClient::new(self.way())
                    .create_job(*request)
                    .await?
                    .into_inner();
                Ok(acknowledged(job.name.clone(), &job))
            }
            Asked::Price(request) => {
                let price = PriceServiceClient::new(self.way())
                    .create_price(*request)
                    .await?
                    .into_inner();
                Ok(acknowledged(price.name.clone(), &open_ended(price)))
            }
            Asked::Estimate(request) => {
                let mut client = EstimationServiceClient::new(self.way());
                let estimate = client.create_estimate(request).await?.into_inner();
                Ok(acknowledged(estimate.name.clone(), &estimate))
            }
        }
    }

    /// The hash of all of what is kept under a name.
    pub async fn read(&self, name: &str) -> Result<[u8; 32], Status> {
        let own = name.to_owned();
        if name.contains("/estimates/") {
            let mut client = EstimationServiceClient::new(self.way());
            let estimate = client
                .get_estimate(GetEstimateRequest { name: own })
                .await?;
            return Ok(sha256(estimate.get_ref()));
        }
        if name.contains("/prices/") {
            let price = PriceServiceClient::new(self.way())
                .get_price(GetPriceRequest { name: own })
                .await?;
            return Ok(sha256(&open_ended(price.into_inner())));
        }
        let job = JobServiceClient::new(self.way())
            .get_job(GetJobRequest { name: own })
            .await?;
        Ok(sha256(job.get_ref()))
    }

    /// Asks for estimates in one stream for as long as it lasts; how many came. On a day whose price is settled all are
    /// the same, but for the version of the list.
    pub async fn stream_until_cut_off(&self) -> usize {
        let question = EstimateJobRequest {
            price_date: FIRST_DAY.to_owned(),
            subject: Some(estimate_job_request::Subject::Name(format!(
                "jobs/{STEADY}"
            ))),
        };
        let questions = tokio_stream::iter(std::iter::repeat(EstimateJobsRequest {
            request: Some(question),
        }));
        let mut client = EstimationServiceClient::new(self.way());
        let Ok(answers) = client.estimate_jobs(questions).await else {
            return 0;
        };
        let mut answers = answers.into_inner();
        let (mut first, mut count) = (None, 0);
        while let Ok(Some(answer)) = answers.message().await {
            let Some(estimate_jobs_response::Result::Estimate(mut estimate)) = answer.result else {
                panic!("answer {count} of the stream: {answer:?}");
            };
            estimate.list_versions.clear();
            assert_eq!(usize::try_from(answer.index), Ok(count));
            assert_eq!(
                *first.get_or_insert_with(|| estimate.clone()),
                estimate,
                "answer {count} of the stream"
            );
            count += 1;
        }
        count
    }

    /// Every price of sand as the list stood at a version of it, in the order of their days.
    pub async fn prices(&self, list_version: i64) -> Vec<Price> {
        let mut client = PriceServiceClient::new(self.way());
        let (mut found, mut page_token) = (Vec::new(), String::new());
        loop {
            let request = ListPricesRequest {
                parent: REGION.to_owned(),
                material: "materials/sharp-sand".to_owned(),
                page_size: 1000,
                page_token,
                list_version,
                ..Default::default()
            };
            let page = client.list_prices(request).await.unwrap().into_inner();
            found.extend(page.prices);
            page_token = page.next_page_token;
            if page_token.is_empty() {
                found.sort_by(|one, other| one.start_date.cmp(&other.start_date));
                return found;
            }
        }
    }

    /// The version of the region's list.
    pub async fn list_version(&self) -> i64 {
        let request = GetRegionRequest {
            name: REGION.to_owned(),
        };
        let region = RegionServiceClient::new(self.way())
            .get_region(request)
            .await
            .unwrap();
        region.into_inner().list_version
    }

    /// The names of all jobs.
    pub async fn jobs(&self) -> Vec<String> {
        let mut client = JobServiceClient::new(self.way());
        let (mut found, mut page_token) = (Vec::new(), String::new());
        loop {
            let request = ListJobsRequest {
                page_size: 1000,
                page_token,
                ..Default::default()
            };
            let page = client.list_jobs(request).await.unwrap().into_inner();
            found.extend(page.jobs.into_iter().map(|job| job.name));
            page_token = page.next_page_token;
            if page_token.is_empty() {
                return found;
            }
        }
    }

    /// How many estimates of a job are kept.
    pub async fn estimates(&self, job: &str) -> usize {
        let mut client = EstimationServiceClient::new(self.way());
        let (mut count, mut page_token) = (0, String::new());
        loop {
            let request = ListEstimatesRequest {
                parent: job.to_owned(),
                page_size: 100,
                page_token,
            };
            let page = client.list_estimates(request).await.unwrap().into_inner();
            count += page.estimates.len();
            page_token = page.next_page_token;
            if page_token.is_empty() {
                return count;
            }
        }
    }
}

/// A price without its last day and the version that brought that in, which the next price sets.
fn open_ended(mut price: Price) -> Price {
    price.end_date.clear();
    price.list_version = 0;
    price
}

fn acknowledged(name: String, message: &impl Message) -> Acknowledged {
    Acknowledged {
        name,
        sha256: sha256(message),
    }
}

fn sha256(message: &impl Message) -> [u8; 32] {
    Sha256::digest(message.encode_to_vec()).into()
}

/// A new id for a request.
fn request_id() -> String {
    static ASKED: AtomicU64 = AtomicU64::new(0);
    format!(
        "00000000-0000-4000-8000-{:012x}",
        ASKED.fetch_add(1, Ordering::Relaxed)
    )
}

/// A job of one wall with a door.
pub fn job(id: &str) -> Asked {
    let door = Opening {
        id: "door".to_owned(),
        shape: OpeningShape::Rectangle.into(),
        width_m: "0.90".to_owned(),
        height_m: "2.00".to_owned(),
        sill_m: "0.00".to_owned(),
        at_m: "1.10".to_owned(),
        ..Opening::default()
    };
    let wall = Wall {
        id: "south".to_owned(),
        length_m: "6.20".to_owned(),
        height_m: "2.40".to_owned(),
        thickness_mm: "450".to_owned(),
        openings: vec![door],
        ..Wall::default()
    };
    let job = Job {
        display_name: format!("Job {id}"),
        site: "sites/fern-lane".to_owned(),
        system: WallSystem::Cob.into(),
        mix: "mixes/house-cob".to_owned(),
        mixing: "tarp".to_owned(),
        crew: "crews/practised".to_owned(),
        walls: vec![wall],
        ..Job::default()
    };
    let (job_id, request_id) = (id.to_owned(), request_id());
    Asked::Job(Box::new(CreateJobRequest {
        job_id,
        job: Some(job),
        request_id,
        ..Default::default()
    }))
}

/// An estimate of a job.
pub fn estimate_of(job: &str) -> Asked {
    let (parent, price_date, request_id) =
        (format!("jobs/{job}"), PRICE_DATE.to_owned(), request_id());
    Asked::Estimate(CreateEstimateRequest {
        parent,
        price_date,
        request_id,
        ..Default::default()
    })
}

/// The price of sand from the next day on that has none of its own: the first from 1999 on, then a day each.
pub fn next_price(asked_before: usize) -> Asked {
    let first = hod_units::parse_date(FIRST_DAY).unwrap();
    let day = first.iter_days().nth(asked_before).unwrap();
    price("sharp-sand", Unit::T, &day.to_string())
}

fn price(material: &str, unit: Unit, start_date: &str) -> Asked {
    let price = Price {
        material: format!("materials/{material}"),
        unit_price: "27.80".to_owned(),
        unit: unit.into(),
        start_date: start_date.to_owned(),
        ..Price::default()
    };
    let (parent, request_id) = (REGION.to_owned(), request_id());
    Asked::Price(Box::new(CreatePriceRequest {
        parent,
        price: Some(price),
        request_id,
        ..Default::default()
    }))
}
