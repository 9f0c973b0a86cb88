//! What the tests of the service share: a client that carries a token, a ground on which an estimate can be made, jobs
//! drawn in a few words, and the reading of refusals.

use std::str::FromStr;

use hod_testkit::database::TestDatabase;
use hod_testkit::server::{RunningServer, TestFirm};
use hod_wire::v1::crew_service_client::CrewServiceClient;
use hod_wire::v1::estimation_service_client::EstimationServiceClient;
use hod_wire::v1::job_service_client::JobServiceClient;
use hod_wire::v1::labour_constant_service_client::LabourConstantServiceClient;
use hod_wire::v1::labour_rate_service_client::LabourRateServiceClient;
use hod_wire::v1::material_service_client::MaterialServiceClient;
use hod_wire::v1::mix_service_client::MixServiceClient;
use hod_wire::v1::mix_trial_service_client::MixTrialServiceClient;
use hod_wire::v1::price_service_client::PriceServiceClient;
use hod_wire::v1::quote_service_client::QuoteServiceClient;
use hod_wire::v1::region_service_client::RegionServiceClient;
use hod_wire::v1::rule_pack_service_client::RulePackServiceClient;
use hod_wire::v1::site_service_client::SiteServiceClient;
use hod_wire::v1::soil_test_service_client::SoilTestServiceClient;
use hod_wire::v1::{
    BuildUp, CreateLabourRateRequest, CreatePriceRequest, CreateRegionRequest, CreateSiteRequest,
    Job, LabourRate, Opening, OpeningShape, Price, Region, Site, Unit, Wall, WallSystem,
};
use tonic::codec::{Codec, DecodeBuf, Decoder, EncodeBuf, Encoder};
use tonic::metadata::{Ascii, MetadataValue};
use tonic::service::Interceptor;
use tonic::service::interceptor::InterceptedService;
use tonic::transport::{Channel, Endpoint};
use tonic::{Request, Status};
use tonic_types::{ErrorDetail, StatusExt};

/// Puts a token on every call.
#[derive(Clone)]
pub struct Bearer(Option<MetadataValue<Ascii>>);

impl Interceptor for Bearer {
    fn call(&mut self, mut request: Request<()>) -> Result<Request<()>, Status> {
        if let Some(value) = &self.0 {
            request
                .metadata_mut()
                .insert("authorization", value.clone());
        }
        Ok(request)
    }
}

/// A channel that carries a token.
pub type Carried = InterceptedService<Channel, Bearer>;

/// Clients of every service.
#[derive(Clone)]
pub struct Client {
    pub channel: Channel,
    bearer: Bearer,
}

macro_rules! clients {
    ($($name:ident: $client:ident;)*) => {$(
        pub fn $name(&self) -> $client<Carried> {
            $client::with_interceptor(self.channel.clone(), self.bearer.clone())
        }
    )*};
}

impl Client {
    pub async fn connect(url: &str, token: &str) -> Self {
        let channel = Endpoint::from_str(url)
            .expect("a url")
            .connect()
            .await
            .expect("a connection");
        Self::over(channel, token)
    }

    pub fn over(channel: Channel, token: &str) -> Self {
        let value = format!("Bearer {token}").parse().expect("a header");
        Self {
            channel,
            bearer: Bearer(Some(value)),
        }
    }

    clients! {
        crews: CrewServiceClient;
        estimation: EstimationServiceClient;
        jobs: JobServiceClient;
        labour_constants: LabourConstantServiceClient;
        labour_rates: LabourRateServiceClient;
        materials: MaterialServiceClient;
        mix_trials: MixTrialServiceClient;
        mixes: MixServiceClient;
        prices: PriceServiceClient;
        quotes: QuoteServiceClient;
        regions: RegionServiceClient;
        rule_packs: RulePackServiceClient;
        sites: SiteServiceClient;
        soil_tests: SoilTestServiceClient;
    }
}

/// Sends and takes bytes as they are.
#[derive(Clone, Default)]
pub struct Bytes;

impl Codec for Bytes {
    type Encode = Vec<u8>;
    type Decode = Vec<u8>;
    type Encoder = Bytes;
    type Decoder = Bytes;

