//! A quote as it is shown: the client's page, and behind it, when all is asked for, the estimate and what changed.

use hod_wire::v1::{Offer, OfferLine, Quote};

use super::comparison::ComparisonAnswer;
use super::estimate::EstimateAnswer;
use super::offer;
use super::record::Record;
use crate::name::short;
use crate::noun::Noun;
use crate::output::Answer;
use crate::text::plain;

/// A quote and how much of it is asked for.
pub struct QuoteAnswer {
    /// The quote.
    pub quote: Quote,
    /// The estimate and what changed too.
    pub with_all: bool,
}

impl Answer for QuoteAnswer {
    fn record(&self) -> Record {
        Noun::record(&self.quote)
    }

    fn header(&self) -> Vec<String> {
        ["number", "kind", "item", "amount", "currency_code"]
            .map(str::to_owned)
            .to_vec()
    }

    /// A row to each line, adjustment and tax; they add up to the total.
    fn rows(&self) -> Vec<Vec<String>> {
        let offer = self.quote.offer.clone().unwrap_or_default();
        let row = |kind: &str, item: &str, amount: &str| {
            vec![
                offer.number.to_string(),
                kind.to_owned(),
                item.to_owned(),
                amount.to_owned(),
                offer.currency_code.clone(),
            ]
        };
        let lines = |kind: &'static str, lines: &[OfferLine]| {
            let rows = lines.iter().map(|line| row(kind, &line.item, &line.amount));
            rows.collect::<Vec<_>>()
        };
        let taxes = offer
            .taxes
            .iter()
            .map(|tax| row("tax", &tax.label, &tax.amount));
        let mut rows = lines("line", &offer.lines);
        rows.extend(lines("adjustment", &offer.adjustments));
        rows.extend(taxes);
        rows
    }

    fn table(&self) -> String {
        let page = offer::page(&self.quote);
        if !self.with_all {
            return page;
        }
        let sections = [
            Some(page),
            Some(self.behind()),
            self.estimate(),
            self.changes(),
        ];
        let sections: Vec<String> = sections.into_iter().flatten().collect();
        sections.join("\n\n")
    }
}

impl QuoteAnswer {
    /// What is not for the client: where it came from and where it stands.
    fn behind(&self) -> String {
        let quote = &self.quote;
        let offer: Offer = quote.offer.clone().unwrap_or_default();
        let events = quote.events.iter().map(|event| {
            let state = crate::word::of::<hod_wire::v1::QuoteState>(event.state);
            match event.note.as_str() {
                "" => format!("{} {state}", event.date),
                note => format!("{} {state}: {note}", event.date),
            }
        });
        let rows = [
            ("Behind", format!("quote {}", offer.number)),
            ("Estimate", short(&quote.estimate)),
            ("Revised by", short(&quote.superseding_quote)),
            ("Events", events.collect::<Vec<_>>().join("; ")),
            ("SHA-256", quote.digest.clone()),
        ];
        let rows = rows.into_iter().filter(|(_, text)| !text.is_empty());
        rows.map(|(name, text)| format!("{name:<12}{}\n", plain(&text)))
            .collect()
    }

    fn estimate(&self) -> Option<String> {
        let estimate = self.quote.estimate_snapshot.clone()?;
        let answer = EstimateAnswer {
            estimate,
            with_basis: false,
            with_purchases: false,
        };
        Some(answer.table())
    }

    fn changes(&self) -> Option<String> {
        let comparison = self.quote.changes.clone()?;
        let answer = ComparisonAnswer {
            comparison,
            with_all: false,
        };
        Some(format!("What changed\n\n{}", answer.table()))
    }
}
