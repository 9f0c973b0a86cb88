//! Whether walls fit together at their junctions: faces that meet, cuts that do not cross, openings clear of both.
//! Needs whole solids; sizes and openings of a wall by itself are checked before.

use super::clearance::{TOUCH, told};
use super::cut::{Cut, Shape};
use super::displaced::Void;
use super::drawing::WallDrawing;
use super::fault::{Faults, Place, Rule};
use super::junction::{Link, field};
use super::overlap::WallEnd;
use super::section::Side;
use super::solid::Solid;

/// Between two heights a cut that is not even is looked at this many times. Its position bends so little over a wall's
/// height that what lies between two looks is below a tenth of a millimetre.
const LOOKS: usize = 9;

/// Checks the junctions of one wall, and what is near them.
pub(super) fn fits(
    index: usize,
    wall: &WallDrawing,
    solid: &Solid,
    links: &[Link; 2],
    faults: &mut Faults,
) {
    let mut meets = true;
    for end in WallEnd::BOTH {
        if let Some(other) = links[end.index()].wall()
            && !faces_meet(solid, end)
        {
            meets = false;
            let rule = Rule::FacesDoNotMeet {
                other: faults.name(other).to_owned(),
            };
            faults.add(index, Place::Wall, field(end), rule);
        }
    }
    if !meets {
        return;
    }
    if let Some(taken) = crossed(solid) {
        let length = told(solid.centre.length);
        let rule = Rule::WallTooShortForItsCorners {
            length,
            taken: told(taken),
        };
        faults.add(index, Place::Wall, "length_m", rule);
        return;
    }
    let openings = wall.openings.iter().map(Void::of_opening).enumerate();
    for (number, void) in openings {
        clear_of_cuts(index, Place::Opening(number), &void, solid, links, faults);
    }
    let niches = wall.niches.iter().map(Void::of_niche).enumerate();
    for (number, void) in niches {
        clear_of_cuts(index, Place::Niche(number), &void, solid, links, faults);
    }
}

/// Up to which height a cut has to do with a wall: to where it ends, or on to where the neighbour's overlap does.
fn height(solid: &Solid, end: WallEnd) -> f64 {
    let below = solid.cuts[end.index()].below.min(solid.top.peak);
    solid.overlaps[end.index()].map_or(below, |overlap| below.max(overlap.to))
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

/// Whether both faces meet the other wall's at all heights, and no farther off than this wall is long.
fn faces_meet(solid: &Solid, end: WallEnd) -> bool {
    let cut = &solid.cuts[end.index()];
    looks(cut, 0.0, height(solid, end)).all(|z| {
        let (left, right) = cut.positions(&solid.faces, z);
        // What is not a number is not within the length either.
        left.abs() <= solid.centre.length && right.abs() <= solid.centre.length
    })
}

/// How much the two ends take of one face together, if that is all of it or more.
fn crossed(solid: &Solid) -> Option<f64> {
    let [start, far] = &solid.cuts;
    let length = solid.centre.length;
    let to = height(solid, WallEnd::Start).max(height(solid, WallEnd::Far));
    // A cut ends with a step at its height: looked at from just below both.
    let steps = WallEnd::BOTH.map(|end| height(solid, end));
    looks(start, 0.0, to)
        .chain(looks(far, 0.0, to))
        .chain(steps)
        .filter_map(|z| {
            let start = cut_at(start, solid, z, height(solid, WallEnd::Start));
            let far = cut_at(far, solid, z, height(solid, WallEnd::Far));
            (0..3)
                .map(|lane| start[lane] - far[lane])
                .max_by(f64::total_cmp)
        })
        .max_by(f64::total_cmp)
        .filter(|taken| length <= *taken)
}

/// Positions of a cut on the left face, the right face and midway, at a height; square above its own.
fn cut_at(cut: &Cut, solid: &Solid, z: f64, height: f64) -> [f64; 3] {
    if height < z {
        return [0.0; 3];
    }
    let (left, right) = cut.positions(&solid.faces, z);
    [left, right, cut.middle(&solid.faces, z)]
}

/// A void must keep clear of both cuts, on both faces and midway, at all its heights.
fn clear_of_cuts(
    index: usize,
    place: Place,
    void: &Void,
    solid: &Solid,
    links: &[Link; 2],
    faults: &mut Faults,
) {
    for end in WallEnd::BOTH {
        let Some((edge, cut)) = intrusion(void, solid, end) else {
            continue;
        };
        let rule = match links[end.index()].wall() {
            Some(other) => Rule::OpeningInJunction {
                other: faults.name(other).to_owned(),
                edge: told(edge),
                cut: told(cut),
            },
            None => {
                let (from, to) = void.extent();
                Rule::OpeningOutsideWall {
                    from: told(from),
                    to: told(to),
                    length: told(solid.centre.length),
                }
            }
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
        .map(|z| cut_at(cut, solid, z, height))
        .chain(square)
        .flat_map(|cuts| edges(void, solid.faces.inner, end).into_iter().zip(cuts))
        .map(|(edge, cut)| (edge, position + cut))
        .map(|(edge, cut)| {
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
