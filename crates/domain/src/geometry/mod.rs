//! The exact geometry of walls: drawings in; volumes, faces, reveals and lifts out, or every fault of the drawings.
//!
//! Knows walls, openings and junctions. Leaves to others what they are built of, how long it takes and what it costs.
//!
//! How a wall is measured, and where:
//! 1. `check`, `junction`, `run`, `clearance`, `fit`, `crowding`, `crossing`: every fault of every drawing, or none.
//! 2. `section`, `profile`, `path`: faces by offset from the centre line, the top, the line itself; `cut`: where each end
//!    is cut at each height, square, along a mitre, or at another wall's face.
//! 3. `solid`: plan area and face lengths at a height. Between two breaks they are a cubic of the height at most, and
//!    integrated in closed form, wherever straight walls, square ends and plain slopes meet; else (mitres of arcs, a slope
//!    that runs through a cut, two walls that share a corner) `quadrature` closes in on the integral to 1e-13.
//! 4. `elevation`, `displaced`, `reveal`, `opening`: openings and niches, by moments of their outlines in closed form.
//! 5. `covered`: what of a face stands behind the ends of walls that run into it.
//! 6. `bands`, `lift`, `measure`, `telling`: lift by lift and zone by zone, and into decimals.
//! 7. `enclosed`, `ring`: what a closed run encloses, for floors. `dome`: the domes of ovens.
//!
//! Where the rule says less than a case needs, this is what is done:
//! - Above the lower of two walls at a corner the higher is cut square there. Where both have earth on the inside of the
//!   corner above that height, it is shared along the mitre, carried on upward (`overlap`).
//! - A wall that runs into another is cut at its face up to the other's height where the two centre lines meet, and at its
//!   centre line above that, over its whole width: where the other slopes just there, what is counted twice on its lower
//!   side is left out on its higher.
//! - A wall covers as much of the face of the wall that it runs into as it stands against, up to its own top and to the
//!   other's; a corner of unequal heights covers nothing.
//! - Lifts begin anew where a wall is built of something else above a height, and none reaches across.
//! - A wall does not thicken upward.
//!
//! This is the one place of the crate that reckons in floating point: with + - * / and square roots, which are exact
//! to the last bit everywhere, and with `libm` for the rest, so that every machine comes to the same digits.

mod angle;
mod assembly;
mod bands;
mod check;
mod clearance;
mod covered;
mod crossing;
mod crowding;
mod curve;
mod cut;
mod displaced;
mod dome;
mod drawing;
mod elevation;
mod enclosed;
mod fault;
mod figure;
mod fit;
mod junction;
mod lift;
mod measure;
mod measured;
mod opening;
mod outline;
mod overlap;
mod path;
mod point;
mod profile;
mod quadrature;
#[cfg(test)]
mod reckoning;
mod reveal;
mod ring;
mod run;
mod section;
mod sentence;
mod solid;
mod telling;
mod voids;
mod working;

pub use dome::{DomeDrawing, DomeLayer, DomeMeasure, measure_dome};
pub use drawing::{
    Batter, End, Face, Inclusion, Niche, Opening, OpeningShape, Path, Profile, Taper, WallDrawing,
    Zone,
};
pub use enclosed::{NotEnclosed, enclosed_area};
pub use fault::{Fault, Limits, Place, Rule, Subject};
pub use measure::measure;
pub use measured::{CutStem, Lift, OpeningMeasure, WallMeasure, ZoneMeasure};
pub use working::{Sections, Slice, Working};
