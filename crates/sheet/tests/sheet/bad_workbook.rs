//! Workbooks as spreadsheets make them: what is not a plain value is told with its cell.

use hod_sheet::Format;
use rust_xlsxwriter::{ExcelDateTime, Format as CellFormat, Formula, Workbook, Worksheet};

use crate::said::{HEADER, Said, said};

/// The workbook with a header and what `fill` writes under it.
fn workbook(fill: impl FnOnce(&mut Worksheet)) -> Said {
    let mut workbook = Workbook::new();
    let sheet = workbook.add_worksheet();
    for (place, name) in (0..).zip(HEADER.split(',')) {
        sheet.write(0, place, name).expect("a header");
    }
    fill(sheet);
    said(
        &workbook.save_to_buffer().expect("a workbook"),
        Format::Workbook,
    )
}

/// A good row of plain values, the date as a date cell.
fn good(sheet: &mut Worksheet, row: u32, material: &str) {
    let date = ExcelDateTime::from_ymd(2026, 5, 1).expect("a date");
    let format = CellFormat::new().set_num_format("dd/mm/yyyy");
    for (place, text) in [(0, "coast"), (1, material), (2, "Gravel Works"), (3, "t")] {
        sheet.write(row, place, text).expect("a text");
    }
    sheet.write(row, 4, 21.5).expect("a number");
    sheet
        .write_with_format(row, 5, &date, &format)
        .expect("a date");
}

#[test]
fn numbers_texts_and_dates_are_read_as_a_person_sees_them() {
    let said = workbook(|sheet| {
        good(sheet, 1, "sand");
        sheet.write(1, 4, 0.1 + 0.2).expect("a number");
        good(sheet, 3, "clay");
        sheet.write(3, 4, "4.80").expect("a number as a text");
        sheet.write(3, 5, "2026-05-02").expect("a date as a text");
    });
    assert_eq!(said.told(), []);
    let read: Vec<(u32, String, String)> = said
        .prices
        .iter()
        .map(|price| {
            (
                price.row,
                price.unit_price.to_string(),
                price.in_force.to_string(),
            )
        })
        .collect();
    let expected = [
        (2, "0.3", "2026-05-01 onwards"),
        (4, "4.80", "2026-05-02 onwards"),
    ];
    assert_eq!(
        read,
        expected.map(|(row, price, range)| (row, price.to_owned(), range.to_owned()))
    );
}

#[test]
fn a_formula_cell_is_told_even_when_it_holds_a_value() {
    let said = workbook(|sheet| {
        good(sheet, 1, "sand");
        let formula = Formula::new("=20*1.05").set_result("21");
        sheet.write(1, 4, formula).expect("a formula");
    });
    assert_eq!(said.told(), [(2, "unit_price", "FORMULA_CELL")]);
}

#[test]
fn a_merged_cell_is_told_once_where_it_begins() {
    let said = workbook(|sheet| {
        for (row, material) in (1..).zip(["sand", "clay", "lime"]) {
            good(sheet, row, material);
        }
        let plain = CellFormat::new();
        sheet
            .merge_range(2, 2, 3, 2, "Gravel Works", &plain)
            .expect("merged");
    });
    assert_eq!(said.told(), [(3, "supplier", "MERGED_CELL")]);
    assert_eq!(said.prices.len(), 1);
}

#[test]
fn a_merged_title_over_the_header_is_told() {
    let mut workbook = Workbook::new();
    let sheet = workbook.add_worksheet();
    sheet
        .merge_range(0, 0, 0, 6, "Prices of May", &CellFormat::new())
        .expect("merged");
    for (place, name) in (0..).zip(HEADER.split(',')) {
        sheet.write(1, place, name).expect("a header");
    }
    let said = said(
        &workbook.save_to_buffer().expect("a workbook"),
        Format::Workbook,
    );
    assert_eq!(said.told(), [(1, "", "MERGED_CELL")]);
}

#[test]
fn a_truth_value_a_time_and_a_bare_serial_are_told() {
    let said = workbook(|sheet| {
        for (row, material) in (1..).zip(["sand", "clay", "lime"]) {
            good(sheet, row, material);
        }
        sheet.write(1, 4, true).expect("a truth value");
        let noon = ExcelDateTime::from_ymd(2026, 5, 1)
            .and_then(|day| day.and_hms(12, 30, 0))
            .expect("a time");
        let format = CellFormat::new().set_num_format("yyyy-mm-dd hh:mm");
        sheet
            .write_with_format(2, 5, &noon, &format)
            .expect("a time");
        sheet.write(3, 5, 46143).expect("a number");
    });
    assert_eq!(
        said.told(),
        [
            (2, "unit_price", "TRUTH_VALUE"),
            (3, "start_date", "BAD_DATE"),
            (4, "start_date", "BAD_DATE")
        ]
    );
    assert!(
        said.faults[1].message.contains("2026-05-01 12:30:00"),
        "{}",
        said.faults[1]
    );
}

#[test]
fn only_the_first_sheet_is_read_and_cells_beside_the_header_are_told() {
    let mut workbook = Workbook::new();
    let sheet = workbook.add_worksheet();
    for (place, name) in (0..).zip(HEADER.split(',')) {
        sheet.write(0, place, name).expect("a header");
    }
    good(sheet, 1, "sand");
    good(sheet, 2, "clay");
    sheet.write(2, 9, "see below").expect("a text");
    workbook
        .add_worksheet()
        .write(0, 0, "nothing of this is read")
        .expect("a text");
    let said = said(
        &workbook.save_to_buffer().expect("a workbook"),
        Format::Workbook,
    );
    assert_eq!(said.told(), [(3, "", "RAGGED_ROW")]);
    assert_eq!(said.prices.len(), 1);
}

#[test]
fn duplicates_and_overlaps_are_told_as_in_comma_separated_values() {
    let said = workbook(|sheet| {
        good(sheet, 1, "sand");
        good(sheet, 4, "sand");
    });
    assert_eq!(said.told(), [(5, "", "DUPLICATE_ROW")]);
}

#[test]
fn an_empty_sheet_and_a_header_alone_are_told() {
    let mut workbook_of_nothing = Workbook::new();
    workbook_of_nothing.add_worksheet();
    let bytes = workbook_of_nothing.save_to_buffer().expect("a workbook");
    assert_eq!(
        said(&bytes, Format::Workbook).told(),
        [(0, "", "EMPTY_FILE")]
    );
    assert_eq!(workbook(|_| ()).told(), [(0, "", "NO_ROWS")]);
}
