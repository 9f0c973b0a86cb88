//! What is asked of quotes: on what terms one is issued, what became of it, what was agreed under it, and by which
//! indices it is adjusted. Whether all that holds together is for the middle.

use hod_domain::escalation::{Formula, IndexedPart};
use hod_domain::quote::{
    IssueTerms, ProvisionalReason, QuoteState, Retention, StageTerm, VariationTerm, VariationTerms,
};
use hod_units::{Decimal, Share};
use hod_wire::v1 as wire;
use rust_decimal::dec;

use super::{Bounds, Decoder, NAME_CHARACTERS_MAX, choice};

const CLIENT_CHARACTERS_MAX: usize = 200;
const TERMS_CHARACTERS_MAX: usize = 8000;
const SENTENCE_CHARACTERS_MAX: usize = 400;
const SENTENCES_MAX: usize = 50;
const STAGES_MAX: usize = 30;
const MATTERS_MAX: usize = 10;
const EXPLANATION_CHARACTERS_MAX: usize = 400;
const REASON_CHARACTERS_MAX: usize = 2000;
const LINES_MAX: usize = 200;
const TAX_LABELS_MAX: usize = 10;
const TAX_LABEL_CHARACTERS_MAX: usize = 40;
const PARTS_MAX: usize = 20;
const PART_LABEL_CHARACTERS_MAX: usize = 60;
const SERIES_CHARACTERS_MAX: usize = 200;

/// A share that is none of nothing.
const SHARE: Bounds = Bounds::of(dec!(0.000001), dec!(100), "%");
const FIXED: Bounds = Bounds::of(dec!(0), dec!(100), "%");
const RETENTION: Bounds = Bounds::of(dec!(0), dec!(20), "%");
const INDEX: Bounds = Bounds::of(dec!(0.000001), dec!(999999999), "");
const VARIED_QUANTITY: Bounds = Bounds {
    places: 6,
    ..Bounds::of(dec!(-1000000), dec!(1000000), "")
};
const UNIT_PRICE: Bounds = Bounds {
    places: 6,
    ..Bounds::of(dec!(0), dec!(999999999), "")
};

/// Most days that an offer is valid.
const VALIDITY_DAYS_MAX: i32 = 365;

/// Most months after completion in which what is held back is paid.
const RETENTION_MONTHS_MAX: i32 = 60;

/// Reads on what terms a quote is issued. What people call the site, and the number of the quote that it revises, are
/// put in by whoever knows them.
pub fn issue_terms<'a>(
    decoder: &mut Decoder<'a>,
    wire: &'a wire::IssueQuoteRequest,
) -> Option<IssueTerms> {
    let client = decoder.text("client", &wire.client, CLIENT_CHARACTERS_MAX);
    let issue_date = decoder.date("issue_date", &wire.issue_date);
    let days = from_to(
        decoder,
        "validity_days",
        wire.validity_days,
        1,
        VALIDITY_DAYS_MAX,
    );
    let terms = decoder.lines_if_any("terms", &wire.terms, TERMS_CHARACTERS_MAX);
    let exclusions = sentences(decoder, "exclusions", &wire.exclusions);
    let assumptions = sentences(decoder, "assumptions", &wire.assumptions);
    let sent = decoder.list("stages", &wire.stages, 0, STAGES_MAX);
    let stages = decoder.each("stages", sent, stage);
    let retention = retention(decoder, wire);
    let sent = decoder.list(
        "provisional_reasons",
        &wire.provisional_reasons,
        0,
        MATTERS_MAX,
    );
    let reasons = decoder.each("provisional_reasons", sent, provisional_reason);
    Some(IssueTerms {
        client: client?,
        site_display_name: String::new(),
        issue_date: issue_date?,
        validity_days: days?,
        terms: terms?,
        exclusions: exclusions?,
        assumptions: assumptions?,
        stages: stages?,
        retention: retention?,
        provisional_reasons: reasons?,
        revised_number: 0,
    })
}

fn retention(decoder: &mut Decoder<'_>, wire: &wire::IssueQuoteRequest) -> Option<Retention> {
    let share = decoder.number_or_zero("retention_percent", &wire.retention_percent, &RETENTION);
    let months = from_to(
        decoder,
        "retention_months",
        wire.retention_months,
        0,
        RETENTION_MONTHS_MAX,
    );
    Some(Retention {
        share: Share::from_percent(share?),
        months: months?,
    })
}

fn from_to(
    decoder: &mut Decoder<'_>,
    field: &'static str,
    number: i32,
    least: i32,
    most: i32,
) -> Option<u32> {
    if !(least..=most).contains(&number) {
        let found = format!("{field} is {number}; it must be from {least} to {most}");
        decoder.refuse(field, "OUT_OF_RANGE", found);
        return None;
    }
    u32::try_from(number).ok()
}

fn sentences(
    decoder: &mut Decoder<'_>,
    field: &'static str,
    all: &[String],
) -> Option<Vec<String>> {
    decoder.count(field, all.len(), 0, SENTENCES_MAX);
    let mut read = Vec::new();
    for (index, sentence) in all.iter().take(SENTENCES_MAX).enumerate() {
        let text = decoder.at(field, index, |decoder| {
            decoder.text("", sentence, SENTENCE_CHARACTERS_MAX)
        });
        read.extend(text);
    }
    (read.len() == all.len()).then_some(read)
}

fn stage(decoder: &mut Decoder<'_>, wire: &wire::StageTerm) -> Option<StageTerm> {
    let milestone = choice::milestone(decoder, "milestone", wire.milestone);
    let share = decoder.number("percent", &wire.percent, &SHARE);
    let lifts = decoder.number_if_any("lifts_percent", &wire.lifts_percent, &SHARE);
    Some(StageTerm {
        milestone: milestone?,
        share: Share::from_percent(share?),
        lifts: lifts?.map(Share::from_percent),
    })
}

