//! The first sheet of a workbook, a row at a time. What is not a plain value, such as a formula, an error or a merged
//! cell, is told of its cell: a price that hangs on other cells is not the price that somebody read and wrote down.

use std::io::{Read, Seek};

use calamine::{DataRef, Dimensions, ExcelDateTime, Reader, SheetType, Xlsx, XlsxError};

use super::guard::{broken, check};
use super::raw::{RawCell, RawRow};
use crate::fault::{FileFault, quoted};
use crate::limits::Limits;

/// Columns of a sheet by the standard: `XFD`.
const COLUMNS_MAX: u32 = 16_384;

/// Most merged regions that are told one by one.
const MERGED_MAX: usize = 1000;

/// Gives each row that has cells to `take`, from the top, until it wants no more.
pub(crate) fn rows<R: Read + Seek>(
    mut input: R,
    limits: &Limits,
    take: &mut dyn FnMut(RawRow) -> bool,
) -> Result<(), FileFault> {
    check(&mut input, limits)?;
    let mut workbook = Xlsx::new(&mut input).map_err(|error| unreadable(&error))?;
    let sheets = workbook.sheets_metadata().iter();
    let first = sheets
        .filter(|sheet| sheet.typ == SheetType::WorkSheet)
        .map(|sheet| sheet.name.clone())
        .next();
    let Some(first) = first else {
        return Err(FileFault::of_file(
            "NO_SHEET",
            "the workbook has no sheet; put the prices on its first",
        ));
    };
    let merged = workbook
        .merge_cells_by_sheet_name(&first)
        .map_err(|error| unreadable(&error))?;
    if MERGED_MAX < merged.len() {
        return Err(FileFault::of_file(
            "MERGED_CELL",
            format!(
                "the sheet has {} merged regions; unmerge all its cells",
                merged.len()
            ),
        ));
    }
    let mut cells = workbook
        .worksheet_cells_reader(&first)
        .map_err(|error| unreadable(&error))?;
    let mut rows = Rows::new(merged, take);
    while let Some(cell) = cells
        .next_cell_with_formula_metadata()
        .map_err(|error| unreadable(&error))?
    {
        let value = if cell.formula.is_some() {
            RawCell::unfit(
                "FORMULA_CELL",
                "the cell holds a formula; put its value there instead",
            )
        } else {
            raw(&cell.value)
        };
        if !rows.cell(cell.pos, value)? {
            return Ok(());
        }
    }
    rows.finish();
    Ok(())
}

fn unreadable(error: &XlsxError) -> FileFault {
    match error {
        XlsxError::Password => FileFault::of_file(
            "OLD_OR_LOCKED_WORKBOOK",
            "the workbook has a password; save it without one",
        ),
        error => broken(error),
    }
}

/// Cells put together to rows.
struct Rows<'a> {
    merged: Vec<Dimensions>,
    take: &'a mut dyn FnMut(RawRow) -> bool,
    /// The row whose cells are being read, from 0.
    row: u32,
    cells: Vec<RawCell>,
    /// How many cells the header has.
    width: Option<usize>,
}

impl<'a> Rows<'a> {
    fn new(merged: Vec<Dimensions>, take: &'a mut dyn FnMut(RawRow) -> bool) -> Self {
        Self {
            merged,
            take,
            row: 0,
            cells: Vec::new(),
            width: None,
        }
    }

    /// The next cell; whether one more is wanted.
    fn cell(&mut self, (row, column): (u32, u32), value: RawCell) -> Result<bool, FileFault> {
        if row < self.row || COLUMNS_MAX <= column {
            return Err(broken(&"its cells are not in order"));
        }
        let is_wanted = row == self.row || self.end_row();
        self.row = row;
        if !value.is_empty() {
            self.put(column, value);
        }
        Ok(is_wanted)
    }

    fn put(&mut self, column: u32, value: RawCell) {
        let place = column as usize;
        if self.cells.len() <= place {
            self.cells.resize(place + 1, RawCell::Text(String::new()));
        }
        self.cells[place] = value;
    }

