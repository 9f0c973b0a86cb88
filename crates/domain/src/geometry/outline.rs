//! A closed outline in plan of straight and circular edges: cut down by curves, and its area.
//! For the few places where walls overlap above a corner; every other area has a formula of its own.

use super::angle::less_sine;
use super::curve::{Curve, roots};
use super::point::Point;

/// One edge of an outline: straight, or less than half of a circle.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Edge {
    pub(super) from: Point,
    pub(super) to: Point,
    /// Positive turns to the left on the way; 0 is straight.
    pub(super) curvature: f64,
}

/// Which side of a curve is kept.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Keep {
    Left,
    Right,
}

/// A closed outline, counter-clockwise.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Outline {
    edges: Vec<Edge>,
}

impl Keep {
    fn has(self, curve: &Curve, point: Point) -> bool {
        match self {
            Self::Left => curve.rightness(point) <= 0.0,
            Self::Right => 0.0 <= curve.rightness(point),
        }
    }
}

impl Edge {
    /// Its length.
    pub(super) fn length(&self) -> f64 {
        let chord = self.to.minus(self.from).length();
        if self.curvature == 0.0 {
            chord
        } else {
            self.angle() / self.curvature.abs()
        }
    }

    /// By how much it turns, without its sign: twice the angle whose sine is half the chord over the radius.
    fn angle(&self) -> f64 {
        let half_chord = 0.5 * self.to.minus(self.from).length();
        2.0 * libm::asin((half_chord * self.curvature.abs()).min(1.0))
    }

    /// Area between the edge and its chord, on the chord's right: r^2/2 (a - sin a); below zero where it turns right.
    fn bulge(&self) -> f64 {
        if self.curvature == 0.0 {
            0.0
        } else {
            let area = less_sine(self.angle()) / (2.0 * self.curvature * self.curvature);
            area.copysign(self.curvature)
        }
    }

    /// The point at a share of the way.
    fn at(&self, share: f64) -> Point {
        let across = self.to.minus(self.from);
        if self.curvature == 0.0 {
            return self.from.plus(across.times(share));
        }
        let angle = self.angle().copysign(self.curvature);
        let chord = across.length();
        if chord == 0.0 {
            return self.from;
        }
        // The edge sets out half its turn to the right of its chord.
        let (sine, cosine) = libm::sincos(-0.5 * angle);
        let along = across.times(1.0 / chord);
        let ahead = along.times(cosine).plus(along.left().times(sine));
        let pose = super::path::along(self.curvature, share * angle / self.curvature);
        self.from
            .plus(ahead.times(pose.at.x))
            .plus(ahead.left().times(pose.at.y))
    }

    /// The shares of the way at which it crosses a curve, in order and between its ends: 0 and 1 with what is between,
    /// and 1 again where there is less.
    fn stops(&self, curve: &Curve) -> [f64; 4] {
        let shares = if self.curvature == 0.0 {
            self.straight_crossings(curve)
        } else {
            self.round_crossings(curve)
        };
        let within = |share: f64| {
            if 0.0 < share && share < 1.0 {
                share
            } else {
                1.0
            }
        };
        let [a, b] = shares.map(within);
        [0.0, a.min(b), a.max(b), 1.0]
    }

    fn straight_crossings(&self, curve: &Curve) -> [f64; 2] {
        let across = self.to.minus(self.from);
        let length = across.length();
        curve
            .crossings(self.from, across.times(1.0 / length))
            .map(|distance| distance / length)
    }

    /// With u = tan of half the angle travelled, a point of the edge is a quadratic in u over 1 + u^2, and so the
    /// curve's expression is a quadratic in u.
    fn round_crossings(&self, curve: &Curve) -> [f64; 2] {
        let angle = self.angle();
        let radius = 1.0 / self.curvature;
        let centre = self.centre();
        let spoke = self.from.minus(centre);
        // Points are centre + spoke cos t + spoke.left() sin t, t running the way the edge turns.
        let sideways = spoke.left().times(1.0_f64.copysign(self.curvature));
        let pull = centre.times(curve.curvature).minus(curve.normal);
        let constant = 0.5 * curve.curvature * (centre.dot(centre) + radius * radius)
            - centre.dot(curve.normal)
            + curve.level;
        let (along, aside) = (spoke.dot(pull), sideways.dot(pull));
        roots(constant - along, 2.0 * aside, constant + along).map(|u| 2.0 * libm::atan(u) / angle)
    }

