//! Quantities part by part: what is measured, and what the rules of measurement make of it for payment.

use std::collections::HashMap;

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
    for (part, lines) in by_part(lines, |line| &line.part) {
        table.row([capital(part)]);
        for line in lines {
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
    for (part, lines) in by_part(lines, |line| &line.part) {
        table.row([capital(part)]);
        for line in lines {
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

/// The lines of each part together, in the order in which the parts first come: what a wall is built of and its coats are
/// measured one after the other for all walls.
fn by_part<T>(lines: &[T], part: impl Fn(&T) -> &String) -> Vec<(&str, Vec<&T>)> {
    let mut parts: Vec<(&str, Vec<&T>)> = Vec::new();
    let mut places: HashMap<&str, usize> = HashMap::new();
    for line in lines {
        let name = part(line).as_str();
        let place = *places.entry(name).or_insert(parts.len());
        match parts.get_mut(place) {
            Some((_, of_part)) => of_part.push(line),
            None => parts.push((name, vec![line])),
        }
    }
    parts
}

/// With a capital, as a heading has.
fn capital(part: &str) -> String {
    let mut letters = part.chars();
    let first = letters.next().into_iter().flat_map(char::to_uppercase);
    first.chain(letters).collect()
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
