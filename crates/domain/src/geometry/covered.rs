//! What of a wall's faces stands behind the ends of the walls that run into it, its guests.
//!
//! A guest covers its host's face where it stands against it: between its own two faces, at every height up to its own
//! top there and up to the host's. Of a level wall against a level wall, both straight, that is in closed form; else it is
//! integrated over the height. What is cut off the guest itself is in `cut`, whether it may stand there in `crowding`.

use super::assembly::side;
use super::cut::{Edge, Meeting, kept};
use super::junction::{Link, landing};
use super::overlap::WallEnd;
use super::path::abreast;
use super::point::{Pose, Turn};
use super::quadrature::{Care, gauss_kronrod};
use super::section::Side;
use super::solid::Solid;

/// Of each wall: what is covered of its left and of its right face, on the true slope, m2. None at all where no wall runs
/// into another.
pub(super) fn covered(solids: &[Solid], links: &[[Link; 2]]) -> Vec<[f64; 2]> {
    let mut covered = Vec::new();
    for (wall, ends) in links.iter().enumerate() {
        for end in WallEnd::BOTH {
            let Link::Into { host, at, turn } = ends[end.index()] else {
                continue;
            };
            if covered.is_empty() {
                covered.resize(solids.len(), [0.0; 2]);
            }
            for (host, at) in stretches(host, at, landing(end, turn), solids, links) {
                let contact = Contact::new(&solids[wall], end, turn, &solids[host], at);
                covered[host][side_index(contact.side)] += contact.area();
            }
        }
    }
    covered
}

fn side_index(side: Side) -> usize {
    match side {
        Side::Left => 0,
        Side::Right => 1,
    }
}

/// The host, and the walls that carry its face straight on beyond its ends, each with where the centre lines meet along
/// it: a wall drawn as two is covered like one.
fn stretches(
    host: usize,
    at: f64,
    side: Side,
    solids: &[Solid],
    links: &[[Link; 2]],
) -> impl Iterator<Item = (usize, f64)> {
    let beyond = WallEnd::BOTH.map(|end| {
        let Link::Corner { wall, turn } = links[host][end.index()] else {
            return None;
        };
        let (own, next) = (&solids[host].faces, &solids[wall].faces);
        let goes_on = turn.is_none()
            && wall != host
            && own.curvature == next.curvature
            && own.face(side) == next.face(side);
        let at = match end {
            WallEnd::Start => at + solids[wall].centre.length,
            WallEnd::Far => at - solids[host].centre.length,
        };
        goes_on.then_some((wall, at))
    });
    std::iter::once((host, at)).chain(beyond.into_iter().flatten())
}

/// A guest's end against a face of its host.
struct Contact<'s> {
    guest: &'s Solid,
    end: WallEnd,
    host: &'s Solid,
    /// The host's face.
    side: Side,
    /// Along the host, where the centre lines meet.
    at: f64,
    meeting: Meeting,
    /// From the guest's end as it heads there, the host as it heads.
    to_host: Pose,
}

impl<'s> Contact<'s> {
    fn new(guest: &'s Solid, end: WallEnd, turn: Turn, host: &'s Solid, at: f64) -> Self {
        Self {
            guest,
            end,
            host,
            side: landing(end, turn),
            at,
            meeting: side(&host.faces, end, turn),
            to_host: turn.pose().inverse(),
        }
    }

    /// On the true slope of the host's face, m2.
    fn area(&self) -> f64 {
        let upright = self.plain().unwrap_or_else(|| self.integrated());
        upright * self.host.faces.slope(self.side)
    }

    /// Of level tops and straight walls, with the whole of the guest against the host: the guest's thickness half-way up,
    /// over the sine of the turn, times the height. 0.3 m thick, square, 2.4 m high: 0.72 m2; at 30 degrees 1.44 m2.
    fn plain(&self) -> Option<f64> {
        let (guest, host) = (self.guest, self.host);
        let is_plain = guest.top.is_level()
            && host.top.is_level()
            && guest.faces.curvature == 0.0
            && host.faces.curvature == 0.0;
        let height = guest.top.peak.min(host.top.peak);
        let stands_clear = |z: f64| {
            let (from, to) = self.host_face(z);
            let edge = self.meeting.edge(&guest.faces, z);
            [edge.left, edge.right]
                .into_iter()
                .all(|spot| (from..=to).contains(&self.along_host(spot.point)))
        };
        if !is_plain || !stands_clear(0.0) || !stands_clear(height) {
            return None;
        }
        let thickness = guest.faces.thickness().at(0.5 * height);
        Some(thickness * height / self.meeting.turn.sine.abs())
    }

