//! Soil tests: get, list, create, and the trial mixes that follow from one. What is kept here is never changed.

use hod_wire::v1::soil_test_service_server::SoilTestService;
use hod_wire::v1::{
    CreateSoilTestRequest, GetSoilTestRequest, ListSoilTestsRequest, ListSoilTestsResponse,
    ProposeTrialMixesRequest, ProposeTrialMixesResponse, SoilTest,
};
use tonic::Request;

use super::{Answer, Api, answer, how, open, page};
use crate::app::{self, Creation};
use crate::decode::Decoder;
use crate::name::{Collection, Sites, SoilTests};

#[tonic::async_trait]
impl SoilTestService for Api {
    async fn get_soil_test(&self, request: Request<GetSoilTestRequest>) -> Answer<SoilTest> {
        let (call, request) = open(request)?;
        answer(app::get::<SoilTests>(&self.app, &call, &request.name).await?)
    }

    async fn list_soil_tests(
        &self,
        request: Request<ListSoilTestsRequest>,
    ) -> Answer<ListSoilTestsResponse> {
        let (call, mut request) = open(request)?;
        let mut decoder = Decoder::new();
        let page = page(&mut decoder, "SoilTestService/ListSoilTests", &mut request);
        let parent = decoder.name::<Sites>("parent", &request.parent);
        let scope = parent;
        let (soil_tests, next_page_token) =
            app::list::<SoilTests>(&self.app, &call, decoder, page, scope).await?;
        answer(ListSoilTestsResponse {
            soil_tests,
            next_page_token,
        })
    }

    async fn create_soil_test(&self, request: Request<CreateSoilTestRequest>) -> Answer<SoilTest> {
        let (call, request) = open(request)?;
        let mut decoder = Decoder::new();
        let act = how(&mut decoder, "SoilTestService/CreateSoilTest", &request);
        let parent = decoder.name::<Sites>("parent", &request.parent);
        let id = app::id_or_new(&request.soil_test_id, 's');
        let id = decoder.read("soil_test_id", "NOT_AN_ID", SoilTests::id(&id));
        let creation = Creation {
            act,
            key: parent.zip(id),
            wire: request.soil_test.as_ref(),
        };
        answer(app::create::<SoilTests>(&self.app, &call, decoder, creation).await?)
    }

    async fn propose_trial_mixes(
        &self,
        request: Request<ProposeTrialMixesRequest>,
    ) -> Answer<ProposeTrialMixesResponse> {
        let (call, request) = open(request)?;
        answer(app::propose_trial_mixes(&self.app, &call, &request).await?)
    }
}
