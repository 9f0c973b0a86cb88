//! Reading a file in a test, and putting one together.

use std::io::Cursor;

use hod_domain::price::PriceRow;
use hod_sheet::{Counted, FileFault, Format, Found, Limits, read_prices};

/// Everything that is found in a file.
pub struct Said {
    pub prices: Vec<PriceRow>,
    pub faults: Vec<FileFault>,
    pub counted: Counted,
}

/// The file as it is read within these limits.
pub fn said_within(bytes: &[u8], format: Format, limits: &Limits) -> Said {
    let (mut prices, mut faults) = (Vec::new(), Vec::new());
    let mut found = |found| match found {
        Found::Price(price) => prices.push(*price),
        Found::Fault(fault) => faults.push(fault),
    };
    let counted =
        read_prices(Cursor::new(bytes), format, limits, &mut found).expect("a source in memory");
    Said {
        prices,
        faults,
        counted,
    }
}

/// The file as it is read.
pub fn said(bytes: &[u8], format: Format) -> Said {
    said_within(bytes, format, &Limits::of(format))
}

impl Said {
    /// Row, column and reason of each fault.
    pub fn told(&self) -> Vec<(u32, &str, &str)> {
        let faults = self.faults.iter();
        faults
            .map(|fault| (fault.row, fault.column.as_str(), fault.reason))
            .collect()
    }
}

/// The header that the tests write by hand, and a good row under it.
pub const HEADER: &str = "region,material,supplier,unit,unit_price,start_date,end_date";
pub const GOOD: &str = "coast,sand,Gravel Works,t,21.50,2026-05-01,";

/// A file of comma-separated values of these rows under the header.
pub fn csv(rows: &[&str]) -> Vec<u8> {
    let mut text = HEADER.to_owned();
    for row in rows {
        text.push('\n');
        text.push_str(row);
    }
    text.into_bytes()
}

/// What is told of such a file.
pub fn told(rows: &[&str]) -> Vec<(u32, String, String)> {
    let said = said(&csv(rows), Format::Csv);
    let told = said.told().into_iter();
    told.map(|(row, column, reason)| (row, column.to_owned(), reason.to_owned()))
        .collect()
}

/// One thing that is told.
pub fn of(row: u32, column: &str, reason: &str) -> (u32, String, String) {
    (row, column.to_owned(), reason.to_owned())
}
