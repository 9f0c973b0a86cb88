//! gRPC: decode, one call, encode.
