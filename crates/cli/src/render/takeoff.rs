//! Measured quantities as they are shown: a row to each wall, or to each lift, and the totals last.

use hod_wire::v1::{Lift, Takeoff, TakeoffTotals, WallTakeoff};

use super::basis;
use super::figure::measure;
use super::record::Record;
use super::shown::{lifts, wall_columns};
use super::table::{Side, Table, note};
use crate::output::Answer;

/// A takeoff and how much of it is asked for.
pub struct TakeoffAnswer {
    /// What people call the job, or its file.
    pub title: String,
    /// The quantities.
    pub takeoff: Takeoff,
    /// The lifts of each wall too.
    pub with_lifts: bool,
    /// How each figure came about.
    pub with_basis: bool,
}

impl TakeoffAnswer {
    fn totals(&self) -> TakeoffTotals {
        self.takeoff.totals.clone().unwrap_or_default()
    }
}

impl Answer for TakeoffAnswer {
    fn record(&self) -> Record {
        Record::new()
            .many("walls", &self.takeoff.walls, wall_record)
            .field(
                "totals",
                super::record::Value::One(totals_record(&self.totals())),
            )
            .text(
                "batch_basis",
                &basis::words(self.takeoff.batch_basis.as_ref(), ""),
            )
    }

    fn header(&self) -> Vec<String> {
        let columns: &[&str] = if self.with_lifts {
            &[
                "job",
                "wall",
                "number",
                "from_m",
                "to_m",
                "volume_m3",
                "batch_count",
            ]
        } else {
            &[
                "job",
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
            ]
        };
        columns.iter().map(|column| (*column).to_owned()).collect()
    }

    fn rows(&self) -> Vec<Vec<String>> {
        let walls = self.takeoff.walls.iter();
        if self.with_lifts {
            walls.flat_map(|wall| self.lift_rows(wall)).collect()
        } else {
            walls.map(|wall| self.wall_row(wall)).collect()
        }
    }

    fn table(&self) -> String {
        let mut text = format!(
            "{}\n\n{}",
            crate::text::plain(&self.title),
            self.wall_table()
        );
        if self.with_lifts {
            text.push_str(&format!("\n{}", self.lift_table()));
        }
        if let Some(batches) = self.totals().batch_count {
            text.push_str(&format!("\nBatches: {batches}\n"));
            let words = basis::words(self.takeoff.batch_basis.as_ref(), "");
            if self.with_basis && !words.is_empty() {
                text.push_str(&format!("{}\n", note(&format!("= {words}"))));
            }
        }
        text
    }
}

