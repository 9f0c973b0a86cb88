//! Labour rates: get, list, create, close. What is kept here is never changed: a new one closes the old.

use hod_store::labour_rate::LabourRateFilter;
use hod_wire::v1::labour_rate_service_server::LabourRateService;
use hod_wire::v1::{
    CloseLabourRateRequest, CreateLabourRateRequest, GetLabourRateRequest, LabourRate,
    ListLabourRatesRequest, ListLabourRatesResponse,
};
use tonic::Request;

use super::{Answer, Api, answer, how, open, page};
use crate::app::{self, Creation};
use crate::decode::{Decoder, grade_if_any, list_version};
use crate::name::{Collection, LabourRates, Regions};

#[tonic::async_trait]
impl LabourRateService for Api {
    async fn get_labour_rate(&self, request: Request<GetLabourRateRequest>) -> Answer<LabourRate> {
        let (call, request) = open(request)?;
        answer(app::get::<LabourRates>(&self.app, &call, &request.name).await?)
    }

    async fn list_labour_rates(
        &self,
        request: Request<ListLabourRatesRequest>,
    ) -> Answer<ListLabourRatesResponse> {
        let (call, mut request) = open(request)?;
        let mut decoder = Decoder::new();
        let page = page(
            &mut decoder,
            "LabourRateService/ListLabourRates",
            &mut request,
        );
        let parent = decoder.name::<Regions>("parent", &request.parent);
        let grade = grade_if_any(&mut decoder, "grade", &request.grade);
        let on = decoder.date_if_any("on_date", &request.on_date);
        let list_version = list_version(&mut decoder, request.list_version);
        let filter = grade.zip(on).zip(list_version);
        let filter = filter.map(|((grade, on), list_version)| LabourRateFilter {
            grade,
            on,
            list_version,
        });
        let scope = parent.zip(filter);
        let (labour_rates, next_page_token) =
            app::list::<LabourRates>(&self.app, &call, decoder, page, scope).await?;
        answer(ListLabourRatesResponse {
            labour_rates,
            next_page_token,
        })
    }

    async fn create_labour_rate(
        &self,
        request: Request<CreateLabourRateRequest>,
    ) -> Answer<LabourRate> {
        let (call, request) = open(request)?;
        let mut decoder = Decoder::new();
        let act = how(&mut decoder, "LabourRateService/CreateLabourRate", &request);
        let parent = decoder.name::<Regions>("parent", &request.parent);
        let id = app::id_or_new(&request.labour_rate_id, 'r');
        let id = decoder.read("labour_rate_id", "NOT_AN_ID", LabourRates::id(&id));
        let creation = Creation {
            act,
            key: parent.zip(id),
            wire: request.labour_rate.as_ref(),
        };
        let read = request.list_version;
        answer(app::create_listed::<LabourRates>(&self.app, &call, decoder, creation, read).await?)
    }

    async fn close_labour_rate(
        &self,
        request: Request<CloseLabourRateRequest>,
    ) -> Answer<LabourRate> {
        let (call, request) = open(request)?;
        let mut decoder = Decoder::new();
        let act = how(&mut decoder, "LabourRateService/CloseLabourRate", &request);
        let (name, end, read) = (&request.name, &request.end_date, request.list_version);
        let closed =
            app::close_listed::<LabourRates>(&self.app, &call, decoder, act, name, end, read)
                .await?;
        answer(closed)
    }
}
