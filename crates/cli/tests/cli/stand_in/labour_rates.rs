//! Labour rates of the stand-in: it gives back what it was given, with a loaded rate made up.

use hod_wire::v1 as wire;
use hod_wire::v1::labour_rate_service_server::LabourRateService;
use tonic::{Request, Response};

use super::{Answer, Services};

#[tonic::async_trait]
impl LabourRateService for Services {
    async fn get_labour_rate(
        &self,
        request: Request<wire::GetLabourRateRequest>,
    ) -> Answer<wire::LabourRate> {
        let name = request.into_inner().name;
        Ok(Response::new(wire::LabourRate {
            name,
            grade: "lead".into(),
            ..wire::LabourRate::default()
        }))
    }

    async fn list_labour_rates(
        &self,
        _: Request<wire::ListLabourRatesRequest>,
    ) -> Answer<wire::ListLabourRatesResponse> {
        Ok(Response::new(wire::ListLabourRatesResponse::default()))
    }

    async fn create_labour_rate(
        &self,
        request: Request<wire::CreateLabourRateRequest>,
    ) -> Answer<wire::LabourRate> {
        let mut request = request.into_inner();
        request.request_id = "UUID".to_owned();
        self.keep(&request);
        Ok(Response::new(wire::LabourRate {
            name: format!("{}/labourRates/r9", request.parent),
            ..request.labour_rate.unwrap()
        }))
    }

    async fn close_labour_rate(
        &self,
        request: Request<wire::CloseLabourRateRequest>,
    ) -> Answer<wire::LabourRate> {
        let mut request = request.into_inner();
        request.request_id = "UUID".to_owned();
        self.keep(&request);
        Ok(Response::new(wire::LabourRate {
            name: request.name,
            grade: "lead".into(),
            end_date: request.end_date,
            ..wire::LabourRate::default()
        }))
    }
}
