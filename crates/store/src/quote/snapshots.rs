//! The bytes that a quote is: what was issued, kept as it was, and a digest over all of it.

use hod_domain::id::QuoteId;
use sha2::{Digest, Sha256};

use super::column;
use crate::fault::StoreFault;
use crate::session::Session;

/// What a quote was issued with, each an encoded message of 1 byte to 8 MiB.
#[derive(Debug, Clone, PartialEq, Eq, sqlx::FromRow)]
pub struct Snapshots {
    /// `hod.v1.Offer`: what the client sees.
    pub offer: Vec<u8>,
    /// `hod.v1.Estimate`: what it was issued from.
    pub estimate: Vec<u8>,
    /// `hod.v1.Comparison` with the quote that it revises; none when it revises none.
    pub comparison: Option<Vec<u8>>,
}

impl Snapshots {
    /// SHA-256 over offer, estimate and comparison in this order, each after its length as 8 bytes, the highest first.
    /// A comparison that is not there counts as empty.
    pub fn digest(&self) -> [u8; 32] {
        let mut sum = Sha256::new();
        let comparison = self.comparison.as_deref().unwrap_or_default();
        for bytes in [self.offer.as_slice(), self.estimate.as_slice(), comparison] {
            // No length is above 64 bits.
            sum.update((bytes.len() as u64).to_be_bytes());
            sum.update(bytes);
        }
        sum.finalize().into()
    }
}

/// Reads what a quote was issued with, byte for byte.
pub async fn snapshots(session: &mut Session, id: &QuoteId) -> Result<Snapshots, StoreFault> {
    let found: Option<Snapshots> = sqlx::query_as(
        "select offer, estimate, comparison from quote where firm_id = $1 and quote_number = $2",
    )
    .bind(session.firm_uuid())
    .bind(column(id.number())?)
    .fetch_optional(session.connection())
    .await?;
    found.ok_or_else(|| StoreFault::not_found(id.into()))
}
