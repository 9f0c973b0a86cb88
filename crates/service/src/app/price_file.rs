//! A file of prices on its way in: into a temporary file first, never beyond its limit, then read whole where it holds
//! nobody up. Until every row has been read nothing is written anywhere, for the last one may be at fault.

use std::fs::File;
use std::io::{BufReader, Seek};

use futures::{Stream, StreamExt};
use hod_domain::price::PriceRow;
use hod_sheet::{FileFault, Format, Found, Limits, read_prices};
use sha2::{Digest, Sha256};
use tokio::io::AsyncWriteExt;

use crate::refusal::Refusal;

/// Most faults of a file that are told.
pub const FAULTS_MAX: usize = 1000;

/// A file as it came in.
pub enum Arrived {
    /// Whole, with the digest of its bytes.
    Whole(File, [u8; 32]),
    /// Larger than is taken; the rest was not waited for.
    TooLarge(FileFault),
}

/// What is in a file.
#[derive(Default)]
pub struct Sheet {
    /// Its prices, by row; none when there is a fault.
    pub prices: Vec<PriceRow>,
    /// Its faults by row, as many as are told.
    pub faults: Vec<FileFault>,
    /// Rows that say something, the header not counted.
    pub row_count: u32,
    /// All faults, told or not.
    pub fault_count: u32,
}

/// Takes the pieces of a file, up to what a file may have. The digest begins with what `how` it is to be taken, so that
/// the same file taken otherwise is another request.
pub async fn receive(
    format: Format,
    how: &[u8],
    pieces: impl Stream<Item = Result<Vec<u8>, Refusal>>,
) -> Result<Arrived, Refusal> {
    let most = Limits::of(format).file_bytes;
    let file = tempfile::tempfile().map_err(Refusal::internal)?;
    let mut file = tokio::fs::File::from_std(file);
    let mut digest = Sha256::new_with_prefix(how);
    let mut bytes = 0_u64;
    let mut pieces = std::pin::pin!(pieces);
    while let Some(piece) = pieces.next().await {
        let piece = piece?;
        bytes += piece.len() as u64;
        if most < bytes {
            return Ok(Arrived::TooLarge(too_large(most)));
        }
        digest.update(&piece);
        file.write_all(&piece).await.map_err(Refusal::internal)?;
    }
    file.flush().await.map_err(Refusal::internal)?;
    Ok(Arrived::Whole(
        file.into_std().await,
        digest.finalize().into(),
    ))
}

fn too_large(most: u64) -> FileFault {
    FileFault::of_file(
        "FILE_TOO_LARGE",
        format!(
            "the file has more than {most} bytes ({} MiB) and was not read; send it in parts",
            most / (1024 * 1024)
        ),
    )
}

/// Reads a file that came in whole.
pub async fn read(mut file: File, format: Format) -> Result<Sheet, Refusal> {
    let reading = tokio::task::spawn_blocking(move || {
        file.rewind()?;
        let mut sheet = Sheet::default();
        let limits = Limits::of(format);
        let counted = read_prices(BufReader::new(file), format, &limits, &mut |found| {
            sheet.add(found);
        })?;
        sheet.row_count = counted.rows;
        sheet.fault_count = counted.faults;
        sheet.faults.sort_by_key(|fault| fault.row);
        Ok::<Sheet, std::io::Error>(sheet)
    });
    reading
        .await
        .map_err(Refusal::internal)?
        .map_err(Refusal::internal)
}

impl Sheet {
    fn add(&mut self, found: Found) {
        match found {
            Found::Price(price) if self.faults.is_empty() => self.prices.push(*price),
            Found::Price(_) => {}
            Found::Fault(fault) => {
                // A file with a fault is not kept, so its prices need not be held any longer.
                self.prices = Vec::new();
                if self.faults.len() < FAULTS_MAX {
                    self.faults.push(fault);
                }
            }
        }
    }
}
