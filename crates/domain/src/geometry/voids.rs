//! All openings and niches of a job, read once, wall by wall in one row.
//! What each is, is in `displaced`; here is only whose it is.

use super::displaced::Void;
use super::drawing::{OpeningShape, WallDrawing};
use super::fault::Place;

/// The voids of all walls of a job: of each wall first the openings, then the niches.
pub(super) struct Voids {
    all: Vec<Void>,
    /// Of each wall, where its voids end.
    ends: Vec<usize>,
}

impl Voids {
    pub(super) fn of(walls: &[WallDrawing]) -> Self {
        let count = walls
            .iter()
            .map(|wall| wall.openings.len() + wall.niches.len())
            .sum();
        let mut all = Vec::with_capacity(count);
        let mut ends = Vec::with_capacity(walls.len());
        for wall in walls {
            all.extend(wall.openings.iter().map(Void::of_opening));
            all.extend(wall.niches.iter().map(Void::of_niche));
            ends.push(all.len());
        }
        Self { all, ends }
    }

    /// Those of one wall.
    pub(super) fn of_wall(&self, index: usize) -> &[Void] {
        let from = if index == 0 { 0 } else { self.ends[index - 1] };
        &self.all[from..self.ends[index]]
    }
}

/// Where a wall's void of this number stands in its drawing.
pub(super) fn place(wall: &WallDrawing, number: usize) -> Place {
    match number.checked_sub(wall.openings.len()) {
        None => Place::Opening(number),
        Some(number) => Place::Niche(number),
    }
}

/// The id of a wall's void of this number, and its shape.
pub(super) fn drawn(wall: &WallDrawing, number: usize) -> (&str, &OpeningShape) {
    match place(wall, number) {
        Place::Niche(number) => (&wall.niches[number].id, &wall.niches[number].shape),
        _ => (&wall.openings[number].id, &wall.openings[number].shape),
    }
}