    /// By quadrature between the heights at which either wall changes.
    fn integrated(&self) -> f64 {
        let top = self.guest.top.peak.min(self.host.top.peak);
        let mut breaks = self.breaks(top);
        breaks.retain(|z| (0.0..=top).contains(z));
        breaks.sort_by(f64::total_cmp);
        breaks.dedup();
        let length = |z: f64| [self.length(z), 0.0, 0.0];
        breaks
            .windows(2)
            .map(|pair| gauss_kronrod(pair[0], pair[1], Care::USUAL, &length)[0])
            .sum()
    }

    /// Both walls' own, and the heights of the host's top about where the guest's faces meet it. These last need not be
    /// exact, for they only keep a small part of the height from being lost between the points of a long one.
    fn breaks(&self, top: f64) -> Vec<f64> {
        let (mut breaks, mut more) = (Vec::new(), Vec::new());
        self.guest.breaks(&mut breaks);
        self.host.breaks(&mut more);
        breaks.append(&mut more);
        let mut heights = [top; 2];
        for _ in 0..4 {
            for (lane, height) in heights.iter_mut().enumerate() {
                let edge = self.meeting.edge(&self.guest.faces, *height);
                let spot = [edge.left, edge.right][lane];
                *height = self.host.top.height(self.along_host(spot.point)).min(top);
            }
        }
        breaks.extend(heights);
        breaks.push(top);
        breaks
    }

    /// Length of the host's face behind the guest at a height.
    fn length(&self, z: f64) -> f64 {
        let (from, to) = self.host_face(z);
        let edge = self.meeting.edge(&self.guest.faces, z);
        // Above the height up to which a guest is cut at a sloping host, their faces need not meet at all.
        let meets = edge.left.s.is_finite() && edge.right.s.is_finite();
        if to <= from || !meets {
            return 0.0;
        }
        let along = self
            .guest_pieces(&edge, z)
            .map(|(a, b)| (kept(b, from, to) - kept(a, from, to)).abs())
            .sum::<f64>();
        along * self.host.faces.stretch(self.side).at(z)
    }

    /// Along the host, from where to where the guest's end stands at a height: as many pieces as its top leaves of it.
    fn guest_pieces(&self, edge: &Edge, z: f64) -> impl Iterator<Item = (f64, f64)> {
        let end = self.end.position(self.guest.centre.length);
        let (from, to) = self.guest.top.reach(z);
        let (from, to) = (from - end, to - end);
        let (right, left) = (edge.right.offset, edge.left.offset);
        let mut stops = [right, left, left, left, left, left];
        let crossings = edge.bound_crossings(from, to);
        let within = crossings.into_iter().filter(|n| right < *n && *n < left);
        for (stop, crossing) in stops[1..5].iter_mut().zip(within) {
            *stop = crossing;
        }
        let edge = *edge;
        (0..5)
            .map(move |piece| (stops[piece], stops[piece + 1]))
            .filter(move |(a, b)| a < b && (from..=to).contains(&edge.spot(0.5 * (a + b)).s))
            .map(move |(a, b)| {
                let spot = |offset| self.along_host(edge.spot(offset).point);
                (spot(a), spot(b))
            })
    }

    /// Along the host, where a point in the guest's plan is abreast of it.
    fn along_host(&self, point: super::point::Point) -> f64 {
        let point = self.to_host.outward(point);
        self.at + abreast(self.host.faces.curvature, point)
    }

    /// From where to where the host has a face at a height.
    fn host_face(&self, z: f64) -> (f64, f64) {
        let host = self.host;
        let (from, to) = host.top.reach(z);
        let [start, far] = WallEnd::BOTH.map(|end| {
            let cut = &host.cuts[end.index()];
            let position = if z <= cut.below {
                let (left, right) = cut.positions(&host.faces, z);
                [left, right][side_index(self.side)]
            } else {
                0.0
            };
            end.position(host.centre.length) + position
        });
        (start.max(from), far.min(to))
    }
}
