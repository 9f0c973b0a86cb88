//! Comma-separated values, RFC 4180, a row at a time from any source of bytes. Nothing is guessed: a quote in the wrong
//! place, a byte that is not UTF-8 and a row without an end are told with where they stand. A row is never held beyond
//! the limit, so that a quote that is never closed does not draw the whole file into memory.

use std::io::{self, ErrorKind, Read};

use super::raw::{RawCell, RawRow};
use crate::fault::FileFault;
use crate::limits::Limits;

const BUFFER_BYTES: usize = 64 * 1024;

/// How far a cell has been read.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum State {
    /// Nothing of it.
    Before,
    /// Some of it, not in quotes.
    Bare,
    /// Some of it, in quotes.
    Quoted,
    /// A quote within quotes: the end of them, or the first of a doubled one.
    AfterQuote,
}

/// The rows of a source of bytes.
pub(crate) struct Records<R> {
    input: R,
    limits: Limits,
    buffer: Vec<u8>,
    /// What of the buffer has been read.
    at: usize,
    /// Bytes before the buffer.
    passed: u64,
    /// The row that is being read.
    row: u32,
    cell: Cell,
    /// A line feed now belongs to the carriage return before it.
    is_after_return: bool,
}

/// The cell that is being read.
struct Cell {
    state: State,
    bytes: Vec<u8>,
    /// Where it begins in the file.
    begins: u64,
    unfit: Option<(&'static str, String)>,
}

/// Why no row could be read.
#[derive(Debug)]
pub(crate) enum Stop {
    /// The file is at fault.
    Fault(FileFault),
    /// The source failed.
    Input(io::Error),
}

impl<R: Read> Records<R> {
    /// The rows of a file; what is no text of this kind is told at once.
    pub(crate) fn open(input: R, limits: Limits) -> Result<Self, Stop> {
        let mut records = Self {
            input,
            limits,
            buffer: Vec::new(),
            at: 0,
            passed: 0,
            row: 0,
            cell: Cell::new(0),
            is_after_return: false,
        };
        records.read_on()?;
        if let Some(fault) = foreign(&records.buffer) {
            return Err(Stop::Fault(fault));
        }
        // Spreadsheets mark UTF-8 with these three bytes.
        if records.buffer.starts_with(b"\xEF\xBB\xBF") {
            records.at = 3;
        }
        Ok(records)
    }

    /// The next row, blank ones too; none at the end.
    pub(crate) fn next_row(&mut self) -> Result<Option<RawRow>, Stop> {
        let mut cells = Vec::new();
        let mut row_bytes = 0_usize;
        self.row = self.row.saturating_add(1);
        self.cell = Cell::new(self.offset());
        while let Some(byte) = self.next_byte()? {
            if std::mem::take(&mut self.is_after_return) && byte == b'\n' {
                self.cell = Cell::new(self.offset());
                continue;
            }
            row_bytes += 1;
            if self.limits.row_bytes < row_bytes {
                return Err(Stop::Fault(self.row_too_long()));
            }
            let is_in_quotes = self.cell.state == State::Quoted;
            match byte {
                b',' if !is_in_quotes => cells.push(self.end_cell()),
                b'\n' | b'\r' if !is_in_quotes => {
                    self.is_after_return = byte == b'\r';
                    return Ok(Some(self.end_row(cells)));
                }
                _ => self.cell.take(byte),
            }
        }
        if self.cell.state == State::Quoted {
            return Err(Stop::Fault(self.quote_not_closed()));
        }
        let is_over = cells.is_empty() && self.cell.state == State::Before;
        Ok((!is_over).then(|| self.end_row(cells)))
    }

    fn end_row(&mut self, mut cells: Vec<RawCell>) -> RawRow {
        cells.push(self.end_cell());
        RawRow {
            row: self.row,
            cells,
        }
    }

    fn end_cell(&mut self) -> RawCell {
        let next = Cell::new(self.offset());
        std::mem::replace(&mut self.cell, next).end()
    }

    /// Bytes read so far.
    fn offset(&self) -> u64 {
        self.passed + self.at as u64
    }

    fn next_byte(&mut self) -> Result<Option<u8>, Stop> {
        if self.at == self.buffer.len() {
            self.read_on()?;
        }
        let byte = self.buffer.get(self.at).copied();
        self.at += usize::from(byte.is_some());
        Ok(byte)
    }

