//! `hod quote issue`. What an offer says beside its figures stands in a file, so that it can be used again.

use clap::Args;
use hod_wire::v1::{IssueQuoteRequest, ProvisionalReason};

use crate::command::Context;
use crate::command::estimate::estimate_name;
use crate::command::write::{Writing, date};
use crate::fault::Failure;
use crate::job_file::{self, Places};
use crate::name::{collection::QUOTES, full_if_given, short};
use crate::output::Format;
use crate::render::quote::QuoteAnswer;

/// An offer file, for the help. It can be read as it stands.
const EXAMPLE: &str = include_str!("offer_example.toml");

/// What the long help says of it.
pub(super) fn example() -> String {
    let set_in: String = EXAMPLE
        .lines()
        .map(|line| format!("  {line}").trim_end().to_owned() + "\n")
        .collect();
    format!(
        "An offer file is TOML: what a quote says beside its figures. Without one the quote has no terms and one payment\n\
         when all is done. The percentages of the stages come to 100; each milestone stands once but the lifts.\n\n{set_in}"
    )
}

/// A quote to be issued.
#[derive(Debug, Args)]
pub struct IssueQuote {
    /// The kept estimate, as JOB/ID.
    #[arg(value_name = "JOB/ID")]
    estimate: String,
    /// To whom.
    #[arg(long, value_name = "NAME")]
    client: String,
    /// The day of issue, as 2026-05-04.
    #[arg(long, value_name = "DATE", value_parser = date)]
    issued: String,
    /// Days that it is valid after that.
    #[arg(long, value_name = "DAYS", allow_negative_numbers = true)]
    valid: i32,
    /// Terms, exclusions, assumptions, payments and retention: a TOML file; `--help` shows one.
    #[arg(long, value_name = "FILE")]
    offer: Option<String>,
    /// The quote that it revises, such as q12.
    #[arg(long, value_name = "QUOTE")]
    revises: Option<String>,
    /// Why it goes out although it is provisional, as MIX_NOT_TESTED="the trial is next week"; may be given several times.
    #[arg(long = "reason", value_name = "MATTER=WHY", value_parser = reason)]
    reasons: Vec<ProvisionalReason>,
    /// How it is written.
    #[command(flatten)]
    writing: Writing,
}

/// Reads `MIX_NOT_TESTED=the trial is next week`; which matters there are the server says.
fn reason(text: &str) -> Result<ProvisionalReason, String> {
    match text.split_once('=') {
        Some((matter, why)) if !matter.is_empty() && !why.trim().is_empty() => {
            Ok(ProvisionalReason {
                reason: matter.to_owned(),
                explanation: why.to_owned(),
            })
        }
        _ => Err("write MATTER=WHY, such as MIX_NOT_TESTED=\"the trial is next week\"".to_owned()),
    }
}

/// The path in an offer file of a field that stands in one.
fn in_offer(field: &str) -> Option<&str> {
    let root = field.split(['.', '[']).next().unwrap_or_default();
    let keys = [
        "terms",
        "exclusions",
        "assumptions",
        "stages",
        "retention_percent",
        "retention_months",
    ];
    keys.contains(&root).then_some(field)
}

impl IssueQuote {
    pub(super) async fn run(self, mut context: Context<'_>) -> Result<(), Failure> {
        let is_dry_run = self.writing.dry_run;
        let (request, places) = self.request()?;
        let mut stub = context.connect().await?.quotes();
        let issued = stub.issue_quote(request).await.map_err(|status| {
            let failure = Failure::from(status);
            match &places {
                Some(places) => failure.placed_by(places, in_offer),
                None => failure,
            }
        });
        let quote = issued?.into_inner();
        if is_dry_run && context.output.format() == Format::Table {
            let page = QuoteAnswer {
                quote,
                with_all: false,
            };
            let mut answers = context.output.answers(false);
            answers.answer(&page)?;
            answers.printer().say("nothing was kept");
            return answers.close();
        }
        let offer = quote.offer.clone().unwrap_or_default();
        let done = format!("issued, valid to {}", offer.valid_until_date);
        let next = format!("hod quote show {}", short(&quote.name));
        context.output.written(&quote, &done, &next)
    }

    fn request(self) -> Result<(IssueQuoteRequest, Option<Places>), Failure> {
        let (offer, places) = match &self.offer {
            Some(file) => {
                let (offer, places) = job_file::read_offer(file)?;
                (offer, Some(places))
            }
            None => (IssueQuoteRequest::default(), None),
        };
        let request = IssueQuoteRequest {
            estimate: estimate_name(&self.estimate)?,
            client: self.client,
            issue_date: self.issued,
            validity_days: self.valid,
            revised_quote: full_if_given(QUOTES, self.revises).unwrap_or_default(),
            provisional_reasons: self.reasons,
            request_id: self.writing.request_id(),
            validate_only: self.writing.dry_run,
            ..offer
        };
        Ok((request, places))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_offer_file_of_the_help_is_one() {
        let folder = tempfile::tempdir().expect("a folder");
        let file = folder.path().join("offer.toml");
        std::fs::write(&file, EXAMPLE).expect("written");
        let read = job_file::read_offer(&file.display().to_string());
        let (offer, _) = read.expect("an offer file");
        assert_eq!(offer.stages.len(), 6);
        assert_eq!(offer.stages[2].lifts_percent, "50");
        assert_eq!(offer.retention_percent, "5");
        for line in EXAMPLE.lines() {
            assert!(line.len() <= 96, "a terminal would break {line}");
        }
    }

    #[test]
    fn a_reason_has_a_matter_and_words() {
        let read = reason("MIX_NOT_TESTED=the trial = next week");
        assert_eq!(
            read.map(|it| (it.reason, it.explanation)),
            Ok((
                "MIX_NOT_TESTED".to_owned(),
                "the trial = next week".to_owned()
            ))
        );
        for text in ["MIX_NOT_TESTED", "MIX_NOT_TESTED=", "=why"] {
            assert!(reason(text).is_err(), "{text}");
        }
    }
}
