//! Walls, measured: a row to each, and the totals last.

use hod_wire::v1::{TakeoffTotals, WallTakeoff};

use super::basis;
use super::lift;
use super::record::Record;
use super::shown::wall_columns;
use super::table::{Side, Table};

/// The names of the columns of a row.
pub(super) const COLUMNS: [&str; 13] = [
    "id",
    "length_m",
    "gross_volume_m3",
    "opening_volume_m3",
    "net_volume_m3",
    "placed_volume_m3",
    "inner_face_m2",
    "outer_face_m2",
    "reveal_m2",
    "plan_area_m2",
    "inner_covered_m2",
    "outer_covered_m2",
    "basis",
];

/// A wall as a row for programs.
pub(super) fn row(wall: &WallTakeoff) -> Vec<String> {
    let WallTakeoff {
        id,
        gross_volume_m3,
        opening_volume_m3,
        net_volume_m3,
        placed_volume_m3,
        inner_face_m2,
        outer_face_m2,
        reveal_m2,
        length_m,
        plan_area_m2,
        inner_covered_m2,
        outer_covered_m2,
        lifts: _,
        basis: worked,
    } = wall.clone();
    vec![
        id,
        length_m,
        gross_volume_m3,
        opening_volume_m3,
        net_volume_m3,
        placed_volume_m3,
        inner_face_m2,
        outer_face_m2,
        reveal_m2,
        plan_area_m2,
        inner_covered_m2,
        outer_covered_m2,
        basis::words(worked.as_ref(), ""),
    ]
}

/// A row to each wall and the totals under a rule; what is shown adds up.
pub(super) fn table(walls: &[WallTakeoff], totals: &TakeoffTotals, with_basis: bool) -> Table {
    let mut table = Table::new(&[
        ("Wall", Side::Left),
        ("Length m", Side::Right),
        ("Gross m3", Side::Right),
        ("Taken out m3", Side::Right),
        ("Net m3", Side::Right),
        ("Placed m3", Side::Right),
        ("Inner face m2", Side::Right),
        ("Outer face m2", Side::Right),
        ("Reveals m2", Side::Right),
    ]);
    let columns = wall_columns(walls, totals);
    let cells = |name: &str, row: usize| {
        let figures = columns.iter().filter_map(|column| column.get(row).cloned());
        std::iter::once(name.to_owned())
            .chain(figures)
            .collect::<Vec<_>>()
    };
    for (row, wall) in walls.iter().enumerate() {
        table.row(cells(&wall.id, row));
        let words = basis::words(wall.basis.as_ref(), "");
        if with_basis && !words.is_empty() {
            table.note(&format!("net = {words}"));
        }
    }
    table.rule().row(cells("Total", walls.len()));
    table
}

pub(super) fn record(wall: &WallTakeoff) -> Record {
    Record::new()
        .text("id", &wall.id)
        .text("gross_volume_m3", &wall.gross_volume_m3)
        .text("opening_volume_m3", &wall.opening_volume_m3)
        .text("net_volume_m3", &wall.net_volume_m3)
        .text("placed_volume_m3", &wall.placed_volume_m3)
        .text("inner_face_m2", &wall.inner_face_m2)
        .text("outer_face_m2", &wall.outer_face_m2)
        .text("reveal_m2", &wall.reveal_m2)
        .many("lifts", &wall.lifts, lift::record)
        .text("length_m", &wall.length_m)
        .text("plan_area_m2", &wall.plan_area_m2)
        .text("inner_covered_m2", &wall.inner_covered_m2)
        .text("outer_covered_m2", &wall.outer_covered_m2)
        .text("basis", &basis::words(wall.basis.as_ref(), ""))
}

/// The sums over all walls, which an estimate carries too.
pub(crate) fn totals_record(totals: &TakeoffTotals) -> Record {
    Record::new()
        .text("gross_volume_m3", &totals.gross_volume_m3)
        .text("opening_volume_m3", &totals.opening_volume_m3)
        .text("net_volume_m3", &totals.net_volume_m3)
        .text("placed_volume_m3", &totals.placed_volume_m3)
        .text("inner_face_m2", &totals.inner_face_m2)
        .text("outer_face_m2", &totals.outer_face_m2)
        .text("reveal_m2", &totals.reveal_m2)
        .text("length_m", &totals.length_m)
        .text("plan_area_m2", &totals.plan_area_m2)
        .count_if_known("batch_count", totals.batch_count)
}
