//! The gRPC services: decode, one call, encode. A file per service; what they share is here.

mod crew;
mod estimation;
mod job;
mod labour_constant;
mod labour_rate;
mod material;
mod mix;
mod mix_trial;
mod price;
mod quote;
mod region;
mod rule_pack;
mod site;
mod soil_test;

use std::sync::Arc;

use hod_wire::v1 as wire;
use prost::Message;
use tonic::{Request, Response, Status};

use crate::app::App;
use crate::call::Call;
use crate::decode::{Act, Decoder, Page};
use crate::refusal::Refusal;

/// All services, over what calls share.
#[derive(Clone)]
pub struct Api {
    app: Arc<App>,
}

impl Api {
    /// The services over an app.
    pub fn new(app: App) -> Self {
        Self { app: Arc::new(app) }
    }
}

/// What a method answers.
type Answer<T> = Result<Response<T>, Status>;

/// The call, and what it says.
fn open<T>(request: Request<T>) -> Result<(Call, T), Refusal> {
    let call = request.extensions().get::<Call>().cloned();
    let call = call.ok_or_else(|| Refusal::internal("a call came in without its envelope"))?;
    Ok((call, request.into_inner()))
}

/// An answer, if it is not larger than a message may be.
fn answer<T: Message>(message: T) -> Answer<T> {
    Refusal::too_large_to_send(&message)?;
    Ok(Response::new(message))
}

/// A request for a page.
trait Paged: Message {
    fn size_and_token(&mut self) -> (&mut i32, &mut String);
}

/// Reads which page is asked for. The rest of the request is what the page is bound to.
fn page<T: Paged>(
    decoder: &mut Decoder<'_>,
    method: &'static str,
    request: &mut T,
) -> Option<Page> {
    let (size, token) = request.size_and_token();
    let (size, token) = (std::mem::take(size), std::mem::take(token));
    Page::read(decoder, method, size, &token, request)
}

/// A request that makes or changes something.
trait Acting: Message {
    fn id_and_trial(&self) -> (&str, bool);
}

/// Reads how it is to be done.
fn how<T: Acting>(decoder: &mut Decoder<'_>, method: &'static str, request: &T) -> Option<Act> {
    let (request_id, validate_only) = request.id_and_trial();
    Act::read(decoder, method, request, request_id, validate_only)
}

macro_rules! paged {
    ($($request:ident),* $(,)?) => {$(
        impl Paged for wire::$request {
            fn size_and_token(&mut self) -> (&mut i32, &mut String) {
                (&mut self.page_size, &mut self.page_token)
            }
        }
    )*};
}

paged! {
    ListCrewsRequest, ListEstimatesRequest, ListJobsRequest, ListLabourConstantsRequest, ListLabourRatesRequest,
    ListMaterialsRequest, ListMixTrialsRequest, ListMixesRequest, ListPricesRequest, ListRegionsRequest,
    ListQuotesRequest, ListRulePacksRequest, ListSitesRequest, ListSoilTestsRequest, ListVariationsRequest,
}

macro_rules! acting {
    ($($request:ident),* $(,)?) => {$(
        impl Acting for wire::$request {
            fn id_and_trial(&self) -> (&str, bool) {
                (&self.request_id, self.validate_only)
            }
        }
    )*};
}

acting! {
    AcceptQuoteRequest, CreateVariationRequest, DeclineQuoteRequest, ExpireQuoteRequest, IssueQuoteRequest,
    PriceJobsAgainRequest,
    AdjustPricesRequest, ClosePriceRequest, CloseLabourRateRequest,
    CreateCrewRequest, CreateEstimateRequest, CreateJobRequest, CreateLabourConstantRequest, CreateLabourRateRequest,
    CreateMaterialRequest, CreateMixRequest, CreateMixTrialRequest, CreatePriceRequest, CreateRegionRequest,
    CreateRulePackRequest, CreateSiteRequest, CreateSoilTestRequest, DeleteJobRequest, UpdateCrewRequest, UpdateJobRequest, UpdateLabourConstantRequest,
    UpdateMaterialRequest, UpdateMixRequest, UpdateRegionRequest, UpdateSiteRequest,
}
