//! Regions: get, list, create, update.

use hod_wire::v1::region_service_server::RegionService;
use hod_wire::v1::{
    CreateRegionRequest, GetRegionRequest, ListRegionsRequest, ListRegionsResponse, Region,
    UpdateRegionRequest,
};
use tonic::Request;

use super::{Answer, Api, answer, how, open, page};
use crate::app::{self, Creation};
use crate::decode::Decoder;
use crate::name::{Collection, Regions};

#[tonic::async_trait]
impl RegionService for Api {
    async fn get_region(&self, request: Request<GetRegionRequest>) -> Answer<Region> {
        let (call, request) = open(request)?;
        answer(app::get::<Regions>(&self.app, &call, &request.name).await?)
    }

    async fn list_regions(
        &self,
        request: Request<ListRegionsRequest>,
    ) -> Answer<ListRegionsResponse> {
        let (call, mut request) = open(request)?;
        let mut decoder = Decoder::new();
        let page = page(&mut decoder, "RegionService/ListRegions", &mut request);
        let (regions, next_page_token) =
            app::list::<Regions>(&self.app, &call, decoder, page, Some(())).await?;
        answer(ListRegionsResponse {
            regions,
            next_page_token,
        })
    }

    async fn create_region(&self, request: Request<CreateRegionRequest>) -> Answer<Region> {
        let (call, request) = open(request)?;
        let mut decoder = Decoder::new();
        let creation = Creation {
            act: how(&mut decoder, "RegionService/CreateRegion", &request),
            key: decoder.read("region_id", "NOT_AN_ID", Regions::id(&request.region_id)),
            wire: request.region.as_ref(),
        };
        answer(app::create::<Regions>(&self.app, &call, decoder, creation).await?)
    }

    async fn update_region(&self, request: Request<UpdateRegionRequest>) -> Answer<Region> {
        let (call, request) = open(request)?;
        let mut decoder = Decoder::new();
        let how = how(&mut decoder, "RegionService/UpdateRegion", &request);
        let (region, mask) = (request.region, request.update_mask);
        answer(app::update::<Regions>(&self.app, &call, decoder, how, region, mask).await?)
    }
}
