//! `hod quote escalate`: what an old price comes to by published indices.

use clap::Args;
use hod_wire::v1::{EscalateQuoteRequest, IndexedPart};

use crate::command::Context;
use crate::command::write::number;
use crate::fault::Failure;
use crate::name::{collection::QUOTES, full};
use crate::render::escalation::EscalationAnswer;

/// Which quote, and by which indices.
#[derive(Debug, Args)]
pub struct EscalateQuote {
    /// The quote, such as q17.
    quote: String,
    /// The share of the price that is not adjusted, percent; with the parts it comes to 100.
    #[arg(long, value_name = "NUMBER", value_parser = number, allow_negative_numbers = true)]
    fixed: Option<String>,
    /// A part of the price that follows an index: what it is, its percent of the price, the series as it is published, its
    /// figure then and its figure now; may be given several times.
    #[arg(long = "part", value_name = "LABEL:PERCENT:SERIES:THEN:NOW", value_parser = part, required = true)]
    parts: Vec<IndexedPart>,
}

/// Reads `labour:50:Building labour:112.4:118.9`. A series may have colons of its own; what is wrong with the numbers
/// the server says.
fn part(text: &str) -> Result<IndexedPart, String> {
    let told = || {
        "write LABEL:PERCENT:SERIES:THEN:NOW, such as \"labour:50:Building labour:112.4:118.9\""
            .to_owned()
    };
    let read = || {
        let (label, rest) = text.split_once(':')?;
        let (percent, rest) = rest.split_once(':')?;
        let (rest, now) = rest.rsplit_once(':')?;
        let (series, then) = rest.rsplit_once(':')?;
        Some([label, percent, series, then, now].map(str::trim))
    };
    let [label, percent, series, then, now] = read().ok_or_else(told)?;
    if [label, percent, series, then, now].contains(&"") {
        return Err(told());
    }
    Ok(IndexedPart {
        label: label.to_owned(),
        percent: percent.to_owned(),
        series: series.to_owned(),
        base_index: then.to_owned(),
        current_index: now.to_owned(),
    })
}

impl EscalateQuote {
    pub(super) async fn run(self, context: Context<'_>) -> Result<(), Failure> {
        let request = EscalateQuoteRequest {
            name: full(QUOTES, &self.quote),
            fixed_percent: self.fixed.unwrap_or_default(),
            parts: self.parts,
        };
        let mut stub = context.connect().await?.quotes();
        let escalation = stub.escalate_quote(request).await?.into_inner();
        let mut answers = context.output.answers(false);
        answers.answer(&EscalationAnswer(escalation))?;
        answers.close()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_series_may_have_colons_of_its_own() {
        let read = part("lime:35:Table 7: lime: ex works:101.2:109.0");
        let read = read.map(|it| (it.label, it.percent, it.series, it.base_index));
        assert_eq!(
            read,
            Ok((
                "lime".to_owned(),
                "35".to_owned(),
                "Table 7: lime: ex works".to_owned(),
                "101.2".to_owned()
            ))
        );
        for text in ["lime", "lime:35:series:101.2", "lime:35::101.2:109.0"] {
            assert!(part(text).is_err(), "{text}");
        }
    }
}
