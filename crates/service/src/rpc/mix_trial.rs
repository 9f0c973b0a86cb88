//! Mix trials: get, list, create. What is kept here is never changed.

use hod_wire::v1::mix_trial_service_server::MixTrialService;
use hod_wire::v1::{
    CreateMixTrialRequest, GetMixTrialRequest, ListMixTrialsRequest, ListMixTrialsResponse,
    MixTrial,
};
use tonic::Request;

use super::{Answer, Api, answer, how, open, page};
use crate::app::{self, Creation};
use crate::decode::Decoder;
use crate::name::{Collection, MixTrials, Sites};

#[tonic::async_trait]
impl MixTrialService for Api {
    async fn get_mix_trial(&self, request: Request<GetMixTrialRequest>) -> Answer<MixTrial> {
        let (call, request) = open(request)?;
        answer(app::get::<MixTrials>(&self.app, &call, &request.name).await?)
    }

    async fn list_mix_trials(
        &self,
        request: Request<ListMixTrialsRequest>,
    ) -> Answer<ListMixTrialsResponse> {
        let (call, mut request) = open(request)?;
        let mut decoder = Decoder::new();
        let page = page(&mut decoder, "MixTrialService/ListMixTrials", &mut request);
        let parent = decoder.name::<Sites>("parent", &request.parent);
        let (mix_trials, next_page_token) =
            app::list::<MixTrials>(&self.app, &call, decoder, page, parent).await?;
        answer(ListMixTrialsResponse {
            mix_trials,
            next_page_token,
        })
    }

    async fn create_mix_trial(&self, request: Request<CreateMixTrialRequest>) -> Answer<MixTrial> {
        let (call, request) = open(request)?;
        let mut decoder = Decoder::new();
        let act = how(&mut decoder, "MixTrialService/CreateMixTrial", &request);
        let parent = decoder.name::<Sites>("parent", &request.parent);
        let id = app::id_or_new(&request.mix_trial_id, 't');
        let id = decoder.read("mix_trial_id", "NOT_AN_ID", MixTrials::id(&id));
        let creation = Creation {
            act,
            key: parent.zip(id),
            wire: request.mix_trial.as_ref(),
        };
        answer(app::create::<MixTrials>(&self.app, &call, decoder, creation).await?)
    }
}
