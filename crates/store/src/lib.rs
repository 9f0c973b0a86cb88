//! Postgres: rows in, domain values out; the private cluster.

pub mod cluster;
