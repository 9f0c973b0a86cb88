//! Crews: get, list, create, update.

use hod_wire::v1::crew_service_server::CrewService;
use hod_wire::v1::{
    CreateCrewRequest, Crew, GetCrewRequest, ListCrewsRequest, ListCrewsResponse, UpdateCrewRequest,
};
use tonic::Request;

use super::{Answer, Api, answer, how, open, page};
use crate::app::{self, Creation};
use crate::decode::Decoder;
use crate::name::{Collection, Crews};

#[tonic::async_trait]
impl CrewService for Api {
    async fn get_crew(&self, request: Request<GetCrewRequest>) -> Answer<Crew> {
        let (call, request) = open(request)?;
        answer(app::get::<Crews>(&self.app, &call, &request.name).await?)
    }

    async fn list_crews(&self, request: Request<ListCrewsRequest>) -> Answer<ListCrewsResponse> {
        let (call, mut request) = open(request)?;
        let mut decoder = Decoder::new();
        let page = page(&mut decoder, "CrewService/ListCrews", &mut request);
        let (crews, next_page_token) =
            app::list::<Crews>(&self.app, &call, decoder, page, Some(())).await?;
        answer(ListCrewsResponse {
            crews,
            next_page_token,
        })
    }

    async fn create_crew(&self, request: Request<CreateCrewRequest>) -> Answer<Crew> {
        let (call, request) = open(request)?;
        let mut decoder = Decoder::new();
        let creation = Creation {
            act: how(&mut decoder, "CrewService/CreateCrew", &request),
            key: decoder.read("crew_id", "NOT_AN_ID", Crews::id(&request.crew_id)),
            wire: request.crew.as_ref(),
        };
        answer(app::create::<Crews>(&self.app, &call, decoder, creation).await?)
    }

    async fn update_crew(&self, request: Request<UpdateCrewRequest>) -> Answer<Crew> {
        let (call, request) = open(request)?;
        let mut decoder = Decoder::new();
        let how = how(&mut decoder, "CrewService/UpdateCrew", &request);
        let (crew, mask) = (request.crew, request.update_mask);
        answer(app::update::<Crews>(&self.app, &call, decoder, how, crew, mask).await?)
    }
}