    fn encoder(&mut self) -> Bytes {
        Bytes
    }

    fn decoder(&mut self) -> Bytes {
        Bytes
    }
}

impl Encoder for Bytes {
    type Item = Vec<u8>;
    type Error = Status;

    fn encode(&mut self, item: Vec<u8>, buffer: &mut EncodeBuf<'_>) -> Result<(), Status> {
        bytes::BufMut::put_slice(buffer, &item);
        Ok(())
    }
}

impl Decoder for Bytes {
    type Item = Vec<u8>;
    type Error = Status;

    fn decode(&mut self, buffer: &mut DecodeBuf<'_>) -> Result<Option<Vec<u8>>, Status> {
        let length = bytes::Buf::remaining(buffer);
        Ok(Some(bytes::Buf::copy_to_bytes(buffer, length).to_vec()))
    }
}

/// A server on a database of its own, with a firm that has the starting library, and a client of it.
pub struct Ground {
    // Dropped in this order: the server before the database that it works on.
    pub client: Client,
    pub server: RunningServer,
    pub firm: TestFirm,
    pub database: TestDatabase,
}

impl Ground {
    /// With the starting library and nothing else.
    pub async fn with_library() -> Self {
        Self::with_settings(&[]).await
    }

    /// The same, the server set so.
    pub async fn with_settings(settings: &[(&str, &str)]) -> Self {
        let database = TestDatabase::new().await;
        let firm = TestFirm::with_library(&database).await;
        let server = RunningServer::on_database_with(&database, settings);
        let client = Client::connect(&server.url(), &firm.token).await;
        Self {
            client,
            server,
            firm,
            database,
        }
    }

    /// With a region, its prices and rates, and a site: all that the studio is priced with.
    pub async fn priced() -> Self {
        let ground = Self::with_library().await;
        price(&ground.client).await;
        ground
    }
}

/// Makes the region `north`, in which the library's bought materials have prices and the grades have rates from
/// 2026-01-01 on, and the site `long-acre` in it.
pub async fn price(client: &Client) {
    client
        .regions()
        .create_region(region("north"))
        .await
        .expect("a region");
    client
        .sites()
        .create_site(site("long-acre", "regions/north"))
        .await
        .expect("a site");
    for (material, unit, unit_price) in [
        ("sharp-sand", Unit::T, "31.50"),
        ("straw-bale", Unit::Bale, "4.20"),
    ] {
        client
            .prices()
            .create_price(new_price(
                "regions/north",
                material,
                unit,
                unit_price,
                "2026-01-01",
            ))
            .await
            .expect(material);
    }
    for (grade, wage) in [("lead", "28"), ("practised", "22.50"), ("helper", "16")] {
        client
            .labour_rates()
            .create_labour_rate(new_rate("regions/north", grade, wage, "2026-01-01"))
            .await
            .expect(grade);
    }
}

pub fn region(id: &str) -> CreateRegionRequest {
    CreateRegionRequest {
        region_id: id.into(),
        region: Some(Region {
            display_name: "North".into(),
            currency_code: "EUR".into(),
            build_up: Some(BuildUp {
                site_overhead_percent: "8".into(),
                firm_overhead_percent: "5".into(),
                contingency_percent: "10".into(),
                profit_percent: "12.5".into(),
                tax_label: "VAT".into(),
                tax_percent: "20".into(),
                ..Default::default()
            }),
            ..Default::default()
        }),
        ..Default::default()
    }
}

pub fn site(id: &str, region: &str) -> CreateSiteRequest {
    CreateSiteRequest {
        site_id: id.into(),
        site: Some(Site {
            display_name: "Long Acre".into(),
            region: region.into(),
            haul_distance_m: "40".into(),
            ..Default::default()
        }),
        ..Default::default()
    }
}

pub fn new_price(
    region: &str,
    material: &str,
    unit: Unit,
    unit_price: &str,
    from: &str,
) -> CreatePriceRequest {
    CreatePriceRequest {
        parent: region.into(),
        price: Some(Price {
            material: format!("materials/{material}"),
            unit_price: unit_price.into(),
            unit: unit.into(),
            start_date: from.into(),
            ..Default::default()
        }),
        ..Default::default()
    }
}

