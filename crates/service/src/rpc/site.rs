//! Sites: get, list, create, update.

use hod_wire::v1::site_service_server::SiteService;
use hod_wire::v1::{
    CreateSiteRequest, GetSiteRequest, ListSitesRequest, ListSitesResponse, Site, UpdateSiteRequest,
};
use tonic::Request;

use super::{Answer, Api, answer, how, open, page};
use crate::app::{self, Creation};
use crate::decode::Decoder;
use crate::name::{Collection, Sites};

#[tonic::async_trait]
impl SiteService for Api {
    async fn get_site(&self, request: Request<GetSiteRequest>) -> Answer<Site> {
        let (call, request) = open(request)?;
        answer(app::get::<Sites>(&self.app, &call, &request.name).await?)
    }

    async fn list_sites(&self, request: Request<ListSitesRequest>) -> Answer<ListSitesResponse> {
        let (call, mut request) = open(request)?;
        let mut decoder = Decoder::new();
        let page = page(&mut decoder, "SiteService/ListSites", &mut request);
        let (sites, next_page_token) =
            app::list::<Sites>(&self.app, &call, decoder, page, Some(())).await?;
        answer(ListSitesResponse {
            sites,
            next_page_token,
        })
    }

    async fn create_site(&self, request: Request<CreateSiteRequest>) -> Answer<Site> {
        let (call, request) = open(request)?;
        let mut decoder = Decoder::new();
        let creation = Creation {
            act: how(&mut decoder, "SiteService/CreateSite", &request),
            key: decoder.read("site_id", "NOT_AN_ID", Sites::id(&request.site_id)),
            wire: request.site.as_ref(),
        };
        answer(app::create::<Sites>(&self.app, &call, decoder, creation).await?)
    }

    async fn update_site(&self, request: Request<UpdateSiteRequest>) -> Answer<Site> {
        let (call, request) = open(request)?;
        let mut decoder = Decoder::new();
        let how = how(&mut decoder, "SiteService/UpdateSite", &request);
        let (site, mask) = (request.site, request.update_mask);
        answer(app::update::<Sites>(&self.app, &call, decoder, how, site, mask).await?)
    }
}
