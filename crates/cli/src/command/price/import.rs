//! `hod price import`: sends a file piece by piece and prints what the server says of it. What stands in the file only
//! the server reads.

use std::fs::File;
use std::io::{self, Read};

use clap::Args;
use futures::stream;
use hod_wire::v1::import_prices_request::Part;
use hod_wire::v1::{ImportPricesRequest, ImportStart, PriceFileFormat};
use tokio::sync::oneshot;

use super::changes::{Asked, tell};
use crate::command::Context;
use crate::command::write::{Writing, date, words};
use crate::exit;
use crate::fault::Failure;
use crate::job_file::STANDARD_INPUT;
use crate::render::changes::Rows;

/// What the help says behind the flags.
pub(super) const AFTER_HELP: &str = "A file is CSV (RFC 4180, UTF-8, a header row, a decimal point) or a workbook, whose first sheet is read. \
`hod price export` writes one with every column. A file with a fault in it changes nothing; every fault is told with its row and column.";

/// How much of the file travels at once; a piece may be 1 MiB at the most.
const PIECE_BYTES: usize = 256 * 1024;

/// A file of prices.
#[derive(Debug, Args)]
pub struct ImportPrices {
    /// The file, or `-` for standard input.
    file: String,
    /// How it is written; as its name ends when left out.
    #[arg(long, value_name = "WORD", value_parser = words::<PriceFileFormat>())]
    file_format: Option<i32>,
    /// End the prices of the file's regions that are in force on this day and that the file does not name, the day before.
    #[arg(long, value_name = "DATE", value_parser = date)]
    close_missing: Option<String>,
    /// Price the open estimates again on this day, to show what the file does to them.
    #[arg(long, value_name = "DATE", value_parser = date)]
    effect_on: Option<String>,
    /// What CSV has a row to each of: changes (as a rule), faults or movements.
    #[arg(long, value_name = "WORD", hide_possible_values = true)]
    rows: Option<Rows>,
    /// How it is written.
    #[command(flatten)]
    writing: Writing,
}

impl ImportPrices {
    pub(super) async fn run(self, context: Context<'_>) -> Result<(), Failure> {
        let format = self.format()?;
        let file = open(&self.file)?;
        let mut stub = context.connect_for_long_work().await?.prices();
        let start = ImportStart {
            format,
            close_missing_date: self.close_missing.unwrap_or_default(),
            effect_date: self.effect_on.unwrap_or_default(),
            request_id: self.writing.request_id(),
            validate_only: self.writing.dry_run,
        };
        let asked = Asked {
            what: self.file.clone(),
            rows: self.rows.unwrap_or_default(),
        };
        let (broken, breaks) = oneshot::channel();
        let pieces = pieces(start, file, broken);
        let work = async {
            let events = stub.import_prices(pieces).await?.into_inner();
            tell(events, asked, context).await
        };
        // A file that cannot be read to its end must not look to the server like a shorter one: the call is dropped.
        tokio::select! {
            done = work => done,
            Ok(refusal) = breaks => Err(unreadable(&self.file, &refusal)),
        }
    }

    /// As the flag says, else as the name of the file ends.
    fn format(&self) -> Result<i32, Failure> {
        let ending = self.file.rsplit_once('.').map_or("", |(_, ending)| ending);
        match (self.file_format, ending.to_lowercase().as_str()) {
            (Some(format), _) => Ok(format),
            (None, "csv") => Ok(PriceFileFormat::Csv.into()),
            (None, "xlsx") => Ok(PriceFileFormat::Xlsx.into()),
            (None, _) => Err(Failure::plain(
                exit::USAGE,
                format!("{} does not say by its name how it is written", self.file),
            )
            .hinting("say it with --file-format csv or --file-format xlsx")),
        }
    }
}

fn open(file: &str) -> Result<Box<dyn Read + Send>, Failure> {
    if file == STANDARD_INPUT {
        return Ok(Box::new(io::stdin()));
    }
    match File::open(file) {
        Ok(open) => Ok(Box::new(open)),
        Err(refusal) => Err(unreadable(file, &refusal)),
    }
}

fn unreadable(file: &str, refusal: &io::Error) -> Failure {
    Failure::plain(exit::MISSING, format!("{file} cannot be read: {refusal}"))
}

/// Where the sending of a file stands.
enum Sending {
    Start(
        ImportStart,
        Box<dyn Read + Send>,
        oneshot::Sender<io::Error>,
    ),
    File(Box<dyn Read + Send>, oneshot::Sender<io::Error>),
}

/// How first, then the file, read as the connection has room for it. A file that breaks is told through `broken`, and
/// the stream then never ends.
fn pieces(
    start: ImportStart,
    file: Box<dyn Read + Send>,
    broken: oneshot::Sender<io::Error>,
) -> impl futures::Stream<Item = ImportPricesRequest> + Send + 'static {
    stream::unfold(Sending::Start(start, file, broken), next)
}

/// The next message, and where the sending stands then.
async fn next(sending: Sending) -> Option<(ImportPricesRequest, Sending)> {
    let message = |part| ImportPricesRequest { part: Some(part) };
    match sending {
        Sending::Start(start, file, broken) => {
            Some((message(Part::Start(start)), Sending::File(file, broken)))
        }
        Sending::File(mut file, broken) => match piece(&mut file) {
            Ok(piece) if piece.is_empty() => None,
            Ok(piece) => Some((message(Part::Chunk(piece)), Sending::File(file, broken))),
            Err(refusal) => {
                // When nobody listens the call has ended already.
                let _nobody_listens = broken.send(refusal);
                futures::future::pending().await
            }
        },
    }
}

fn piece(file: &mut Box<dyn Read + Send>) -> io::Result<Vec<u8>> {
    let mut piece = Vec::new();
    let most = u64::try_from(PIECE_BYTES).unwrap_or(u64::MAX);
    file.by_ref().take(most).read_to_end(&mut piece)?;
    Ok(piece)
}
