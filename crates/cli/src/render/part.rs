//! Quantities part by part: what is measured, and what the rules of measurement make of it for payment.

use std::collections::HashMap;

use hod_wire::v1::{PaymentLine, TakeoffLine, Unit, WallTakeoff};

use super::basis;
use super::figure::measured;
use super::record::Record;
use super::table::{Side, Table};
use super::unit_symbol;

/// The measured lines under the parts that they are of; nothing when there are none.
pub(super) fn measured_table(
    walls: &[WallTakeoff],
    lines: &[TakeoffLine],
    with_basis: bool,
) -> Option<Table> {
    let mut table = Table::new(&[
        ("Measured", Side::Left),
        ("Quantity", Side::Right),
        ("Unit", Side::Left),
    ]);
    for (part, lines) in by_part(walls, lines, |line| &line.part) {
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
    walls: &[WallTakeoff],
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
    for (part, lines) in by_part(walls, lines, |line| &line.part) {
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

/// The lines of each part together: first of the walls, in the order of the job where its walls are known, then of all
/// else as it comes. What a wall is built of and its coats are measured one after the other for all walls.
fn by_part<'line, T>(
    walls: &[WallTakeoff],
    lines: &'line [T],
    part: impl Fn(&'line T) -> &'line String,
) -> Vec<(&'line str, Vec<&'line T>)> {
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
    let ids = walls.iter().enumerate();
    let drawn: HashMap<&str, usize> = ids.map(|(at, wall)| (wall.id.as_str(), at)).collect();
    // A stretch of a wall is called `wall east, 0 to 2.4 m`.
    let place = |wall: &str| {
        drawn
            .get(wall)
            .or_else(|| drawn.get(wall.rsplit_once(", ")?.0))
    };
    parts.sort_by_key(|(name, _)| match name.strip_prefix("wall ") {
        Some(wall) => (false, place(wall).copied()),
        None => (true, None),
    });
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

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn walls_come_first_in_the_order_of_the_job_and_then_what_is_beside_them() {
        let wall = |id: &str| WallTakeoff {
            id: id.to_owned(),
            ..WallTakeoff::default()
        };
        let line = |part: &str, item: &str| TakeoffLine {
            part: part.to_owned(),
            item: item.to_owned(),
            ..TakeoffLine::default()
        };
        let lines = [
            line("wall south", "cob"),
            line("stem wall", "stone"),
            line("wall north", "bales"),
            line("floor room", "gravel"),
            line("wall east", "adobes"),
            line("wall south", "plaster"),
            line("wall south, 1.2 to 2.4 m", "infill"),
        ];
        let told = |walls: &[WallTakeoff]| {
            let parts = by_part(walls, &lines, |line| &line.part).into_iter();
            let told = parts.map(|(part, of_part)| (part, of_part.len()));
            told.collect::<Vec<_>>()
        };
        let beside = [("stem wall", 1), ("floor room", 1)];
        assert_eq!(
            told(&["south", "east", "north"].map(wall)),
            [
                [
                    ("wall south", 2),
                    ("wall south, 1.2 to 2.4 m", 1),
                    ("wall east", 1),
                    ("wall north", 1)
                ]
                .as_slice(),
                &beside
            ]
            .concat()
        );
        assert_eq!(
            told(&[]),
            [
                [
                    ("wall south", 2),
                    ("wall north", 1),
                    ("wall east", 1),
                    ("wall south, 1.2 to 2.4 m", 1)
                ]
                .as_slice(),
                &beside
            ]
            .concat()
        );
    }
}
