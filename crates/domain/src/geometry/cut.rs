//! Where one end of a wall is cut, at each height: square, along a mitre, or at the face of the wall it runs into.
//! Knows one wall's end and what it meets there. Which walls meet is for `junction`; the wall's own area for `slice`.
//!
//! Positions are along the centre line from the end in question, backward ones below zero.

use super::angle::less_sine;
use super::curve::Curve;
use super::path::{abreast, along, swept, swept_along_chord};
use super::point::{Point, Turn};
use super::section::{Faces, Linear, Side};

/// How one end of a wall is cut.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Cut {
    /// Up to this height as `shape` has it, above it square.
    pub(super) below: f64,
    pub(super) shape: Shape,
}

/// The shape of a cut below the height up to which there is one.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) enum Shape {
    /// Square on the centre line, or radial on an arc.
    Square,
    /// Between two straight walls: positions on both faces, which change evenly with height.
    Even { left: Linear, right: Linear },
    /// Where an arc comes in.
    Met(Meeting),
}

/// A wall's end and the wall that it meets there.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Meeting {
    /// From this wall's travel to the other's.
    pub(super) turn: Turn,
    pub(super) other_curvature: f64,
    /// What the left face of this wall meets.
    pub(super) other_left: Linear,
    /// What the right face meets.
    pub(super) other_right: Linear,
    /// Whether the cut follows the other's face between the two points, rather than the straight line.
    pub(super) follows_face: bool,
}

/// What an end adds to a wall in plan.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Part {
    /// Area between the end of the centre line and the cut; below zero where the cut lies before it, m2.
    pub(super) area: f64,
    /// Position of the cut on the left face, m.
    pub(super) left: f64,
    /// On the right face.
    pub(super) right: f64,
}

impl Cut {
    pub(super) const SQUARE: Self = Self {
        below: f64::INFINITY,
        shape: Shape::Square,
    };

    /// The cut where this wall meets another up to a height.
    pub(super) fn new(own: &Faces, meeting: Meeting, below: f64) -> Self {
        let shape = if meeting.turn.is_none() {
            Shape::Square
        } else if own.curvature == 0.0 && meeting.other_curvature == 0.0 {
            Shape::Even {
                left: meeting.even(own.left, meeting.other_left),
                right: meeting.even(own.right, meeting.other_right),
            }
        } else {
            Shape::Met(meeting)
        };
        Self { below, shape }
    }

    /// What this end adds at a height to the part of the wall that lies from `from` to `to`.
    pub(super) fn part(&self, own: &Faces, z: f64, from: f64, to: f64) -> Part {
        match &self.shape {
            Shape::Even { left, right } if z <= self.below => {
                let (left, right) = (left.at(z), right.at(z));
                let thickness = own.left.at(z) - own.right.at(z);
                Part {
                    area: thickness * mean_between(left, right, from, to),
                    left: kept(left, from, to),
                    right: kept(right, from, to),
                }
            }
            Shape::Met(meeting) if z <= self.below => meeting.edge(own, z).part(from, to),
            _ => {
                let end = kept(0.0, from, to);
                Part {
                    area: end * own.swept(z),
                    left: end,
                    right: end,
                }
            }
        }
    }

    /// Positions of the uncurtailed cut on both faces, left first, as if it went on above its own height.
    pub(super) fn positions(&self, own: &Faces, z: f64) -> (f64, f64) {
        match &self.shape {
            Shape::Square => (0.0, 0.0),
            Shape::Even { left, right } => (left.at(z), right.at(z)),
            Shape::Met(meeting) => {
                let edge = meeting.edge(own, z);
                (edge.left.s, edge.right.s)
            }
        }
    }

    /// Position of the cut midway between the faces, which lies before or beyond both where it follows a bent face.
    pub(super) fn middle(&self, own: &Faces, z: f64) -> f64 {
        match &self.shape {
            Shape::Square => 0.0,
            Shape::Even { left, right } => 0.5 * (left.at(z) + right.at(z)),
            Shape::Met(meeting) => {
                let offset = 0.5 * (own.left.at(z) + own.right.at(z));
                meeting.edge(own, z).spot(offset).s
            }
        }
    }

