//! The cells of one row by their columns, each read once as what it should be. What cannot be read is told with its
//! column, and the rest of the row is read all the same.

use std::fmt::Display;

use hod_domain::id::IdFault;
use hod_units::{Date, DateFault, Decimal, parse_date};

use super::number::{Bounds, number};
use super::raw::{RawCell, RawRow};
use crate::column::{Column, Header};
use crate::fault::{FileFault, quoted};
use crate::text::undone;

/// The cells of one row.
pub(crate) struct Cells<'a> {
    row: u32,
    by_column: [Option<&'a RawCell>; Column::ALL.len()],
    faults: Vec<FileFault>,
}

impl<'a> Cells<'a> {
    /// The cells of a row under their header.
    pub(crate) fn new(header: &Header, raw: &'a RawRow) -> Self {
        let mut by_column = [None; Column::ALL.len()];
        for (place, cell) in raw.cells.iter().enumerate() {
            if let Some(column) = header.column(place) {
                by_column[column as usize] = Some(cell);
            }
        }
        Self {
            row: raw.row,
            by_column,
            faults: Vec::new(),
        }
    }

    /// What was wrong so far.
    pub(crate) fn into_faults(self) -> Vec<FileFault> {
        self.faults
    }

    /// Keeps a fault of a column.
    pub(crate) fn blame(
        &mut self,
        column: Column,
        reason: &'static str,
        message: impl Into<String>,
    ) {
        self.faults
            .push(FileFault::of_cell(self.row, column, reason, message));
    }

    /// What a cell says, empty when it says nothing or is not there; none when it could not be taken.
    fn said(&mut self, column: Column) -> Option<&'a str> {
        match self.by_column[column as usize] {
            None => Some(""),
            Some(RawCell::Text(text)) if text.starts_with('=') => {
                let message = format!(
                    "{} begins as a formula; write the value, or an apostrophe before a text that begins so",
                    quoted(text)
                );
                self.blame(column, "FORMULA_CELL", message);
                None
            }
            Some(RawCell::Text(text)) => Some(text),
            Some(RawCell::Unfit { reason, message }) => {
                self.blame(column, reason, message.clone());
                None
            }
            Some(RawCell::Told) => None,
        }
    }

    /// What a cell that is no free text says, without the blanks around it.
    pub(crate) fn word(&mut self, column: Column) -> Option<&'a str> {
        self.said(column).map(str::trim)
    }

    /// What such a cell says that must say something.
    pub(crate) fn word_needed(&mut self, column: Column) -> Option<&'a str> {
        let word = self.word(column)?;
        if word.is_empty() {
            self.blame(
                column,
                "MISSING",
                format!("{} is needed and empty", column.name()),
            );
            return None;
        }
        Some(word)
    }

    /// An id that must be given.
    pub(crate) fn id<T>(
        &mut self,
        column: Column,
        read: fn(&str) -> Result<T, IdFault>,
    ) -> Option<T> {
        let word = self.word_needed(column)?;
        self.keep(column, "NOT_AN_ID", read(word))
    }

    /// An id that may be left out.
    pub(crate) fn id_if_any<T>(
        &mut self,
        column: Column,
        read: fn(&str) -> Result<T, IdFault>,
    ) -> Option<Option<T>> {
        match self.word(column)? {
            "" => Some(None),
            word => self.keep(column, "NOT_AN_ID", read(word)).map(Some),
        }
    }

    /// A text that may be empty, just as it was written.
    pub(crate) fn text(&mut self, column: Column, characters_max: usize) -> Option<String> {
        let text = undone(self.said(column)?);
        let characters = text.chars().count();
        if characters_max < characters {
            let message =
                format!("the text has {characters} characters; at most {characters_max} are kept");
            self.blame(column, "TOO_LONG", message);
            return None;
        }
        if let Some(control) = text.chars().find(|c| c.is_control()) {
            let message = format!(
                "the text holds the control character U+{:04X}; write it as one line of plain text",
                u32::from(control)
            );
            self.blame(column, "CONTROL_CHARACTER", message);
            return None;
        }
        Some(text.to_owned())
    }

    /// A number that must be given.
    pub(crate) fn number(&mut self, column: Column, bounds: &Bounds) -> Option<Decimal> {
        let word = self.word_needed(column)?;
        self.keep_number(column, word, bounds)
    }

    /// A number that may be left out.
    pub(crate) fn number_if_any(
        &mut self,
        column: Column,
        bounds: &Bounds,
    ) -> Option<Option<Decimal>> {
        match self.word(column)? {
            "" => Some(None),
            word => self.keep_number(column, word, bounds).map(Some),
        }
    }

    /// A number within a cell that holds more than that.
    pub(crate) fn keep_number(
        &mut self,
        column: Column,
        text: &str,
        bounds: &Bounds,
    ) -> Option<Decimal> {
        number(text, bounds)
            .map_err(|(reason, message)| self.blame(column, reason, message))
            .ok()
    }

    /// A date that must be given.
    pub(crate) fn date(&mut self, column: Column) -> Option<Date> {
        let word = self.word_needed(column)?;
        self.keep_date(column, word)
    }

    /// A date that may be left out.
    pub(crate) fn date_if_any(&mut self, column: Column) -> Option<Option<Date>> {
        match self.word(column)? {
            "" => Some(None),
            word => self.keep_date(column, word).map(Some),
        }
    }

    fn keep_date(&mut self, column: Column, word: &str) -> Option<Date> {
        let read = parse_date(word);
        let is_serial = word.bytes().all(|byte| byte.is_ascii_digit());
        if is_serial && matches!(read, Err(DateFault::NotADate { .. })) {
            let message = format!(
                "{word} is a number and no date; give the cell the format of a date, or write 2026-05-01"
            );
            self.blame(column, "BAD_DATE", message);
            return None;
        }
        self.keep(column, "BAD_DATE", read)
    }

    fn keep<T, F: Display>(
        &mut self,
        column: Column,
        reason: &'static str,
        read: Result<T, F>,
    ) -> Option<T> {
        read.map_err(|fault| self.blame(column, reason, fault.to_string()))
            .ok()
    }
}
