//! Walls put together: each as a solid, cut by what it meets at its ends.
//! Who meets whom is settled in `junction`, and which side is the inner in `run`.

use super::cut::{Cut, Meeting};
use super::drawing::{Batter, WallDrawing};
use super::figure::metres;
use super::junction::{Link, landing};
use super::overlap::{Limb, Overlap, WallEnd};
use super::path::CentreLine;
use super::point::Turn;
use super::profile::Top;
use super::section::{Faces, Linear, Side};
use super::solid::Solid;

/// A wall by itself, before its neighbours cut it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Body {
    pub(super) centre: CentreLine,
    pub(super) top: Top,
    pub(super) faces: Faces,
}

impl Body {
    pub(super) fn new(wall: &WallDrawing, centre: CentreLine, inner: Side) -> Self {
        let top = Top::of(&wall.profile, centre.length);
        let thickness = thickness(wall, &top);
        let batter = wall.taper.map_or(Batter::Both, |taper| taper.batter);
        Self {
            centre,
            top,
            faces: Faces::new(
                thickness.base,
                -thickness.per_metre,
                batter,
                inner,
                centre.curvature,
            ),
        }
    }

    fn limb(&self, end: WallEnd) -> Limb {
        Limb {
            faces: self.faces,
            top: self.top,
            end,
        }
    }

    /// Height of the top at an end.
    fn height(&self, end: WallEnd) -> f64 {
        match end {
            WallEnd::Start => self.top.start,
            WallEnd::Far => self.top.end,
        }
    }
}

/// Thickness by height: it falls evenly from the base to the wall's greatest height.
/// 0.450 m to 0.400 m over 2.40 m: 0.020833 m each metre.
fn thickness(wall: &WallDrawing, top: &Top) -> Linear {
    let base = metres(wall.thickness);
    let loss = wall
        .taper
        .map_or(0.0, |taper| (base - metres(taper.thickness_top)) / top.peak);
    Linear {
        base,
        per_metre: -loss,
    }
}

/// The wall as a solid. `None` when one that it meets has faults of its own, or it cannot meet it as drawn.
pub(super) fn assemble(
    index: usize,
    bodies: &[Option<Body>],
    links: &[[Link; 2]],
) -> Option<Solid> {
    let own = bodies[index].as_ref()?;
    let mut solid = Solid {
        centre: own.centre,
        top: own.top,
        faces: own.faces,
        cuts: [Cut::SQUARE; 2],
        overlaps: [None, None],
    };
    for end in WallEnd::BOTH {
        let (cut, overlap) = match links[index][end.index()] {
            Link::Free => continue,
            Link::Refused => return None,
            Link::Corner { wall, turn } => {
                let other = bodies[wall].as_ref()?;
                let meeting = mitre(other, turn);
                let below = own.height(end).min(other.height(end.other()));
                let overlap = Overlap::new(
                    own.limb(end),
                    other.limb(end.other()),
                    meeting,
                    mitre(own, turn.back()),
                    below,
                );
                (Cut::new(&own.faces, meeting, below), overlap)
            }
            Link::Into { host, at, turn } => {
                let host = bodies[host].as_ref()?;
                // Up to the host's top where the two centre lines meet; above that on to its centre line, and square.
                let below = host.top.height(at);
                (
                    Cut::new(&own.faces, side(&host.faces, end, turn), below),
                    None,
                )
            }
        };
        solid.cuts[end.index()] = cut;
        solid.overlaps[end.index()] = overlap.map(Box::new);
    }
    Some(solid)
}

/// The side of a host, as the wall sees it that runs into it at this end.
pub(super) fn side(host: &Faces, end: WallEnd, turn: Turn) -> Meeting {
    let face = host.face(landing(end, turn));
    Meeting {
        turn,
        other_curvature: host.curvature,
        other_left: face,
        other_right: face,
        follows_face: true,
    }
}

/// The other wall of a corner, as a wall sees it that turns so much to head as the other does.
fn mitre(other: &Body, turn: Turn) -> Meeting {
    Meeting {
        turn,
        other_curvature: other.centre.curvature,
        other_left: other.faces.left,
        other_right: other.faces.right,
        follows_face: false,
    }
}
