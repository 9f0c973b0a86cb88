//! Materials: get, list, create, update.

use hod_wire::v1::material_service_server::MaterialService;
use hod_wire::v1::{
    CreateMaterialRequest, GetMaterialRequest, ListMaterialsRequest, ListMaterialsResponse,
    Material, UpdateMaterialRequest,
};
use tonic::Request;

use super::{Answer, Api, answer, how, open, page};
use crate::app::{self, Creation};
use crate::decode::Decoder;
use crate::name::{Collection, Materials};

#[tonic::async_trait]
impl MaterialService for Api {
    async fn get_material(&self, request: Request<GetMaterialRequest>) -> Answer<Material> {
        let (call, request) = open(request)?;
        answer(app::get::<Materials>(&self.app, &call, &request.name).await?)
    }

    async fn list_materials(
        &self,
        request: Request<ListMaterialsRequest>,
    ) -> Answer<ListMaterialsResponse> {
        let (call, mut request) = open(request)?;
        let mut decoder = Decoder::new();
        let page = page(&mut decoder, "MaterialService/ListMaterials", &mut request);
        let (materials, next_page_token) =
            app::list::<Materials>(&self.app, &call, decoder, page, Some(())).await?;
        answer(ListMaterialsResponse {
            materials,
            next_page_token,
        })
    }

    async fn create_material(&self, request: Request<CreateMaterialRequest>) -> Answer<Material> {
        let (call, request) = open(request)?;
        let mut decoder = Decoder::new();
        let creation = Creation {
            act: how(&mut decoder, "MaterialService/CreateMaterial", &request),
            key: decoder.read(
                "material_id",
                "NOT_AN_ID",
                Materials::id(&request.material_id),
            ),
            wire: request.material.as_ref(),
        };
        answer(app::create::<Materials>(&self.app, &call, decoder, creation).await?)
    }

    async fn update_material(&self, request: Request<UpdateMaterialRequest>) -> Answer<Material> {
        let (call, request) = open(request)?;
        let mut decoder = Decoder::new();
        let how = how(&mut decoder, "MaterialService/UpdateMaterial", &request);
        let (material, mask) = (request.material, request.update_mask);
        answer(app::update::<Materials>(&self.app, &call, decoder, how, material, mask).await?)
    }
}
