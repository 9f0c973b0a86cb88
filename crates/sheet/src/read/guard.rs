//! What stands between a workbook and the memory of the machine. A workbook is an archive, and an archive may unpack to
//! a thousand times its size, or say less of itself than is true. So before anything of it is held, every part is
//! unpacked once into nothing and counted: what it says of its own sizes is not believed.

use std::io::{self, Read, Seek, SeekFrom};

use zip::ZipArchive;

use crate::fault::FileFault;
use crate::limits::Limits;

const MIB: u64 = 1024 * 1024;

/// Below this a part may be packed as densely as it likes: it costs nothing.
const RATIO_FREE_BYTES: u64 = MIB;

/// Most bytes between two marks of a part: the longest text of a cell, 32,767 characters, each written as an entity
/// (`&#x10FFFF;`, 10 bytes), is a third of this.
const TEXT_BYTES_MAX: u64 = MIB;

/// Most texts that a workbook may say it shares: memory is set aside by what it says.
const SHARED_TEXTS_MAX: u64 = 4_000_000;

/// Where the end of an archive's directory must stand: its 22 bytes and a comment of 65,535 at most, from the end.
const DIRECTORY_TAIL_BYTES: u64 = 22 + 65_535;

/// Refuses a file that is no workbook, or that holds more than the limits.
pub(crate) fn check<R: Read + Seek>(input: &mut R, limits: &Limits) -> Result<(), FileFault> {
    let length = input
        .seek(SeekFrom::End(0))
        .map_err(|error| broken(&error))?;
    if limits.file_bytes < length {
        return Err(too_large("the file", limits.file_bytes));
    }
    check_kind(input)?;
    check_directory(input, length, limits.parts)?;
    let mut archive = ZipArchive::new(input).map_err(|error| broken(&error))?;
    if limits.parts < archive.len() {
        return Err(too_many_parts(archive.len() as u64, limits.parts));
    }
    let mut room = limits.unpacked_bytes;
    for index in 0..archive.len() {
        let mut part = archive.by_index(index).map_err(|error| broken(&error))?;
        let name = String::from_utf8_lossy(part.name_raw()).to_ascii_lowercase();
        let packed = part.compressed_size().max(1);
        let mut scan = Scan::new(name, packed, room, limits);
        scan.run(&mut part)?;
        room = room.saturating_sub(scan.bytes);
    }
    Ok(())
}

/// What the first bytes say.
fn check_kind<R: Read + Seek>(input: &mut R) -> Result<(), FileFault> {
    let mut begins = Vec::new();
    input
        .seek(SeekFrom::Start(0))
        .and_then(|_| input.by_ref().take(4).read_to_end(&mut begins))
        .map_err(|error| broken(&error))?;
    match begins.as_slice() {
        [] => Err(FileFault::of_file(
            "EMPTY_FILE",
            "the file is empty; give a workbook with a header row and a row for each price",
        )),
        b"PK\x03\x04" => Ok(()),
        b"\xD0\xCF\x11\xE0" => Err(FileFault::of_file(
            "OLD_OR_LOCKED_WORKBOOK",
            "the workbook has a password or the format of before 2007; save it without one as .xlsx",
        )),
        _ => Err(FileFault::of_file(
            "NOT_A_WORKBOOK",
            "the file is not a workbook (.xlsx); import it as comma-separated values, or save it as one",
        )),
    }
}

/// How many parts the archive says it has. Opening it sets memory aside for each.
fn check_directory<R: Read + Seek>(
    input: &mut R,
    length: u64,
    most: usize,
) -> Result<(), FileFault> {
    let tail = length.saturating_sub(DIRECTORY_TAIL_BYTES);
    let mut bytes = Vec::new();
    input
        .seek(SeekFrom::Start(tail))
        .and_then(|_| {
            input
                .by_ref()
                .take(DIRECTORY_TAIL_BYTES)
                .read_to_end(&mut bytes)
        })
        .and_then(|_| input.seek(SeekFrom::Start(0)))
        .map_err(|error| broken(&error))?;
    // Every end of a directory that a reader might take for the one.
    for end in bytes
        .windows(12)
        .filter(|window| window.starts_with(b"PK\x05\x06"))
    {
        let parts = u64::from(u16::from_le_bytes([end[10], end[11]]));
        if most as u64 <= parts {
            return Err(too_many_parts(parts, most));
        }
    }
    Ok(())
}

/// A part of the workbook as it is unpacked into nothing.
struct Scan<'a> {
    name: String,
    limits: &'a Limits,
    packed: u64,
    /// What all parts may still unpack to.
    room: u64,
    bytes: u64,
    /// Bytes since the last mark.
    text: u64,
    /// The end of what was read before, in which something may have begun.
    carried: Vec<u8>,
}

impl<'a> Scan<'a> {
    fn new(name: String, packed: u64, room: u64, limits: &'a Limits) -> Self {
        Self {
            name,
            limits,
            packed,
            room,
            bytes: 0,
            text: 0,
            carried: Vec::new(),
        }
    }

