//! How much of a file is read. A file beyond a limit is refused before it can cost more than the limit.

use crate::Format;

const MIB: u64 = 1024 * 1024;

/// The most that a file may hold.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Limits {
    /// Bytes of the file as it is sent.
    pub file_bytes: u64,
    /// Rows, the header not counted.
    pub rows: u32,
    /// Bytes of a row of comma-separated values, and of a piece of text in a workbook.
    pub row_bytes: usize,
    /// Bytes of all parts of a workbook, unpacked.
    pub unpacked_bytes: u64,
    /// Bytes of a part of a workbook that is not a sheet, unpacked: these are held in memory whole.
    pub part_bytes: u64,
    /// How many times larger a part of a workbook may be unpacked than packed, once it is larger than a mebibyte.
    pub ratio: u64,
    /// Parts of a workbook.
    pub parts: usize,
}

impl Limits {
    /// What is read of a file in this format: a million rows in 128 MiB of comma-separated values (134 bytes a row), or
    /// in a workbook of 64 MiB that unpacks to 512 MiB. A sheet of prices is packed some twenty to sixty times, the
    /// densest that the packing allows is a thousand times.
    pub const fn of(format: Format) -> Self {
        Self {
            file_bytes: match format {
                Format::Csv => 128 * MIB,
                Format::Workbook => 64 * MIB,
            },
            rows: 1_000_000,
            row_bytes: 64 * 1024,
            unpacked_bytes: 512 * MIB,
            part_bytes: 64 * MIB,
            ratio: 200,
            parts: 1000,
        }
    }
}
