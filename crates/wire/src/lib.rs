//! The messages and stubs of `proto/hod/v1`, and nothing else.
//!
//! Everything under `generated` is written by `cargo xtask gen`; the meaning of each field stands in the protos.
#![allow(
    missing_docs,
    clippy::all,
    reason = "written by a program; the protos carry the documentation"
)]

/// Package `hod.v1`.
pub mod v1 {
    include!("generated/hod.v1.rs");
}

/// The compiled protos, with their comments, for reflection and for tests that read them.
pub const DESCRIPTORS: &[u8] = include_bytes!("generated/descriptors.binpb");
