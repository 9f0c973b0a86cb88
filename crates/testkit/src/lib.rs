//! What tests share: a database each, a running server, a fixed clock, builders.

pub mod cluster;
pub mod database;
pub mod server;
