//! Comma-separated values as they come from elsewhere: each kind of bad file is told with row, column and reason.

use hod_sheet::{Format, Limits};
use hod_units::parse_date;
use rust_decimal::dec;

use crate::said::{GOOD, HEADER, csv, of, said, said_within, told};

#[test]
fn a_good_row_is_a_price() {
    let said = said(&csv(&[GOOD]), Format::Csv);
    assert_eq!(said.told(), []);
    let [price] = said.prices.as_slice() else {
        panic!("one price")
    };
    assert_eq!(
        (price.row, price.region.as_str(), price.material.as_str()),
        (2, "coast", "sand")
    );
    assert_eq!(
        (price.supplier.as_str(), price.unit.word(), price.unit_price),
        ("Gravel Works", "t", dec!(21.50))
    );
    assert_eq!(
        price.in_force.from(),
        parse_date("2026-05-01").expect("a date")
    );
    assert_eq!((price.in_force.to(), &price.id), (None, &None));
}

#[test]
fn columns_stand_in_any_order_and_the_last_day_is_the_last() {
    let text = "unit,end_date,start_date,unit_price,material,region\nt,2026-05-31,2026-05-01,4.8,sand,coast\n";
    let said = said(text.as_bytes(), Format::Csv);
    assert_eq!(said.told(), []);
    assert_eq!(
        said.prices[0].in_force.to_string(),
        "2026-05-01 to 2026-05-31"
    );
}

#[test]
fn a_byte_order_mark_of_utf_8_is_no_fault() {
    let bytes = [b"\xEF\xBB\xBF".as_slice(), &csv(&[GOOD])].concat();
    assert_eq!(said(&bytes, Format::Csv).prices.len(), 1);
}

#[test]
fn utf_16_is_told_with_and_without_its_mark() {
    let text = String::from_utf8(csv(&[GOOD])).expect("plain");
    let wide: Vec<u8> = text.encode_utf16().flat_map(u16::to_le_bytes).collect();
    let marked = [b"\xFF\xFE".as_slice(), &wide].concat();
    assert_eq!(said(&marked, Format::Csv).told(), [(0, "", "UTF_16")]);
    assert_eq!(said(&wide, Format::Csv).told()[0], (1, "", "NUL_BYTE"));
}

#[test]
fn another_delimiter_is_recognised_by_the_header() {
    for (delimiter, word) in [(";", "semicolons"), ("\t", "tabs"), ("|", "bars")] {
        let text = format!("{HEADER}\n{GOOD}\n").replace(',', delimiter);
        let said = said(text.as_bytes(), Format::Csv);
        assert_eq!(said.told(), [(1, "", "WRONG_DELIMITER")]);
        assert!(said.faults[0].message.contains(word), "{}", said.faults[0]);
    }
}

#[test]
fn a_byte_of_latin_1_is_told_with_its_place_and_what_it_would_be() {
    let mut bytes = csv(&[GOOD, "coast,clay,M"]);
    let at = bytes.len();
    bytes.extend_from_slice(b"\xFChle,t,9,2026-05-01,");
    let said = said(&bytes, Format::Csv);
    assert_eq!(said.told(), [(3, "supplier", "NOT_UTF8")]);
    assert_eq!(
        said.faults[0].message,
        format!(
            "the byte 0xFC near byte {at} of the file is not UTF-8 (in Latin-1 it is 'ü'); \
             save the file as comma-separated values in UTF-8"
        )
    );
}

#[test]
fn a_decimal_comma_is_told_in_quotes_and_out_of_them() {
    let rows = [
        "coast,sand,,t,\"21,50\",2026-05-01,",
        "coast,clay,,t,21,50,2026-05-01,",
        "coast,lime,,kg,\"1,234.50\",2026-05-01,",
    ];
    assert_eq!(
        told(&rows),
        [
            of(2, "unit_price", "DECIMAL_COMMA"),
            of(3, "", "RAGGED_ROW"),
            of(4, "unit_price", "THOUSANDS_SEPARATOR")
        ]
    );
    let said = said(&csv(&rows), Format::Csv);
    assert!(
        said.faults[1]
            .message
            .contains("8 cells where the header has 7; a decimal comma"),
        "{}",
        said.faults[1]
    );
}

#[test]
fn every_fault_of_a_row_is_told_at_once() {
    let row = "Coast,,Gravel Works,tons,on request,1/5/2026,2026-02-30";
    assert_eq!(
        told(&[row]),
        [
            of(2, "region", "NOT_AN_ID"),
            of(2, "material", "MISSING"),
            of(2, "unit", "UNKNOWN_UNIT"),
            of(2, "unit_price", "NOT_A_NUMBER"),
            of(2, "start_date", "BAD_DATE"),
            of(2, "end_date", "BAD_DATE"),
        ]
    );
}

#[test]
fn too_many_places_are_not_rounded_away() {
    assert_eq!(
        told(&["coast,sand,,t,4.1234567,2026-05-01,"]),
        [of(2, "unit_price", "TOO_MANY_PLACES")]
    );
}