pub fn new_rate(region: &str, grade: &str, wage: &str, from: &str) -> CreateLabourRateRequest {
    CreateLabourRateRequest {
        parent: region.into(),
        labour_rate: Some(LabourRate {
            grade: grade.into(),
            wage_per_hour: wage.into(),
            burden_percent: "30".into(),
            start_date: from.into(),
            ..Default::default()
        }),
        ..Default::default()
    }
}

/// A closed run of four tapering walls, 6.20 m by 4.00 m, with a door in the south.
pub fn studio() -> Job {
    let door = Opening {
        id: "door".into(),
        shape: OpeningShape::Rectangle.into(),
        width_m: "0.90".into(),
        height_m: "2.00".into(),
        sill_m: "0.00".into(),
        at_m: "1.10".into(),
        ..Default::default()
    };
    Job {
        display_name: "Long Acre studio".into(),
        site: "sites/long-acre".into(),
        system: WallSystem::Cob.into(),
        mix: "mixes/house-cob".into(),
        mixing: "tarp".into(),
        crew: "crews/practised".into(),
        walls: vec![
            Wall {
                openings: vec![door],
                ..wall("south", "6.20", "east")
            },
            wall("east", "4.00", "north"),
            wall("north", "6.20", "west"),
            wall("west", "4.00", "south"),
        ],
        ..Default::default()
    }
}

fn wall(id: &str, length: &str, next: &str) -> Wall {
    Wall {
        id: id.into(),
        length_m: length.into(),
        height_m: "2.40".into(),
        thickness_mm: "450".into(),
        thickness_top_mm: "400".into(),
        ends: format!("corner:{next}"),
        ..Default::default()
    }
}

/// Free walls, as many as asked for, each with so many windows.
pub fn long_job(walls: usize, windows: usize) -> Job {
    let window = |number: usize| Opening {
        id: format!("w{number}"),
        shape: OpeningShape::Rectangle.into(),
        width_m: "0.40".into(),
        height_m: "0.60".into(),
        sill_m: "0.90".into(),
        at_m: format!("{}.50", number + 1),
        ..Default::default()
    };
    let free = |number: usize| Wall {
        id: format!("wall-{number}"),
        length_m: "12.00".into(),
        height_m: "2.40".into(),
        thickness_mm: "450".into(),
        openings: (0..windows).map(window).collect(),
        ..Default::default()
    };
    Job {
        walls: (0..walls).map(free).collect(),
        ..studio()
    }
}

/// Code and reason of a refusal; it must have exactly one `ErrorInfo`.
pub fn reason(status: &Status) -> (tonic::Code, String) {
    let infos: Vec<_> = status
        .get_error_details_vec()
        .into_iter()
        .filter_map(|detail| match detail {
            ErrorDetail::ErrorInfo(info) => Some(info),
            _ => None,
        })
        .collect();
    assert_eq!(infos.len(), 1, "{status:?}");
    assert_eq!(infos[0].domain, "hod");
    (status.code(), infos[0].reason.clone())
}

/// Field and rule of everything that a refusal holds against a request.
pub fn violations(status: &Status) -> Vec<(String, String)> {
    let details = status.get_error_details();
    let all = details
        .bad_request()
        .map(|bad| bad.field_violations.clone())
        .unwrap_or_default();
    all.into_iter()
        .map(|violation| (violation.field, violation.reason))
        .collect()
}

/// What a refusal holds against fields, when that is all it says.
#[track_caller]
pub fn assert_fields(status: &Status, expected: &[(&str, &str)]) {
    assert_eq!(
        reason(status),
        (
            tonic::Code::InvalidArgument,
            "FIELDS_HAVE_FAULTS".to_owned()
        ),
        "{status:?}"
    );
    let told = violations(status);
    let told: Vec<(&str, &str)> = told.iter().map(|(f, r)| (f.as_str(), r.as_str())).collect();
    assert_eq!(told, expected);
}

/// A refusal of this code and reason, told of this name.
#[track_caller]
pub fn assert_refused(status: &Status, code: tonic::Code, expected: &str, told: &str) {
    assert_eq!(reason(status), (code, expected.to_owned()), "{status:?}");
    assert!(status.message().contains(told), "{}", status.message());
}
