//! Labour constants: get, list, create, update.

use hod_wire::v1::labour_constant_service_server::LabourConstantService;
use hod_wire::v1::{
    CreateLabourConstantRequest, GetLabourConstantRequest, LabourConstant,
    ListLabourConstantsRequest, ListLabourConstantsResponse, UpdateLabourConstantRequest,
};
use tonic::Request;

use super::{Answer, Api, answer, how, open, page};
use crate::app::{self, Creation};
use crate::decode::{Decoder, task_if_any};
use crate::name::{Collection, LabourConstants};

#[tonic::async_trait]
impl LabourConstantService for Api {
    async fn get_labour_constant(
        &self,
        request: Request<GetLabourConstantRequest>,
    ) -> Answer<LabourConstant> {
        let (call, request) = open(request)?;
        answer(app::get::<LabourConstants>(&self.app, &call, &request.name).await?)
    }

    async fn list_labour_constants(
        &self,
        request: Request<ListLabourConstantsRequest>,
    ) -> Answer<ListLabourConstantsResponse> {
        let (call, mut request) = open(request)?;
        let mut decoder = Decoder::new();
        let page = page(
            &mut decoder,
            "LabourConstantService/ListLabourConstants",
            &mut request,
        );
        let task = task_if_any(&mut decoder, "task", request.task);
        let (labour_constants, next_page_token) =
            app::list::<LabourConstants>(&self.app, &call, decoder, page, task).await?;
        answer(ListLabourConstantsResponse {
            labour_constants,
            next_page_token,
        })
    }

    async fn create_labour_constant(
        &self,
        request: Request<CreateLabourConstantRequest>,
    ) -> Answer<LabourConstant> {
        let (call, request) = open(request)?;
        let mut decoder = Decoder::new();
        let creation = Creation {
            act: how(
                &mut decoder,
                "LabourConstantService/CreateLabourConstant",
                &request,
            ),
            key: decoder.read(
                "labour_constant_id",
                "NOT_AN_ID",
                LabourConstants::id(&request.labour_constant_id),
            ),
            wire: request.labour_constant.as_ref(),
        };
        answer(app::create::<LabourConstants>(&self.app, &call, decoder, creation).await?)
    }

    async fn update_labour_constant(
        &self,
        request: Request<UpdateLabourConstantRequest>,
    ) -> Answer<LabourConstant> {
        let (call, request) = open(request)?;
        let mut decoder = Decoder::new();
        let how = how(
            &mut decoder,
            "LabourConstantService/UpdateLabourConstant",
            &request,
        );
        let (labour_constant, mask) = (request.labour_constant, request.update_mask);
        answer(
            app::update::<LabourConstants>(&self.app, &call, decoder, how, labour_constant, mask)
                .await?,
        )
    }
}