    /// The centre of a round edge: half the chord ahead and the rest of the radius to the side that it turns to.
    fn centre(&self) -> Point {
        let across = self.to.minus(self.from);
        let half = 0.5 * across.length();
        let radius = 1.0 / self.curvature;
        let rest = (radius * radius - half * half)
            .max(0.0)
            .sqrt()
            .copysign(radius);
        let middle = self.from.plus(across.times(0.5));
        middle.plus(across.left().times(rest / (2.0 * half)))
    }

    /// The pieces of it on the kept side of a curve, in order.
    pub(super) fn kept(self, curve: Curve, keep: Keep) -> impl Iterator<Item = Self> {
        // An edge of no length has no crossings, and no pieces.
        let stops = if self.from == self.to {
            [0.0; 4]
        } else {
            self.stops(&curve)
        };
        (0..3)
            .map(move |piece| (stops[piece], stops[piece + 1]))
            .filter(move |(from, to)| from < to && keep.has(&curve, self.at(0.5 * (from + to))))
            .map(move |(from, to)| Self {
                from: self.at_stop(from),
                to: self.at_stop(to),
                curvature: self.curvature,
            })
    }

    /// As `at`, without rounding at the ends.
    fn at_stop(&self, share: f64) -> Point {
        if share == 0.0 {
            self.from
        } else if share == 1.0 {
            self.to
        } else {
            self.at(share)
        }
    }
}

impl Outline {
    /// From edges that follow one another, counter-clockwise.
    pub(super) fn new(edges: Vec<Edge>) -> Self {
        Self { edges }
    }

    /// What of it lies on the kept side of a curve.
    ///
    /// Edge by edge, as I. Sutherland and G. Hodgman clip polygons (*Reentrant polygon clipping*, 1974: from memory);
    /// the gaps are closed along the curve. Closings that run back over each other enclose nothing, so an outline
    /// that falls into two is measured right. A gap is closed the shorter way round a circle: an outline must not
    /// reach round one by half or more, nor hold one whole.
    pub(super) fn kept(&self, curve: &Curve, keep: Keep) -> Self {
        let pieces: Vec<Edge> = self
            .edges
            .iter()
            .flat_map(|edge| edge.kept(*curve, keep))
            .collect();
        let mut edges = Vec::with_capacity(2 * pieces.len());
        for (index, piece) in pieces.iter().enumerate() {
            edges.push(*piece);
            let next = pieces[(index + 1) % pieces.len()];
            if piece.to != next.from {
                edges.push(closing(curve, piece.to, next.from));
            }
        }
        Self { edges }
    }

    /// Its area: half the sum of the cross products of its corners, and what its edges bulge.
    pub(super) fn area(&self) -> f64 {
        self.edges
            .iter()
            .map(|edge| 0.5 * edge.from.cross(edge.to) + edge.bulge())
            .sum()
    }
}

