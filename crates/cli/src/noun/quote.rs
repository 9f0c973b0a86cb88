//! Quotes as a list shows them and as programs get them; the client's page is `render::offer`'s.

use hod_wire::v1::{
    Estimate, Milestone, Offer, OfferLine, OfferTax, ProvisionalReason, Quote, QuoteEvent,
    QuoteState, Stage,
};

use super::job::scope_line;
use super::{Column, Noun, figures, words};
use crate::name::short;
use crate::render::comparison;
use crate::render::estimate::daywork_record;
use crate::render::record::{Record, Value};
use crate::render::wall::totals_record;
use crate::word;

impl Noun for Quote {
    const COLUMNS: &'static [Column<Self>] = &[
        words("Quote", |quote| short(&quote.name)),
        words("For", |quote| offer(quote).client),
        words("Works", |quote| offer(quote).display_name),
        words("Issued", |quote| offer(quote).issue_date),
        words("Valid to", |quote| offer(quote).valid_until_date),
        words("State", |quote| {
            word::of::<QuoteState>(quote.state).to_owned()
        }),
        figures("Total", |quote| offer(quote).total),
        words("Currency", |quote| offer(quote).currency_code),
        words("", |quote| {
            let is_provisional = offer(quote).is_provisional;
            if is_provisional { "provisional" } else { "" }.to_owned()
        }),
    ];

    fn record(&self) -> Record {
        Record::new()
            .text("name", &self.name)
            .text("job", &self.job)
            .text("estimate", &self.estimate)
            .word::<QuoteState>("state", self.state)
            .many("events", &self.events, event)
            .text("revised_quote", &self.revised_quote)
            .text("superseding_quote", &self.superseding_quote)
            .field("offer", Value::One(offer_record(&offer(self))))
            .text("digest", &self.digest)
            .one_if_there(
                "estimate_snapshot",
                self.estimate_snapshot.as_ref(),
                Estimate::record,
            )
            .one_if_there("changes", self.changes.as_ref(), comparison::record)
            .text("variations_total", &self.variations_total)
            .text("contract_total", &self.contract_total)
            .count("variation_days", self.variation_days)
            .time("create_time", self.create_time.as_ref())
            .text("etag", &self.etag)
    }

    fn name(&self) -> &str {
        &self.name
    }
}

fn offer(quote: &Quote) -> Offer {
    quote.offer.clone().unwrap_or_default()
}

fn event(event: &QuoteEvent) -> Record {
    Record::new()
        .word::<QuoteState>("state", event.state)
        .text("date", &event.date)
        .text("note", &event.note)
        .time("create_time", event.create_time.as_ref())
}

fn offer_record(offer: &Offer) -> Record {
    let takeoff = offer.takeoff.clone().unwrap_or_default();
    Record::new()
        .count("number", offer.number)
        .text("display_name", &offer.display_name)
        .text("client", &offer.client)
        .text("site_display_name", &offer.site_display_name)
        .text("issue_date", &offer.issue_date)
        .text("valid_until_date", &offer.valid_until_date)
        .text("price_date", &offer.price_date)
        .text("currency_code", &offer.currency_code)
        .count("revised_number", offer.revised_number)
        .many("lines", &offer.lines, line)
        .many("adjustments", &offer.adjustments, line)
        .text("price_before_tax", &offer.price_before_tax)
        .many("taxes", &offer.taxes, tax)
        .text("total", &offer.total)
        .field("takeoff", Value::One(totals_record(&takeoff)))
        .many("scope", &offer.scope, scope_line)
        .texts("exclusions", &offer.exclusions)
        .texts("assumptions", &offer.assumptions)
        .text("terms", &offer.terms)
        .many("stages", &offer.stages, stage)
        .text("retention_percent", &offer.retention_percent)
        .text("retention_amount", &offer.retention_amount)
        .count("retention_months", offer.retention_months)
        .many("daywork_rates", &offer.daywork_rates, |rate| {
            daywork_record(rate, &offer.currency_code)
        })
        .field("is_provisional", Value::Flag(offer.is_provisional))
        .many("provisional_reasons", &offer.provisional_reasons, reason)
}

fn line(line: &OfferLine) -> Record {
    Record::new()
        .text("item", &line.item)
        .text("amount", &line.amount)
        .field("is_provisional", Value::Flag(line.is_provisional))
}

/// What a tax comes to, of a quote or a variation.
pub(super) fn tax(tax: &OfferTax) -> Record {
    Record::new()
        .text("label", &tax.label)
        .text("percent", &tax.percent)
        .text("base_amount", &tax.base_amount)
        .text("amount", &tax.amount)
}

fn stage(stage: &Stage) -> Record {
    Record::new()
        .word::<Milestone>("milestone", stage.milestone)
        .text("description", &stage.description)
        .text("percent", &stage.percent)
        .text("amount", &stage.amount)
        .text("retained", &stage.retained)
        .text("due", &stage.due)
}

fn reason(reason: &ProvisionalReason) -> Record {
    Record::new()
        .text("reason", &reason.reason)
        .text("explanation", &reason.explanation)
}
