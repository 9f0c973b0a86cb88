//! The centre line of a wall's base: where one stands after so many metres, and how a face beside it is swept.
//! Straight lines and arcs are one thing here, a line of constant curvature; a straight one has none.

use super::angle::{less_sine, radians};
use super::drawing::Path;
use super::figure::{metres, number};
use super::point::{Point, Pose, Turn};

/// A centre line. Left of travel is positive, for offsets from it and for its bend.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct CentreLine {
    /// m
    pub(super) length: f64,
    /// 1 / radius, per m; positive bends to the left, 0 is straight.
    pub(super) curvature: f64,
    /// Degrees by which the direction turns from start to end.
    pub(super) bend_degrees: f64,
}

impl CentreLine {
    /// Length of an arc = radius x bend: 3.0 m x 135 degrees = 7.068583 m.
    pub(super) fn of(path: &Path) -> Self {
        match path {
            Path::Straight { length } => Self {
                length: metres(*length),
                curvature: 0.0,
                bend_degrees: 0.0,
            },
            Path::Arc {
                radius,
                bend_degrees,
            } => {
                let (radius, bend_degrees) = (metres(*radius), number(*bend_degrees));
                Self {
                    length: radius * radians(bend_degrees.abs()),
                    curvature: 1.0_f64.copysign(bend_degrees) / radius,
                    bend_degrees,
                }
            }
        }
    }

    /// Where the far end is and where it heads, seen from the start.
    pub(super) fn end(&self) -> Pose {
        // From the degrees drawn, so that a right-angled bend ends at exactly a right angle.
        let turn = Turn::of_degrees(self.bend_degrees);
        let at = if self.curvature == 0.0 {
            Point {
                x: self.length,
                y: 0.0,
            }
        } else {
            let radius = 1.0 / self.curvature;
            Point {
                x: radius * turn.sine,
                y: radius * (1.0 - turn.cosine),
            }
        };
        Pose {
            at,
            ahead: turn.pose().ahead,
        }
    }

    /// Where one is and where one heads `s` metres along, seen from the start. `s` may lie beyond either end: the
    /// line runs on as it is.
    pub(super) fn along(&self, s: f64) -> Pose {
        along(self.curvature, s)
    }
}

/// As [`CentreLine::along`], of a line of this curvature.
pub(super) fn along(curvature: f64, s: f64) -> Pose {
    if curvature == 0.0 {
        return Pose {
            at: Point { x: s, y: 0.0 },
            ahead: Pose::ORIGIN.ahead,
        };
    }
    let (sine, cosine) = libm::sincos(curvature * s);
    let half = libm::sin(0.5 * curvature * s);
    Pose {
        at: Point {
            x: sine / curvature,
            // 1 - cos a = 2 sin^2 (a/2), which keeps its digits where the bend is slight.
            y: 2.0 * half * half / curvature,
        },
        ahead: Point { x: cosine, y: sine },
    }
}

/// How far along a line of this curvature, from the origin and heading along x, a point stands abreast of it.
pub(super) fn abreast(curvature: f64, point: Point) -> f64 {
    if curvature == 0.0 {
        point.x
    } else {
        libm::atan2(curvature * point.x, 1.0 - curvature * point.y) / curvature
    }
}

/// Plan area between the centre line and a face at this offset, per metre of centre line, in m: `n - c n^2 / 2`.
///
/// On the inside of a bend a face is shorter than the centre line, by `c n` of it. Radius 3 m, face 0.2 m inside:
/// 0.2 - 0.04/6 = 0.193333; 0.2 m outside: -0.2 - 0.04/6 = -0.206667; together 0.4, as Pappus has it.
pub(super) fn swept(curvature: f64, offset: f64) -> f64 {
    offset - 0.5 * curvature * offset * offset
}

