//! The command line: parse, call, print.
pub mod exit;
pub mod fault;
pub mod job_file;
pub mod name;
pub mod printer;
pub mod text;
pub mod word;
