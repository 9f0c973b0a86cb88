//! What measuring gives: a wall's volumes, faces, reveals and lifts, as decimals at a stated step.
//! Holds the figures only; how they come about is in the other files of this folder.

use hod_units::{Area, Length, Volume};

use super::working::Working;

/// A wall measured. Volumes are to 1e-6 m3 and areas to 1e-6 m2.
#[derive(Debug, Clone, PartialEq)]
pub struct WallMeasure {
    /// The wall's id.
    pub id: String,
    /// Between its faces, cuts and top, with nothing taken out.
    pub gross: Volume,
    /// Openings, niches and inclusions: all that takes the place of earth.
    pub displaced: Volume,
    /// `gross - displaced`, exactly: the finished volume.
    pub net: Volume,
    /// Net, with the paring on both faces: what is placed before it is trimmed.
    pub placed: Volume,
    /// The inner face on its true slope, less openings. A niche's back stands for its mouth.
    pub inner_face: Area,
    /// The outer face likewise.
    pub outer_face: Area,
    /// Jambs, heads and sills of openings and niches; no sill at or below 0.
    pub reveal: Area,
    /// Of the centre line of the base, as drawn.
    pub length: Length,
    /// Of the base between its cuts, openings not taken out.
    pub plan_area: Area,
    /// From the bottom up. Their volumes sum to `placed`.
    pub lifts: Vec<Lift>,
    /// How the gross volume comes about.
    pub working: Working,
}

/// One pass of placed height.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Lift {
    /// From 1 at the bottom.
    pub number: u32,
    /// Its lower level.
    pub from: Length,
    /// Its upper level.
    pub to: Length,
    /// Placed volume between the two levels.
    pub volume: Volume,
}