    /// Reads on, as far as the file may reach.
    fn read_on(&mut self) -> Result<(), Stop> {
        self.fill().map_err(Stop::Input)?;
        if self.limits.file_bytes < self.passed + self.buffer.len() as u64 {
            return Err(Stop::Fault(too_large(self.limits.file_bytes)));
        }
        Ok(())
    }

    /// Fills the buffer anew; an empty one is the end.
    fn fill(&mut self) -> io::Result<()> {
        self.passed += self.buffer.len() as u64;
        self.buffer.resize(BUFFER_BYTES, 0);
        self.at = 0;
        let mut filled = 0;
        // A whole buffer at a time, so that what the file begins with is never cut in two.
        while filled < BUFFER_BYTES {
            match self.input.read(&mut self.buffer[filled..]) {
                Ok(0) => break,
                Ok(count) => filled += count,
                Err(error) if error.kind() == ErrorKind::Interrupted => {}
                Err(error) => return Err(error),
            }
        }
        self.buffer.truncate(filled);
        Ok(())
    }

    fn row_too_long(&self) -> FileFault {
        if self.cell.state == State::Quoted {
            return self.quote_not_closed();
        }
        FileFault::of_row(
            self.row,
            "ROW_TOO_LONG",
            format!(
                "the row has more than {} bytes; a price takes a few hundred, so look for rows that have run together",
                self.limits.row_bytes
            ),
        )
    }

    fn quote_not_closed(&self) -> FileFault {
        FileFault::of_row(
            self.row,
            "QUOTE_NOT_CLOSED",
            "a cell of the row begins with a quote that is not closed; close it, and double every quote within",
        )
    }
}

impl Cell {
    fn new(begins: u64) -> Self {
        Self {
            state: State::Before,
            bytes: Vec::new(),
            begins,
            unfit: None,
        }
    }

    /// One byte more, which ends neither the cell nor the row.
    fn take(&mut self, byte: u8) {
        match (self.state, byte) {
            (State::Before, b'"') => self.state = State::Quoted,
            (State::Quoted, b'"') => self.state = State::AfterQuote,
            (State::AfterQuote, b'"') => {
                self.bytes.push(byte);
                self.state = State::Quoted;
            }
            (State::AfterQuote, _) => {
                self.blame("TEXT_AFTER_QUOTE", "text follows the closing quote");
                self.state = State::Bare;
            }
            (State::Bare, b'"') => self.blame(
                "QUOTE_WITHIN_TEXT",
                "there is a quote within a text that is not in quotes",
            ),
            (State::Before | State::Bare, _) => {
                self.state = State::Bare;
                self.bytes.push(byte);
            }
            (State::Quoted, _) => self.bytes.push(byte),
        }
    }

    fn blame(&mut self, reason: &'static str, found: &str) {
        let message =
            format!("{found}; put the whole cell in quotes and double every quote within");
        self.unfit.get_or_insert((reason, message));
    }

    fn end(self) -> RawCell {
        if let Some((reason, message)) = self.unfit {
            return RawCell::Unfit { reason, message };
        }
        if self.bytes.contains(&0) {
            return RawCell::unfit(
                "NUL_BYTE",
                "the cell holds a zero byte; save the file as comma-separated values in UTF-8",
            );
        }
        match String::from_utf8(self.bytes) {
            Ok(text) => RawCell::Text(text),
            Err(fault) => not_utf8(self.begins, &fault.into_bytes()),
        }
    }
}

/// A cell in another encoding, with what its first strange byte would be in the commonest one.
fn not_utf8(begins: u64, bytes: &[u8]) -> RawCell {
    let valid = match std::str::from_utf8(bytes) {
        Ok(_) => bytes.len(),
        Err(fault) => fault.valid_up_to(),
    };
    let byte = bytes.get(valid).copied().unwrap_or_default();
    let near = begins + valid as u64;
    RawCell::unfit(
        "NOT_UTF8",
        format!(
            "the byte 0x{byte:02X} near byte {near} of the file is not UTF-8 (in Latin-1 it is {:?}); \
             save the file as comma-separated values in UTF-8",
            char::from(byte)
        ),
    )
}

fn too_large(most: u64) -> FileFault {
    FileFault::of_file(
        "FILE_TOO_LARGE",
        format!(
            "the file has more than {most} bytes ({} MiB); send it in parts",
            most / (1024 * 1024)
        ),
    )
}

/// A file that is something else by its first bytes.
fn foreign(begins: &[u8]) -> Option<FileFault> {
    let of = |magic: &[u8]| begins.starts_with(magic);
    if of(b"\xFF\xFE") || of(b"\xFE\xFF") {
        return Some(FileFault::of_file(
            "UTF_16",
            "the file is in UTF-16; save it as comma-separated values in UTF-8",
        ));
    }
    if of(b"PK\x03\x04") || of(b"\xD0\xCF\x11\xE0") {
        return Some(FileFault::of_file(
            "NOT_COMMA_SEPARATED",
            "the file is a workbook or an archive; import it as a workbook (.xlsx), or save it as comma-separated values",
        ));
    }
    None
}

#[cfg(test)]
mod tests {
    use super::*;

