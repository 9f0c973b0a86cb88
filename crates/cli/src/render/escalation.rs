//! The price of a quote adjusted by published indices.

use hod_wire::v1::Escalation;

use super::basis;
use super::record::Record;
use super::table::{Side, Table};
use crate::name::short;
use crate::output::Answer;
use crate::text::plain;

/// An adjusted price.
pub struct EscalationAnswer(pub Escalation);

impl Answer for EscalationAnswer {
    fn record(&self) -> Record {
        let escalation = &self.0;
        Record::new()
            .text("quote", &escalation.quote)
            .text("currency_code", &escalation.currency_code)
            .text("price_before_tax", &escalation.price_before_tax)
            .text("factor", &escalation.factor)
            .text(
                "adjusted_price_before_tax",
                &escalation.adjusted_price_before_tax,
            )
            .text("difference", &escalation.difference)
            .text("percent", &escalation.percent)
            .text("basis", &self.words())
    }

    fn header(&self) -> Vec<String> {
        let flat = self.record().flat().into_iter();
        flat.map(|(name, _)| name).collect()
    }

    fn rows(&self) -> Vec<Vec<String>> {
        let flat = self.record().flat().into_iter();
        vec![flat.map(|(_, cell)| cell).collect()]
    }

    fn table(&self) -> String {
        let escalation = &self.0;
        let id = short(&escalation.quote);
        let heading = format!("Quote {}", id.strip_prefix('q').unwrap_or(&id));
        let amount = plain(&escalation.currency_code);
        let mut table = Table::new(&[
            (plain(&heading).as_str(), Side::Left),
            (&amount, Side::Right),
        ]);
        let difference = format!("Adjusted by {} %", escalation.percent);
        table
            .row(["Price before tax", &escalation.price_before_tax])
            .row([difference.as_str(), &escalation.difference])
            .rule()
            .row([
                "Adjusted price before tax",
                &escalation.adjusted_price_before_tax,
            ]);
        let words = self.words();
        if !words.is_empty() {
            table.note(&format!("= {words}"));
        }
        format!(
            "{table}Factor {}; nothing was kept.\n",
            plain(&escalation.factor)
        )
    }
}

impl EscalationAnswer {
    fn words(&self) -> String {
        basis::words(self.0.basis.as_ref(), &self.0.currency_code)
    }
}
