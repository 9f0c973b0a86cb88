//! Nouns that the stand-in takes as they come: it keeps what it was asked and gives back what it was given.

use hod_wire::v1 as wire;
use tonic::{Request, Response};

use super::{Answer, Services, straw_clay};

macro_rules! kept {
    ($($service:ident::$trait:ident: $noun:ident in $collection:literal {
        $get:ident($get_request:ident),
        $list:ident($list_request:ident) -> $list_response:ident,
        $create:ident($create_request:ident { $create_id:ident, $created:ident }),
        $update:ident($update_request:ident { $updated:ident }),
        $(also { $($also:tt)* })?
    })*) => {$(
        #[tonic::async_trait]
        impl wire::$service::$trait for Services {
            async fn $get(&self, request: Request<wire::$get_request>) -> Answer<wire::$noun> {
                let name = request.into_inner().name;
                Ok(Response::new(wire::$noun { name, ..wire::$noun::default() }))
            }

            async fn $list(
                &self,
                _: Request<wire::$list_request>,
            ) -> Answer<wire::$list_response> {
                Ok(Response::new(wire::$list_response::default()))
            }

            async fn $create(
                &self,
                request: Request<wire::$create_request>,
            ) -> Answer<wire::$noun> {
                let mut request = request.into_inner();
                assert_eq!(request.request_id.len(), 36);
                request.request_id = "UUID".to_owned();
                self.keep(&request);
                let name = format!("{}/{}", $collection, request.$create_id);
                Ok(Response::new(wire::$noun { name, ..request.$created.unwrap() }))
            }

            async fn $update(
                &self,
                request: Request<wire::$update_request>,
            ) -> Answer<wire::$noun> {
                let mut request = request.into_inner();
                assert_eq!(request.request_id.len(), 36);
                request.request_id = "UUID".to_owned();
                self.keep(&request);
                Ok(Response::new(request.$updated.unwrap()))
            }

            $($($also)*)?
        }
    )*};
}

kept! {
    site_service_server::SiteService: Site in "sites" {
        get_site(GetSiteRequest),
        list_sites(ListSitesRequest) -> ListSitesResponse,
        create_site(CreateSiteRequest { site_id, site }),
        update_site(UpdateSiteRequest { site }),
    }
    material_service_server::MaterialService: Material in "materials" {
        get_material(GetMaterialRequest),
        list_materials(ListMaterialsRequest) -> ListMaterialsResponse,
        create_material(CreateMaterialRequest { material_id, material }),
        update_material(UpdateMaterialRequest { material }),
    }
    mix_service_server::MixService: Mix in "mixes" {
        get_mix(GetMixRequest),
        list_mixes(ListMixesRequest) -> ListMixesResponse,
        create_mix(CreateMixRequest { mix_id, mix }),
        update_mix(UpdateMixRequest { mix }),
        also {
            async fn proportion_straw_clay(
                &self,
                request: Request<wire::ProportionStrawClayRequest>,
            ) -> Answer<wire::ProportionStrawClayResponse> {
                self.keep(request.get_ref());
                straw_clay::takes(&request.into_inner().density_kg_m3)
            }
        }
    }
    crew_service_server::CrewService: Crew in "crews" {
        get_crew(GetCrewRequest),
        list_crews(ListCrewsRequest) -> ListCrewsResponse,
        create_crew(CreateCrewRequest { crew_id, crew }),
        update_crew(UpdateCrewRequest { crew }),
    }
    labour_constant_service_server::LabourConstantService: LabourConstant in "labourConstants" {
        get_labour_constant(GetLabourConstantRequest),
        list_labour_constants(ListLabourConstantsRequest) -> ListLabourConstantsResponse,
        create_labour_constant(CreateLabourConstantRequest { labour_constant_id, labour_constant }),
        update_labour_constant(UpdateLabourConstantRequest { labour_constant }),
    }
}
