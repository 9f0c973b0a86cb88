//! What the openings and niches of a wall must keep clear of: its top, its ends, its thickness and one another.
//! What its neighbours cut off at a junction is in `fit`.

use hod_units::Length;

use super::displaced::{Reach, Void};
use super::drawing::{OpeningShape, WallDrawing};
use super::fault::{Faults, Place, Rule};
use super::figure::{length, metres};
use super::profile::Top;
use super::section::Linear;

/// Touching is not overlapping: what floating point may add to a sum of two lengths, m.
pub(super) const TOUCH: f64 = 1e-9;

/// A void, where it stands in the drawing and how it is drawn.
struct Placed<'w> {
    void: Void,
    place: Place,
    id: &'w str,
    shape: &'w OpeningShape,
    sill: Length,
}

/// Checks the voids of a wall whose own sizes are sound.
pub(super) fn clearances(
    index: usize,
    wall: &WallDrawing,
    top: &Top,
    thickness: Linear,
    faults: &mut Faults,
) {
    if wall.openings.is_empty() && wall.niches.is_empty() {
        return;
    }
    let voids = placed(wall);
    for (number, placed) in voids.iter().enumerate() {
        let mut add = |field, rule| faults.add(index, placed.place, field, rule);
        if let Some((field, rule)) = outside(placed, wall, top) {
            add(field, rule);
        }
        if let Some((field, rule)) = above_or_below(placed, wall, top) {
            add(field, rule);
        }
        if let Some(rule) = too_deep(&placed.void, top, thickness) {
            add("depth_mm", rule);
        }
        // The first that it overlaps: of a heap of them, each is told once.
        let overlap = voids[..number]
            .iter()
            .find_map(|other| overlap(placed, other, thickness));
        if let Some(rule) = overlap {
            add("at_m", rule);
        }
    }
}

/// The openings and then the niches of a wall.
fn placed(wall: &WallDrawing) -> Vec<Placed<'_>> {
    let openings = wall
        .openings
        .iter()
        .enumerate()
        .map(|(index, opening)| Placed {
            void: Void::of_opening(opening),
            place: Place::Opening(index),
            id: &opening.id,
            shape: &opening.shape,
            sill: opening.sill,
        });
    let niches = wall.niches.iter().enumerate().map(|(index, niche)| Placed {
        void: Void::of_niche(niche),
        place: Place::Niche(index),
        id: &niche.id,
        shape: &niche.shape,
        sill: niche.sill,
    });
    openings.chain(niches).collect()
}

/// A length for a message.
pub(super) fn told(metres: f64) -> Length {
    length(metres).unwrap_or_default()
}

/// On the outer face it must lie between the ends of the centre line. How far a splay may reach is the cuts' affair.
fn outside(placed: &Placed, wall: &WallDrawing, top: &Top) -> Option<(&'static str, Rule)> {
    let (from, to) = (placed.void.at, placed.void.at + placed.void.elevation.width);
    let is_inside = -TOUCH <= from && to <= top.length + TOUCH;
    let length = match wall.path {
        super::drawing::Path::Straight { length } => length,
        super::drawing::Path::Arc { .. } => told(top.length),
    };
    let rule = Rule::OpeningOutsideWall {
        from: told(from),
        to: told(to),
        length,
    };
    (!is_inside).then_some(("at_m", rule))
}

/// Its sill must not go through the stem wall, its top must be above 0 and below the wall's top over its whole width.
fn above_or_below(placed: &Placed, wall: &WallDrawing, top: &Top) -> Option<(&'static str, Rule)> {
    let e = &placed.void.elevation;
    if e.sill < -metres(wall.stem_height) - TOUCH {
        let rule = Rule::SillBelowStemWall {
            sill: placed.sill,
            stem_height: wall.stem_height,
        };
        return Some(("sill_m", rule));
    }
    if e.top <= 0.0 {
        return Some(("sill_m", Rule::OpeningBelowWall { top: told(e.top) }));
    }
    let (from, to) = placed.void.extent();
    // The top rises to its peak and falls: it is lowest at one of the two sides.
    let lowest = top.height(from).min(top.height(to));
    let field = match placed.shape {
        OpeningShape::Circle => "width_m",
        _ => "height_m",
    };
    let rule = Rule::OpeningTallerThanWall {
        top: told(e.top),
        wall_height: told(lowest),
    };
    (lowest + TOUCH < e.top).then_some((field, rule))
}

/// A niche must leave some of the thickness at its top, where the wall is thinnest beside it.
fn too_deep(void: &Void, top: &Top, thickness: Linear) -> Option<Rule> {
    let Reach::From { depth, .. } = void.reach else {
        return None;
    };
    let there = thickness.at(void.elevation.top.min(top.peak));
    let rule = Rule::NicheTooDeep {
        depth: told(depth),
        thickness: told(there),
    };
    (there <= depth).then_some(rule)
}

/// Two voids overlap when the rectangles around them do; touching edges do not. Niches of opposite faces may stand
/// back to back if their depths leave earth between them.
fn overlap(placed: &Placed, other: &Placed, thickness: Linear) -> Option<Rule> {
    let (a, b) = (&placed.void, &other.void);
    let ((a_from, a_to), (b_from, b_to)) = (a.extent(), b.extent());
    let (low, high) = (
        a.elevation.sill.max(b.elevation.sill),
        a.elevation.top.min(b.elevation.top),
    );
    if a_to <= b_from + TOUCH || b_to <= a_from + TOUCH || high <= low + TOUCH {
        return None;
    }
    if let (
        Reach::From { face, depth },
        Reach::From {
            face: other_face,
            depth: other_depth,
        },
    ) = (a.reach, b.reach)
        && face != other_face
    {
        let (depths, there) = (depth + other_depth, thickness.at(high.max(0.0)));
        let rule = Rule::NichesMeet {
            other_id: other.id.to_owned(),
            depths: told(depths),
            thickness: told(there),
        };
        return (there <= depths + TOUCH).then_some(rule);
    }
    Some(Rule::OpeningsOverlap {
        other: other.place,
        other_id: other.id.to_owned(),
    })
}
