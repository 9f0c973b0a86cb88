//! `hod quote`: what is issued to clients, what becomes of it, and what is agreed under it afterwards. A quote is never
//! changed; issuing one, its variations and its escalation have a file each below this one.

mod escalate;
mod issue;
mod vary;

use clap::{Args, Subcommand};
use hod_wire::v1::{
    AcceptQuoteRequest, DeclineQuoteRequest, ExpireQuoteRequest, GetQuoteRequest,
    ListQuotesRequest, Quote, QuoteState, QuoteView,
};

use super::Context;
use super::page::{PAGE_SIZE, all_pages};
use super::write::{Writing, date, words};
use crate::fault::Failure;
use crate::name::collection::{JOBS, QUOTES};
use crate::name::{full, full_if_given, short};
use crate::render::quote::QuoteAnswer;

/// What can be done with quotes.
#[derive(Debug, Subcommand)]
pub enum QuoteCommand {
    /// Issue a quote from a kept estimate, under the next number.
    #[command(
        before_help = "Example: hod quote issue long-acre-studio/0192f --client \"A. Client\" --issued 2026-05-04 --valid 30 --offer offer.toml --dry-run",
        after_long_help = issue::example()
    )]
    Issue(Box<issue::IssueQuote>),
    /// Show a quote as its client sees it.
    #[command(before_help = "Example: hod quote show q17")]
    Show(ShowQuote),
    /// List the quotes, the newest first.
    #[command(before_help = "Example: hod quote list --state issued")]
    List(ListQuotes),
    /// Keep that the client accepted a quote.
    #[command(
        before_help = "Example: hod quote accept q17 --on 2026-05-10 --note \"signed letter\""
    )]
    Accept(Came),
    /// Keep that the client declined a quote.
    #[command(before_help = "Example: hod quote decline q17 --on 2026-05-10")]
    Decline(Came),
    /// End the validity of a quote.
    #[command(
        before_help = "Example: hod quote expire q17 --on 2026-05-10 --note \"the lime is not to be had\""
    )]
    Expire(Came),
    /// Keep a variation agreed under an accepted quote, under its next number.
    #[command(
        before_help = "Example: hod quote vary q17 niche.toml --dry-run",
        after_long_help = vary::example()
    )]
    Vary(vary::VaryQuote),
    /// List the variations of a quote.
    #[command(before_help = "Example: hod quote variations q17")]
    Variations {
        /// The quote, such as q17.
        quote: String,
    },
    /// Show a variation with its lines.
    #[command(before_help = "Example: hod quote variation q17/v1")]
    Variation {
        /// The quote and the variation, as QUOTE/ID.
        #[arg(value_name = "QUOTE/ID")]
        variation: String,
    },
    /// Adjust the price of a quote by published indices; nothing is kept.
    #[command(
        before_help = "Example: hod quote escalate q17 --fixed 15 --part \"labour:50:Building labour:112.4:118.9\" --part \"lime:35:Lime, ex works:101.2:109.0\""
    )]
    Escalate(escalate::EscalateQuote),
}

/// Which quote, and how much of it.
#[derive(Debug, Args)]
pub struct ShowQuote {
    /// The quote, such as q17.
    quote: String,
    /// What is not for the client too: the estimate it was issued from, and what changed since the quote it revises.
    #[arg(long)]
    all: bool,
}

/// Which quotes.
#[derive(Debug, Args)]
pub struct ListQuotes {
    /// Only of this job.
    #[arg(long, value_name = "ID")]
    job: Option<String>,
    /// Only those in this state today.
    #[arg(long, value_name = "WORD", value_parser = words::<QuoteState>())]
    state: Option<i32>,
}

/// What became of a quote.
#[derive(Debug, Args)]
pub struct Came {
    /// The quote, such as q17.
    quote: String,
    /// On which day, as 2026-05-10.
    #[arg(long, value_name = "DATE", value_parser = date)]
    on: String,
    /// What was said with it.
    #[arg(long, value_name = "TEXT")]
    note: Option<String>,
    /// The tag of the quote that you read; refused when its state has changed since.
    #[arg(long, value_name = "TAG")]
    etag: Option<String>,
    /// How it is written.
    #[command(flatten)]
    writing: Writing,
}

