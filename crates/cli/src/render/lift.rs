//! Lifts of walls: what each is built of, and what must be buried in it before the next goes on.

use hod_wire::v1::{Buried, Lift, TakeoffTotals, WallSystem, WallTakeoff};

use super::figure::measure;
use super::record::Record;
use super::shown::{lifts, wall_columns};
use super::table::{Side, Table, paragraph};
use crate::noun::wall::buried as buried_record;
use crate::word;

/// The names of the columns of a row.
pub(super) const COLUMNS: [&str; 10] = [
    "wall",
    "number",
    "from_m",
    "to_m",
    "volume_m3",
    "batch_count",
    "system",
    "build",
    "loose_height_m",
    "buried",
];

/// The lifts of a wall as rows for programs.
pub(super) fn rows(wall: &WallTakeoff) -> Vec<Vec<String>> {
    let row = |lift: &Lift| {
        vec![
            wall.id.clone(),
            lift.number.to_string(),
            lift.from_m.clone(),
            lift.to_m.clone(),
            lift.volume_m3.clone(),
            batches(lift),
            word::of::<WallSystem>(lift.system).to_owned(),
            lift.build.clone(),
            lift.loose_height_m.clone(),
            buried(lift),
        ]
    };
    wall.lifts.iter().map(row).collect()
}

/// A row to each lift; those of a wall add up to what the wall table shows for it. What it is built of stands there
/// when that changes within a wall, and the other columns when a lift has something to put in them.
pub(super) fn table(walls: &[WallTakeoff], totals: &TakeoffTotals) -> Table {
    let any = |has: fn(&Lift) -> bool| walls.iter().flat_map(|wall| &wall.lifts).any(has);
    let is_mixed = walls.iter().any(is_of_several);
    let is_rammed = any(|lift| !lift.loose_height_m.is_empty());
    let has_buried = any(|lift| !lift.buried.is_empty());

    let mut headings = vec![
        ("Wall", Side::Left),
        ("Lift", Side::Right),
        ("From m", Side::Right),
        ("To m", Side::Right),
        ("Placed m3", Side::Right),
    ];
    let has_batches = any(|lift| lift.batch_count.is_some());
    headings.extend(has_batches.then_some(("Batches", Side::Right)));
    headings.extend(is_mixed.then_some(("Built of", Side::Left)));
    headings.extend(is_rammed.then_some(("Loose m", Side::Right)));
    headings.extend(has_buried.then_some(("To be buried", Side::Left)));
    let mut table = Table::new(&headings);
    let [_, _, _, _, placed, ..] = wall_columns(walls, totals);
    for (wall, placed) in walls.iter().zip(&placed) {
        for (lift, volume) in wall.lifts.iter().zip(lifts(wall, placed)) {
            let mut cells = vec![
                wall.id.clone(),
                lift.number.to_string(),
                measure(&lift.from_m),
                measure(&lift.to_m),
                volume,
            ];
            cells.extend(has_batches.then(|| batches_or_none(lift)));
            cells.extend(is_mixed.then(|| built_of(lift)));
            cells.extend(is_rammed.then(|| measure_if_known(&lift.loose_height_m)));
            cells.extend(has_buried.then(|| buried(lift)));
            table.row(cells);
        }
    }
    table
}

/// What must be buried, by wall and lift; nothing when nothing must.
pub(super) fn buried_table(walls: &[WallTakeoff]) -> Option<Table> {
    let mut table = Table::new(&[
        ("To be buried", Side::Left),
        ("Wall", Side::Left),
        ("Lift", Side::Right),
        ("At m", Side::Right),
        ("Pieces", Side::Right),
    ]);
    let mut has_any = false;
    for wall in walls {
        for lift in &wall.lifts {
            for buried in &lift.buried {
                has_any = true;
                table.row([
                    buried.id.clone(),
                    wall.id.clone(),
                    lift.number.to_string(),
                    measure(&buried.height_m),
                    count(buried).to_string(),
                ]);
            }
        }
    }
    has_any.then_some(table)
}

