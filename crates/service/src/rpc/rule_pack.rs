//! Rule packs: get, list, create. What is kept here is never changed.

use hod_wire::v1::rule_pack_service_server::RulePackService;
use hod_wire::v1::{
    CreateRulePackRequest, GetRulePackRequest, ListRulePacksRequest, ListRulePacksResponse,
    RulePack,
};
use tonic::Request;

use super::{Answer, Api, answer, how, open, page};
use crate::app::{self, Creation};
use crate::decode::Decoder;
use crate::name::{Collection, RulePacks};

#[tonic::async_trait]
impl RulePackService for Api {
    async fn get_rule_pack(&self, request: Request<GetRulePackRequest>) -> Answer<RulePack> {
        let (call, request) = open(request)?;
        answer(app::get::<RulePacks>(&self.app, &call, &request.name).await?)
    }

    async fn list_rule_packs(
        &self,
        request: Request<ListRulePacksRequest>,
    ) -> Answer<ListRulePacksResponse> {
        let (call, mut request) = open(request)?;
        let mut decoder = Decoder::new();
        let page = page(&mut decoder, "RulePackService/ListRulePacks", &mut request);
        let (rule_packs, next_page_token) =
            app::list::<RulePacks>(&self.app, &call, decoder, page, Some(())).await?;
        answer(ListRulePacksResponse {
            rule_packs,
            next_page_token,
        })
    }

    async fn create_rule_pack(&self, request: Request<CreateRulePackRequest>) -> Answer<RulePack> {
        let (call, request) = open(request)?;
        let mut decoder = Decoder::new();
        let creation = Creation {
            act: how(&mut decoder, "RulePackService/CreateRulePack", &request),
            key: decoder.read(
                "rule_pack_id",
                "NOT_AN_ID",
                RulePacks::id(&request.rule_pack_id),
            ),
            wire: request.rule_pack.as_ref(),
        };
        answer(app::create::<RulePacks>(&self.app, &call, decoder, creation).await?)
    }
}