/// The edge along a curve from one of its points to another, the shorter way.
fn closing(curve: &Curve, from: Point, to: Point) -> Edge {
    let curvature = if curve.curvature == 0.0 {
        0.0
    } else {
        let centre = curve.centre();
        let turn = from.minus(centre).cross(to.minus(centre));
        curve.own_curvature().abs().copysign(turn)
    };
    Edge {
        from,
        to,
        curvature,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geometry::point::Turn;

    fn point(x: f64, y: f64) -> Point {
        Point { x, y }
    }

    fn square() -> Outline {
        let corners = [
            point(0.0, 0.0),
            point(2.0, 0.0),
            point(2.0, 2.0),
            point(0.0, 2.0),
        ];
        let edges = (0..4).map(|i| Edge {
            from: corners[i],
            to: corners[(i + 1) % 4],
            curvature: 0.0,
        });
        Outline::new(edges.collect())
    }

    /// A circle of radius r about a point, as the outer face of an arc bending left that passes the origin.
    fn circle(centre: Point, radius: f64) -> Curve {
        let distance = centre.length();
        let normal = centre.times(1.0 / distance);
        let curvature = 1.0 / distance;
        let offset = distance - radius;
        Curve {
            curvature,
            normal,
            level: super::super::path::swept(curvature, offset),
        }
    }

    #[test]
    fn a_line_halves_a_square() {
        let line = Curve::line(point(0.0, 0.0), Turn::of_degrees(45.0).pose().ahead);
        assert!((square().kept(&line, Keep::Left).area() - 2.0).abs() < 1e-14);
        assert!((square().kept(&line, Keep::Right).area() - 2.0).abs() < 1e-14);
        // The same line again, and the square's own side, change nothing.
        let half = square().kept(&line, Keep::Left).kept(&line, Keep::Left);
        assert!((half.area() - 2.0).abs() < 1e-14);
        let side = Curve::line(point(0.0, 0.0), point(1.0, 0.0));
        assert!((square().kept(&side, Keep::Left).area() - 4.0).abs() < 1e-14);
        assert!(square().kept(&side, Keep::Right).area().abs() < 1e-14);
    }

    #[test]
    fn a_circle_takes_a_quarter_of_itself_from_a_square() {
        let round = circle(point(2.0, 2.0), 1.0);
        let inside = square().kept(&round, Keep::Left).area();
        let outside = square().kept(&round, Keep::Right).area();
        assert!(
            (inside - std::f64::consts::FRAC_PI_4).abs() < 1e-13,
            "{inside}"
        );
        assert!((inside + outside - 4.0).abs() < 1e-13);
    }

    #[test]
    fn a_band_through_a_square_leaves_two_pieces_measured_as_one() {
        let left = Curve::line(point(0.5, 0.0), point(0.0, 1.0));
        let right = Curve::line(point(1.5, 0.0), point(0.0, 1.0));
        let middle = square()
            .kept(&left, Keep::Right)
            .kept(&right, Keep::Left)
            .area();
        assert!((middle - 2.0).abs() < 1e-14);
        // A circle through all four sides.
        let wide = circle(point(1.0, 1.0), 1.2);
        let inside = square().kept(&wide, Keep::Left).area();
        // r^2 (pi - 4 (acos(1/r) - sqrt(r^2 - 1)/r^2)) for the four caps cut off.
        let cap = 1.44 * libm::acos(1.0 / 1.2) - 0.44_f64.sqrt();
        assert!((inside - (1.44 * std::f64::consts::PI - 4.0 * cap)).abs() < 1e-12);
    }

    #[test]
    fn a_round_edge_is_cut_where_a_line_or_a_circle_crosses_it() {
        // The upper half-disc of radius 1, as two quarter edges.
        let edges = vec![
            Edge {
                from: point(-1.0, 0.0),
                to: point(1.0, 0.0),
                curvature: 0.0,
            },
            Edge {
                from: point(1.0, 0.0),
                to: point(0.0, 1.0),
                curvature: 1.0,
            },
            Edge {
                from: point(0.0, 1.0),
                to: point(-1.0, 0.0),
                curvature: 1.0,
            },
        ];
        let disc = Outline::new(edges);
        assert!((disc.area() - std::f64::consts::FRAC_PI_2).abs() < 1e-14);
        let line = Curve::line(point(0.0, 0.5), point(1.0, 0.0));
        let cap = std::f64::consts::FRAC_PI_3 - 0.75_f64.sqrt() / 2.0;
        assert!((disc.kept(&line, Keep::Left).area() - cap).abs() < 1e-14);
        // Two circles of radius 1, one apart: the lens, of which the upper half.
        let other = circle(point(1.0, 0.0), 1.0 - 1e-15);
        let lens = 2.0 * std::f64::consts::FRAC_PI_3 - 0.75_f64.sqrt();
        assert!((disc.kept(&other, Keep::Left).area() - lens / 2.0).abs() < 1e-12);
    }
}
