//! The job file: a TOML text as people write it, read into the contract's [`Job`] with every number's digits as written;
//! and beside it, in the same manner, the offer file and the variation file of quotes.
//! All faults of a file are told at once, each with its line and the wall it is on. What a length may be, or whether
//! walls meet, is for the server; its answers are brought back to the lines here.

mod key;
mod number;
mod place;
mod read;
mod source;
#[cfg(test)]
mod tests;

use std::fs::File;
use std::io::Read;

use hod_wire::v1::{IssueQuoteRequest, Job, Variation};

pub use place::{Place, Places};

use crate::exit;
use crate::fault::{Failure, Fault};

/// The largest job file that is read, in bytes. 5,000 walls of a dozen lines stay below half of it.
pub const JOB_FILE_BYTES_MAX: u64 = 4 * 1024 * 1024;

/// What stands for standard input where a file is asked for.
pub const STANDARD_INPUT: &str = "-";

/// A job file, read.
#[derive(Debug)]
pub struct JobFile {
    /// The file as it was named on the command line.
    pub file: String,
    /// The job in it.
    pub job: Job,
    /// Where each of the job's fields stands in the file.
    pub places: Places,
}

/// Reads a file, or standard input for `-`.
pub fn read(file: &str) -> Result<JobFile, Failure> {
    let text = text(file, "a job file")?;
    parse(file, &text).map_err(|faults| Failure::new(exit::REFUSED, faults))
}

/// Reads an offer file: the terms of a quote to be issued. All else of the request is empty.
pub fn read_offer(file: &str) -> Result<(IssueQuoteRequest, Places), Failure> {
    let text = text(file, "an offer file")?;
    read::whole(file, &text).map_err(|faults| Failure::new(exit::REFUSED, faults))
}

/// Reads a variation file.
pub fn read_variation(file: &str) -> Result<(Variation, Places), Failure> {
    let text = text(file, "a variation file")?;
    read::whole(file, &text).map_err(|faults| Failure::new(exit::REFUSED, faults))
}

/// Reads a text; `file` is what to call it. Every fault in it is told.
pub fn parse(file: &str, text: &str) -> Result<JobFile, Vec<Fault>> {
    let (job, places) = read::job(file, text)?;
    Ok(JobFile {
        file: file.to_owned(),
        job,
        places,
    })
}

/// The text of a file that should be what it is called.
fn text(file: &str, called: &str) -> Result<String, Failure> {
    String::from_utf8(bytes(file)?).map_err(|refusal| {
        let at = refusal.utf8_error().valid_up_to();
        unreadable(
            file,
            exit::REFUSED,
            format!("is not {called}: it is not text in UTF-8 (byte {at} is not)"),
        )
    })
}

fn bytes(file: &str) -> Result<Vec<u8>, Failure> {
    if file == STANDARD_INPUT {
        return limited(file, std::io::stdin().lock());
    }
    let open = File::open(file)
        .map_err(|refusal| unreadable(file, exit::MISSING, format!("cannot be read: {refusal}")))?;
    limited(file, open)
}

/// Reads no more than the limit: the size that a file system tells is not that of a pipe.
fn limited(file: &str, source: impl Read) -> Result<Vec<u8>, Failure> {
    let mut bytes = Vec::new();
    source
        .take(JOB_FILE_BYTES_MAX + 1)
        .read_to_end(&mut bytes)
        .map_err(|refusal| unreadable(file, exit::MISSING, format!("cannot be read: {refusal}")))?;
    if JOB_FILE_BYTES_MAX < bytes.len() as u64 {
        let limit = JOB_FILE_BYTES_MAX / (1024 * 1024);
        return Err(unreadable(
            file,
            exit::REFUSED,
            format!("is larger than {limit} MiB, the most that a job file may be"),
        ));
    }
    Ok(bytes)
}

fn unreadable(file: &str, code: u8, what: String) -> Failure {
    Failure::new(
        code,
        vec![Fault {
            place: Some(Place::of_file(file)),
            field: String::new(),
            description: what,
        }],
    )
}
