//! The closed run that a wall belongs to, by itself. Whether all runs of a job close is for `run`.

use super::junction::Link;
use super::path::CentreLine;
use super::point::Pose;
use super::run::{Chain, enclosed_side, legs, misses_its_start, next};
use super::section::Side;

/// A closed run by itself.
pub(super) struct Ring {
    /// Its walls in order, and where each starts.
    pub(super) walls: Vec<(usize, Pose)>,
    pub(super) inner: Side,
}

/// The closed run that a wall belongs to.
pub(super) enum Run {
    Closed(Ring),
    /// It belongs to none.
    Open,
    /// It belongs to one that does not close, or of which a wall has faults of its own.
    Faulty,
}

/// The closed run that a wall belongs to.
pub(super) fn run_of(wall: usize, centres: &[Option<CentreLine>], links: &[[Link; 2]]) -> Run {
    let mut walls = vec![wall];
    let mut here = next(links, wall);
    while let Some(after) = here.filter(|after| *after != wall) {
        walls.push(after);
        here = next(links, after);
    }
    if here.is_none() {
        return Run::Open;
    }
    // Laid out from the same wall whichever is asked about, for the gap that a run is let pass with lies before that.
    let first = (0..walls.len()).min_by_key(|place| walls[*place]);
    walls.rotate_left(first.unwrap_or_default());
    let chain = Chain {
        walls,
        is_closed: true,
    };
    let Some(legs) = legs(&chain, centres, links) else {
        return Run::Faulty;
    };
    if legs
        .last()
        .is_none_or(|last| misses_its_start(&legs, last).is_some())
    {
        return Run::Faulty;
    }
    Run::Closed(Ring {
        inner: enclosed_side(&legs),
        walls: legs.into_iter().map(|leg| (leg.wall, leg.pose)).collect(),
    })
}
