//! Straight walls as polygons, clipped by lines; their areas by their corners.

use super::plain::Plain;

pub(super) type Spot = (f64, f64);
pub(super) type Line = (Spot, Spot);

impl Plain {
    pub(super) fn middle(&self) -> Spot {
        self.place(0.5 * self.length, 0.0).0
    }

    /// The square line across it at a place.
    pub(super) fn across(&self, s: f64) -> Line {
        (self.place(s, 1.0).0, self.place(s, -1.0).0)
    }

    /// Its strip at a height, running on beyond its ends; counter-clockwise.
    pub(super) fn strip(&self, z: f64) -> Vec<Spot> {
        let ((left, right), (from, to)) = (self.faces(z), self.reach(z));
        let (from, to) = (from.max(-9.0), to.min(self.length + 9.0));
        [(from, right), (to, right), (to, left), (from, left)]
            .map(|(s, n)| self.place(s, n).0)
            .to_vec()
    }

    /// Its strip, cut square at one end.
    pub(super) fn squared(&self, z: f64, near: f64) -> Vec<Spot> {
        clipped(&self.strip(z), self.across(near), self.middle())
    }
}

/// Which side of a line a point is on: above zero on the left.
pub(super) fn side((a, b): Line, p: Spot) -> f64 {
    (b.0 - a.0) * (p.1 - a.1) - (b.1 - a.1) * (p.0 - a.0)
}

pub(super) fn mirrored(p: Spot, (a, b): Line) -> Spot {
    let (dx, dy) = (b.0 - a.0, b.1 - a.1);
    let share = 2.0 * side((a, b), p) / (dx * dx + dy * dy);
    (p.0 + share * dy, p.1 - share * dx)
}

/// The part of a convex polygon on the side of a line where a point is.
pub(super) fn clipped(polygon: &[Spot], line: Line, keep: Spot) -> Vec<Spot> {
    let sign = side(line, keep).signum();
    let mut kept = Vec::new();
    for (index, from) in polygon.iter().enumerate() {
        let to = polygon[(index + 1) % polygon.len()];
        let (here, there) = (sign * side(line, *from), sign * side(line, to));
        if 0.0 <= here {
            kept.push(*from);
        }
        if here * there < 0.0 {
            let share = here / (here - there);
            kept.push((
                from.0 + share * (to.0 - from.0),
                from.1 + share * (to.1 - from.1),
            ));
        }
    }
    kept
}

/// The common part of two convex polygons, the second counter-clockwise.
pub(super) fn common(a: &[Spot], b: &[Spot]) -> Vec<Spot> {
    (0..b.len()).fold(a.to_vec(), |polygon, index| {
        let line = (b[index], b[(index + 1) % b.len()]);
        let inside = (
            line.0.0 - (line.1.1 - line.0.1),
            line.0.1 + (line.1.0 - line.0.0),
        );
        if line.0 == line.1 {
            polygon
        } else {
            clipped(&polygon, line, inside)
        }
    })
}

/// Area of a polygon by its corners, from its first: so that small ones keep their digits.
pub(super) fn area(polygon: &[Spot]) -> f64 {
    let Some(first) = polygon.first() else {
        return 0.0;
    };
    let doubled: f64 = polygon
        .windows(2)
        .map(|pair| {
            (pair[0].0 - first.0) * (pair[1].1 - first.1)
                - (pair[0].1 - first.1) * (pair[1].0 - first.0)
        })
        .sum();
    0.5 * doubled.abs()
}

/// Where the left faces of two straight walls meet, and where the right.
pub(super) fn crossing_points(a: &Plain, b: &Plain, z: f64) -> Line {
    let ((a_left, a_right), (b_left, b_right)) = (a.faces(z), b.faces(z));
    let meet = |a_offset: f64, b_offset: f64| {
        let (p, q) = (a.place(0.0, a_offset).0, b.place(0.0, b_offset).0);
        let (u, v) = (
            (a.heading.cos(), a.heading.sin()),
            (b.heading.cos(), b.heading.sin()),
        );
        let along = ((q.0 - p.0) * v.1 - (q.1 - p.1) * v.0) / (u.0 * v.1 - u.1 * v.0);
        (p.0 + along * u.0, p.1 + along * u.1)
    };
    (meet(a_right, b_right), meet(a_left, b_left))
}