#[test]
fn an_end_before_the_start_and_a_date_as_a_plain_number_are_told() {
    let rows = [
        "coast,sand,,t,4.80,2026-05-01,2026-04-30",
        "coast,clay,,t,4.80,46143,",
    ];
    assert_eq!(
        told(&rows),
        [
            of(2, "end_date", "END_BEFORE_START"),
            of(3, "start_date", "BAD_DATE")
        ]
    );
    let said = said(&csv(&rows), Format::Csv);
    assert_eq!(
        said.faults[1].message,
        "46143 is a number and no date; give the cell the format of a date, or write 2026-05-01"
    );
}

#[test]
fn the_same_price_twice_is_told_with_the_first_row() {
    let rows = [
        GOOD,
        "coast,clay,,t,9,2026-05-01,",
        "coast,sand,Gravel Works,t,22,2026-05-01,2026-06-30",
        GOOD,
    ];
    let said = said(&csv(&rows), Format::Csv);
    assert_eq!(
        said.told(),
        [(4, "", "DUPLICATE_ROW"), (5, "", "DUPLICATE_ROW")]
    );
    for fault in &said.faults {
        assert!(
            fault
                .message
                .starts_with("row 2 has the same region, material, supplier and start_date"),
            "{fault}"
        );
    }
}

#[test]
fn dates_that_overlap_are_told_unless_the_earlier_is_open() {
    let of_supplier =
        |supplier: &str, start: &str, end: &str| format!("coast,sand,{supplier},t,9,{start},{end}");
    let rows = [
        of_supplier("A", "2026-01-01", "2026-06-30"),
        of_supplier("A", "2026-06-30", ""),
        of_supplier("B", "2026-07-01", ""),
        of_supplier("B", "2026-01-01", "2026-06-30"),
        of_supplier("C", "2026-01-01", ""),
        of_supplier("C", "2026-06-30", ""),
        of_supplier("D", "2026-01-01", "2026-12-31"),
        of_supplier("D", "2026-02-01", "2026-02-28"),
        of_supplier("D", "2026-03-01", ""),
    ];
    let rows: Vec<&str> = rows.iter().map(String::as_str).collect();
    let said = said(&csv(&rows), Format::Csv);
    assert_eq!(
        said.told(),
        [
            (3, "start_date", "OVERLAPPING_DATES"),
            (9, "start_date", "OVERLAPPING_DATES"),
            (10, "start_date", "OVERLAPPING_DATES"),
        ]
    );
    assert!(
        said.faults[0].message.contains(
            "row 2 is of the same region, material and supplier and holds 2026-01-01 to 2026-06-30"
        ),
        "{}",
        said.faults[0]
    );
}

#[test]
fn nothing_and_a_header_alone_are_told() {
    for empty in ["", "\n\n", "\r\n,,\r\n"] {
        assert_eq!(
            said(empty.as_bytes(), Format::Csv).told(),
            [(0, "", "EMPTY_FILE")],
            "{empty:?}"
        );
    }
    assert_eq!(told(&[]), [of(0, "", "NO_ROWS")]);
    assert_eq!(told(&["", ",,,,,,"]), [of(0, "", "NO_ROWS")]);
}

#[test]
fn unknown_missing_and_repeated_columns_are_told() {
    let text = "region,material,unit,unit_price,unit_price,colour\ncoast,sand,t,1,1,grey\n";
    let said = said(text.as_bytes(), Format::Csv);
    assert_eq!(
        said.told(),
        [
            (1, "colour", "UNKNOWN_COLUMN"),
            (1, "unit_price", "REPEATED_COLUMN"),
            (1, "start_date", "MISSING_COLUMN")
        ]
    );
}

#[test]
fn rows_under_an_unknown_column_are_read_all_the_same() {
    let text = format!("{HEADER},colour\ncoast,sand,,t,4;80,2026-05-01,,grey\n");
    let said = said(text.as_bytes(), Format::Csv);
    assert_eq!(
        said.told(),
        [
            (1, "colour", "UNKNOWN_COLUMN"),
            (2, "unit_price", "NOT_A_NUMBER")
        ]
    );
}

#[test]
fn rows_that_are_short_or_reach_under_an_empty_header_are_told() {
    assert_eq!(told(&["coast,sand,t"]), [of(2, "", "RAGGED_ROW")]);
    let text = format!("{HEADER},\n{GOOD},\n{GOOD},here\n");
    let said = said(text.as_bytes(), Format::Csv);
    assert_eq!(said.told(), [(3, "", "CELL_WITHOUT_COLUMN")]);
}

#[test]
fn a_zero_byte_and_a_control_character_are_told() {
    let rows = [
        "coast,sand,Gra\0vel,t,9,2026-05-01,",
        "coast,clay,\"Gra\nvel\",t,9,2026-05-01,",
    ];
    assert_eq!(
        told(&rows),
        [
            of(2, "supplier", "NUL_BYTE"),
            of(3, "supplier", "CONTROL_CHARACTER")
        ]
    );
}