    /// Whether positions and area change evenly enough with height for the prismoidal formula, around a height where
    /// the wall lies from `from` to `to`.
    pub(super) fn is_even(&self, z: f64, from: f64, to: f64) -> bool {
        match &self.shape {
            Shape::Square => true,
            _ if self.below < z => true,
            Shape::Met(_) => false,
            Shape::Even { left, right } => {
                let (left, right) = (left.at(z), right.at(z));
                let (low, high) = (left.min(right), left.max(right));
                (from <= low && high <= to) || high <= from || to <= low
            }
        }
    }
}

impl Meeting {
    /// Position on a straight face (offsets a, against b of the other): `(a cos - b) / sin`.
    fn even(&self, own: Linear, other: Linear) -> Linear {
        let Turn { sine, .. } = self.turn;
        let half = self.turn.half_tangent();
        // (a cos - b) / sin = (a - b) / sin - a tan(half), which keeps its digits at a slight turn.
        let position = |a: f64, b: f64| (a - b) / sine - a * half;
        Linear {
            base: position(own.base, other.base),
            per_metre: position(own.per_metre, other.per_metre),
        }
    }

    /// The face of the other wall on a side of this one, at a height.
    pub(super) fn other_face(&self, side: Side, z: f64) -> Curve {
        let offset = match side {
            Side::Left => self.other_left.at(z),
            Side::Right => self.other_right.at(z),
        };
        Curve::face(self.other_curvature, self.turn, offset)
    }

    /// The edge in plan along which this wall is cut, at a height.
    pub(super) fn edge(&self, own: &Faces, z: f64) -> Edge {
        let left = self.met(own, Side::Left, z);
        let right = self.met(own, Side::Right, z);
        let curve = if self.follows_face {
            self.other_face(Side::Left, z)
        } else {
            let across = left.point.minus(right.point);
            Curve::line(right.point, across.times(1.0 / across.length()))
        };
        Edge {
            curvature: own.curvature,
            left,
            right,
            curve,
        }
    }

    fn met(&self, own: &Faces, side: Side, z: f64) -> Spot {
        let offset = own.face(side).at(z);
        let point = self.other_face(side, z).met_by(own.curvature, offset);
        Spot {
            offset,
            s: abreast(own.curvature, point),
            point,
        }
    }
}

/// A point of a cut.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Spot {
    /// To the left of the centre line, m.
    pub(super) offset: f64,
    /// Along it, from the end.
    pub(super) s: f64,
    /// In plan.
    pub(super) point: Point,
}

/// The edge in plan along which a wall is cut: from face to face, straight or along a circle.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Edge {
    /// Of the wall that is cut.
    curvature: f64,
    pub(super) left: Spot,
    pub(super) right: Spot,
    /// What the edge lies on.
    pub(super) curve: Curve,
}

impl Edge {
    /// Where the edge crosses the lane at an offset.
    pub(super) fn spot(&self, offset: f64) -> Spot {
        let point = self.curve.met_by(self.curvature, offset);
        Spot {
            offset,
            s: abreast(self.curvature, point),
            point,
        }
    }

    /// As [`Cut::part`]: the edge, where it lies within the bounds, and the bounds where it does not.
    fn part(&self, from: f64, to: f64) -> Part {
        let mut spots = [self.right; 6];
        let mut count = 1;
        for offset in self.bound_crossings(from, to) {
            if spots[count - 1].offset < offset && offset < self.left.offset {
                spots[count] = self.spot(offset);
                count += 1;
            }
        }
        spots[count] = self.left;
        let area = spots[..=count]
            .windows(2)
            .map(|pair| self.area_between(pair[0], pair[1], from, to))
            .sum();
        Part {
            area,
            left: kept(self.left.s, from, to),
            right: kept(self.right.s, from, to),
        }
    }

