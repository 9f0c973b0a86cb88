//! Faults of a file: where, which rule, and what to do. How many of them are shown is for the caller to say.

use std::fmt;

use crate::column::Column;

/// Most characters of a cell that a message repeats.
const FOUND_CHARACTERS_MAX: usize = 40;

/// One thing that is wrong with a file.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct FileFault {
    /// The row as a spreadsheet counts, the header being 1; 0 when the file as a whole is at fault.
    pub row: u32,
    /// The column by its header; empty when the row as a whole is at fault.
    pub column: String,
    /// The rule that is broken, in capitals: `DECIMAL_COMMA`.
    pub reason: &'static str,
    /// What was found, what was expected and what to do.
    pub message: String,
}

impl FileFault {
    /// A fault of the file as a whole.
    pub fn of_file(reason: &'static str, message: impl Into<String>) -> Self {
        Self::of_row(0, reason, message)
    }

    /// A fault of a row as a whole.
    pub fn of_row(row: u32, reason: &'static str, message: impl Into<String>) -> Self {
        Self {
            row,
            column: String::new(),
            reason,
            message: message.into(),
        }
    }

    /// A fault of a cell.
    pub fn of_cell(
        row: u32,
        column: Column,
        reason: &'static str,
        message: impl Into<String>,
    ) -> Self {
        Self {
            row,
            column: column.name().to_owned(),
            reason,
            message: message.into(),
        }
    }
}

/// `row 7, unit_price: message`, leaving out what is not known.
impl fmt::Display for FileFault {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match (self.row, self.column.as_str()) {
            (0, _) => f.write_str(&self.message),
            (row, "") => write!(f, "row {row}: {}", self.message),
            (row, column) => write!(f, "row {row}, {column}: {}", self.message),
        }
    }
}

/// A cell as a message repeats it: quoted, shortened, without control characters.
pub(crate) fn quoted(found: &str) -> String {
    let shown: String = found.chars().take(FOUND_CHARACTERS_MAX).collect();
    let more = if shown.len() < found.len() { "..." } else { "" };
    format!("{shown:?}{more}")
}
