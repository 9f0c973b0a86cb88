//! Guests, the walls that run into the side of another: whether each has its place on the host's face to itself, clear
//! of other guests, of the host's corners and of its openings. What the host's face cuts off a guest is in `cut`.
//!
//! Footprints are compared at the base and at the greatest height shared, along the host's centre line. A guest beside
//! another on the far side of a joint without a turn is not compared with it.

use super::clearance::{TOUCH, told};
use super::displaced::{Reach, Void};
use super::drawing::{Face, WallDrawing};
use super::fault::{Faults, Place, Rule};
use super::junction::{Link, landing};
use super::overlap::WallEnd;
use super::path::{abreast, along};
use super::point::{Point, Turn};
use super::run::into_field;
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

/// Two walls of which it has been told that they stand in one place.
pub(super) type Pair = (usize, usize);

/// Checks that every guest has its place to itself; tells which walls do not. Walls that could not be put together are
/// not judged.
pub(super) fn crowding(
    walls: &[WallDrawing],
    voids: &Voids,
    solids: &[Option<Solid>],
    links: &[[Link; 2]],
    faults: &mut Faults,
) -> Vec<Pair> {
    let mut guests = guests(solids, links);
    let mut pairs = Vec::new();
    for guest in &guests {
        for end in WallEnd::BOTH {
            if let Some((neighbour, rule)) = guest.in_corner(end, solids, links, faults) {
                pairs.push((guest.wall, neighbour));
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
    apart(&guests, &mut pairs, faults);
    pairs
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
fn apart(guests: &[Guest], pairs: &mut Vec<Pair>, faults: &mut Faults) {
    for face in guests.chunk_by(|a, b| a.host == b.host && a.side == b.side) {
        let mut farthest = &face[0];
        for guest in &face[1..] {
            if let Some((from, to)) = guest.shared(farthest) {
                let (told_of, other) = if guest.wall < farthest.wall {
                    (farthest, guest)
                } else {
                    (guest, farthest)
                };
                let rule = Rule::GuestsOverlap {
                    host: faults.name(guest.host).to_owned(),
                    other: faults.name(other.wall).to_owned(),
                    from: told(from),
                    to: told(to),
                };
                pairs.push((told_of.wall, other.wall));
                told_of.add(rule, faults);
            }
            if farthest.base.1 < guest.base.1 {
                farthest = guest;
            }
        }
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
        let own = self
            .own
            .top
            .height(self.end.position(self.own.centre.length));
        own.min(self.on.top.height(self.at))
    }

    /// What it shares of the host's face with another guest, at the base or as high as both stand.
    fn shared(&self, other: &Self) -> Option<(f64, f64)> {
        [0.0, self.height().min(other.height())]
            .into_iter()
            .find_map(|z| common(self.footprint(z), other.footprint(z)))
    }

    /// Whether it stands beyond where an end of the host is cut on its face, in the earth of what the host meets there.
    fn in_corner(
        &self,
        end: WallEnd,
        solids: &[Option<Solid>],
        links: &[[Link; 2]],
        faults: &Faults,
    ) -> Option<(usize, Rule)> {
        let link = links[self.host][end.index()];
        let neighbour = link.wall().filter(|wall| *wall != self.wall)?;
        let cut = &self.on.cuts[end.index()];
        let highest = self.height().min(cut.below);
        let (beyond, edge, cut) = [0.0, highest]
            .into_iter()
            .filter(|z| self.is_faced(end, link, solids[neighbour].as_ref(), *z))
            .map(|z| self.beyond_cut(end, z))
            .max_by(|a, b| a.0.total_cmp(&b.0))?;
        let rule = || Rule::GuestInJunction {
            host: faults.name(self.host).to_owned(),
            other: faults.name(neighbour).to_owned(),
            edge: told(edge),
            cut: told(cut),
        };
        (TOUCH < beyond).then(|| (neighbour, rule()))
    }

    /// How far it stands beyond a cut of the host on its face, where its farther side is, and where the cut is.
    fn beyond_cut(&self, end: WallEnd, z: f64) -> (f64, f64, f64) {
        let (left, right) = self.on.cuts[end.index()].positions(&self.on.faces, z);
        let cut = match self.side {
            Side::Left => left,
            Side::Right => right,
        };
        let cut = end.position(self.on.centre.length) + cut;
        let (from, to) = self.footprint(z);
        match end {
            WallEnd::Start => (cut - from, from, cut),
            WallEnd::Far => (to - cut, to, cut),
        }
    }

    /// Whether what the host meets at an end has earth before the host's face there: a wall that turns to this side,
    /// a thicker one that goes straight on, or one that the host runs into.
    fn is_faced(&self, end: WallEnd, link: Link, neighbour: Option<&Solid>, z: f64) -> bool {
        match link {
            Link::Free | Link::Refused => false,
            Link::Into { .. } => true,
            Link::Corner { turn, .. } if turn.is_none() => neighbour.is_some_and(|neighbour| {
                let (own, next) = (&self.on.faces, &neighbour.faces);
                let step = next.face(self.side).at(z) - own.face(self.side).at(z);
                let outward = match self.side {
                    Side::Left => step,
                    Side::Right => -step,
                };
                TOUCH < outward
            }),
            // From the host's start what comes before it is seen to turn the other way.
            Link::Corner { turn, .. } => {
                let turns_left = (0.0 < turn.sine) == (end == WallEnd::Far);
                turns_left == (self.side == Side::Left)
            }
        }
    }

    /// The first opening of the host, or niche on this face, that it stands in.
    fn in_opening(&self, host: &WallDrawing, voids: &[Void]) -> Option<Rule> {
        voids.iter().enumerate().find_map(|(number, void)| {
            let (from, to) = self.stands_in(void)?;
            Some(Rule::GuestInOpening {
                host: host.id.clone(),
                opening: place(host, number),
                opening_id: drawn(host, number).0.to_owned(),
                from: told(from),
                to: told(to),
            })
        })
    }

    fn stands_in(&self, void: &Void) -> Option<(f64, f64)> {
        let mouth = self.mouth(void)?;
        let low = void.elevation.bottom();
        let high = void.elevation.top.min(self.height());
        if high <= low + TOUCH {
            return None;
        }
        [low, high]
            .into_iter()
            .find_map(|z| common(self.footprint(z), mouth))
    }

    /// From where to where a void is open on this face; `None` for a niche of the other.
    fn mouth(&self, void: &Void) -> Option<(f64, f64)> {
        let is_inner = self.side == self.on.faces.inner;
        match void.reach {
            Reach::Through { .. } if is_inner => Some(void.extent()),
            Reach::From { face, .. } if is_inner != (face == Face::Inner) => None,
            _ => Some((void.at, void.at + void.elevation.width)),
        }
    }
}

/// What two stretches of a wall have in common; touching is not overlapping.
fn common(a: (f64, f64), b: (f64, f64)) -> Option<(f64, f64)> {
    let (from, to) = (a.0.max(b.0), a.1.min(b.1));
    (from + TOUCH < to).then_some((from, to))
}
