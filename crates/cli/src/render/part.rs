//! Quantities part by part: what is measured, and what the rules of measurement make of it for payment.

use hod_wire::v1::{PaymentLine, TakeoffLine, Unit};

use super::basis;
use super::figure::measured;
use super::record::Record;
use super::table::{Side, Table};
use super::unit_symbol;

/// The measured lines under the parts that they are of; nothing when there are none.
pub(super) fn measured_table(lines: &[TakeoffLine], with_basis: bool) -> Option<Table> {
    let mut table = Table::new(&[
        ("Measured", Side::Left),
        ("Quantity", Side::Right),
        ("Unit", Side::Left),
    ]);
    for part in lines.chunk_by(|one, next| one.part == next.part) {
        heading(&mut table, part.first().map(|line| line.part.as_str()));
        for line in part {
            table.row([
                &format!("  {}", line.item),
                &measured(&line.quantity, line.unit()),
                unit_symbol(line.unit()),
            ]);
            if with_basis {
                note(&mut table, &basis::words(line.basis.as_ref(), ""));
            }
        }
    }
    (!lines.is_empty()).then_some(table)
}

/// The lines for payment, the true net beside each; nothing when there are none.
pub(super) fn payment_table(
    lines: &[PaymentLine],
    currency: &str,
    with_basis: bool,
) -> Option<Table> {
    let mut table = Table::new(&[
        ("For payment", Side::Left),
        ("By the rules", Side::Right),
        ("True net", Side::Right),
        ("Unit", Side::Left),
    ]);
    for part in lines.chunk_by(|one, next| one.part == next.part) {
        heading(&mut table, part.first().map(|line| line.part.as_str()));
        for line in part {
            table.row([
                &format!("  {}", line.item),
                &measured(&line.quantity, line.unit()),
                &measured(&line.net_quantity, line.unit()),
                unit_symbol(line.unit()),
            ]);
            if with_basis {
                note(&mut table, &basis::words(line.basis.as_ref(), currency));
            }
        }
    }
    (!lines.is_empty()).then_some(table)
}

/// The part that the rows below are of, with a capital as a heading has.
fn heading(table: &mut Table, part: Option<&str>) {
    let mut letters = part.unwrap_or_default().chars();
    let first: String = letters
        .next()
        .into_iter()
        .flat_map(char::to_uppercase)
        .collect();
    table.row([format!("{first}{}", letters.as_str())]);
}

fn note(table: &mut Table, words: &str) {
    if !words.is_empty() {
        table.note(&format!("= {words}"));
    }
}

pub(super) fn measured_record(line: &TakeoffLine) -> Record {
    Record::new()
        .text("part", &line.part)
        .text("item", &line.item)
        .text("quantity", &line.quantity)
        .word::<Unit>("unit", line.unit)
        .text("basis", &basis::words(line.basis.as_ref(), ""))
}

pub(super) fn payment_record(line: &PaymentLine) -> Record {
    Record::new()
        .text("part", &line.part)
        .text("item", &line.item)
        .text("quantity", &line.quantity)
        .word::<Unit>("unit", line.unit)
        .text("basis", &basis::words(line.basis.as_ref(), ""))
        .text("net_quantity", &line.net_quantity)
}
