//! Lines and circles in plan as one kind of thing, and where a face of a wall meets one.
//! Seen from the end of a wall: the origin is on its centre line there, x heads along it, y is to its left.

use super::path::swept;
use super::point::{Point, Turn};

/// A line or circle: the points p for which `c |p|^2 / 2 - p . n + level` is zero.
///
/// The face of another wall is such a curve: c is that wall's curvature, n points to the left of its travel, and level
/// is what the face sweeps ([`swept`]). Left of the curve the expression is below zero, right of it above.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Curve {
    pub(super) curvature: f64,
    /// Of length 1: to the left of travel where the curve passes the origin.
    pub(super) normal: Point,
    pub(super) level: f64,
}

impl Curve {
    /// The face at this offset of a wall whose centre line passes the origin, turned from x.
    pub(super) fn face(curvature: f64, turn: Turn, offset: f64) -> Self {
        Self {
            curvature,
            normal: turn.pose().ahead.left(),
            level: swept(curvature, offset),
        }
    }

    /// The straight line through a point with this direction (of length 1).
    pub(super) fn line(through: Point, ahead: Point) -> Self {
        let normal = ahead.left();
        Self {
            curvature: 0.0,
            normal,
            level: through.dot(normal),
        }
    }

    /// Below zero on the left, above on the right.
    pub(super) fn rightness(&self, p: Point) -> f64 {
        0.5 * self.curvature * p.dot(p) - p.dot(self.normal) + self.level
    }

    /// The centre of a circle; not finite for a line.
    pub(super) fn centre(&self) -> Point {
        self.normal.times(1.0 / self.curvature)
    }

    /// The curvature at the curve itself, not at the centre line that it runs beside: `c / sqrt(1 - 2 c level)`,
    /// for `1 - 2 c level` is the square of the face's radius over that of the centre line.
    pub(super) fn own_curvature(&self) -> f64 {
        self.curvature / (1.0 - 2.0 * self.curvature * self.level).sqrt()
    }

    /// Where the face of a wall (from the origin along x, of this curvature and offset) meets this curve: of two such
    /// points the nearer to the origin. Not finite when they do not meet.
    ///
    /// With q = |p|^2 / 2, the face has y = N + c q and this curve x sin a - y cos a = -level - c' q, so p = p0 + q v,
    /// and 2 q = |p|^2 is a quadratic in q whose smaller root is |p0|^2 / (b + sqrt(b^2 - |v|^2 |p0|^2)), b = 1 - p0 . v.
    /// Two straight faces 0.225 m off their centre lines at a right angle: p0 = (-0.225, 0.225), v = 0.
    pub(super) fn met_by(&self, curvature: f64, offset: f64) -> Point {
        let own_level = swept(curvature, offset);
        let p0 = Point {
            x: self.ratio(own_level, self.level),
            y: own_level,
        };
        let v = Point {
            x: self.ratio(curvature, self.curvature),
            y: curvature,
        };
        let b = 1.0 - p0.dot(v);
        let discriminant = b * b - v.dot(v) * p0.dot(p0);
        let meets = 0.0 < b && 0.0 <= discriminant;
        if !meets {
            return Point {
                x: f64::NAN,
                y: f64::NAN,
            };
        }
        let q = p0.dot(p0) / (b + discriminant.sqrt());
        p0.plus(v.times(q))
    }

    /// `(own cos a - other) / sin a`, where a is the turn from x to this curve.
    fn ratio(&self, own: f64, other: f64) -> f64 {
        let (sine, cosine) = (-self.normal.x, self.normal.y);
        if 0.0 < cosine {
            // (1 - cos a) / sin a = tan (a/2): keeps its digits where the turn is slight and the two are alike.
            (own - other) / sine - own * (sine / (1.0 + cosine))
        } else {
            (own * cosine - other) / sine
        }
    }

    /// How far along a straight line from `from` in the direction `ahead` (of length 1) the curve is crossed: up to
    /// two distances, backward ones too. Not a number where there is none.
    pub(super) fn crossings(&self, from: Point, ahead: Point) -> [f64; 2] {
        let square = 0.5 * self.curvature * ahead.dot(ahead);
        let slope = self.curvature * from.dot(ahead) - ahead.dot(self.normal);
        roots(square, slope, self.rightness(from))
    }
}

