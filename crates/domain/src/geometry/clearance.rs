//! What the openings and niches of a wall must keep clear of: its top, its ends, its thickness and one another.
//! What its neighbours cut off at a junction is in `fit`.

use hod_units::Length;

use super::displaced::{Reach, Void};
use super::drawing::{OpeningShape, Path, WallDrawing};
use super::fault::{Faults, Rule};
use super::figure::{length, metres};
use super::profile::Top;
use super::section::Linear;
use super::voids::{drawn, place};

/// Touching is not overlapping: what floating point may add to a sum of two lengths, m.
pub(super) const TOUCH: f64 = 1e-9;

/// Checks the voids of a wall whose own sizes are sound.
pub(super) fn clearances(
    index: usize,
    wall: &WallDrawing,
    voids: &[Void],
    top: &Top,
    thickness: Linear,
    faults: &mut Faults,
) {
    for (number, void) in voids.iter().enumerate() {
        let mut add = |field, rule| faults.add(index, place(wall, number), field, rule);
        if let Some(rule) = outside(void, wall, top) {
            add("at_m", rule);
        }
        if let Some(rule) = too_low(void, wall) {
            add("sill_m", rule);
        } else if let Some(rule) = too_high(void, top) {
            let is_circle = matches!(drawn(wall, number).1, OpeningShape::Circle);
            add(if is_circle { "width_m" } else { "height_m" }, rule);
        }
        if let Some(rule) = too_deep(void, top, thickness) {
            add("depth_mm", rule);
        }
        // The first that it overlaps: of a heap of them, each is told once.
        let overlap = (0..number).find_map(|other| {
            overlap(void, &voids[other], thickness).map(|overlap| overlap.rule(wall, other))
        });
        if let Some(rule) = overlap {
            add("at_m", rule);
        }
    }
}

/// A length for a message.
pub(super) fn told(metres: f64) -> Length {
    length(metres).unwrap_or_default()
}

/// On the outer face it must lie between the ends of the centre line. How far a splay may reach is the cuts' affair.
pub(super) fn is_outside(void: &Void, length: f64) -> bool {
    // Written so that what is not a number is outside.
    !(-TOUCH <= void.at && void.at + void.elevation.width <= length + TOUCH)
}

fn outside(void: &Void, wall: &WallDrawing, top: &Top) -> Option<Rule> {
    if !is_outside(void, top.length) {
        return None;
    }
    let (from, to) = (void.at, void.at + void.elevation.width);
    let length = match wall.path {
        Path::Straight { length } => length,
        Path::Arc { .. } => told(top.length),
    };
    Some(Rule::OpeningOutsideWall {
        from: told(from),
        to: told(to),
        length,
    })
}

/// Its sill must not go through the stem wall, and its top must be above that.
fn too_low(void: &Void, wall: &WallDrawing) -> Option<Rule> {
    let e = &void.elevation;
    if e.sill < 0.0 && e.sill < -metres(wall.stem_height) - TOUCH {
        Some(Rule::SillBelowStemWall {
            sill: told(e.sill),
            stem_height: wall.stem_height,
        })
    } else if e.top <= 0.0 {
        Some(Rule::OpeningBelowWall { top: told(e.top) })
    } else {
        None
    }
}

/// Its top must stay under the wall's over its whole width, on the wider face.
fn too_high(void: &Void, top: &Top) -> Option<Rule> {
    let (from, to) = void.extent();
    // The wall's top rises to its peak and falls: it is lowest at one of the two sides.
    let wall_height = top.height(from).min(top.height(to));
    (wall_height + TOUCH < void.elevation.top).then(|| Rule::OpeningTallerThanWall {
        top: told(void.elevation.top),
        wall_height: told(wall_height),
    })
}

/// A niche must leave some of the thickness at its top, where the wall is thinnest beside it.
fn too_deep(void: &Void, top: &Top, thickness: Linear) -> Option<Rule> {
    let Reach::From { depth, .. } = void.reach else {
        return None;
    };
    let there = thickness.at(void.elevation.top.min(top.peak));
    (there <= depth).then(|| Rule::NicheTooDeep {
        depth: told(depth),
        thickness: told(there),
    })
}

/// How one void gets in the way of another.
enum Overlap {
    /// The rectangles around them overlap.
    Shared,
    /// Niches of opposite faces, whose depths leave nothing between them.
    Met { depths: f64, thickness: f64 },
}

impl Overlap {
    /// The rule broken, told of the void of this number.
    fn rule(&self, wall: &WallDrawing, other: usize) -> Rule {
        let other_id = drawn(wall, other).0.to_owned();
        match *self {
            Self::Shared => Rule::OpeningsOverlap {
                other: place(wall, other),
                other_id,
            },
            Self::Met { depths, thickness } => Rule::NichesMeet {
                other_id,
                depths: told(depths),
                thickness: told(thickness),
            },
        }
    }
}

/// Two voids overlap when the rectangles around them do; touching edges do not. Niches of opposite faces may stand
/// back to back if their depths leave earth between them.
fn overlap(a: &Void, b: &Void, thickness: Linear) -> Option<Overlap> {
    let ((a_from, a_to), (b_from, b_to)) = (a.extent(), b.extent());
    let low = a.elevation.sill.max(b.elevation.sill);
    let high = a.elevation.top.min(b.elevation.top);
    if a_to <= b_from + TOUCH || b_to <= a_from + TOUCH || high <= low + TOUCH {
        return None;
    }
    match (a.reach, b.reach) {
        (
            Reach::From { face, depth },
            Reach::From {
                face: other_face,
                depth: other_depth,
            },
        ) if face != other_face => {
            let (depths, thickness) = (depth + other_depth, thickness.at(high.max(0.0)));
            (thickness <= depths + TOUCH).then_some(Overlap::Met { depths, thickness })
        }
        _ => Some(Overlap::Shared),
    }
}
