//! Comma-separated values, RFC 4180: a comma between cells, CR and LF at the end of a row, quotes where they are needed.

use std::io::{self, Write};

use hod_units::canonical;

use super::record::Written;
use crate::column::Column;

/// A file that is being written.
pub(crate) struct Writer<W> {
    output: W,
}

impl<W: Write> Writer<W> {
    pub(crate) fn new(output: W) -> io::Result<Self> {
        let mut writer = Self { output };
        let names = Column::ALL.iter().map(|column| column.name().to_owned());
        writer.row(names)?;
        Ok(writer)
    }

    pub(crate) fn record(&mut self, record: &[(Column, Written)]) -> io::Result<()> {
        self.row(record.iter().map(|(_, cell)| match cell {
            Written::Empty => String::new(),
            Written::Text(text) => quoted_if_needed(text),
            Written::Number(number) => canonical(*number),
            Written::Date(date) => date.to_string(),
        }))
    }

    fn row(&mut self, cells: impl Iterator<Item = String>) -> io::Result<()> {
        let cells: Vec<String> = cells.collect();
        self.output.write_all(cells.join(",").as_bytes())?;
        self.output.write_all(b"\r\n")
    }

    pub(crate) fn finish(mut self) -> io::Result<W> {
        self.output.flush()?;
        Ok(self.output)
    }
}

fn quoted_if_needed(text: &str) -> String {
    if text.contains([',', '"', '\r', '\n']) {
        format!("\"{}\"", text.replace('"', "\"\""))
    } else {
        text.to_owned()
    }
}
