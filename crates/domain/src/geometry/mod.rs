//! The exact geometry of walls: drawings in; volumes, faces, reveals and lifts out, or every fault of the drawings.
//!
//! Knows walls, openings and junctions. Leaves to others what they are built of, how long it takes and what it costs.

mod drawing;
mod fault;
mod measured;
mod working;

pub use drawing::{
    Batter, End, Face, Inclusion, Niche, Opening, OpeningShape, Path, Profile, Taper, WallDrawing,
};
pub use fault::{Fault, Limits, Place, Rule, Subject};
pub use measured::{Lift, WallMeasure};
pub use working::{Sections, Slice, Working};

/// Measures the walls of a job, each in the order given, or tells every fault of all of them.
pub fn measure(walls: &[WallDrawing]) -> Result<Vec<WallMeasure>, Vec<Fault>> {
    let _ = walls;
    Err(Vec::new())
}
