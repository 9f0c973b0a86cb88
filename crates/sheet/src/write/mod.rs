//! Writing a price file, a price at a time: what is written is what reading takes, to the last digit and letter.

mod csv;
mod record;
mod workbook;

use std::io::{self, Seek, Write};

use hod_domain::id::RegionId;
use hod_domain::price::Price;

use crate::Format;

/// A price file that is being written.
pub struct PriceWriter<W> {
    to: To<W>,
}

enum To<W> {
    Csv(csv::Writer<W>),
    Workbook(Box<workbook::Writer<W>>),
}

impl<W: Write + Seek + Send> PriceWriter<W> {
    /// Begins a file with its header.
    pub fn new(format: Format, output: W) -> io::Result<Self> {
        let to = match format {
            Format::Csv => To::Csv(csv::Writer::new(output)?),
            Format::Workbook => To::Workbook(Box::new(workbook::Writer::new(output)?)),
        };
        Ok(Self { to })
    }

    /// Writes a price of a region.
    pub fn price(&mut self, region: &RegionId, price: &Price) -> io::Result<()> {
        let record = record::record(region, price);
        match &mut self.to {
            To::Csv(writer) => writer.record(&record),
            To::Workbook(writer) => writer.record(&record),
        }
    }

    /// Ends the file and gives back what it was written to.
    pub fn finish(self) -> io::Result<W> {
        match self.to {
            To::Csv(writer) => writer.finish(),
            To::Workbook(writer) => writer.finish(),
        }
    }
}
