//! Prices written to a file: read from the store a piece at a time, written to a temporary file, and sent in pieces, so
//! that memory stays flat however many there are.

use std::fs::File;
use std::io::{BufWriter, Read, Seek};
use std::sync::Arc;

use hod_sheet::PriceWriter;
use hod_store::Stored;
use hod_store::price_walk::{Walk, WalkFilter};
use hod_wire::v1 as wire;
use tokio::sync::mpsc;

use super::App;
use super::store_fault::refusal;
use crate::call::Call;
use crate::decode::{Decoder, ExportAsked};
use crate::refusal::Refusal;

/// So many pieces wait for a caller that reads slowly.
const WAITING_MAX: usize = 4;

/// So many prices are read at once.
const PRICES_AT_ONCE: u32 = 5000;

/// Bytes of a piece.
const PIECE_BYTES: usize = 64 * 1024;

/// What an export sends.
pub type Pieces = mpsc::Receiver<Result<wire::ExportPricesResponse, Refusal>>;
type Sender = mpsc::Sender<Result<wire::ExportPricesResponse, Refusal>>;

/// Writes prices to a file and sends it.
pub fn export_prices(
    app: Arc<App>,
    call: Call,
    decoder: Decoder<'_>,
    asked: Option<ExportAsked>,
) -> Result<Pieces, Refusal> {
    let (Some(asked), true) = (asked, decoder.is_clean()) else {
        return Err(Refusal::Fields(decoder.violations()));
    };
    let (sender, pieces) = mpsc::channel(WAITING_MAX);
    tokio::spawn(async move {
        let done = match written(&app, &call, &asked).await {
            Ok(file) => sent(file, &sender).await,
            Err(refusal) => Err(refusal),
        };
        if let Err(refusal) = done {
            // Nobody is there to be told when the caller has gone.
            sender.send(Err(refusal)).await.ok();
        }
    });
    Ok(pieces)
}

/// The whole file, at its beginning.
async fn written(app: &App, call: &Call, asked: &ExportAsked) -> Result<File, Refusal> {
    let named = |fault| refusal(fault, |_| "parent");
    let file = BufWriter::new(tempfile::tempfile().map_err(Refusal::internal)?);
    let mut writer = PriceWriter::new(asked.format, file).map_err(Refusal::internal)?;
    let filter = WalkFilter {
        region: asked.region.clone(),
        on: asked.on,
        group: asked.group.clone(),
        ..WalkFilter::default()
    };
    let mut session = app.session(call).await?;
    let mut walk = Walk::begin(&mut session, &filter).await.map_err(named)?;
    loop {
        let prices = walk
            .next(&mut session, PRICES_AT_ONCE)
            .await
            .map_err(named)?;
        if prices.is_empty() {
            break;
        }
        for (region, Stored { value, .. }) in &prices {
            writer.price(region, value).map_err(Refusal::internal)?;
        }
    }
    drop(session);
    let finishing = tokio::task::spawn_blocking(move || {
        let mut file = writer
            .finish()?
            .into_inner()
            .map_err(std::io::IntoInnerError::into_error)?;
        file.rewind()?;
        Ok::<File, std::io::Error>(file)
    });
    finishing
        .await
        .map_err(Refusal::internal)?
        .map_err(Refusal::internal)
}

async fn sent(mut file: File, sender: &Sender) -> Result<(), Refusal> {
    loop {
        let mut chunk = Vec::with_capacity(PIECE_BYTES);
        let piece = Read::take(&mut file, PIECE_BYTES as u64);
        Read::read_to_end(&mut { piece }, &mut chunk).map_err(Refusal::internal)?;
        if chunk.is_empty() {
            return Ok(());
        }
        let is_heard = sender.send(Ok(wire::ExportPricesResponse { chunk })).await;
        is_heard.map_err(|_| Refusal::Interrupted("nobody listens any more".into()))?;
    }
}
