//! Measured quantities as they are shown: the walls, then part by part what else is measured, the mixes, what is to be
//! got and what is to be paid for; cautions last, where they are seen. What is not there has no heading.

use clap::ValueEnum;
use hod_wire::v1::{Takeoff, TakeoffTotals};

use super::record::{Record, Value};
use super::{basis, caution, lift, mix, order, part, wall};
use crate::output::Answer;

/// Which rows a takeoff has as CSV.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum Rows {
    /// A row to each wall.
    Walls,
    /// A row to each lift of each wall.
    Lifts,
    /// A row to each measured quantity, part by part.
    Lines,
    /// A row to each mix.
    Mixes,
    /// A row to each material that is to be got.
    Orders,
    /// A row to each quantity for payment.
    Payment,
    /// A row to each caution.
    Cautions,
}

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
    /// What CSV has rows of.
    pub rows: Rows,
}

impl TakeoffAnswer {
    fn totals(&self) -> TakeoffTotals {
        self.takeoff.totals.clone().unwrap_or_default()
    }

    /// The columns and the rows of CSV.
    fn columns_and_rows(&self) -> (Vec<String>, Vec<Vec<String>>) {
        let takeoff = &self.takeoff;
        let known = |columns: &[&str]| columns.iter().map(|name| (*name).to_owned()).collect();
        let walls = takeoff.walls.iter();
        match self.rows {
            Rows::Walls => (known(&wall::COLUMNS), walls.map(wall::row).collect()),
            Rows::Lifts => (known(&lift::COLUMNS), walls.flat_map(lift::rows).collect()),
            Rows::Lines => fields_of(&takeoff.lines, part::measured_record),
            Rows::Mixes => fields_of(&takeoff.mixes, mix::row),
            Rows::Orders => fields_of(&takeoff.orders, order::record),
            Rows::Payment => fields_of(&takeoff.payment, part::payment_record),
            Rows::Cautions => fields_of(&takeoff.cautions, caution::record),
        }
    }

    /// All tables that have something in them, in the order in which they are read.
    fn sections(&self) -> Vec<String> {
        let takeoff = &self.takeoff;
        let (walls, basis) = (takeoff.walls.as_slice(), self.with_basis);
        let totals = self.totals();
        let batches = totals
            .batch_count
            .map(|count| mix::batches(count, &takeoff.mixes));
        let lifts = self.with_lifts.then(|| {
            let note = lift::batches_note(walls).unwrap_or_default();
            format!("{}{note}", lift::table(walls, &totals))
        });
        // The table of lifts has what is buried beside each of them.
        let buried = (!self.with_lifts).then(|| lift::buried_table(walls));
        let drawn = wall::table(walls, &totals, basis).to_string();
        let tables = [
            buried.flatten(),
            part::measured_table(walls, &takeoff.lines, basis),
            mix::table(&takeoff.mixes, basis),
            mix::mass_table(&takeoff.mixes),
        ];
        let orders = [
            order::table(&takeoff.orders, basis),
            part::payment_table(walls, &takeoff.payment, "", basis),
        ];
        let told = |table: super::table::Table| table.to_string();
        std::iter::once(drawn)
            .chain(lifts)
            .chain(tables.into_iter().flatten().map(told))
            .chain(batches)
            .chain(orders.into_iter().flatten().map(told))
            .chain(caution::paragraphs(&takeoff.cautions))
            .collect()
    }
}

impl Answer for TakeoffAnswer {
    fn record(&self) -> Record {
        let takeoff = &self.takeoff;
        Record::new()
            .many("walls", &takeoff.walls, wall::record)
            .field("totals", Value::One(wall::totals_record(&self.totals())))
            .text(
                "batch_basis",
                &basis::words(takeoff.batch_basis.as_ref(), ""),
            )
            .many("mixes", &takeoff.mixes, mix::record)
            .many("lines", &takeoff.lines, part::measured_record)
            .many("orders", &takeoff.orders, order::record)
            .many("payment", &takeoff.payment, part::payment_record)
            .many("cautions", &takeoff.cautions, caution::record)
    }

    fn header(&self) -> Vec<String> {
        let (columns, _) = self.columns_and_rows();
        std::iter::once("job".to_owned()).chain(columns).collect()
    }

    fn rows(&self) -> Vec<Vec<String>> {
        let (_, rows) = self.columns_and_rows();
        let titled = |row: Vec<String>| std::iter::once(self.title.clone()).chain(row).collect();
        rows.into_iter().map(titled).collect()
    }

    fn table(&self) -> String {
        let title = format!("{}\n", crate::text::plain(&self.title));
        let sections = self.sections();
        std::iter::once(title)
            .chain(sections)
            .collect::<Vec<_>>()
            .join("\n")
    }

    fn beside_rows(&self) -> Vec<String> {
        match self.rows {
            Rows::Cautions => Vec::new(),
            _ => caution::lines(&self.takeoff.cautions),
        }
    }
}

/// Things whose rows are their fields.
fn fields_of<T: Default>(
    things: &[T],
    record: impl Fn(&T) -> Record,
) -> (Vec<String>, Vec<Vec<String>>) {
    let flat = |thing: &T| record(thing).flat().into_iter();
    let names = flat(&T::default()).map(|(name, _)| name).collect();
    let values = |thing: &T| flat(thing).map(|(_, value)| value).collect();
    (names, things.iter().map(values).collect())
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use hod_units::{Decimal, parse_decimal};
    use proptest::prelude::*;

    use hod_wire::v1::{Lift, WallTakeoff};

    use super::super::table::Table;
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
            let totals = totals(&walls);
            let mut rows = printed(&wall::table(&walls, &totals, false));
            let shown = rows.clone();
            let sums = rows.pop().unwrap();
            for (column, total) in sums.iter().enumerate() {
                prop_assert_eq!(rows.iter().map(|row| row[column]).sum::<Decimal>(), *total, "column {}", column);
            }
            // Gross, openings and net stand side by side, then what is placed.
            for row in &shown {
                prop_assert_eq!(row[1] - row[2], row[3]);
            }
            let mut lifts = printed(&lift::table(&walls, &totals)).into_iter();
            for (wall, row) in walls.iter().zip(&rows) {
                let placed: Decimal = lifts.by_ref().take(wall.lifts.len()).map(|lift| lift[3]).sum();
                prop_assert_eq!(placed, row[4]);
            }
            // No figure is moved by more than its last place.
            for (wall, row) in walls.iter().zip(&rows) {
                let exact = parse_decimal(&wall.placed_volume_m3).unwrap();
                prop_assert!((row[4] - exact).abs() < Decimal::new(15, 3));
            }
        }
    }
}
