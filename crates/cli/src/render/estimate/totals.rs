//! The sums of an estimate in the order of its lines, and what its kinds of lines are called.

use hod_wire::v1::{EstimateTotals, LineKind};

use crate::render::figure::is_zero;
use crate::render::record::Record;
use crate::render::table::{Side, Table};
use crate::text::plain;

/// The heading above the lines of a kind.
pub(in crate::render) fn heading_of(kind: LineKind) -> &'static str {
    match kind {
        LineKind::Unspecified => "Lines",
        LineKind::Material => "Material",
        LineKind::Labour => "Labour",
        LineKind::Equipment => "Equipment",
        LineKind::Other => "Other",
        LineKind::Overhead => "Overhead",
        LineKind::Contingency => "Contingency",
        LineKind::Profit => "Profit",
        LineKind::Tax => "Tax",
        LineKind::Subcontract => "Subcontract",
        LineKind::Fee => "Fees",
        LineKind::Travel => "Travel and lodging",
        LineKind::ProvisionalSum => "Provisional sums",
        LineKind::Income => "Workshop income",
        LineKind::Discount => "Discount",
        LineKind::MinimumCharge => "Up to the minimum charge",
        LineKind::Rounding => "Rounding",
    }
}

/// A row to each sum; those that every price has stand even at nothing, the others only where there is something.
pub(super) fn table(totals: &EstimateTotals, currency_code: &str) -> Table {
    let amount = plain(currency_code);
    let mut table = Table::new(&[("Totals", Side::Left), (&amount, Side::Right)]);
    for (kind, amount) in by_kind(totals) {
        let always = matches!(
            kind,
            LineKind::Material
                | LineKind::Labour
                | LineKind::Equipment
                | LineKind::Other
                | LineKind::Overhead
                | LineKind::Contingency
                | LineKind::Profit
                | LineKind::Tax
        );
        if always || !is_zero(amount) {
            table.row([heading_of(kind), amount]);
        }
    }
    table.rule().row(["Total", &totals.total]);
    table
}

/// In the order of the lines.
fn by_kind(totals: &EstimateTotals) -> [(LineKind, &String); 16] {
    [
        (LineKind::Material, &totals.material),
        (LineKind::Labour, &totals.labour),
        (LineKind::Equipment, &totals.equipment),
        (LineKind::Subcontract, &totals.subcontract),
        (LineKind::Fee, &totals.fee),
        (LineKind::Travel, &totals.travel),
        (LineKind::ProvisionalSum, &totals.provisional_sum),
        (LineKind::Other, &totals.other),
        (LineKind::Overhead, &totals.overhead),
        (LineKind::Contingency, &totals.contingency),
        (LineKind::Profit, &totals.profit),
        (LineKind::Income, &totals.income),
        (LineKind::Discount, &totals.discount),
        (LineKind::MinimumCharge, &totals.minimum_charge),
        (LineKind::Rounding, &totals.rounding),
        (LineKind::Tax, &totals.tax),
    ]
}

pub(super) fn record(totals: &EstimateTotals) -> Record {
    Record::new()
        .text("material", &totals.material)
        .text("labour", &totals.labour)
        .text("equipment", &totals.equipment)
        .text("other", &totals.other)
        .text("overhead", &totals.overhead)
        .text("contingency", &totals.contingency)
        .text("profit", &totals.profit)
        .text("tax", &totals.tax)
        .text("total", &totals.total)
        .text("subcontract", &totals.subcontract)
        .text("fee", &totals.fee)
        .text("travel", &totals.travel)
        .text("provisional_sum", &totals.provisional_sum)
        .text("income", &totals.income)
        .text("discount", &totals.discount)
        .text("minimum_charge", &totals.minimum_charge)
        .text("rounding", &totals.rounding)
}
