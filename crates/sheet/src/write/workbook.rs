//! A workbook, ISO/IEC 29500, one sheet with its header held in sight. A row goes to a temporary file when it is
//! written, so memory does not grow with the sheet. A spreadsheet keeps numbers in binary: one that would not read back
//! to the last digit is written as a text.

use std::io::{self, Seek, Write};

use hod_units::{Date, Decimal, canonical};
use rust_xlsxwriter::{DocProperties, ExcelDateTime, Format, Workbook, Worksheet, XlsxError};

use super::record::Written;
use crate::column::Column;
use crate::read::number_text;

/// How a date is shown.
const DATE_FORMAT: &str = "yyyy-mm-dd";

/// A file that is being written.
pub(crate) struct Writer<W> {
    output: W,
    workbook: Workbook,
    row: u32,
    date: Format,
}

impl<W: Write + Seek + Send> Writer<W> {
    pub(crate) fn new(output: W) -> io::Result<Self> {
        let mut workbook = Workbook::new();
        // The same prices give the same bytes whenever they are written.
        let made = ExcelDateTime::from_ymd(2000, 1, 1).map_err(io::Error::other)?;
        workbook.set_properties(&DocProperties::new().set_creation_datetime(&made));
        header(&mut workbook).map_err(io::Error::other)?;
        Ok(Self {
            output,
            workbook,
            row: 0,
            date: Format::new().set_num_format(DATE_FORMAT),
        })
    }

    pub(crate) fn record(&mut self, record: &[(Column, Written)]) -> io::Result<()> {
        self.row += 1;
        self.cells(record).map_err(io::Error::other)
    }

    fn cells(&mut self, record: &[(Column, Written)]) -> Result<(), XlsxError> {
        let sheet = self.workbook.worksheet_from_index(0)?;
        for (column, cell) in record {
            let place = *column as u16;
            match cell {
                Written::Empty => {}
                Written::Text(text) => {
                    sheet.write_string(self.row, place, text)?;
                }
                Written::Number(decimal) => match exact(*decimal) {
                    Some(number) => {
                        sheet.write_number(self.row, place, number)?;
                    }
                    None => {
                        sheet.write_string(self.row, place, canonical(*decimal))?;
                    }
                },
                Written::Date(date) => match serial(*date) {
                    Some(serial) => {
                        sheet.write_with_format(self.row, place, &serial, &self.date)?;
                    }
                    None => {
                        sheet.write_string(self.row, place, date.to_string())?;
                    }
                },
            }
        }
        Ok(())
    }

    pub(crate) fn finish(mut self) -> io::Result<W> {
        self.workbook
            .save_to_writer(&mut self.output)
            .map_err(io::Error::other)?;
        self.output.flush()?;
        Ok(self.output)
    }
}

fn header(workbook: &mut Workbook) -> Result<(), XlsxError> {
    let bold = Format::new().set_bold();
    let sheet: &mut Worksheet = workbook.add_worksheet_with_constant_memory()?;
    sheet.set_name("prices")?;
    sheet.set_freeze_panes(1, 0)?;
    for column in Column::ALL {
        sheet.set_column_width(*column as u16, 14)?;
        sheet.write_string_with_format(0, *column as u16, column.name(), &bold)?;
    }
    Ok(())
}

/// The number as a spreadsheet keeps it, where that reads back to the last digit.
fn exact(decimal: Decimal) -> Option<f64> {
    let text = canonical(decimal);
    let number = text.parse().ok()?;
    (number_text(number) == text).then_some(number)
}

/// The date as a spreadsheet counts it. Before March 1900 spreadsheets count a day that never was.
fn serial(date: Date) -> Option<ExcelDateTime> {
    let text = date.to_string();
    if text.as_str() < "1900-03-01" {
        return None;
    }
    ExcelDateTime::parse_from_str(&text).ok()
}