    fn run(&mut self, part: &mut impl Read) -> Result<(), FileFault> {
        let mut piece = vec![0; 64 * 1024];
        loop {
            let count = match part.read(&mut piece) {
                Ok(0) => return Ok(()),
                Ok(count) => count,
                Err(error) if error.kind() == io::ErrorKind::Interrupted => continue,
                Err(error) => return Err(broken(&error)),
            };
            if self.bytes == 0 && is_utf_16(&piece[..count]) && self.name.ends_with(".xml") {
                return Err(broken(&"a part of it is not in UTF-8"));
            }
            self.bytes += count as u64;
            self.check_size()?;
            self.check_text(&piece[..count])?;
            self.check_shared_texts(&piece[..count])?;
        }
    }

    fn check_size(&self) -> Result<(), FileFault> {
        let is_sheet = self.name.contains("worksheets/") && !self.shares_texts();
        if self.room < self.bytes {
            return Err(too_large(
                "the workbook, unpacked,",
                self.limits.unpacked_bytes,
            ));
        }
        if !is_sheet && self.limits.part_bytes < self.bytes {
            return Err(too_large(
                "a part of the workbook, unpacked,",
                self.limits.part_bytes,
            ));
        }
        let most = self
            .packed
            .saturating_mul(self.limits.ratio)
            .max(RATIO_FREE_BYTES);
        if most < self.bytes {
            return Err(FileFault::of_file(
                "PACKED_TOO_DENSELY",
                format!(
                    "a part of the workbook unpacks to more than {} times its size, which no sheet of prices does; \
                     save it anew, or as comma-separated values",
                    self.limits.ratio
                ),
            ));
        }
        Ok(())
    }

    fn check_text(&mut self, piece: &[u8]) -> Result<(), FileFault> {
        for run in piece.split_inclusive(|byte| *byte == b'<') {
            self.text += run.len() as u64;
            if TEXT_BYTES_MAX < self.text {
                return Err(too_large("a text of the workbook", TEXT_BYTES_MAX));
            }
            if run.ends_with(b"<") {
                self.text = 0;
            }
        }
        Ok(())
    }

    fn shares_texts(&self) -> bool {
        self.name.ends_with("sharedstrings.xml")
    }

    fn check_shared_texts(&mut self, piece: &[u8]) -> Result<(), FileFault> {
        if !self.shares_texts() {
            return Ok(());
        }
        let mut bytes = std::mem::take(&mut self.carried);
        bytes.extend_from_slice(piece);
        if shared_texts(&bytes).is_some_and(|count| SHARED_TEXTS_MAX < count) {
            return Err(FileFault::of_file(
                "TOO_MANY_TEXTS",
                format!(
                    "the workbook says that it shares more than {SHARED_TEXTS_MAX} texts; send it in parts"
                ),
            ));
        }
        self.carried = bytes.split_off(bytes.len().saturating_sub(128));
        Ok(())
    }
}

/// The most texts that these bytes say are shared: `uniqueCount="1187"`.
fn shared_texts(bytes: &[u8]) -> Option<u64> {
    const NAME: &[u8] = b"uniqueCount";
    let places = bytes.windows(NAME.len()).enumerate();
    let named = places.filter(|(_, window)| *window == NAME);
    named
        .map(|(at, _)| {
            let is_between =
                |byte: &&u8| matches!(byte, b'=' | b'"' | b'\'') || byte.is_ascii_whitespace();
            let digits = bytes[at + NAME.len()..].iter().skip_while(is_between);
            digits
                .take_while(|byte| byte.is_ascii_digit())
                .fold(0_u64, |count, digit| {
                    count
                        .saturating_mul(10)
                        .saturating_add(u64::from(digit - b'0'))
                })
        })
        .max()
}

fn is_utf_16(begins: &[u8]) -> bool {
    begins.starts_with(b"\xFF\xFE")
        || begins.starts_with(b"\xFE\xFF")
        || begins.iter().take(4).any(|byte| *byte == 0)
}

/// A workbook that cannot be read.
pub(crate) fn broken(why: &impl std::fmt::Display) -> FileFault {
    FileFault::of_file(
        "WORKBOOK_BROKEN",
        format!(
            "the workbook cannot be read ({why}); open it, save it anew as .xlsx and send that"
        ),
    )
}

fn too_large(what: &str, most: u64) -> FileFault {
    FileFault::of_file(
        "FILE_TOO_LARGE",
        format!(
            "{what} has more than {most} bytes ({} MiB); send it in parts, or as comma-separated values",
            most / MIB
        ),
    )
}

fn too_many_parts(parts: u64, most: usize) -> FileFault {
    FileFault::of_file(
        "TOO_MANY_PARTS",
        format!(
            "the workbook has {parts} parts or more; at most {most} are read, so copy the sheet into a new one"
        ),
    )
}
