//! Quotes of the stand-in: what it has of them, and what it refuses.

use hod_wire::v1 as wire;
use hod_wire::v1::QuoteState;
use hod_wire::v1::quote_service_server::QuoteService;
use tonic::{Code, Request, Response, Status};
use tonic_types::{ErrorDetails, PreconditionViolation, StatusExt};

use super::{Answer, Services, figures, refused};

/// A request without the id that a command makes up, so that it can be kept.
macro_rules! kept {
    ($services:ident, $request:ident) => {{
        let mut request = $request.into_inner();
        assert_eq!(request.request_id.len(), 36);
        request.request_id = "UUID".to_owned();
        $services.keep(&request);
        request
    }};
}

fn provisional() -> Status {
    let mut details =
        ErrorDetails::with_error_info("QUOTE_PROVISIONAL", "hod", std::collections::HashMap::new());
    details.set_precondition_failure(vec![PreconditionViolation::new(
        "PROVISIONAL_WITHOUT_REASON",
        "mixes/house-cob",
        "the quote would be provisional, MIX_NOT_TESTED: no trial justifies mix house-cob; write down why it goes out so",
    )]);
    Status::with_error_details(Code::FailedPrecondition, "it is provisional", details)
}

#[tonic::async_trait]
impl QuoteService for Services {
    async fn issue_quote(&self, request: Request<wire::IssueQuoteRequest>) -> Answer<wire::Quote> {
        let request = kept!(self, request);
        if request.retention_percent == "50" {
            return Err(refused(
                Code::InvalidArgument,
                "FIELDS_HAVE_FAULTS",
                "2 faults",
                &[
                    (
                        "retention_percent",
                        "retention_percent is 50; it must be from 0 to 20",
                    ),
                    ("client", "client is needed"),
                ],
            ));
        }
        if request.provisional_reasons.is_empty() {
            return Err(provisional());
        }
        let number = if request.validate_only { 0 } else { 17 };
        Ok(Response::new(figures::quote(number, QuoteState::Issued)))
    }

    async fn get_quote(&self, request: Request<wire::GetQuoteRequest>) -> Answer<wire::Quote> {
        let request = request.into_inner();
        let accepted = figures::quote(17, QuoteState::Accepted);
        let is_all = request.view() == wire::QuoteView::All;
        Ok(Response::new(wire::Quote {
            estimate_snapshot: is_all.then(|| figures::estimate_in_full("2026-05-01")),
            changes: is_all.then(|| figures::comparison("quotes/q12", "quotes/q17")),
            ..accepted
        }))
    }

    async fn list_quotes(
        &self,
        request: Request<wire::ListQuotesRequest>,
    ) -> Answer<wire::ListQuotesResponse> {
        self.keep(request.get_ref());
        Ok(Response::new(wire::ListQuotesResponse {
            quotes: vec![
                figures::quote(17, QuoteState::Issued),
                figures::quote(12, QuoteState::Superseded),
            ],
            next_page_token: String::new(),
        }))
    }

    async fn accept_quote(
        &self,
        request: Request<wire::AcceptQuoteRequest>,
    ) -> Answer<wire::Quote> {
        let request = kept!(self, request);
        if request.etag == "stale" {
            return Err(refused(
                Code::Aborted,
                "ETAG_MISMATCH",
                "quotes/q17 has changed since it was read",
                &[("state", "it is expired since 2026-06-04")],
            ));
        }
        Ok(Response::new(figures::quote(17, QuoteState::Accepted)))
    }

    async fn decline_quote(
        &self,
        request: Request<wire::DeclineQuoteRequest>,
    ) -> Answer<wire::Quote> {
        kept!(self, request);
        Ok(Response::new(figures::quote(17, QuoteState::Declined)))
    }

    async fn expire_quote(
        &self,
        request: Request<wire::ExpireQuoteRequest>,
    ) -> Answer<wire::Quote> {
        kept!(self, request);
        Ok(Response::new(figures::quote(17, QuoteState::Expired)))
    }

    async fn create_variation(
        &self,
        request: Request<wire::CreateVariationRequest>,
    ) -> Answer<wire::Variation> {
        let request = kept!(self, request);
        if request.variation.unwrap().lines[0].quantity == "0" {
            let told = "quantity is 0; it must not be";
            let field = [("variation.lines[0].quantity", told)];
            return Err(refused(
                Code::InvalidArgument,
                "FIELDS_HAVE_FAULTS",
                "",
                &field,
            ));
        }
        let number = if request.validate_only { 0 } else { 1 };
        Ok(Response::new(figures::variation(number)))
    }

    async fn get_variation(
        &self,
        request: Request<wire::GetVariationRequest>,
    ) -> Answer<wire::Variation> {
        assert_eq!(request.into_inner().name, "quotes/q17/variations/v1");
        Ok(Response::new(figures::variation(1)))
    }

    async fn list_variations(
        &self,
        _: Request<wire::ListVariationsRequest>,
    ) -> Answer<wire::ListVariationsResponse> {
        Ok(Response::new(wire::ListVariationsResponse {
            variations: vec![figures::variation(1), figures::variation(2)],
            next_page_token: String::new(),
        }))
    }

    async fn escalate_quote(
        &self,
        request: Request<wire::EscalateQuoteRequest>,
    ) -> Answer<wire::Escalation> {
        self.keep(request.get_ref());
        Ok(Response::new(figures::escalation(
            &request.into_inner().name,
        )))
    }
}
