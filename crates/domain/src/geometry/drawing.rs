//! What is drawn: a wall's centre line, top, thickness, ends, openings, niches and inclusions, as it was given.
//! Holds the words only. What may stand in them is for `check`, what they amount to is for `measure`.

use hod_units::{Decimal, Length, Volume};

use super::lift::{parts, whole_lifts};

/// A wall as drawn.
///
/// Heights are above the top of the stem wall. Positions along the wall are on the centre line of its base, from its
/// start. Left and right are those of somebody who walks along it from start to end.
#[derive(Debug, Clone, PartialEq)]
pub struct WallDrawing {
    /// The name by which other walls and messages know it; no two of a job may share one.
    pub id: String,
    /// The centre line of its base.
    pub path: Path,
    /// Its top.
    pub profile: Profile,
    /// Thickness at the base: finished, after paring, before plaster. 0.02 to 5 m.
    pub thickness: Length,
    /// How it thins upward; plumb on both faces when none.
    pub taper: Option<Taper>,
    /// How its start meets another wall.
    pub start: End,
    /// How its far end does.
    pub end: End,
    /// At a corner at the far end: degrees the next wall turns to the left, -150 to 150; 90 when none.
    pub turn_degrees: Option<Decimal>,
    /// What goes through it.
    pub openings: Vec<Opening>,
    /// What is hollowed out of it.
    pub niches: Vec<Niche>,
    /// What is built into it.
    pub inclusions: Vec<Inclusion>,
    /// Its parts above a height that are built of something else, from the lowest up; below the first the wall's own
    /// lift height and paring hold.
    pub zones: Vec<Zone>,
    /// Height of a lift, 0.05 to 2 m; the lesser of the base thickness and 0.45 m when none.
    pub lift_height: Option<Length>,
    /// Height of the stem wall under it, 0 to 5 m: how far down a sill may go.
    pub stem_height: Length,
    /// Trimmed off each face, 0 to 0.2 m.
    pub paring: Length,
}

/// The part of a wall above a height, up to the next such part or the top, where it is built of something else.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Zone {
    /// Where it begins: above 0 and above the zone before it, below the wall's greatest height. Its lifts are
    /// reckoned from here.
    pub from: Length,
    /// Height of its lifts, as of the wall's own.
    pub lift_height: Option<Length>,
    /// Trimmed off each of its faces, 0 to 0.2 m.
    pub paring: Length,
}

/// The centre line of a wall's base.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Path {
    /// A straight one.
    Straight {
        /// 0.01 to 1,000 m.
        length: Length,
    },
    /// Part of a circle, or all of it.
    Arc {
        /// Of the centre line, at most 1,000 m.
        radius: Length,
        /// -360 to 360, not 0; positive bends to the left.
        bend_degrees: Decimal,
    },
}

/// The top of a wall, along its centre line.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Profile {
    /// Level.
    Level {
        /// 0.05 to 30 m.
        height: Length,
    },
    /// A straight slope from start to end.
    Slope {
        /// At the start, 0.05 to 30 m.
        height: Length,
        /// At the end, 0.05 to 30 m.
        height_end: Length,
    },
    /// Straight from the start up to a peak and straight down to the end.
    Peak {
        /// At the start, 0.05 to 30 m.
        height: Length,
        /// At the peak, at least as high as both ends.
        peak: Length,
        /// Where the peak stands, between start and end.
        peak_at: Length,
        /// At the end; as at the start when none.
        height_end: Option<Length>,
    },
}

impl Profile {
    /// Where it is highest.
    pub(super) fn highest(&self) -> Length {
        match *self {
            Self::Level { height } => height,
            Self::Slope { height, height_end } => height.max(height_end),
            Self::Peak { peak, .. } => peak,
        }
    }
}

impl WallDrawing {
    /// How many lifts it comes to at most, zone by zone; none where its sizes make no count.
    pub fn lifts_at_most(&self) -> Option<u64> {
        let mut count = 0_u64;
        for part in parts(self) {
            count = count.checked_add(whole_lifts(&part)?)?;
        }
        Some(count)
    }
}

/// How a wall thins upward: in a straight line, from its base to its greatest height.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Taper {
    /// Thickness at the wall's greatest height, at most that of the base.
    pub thickness_top: Length,
    /// Which face leans.
    pub batter: Batter,
}

/// Which face of a tapering wall leans.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Batter {
    /// Both, alike.
    Both,
    /// The outer; the inner is plumb.
    Outer,
    /// The inner; the outer is plumb.
    Inner,
}

/// How one end of a wall meets another wall.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum End {
    /// It does not: the wall is cut square.
    Free,
    /// It meets an end of the other: its far end the other's start, or its start the other's far end.
    Corner {
        /// The other wall's id.
        wall: String,
    },
    /// It runs into the side of the other, and is drawn to the other's centre line.
    Into {
        /// The other wall's id.
        wall: String,
        /// Where on the other's centre line, from its start.
        at: Length,
        /// Degrees from this wall's direction of travel to the other's there, 30 to 150 to either side; positive
        /// turns to the left.
        turn_degrees: Decimal,
    },
}

/// The outline of an opening or a niche.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum OpeningShape {
    /// Straight sides, level head.
    Rectangle {
        /// Of the sides, 0.05 to 20 m.
        height: Length,
    },
    /// Straight sides to the springing, then one arc.
    Segmental {
        /// Of the sides, to 20 m; 0 when the arc springs from the sill.
        height: Length,
        /// Of the arc above the springing, at most half the width.
        rise: Length,
    },
    /// Straight sides to the springing, then half a circle.
    Semicircular {
        /// Of the sides, to 20 m; 0 when the arch springs from the sill.
        height: Length,
    },
    /// Straight sides to the springing, then two arcs, each with the width as its radius: it rises 0.866 of the width.
    Pointed {
        /// Of the sides, to 20 m; 0 when the arch springs from the sill.
        height: Length,
    },
    /// A full circle, of the width as its diameter, standing on the sill.
    Circle,
}

/// What goes through a wall.
#[derive(Debug, Clone, PartialEq)]
pub struct Opening {
    /// Its name on its wall.
    pub id: String,
    /// Its outline on the outer face.
    pub shape: OpeningShape,
    /// On the outer face, along the centre line, 0.05 to 20 m.
    pub width: Length,
    /// Its bottom; negative goes down into the stem wall.
    pub sill: Length,
    /// Its near edge, from the wall's start.
    pub at: Length,
    /// Extra width on the inner face, shared by both jambs; 0 or more.
    pub splay: Length,
}

/// A face of a wall. The inner is on the enclosed side of a closed run, else on the centre's side of an arc, else on
/// the left.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Face {
    /// The inner.
    Inner,
    /// The outer.
    Outer,
}

/// What is hollowed out of a wall and does not go through.
#[derive(Debug, Clone, PartialEq)]
pub struct Niche {
    /// Its name on its wall.
    pub id: String,
    /// Its outline.
    pub shape: OpeningShape,
    /// Along the centre line, 0.05 to 20 m.
    pub width: Length,
    /// Its bottom.
    pub sill: Length,
    /// Its near edge, from the wall's start.
    pub at: Length,
    /// How deep from its face, level; less than the wall is thick there.
    pub depth: Length,
    /// The face it opens to.
    pub face: Face,
}

/// What is built into a wall and takes the place of earth: bottles, posts, stones.
#[derive(Debug, Clone, PartialEq)]
pub struct Inclusion {
    /// Its name on its wall.
    pub id: String,
    /// How many, 1 to 100,000.
    pub count: u32,
    /// Of one, 0.001 to 10,000 litres.
    pub volume: Volume,
}
