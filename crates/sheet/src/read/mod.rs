//! Reading a price file: rows from either format, their header, each row as a price, and at the end what rows say
//! against each other.

mod cells;
mod csv;
mod guard;
mod keys;
mod number;
mod raw;
mod row;
mod workbook;

pub(crate) use self::workbook::number_text;

use std::io::{self, Read, Seek};

use hod_domain::price::PriceRow;

use self::csv::{Records, Stop};
use self::keys::Keys;
use self::raw::{RawCell, RawRow};
use self::row::price_row;
use crate::Format;
use crate::column::Header;
use crate::fault::FileFault;
use crate::limits::Limits;

/// Something that was found in a file.
#[derive(Debug, Clone, PartialEq)]
pub enum Found {
    /// A price. Whether it contradicts another row is known only at the end.
    Price(Box<PriceRow>),
    /// A fault.
    Fault(FileFault),
}

/// What was in a file.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq)]
pub struct Counted {
    /// Rows that say something, the header not counted.
    pub rows: u32,
    /// Faults.
    pub faults: u32,
}

/// Reads a price file. Everything in it is given to `found` as it is met, rows in the order of the file and what rows say
/// against each other last. An error is one of the source, not of the file.
pub fn read_prices<R: Read + Seek>(
    input: R,
    format: Format,
    limits: &Limits,
    found: &mut dyn FnMut(Found),
) -> io::Result<Counted> {
    let mut sheet = Sheet::new(limits.rows, found);
    match format {
        Format::Csv => separated(input, *limits, &mut sheet)?,
        Format::Workbook => workbook::rows(input, limits, &mut |row| sheet.row(row))
            .unwrap_or_else(|fault| sheet.stop(fault)),
    }
    Ok(sheet.finish())
}

fn separated<R: Read>(input: R, limits: Limits, sheet: &mut Sheet<'_>) -> io::Result<()> {
    let stopped = |stop: Stop, sheet: &mut Sheet<'_>| match stop {
        Stop::Fault(fault) => {
            sheet.stop(fault);
            Ok(())
        }
        Stop::Input(error) => Err(error),
    };
    let mut records = match Records::open(input, limits) {
        Ok(records) => records,
        Err(stop) => return stopped(stop, sheet),
    };
    loop {
        match records.next_row() {
            Ok(Some(row)) => {
                if !sheet.row(row) {
                    return Ok(());
                }
            }
            Ok(None) => return Ok(()),
            Err(stop) => return stopped(stop, sheet),
        }
    }
}

/// A sheet as it is read from the top.
struct Sheet<'a> {
    rows_max: u32,
    header: Option<Header>,
    /// Nothing more can be said of the file.
    is_stopped: bool,
    keys: Keys,
    counted: Counted,
    found: &'a mut dyn FnMut(Found),
}

impl<'a> Sheet<'a> {
    fn new(rows_max: u32, found: &'a mut dyn FnMut(Found)) -> Self {
        Self {
            rows_max,
            header: None,
            is_stopped: false,
            keys: Keys::default(),
            counted: Counted::default(),
            found,
        }
    }

    fn fault(&mut self, fault: FileFault) {
        self.counted.faults = self.counted.faults.saturating_add(1);
        (self.found)(Found::Fault(fault));
    }

    /// A fault after which the rest of the file says nothing.
    fn stop(&mut self, fault: FileFault) {
        self.is_stopped = true;
        self.fault(fault);
    }

    /// The next row; whether one more is wanted.
    fn row(&mut self, raw: RawRow) -> bool {
        if raw.is_blank() {
            return true;
        }
        let Some(header) = &self.header else {
            self.header(&raw);
            return !self.is_stopped;
        };
        if self.counted.rows == self.rows_max {
            self.stop(too_many_rows(raw.row, self.rows_max));
            return false;
        }
        self.counted.rows += 1;
        let read = match ragged(header, &raw) {
            Some(fault) => Err(vec![fault]),
            None => price_row(header, &raw),
        };
        match read {
            Ok(row) => {
                self.keys.add(&row);
                (self.found)(Found::Price(Box::new(row)));
            }
            Err(faults) => faults.into_iter().for_each(|fault| self.fault(fault)),
        }
        true
    }

    fn header(&mut self, raw: &RawRow) {
        let mut names = Vec::new();
        for cell in &raw.cells {
            match cell {
                RawCell::Text(text) => names.push(text.clone()),
                RawCell::Unfit { reason, message } => {
                    self.stop(FileFault::of_row(raw.row, reason, message.clone()));
                }
                RawCell::Told => {}
            }
        }
        if self.is_stopped {
            return;
        }
        let mut faults = Vec::new();
        self.header = Header::read(raw.row, &names, &mut |fault| faults.push(fault));
        self.is_stopped = self.header.is_none();
        faults.into_iter().for_each(|fault| self.fault(fault));
    }

    fn finish(mut self) -> Counted {
        if !self.is_stopped && self.header.is_none() {
            self.fault(FileFault::of_file(
                "EMPTY_FILE",
                "the file is empty; give a header row that names the columns and a row for each price",
            ));
        } else if !self.is_stopped && self.counted.rows == 0 {
            self.fault(FileFault::of_file(
                "NO_ROWS",
                "the file has a header and no row under it; give a row for each price",
            ));
        }
        let keys = std::mem::take(&mut self.keys);
        keys.faults()
            .into_iter()
            .for_each(|fault| self.fault(fault));
        self.counted
    }
}

/// A row that has not the cells of the header.
fn ragged(header: &Header, raw: &RawRow) -> Option<FileFault> {
    let (cells, width) = (raw.cells.len(), header.width());
    if cells != width {
        let why = if width < cells {
            "a decimal comma, or a text with a comma in it that is not in quotes, makes a cell more"
        } else {
            "a column that is left empty needs its comma all the same"
        };
        let message = format!("the row has {cells} cells where the header has {width}; {why}");
        return Some(FileFault::of_row(raw.row, "RAGGED_ROW", message));
    }
    let outside =
        (0..width).find(|place| header.is_unnamed(*place) && !raw.cells[*place].is_empty())?;
    Some(FileFault::of_row(
        raw.row,
        "CELL_WITHOUT_COLUMN",
        format!(
            "cell {} of the row stands under an empty cell of the header; empty it, or name its column",
            outside + 1
        ),
    ))
}

fn too_many_rows(row: u32, most: u32) -> FileFault {
    FileFault::of_row(
        row,
        "TOO_MANY_ROWS",
        format!("the file has more than {most} rows; send it in parts"),
    )
}