/// The roots of `a x^2 + b x + c`, the nearer to zero first. Not a number where there is none.
pub(super) fn roots(a: f64, b: f64, c: f64) -> [f64; 2] {
    let discriminant = b * b - 4.0 * a * c;
    if discriminant < 0.0 {
        return [f64::NAN; 2];
    }
    // The sum of two numbers of one sign, so that nothing cancels.
    let sum = -0.5 * (b + discriminant.sqrt().copysign(b));
    let nearer = c / sum;
    let farther = if a == 0.0 { f64::NAN } else { sum / a };
    [nearer, farther]
}

#[cfg(test)]
mod tests {
    use super::*;

    fn close(a: Point, b: Point) -> bool {
        a.minus(b).length() < 1e-12
    }

    #[test]
    fn straight_faces_meet_where_their_lines_do() {
        let right_angle = Curve::face(0.0, Turn::of_degrees(90.0), 0.225);
        assert!(close(
            right_angle.met_by(0.0, 0.225),
            Point {
                x: -0.225,
                y: 0.225
            }
        ));
        // Turn 150, thickness 0.4 each: the inner faces meet 0.2 tan 75 = 0.746410 m before the corner.
        let sharp = Curve::face(0.0, Turn::of_degrees(150.0), 0.2);
        assert!(close(
            sharp.met_by(0.0, 0.2),
            Point {
                x: -0.746_410_161_513_775_5,
                y: 0.2
            }
        ));
    }

    #[test]
    fn a_slight_turn_of_like_walls_is_met_close_to_the_corner() {
        let slight = Curve::face(0.0, Turn::of_degrees(1e-7), 0.2);
        let expected = -0.2 * libm::tan(0.5e-7_f64.to_radians());
        assert!((slight.met_by(0.0, 0.2).x / expected - 1.0).abs() < 1e-9);
    }

    #[test]
    fn a_face_meets_the_nearer_side_of_a_circle() {
        // A wall along x into an arc of radius 3 that it meets square, at its outer face, radius 3.2:
        // centre (3, 0), face at x = 3 - sqrt(3.2^2 - 0.15^2) = -0.196483.
        let round = Curve::face(-1.0 / 3.0, Turn::of_degrees(90.0), 0.2);
        let met = round.met_by(0.0, 0.15);
        assert!(close(
            met,
            Point {
                x: 3.0 - (3.2_f64 * 3.2 - 0.0225).sqrt(),
                y: 0.15
            }
        ));
        assert!(round.rightness(met).abs() < 1e-14);
        assert!((round.own_curvature() + 1.0 / 3.2).abs() < 1e-14);
    }

    #[test]
    fn two_arcs_meet_on_both_of_their_faces() {
        for (own, other, turn) in [(0.4, -0.3, 70.0), (-0.5, -0.2, -100.0), (0.2, 0.2, 3.0)] {
            let curve = Curve::face(other, Turn::of_degrees(turn), 0.21);
            let met = curve.met_by(own, 0.17);
            let own_face = Curve::face(own, Turn::of_degrees(0.0), 0.17);
            assert!(
                own_face.rightness(met).abs() < 1e-14,
                "{own} {other} {turn}"
            );
            assert!(curve.rightness(met).abs() < 1e-14, "{own} {other} {turn}");
            assert!(met.length() < 1.0);
        }
    }

    #[test]
    fn faces_that_pass_each_other_by_do_not_meet() {
        let small = Curve::face(2.0, Turn::of_degrees(90.0), 0.1);
        assert!(small.met_by(0.0, 0.9).x.is_nan());
    }

    #[test]
    fn a_line_is_crossed_where_it_stands() {
        let wall = Curve::line(Point { x: 2.0, y: 0.0 }, Point { x: 0.0, y: 1.0 });
        let [nearer, farther] = wall.crossings(Point::ORIGIN, Point { x: 1.0, y: 0.0 });
        assert_eq!(nearer, 2.0);
        assert!(farther.is_nan());
    }
}