impl QuoteCommand {
    pub(super) async fn run(self, context: Context<'_>) -> Result<(), Failure> {
        match self {
            Self::Issue(given) => given.run(context).await,
            Self::Show(given) => given.run(context).await,
            Self::List(given) => list(given, context).await,
            Self::Accept(given) => accept(given, context).await,
            Self::Decline(given) => decline(given, context).await,
            Self::Expire(given) => expire(given, context).await,
            Self::Vary(given) => given.run(context).await,
            Self::Variations { quote } => vary::list(&quote, context).await,
            Self::Variation { variation } => vary::show(&variation, context).await,
            Self::Escalate(given) => given.run(context).await,
        }
    }
}

impl ShowQuote {
    async fn run(self, context: Context<'_>) -> Result<(), Failure> {
        let view = if self.all {
            QuoteView::All
        } else {
            QuoteView::Client
        };
        let request = GetQuoteRequest {
            name: full(QUOTES, &self.quote),
            view: view.into(),
        };
        let mut stub = context.connect().await?.quotes();
        let quote = stub.get_quote(request).await?.into_inner();
        let mut answers = context.output.answers(false);
        answers.answer(&QuoteAnswer {
            quote,
            with_all: self.all,
        })?;
        answers.close()
    }
}

async fn list(list: ListQuotes, mut context: Context<'_>) -> Result<(), Failure> {
    let mut stub = context.connect().await?.quotes();
    let request = ListQuotesRequest {
        page_size: PAGE_SIZE,
        job: full_if_given(JOBS, list.job).unwrap_or_default(),
        state: list.state.unwrap_or_default(),
        ..ListQuotesRequest::default()
    };
    let all = all_pages(async |page_token| {
        let request = ListQuotesRequest {
            page_token,
            ..request.clone()
        };
        let page = stub.list_quotes(request).await?.into_inner();
        Ok((page.quotes, page.next_page_token))
    });
    context.output.list(&all.await?)
}

/// The request that says what became of a quote; the three differ in their name alone.
macro_rules! request {
    ($request:ident, $came:ident) => {
        $request {
            name: full(QUOTES, &$came.quote),
            date: $came.on,
            note: $came.note.unwrap_or_default(),
            etag: $came.etag.unwrap_or_default(),
            request_id: $came.writing.request_id(),
            validate_only: $came.writing.dry_run,
        }
    };
}

async fn accept(came: Came, context: Context<'_>) -> Result<(), Failure> {
    let mut stub = context.connect().await?.quotes();
    let request = request!(AcceptQuoteRequest, came);
    let quote = stub.accept_quote(request).await?.into_inner();
    let next = format!("hod quote vary {} FILE", short(&quote.name));
    told(&quote, &came.writing.done("accepted"), &next, context)
}

async fn decline(came: Came, context: Context<'_>) -> Result<(), Failure> {
    let mut stub = context.connect().await?.quotes();
    let request = request!(DeclineQuoteRequest, came);
    let quote = stub.decline_quote(request).await?.into_inner();
    let done = came.writing.done("declined");
    told(&quote, &done, &revise(&quote), context)
}

async fn expire(came: Came, context: Context<'_>) -> Result<(), Failure> {
    let mut stub = context.connect().await?.quotes();
    let request = request!(ExpireQuoteRequest, came);
    let quote = stub.expire_quote(request).await?.into_inner();
    let done = came.writing.done("expired");
    told(&quote, &done, &revise(&quote), context)
}

/// What may follow a quote that came to nothing.
fn revise(quote: &Quote) -> String {
    format!(
        "hod quote issue ESTIMATE --revises {} ...",
        short(&quote.name)
    )
}

fn told(quote: &Quote, done: &str, next: &str, mut context: Context<'_>) -> Result<(), Failure> {
    context.output.written(quote, done, next)
}
