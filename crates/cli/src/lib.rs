//! The command line: parse, call, print.
pub mod connect;
pub mod exit;
pub mod fault;
pub mod job_file;
pub mod name;
pub mod noun;
pub mod output;
pub mod printer;
pub mod render;
pub mod text;
pub mod word;
