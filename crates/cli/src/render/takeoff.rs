//! Measured quantities as they are shown: a row to each wall, or to each lift, and the totals last.

use hod_wire::v1::{Lift, Takeoff, TakeoffTotals, WallTakeoff};

use super::basis;
use super::figure::measure;
use super::record::Record;
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
            text.push_str(&format!("\n{}", lift_table(&self.takeoff.walls)));
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
        for wall in &self.takeoff.walls {
            table.row(figures(&wall.id, &as_totals(wall)));
            let words = basis::words(wall.basis.as_ref(), "");
            if self.with_basis && !words.is_empty() {
                table.note(&format!("net = {words}"));
            }
        }
        table.rule().row(figures("Total", &self.totals()));
        table
    }
}

/// A wall's figures in the shape of the totals, so that both are shown alike.
fn as_totals(wall: &WallTakeoff) -> TakeoffTotals {
    TakeoffTotals {
        gross_volume_m3: wall.gross_volume_m3.clone(),
        opening_volume_m3: wall.opening_volume_m3.clone(),
        net_volume_m3: wall.net_volume_m3.clone(),
        placed_volume_m3: wall.placed_volume_m3.clone(),
        inner_face_m2: wall.inner_face_m2.clone(),
        outer_face_m2: wall.outer_face_m2.clone(),
        reveal_m2: wall.reveal_m2.clone(),
        length_m: wall.length_m.clone(),
        plan_area_m2: wall.plan_area_m2.clone(),
        batch_count: None,
    }
}

fn figures(name: &str, totals: &TakeoffTotals) -> Vec<String> {
    let mut cells = vec![name.to_owned()];
    cells.extend(
        [
            &totals.length_m,
            &totals.gross_volume_m3,
            &totals.opening_volume_m3,
            &totals.net_volume_m3,
            &totals.placed_volume_m3,
            &totals.inner_face_m2,
            &totals.outer_face_m2,
            &totals.reveal_m2,
        ]
        .map(|figure| measure(figure)),
    );
    cells
}

fn lift_table(walls: &[WallTakeoff]) -> Table {
    let mut table = Table::new(&[
        ("Wall", Side::Left),
        ("Lift", Side::Right),
        ("From m", Side::Right),
        ("To m", Side::Right),
        ("Placed m3", Side::Right),
        ("Batches", Side::Right),
    ]);
    for wall in walls {
        for lift in &wall.lifts {
            table.row([
                wall.id.clone(),
                lift.number.to_string(),
                measure(&lift.from_m),
                measure(&lift.to_m),
                measure(&lift.volume_m3),
                lift.batch_count
                    .map(|count| count.to_string())
                    .unwrap_or_default(),
            ]);
        }
    }
    table
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