/// Integral of [`swept`] along the straight line from offset `n1` abreast of `s1` to `n2` abreast of `s2`, in m2.
///
/// Straight wall: the trapezoid `(n1 + n2) / 2 x (s2 - s1)`. Curved: half of R^2 (a - sin a) + (R^2 - r1 r2) sin a,
/// where a is the angle between the two points at the centre and r1, r2 are their radii: the sector less the triangle.
pub(super) fn swept_along_chord(curvature: f64, (n1, s1): (f64, f64), (n2, s2): (f64, f64)) -> f64 {
    let step = s2 - s1;
    if curvature == 0.0 {
        return 0.5 * (n1 + n2) * step;
    }
    let angle = curvature * step;
    let radius = 1.0 / curvature;
    let offsets = radius * (n1 + n2) - n1 * n2;
    0.5 * (radius * radius * less_sine(angle) + offsets * libm::sin(angle))
}

#[cfg(test)]
mod tests {
    use super::*;
    use hod_units::{Length, parse_decimal};

    fn arc(radius: &str, bend: &str) -> CentreLine {
        let read = |text| parse_decimal(text).expect("a number");
        CentreLine::of(&Path::Arc {
            radius: Length::from_metres(read(radius)),
            bend_degrees: read(bend),
        })
    }

    #[test]
    fn an_arc_is_as_long_as_its_radius_times_its_bend() {
        // 3.0 x 135 x pi/180 = 7.068583
        assert!((arc("3.0", "135").length - 7.068_583).abs() < 1e-6);
        assert_eq!(arc("3.0", "135").length, arc("3.0", "-135").length);
    }

    #[test]
    fn a_quarter_bend_ends_as_far_aside_as_ahead() {
        let left = arc("2", "90").end();
        assert_eq!(
            (left.at, left.ahead),
            (Point { x: 2.0, y: 2.0 }, Point { x: 0.0, y: 1.0 })
        );
        let right = arc("2", "-90").end();
        assert_eq!(
            (right.at, right.ahead),
            (Point { x: 2.0, y: -2.0 }, Point { x: 0.0, y: -1.0 })
        );
        let half_way = arc("2", "90").along(arc("2", "180").length);
        assert!(half_way.at.minus(Point { x: 0.0, y: 4.0 }).length() < 1e-14);
    }

    #[test]
    fn a_point_abreast_is_found_again() {
        for curvature in [0.0, 0.4, -0.7, 1e-9] {
            for (s, n) in [(0.3, 0.2), (1.7, -0.4), (-0.5, 0.1)] {
                let pose = along(curvature, s);
                let point = pose.outward(Point { x: 0.0, y: n });
                assert!(
                    (abreast(curvature, point) - s).abs() < 1e-14,
                    "{curvature} {s} {n}"
                );
            }
        }
    }

    #[test]
    fn a_chord_is_swept_as_its_sector_less_its_triangle() {
        // Radius 3, a quarter turn, from 0.2 outside to 0.2 inside: (9 pi/4 - 3.2 x 2.8 / 2) / 3 ... by 200,000 strips.
        let curvature = 1.0 / 3.0;
        let (n1, n2, angle) = (-0.2_f64, 0.2_f64, 0.5_f64);
        let (r1, r2) = (3.0 - n1, 3.0 - n2);
        let strips = 200_000;
        let mut sum = 0.0;
        for strip in 0..strips {
            let a = (f64::from(strip) + 0.5) / f64::from(strips) * angle;
            // The chord in polar form: 1/r = (sin(A - a)/r1 + sin(a)/r2) / sin A.
            let r = libm::sin(angle) / (libm::sin(angle - a) / r1 + libm::sin(a) / r2);
            sum += swept(curvature, 3.0 - r) * 3.0 * angle / f64::from(strips);
        }
        let exact = swept_along_chord(curvature, (n1, 0.0), (n2, 3.0 * angle));
        assert!((sum - exact).abs() < 1e-10, "{sum} {exact}");
        // And one so slight that it might as well be straight.
        let slight = swept_along_chord(1e-9, (-0.2, 0.0), (0.3, 0.5));
        assert!((slight - 0.025).abs() < 1e-9);
    }
}
