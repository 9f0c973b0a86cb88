//! Files made to harm: an archive that unpacks to far more than it is, one that lies of its sizes, one that says that it
//! holds more than memory can. Each is refused by what is counted, and what is counted is bounded by the limits.

use std::alloc::{GlobalAlloc, Layout, System};
use std::io::{Cursor, Write};
use std::sync::atomic::{AtomicUsize, Ordering};

use hod_sheet::{Format, Limits};
use rust_xlsxwriter::Workbook;
use zip::write::SimpleFileOptions;
use zip::{CompressionMethod, ZipWriter};

use crate::said::{said, said_within};

/// Counts what is held, and the most that ever was.
struct Counting;

static HELD: AtomicUsize = AtomicUsize::new(0);
static MOST: AtomicUsize = AtomicUsize::new(0);

// SAFETY: every call goes to the system's allocator as it came; only sizes are counted besides.
unsafe impl GlobalAlloc for Counting {
    unsafe fn alloc(&self, layout: Layout) -> *mut u8 {
        let held = HELD.fetch_add(layout.size(), Ordering::Relaxed) + layout.size();
        MOST.fetch_max(held, Ordering::Relaxed);
        // SAFETY: the layout is the caller's.
        unsafe { System.alloc(layout) }
    }

    unsafe fn dealloc(&self, pointer: *mut u8, layout: Layout) {
        HELD.fetch_sub(layout.size(), Ordering::Relaxed);
        // SAFETY: the pointer came from `alloc` with this layout.
        unsafe { System.dealloc(pointer, layout) }
    }
}

#[global_allocator]
static ALLOCATOR: Counting = Counting;

const MIB: usize = 1024 * 1024;

fn archive(parts: &[(&str, &[u8], usize)]) -> Vec<u8> {
    let mut writer = ZipWriter::new(Cursor::new(Vec::new()));
    let options = SimpleFileOptions::default().compression_method(CompressionMethod::Deflated);
    for (name, piece, times) in parts {
        writer.start_file(*name, options).expect("a part");
        for _ in 0..*times {
            writer.write_all(piece).expect("a piece");
        }
    }
    writer.finish().expect("an archive").into_inner()
}

/// A good workbook, for its parts.
fn good() -> Vec<u8> {
    let mut workbook = Workbook::new();
    workbook
        .add_worksheet()
        .write(0, 0, "region")
        .expect("a cell");
    workbook.save_to_buffer().expect("a workbook")
}

#[test]
fn a_bomb_is_refused_and_costs_no_memory() {
    let piece = vec![b' '; MIB];
    let bomb = archive(&[("xl/worksheets/sheet1.xml", &piece, 1024)]);
    assert!(
        bomb.len() < 2 * MIB,
        "a gibibyte packed into {} bytes",
        bomb.len()
    );
    let before = HELD.load(Ordering::Relaxed);
    MOST.store(before, Ordering::Relaxed);
    let found = said(&bomb, Format::Workbook);
    let most = MOST.load(Ordering::Relaxed) - before;
    assert_eq!(
        found.told(),
        [(0, "", "FILE_TOO_LARGE")],
        "{:?}",
        found.faults
    );
    // Other tests run meanwhile and hold some; a gibibyte they do not.
    assert!(most < 200 * MIB, "{most} bytes held");
}

#[test]
fn a_bomb_of_many_marks_is_refused_by_how_densely_it_is_packed() {
    let bomb = archive(&[("xl/worksheets/sheet1.xml", &vec![b'<'; MIB], 400)]);
    let found = said(&bomb, Format::Workbook);
    assert_eq!(
        found.told(),
        [(0, "", "PACKED_TOO_DENSELY")],
        "{:?}",
        found.faults
    );
}

#[test]
fn all_parts_together_are_held_to_the_limit() {
    let limits = Limits {
        unpacked_bytes: 3 * MIB as u64,
        ratio: 10_000,
        ..Limits::of(Format::Workbook)
    };
    let row = "<row><c><v>1</v></c></row>".repeat(40_000);
    let names = [
        "xl/worksheets/a.xml",
        "xl/worksheets/b.xml",
        "xl/worksheets/c.xml",
        "xl/worksheets/d.xml",
    ];
    let parts: Vec<(&str, &[u8], usize)> = names
        .iter()
        .map(|name| (*name, row.as_bytes(), 1))
        .collect();
    let found = said_within(&archive(&parts), Format::Workbook, &limits);
    assert_eq!(
        found.told(),
        [(0, "", "FILE_TOO_LARGE")],
        "{:?}",
        found.faults
    );
}