fn is_of_several(wall: &WallTakeoff) -> bool {
    let mut builds = wall.lifts.iter().map(|lift| (lift.system, &lift.build));
    let first = builds.next();
    builds.any(|other| Some(other) != first)
}

/// Its build by the name that the job gives it, else its system.
fn built_of(lift: &Lift) -> String {
    match lift.build.as_str() {
        "" => word::of::<WallSystem>(lift.system).replace('-', " "),
        build => build.to_owned(),
    }
}

/// `3 deadman at 0.90 m, conduit at 1.05 m`.
fn buried(lift: &Lift) -> String {
    let told = lift.buried.iter().map(|buried| {
        let several = match count(buried) {
            1 => String::new(),
            count => format!("{count} "),
        };
        format!("{several}{} at {} m", buried.id, measure(&buried.height_m))
    });
    told.collect::<Vec<_>>().join(", ")
}

/// How many; one where nothing is said.
fn count(buried: &Buried) -> i32 {
    buried.count.max(1)
}

fn measure_if_known(figure: &str) -> String {
    if figure.is_empty() {
        String::new()
    } else {
        measure(figure)
    }
}

/// A dash where nothing is mixed: whole bales, adobes and wattles are counted in no batches.
fn batches_or_none(lift: &Lift) -> String {
    match lift.batch_count {
        Some(count) => count.to_string(),
        None => "-".to_owned(),
    }
}

/// What is to be said below the table: each lift's own batches are more than its share of the mix's.
pub(super) fn batches_note(walls: &[WallTakeoff]) -> Option<String> {
    let mut lifts = walls.iter().flat_map(|wall| &wall.lifts);
    let is_told = lifts.any(|lift| lift.batch_count.is_some());
    is_told.then(|| format!("{}\n", paragraph(BATCHES_ROUNDED_UP)))
}

const BATCHES_ROUNDED_UP: &str = "A lift's batches are rounded up for its own card, so they do not add up to those of the mix, which are rounded up once.";

fn batches(lift: &Lift) -> String {
    lift.batch_count
        .map(|count| count.to_string())
        .unwrap_or_default()
}

pub(super) fn record(lift: &Lift) -> Record {
    Record::new()
        .count("number", lift.number)
        .text("from_m", &lift.from_m)
        .text("to_m", &lift.to_m)
        .text("volume_m3", &lift.volume_m3)
        .count_if_known("batch_count", lift.batch_count)
        .word::<WallSystem>("system", lift.system)
        .text("build", &lift.build)
        .text("loose_height_m", &lift.loose_height_m)
        .many("buried", &lift.buried, buried_record)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn wall(batches: &[Option<i32>]) -> WallTakeoff {
        let lifts = batches.iter().map(|batch_count| Lift {
            number: 1,
            volume_m3: "1".to_owned(),
            batch_count: *batch_count,
            ..Lift::default()
        });
        WallTakeoff {
            id: "south".to_owned(),
            lifts: lifts.collect(),
            ..WallTakeoff::default()
        }
    }

    #[test]
    fn a_lift_without_batches_has_a_dash_beside_those_that_have_some() {
        let walls = [wall(&[Some(12), None])];
        let told = table(&walls, &TakeoffTotals::default()).to_string();
        let ends: Vec<&str> = told
            .lines()
            .skip(2)
            .filter_map(|row| row.split_whitespace().last())
            .collect();
        assert_eq!(ends, ["12", "-"], "{told}");
        assert!(batches_note(&walls).is_some_and(|note| note.contains("do not add up")));

        let walls = [wall(&[None, None])];
        let told = table(&walls, &TakeoffTotals::default()).to_string();
        assert!(!told.contains("Batches"), "{told}");
        assert_eq!(batches_note(&walls), None);
    }
}
