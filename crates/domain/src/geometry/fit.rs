//! Whether walls fit together at their junctions: faces that meet, cuts that do not cross, openings clear of both.
//! Needs whole solids; sizes and openings of a wall by itself are checked before.

use super::clearance::{TOUCH, is_outside, told};
use super::cut::{Cut, Shape};
use super::displaced::Void;
use super::drawing::WallDrawing;
use super::fault::{Faults, Place, Rule};
use super::junction::{Link, field};
use super::overlap::WallEnd;
use super::section::Side;
use super::solid::Solid;
use super::voids::place;

/// Between two heights a cut that is not even is looked at this many times. Its position bends so little over a wall's
/// height that what lies between two looks is below a tenth of a millimetre.
const LOOKS: usize = 9;

/// Checks the junctions of one wall, and what is near them.
pub(super) fn fits(
    index: usize,
    wall: &WallDrawing,
    voids: &[Void],
    solid: &Solid,
    links: &[Link; 2],
    faults: &mut Faults,
) {
    let reaches = WallEnd::BOTH.map(|end| Reaches::of(solid, end));
    let mut meets = true;
    for end in WallEnd::BOTH {
        let reaches = &reaches[end.index()];
        if let Some(other) = links[end.index()].wall()
            && !reaches.is_within(solid.centre.length)
        {
            meets = false;
            let other = faults.name(other).to_owned();
            faults.add(
                index,
                Place::Wall,
                field(end),
                Rule::FacesDoNotMeet { other },
            );
        }
    }
    // What follows means nothing where the faces do not meet.
    if meets && crosses(index, solid, &reaches, faults) {
        for (number, void) in voids.iter().enumerate() {
            clear_of_cuts(
                index,
                place(wall, number),
                void,
                solid,
                &reaches,
                links,
                faults,
            );
        }
    }
}

/// How far a cut reaches, at any height and anywhere across the wall, from the end of the centre line.
struct Reaches {
    /// Backward, at the least.
    low: f64,
    /// Forward, at the most.
    high: f64,
    /// Whether the faces meet the other wall's at all heights.
    meets: bool,
}

impl Reaches {
    fn of(solid: &Solid, end: WallEnd) -> Self {
        let cut = &solid.cuts[end.index()];
        let square = Self {
            low: 0.0,
            high: 0.0,
            meets: true,
        };
        let height = height(solid, end);
        match &cut.shape {
            Shape::Square => square,
            // At its ends, between which it lies.
            Shape::Even { left, right } => {
                [left.base, right.base, left.at(height), right.at(height)]
                    .into_iter()
                    .fold(square, Self::and)
            }
            Shape::Met(_) => looks(cut, 0.0, height)
                .flat_map(|z| positions(cut, solid, z))
                .fold(square, Self::and),
        }
    }

    fn and(self, position: f64) -> Self {
        Self {
            low: self.low.min(position),
            high: self.high.max(position),
            meets: self.meets && position.is_finite(),
        }
    }

    /// Whether both faces meet the other wall's at all heights, and no farther off than the wall is long.
    fn is_within(&self, length: f64) -> bool {
        self.meets && -length <= self.low && self.high <= length
    }
}

/// Up to which height a cut has to do with a wall: to where it ends, or on to where the neighbour's overlap does.
fn height(solid: &Solid, end: WallEnd) -> f64 {
    let below = solid.cuts[end.index()].below.min(solid.top.peak);
    let overlap = solid.overlaps[end.index()].as_ref();
    overlap.map_or(below, |overlap| below.max(overlap.to))
}

/// Heights at which to look, from one to another: both, and some between where the cut is not even.
fn looks(cut: &Cut, from: f64, to: f64) -> impl Iterator<Item = f64> {
    let count = if matches!(cut.shape, Shape::Met(_)) {
        LOOKS
    } else {
        2
    };
    (0..count).map(move |look| from + (to - from) * (look as f64 / (count - 1) as f64))
}

/// Positions of a cut on the left face, the right face and midway, at a height.
fn positions(cut: &Cut, solid: &Solid, z: f64) -> [f64; 3] {
    let (left, right) = cut.positions(&solid.faces, z);
    [left, right, cut.middle(&solid.faces, z)]
}

/// As [`positions`], and square above the height up to which the cut has to do with the wall.
fn positions_up_to(height: f64, cut: &Cut, solid: &Solid, z: f64) -> [f64; 3] {
    if z <= height {
        positions(cut, solid, z)
    } else {
        [0.0; 3]
    }
}