#[test]
fn a_formula_is_told_and_a_text_that_begins_as_one_is_kept() {
    let rows = [
        "coast,sand,=A1,t,9,2026-05-01,",
        "coast,clay,'=A1,t,9,2026-05-01,",
        "coast,lime,+49 30 1,kg,=1+1,2026-05-01,",
        "coast,straw,\u{2019}s Hertog,bale,9,2026-05-01,",
    ];
    let said = said(&csv(&rows), Format::Csv);
    assert_eq!(
        said.told(),
        [
            (2, "supplier", "FORMULA_CELL"),
            (4, "unit_price", "FORMULA_CELL")
        ]
    );
    let suppliers: Vec<&str> = said
        .prices
        .iter()
        .map(|price| price.supplier.as_str())
        .collect();
    assert_eq!(suppliers, ["=A1", "\u{2019}s Hertog"]);
}

fn terms_told(columns: &str, cells: &str) -> Vec<(u32, String, String)> {
    let text = format!(
        "region,material,unit,unit_price,start_date,{columns}\ncoast,sand,t,9,2026-05-01,{cells}\n"
    );
    let said = said(text.as_bytes(), Format::Csv);
    let told = said.told().into_iter();
    told.map(|(row, column, reason)| (row, column.to_owned(), reason.to_owned()))
        .collect()
}

#[test]
fn breaks_are_told_when_they_are_malformed() {
    let columns = "break_rule,breaks";
    for (cells, expected) in [
        ("all-units,10:4.80 20:4.50", vec![]),
        (",", vec![]),
        (
            "all-units,10=4.80",
            vec![of(2, "breaks", "BREAKS_MALFORMED")],
        ),
        (
            "all-units,\"10:4,80\"",
            vec![of(2, "breaks", "DECIMAL_COMMA")],
        ),
        ("all-units,0:4.80", vec![of(2, "breaks", "OUT_OF_RANGE")]),
        (
            "all-units,20:4.80 10:4.50",
            vec![of(2, "breaks", "BREAKS_NOT_RISING")],
        ),
        (",10:4.80", vec![of(2, "break_rule", "BREAK_RULE_MISSING")]),
        ("incremental,", vec![of(2, "breaks", "BREAKS_MISSING")]),
        (
            "sometimes,10:4.80",
            vec![of(2, "break_rule", "UNKNOWN_BREAK_RULE")],
        ),
    ] {
        assert_eq!(terms_told(columns, cells), expected, "{cells}");
    }
    let many: Vec<String> = (1..=21).map(|from| format!("{from}:1")).collect();
    let told = terms_told(columns, &format!("all-units,{}", many.join(" ")));
    assert_eq!(told, [of(2, "breaks", "TOO_MANY_BREAKS")]);
}

#[test]
fn terms_are_told_when_they_are_out_of_range_or_say_too_little() {
    for (columns, cells, expected) in [
        (
            "pack_size,minimum_order",
            "0,-1",
            vec![
                of(2, "pack_size", "OUT_OF_RANGE"),
                of(2, "minimum_order", "OUT_OF_RANGE"),
            ],
        ),
        (
            "lead_days",
            "1.5",
            vec![of(2, "lead_days", "TOO_MANY_PLACES")],
        ),
        (
            "lead_days",
            "1001",
            vec![of(2, "lead_days", "OUT_OF_RANGE")],
        ),
        ("load_m3", "0", vec![of(2, "load_m3", "OUT_OF_RANGE")]),
        (
            "charge_per_load",
            "60",
            vec![of(2, "load_m3", "DELIVERY_WITHOUT_LIMIT")],
        ),
        ("load_t,charge_per_load", "12,60", vec![]),
    ] {
        assert_eq!(terms_told(columns, cells), expected, "{columns} {cells}");
    }
}

#[test]
fn more_rows_or_bytes_than_the_limit_are_told_and_the_rest_is_not_read() {
    let limits = Limits {
        rows: 2,
        ..Limits::of(Format::Csv)
    };
    let many = csv(&[
        GOOD,
        "coast,clay,,t,9,2026-05-01,",
        "coast,lime,,kg,bad,2026-05-01,",
        "bad",
    ]);
    let found = said_within(&many, Format::Csv, &limits);
    assert_eq!(found.told(), [(4, "", "TOO_MANY_ROWS")]);
    assert_eq!((found.counted.rows, found.counted.faults), (2, 1));
    let limits = Limits {
        file_bytes: 100,
        ..limits
    };
    let large = said_within(&many, Format::Csv, &limits);
    assert_eq!(
        large.faults.last().map(|fault| (fault.row, fault.reason)),
        Some((0, "FILE_TOO_LARGE"))
    );
}

#[test]
fn a_workbook_is_not_taken_for_comma_separated_values() {
    assert_eq!(
        said(b"PK\x03\x04....", Format::Csv).told(),
        [(0, "", "NOT_COMMA_SEPARATED")]
    );
}