fn provisional_reason(
    decoder: &mut Decoder<'_>,
    wire: &wire::ProvisionalReason,
) -> Option<ProvisionalReason> {
    let reason = decoder.text("reason", &wire.reason, TAX_LABEL_CHARACTERS_MAX);
    let explanation = decoder.text("explanation", &wire.explanation, EXPLANATION_CHARACTERS_MAX);
    Some(ProvisionalReason {
        reason: reason?,
        explanation: explanation?,
    })
}

/// How much of a quote is shown.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum QuoteView {
    /// What the client sees.
    Client,
    /// All of it.
    All,
}

/// Reads how much of a quote is asked for; unspecified means all.
pub fn quote_view(
    decoder: &mut Decoder<'_>,
    field: &'static str,
    number: i32,
) -> Option<QuoteView> {
    decoder.choice(field, number, |number| {
        match wire::QuoteView::try_from(number).ok()? {
            wire::QuoteView::Client => Some(QuoteView::Client),
            wire::QuoteView::Unspecified | wire::QuoteView::All => Some(QuoteView::All),
        }
    })
}

/// What was said when something became of a quote.
pub fn note(decoder: &mut Decoder<'_>, note: &str) -> Option<String> {
    decoder.lines_if_any("note", note, SENTENCE_CHARACTERS_MAX)
}

/// Reads a state to list quotes by; unspecified means every state.
pub fn quote_state_if_any(
    decoder: &mut Decoder<'_>,
    field: &'static str,
    number: i32,
) -> Option<Option<QuoteState>> {
    if number == 0 {
        Some(None)
    } else {
        choice::quote_state(decoder, field, number).map(Some)
    }
}

/// A variation as it was agreed, and what people say of it.
pub struct AgreedVariation {
    /// What it is about.
    pub title: String,
    /// Why.
    pub reason: String,
    /// What was agreed.
    pub terms: VariationTerms,
}

/// Reads a variation.
pub fn variation<'a>(
    decoder: &mut Decoder<'a>,
    wire: &'a wire::Variation,
) -> Option<AgreedVariation> {
    let title = decoder.text("title", &wire.title, CLIENT_CHARACTERS_MAX);
    let reason = needed_lines(decoder, "reason", &wire.reason, REASON_CHARACTERS_MAX);
    let agreed_date = decoder.date("agreed_date", &wire.agreed_date);
    let sent = decoder.list("lines", &wire.lines, 1, LINES_MAX);
    let lines = decoder.each("lines", sent, variation_line);
    decoder.count("tax_labels", wire.tax_labels.len(), 0, TAX_LABELS_MAX);
    let mut labels = Vec::new();
    for (index, label) in wire.tax_labels.iter().take(TAX_LABELS_MAX).enumerate() {
        labels.extend(decoder.at("tax_labels", index, |decoder| {
            decoder.text_if_any("", label, TAX_LABEL_CHARACTERS_MAX)
        }));
    }
    Some(AgreedVariation {
        title: title?,
        reason: reason?,
        terms: VariationTerms {
            agreed_date: agreed_date?,
            days: wire.days,
            lines: lines?,
            tax_labels: labels,
        },
    })
}

fn needed_lines(
    decoder: &mut Decoder<'_>,
    field: &'static str,
    text: &str,
    characters_max: usize,
) -> Option<String> {
    if text.trim().is_empty() {
        decoder.refuse(field, "MISSING", format!("{field} is needed and empty"));
        return None;
    }
    decoder.lines_if_any(field, text, characters_max)
}

fn variation_line(decoder: &mut Decoder<'_>, wire: &wire::VariationLine) -> Option<VariationTerm> {
    let item = decoder.text("item", &wire.item, NAME_CHARACTERS_MAX);
    let quantity = decoder.number("quantity", &wire.quantity, &VARIED_QUANTITY);
    let unit = choice::unit(decoder, "unit", wire.unit);
    let unit_price = decoder.number("unit_price", &wire.unit_price, &UNIT_PRICE);
    Some(VariationTerm {
        item: item?,
        quantity: quantity?,
        unit: unit?,
        unit_price: unit_price?,
    })
}

/// Reads by which indices a price is adjusted.
pub fn formula<'a>(
    decoder: &mut Decoder<'a>,
    wire: &'a wire::EscalateQuoteRequest,
) -> Option<Formula> {
    let fixed: Option<Decimal> =
        decoder.number_or_zero("fixed_percent", &wire.fixed_percent, &FIXED);
    let sent = decoder.list("parts", &wire.parts, 1, PARTS_MAX);
    let parts = decoder.each("parts", sent, indexed_part);
    Some(Formula {
        fixed: Share::from_percent(fixed?),
        parts: parts?,
    })
}

fn indexed_part(decoder: &mut Decoder<'_>, wire: &wire::IndexedPart) -> Option<IndexedPart> {
    let label = decoder.text("label", &wire.label, PART_LABEL_CHARACTERS_MAX);
    let share = decoder.number("percent", &wire.percent, &SHARE);
    let series = decoder.text("series", &wire.series, SERIES_CHARACTERS_MAX);
    let base = decoder.number("base_index", &wire.base_index, &INDEX);
    let current = decoder.number("current_index", &wire.current_index, &INDEX);
    Some(IndexedPart {
        label: label?,
        share: Share::from_percent(share?),
        series: series?,
        base: base?,
        current: current?,
    })
}