    /// Offsets at which the edge crosses the bounds, in order; what is not a number comes last.
    pub(super) fn bound_crossings(&self, from: f64, to: f64) -> [f64; 4] {
        let mut crossings = [f64::NAN; 4];
        for (index, bound) in [from, to].into_iter().enumerate() {
            if bound.is_finite() {
                let pose = along(self.curvature, bound);
                let two = self.curve.crossings(pose.at, pose.ahead.left());
                crossings[2 * index..2 * index + 2].copy_from_slice(&two);
            }
        }
        crossings.sort_by(f64::total_cmp);
        crossings
    }

    /// Area from the end of the centre line to the edge or the bound, over the lanes between two spots of the edge
    /// with no crossing of a bound in between.
    fn area_between(&self, right: Spot, left: Spot, from: f64, to: f64) -> f64 {
        let (swept_right, swept_left) = (
            swept(self.curvature, right.offset),
            swept(self.curvature, left.offset),
        );
        let is_free = from == f64::NEG_INFINITY && to == f64::INFINITY;
        if !is_free {
            let middle = self.spot(0.5 * (right.offset + left.offset)).s;
            if middle <= from || to <= middle {
                return kept(middle, from, to) * (swept_left - swept_right);
            }
        }
        let chord = swept_along_chord(
            self.curvature,
            (right.offset, right.s),
            (left.offset, left.s),
        );
        swept_left * left.s - swept_right * right.s - chord + self.bulge(right.point, left.point)
    }

    /// Area between the chord from one point of the edge to the next and the circle it lies on: r^2/2 (a - sin a),
    /// above zero where the circle turns to the left on the way.
    fn bulge(&self, from: Point, to: Point) -> f64 {
        if self.curve.curvature == 0.0 {
            return 0.0;
        }
        let curvature = self.curve.own_curvature().abs();
        let half_chord = 0.5 * to.minus(from).length();
        let angle = 2.0 * libm::asin((half_chord * curvature).min(1.0));
        let centre = self.curve.centre();
        let turns_left = 0.0 < from.minus(centre).cross(to.minus(centre));
        let area = less_sine(angle) / (2.0 * curvature * curvature);
        if turns_left { area } else { -area }
    }
}

/// A position kept between two bounds. What is not a number stays so.
pub(super) fn kept(s: f64, from: f64, to: f64) -> f64 {
    if s < from {
        from
    } else if to < s {
        to
    } else {
        s
    }
}

/// Mean, over the thickness of a straight wall, of a straight cut from `a` on one face to `b` on the other, where it
/// is kept between two bounds: cut from 0 to 0.4 and kept below 0.3, (0.3 x 0.15 + 0.1 x 0.3) / 0.4 = 0.1875.
fn mean_between(a: f64, b: f64, from: f64, to: f64) -> f64 {
    let (low, high) = (a.min(b), a.max(b));
    if from <= low && high <= to {
        return 0.5 * (a + b);
    }
    if high <= from {
        return from;
    }
    if to <= low {
        return to;
    }
    let (start, end) = (low.max(from), high.min(to));
    let (held_low, held_high) = ((from - low).max(0.0), (high - to).max(0.0));
    let mut sum = 0.5 * (start + end) * (end - start);
    // A bound that does not hold may be endless: it must not be multiplied with the nothing that it holds.
    if 0.0 < held_low {
        sum += from * held_low;
    }
    if 0.0 < held_high {
        sum += to * held_high;
    }
    sum / (high - low)
}

#[cfg(test)]
mod tests {
    use super::super::drawing::Batter;
    use super::*;

    const FREE: (f64, f64) = (f64::NEG_INFINITY, f64::INFINITY);

    fn plumb(thickness: f64, curvature: f64) -> Faces {
        Faces::new(thickness, 0.0, Batter::Both, Side::Left, curvature)
    }

    fn mitre(own: &Faces, other: &Faces, degrees: f64) -> Meeting {
        let _ = own;
        Meeting {
            turn: Turn::of_degrees(degrees),
            other_curvature: other.curvature,
            other_left: other.left,
            other_right: other.right,
            follows_face: false,
        }
    }