    fn rows(bytes: &[u8]) -> Result<Vec<RawRow>, Stop> {
        let mut records = Records::open(bytes, Limits::of(crate::Format::Csv))?;
        let mut rows = Vec::new();
        while let Some(row) = records.next_row()? {
            rows.push(row);
        }
        Ok(rows)
    }

    fn texts(bytes: &[u8]) -> Vec<(u32, Vec<String>)> {
        let text = |cell| match cell {
            RawCell::Text(text) => text,
            other => panic!("{other:?}"),
        };
        let rows = rows(bytes).expect("well formed");
        rows.into_iter()
            .map(|row| (row.row, row.cells.into_iter().map(text).collect()))
            .collect()
    }

    fn of(row: u32, cells: &[&str]) -> (u32, Vec<String>) {
        (row, cells.iter().map(|cell| (*cell).to_owned()).collect())
    }

    #[test]
    fn every_line_end_ends_a_row_and_none_is_needed_at_the_end() {
        for text in [
            "a,b\nc,d\n",
            "a,b\r\nc,d\r\n",
            "a,b\rc,d\r",
            "a,b\nc,d",
            "\u{feff}a,b\nc,d",
        ] {
            let found = texts(text.as_bytes());
            assert_eq!(found, [of(1, &["a", "b"]), of(2, &["c", "d"])], "{text:?}");
        }
    }

    #[test]
    fn blank_rows_are_counted_as_a_spreadsheet_counts_them() {
        let found = texts(b"a\n\n\r\nb\n");
        assert_eq!(
            found,
            [of(1, &["a"]), of(2, &[""]), of(3, &[""]), of(4, &["b"])]
        );
        assert_eq!(texts(b""), []);
    }

    #[test]
    fn quotes_hold_commas_line_ends_and_doubled_quotes() {
        let found = texts(b"\"a,\"\"b\"\"\",\"c\r\nd\",\"\"\ne,f,g\n");
        assert_eq!(
            found,
            [of(1, &["a,\"b\"", "c\r\nd", ""]), of(2, &["e", "f", "g"])]
        );
    }

    #[test]
    fn a_quote_in_the_wrong_place_is_a_fault_of_its_cell() {
        for (text, expected) in [
            ("a\"b,c\n", "QUOTE_WITHIN_TEXT"),
            ("\"a\"b,c\n", "TEXT_AFTER_QUOTE"),
        ] {
            let found = rows(text.as_bytes()).expect("a row");
            assert!(
                matches!(&found[0].cells[0], RawCell::Unfit { reason, .. } if *reason == expected),
                "{found:?}"
            );
            assert_eq!(found[0].cells[1], RawCell::Text("c".into()));
        }
    }

    #[test]
    fn a_quote_that_is_never_closed_is_told_with_its_row_and_stops_at_the_limit() {
        let mut text = b"a\n\"b".to_vec();
        let told = |text: &[u8]| match rows(text) {
            Err(Stop::Fault(fault)) => (fault.row, fault.reason),
            other => panic!("{other:?}"),
        };
        assert_eq!(told(&text), (2, "QUOTE_NOT_CLOSED"));
        text.extend(std::iter::repeat_n(b'x', 1_000_000));
        assert_eq!(told(&text), (2, "QUOTE_NOT_CLOSED"));
        let long = [b"a\n".as_slice(), &[b'x'; 70_000]].concat();
        assert_eq!(told(&long), (2, "ROW_TOO_LONG"));
    }
}
