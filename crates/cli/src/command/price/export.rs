//! `hod price export`: writes prices as a file. The file is put in its place only when all of it has come.

use std::fs::{self, File};
use std::io::{self, Write};
use std::path::{Path, PathBuf};

use clap::Args;
use hod_wire::v1::{ExportPricesRequest, ExportPricesResponse, PriceFileFormat};
use tonic::Streaming;

use crate::command::Context;
use crate::command::write::{date, words};
use crate::exit;
use crate::fault::Failure;
use crate::name::collection::REGIONS;
use crate::name::full_if_given;
use crate::output::Format;
use crate::render::record::Record;

/// Which prices, and where to.
#[derive(Debug, Args)]
pub struct ExportPrices {
    /// The region; prices of all regions when left out.
    region: Option<String>,
    /// Only what is in force on this day; all that stands in the list when left out.
    #[arg(long, value_name = "DATE", value_parser = date)]
    on: Option<String>,
    /// Only this group of materials.
    #[arg(long, value_name = "GROUP")]
    group: Option<String>,
    /// The file to write; standard output when left out, for CSV.
    #[arg(long, value_name = "FILE")]
    output: Option<PathBuf>,
    /// How it is to be written; as the name of the file ends when left out, else CSV.
    #[arg(long, value_name = "WORD", value_parser = words::<PriceFileFormat>())]
    file_format: Option<i32>,
}

impl ExportPrices {
    pub(super) async fn run(self, mut context: Context<'_>) -> Result<(), Failure> {
        let format = self.format();
        if self.output.is_none() && format == i32::from(PriceFileFormat::Xlsx) {
            return Err(Failure::plain(
                exit::USAGE,
                "a workbook is not for standard output; name a file with --output",
            ));
        }
        let request = ExportPricesRequest {
            parent: full_if_given(REGIONS, self.region).unwrap_or_default(),
            format,
            on_date: self.on.unwrap_or_default(),
            group: self.group.unwrap_or_default(),
        };
        let mut stub = context.connect_for_long_work().await?.prices();
        let mut pieces = stub.export_prices(request).await?.into_inner();
        match self.output {
            Some(output) => to_file(&output, &mut pieces, &mut context).await,
            None => to_standard_output(&mut pieces, &mut context).await,
        }
    }

    fn format(&self) -> i32 {
        let ending = self.output.as_ref().and_then(|file| file.extension());
        let is_workbook = ending.is_some_and(|ending| ending.eq_ignore_ascii_case("xlsx"));
        let by_name = if is_workbook {
            PriceFileFormat::Xlsx
        } else {
            PriceFileFormat::Csv
        };
        self.file_format.unwrap_or(by_name.into())
    }
}

async fn to_standard_output(
    pieces: &mut Streaming<ExportPricesResponse>,
    context: &mut Context<'_>,
) -> Result<(), Failure> {
    while let Some(piece) = pieces.message().await? {
        context.output.printer().answer_bytes(&piece.chunk)?;
    }
    Ok(())
}

async fn to_file(
    output: &Path,
    pieces: &mut Streaming<ExportPricesResponse>,
    context: &mut Context<'_>,
) -> Result<(), Failure> {
    let mut name = output.as_os_str().to_owned();
    name.push(".part");
    let part = PathBuf::from(name);
    let written = write(&part, pieces).await;
    let placed = match written {
        Ok(count) => fs::rename(&part, output)
            .map(|()| count)
            .map_err(|refusal| unwritable(output, &refusal)),
        Err(failure) => Err(failure),
    };
    let count = placed.inspect_err(|_| {
        // The fault is told; that half a file could not be removed either adds nothing to it.
        let _left_behind = fs::remove_file(&part);
    })?;
    let shown = output.display().to_string();
    if context.output.format() == Format::Table {
        let told = format!("{shown} written, {count} bytes\n");
        return context.output.printer().answer(&told);
    }
    let record = Record::new().text("output", &shown);
    context.output.record(&record.count("byte_count", count))
}

/// How many bytes came.
async fn write(part: &Path, pieces: &mut Streaming<ExportPricesResponse>) -> Result<i64, Failure> {
    let mut file = File::create(part).map_err(|refusal| unwritable(part, &refusal))?;
    let mut count = 0_i64;
    while let Some(piece) = pieces.message().await? {
        file.write_all(&piece.chunk)
            .map_err(|refusal| unwritable(part, &refusal))?;
        count = count.saturating_add(i64::try_from(piece.chunk.len()).unwrap_or(i64::MAX));
    }
    file.sync_all()
        .map_err(|refusal| unwritable(part, &refusal))?;
    Ok(count)
}

fn unwritable(file: &Path, refusal: &io::Error) -> Failure {
    Failure::plain(
        exit::UNEXPECTED,
        format!("{} cannot be written: {refusal}", file.display()),
    )
}