    /// By lanes: 20,000 strips across the thickness.
    fn area_by_lanes(edge: &Edge, from: f64, to: f64) -> f64 {
        let strips = 20_000;
        let width = (edge.left.offset - edge.right.offset) / f64::from(strips);
        (0..strips)
            .map(|strip| {
                let offset = edge.right.offset + (f64::from(strip) + 0.5) * width;
                let lane = 1.0 - edge.curvature * offset;
                kept(edge.spot(offset).s, from, to) * lane * width
            })
            .sum()
    }

    #[test]
    fn a_mitre_of_like_walls_takes_as_much_as_it_gives() {
        let wall = plumb(0.45, 0.0);
        let cut = Cut::new(&wall, mitre(&wall, &wall, 90.0), 2.4);
        let part = cut.part(&wall, 1.0, FREE.0, FREE.1);
        assert!(part.area.abs() < 1e-15);
        assert!((part.left + 0.225).abs() < 1e-15 && (part.right - 0.225).abs() < 1e-15);
    }

    #[test]
    fn a_bound_curtails_a_straight_cut() {
        assert!((mean_between(0.0, 0.4, f64::NEG_INFINITY, 0.3) - 0.1875).abs() < 1e-15);
        assert!(
            (mean_between(0.4, 0.0, 0.1, 0.3) - (0.1 * 0.1 + 0.2 * 0.2 + 0.1 * 0.3) / 0.4).abs()
                < 1e-15
        );
        assert_eq!(mean_between(0.1, 0.4, 0.5, 0.9), 0.5);
        assert_eq!(mean_between(0.1, 0.4, -0.5, 0.0), 0.0);
    }

    #[test]
    fn cuts_with_arcs_agree_with_lanes_bounded_or_not() {
        let cases = [
            (plumb(0.4, 0.0), plumb(0.5, 0.5), 90.0, false),
            (plumb(0.4, 0.5), plumb(0.3, 0.0), -70.0, false),
            (plumb(0.4, -0.4), plumb(0.3, 0.3), 110.0, false),
            (plumb(0.4, 0.0), plumb(0.5, 0.5), 90.0, true),
            (plumb(0.4, 0.0), plumb(0.5, -0.5), 60.0, true),
            (plumb(0.4, 0.3), plumb(0.5, -0.25), -75.0, true),
        ];
        for (own, other, degrees, follows_face) in cases {
            let mut meeting = mitre(&own, &other, degrees);
            if follows_face {
                let face = if 0.0 < degrees {
                    other.left
                } else {
                    other.right
                };
                meeting = Meeting {
                    other_left: face,
                    other_right: face,
                    follows_face,
                    ..meeting
                };
            }
            let edge = meeting.edge(&own, 0.0);
            let (low, high) = (edge.left.s.min(edge.right.s), edge.left.s.max(edge.right.s));
            let third = (high - low) / 3.0;
            let bounds = [
                FREE,
                (low + third, f64::INFINITY),
                (f64::NEG_INFINITY, high - third),
                (low + third, high - third),
                (high + 1.0, f64::INFINITY),
                (f64::NEG_INFINITY, low - 1.0),
                // Just inside the middle of a bulge.
                (f64::NEG_INFINITY, high - 1e-3),
                (low - 1e-3, f64::INFINITY),
            ];
            for (from, to) in bounds {
                let exact = edge.part(from, to).area;
                let lanes = area_by_lanes(&edge, from, to);
                assert!(
                    (exact - lanes).abs() < 1e-8,
                    "{degrees} {follows_face} {from} {to}: {exact} {lanes}"
                );
            }
        }
    }

    #[test]
    fn above_its_height_a_cut_is_square() {
        let wall = plumb(0.45, 0.0);
        let cut = Cut::new(&wall, mitre(&wall, &wall, 90.0), 2.0);
        assert_eq!(
            cut.part(&wall, 2.1, FREE.0, FREE.1),
            Part {
                area: 0.0,
                left: 0.0,
                right: 0.0
            }
        );
        assert_eq!(cut.part(&wall, 2.1, FREE.0, -0.3).left, -0.3);
    }
}
