//! What every request that makes or changes something says beside its subject: under which id it may be sent again,
//! and whether it is only a trial.

use prost::Message;
use sha2::{Digest, Sha256};
use uuid::Uuid;

use super::Decoder;

/// How a write is to be done.
#[derive(Debug, Clone)]
pub struct Act {
    /// The method: `hod.v1.RegionService/CreateRegion`.
    pub method: &'static str,
    /// The caller's id for this request.
    pub request_id: Option<Uuid>,
    /// SHA-256 of the request as it was sent.
    pub digest: [u8; 32],
    /// Whether to check everything and keep nothing.
    pub validate_only: bool,
}

impl Act {
    /// Reads the fields that all writes share. The bytes of a message are always the same, so their digest tells
    /// whether a request sent again is the same request.
    pub fn read(
        decoder: &mut Decoder<'_>,
        method: &'static str,
        request: &impl Message,
        request_id: &str,
        validate_only: bool,
    ) -> Option<Self> {
        let id = if request_id.is_empty() {
            Some(None)
        } else {
            let read = Uuid::try_parse(request_id)
                .map_err(|_| "it is not a UUID; make a new random one for each request");
            decoder.read("request_id", "NOT_A_UUID", read).map(Some)
        };
        Some(Self {
            method,
            request_id: id?,
            digest: Sha256::digest(request.encode_to_vec()).into(),
            validate_only,
        })
    }
}
