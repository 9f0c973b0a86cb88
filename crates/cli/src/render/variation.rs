//! Variations under an accepted quote: one as a page, and what all of a quote come to.

use hod_wire::v1::{Variation, VariationLine};

use super::figure::{money, quantity, sum};
use super::offer::days;
use super::record::Record;
use super::table::{Side, Table, paragraph};
use super::unit_symbol;
use crate::name::short;
use crate::noun::Noun;
use crate::output::Answer;
use crate::text::plain;

/// One of them.
pub struct VariationAnswer(pub Variation);

impl Answer for VariationAnswer {
    fn record(&self) -> Record {
        Noun::record(&self.0)
    }

    fn header(&self) -> Vec<String> {
        let record = crate::noun::variation::line(&VariationLine::default());
        let names = record.flat().into_iter().map(|(name, _)| name);
        names.chain(["currency_code".to_owned()]).collect()
    }

    /// A row to each line.
    fn rows(&self) -> Vec<Vec<String>> {
        let cells = |line: &VariationLine| {
            let flat = crate::noun::variation::line(line).flat().into_iter();
            let cells = flat.map(|(_, cell)| cell);
            cells.chain([self.0.currency_code.clone()]).collect()
        };
        self.0.lines.iter().map(cells).collect()
    }

    fn table(&self) -> String {
        let variation = &self.0;
        let quote = short(&variation.name);
        let quote = quote.split('/').next().unwrap_or_default();
        let quote = plain(quote.strip_prefix('q').unwrap_or(quote));
        let title = match variation.number {
            0 => format!("Variation under quote {quote}, not kept"),
            number => format!("Variation {number} under quote {quote}"),
        };
        let days = days(variation.days).map_or(String::new(), |days| format!(", {days}"));
        format!(
            "{title}\n\n{}\n{}\nAgreed on {}{days}\n\n{}",
            paragraph(&variation.title),
            paragraph(&format!("Why: {}", variation.reason)),
            plain(&variation.agreed_date),
            lines(variation),
        )
    }
}

fn lines(variation: &Variation) -> Table {
    let currency = plain(&variation.currency_code);
    let price = format!("Unit price {currency}");
    let amount = format!("Amount {currency}");
    let mut table = Table::new(&[
        ("Item", Side::Left),
        ("Quantity", Side::Right),
        ("Unit", Side::Left),
        (&price, Side::Right),
        (&amount, Side::Right),
    ]);
    for line in &variation.lines {
        table.row([
            line.item.as_str(),
            &quantity(&line.quantity, line.unit()),
            unit_symbol(line.unit()),
            &money(&line.unit_price, &variation.currency_code),
            &line.amount,
        ]);
    }
    let sum_row = |name: &str, amount: &str| [name, "", "", "", amount].map(str::to_owned);
    table
        .rule()
        .row(sum_row("Price before tax", &variation.price_before_tax));
    for tax in &variation.taxes {
        let name = format!("{}, {} % of {}", tax.label, tax.percent, tax.base_amount);
        table.row(sum_row(&name, &tax.amount));
    }
    table.rule().row(sum_row("Total", &variation.total));
    table
}

/// What all of a quote come to together: `Together: 840.00 EUR with tax, 3 days more`; nothing for none.
pub fn together(variations: &[Variation]) -> Option<String> {
    let currency = &variations.first()?.currency_code;
    let total = sum(variations.iter().map(|variation| variation.total.as_str()))?;
    let all_days = variations
        .iter()
        .fold(0_i32, |all, variation| all.saturating_add(variation.days));
    let days = days(all_days).map_or(String::new(), |days| format!(", {days}"));
    Some(format!(
        "Together: {total} {} with tax{days}\n",
        plain(currency)
    ))
}
