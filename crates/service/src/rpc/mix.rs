//! Mixes: get, list, create, update, and what light straw-clay takes by its table.

use hod_wire::v1::mix_service_server::MixService;
use hod_wire::v1::{
    CreateMixRequest, GetMixRequest, ListMixesRequest, ListMixesResponse, Mix,
    ProportionStrawClayRequest, ProportionStrawClayResponse, UpdateMixRequest,
};
use tonic::Request;

use super::{Answer, Api, answer, how, open, page};
use crate::app::{self, Creation};
use crate::decode::{self, Decoder};
use crate::encode;
use crate::name::{Collection, Mixes};
use crate::refusal::Refusal;

#[tonic::async_trait]
impl MixService for Api {
    async fn get_mix(&self, request: Request<GetMixRequest>) -> Answer<Mix> {
        let (call, request) = open(request)?;
        answer(app::get::<Mixes>(&self.app, &call, &request.name).await?)
    }

    async fn list_mixes(&self, request: Request<ListMixesRequest>) -> Answer<ListMixesResponse> {
        let (call, mut request) = open(request)?;
        let mut decoder = Decoder::new();
        let page = page(&mut decoder, "MixService/ListMixes", &mut request);
        let (mixes, next_page_token) =
            app::list::<Mixes>(&self.app, &call, decoder, page, Some(())).await?;
        answer(ListMixesResponse {
            mixes,
            next_page_token,
        })
    }

    async fn create_mix(&self, request: Request<CreateMixRequest>) -> Answer<Mix> {
        let (call, request) = open(request)?;
        let mut decoder = Decoder::new();
        let creation = Creation {
            act: how(&mut decoder, "MixService/CreateMix", &request),
            key: decoder.read("mix_id", "NOT_AN_ID", Mixes::id(&request.mix_id)),
            wire: request.mix.as_ref(),
        };
        answer(app::create::<Mixes>(&self.app, &call, decoder, creation).await?)
    }

    async fn update_mix(&self, request: Request<UpdateMixRequest>) -> Answer<Mix> {
        let (call, request) = open(request)?;
        let mut decoder = Decoder::new();
        let how = how(&mut decoder, "MixService/UpdateMix", &request);
        let (mix, mask) = (request.mix, request.update_mask);
        answer(app::update::<Mixes>(&self.app, &call, decoder, how, mix, mask).await?)
    }

    async fn proportion_straw_clay(
        &self,
        request: Request<ProportionStrawClayRequest>,
    ) -> Answer<ProportionStrawClayResponse> {
        let (_, request) = open(request)?;
        let mut decoder = Decoder::new();
        let takes = decode::straw_clay(&mut decoder, &request);
        let takes = takes.ok_or_else(|| Refusal::Fields(decoder.violations()))?;
        answer(encode::straw_clay(&takes))
    }
}