    /// Puts into the row what is to be told of cells that are merged with others: once, where they begin.
    fn put_merged(&mut self) {
        let row = self.row;
        let regions = self.merged.iter();
        let crossing = regions.filter(|region| (region.start.0..=region.end.0).contains(&row));
        for region in crossing.copied().collect::<Vec<Dimensions>>() {
            let last = region.end.1.min(COLUMNS_MAX - 1);
            for column in region.start.1..=last {
                let is_first = region.start == (row, column);
                self.put(
                    column,
                    if is_first {
                        merged(region)
                    } else {
                        RawCell::Told
                    },
                );
            }
        }
    }

    /// Hands over the row; whether one more is wanted.
    fn end_row(&mut self) -> bool {
        if self.cells.is_empty() {
            return true;
        }
        self.put_merged();
        let mut cells = std::mem::take(&mut self.cells);
        let width = *self.width.get_or_insert(cells.len());
        if cells.len() < width {
            cells.resize(width, RawCell::Text(String::new()));
        }
        (self.take)(RawRow {
            row: self.row.saturating_add(1),
            cells,
        })
    }

    fn finish(&mut self) {
        self.end_row();
    }
}

fn merged(region: Dimensions) -> RawCell {
    RawCell::unfit(
        "MERGED_CELL",
        format!(
            "the cell is merged with others, down to row {} and {} to the right; unmerge them and fill each",
            u64::from(region.end.0) + 1,
            region.end.1.saturating_sub(region.start.1)
        ),
    )
}

/// A plain value as a text.
fn raw(value: &DataRef<'_>) -> RawCell {
    match value {
        DataRef::Empty => RawCell::Text(String::new()),
        DataRef::Int(number) => RawCell::Text(number.to_string()),
        DataRef::Float(number) => RawCell::Text(number_text(*number)),
        DataRef::String(text) => RawCell::Text(text.clone()),
        DataRef::SharedString(text) => RawCell::Text((*text).to_owned()),
        DataRef::DateTime(date) => RawCell::Text(date_text(date)),
        DataRef::DateTimeIso(date) => {
            RawCell::Text(date.split("T00:00").next().unwrap_or(date).to_owned())
        }
        DataRef::DurationIso(time) => RawCell::Text(time.clone()),
        DataRef::Bool(truth) => RawCell::unfit(
            "TRUTH_VALUE",
            format!(
                "the cell holds the truth value {truth}; write the text or number that is meant"
            ),
        ),
        DataRef::Error(error) => RawCell::unfit(
            "ERROR_CELL",
            format!(
                "the cell holds the error {}; put its value there instead",
                quoted(&error.to_string())
            ),
        ),
    }
}

/// The digits that a spreadsheet shows of a number: 15 of them at most, so that the sum of 0.1 and 0.2, kept as
/// 0.30000000000000004, reads 0.3.
pub(crate) fn number_text(number: f64) -> String {
    let shortest = number.to_string();
    let digits = shortest.trim_start_matches(['-', '0', '.']);
    if digits.bytes().filter(u8::is_ascii_digit).count() <= 15 {
        return shortest;
    }
    let shown = format!("{number:.14e}");
    shown
        .parse()
        .map_or(shortest, |shown: f64| shown.to_string())
}

/// A date cell, and its time of day when it has one, which no price has.
fn date_text(date: &ExcelDateTime) -> String {
    let (year, month, day, hour, minute, second, _) = date.to_ymd_hms_milli();
    if date.is_duration() {
        return format!("{hour}:{minute:02}:{second:02}");
    }
    let day = format!("{year:04}-{month:02}-{day:02}");
    if (hour, minute, second) == (0, 0, 0) {
        day
    } else {
        format!("{day} {hour:02}:{minute:02}:{second:02}")
    }
}

#[cfg(test)]
mod tests {
    use super::number_text;

    #[test]
    fn a_number_reads_as_a_spreadsheet_shows_it() {
        for (number, text) in [
            (4.8, "4.8"),
            (0.1 + 0.2, "0.3"),
            ("4.7999999999999998".parse().expect("a number"), "4.8"),
            (1_234_567.891_234, "1234567.891234"),
            (46_143.0, "46143"),
            (0.000_001, "0.000001"),
            (999_999_999.999_999, "999999999.999999"),
            (0.0, "0"),
        ] {
            assert_eq!(number_text(number), text);
        }
    }
}
