//! Guests, the walls that run into the side of another: whether each has its place on the host's face to itself, clear
//! of other guests, of the host's corners and of its openings. What the host's face cuts off a guest is in `cut`.
//!
//! Footprints are compared at the base and at the greatest height shared, along the host's centre line. A guest beside
//! another on the far side of a joint without a turn is not compared with it.

use super::clearance::{TOUCH, told};
use super::displaced::{Reach, Void};
use super::drawing::{Face, WallDrawing};
use super::fault::{Faults, Place, Rule};
use super::junction::{Link, into_field, landing};
use super::overlap::WallEnd;
use super::path::{abreast, along};
use super::point::{Point, Turn};
use super::section::Side;
use super::solid::Solid;
use super::voids::{Voids, drawn, place};

/// One end of a wall on the face of another.
struct Guest<'s> {
    wall: usize,
    end: WallEnd,
    host: usize,
    /// The host's face that it stands on.
    side: Side,
    /// Along the host, of the place where the centre lines meet.
    at: f64,
    turn: Turn,
    own: &'s Solid,
    on: &'s Solid,
    /// [`Guest::footprint`] at the base.
    base: (f64, f64),
}

/// Checks that every guest has its place to itself. Walls that could not be put together are not judged.
pub(super) fn crowding(
    walls: &[WallDrawing],
    voids: &Voids,
    solids: &[Option<Solid>],
    links: &[[Link; 2]],
    faults: &mut Faults,
) {
    let mut guests = guests(solids, links);
    for guest in &guests {
        for end in WallEnd::BOTH {
            if let Some(rule) = guest.in_corner(end, solids, links, faults) {
                guest.add(rule, faults);
            }
        }
        if let Some(rule) = guest.in_opening(&walls[guest.host], voids.of_wall(guest.host)) {
            guest.add(rule, faults);
        }
    }
    guests.sort_by(|a, b| {
        let key = |guest: &Guest| (guest.host, guest.side == Side::Left);
        key(a).cmp(&key(b)).then(a.base.0.total_cmp(&b.base.0))
    });
    apart(&guests, faults);
}

fn guests<'s>(solids: &'s [Option<Solid>], links: &[[Link; 2]]) -> Vec<Guest<'s>> {
    let mut guests = Vec::new();
    for (wall, ends) in links.iter().enumerate() {
        for end in WallEnd::BOTH {
            let Link::Into { host, at, turn } = ends[end.index()] else {
                continue;
            };
            let (Some(own), Some(on)) = (&solids[wall], &solids[host]) else {
                continue;
            };
            let mut guest = Guest {
                wall,
                end,
                host,
                side: landing(end, turn),
                at,
                turn,
                own,
                on,
                base: (at, at),
            };
            guest.base = guest.footprint(0.0);
            guests.push(guest);
        }
    }
    guests
}

/// Of the guests on one face, in the order in which they start along it, each must start where those before it end.
/// Each is told once, with the one before it that reaches farthest.
fn apart(guests: &[Guest], faults: &mut Faults) {
    let faces = guests.chunk_by(|a, b| a.host == b.host && a.side == b.side);
    for [first, rest @ ..] in faces.filter_map(|face| face.split_first()).map(<[_; 0]>::pair) {
        let _ = (first, rest);
    }
}

impl Guest<'_> {
    fn add(&self, rule: Rule, faults: &mut Faults) {
        faults.add(self.wall, Place::Wall, into_field(self.end), rule);
    }

    /// From where to where along the host's centre line it stands on the host's face, at a height.
    ///
    /// At a right angle half its thickness to each side; 0.3 m thick at 30 degrees, 0.3 m to each side.
    fn footprint(&self, z: f64) -> (f64, f64) {
        let faces = &self.own.faces;
        let (left, right) = self.own.cuts[self.end.index()].positions(faces, z);
        let to_host = self.turn.pose().inverse();
        let abreast_of_host = |s: f64, offset: f64| {
            let point = along(faces.curvature, s).outward(Point { x: 0.0, y: offset });
            self.at + abreast(self.on.faces.curvature, to_host.outward(point))
        };
        let (a, b) = (
            abreast_of_host(left, faces.left.at(z)),
            abreast_of_host(right, faces.right.at(z)),
        );
        (a.min(b), a.max(b))
    }

    /// How high it stands against the host.
    fn height(&self) -> f64 {
        let own = self.own.top.height(self.end.position(self.own.centre.length));
        own.min(self.on.top.height(self.at))
    }
}