impl TakeoffAnswer {
    fn wall_row(&self, wall: &WallTakeoff) -> Vec<String> {
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
            lifts: _,
            basis: worked,
            inner_covered_m2,
            outer_covered_m2,
        } = wall.clone();
        vec![
            self.title.clone(),
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

    fn lift_rows(&self, wall: &WallTakeoff) -> Vec<Vec<String>> {
        let row = |lift: &Lift| {
            vec![
                self.title.clone(),
                wall.id.clone(),
                lift.number.to_string(),
                lift.from_m.clone(),
                lift.to_m.clone(),
                lift.volume_m3.clone(),
                lift.batch_count
                    .map(|count| count.to_string())
                    .unwrap_or_default(),
            ]
        };
        wall.lifts.iter().map(row).collect()
    }

    fn wall_table(&self) -> Table {
        let mut table = Table::new(&[
            ("Wall", Side::Left),
            ("Length m", Side::Right),
            ("Gross m3", Side::Right),
            ("Openings m3", Side::Right),
            ("Net m3", Side::Right),
            ("Placed m3", Side::Right),
            ("Inner face m2", Side::Right),
            ("Outer face m2", Side::Right),
            ("Reveals m2", Side::Right),
        ]);
        let columns = wall_columns(&self.takeoff.walls, &self.totals());
        let cells = |name: &str, row: usize| {
            let figures = columns.iter().filter_map(|column| column.get(row).cloned());
            std::iter::once(name.to_owned())
                .chain(figures)
                .collect::<Vec<_>>()
        };
        for (row, wall) in self.takeoff.walls.iter().enumerate() {
            table.row(cells(&wall.id, row));
            let words = basis::words(wall.basis.as_ref(), "");
            if self.with_basis && !words.is_empty() {
                table.note(&format!("net = {words}"));
            }
        }
        table.rule().row(cells("Total", self.takeoff.walls.len()));
        table
    }

    /// A row to each lift; those of a wall add up to what the wall table shows for it.
    fn lift_table(&self) -> Table {
        let mut table = Table::new(&[
            ("Wall", Side::Left),
            ("Lift", Side::Right),
            ("From m", Side::Right),
            ("To m", Side::Right),
            ("Placed m3", Side::Right),
            ("Batches", Side::Right),
        ]);
        let [_, _, _, _, placed, ..] = wall_columns(&self.takeoff.walls, &self.totals());
        for (wall, placed) in self.takeoff.walls.iter().zip(&placed) {
            for (lift, volume) in wall.lifts.iter().zip(lifts(wall, placed)) {
                table.row([
                    wall.id.clone(),
                    lift.number.to_string(),
                    measure(&lift.from_m),
                    measure(&lift.to_m),
                    volume,
                    lift.batch_count
                        .map(|count| count.to_string())
                        .unwrap_or_default(),
                ]);
            }
        }
        table
    }
}

fn wall_record(wall: &WallTakeoff) -> Record {
    Record::new()
        .text("id", &wall.id)
        .text("gross_volume_m3", &wall.gross_volume_m3)
        .text("opening_volume_m3", &wall.opening_volume_m3)
        .text("net_volume_m3", &wall.net_volume_m3)
        .text("placed_volume_m3", &wall.placed_volume_m3)
        .text("inner_face_m2", &wall.inner_face_m2)
        .text("outer_face_m2", &wall.outer_face_m2)
        .text("reveal_m2", &wall.reveal_m2)
        .many("lifts", &wall.lifts, |lift| {
            Record::new()
                .count("number", lift.number)
                .text("from_m", &lift.from_m)
                .text("to_m", &lift.to_m)
                .text("volume_m3", &lift.volume_m3)
                .count_if_known("batch_count", lift.batch_count)
        })
        .text("length_m", &wall.length_m)
        .text("plan_area_m2", &wall.plan_area_m2)
        .text("basis", &basis::words(wall.basis.as_ref(), ""))
}

/// The sums over all walls, which an estimate carries too.
pub(super) fn totals_record(totals: &TakeoffTotals) -> Record {
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

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use hod_units::{Decimal, parse_decimal};
    use proptest::prelude::*;

    use super::*;

    /// Six places, as the contract has them.
    fn steps(steps: u32) -> String {
        Decimal::new(steps.into(), 6).to_string()
    }

    /// A wall of random figures: gross, the part of it that is openings, its lifts, and all else.
    fn walls() -> impl Strategy<Value = Vec<WallTakeoff>> {
        let lifts = prop::collection::vec(10_000_u32..9_000_000, 1..6);
        let others = prop::array::uniform4(10_000_u32..90_000_000);
        let wall = (20_000_u32..90_000_000, 0_u32..100, lifts, others);
        prop::collection::vec(wall.prop_map(wall_of), 1..12)
    }

    fn wall_of(
        (gross, opening_percent, lifts, others): (u32, u32, Vec<u32>, [u32; 4]),
    ) -> WallTakeoff {
        let openings = gross / 100 * opening_percent;
        let [length, inner, outer, reveals] = others;
        WallTakeoff {
            id: "wall".to_owned(),
            gross_volume_m3: steps(gross),
            opening_volume_m3: steps(openings),
            net_volume_m3: steps(gross - openings),
            placed_volume_m3: steps(lifts.iter().sum()),
            inner_face_m2: steps(inner),
            outer_face_m2: steps(outer),
            reveal_m2: steps(reveals),
            length_m: steps(length),
            lifts: lifts
                .into_iter()
                .map(|volume| Lift {
                    from_m: "0".to_owned(),
                    to_m: "1".to_owned(),
                    volume_m3: steps(volume),
                    ..Lift::default()
                })
                .collect(),
            ..WallTakeoff::default()
        }
    }

    fn totals(walls: &[WallTakeoff]) -> TakeoffTotals {
        let sum = |figure: fn(&WallTakeoff) -> &String| {
            let figures = walls
                .iter()
                .map(|wall| parse_decimal(figure(wall)).unwrap());
            figures.sum::<Decimal>().to_string()
        };
        TakeoffTotals {
            gross_volume_m3: sum(|wall| &wall.gross_volume_m3),
            opening_volume_m3: sum(|wall| &wall.opening_volume_m3),
            net_volume_m3: sum(|wall| &wall.net_volume_m3),
            placed_volume_m3: sum(|wall| &wall.placed_volume_m3),
            inner_face_m2: sum(|wall| &wall.inner_face_m2),
            outer_face_m2: sum(|wall| &wall.outer_face_m2),
            reveal_m2: sum(|wall| &wall.reveal_m2),
            length_m: sum(|wall| &wall.length_m),
            ..TakeoffTotals::default()
        }
    }

    /// The figures of a printed table, row by row, without its headings, its rules and its first column.
    fn printed(table: &Table) -> Vec<Vec<Decimal>> {
        let text = table.to_string();
        let rows = text.lines().skip(1).filter(|line| !line.starts_with("--"));
        rows.map(|row| {
            let cells = row.split_whitespace().skip(1);
            cells.map(|cell| parse_decimal(cell).unwrap()).collect()
        })
        .collect()
    }

    proptest! {
        #[test]
        fn what_a_table_shows_adds_up_down_and_across(walls in walls()) {
            let answer = TakeoffAnswer {
                title: String::new(),
                takeoff: Takeoff { totals: Some(totals(&walls)), walls, ..Takeoff::default() },
                with_lifts: true,
                with_basis: false,
            };
            let mut rows = printed(&answer.wall_table());
            let shown = rows.clone();
            let total = rows.pop().unwrap();
            for (column, total) in total.iter().enumerate() {
                prop_assert_eq!(rows.iter().map(|row| row[column]).sum::<Decimal>(), *total, "column {}", column);
            }
            // Gross, openings and net stand side by side, then what is placed.
            for row in &shown {
                prop_assert_eq!(row[1] - row[2], row[3]);
            }
            let mut lifts = printed(&answer.lift_table()).into_iter();
            for (wall, row) in answer.takeoff.walls.iter().zip(&rows) {
                let placed: Decimal = lifts.by_ref().take(wall.lifts.len()).map(|lift| lift[3]).sum();
                prop_assert_eq!(placed, row[4]);
            }
            // No figure is moved by more than its last place.
            for (wall, row) in answer.takeoff.walls.iter().zip(&rows) {
                let exact = parse_decimal(&wall.placed_volume_m3).unwrap();
                prop_assert!((row[4] - exact).abs() < Decimal::new(15, 3));
            }
        }
    }
}
