//! Stories over gRPC and the CLI live in the test targets beside this crate.
