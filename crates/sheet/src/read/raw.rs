//! A row as it stands in a file, before anything is known of its columns.

/// A row: its cells from the left.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct RawRow {
    /// As a spreadsheet counts, from 1.
    pub row: u32,
    /// Its cells.
    pub cells: Vec<RawCell>,
}

/// A cell.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) enum RawCell {
    /// What it says; empty when it says nothing.
    Text(String),
    /// Why it says nothing that could be taken.
    Unfit {
        /// The rule that is broken, in capitals.
        reason: &'static str,
        /// What was found, what was expected and what to do.
        message: String,
    },
    /// Why it says nothing has been told of another cell.
    Told,
}

impl RawRow {
    /// Whether no cell says anything.
    pub(crate) fn is_blank(&self) -> bool {
        self.cells.iter().all(RawCell::is_empty)
    }
}

impl RawCell {
    /// Whether it says nothing.
    pub(crate) fn is_empty(&self) -> bool {
        matches!(self, Self::Text(text) if text.is_empty())
    }

    /// A cell that cannot be taken.
    pub(crate) fn unfit(reason: &'static str, message: impl Into<String>) -> Self {
        Self::Unfit {
            reason,
            message: message.into(),
        }
    }
}
