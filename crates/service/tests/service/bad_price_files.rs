//! The bad files of prices that people really send: each is told, and nothing of it is kept.

use std::io::{Cursor, Write};

use hod_wire::v1::PriceFileFormat;
use rust_xlsxwriter::{Format, Formula, Workbook, Worksheet};
use tonic::Status;
use zip::write::SimpleFileOptions;

use crate::price_files::{
    HEADER, MIB, SAND, Told, all_prices, csv, csv_start, import, list_version, send, start,
};
use crate::support::Ground;

/// What it is, its bytes, and the row, column and reason of each fault.
type BadFile = (
    &'static str,
    Vec<u8>,
    Vec<(i32, &'static str, &'static str)>,
);

/// What a bad file is told, and that nothing of it was kept.
#[track_caller]
fn assert_told(told: Result<Told, Status>, expected: &[(i32, &str, &str)], name: &str) {
    let told = told.unwrap_or_else(|status| panic!("{name}: {status:?}"));
    let faults: Vec<(i32, &str, &str)> = told
        .faults
        .iter()
        .map(|(row, column, reason)| (*row, column.as_str(), reason.as_str()))
        .collect();
    assert_eq!(faults, expected, "{name}");
    assert_eq!(told.changes, [], "{name}");
    assert!(!told.summary.kept, "{name}");
    assert_eq!(told.summary.fault_count as usize, expected.len(), "{name}");
}

fn workbook(fill: impl FnOnce(&mut Worksheet)) -> Vec<u8> {
    let mut workbook = Workbook::new();
    let sheet = workbook.add_worksheet();
    for (row, text) in (0..).zip([HEADER, SAND, "north,straw-bale,,bale,4.3,2026-06-01,"]) {
        for (column, cell) in (0..).zip(text.split(',')) {
            sheet.write(row, column, cell).expect("a cell");
        }
    }
    fill(sheet);
    workbook.save_to_buffer().expect("a workbook")
}

fn bomb() -> Vec<u8> {
    let mut writer = zip::ZipWriter::new(Cursor::new(Vec::new()));
    writer
        .start_file("xl/worksheets/sheet1.xml", SimpleFileOptions::default())
        .expect("a part");
    for _ in 0..1024 {
        writer.write_all(&vec![b' '; MIB]).expect("a mebibyte");
    }
    writer.finish().expect("an archive").into_inner()
}

#[tokio::test]
async fn every_bad_file_is_told_and_nothing_of_it_is_kept() {
    let ground = Ground::priced().await;
    let before = (
        list_version(&ground, "north").await,
        all_prices(&ground, "north").await,
    );
    let latin_1 = [
        csv(&[SAND, "north,straw-bale,M"]),
        b"\xFChle,bale,4,2026-06-01,".to_vec(),
    ]
    .concat();
    let texts: Vec<BadFile> = vec![
        (
            "semicolons",
            csv(&[SAND])
                .iter()
                .map(|b| if *b == b',' { b';' } else { *b })
                .collect(),
            vec![(1, "", "WRONG_DELIMITER")],
        ),
        (
            "UTF-16",
            [b"\xFF\xFE".to_vec(), csv(&[SAND])].concat(),
            vec![(0, "", "UTF_16")],
        ),
        ("Latin-1", latin_1, vec![(3, "supplier", "NOT_UTF8")]),
        (
            "decimal comma",
            csv(&["north,sharp-sand,,t,\"33,50\",2026-06-01,"]),
            vec![(2, "unit_price", "DECIMAL_COMMA")],
        ),
        (
            "thousands",
            csv(&["north,sharp-sand,,t,\"1,033.50\",2026-06-01,"]),
            vec![(2, "unit_price", "THOUSANDS_SEPARATOR")],
        ),
        (
            "twice",
            csv(&[SAND, "north,straw-bale,,bale,4,2026-06-01,", SAND]),
            vec![(4, "", "DUPLICATE_ROW")],
        ),
        (
            "overlap",
            csv(&[
                "north,sharp-sand,,t,33,2026-06-01,2026-07-31",
                "north,sharp-sand,,t,34,2026-07-01,",
            ]),
            vec![(3, "start_date", "OVERLAPPING_DATES")],
        ),
        ("empty", Vec::new(), vec![(0, "", "EMPTY_FILE")]),
        ("header alone", csv(&[]), vec![(0, "", "NO_ROWS")]),
        (
            "things that are not there",
            csv(&[
                SAND,
                "west,sharp-sand,,t,33,2026-06-01,",
                "north,gold-leaf,,kg,33,2026-06-01,",
            ]),
            vec![
                (3, "region", "REGION_NOT_FOUND"),
                (4, "material", "MATERIAL_NOT_FOUND"),
            ],
        ),
        (
            "another unit, and what is dug on site",
            csv(&[
                "north,sharp-sand,,kg,33,2026-06-01,",
                "north,site-subsoil,,m3,33,2026-06-01,",
            ]),
            vec![
                (2, "unit", "NOT_THE_MATERIALS_UNIT"),
                (3, "material", "MATERIAL_FROM_SITE"),
            ],
        ),
    ];
    for (name, file, expected) in texts {
        assert_told(import(&ground, csv_start(), &file).await, &expected, name);
    }
    let merged = workbook(|sheet| {
        sheet
            .merge_range(1, 2, 2, 2, "Works", &Format::new())
            .expect("merged");
    });
    let formula = workbook(|sheet| {
        sheet
            .write(1, 4, Formula::new("=30*1.1").set_result("33"))
            .expect("a formula");
    });
    let books: Vec<BadFile> = vec![
        ("merged", merged, vec![(2, "supplier", "MERGED_CELL")]),
        ("formula", formula, vec![(2, "unit_price", "FORMULA_CELL")]),
        ("bomb", bomb(), vec![(0, "", "FILE_TOO_LARGE")]),
        ("no workbook", csv(&[SAND]), vec![(0, "", "NOT_A_WORKBOOK")]),
    ];
    for (name, file, expected) in books {
        assert_told(
            import(&ground, start(PriceFileFormat::Xlsx), &file).await,
            &expected,
            name,
        );
    }
    let after = (
        list_version(&ground, "north").await,
        all_prices(&ground, "north").await,
    );
    assert_eq!(before, after);
}

#[tokio::test]
async fn a_file_of_200_megabytes_is_refused_and_nothing_is_kept() {
    let ground = Ground::priced().await;
    let before = list_version(&ground, "north").await;
    let row = format!("\r\n{SAND}");
    let piece = row.repeat(MIB / row.len()).into_bytes();
    let pieces = std::iter::once(csv(&[]))
        .chain(std::iter::repeat_n(piece, 200))
        .collect();
    assert_told(
        send(&ground, csv_start(), pieces).await,
        &[(0, "", "FILE_TOO_LARGE")],
        "200 MB",
    );
    assert_eq!(list_version(&ground, "north").await, before);
}
