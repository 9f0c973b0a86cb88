//! Quotes: issue, get, list, accept, decline, expire; variations under them; escalation.

use hod_domain::quote::QuoteAct;
use hod_wire::v1::quote_service_server::QuoteService;
use hod_wire::v1::{
    AcceptQuoteRequest, CreateVariationRequest, DeclineQuoteRequest, EscalateQuoteRequest,
    Escalation, ExpireQuoteRequest, GetQuoteRequest, GetVariationRequest, IssueQuoteRequest,
    ListQuotesRequest, ListQuotesResponse, ListVariationsRequest, ListVariationsResponse, Quote,
    Variation,
};
use tonic::Request;

use super::{Answer, Api, answer, how, open, page};
use crate::app::{self, Advance};
use crate::decode::{Decoder, quote_view};

/// What is said to have become of a quote: requests that differ in their name alone.
macro_rules! advance {
    ($request:ident, $act:expr) => {
        Advance {
            act: $act,
            name: &$request.name,
            date: &$request.date,
            note: &$request.note,
            etag: &$request.etag,
        }
    };
}

#[tonic::async_trait]
impl QuoteService for Api {
    async fn issue_quote(&self, request: Request<IssueQuoteRequest>) -> Answer<Quote> {
        let (call, request) = open(request)?;
        let mut decoder = Decoder::new();
        let how = how(&mut decoder, "QuoteService/IssueQuote", &request);
        answer(app::issue_quote(&self.app, &call, decoder, how, &request).await?)
    }

    async fn get_quote(&self, request: Request<GetQuoteRequest>) -> Answer<Quote> {
        let (call, request) = open(request)?;
        let mut decoder = Decoder::new();
        let view = quote_view(&mut decoder, "view", request.view);
        answer(app::get_quote(&self.app, &call, decoder, view, &request.name).await?)
    }

    async fn list_quotes(&self, request: Request<ListQuotesRequest>) -> Answer<ListQuotesResponse> {
        let (call, mut request) = open(request)?;
        let mut decoder = Decoder::new();
        let page = page(&mut decoder, "QuoteService/ListQuotes", &mut request);
        let (quotes, next_page_token) =
            app::list_quotes(&self.app, &call, decoder, page, &request).await?;
        answer(ListQuotesResponse {
            quotes,
            next_page_token,
        })
    }

    async fn accept_quote(&self, request: Request<AcceptQuoteRequest>) -> Answer<Quote> {
        let (call, request) = open(request)?;
        let mut decoder = Decoder::new();
        let how = how(&mut decoder, "QuoteService/AcceptQuote", &request);
        let advance = advance!(request, QuoteAct::Accept);
        answer(app::advance_quote(&self.app, &call, decoder, how, advance).await?)
    }

    async fn decline_quote(&self, request: Request<DeclineQuoteRequest>) -> Answer<Quote> {
        let (call, request) = open(request)?;
        let mut decoder = Decoder::new();
        let how = how(&mut decoder, "QuoteService/DeclineQuote", &request);
        let advance = advance!(request, QuoteAct::Decline);
        answer(app::advance_quote(&self.app, &call, decoder, how, advance).await?)
    }

    async fn expire_quote(&self, request: Request<ExpireQuoteRequest>) -> Answer<Quote> {
        let (call, request) = open(request)?;
        let mut decoder = Decoder::new();
        let how = how(&mut decoder, "QuoteService/ExpireQuote", &request);
        let advance = advance!(request, QuoteAct::Expire);
        answer(app::advance_quote(&self.app, &call, decoder, how, advance).await?)
    }

    async fn create_variation(
        &self,
        request: Request<CreateVariationRequest>,
    ) -> Answer<Variation> {
        let (call, request) = open(request)?;
        let mut decoder = Decoder::new();
        let how = how(&mut decoder, "QuoteService/CreateVariation", &request);
        answer(app::create_variation(&self.app, &call, decoder, how, &request).await?)
    }

    async fn get_variation(&self, request: Request<GetVariationRequest>) -> Answer<Variation> {
        let (call, request) = open(request)?;
        answer(app::get_variation(&self.app, &call, &request.name).await?)
    }

    async fn list_variations(
        &self,
        request: Request<ListVariationsRequest>,
    ) -> Answer<ListVariationsResponse> {
        let (call, mut request) = open(request)?;
        let mut decoder = Decoder::new();
        let page = page(&mut decoder, "QuoteService/ListVariations", &mut request);
        let (variations, next_page_token) =
            app::list_variations(&self.app, &call, decoder, page, &request.parent).await?;
        answer(ListVariationsResponse {
            variations,
            next_page_token,
        })
    }

    async fn escalate_quote(&self, request: Request<EscalateQuoteRequest>) -> Answer<Escalation> {
        let (call, request) = open(request)?;
        answer(app::escalate_quote(&self.app, &call, &request).await?)
    }
}
