//! What a change of many prices is told as: faults of its file, prices that change, and the end of it.

use hod_domain::price::PriceChange as Kind;
use hod_sheet::FileFault;
use hod_store::price_changes::PriceChange;
use hod_wire::v1 as wire;
use hod_wire::v1::price_changes_response::Event;

use super::{choice, number_if_any};
use crate::name::{Collection, Materials, Prices, Regions, child_name};

/// An event as it is sent.
pub fn event(event: Event) -> wire::PriceChangesResponse {
    wire::PriceChangesResponse { event: Some(event) }
}

/// A fault of a file.
pub fn file_fault(fault: FileFault) -> wire::FileFault {
    wire::FileFault {
        row: number(fault.row),
        column: fault.column,
        reason: fault.reason.to_owned(),
        description: fault.message,
    }
}

/// A price that changes; its row where it came by the rows of a file.
pub fn price_change(change: PriceChange, has_rows: bool) -> wire::PriceChange {
    wire::PriceChange {
        kind: change_kind(change.kind).into(),
        price: child_name::<Regions, Prices>(&change.region, &change.price),
        material: Materials::name(&change.material),
        supplier: change.supplier,
        before_unit_price: number_if_any(change.before),
        after_unit_price: number_if_any(change.after),
        unit: choice::unit(change.unit),
        currency_code: change.currency.code().to_owned(),
        start_date: change.start.to_string(),
        row: change.row.filter(|_| has_rows).map_or(0, number),
    }
}

/// What becomes of a price.
const fn change_kind(kind: Kind) -> wire::PriceChangeKind {
    match kind {
        Kind::New => wire::PriceChangeKind::New,
        Kind::Raised => wire::PriceChangeKind::Raised,
        Kind::Lowered => wire::PriceChangeKind::Lowered,
        Kind::Same => wire::PriceChangeKind::Same,
        Kind::Closed => wire::PriceChangeKind::Closed,
        Kind::Altered => wire::PriceChangeKind::Altered,
    }
}

/// A count or a row as it is sent: files are held to far fewer rows than there are numbers.
pub fn number(number: u32) -> i32 {
    i32::try_from(number).unwrap_or(i32::MAX)
}
