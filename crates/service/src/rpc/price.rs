//! Prices: get, list, create, close. What is kept here is never changed: a new one closes the old.

use hod_store::price::PriceFilter;
use hod_wire::v1::price_service_server::PriceService;
use hod_wire::v1::{
    ClosePriceRequest, CreatePriceRequest, GetPriceRequest, ListPricesRequest, ListPricesResponse, Price,
};
use tonic::Request;

use super::{Answer, Api, answer, how, open, page};
use crate::app::{self, Creation};
use crate::decode::{Decoder, list_version};
use crate::name::{Collection, Materials, Prices, Regions};

#[tonic::async_trait]
impl PriceService for Api {
    async fn get_price(&self, request: Request<GetPriceRequest>) -> Answer<Price> {
        let (call, request) = open(request)?;
        answer(app::get::<Prices>(&self.app, &call, &request.name).await?)
    }

    async fn list_prices(&self, request: Request<ListPricesRequest>) -> Answer<ListPricesResponse> {
        let (call, mut request) = open(request)?;
        let mut decoder = Decoder::new();
        let page = page(&mut decoder, "PriceService/ListPrices", &mut request);
        let parent = decoder.name::<Regions>("parent", &request.parent);
        let material = decoder.name_if_any::<Materials>("material", &request.material);
        let on = decoder.date_if_any("on_date", &request.on_date);
        let list_version = list_version(&mut decoder, request.list_version);
        let filter = material.zip(on).zip(list_version);
        let filter = filter.map(|((material, on), list_version)| PriceFilter {
            material,
            on,
            list_version,
        });
        let scope = parent.zip(filter);
        let (prices, next_page_token) =
            app::list::<Prices>(&self.app, &call, decoder, page, scope).await?;
        answer(ListPricesResponse {
            prices,
            next_page_token,
        })
    }

    async fn create_price(&self, request: Request<CreatePriceRequest>) -> Answer<Price> {
        let (call, request) = open(request)?;
        let mut decoder = Decoder::new();
        let act = how(&mut decoder, "PriceService/CreatePrice", &request);
        let parent = decoder.name::<Regions>("parent", &request.parent);
        let id = app::id_or_new(&request.price_id, 'p');
        let id = decoder.read("price_id", "NOT_AN_ID", Prices::id(&id));
        let creation = Creation {
            act,
            key: parent.zip(id),
            wire: request.price.as_ref(),
        };
        let read = request.list_version;
        answer(app::create_listed::<Prices>(&self.app, &call, decoder, creation, read).await?)
    }

    async fn close_price(&self, request: Request<ClosePriceRequest>) -> Answer<Price> {
        let (call, request) = open(request)?;
        let mut decoder = Decoder::new();
        let act = how(&mut decoder, "PriceService/ClosePrice", &request);
        let (name, end, read) = (&request.name, &request.end_date, request.list_version);
        let closed =
            app::close_listed::<Prices>(&self.app, &call, decoder, act, name, end, read).await?;
        answer(closed)
    }
}
