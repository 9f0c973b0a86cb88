//! Prices: get, list, create, close, and many at once from a file, by a rule or to a file. What is kept here is never
//! changed: a new one closes the old.

use std::pin::Pin;
use std::sync::Arc;

use futures::{Stream, StreamExt};
use hod_store::price::PriceFilter;
use hod_wire::v1::import_prices_request::Part;
use hod_wire::v1::price_service_server::PriceService;
use hod_wire::v1::{
    AdjustPricesRequest, ClosePriceRequest, CreatePriceRequest, ExportPricesRequest,
    ExportPricesResponse, GetPriceRequest, ImportPricesRequest, ListPricesRequest,
    ListPricesResponse, Price, PriceChangesResponse,
};
use tokio::sync::mpsc;
use tokio::time::timeout;
use tokio_stream::wrappers::ReceiverStream;
use tonic::{Request, Response, Status, Streaming};

use super::estimation::{unreadable, until};
use super::{Answer, Api, answer, how, open, page};
use crate::app::{self, Creation};
use crate::call::Deadline;
use crate::decode::{Decoder, adjust, export, list_version};
use crate::limits::STREAM_IDLE_MAX;
use crate::name::{Collection, Materials, Prices, Regions};
use crate::refusal::Refusal;

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

    type ImportPricesStream = Answers<PriceChangesResponse>;

    async fn import_prices(
        &self,
        request: Request<Streaming<ImportPricesRequest>>,
    ) -> Answer<Self::ImportPricesStream> {
        let (call, messages) = open(request)?;
        let deadline = call.deadline;
        let events = app::import_prices(Arc::clone(&self.app), call, parts(messages));
        Ok(answers(events, deadline))
    }

    type AdjustPricesStream = Answers<PriceChangesResponse>;

    async fn adjust_prices(
        &self,
        request: Request<AdjustPricesRequest>,
    ) -> Answer<Self::AdjustPricesStream> {
        let (call, request) = open(request)?;
        let deadline = call.deadline;
        let mut decoder = Decoder::new();
        let how = how(&mut decoder, "PriceService/AdjustPrices", &request);
        let asked = adjust(&mut decoder, &request);
        let events = app::adjust_prices(Arc::clone(&self.app), call, decoder, how, asked)?;
        Ok(answers(events, deadline))
    }

    type ExportPricesStream = Answers<ExportPricesResponse>;

    async fn export_prices(
        &self,
        request: Request<ExportPricesRequest>,
    ) -> Answer<Self::ExportPricesStream> {
        let (call, request) = open(request)?;
        let deadline = call.deadline;
        let mut decoder = Decoder::new();
        let asked = export(&mut decoder, &request);
        let pieces = app::export_prices(Arc::clone(&self.app), call, decoder, asked)?;
        Ok(answers(pieces, deadline))
    }
}

/// Answers that come as they are known.
type Answers<T> = Pin<Box<dyn Stream<Item = Result<T, Status>> + Send>>;

/// What a task sends, until the caller's deadline.
fn answers<T: Send + 'static>(
    events: mpsc::Receiver<Result<T, Refusal>>,
    deadline: Deadline,
) -> Response<Answers<T>> {
    let events = until(ReceiverStream::new(events), deadline);
    Response::new(Box::pin(events.map(|event| event.map_err(Status::from))))
}

/// The parts of an import as they come in. One that stops coming for too long is ended, so that it does not keep its
/// place for ever.
fn parts(
    messages: Streaming<ImportPricesRequest>,
) -> impl Stream<Item = Result<Option<Part>, Refusal>> + Send {
    futures::stream::unfold(Some(messages), |messages| async {
        let mut messages = messages?;
        let part = match timeout(STREAM_IDLE_MAX, messages.message()).await {
            Ok(Ok(None)) => return None,
            Ok(Ok(Some(message))) => Ok(message.part),
            Ok(Err(status)) => Err(unreadable(&status)),
            Err(_) => Err(Refusal::DeadlineExceeded),
        };
        let rest = part.is_ok().then_some(messages);
        Some((part, rest))
    })
}