/// Whether the two ends leave something of each face at all heights.
fn crosses(index: usize, solid: &Solid, reaches: &[Reaches; 2], faults: &mut Faults) -> bool {
    let length = solid.centre.length;
    // Mostly even the farthest reaches of both, at whatever heights, leave enough.
    if reaches[0].high - reaches[1].low < length {
        return true;
    }
    match taken(solid).filter(|taken| length <= *taken) {
        None => true,
        Some(taken) => {
            let rule = Rule::WallTooShortForItsCorners {
                length: told(length),
                taken: told(taken),
            };
            faults.add(index, Place::Wall, "length_m", rule);
            false
        }
    }
}

/// The most that the two ends take of one face together.
fn taken(solid: &Solid) -> Option<f64> {
    let [start, far] = &solid.cuts;
    // A cut ends with a step at its height: it is looked at there too.
    let heights = WallEnd::BOTH.map(|end| height(solid, end));
    let to = heights[0].max(heights[1]);
    looks(start, 0.0, to)
        .chain(looks(far, 0.0, to))
        .chain(heights)
        .filter_map(|z| {
            let start = positions_up_to(heights[0], start, solid, z);
            let far = positions_up_to(heights[1], far, solid, z);
            (0..3)
                .map(|lane| start[lane] - far[lane])
                .max_by(f64::total_cmp)
        })
        .max_by(f64::total_cmp)
}

/// A void must keep clear of both cuts, on both faces and midway, at all its heights.
fn clear_of_cuts(
    index: usize,
    place: Place,
    void: &Void,
    solid: &Solid,
    reaches: &[Reaches; 2],
    links: &[Link; 2],
    faults: &mut Faults,
) {
    let (from, to) = void.extent();
    let length = solid.centre.length;
    if is_outside(void, length) {
        // Told already, by the wall alone.
        return;
    }
    // Mostly it is clear even of the farthest reaches.
    let is_clear = [
        reaches[0].high <= from + TOUCH,
        to <= length + reaches[1].low + TOUCH,
    ];
    for end in WallEnd::BOTH {
        if is_clear[end.index()] {
            continue;
        }
        let Some((edge, cut)) = intrusion(void, solid, end) else {
            continue;
        };
        let rule = match links[end.index()].wall() {
            Some(other) => Rule::OpeningInJunction {
                other: faults.name(other).to_owned(),
                edge: told(edge),
                cut: told(cut),
            },
            None => Rule::OpeningOutsideWall {
                from: told(from),
                to: told(to),
                length: told(length),
            },
        };
        faults.add(index, place, "at_m", rule);
    }
}

/// The side of a void that reaches farthest beyond a cut, and where the cut is there.
fn intrusion(void: &Void, solid: &Solid, end: WallEnd) -> Option<(f64, f64)> {
    let cut = &solid.cuts[end.index()];
    let (from, to) = (void.elevation.bottom(), void.elevation.top);
    let height = height(solid, end);
    let position = end.position(solid.centre.length);
    // Above the cut's own height the wall is square.
    let square = (height < to).then_some([0.0; 3]);
    looks(cut, from, to.min(height))
        .filter(|_| from <= height)
        .map(|z| positions(cut, solid, z))
        .chain(square)
        .flat_map(|cuts| edges(void, solid.faces.inner, end).into_iter().zip(cuts))
        .map(|(edge, cut)| {
            let cut = position + cut;
            let beyond = match end {
                WallEnd::Start => cut - edge,
                WallEnd::Far => edge - cut,
            };
            (beyond, edge, cut)
        })
        .max_by(|a, b| a.0.total_cmp(&b.0))
        .filter(|(beyond, ..)| TOUCH < *beyond)
        .map(|(_, edge, cut)| (edge, cut))
}

/// The side of a void that faces an end of its wall: on the left face, on the right face and midway.
fn edges(void: &Void, inner: Side, end: WallEnd) -> [f64; 3] {
    let half_splay = 0.5 * void.splay();
    let (edge, outward) = match end {
        WallEnd::Start => (void.at, -half_splay),
        WallEnd::Far => (void.at + void.elevation.width, half_splay),
    };
    let on = |side| if side == inner { edge + outward } else { edge };
    [on(Side::Left), on(Side::Right), edge + 0.5 * outward]
}
