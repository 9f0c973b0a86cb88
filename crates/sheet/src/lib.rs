//! Price files: CSV and workbooks, read and written, a row at a time and in bounded memory.
//!
//! A file has a header row that names its columns ([`Column`]) and a price a row. Every fault is told with the row, as
//! a spreadsheet counts, the column, and what to do. What the rows do to a price list, and where the bytes come from
//! or go to, is for others: here is neither a store nor a wire.
//!
//! A text that a spreadsheet would take for a formula is written with an apostrophe before it, which reading takes off
//! again: see [`text`].

mod column;
mod fault;
mod limits;
mod read;
pub mod text;
mod unit;
mod write;

pub use column::Column;
pub use fault::FileFault;
pub use limits::Limits;
pub use read::{Counted, Found, read_prices};
pub use write::PriceWriter;

/// How a file is written.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Format {
    /// Comma-separated values, RFC 4180, UTF-8.
    Csv,
    /// A workbook, ISO/IEC 29500; its first sheet.
    Workbook,
}
