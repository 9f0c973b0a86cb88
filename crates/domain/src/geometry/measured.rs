//! What measuring gives: a wall's volumes, faces, reveals and lifts, as decimals at a stated step.
//! Holds the figures only; how they come about is in the other files of this folder.

use std::ops::Range;

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
    /// What of the inner face stands behind the ends of walls that run into it, up to their own tops: no part of it is to
    /// be seen or plastered.
    pub inner_covered: Area,
    /// What of the outer face does.
    pub outer_covered: Area,
    /// Jambs, heads and sills of openings and niches; no sill at or below 0.
    pub reveal: Area,
    /// Of the centre line of the base, as drawn.
    pub length: Length,
    /// Of the base between its cuts, openings not taken out.
    pub plan_area: Area,
    /// From the bottom up. Their volumes sum to `placed`, their nets to `net`, and their faces to the wall's.
    pub lifts: Vec<Lift>,
    /// Its zones from the bottom up, always one at least: the first begins at 0, the others where they are drawn to.
    /// Their figures sum to the wall's.
    pub zones: Vec<ZoneMeasure>,
    /// Its openings, in the order drawn.
    pub openings: Vec<OpeningMeasure>,
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
    /// Which of the wall's zones it belongs to; 0 is the lowest. No lift reaches from one into the next.
    pub zone: u32,
    /// Placed volume between the two levels.
    pub volume: Volume,
    /// Finished volume between them: what the wall's `net` is of the whole.
    pub net: Volume,
    /// Of the inner face between them, as the wall's `inner_face`.
    pub inner_face: Area,
    /// Of the outer face likewise.
    pub outer_face: Area,
}

/// An opening measured, each figure by itself. Lengths are to 1e-6 m.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct OpeningMeasure {
    /// On the outer face, along the centre line, as drawn.
    pub width_outer: Length,
    /// On the inner face likewise: with the splay.
    pub width_inner: Length,
    /// From the sill to the top of the head, all of it, in the stem wall too.
    pub height: Length,
    /// Of its outline on the outer face in elevation, along the centre line; only what is above 0.
    pub area_outer: Area,
    /// On the inner face likewise.
    pub area_inner: Area,
    /// What it takes out of the wall above 0.
    pub volume: Volume,
    /// Reveal of both straight sides; none of a circle.
    pub jamb: Area,
    /// Reveal of the level head or the arch; of a circle all round.
    pub head: Area,
    /// Reveal of the sill; none at or below 0, nor of a circle.
    pub sill: Area,
    /// Whether its head is other than level.
    pub is_arched: bool,
    /// Of the wall, at the top of the head.
    pub thickness_at_head: Length,
    /// What it cuts out of the stem wall, where its sill is below 0.
    pub cuts_stem: Option<CutStem>,
    /// Whether its sill is at or below 0: it then stands at the edge of the measured face, not within it.
    pub is_at_base: bool,
}

/// What an opening cuts out of the stem wall under a wall, from its top down.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct CutStem {
    /// The opening's drawn width.
    pub width: Length,
    /// How far below the top of the stem wall its sill is.
    pub depth: Length,
}

/// The part of a wall between two heights that is built of one thing.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct ZoneMeasure {
    /// Its lower level.
    pub from: Length,
    /// Its upper level: where the next begins, or the wall's greatest height.
    pub to: Length,
    /// `net + displaced`, exactly.
    pub gross: Volume,
    /// Openings, niches and its share of the inclusions, which are spread in proportion to earth.
    pub displaced: Volume,
    /// The finished volume; the sum of its lifts' nets.
    pub net: Volume,
    /// Net, with its own paring on both faces; the sum of its lifts' volumes.
    pub placed: Volume,
    /// Its part of the inner face; the sum of its lifts'.
    pub inner_face: Area,
    /// Its part of the outer face.
    pub outer_face: Area,
    /// Which of the wall's lifts are its own, counted from 0.
    pub lifts: Range<usize>,
    /// Mean length in plan between its cuts and slopes, openings not taken out: with its height and the thickness
    /// half-way up, `mean_length x (to - from) x (thickness_from + thickness_to) / 2` comes to its gross. To 1e-6 m.
    pub mean_length: Length,
    /// The wall's thickness at its lower level, to 1e-6 m.
    pub thickness_from: Length,
    /// At its upper level.
    pub thickness_to: Length,
}
