//! `hod quote vary`, `variations` and `variation`: what is agreed under an accepted quote.

use clap::Args;
use hod_wire::v1::{CreateVariationRequest, GetVariationRequest, ListVariationsRequest, Variation};

use crate::command::Context;
use crate::command::page::{PAGE_SIZE, all_pages};
use crate::command::write::Writing;
use crate::exit;
use crate::fault::Failure;
use crate::job_file;
use crate::name::collection::{QUOTES, VARIATIONS};
use crate::name::{full, full_below, short};
use crate::output::Format;
use crate::render::variation::{VariationAnswer, together};

/// A variation file, for the help. It can be read as it stands.
const EXAMPLE: &str = include_str!("variation_example.toml");

/// What the long help says of it.
pub(super) fn example() -> String {
    let set_in: String = EXAMPLE
        .lines()
        .map(|line| format!("  {line}").trim_end().to_owned() + "\n")
        .collect();
    format!("A variation file is TOML.\n\n{set_in}")
}

/// A variation to be kept.
#[derive(Debug, Args)]
pub struct VaryQuote {
    /// The accepted quote, such as q17.
    quote: String,
    /// The variation file, or `-` for standard input.
    file: String,
    /// How it is written.
    #[command(flatten)]
    writing: Writing,
}

impl VaryQuote {
    pub(super) async fn run(self, mut context: Context<'_>) -> Result<(), Failure> {
        let (variation, places) = job_file::read_variation(&self.file)?;
        let mut stub = context.connect().await?.quotes();
        let request = CreateVariationRequest {
            parent: full(QUOTES, &self.quote),
            variation: Some(variation),
            request_id: self.writing.request_id(),
            validate_only: self.writing.dry_run,
        };
        let kept = stub.create_variation(request).await.map_err(|status| {
            Failure::from(status).placed_by(&places, |field| field.strip_prefix("variation."))
        });
        let variation = kept?.into_inner();
        if self.writing.dry_run && context.output.format() == Format::Table {
            let mut answers = context.output.answers(false);
            answers.answer(&VariationAnswer(variation))?;
            answers.printer().say("nothing was kept");
            return answers.close();
        }
        let done = format!(
            "agreed: {} {} with tax",
            variation.total, variation.currency_code
        );
        let next = format!("hod quote show {}", short(&full(QUOTES, &self.quote)));
        context.output.written(&variation, &done, &next)
    }
}

/// All of a quote, and what they come to.
pub(super) async fn list(quote: &str, mut context: Context<'_>) -> Result<(), Failure> {
    let mut stub = context.connect().await?.quotes();
    let parent = full(QUOTES, quote);
    let all = all_pages(async |page_token| {
        let request = ListVariationsRequest {
            parent: parent.clone(),
            page_size: PAGE_SIZE,
            page_token,
        };
        let page = stub.list_variations(request).await?.into_inner();
        Ok((page.variations, page.next_page_token))
    });
    let all: Vec<Variation> = all.await?;
    context.output.list(&all)?;
    match together(&all) {
        Some(told) if context.output.format() == Format::Table => {
            context.output.printer().answer(&told)
        }
        _ => Ok(()),
    }
}

/// One with its lines.
pub(super) async fn show(variation: &str, context: Context<'_>) -> Result<(), Failure> {
    let name = full_below(QUOTES, VARIATIONS, variation).ok_or_else(|| {
        Failure::plain(
            exit::USAGE,
            format!("{variation} is not a variation; write QUOTE/ID, such as q17/v1"),
        )
    })?;
    let mut stub = context.connect().await?.quotes();
    let variation = stub.get_variation(GetVariationRequest { name }).await?;
    let mut answers = context.output.answers(false);
    answers.answer(&VariationAnswer(variation.into_inner()))?;
    answers.close()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_variation_file_of_the_help_is_one() {
        let folder = tempfile::tempdir().expect("a folder");
        let file = folder.path().join("niche.toml");
        std::fs::write(&file, EXAMPLE).expect("written");
        let read = job_file::read_variation(&file.display().to_string());
        let (variation, _) = read.expect("a variation file");
        assert_eq!(variation.agreed_date, "2026-06-12");
        assert_eq!(variation.tax_labels, ["VAT"]);
        assert_eq!(variation.lines.len(), 2);
        assert_eq!(variation.lines[1].quantity, "-1");
        for line in EXAMPLE.lines() {
            assert!(line.len() <= 96, "a terminal would break {line}");
        }
    }
}
