//! `hod estimate again`: prices all open jobs again, and prints each movement as it comes.

use clap::Args;
use hod_wire::v1::price_jobs_again_response::Event;
use hod_wire::v1::{MovementSummary, PriceJobsAgainRequest};

use crate::command::Context;
use crate::command::write::{Writing, date};
use crate::exit;
use crate::fault::Failure;
use crate::name::{collection::REGIONS, full_if_given};
use crate::output::Format;
use crate::render::again::AgainPage;
use crate::text::counted;

/// How many jobs stand under one heading. What is printed is not held, however many there are.
const PAGE_ROWS: usize = 200;

/// On which day, and which jobs.
#[derive(Debug, Args)]
pub struct PriceAgain {
    /// The day whose prices and labour rates hold, as 2026-09-01.
    #[arg(long, value_name = "DATE", value_parser = date)]
    on: String,
    /// Only jobs at sites of this region.
    #[arg(long, value_name = "REGION")]
    region: Option<String>,
    /// How it is written.
    #[command(flatten)]
    writing: Writing,
}

impl PriceAgain {
    pub(super) async fn run(self, context: Context<'_>) -> Result<(), Failure> {
        let page_rows = match context.output.format() {
            Format::Json | Format::Jsonl => 1,
            Format::Table | Format::Csv => PAGE_ROWS,
        };
        let mut stub = context.connect_for_long_work().await?.estimation();
        let request = PriceJobsAgainRequest {
            price_date: self.on,
            region: full_if_given(REGIONS, self.region).unwrap_or_default(),
            request_id: self.writing.request_id(),
            validate_only: self.writing.dry_run,
        };
        let mut events = stub.price_jobs_again(request).await?.into_inner();
        let mut answers = context.output.answers(true);
        let mut page = AgainPage::default();
        let mut summary = None;
        while let Some(answer) = events.message().await? {
            match answer.event {
                Some(Event::Movement(movement)) => page.movements.push(movement),
                Some(Event::Summary(told)) => summary = Some(told),
                None => {}
            }
            if page_rows <= page.movements.len() {
                answers.answer(&std::mem::take(&mut page))?;
            }
        }
        if !page.movements.is_empty() {
            answers.answer(&page)?;
        }
        if let Some(summary) = &summary {
            answers.answer(&AgainPage::of_summary(summary.clone()))?;
        }
        answers.close()?;
        ended(summary)
    }
}

/// Refused when a job could not be priced, and when the answer has no end.
fn ended(summary: Option<MovementSummary>) -> Result<(), Failure> {
    let Some(summary) = summary else {
        return Err(Failure::plain(
            exit::UNEXPECTED,
            "the server's answer broke off before its end; nothing is known of what was kept",
        ));
    };
    match usize::try_from(summary.failed_count) {
        Ok(0) => Ok(()),
        count => {
            let jobs = counted(count.unwrap_or(0), "job", "jobs");
            Err(Failure::plain(
                exit::MISSING,
                format!("{jobs} could not be priced; what each lacks stands below it"),
            ))
        }
    }
}
