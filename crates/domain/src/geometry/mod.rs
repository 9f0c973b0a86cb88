//! The exact geometry of walls: drawings in; volumes, faces, reveals and lifts out, or every fault of the drawings.
//!
//! Knows walls, openings and junctions. Leaves to others what they are built of, how long it takes and what it costs.
//!
//! This is the one place of the crate that reckons in floating point: with + - * / and square roots, which are exact
//! to the last bit everywhere, and with `libm` for the rest, so that every machine comes to the same digits.

mod angle;
mod assembly;
mod bands;
mod check;
mod clearance;
mod curve;
mod cut;
mod displaced;
mod drawing;
mod elevation;
mod fault;
mod figure;
mod fit;
mod junction;
mod lift;
mod measure;
mod measured;
mod outline;
mod overlap;
mod path;
mod point;
mod profile;
mod quadrature;
mod reveal;
mod run;
mod section;
mod sentence;
mod solid;
mod voids;
mod working;

pub use drawing::{
    Batter, End, Face, Inclusion, Niche, Opening, OpeningShape, Path, Profile, Taper, WallDrawing,
};
pub use fault::{Fault, Limits, Place, Rule, Subject};
pub use measure::measure;
pub use measured::{Lift, WallMeasure};
pub use working::{Sections, Slice, Working};
