//! The service: gRPC in, the pure middle asked, Postgres behind. Decode, one call, encode.
//!
//! A call comes in through [`envelope`] (its id, its place, whose it is, its deadline), is read by `decode`, done by
//! [`app`] (load, compute, save) and told by `encode`; the files of [`rpc`] join these for each method and do
//! nothing else. What is refused is a [`refusal`], and [`status`] alone knows its gRPC code.
//! [`startup`] brings a server up on a private or a given database, and [`serve`] runs it.

pub mod access;
pub mod app;
pub mod call;
mod decode;
mod encode;
pub mod envelope;
pub mod limits;
pub mod listen;
pub mod log;
pub mod name;
pub mod refusal;
pub mod renewal;
pub mod rpc;
pub mod serve;
pub mod settings;
pub mod startup;
pub mod status;
pub mod tls;

/// The allocator of the server and of its benchmarks. An estimate on the wire is a thousand small texts, most of them
/// freed by another thread than made them; the C library's allocator spends a third of a call on that.
pub use mimalloc::MiMalloc as Allocator;
