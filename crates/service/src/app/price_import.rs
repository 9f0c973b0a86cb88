//! A file of prices put in force: all of it or nothing, in one transaction with the keeping of the summary.

use std::sync::Arc;

use futures::{Stream, StreamExt};
use hod_sheet::FileFault;
use hod_store::price_changes::{Applied, PriceChanges};
use hod_wire::v1 as wire;
use hod_wire::v1::import_prices_request::Part;
use hod_wire::v1::price_changes_response::Event;
use prost::Message;
use tokio::sync::mpsc;

use super::App;
use super::price_act::{Done, Events, ROWS_AT_ONCE, Sender, WAITING_MAX, finish, plain, send};
use super::price_fault::row_fault;
use super::price_file::{Arrived, Sheet, read, receive};
use super::write::answered;
use crate::call::Call;
use crate::decode::{Act, Decoder, ImportAsked, import_start};
use crate::encode::{file_fault, number};
use crate::refusal::Refusal;

/// Most bytes of a piece of a file.
const PIECE_BYTES_MAX: usize = 1024 * 1024;

/// Takes a file of prices: how first, then its pieces.
pub fn import_prices(
    app: Arc<App>,
    call: Call,
    parts: impl Stream<Item = Result<Option<Part>, Refusal>> + Send + 'static,
) -> Events {
    let (sender, events) = mpsc::channel(WAITING_MAX);
    tokio::spawn(async move {
        let done = import(&app, &call, parts, &sender).await;
        finish(&sender, done).await;
    });
    events
}

async fn import(
    app: &App,
    call: &Call,
    parts: impl Stream<Item = Result<Option<Part>, Refusal>> + Send,
    sender: &Sender,
) -> Result<wire::PriceChangesSummary, Refusal> {
    let mut parts = Box::pin(parts);
    let Some(Part::Start(start)) = parts.next().await.transpose()?.flatten() else {
        return Err(missing(
            "start",
            "an import begins with how the file is to be taken; send start first",
        ));
    };
    let (mut how, asked) = read_start(&start)?;
    let pieces = parts.map(piece);
    let sheet = match receive(asked.format, &start.encode_to_vec(), pieces).await? {
        Arrived::TooLarge(fault) => return tell_faults(sender, vec![fault], 0, 1).await,
        Arrived::Whole(file, digest) => {
            how.digest = digest;
            read(file, asked.format).await?
        }
    };
    if 0 < sheet.fault_count {
        return tell_faults(sender, sheet.faults, sheet.row_count, sheet.fault_count).await;
    }
    put_in_force(app, &call.renewed(), &how, &asked, sheet, sender).await
}

/// Puts the rows of a file without a fault of its own in force, or tells what the store has against them.
async fn put_in_force(
    app: &App,
    call: &Call,
    how: &Act,
    asked: &ImportAsked,
    sheet: Sheet,
    sender: &Sender,
) -> Result<wire::PriceChangesSummary, Refusal> {
    let mut session = app.long_session(call).await?;
    if let Some(summary) = answered(&mut session, how).await? {
        return Ok(summary);
    }
    let mut gathered = PriceChanges::begin(&mut session).await.map_err(plain)?;
    for rows in sheet.prices.chunks(ROWS_AT_ONCE as usize) {
        gathered.add(&mut session, rows).await.map_err(plain)?;
    }
    let applied = gathered.apply(&mut session, asked.close_missing).await;
    match applied.map_err(plain)? {
        Applied::Faulty(faults, count) => {
            let faults = faults.iter().map(|fault| row_fault(fault, &sheet.prices));
            let count = u32::try_from(count).unwrap_or(u32::MAX);
            tell_faults(sender, faults.collect(), sheet.row_count, count).await
        }
        Applied::Done(summary) => {
            drop(sheet);
            let done = Done {
                summary,
                has_rows: true,
                effect: asked.effect,
            };
            done.told(session, how, sender).await
        }
    }
}

fn missing(field: &'static str, description: &str) -> Refusal {
    Refusal::field(field, "MISSING", description.to_owned())
}

fn read_start(start: &wire::ImportStart) -> Result<(Act, ImportAsked), Refusal> {
    let mut decoder = Decoder::new();
    let read = decoder.within("start", |decoder| {
        let (id, is_trial) = (&start.request_id, start.validate_only);
        let how = Act::read(decoder, "PriceService/ImportPrices", start, id, is_trial);
        let asked = import_start(decoder, start);
        how.zip(asked)
    });
    match read {
        Some(read) if decoder.is_clean() => Ok(read),
        _ => Err(Refusal::Fields(decoder.violations())),
    }
}

/// A piece of the file.
fn piece(part: Result<Option<Part>, Refusal>) -> Result<Vec<u8>, Refusal> {
    match part? {
        Some(Part::Chunk(bytes)) if bytes.len() <= PIECE_BYTES_MAX => Ok(bytes),
        Some(Part::Chunk(bytes)) => Err(Refusal::field(
            "chunk",
            "TOO_LARGE",
            format!(
                "a piece of the file has {} bytes; send pieces of {PIECE_BYTES_MAX} bytes at most",
                bytes.len()
            ),
        )),
        Some(Part::Start(_)) | None => Err(missing(
            "chunk",
            "after start come pieces of the file and nothing else; send chunk",
        )),
    }
}

/// Tells the faults of a file, of which nothing is kept.
async fn tell_faults(
    sender: &Sender,
    faults: Vec<FileFault>,
    row_count: u32,
    fault_count: u32,
) -> Result<wire::PriceChangesSummary, Refusal> {
    for fault in faults {
        send(sender, Event::Fault(file_fault(fault))).await?;
    }
    Ok(wire::PriceChangesSummary {
        row_count: number(row_count),
        fault_count: number(fault_count),
        ..Default::default()
    })
}