#[test]
fn a_part_that_lies_of_its_size_is_refused_by_what_it_unpacks_to() {
    let piece = "<row><c><v>1</v></c></row>".repeat(4096);
    let size = (piece.len() * 2000) as u32;
    let mut bomb = archive(&[("xl/worksheets/sheet1.xml", piece.as_bytes(), 2000)]);
    // Both the part's own header and the directory say that it unpacks to 100 bytes.
    let said_size = size.to_le_bytes();
    let places: Vec<usize> = bomb
        .windows(4)
        .enumerate()
        .filter(|(_, window)| *window == said_size)
        .map(|(at, _)| at)
        .collect();
    assert!(!places.is_empty(), "the size stands in the archive");
    for at in places {
        bomb[at..at + 4].copy_from_slice(&100_u32.to_le_bytes());
    }
    let found = said(&bomb, Format::Workbook);
    assert_eq!(found.prices, []);
    let told = found.told();
    assert!(
        matches!(
            told.as_slice(),
            [(0, "", "PACKED_TOO_DENSELY" | "WORKBOOK_BROKEN")]
        ),
        "{:?}",
        found.faults
    );
}

#[test]
fn a_workbook_that_says_that_it_shares_more_texts_than_memory_holds_is_refused() {
    for spelling in ["uniqueCount=\"99999999999\"", "uniqueCount = '4000001'"] {
        let text = format!("<?xml version=\"1.0\"?><sst {spelling}><si><t>a</t></si></sst>");
        let bytes = archive(&[("xl/sharedStrings.xml", text.as_bytes(), 1)]);
        let found = said(&bytes, Format::Workbook);
        assert_eq!(
            found.told(),
            [(0, "", "TOO_MANY_TEXTS")],
            "{:?}",
            found.faults
        );
    }
}

#[test]
fn a_part_in_utf_16_is_refused() {
    let text: Vec<u8> = "<sst/>".encode_utf16().flat_map(u16::to_le_bytes).collect();
    let found = said(
        &archive(&[("xl/sharedStrings.xml", &text, 1)]),
        Format::Workbook,
    );
    assert_eq!(found.told(), [(0, "", "WORKBOOK_BROKEN")]);
}

#[test]
fn an_archive_of_very_many_parts_is_refused() {
    let names: Vec<String> = (0..1001).map(|at| format!("{at}")).collect();
    let parts: Vec<(&str, &[u8], usize)> = names
        .iter()
        .map(|name| (name.as_str(), b"x".as_slice(), 1))
        .collect();
    assert_eq!(
        said(&archive(&parts), Format::Workbook).told(),
        [(0, "", "TOO_MANY_PARTS")]
    );
}

#[test]
fn what_is_no_workbook_is_told_for_what_it_is() {
    for (bytes, reason) in [
        (b"".as_slice(), "EMPTY_FILE"),
        (b"region,material", "NOT_A_WORKBOOK"),
        (
            b"\xD0\xCF\x11\xE0\xA1\xB1\x1A\xE1",
            "OLD_OR_LOCKED_WORKBOOK",
        ),
        (b"PK\x03\x04 and nothing else", "WORKBOOK_BROKEN"),
    ] {
        assert_eq!(said(bytes, Format::Workbook).told(), [(0, "", reason)]);
    }
    let some_archive = archive(&[("letter.txt", b"no workbook", 1)]);
    assert_eq!(
        said(&some_archive, Format::Workbook).told(),
        [(0, "", "WORKBOOK_BROKEN")]
    );
}

#[test]
fn a_workbook_cut_off_or_with_bytes_changed_is_told_and_never_panics() {
    let good = good();
    for cut in (0..good.len()).step_by(97) {
        assert_eq!(
            said(&good[..cut], Format::Workbook).faults.len(),
            1,
            "cut at {cut}"
        );
    }
    for at in (0..good.len()).step_by(41) {
        let mut bytes = good.clone();
        bytes[at] ^= 0x55;
        assert_eq!(said(&bytes, Format::Workbook).prices, [], "changed at {at}");
    }
}

#[test]
fn a_file_larger_than_the_limit_is_refused_unread() {
    let limits = Limits {
        file_bytes: 1000,
        ..Limits::of(Format::Workbook)
    };
    let found = said_within(&good(), Format::Workbook, &limits);
    assert_eq!(found.told(), [(0, "", "FILE_TOO_LARGE")]);
}
