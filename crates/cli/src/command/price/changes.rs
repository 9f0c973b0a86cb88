//! The events that a change of many prices answers with, printed page by page as they come.

use hod_wire::v1::price_changes_response::Event;
use hod_wire::v1::{PriceChangesResponse, PriceChangesSummary};
use tonic::Streaming;

use crate::command::Context;
use crate::exit;
use crate::fault::Failure;
use crate::output::{Answers, Format};
use crate::render::changes::{ChangesPage, Rows};
use crate::text::counted;

/// What was asked for, for what is told of it.
pub(super) struct Asked {
    /// A file or a region.
    pub(super) what: String,
    /// What CSV has rows of.
    pub(super) rows: Rows,
}

/// How many events stand under one heading. What is printed is not held, however much there is of it.
const PAGE_ROWS: usize = 200;

/// Prints the events as they come. A file with faults ends in a failure once they are printed.
pub(super) async fn tell(
    mut events: Streaming<PriceChangesResponse>,
    asked: Asked,
    context: Context<'_>,
) -> Result<(), Failure> {
    let format = context.output.format();
    let page_rows = match format {
        Format::Json | Format::Jsonl => 1,
        Format::Table | Format::Csv => PAGE_ROWS,
    };
    let mut answers = context.output.answers(true);
    let mut page = ChangesPage::new(asked.rows);
    let mut summary = None;
    while let Some(answer) = events.message().await? {
        let Some(event) = answer.event else {
            continue;
        };
        if let Event::Summary(told) = &event {
            summary = Some(told.clone());
        }
        if page.is_full(page_rows) || !page.takes(&event) {
            print(&mut answers, &mut page)?;
        }
        page.add(event);
    }
    print(&mut answers, &mut page)?;
    answers.close()?;
    ended(summary, &asked.what)
}

fn print(answers: &mut Answers<'_>, page: &mut ChangesPage) -> Result<(), Failure> {
    let full = page.taken();
    if full.is_empty() {
        return Ok(());
    }
    answers.answer(&full)
}

/// Refused when there were faults, and when the answer has no end.
fn ended(summary: Option<PriceChangesSummary>, what: &str) -> Result<(), Failure> {
    let Some(summary) = summary else {
        return Err(Failure::plain(
            exit::UNEXPECTED,
            "the server's answer broke off before its end; nothing is known of what was kept",
        ));
    };
    match usize::try_from(summary.fault_count) {
        Ok(0) => Ok(()),
        count => {
            let faults = counted(count.unwrap_or(0), "fault", "faults");
            Err(Failure::plain(
                exit::REFUSED,
                format!("{what} has {faults}; nothing was kept"),
            )
            .hinting("mend them and give the whole file again"))
        }
    }
}
