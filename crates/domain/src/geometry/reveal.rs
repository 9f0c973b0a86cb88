//! Reveals: the jambs, head and sill that an opening or a niche leaves bare, as true areas.
//!
//! Each is the surface that joins the outline on the one face to the outline on the other (or at a niche's depth) by
//! straight level lines. What lies at or below 0 is in the stem wall: it has no sill, and its jambs begin at 0.

use super::angle::less_sine;
use super::displaced::{Reach, Void};
use super::drawing::Face;
use super::elevation::{Elevation, Head};
use super::path::along;
use super::point::Point;
use super::quadrature::{Care, gauss_kronrod};
use super::section::{Faces, Linear, Side};

/// A void's reveals, m2.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub(super) struct Reveal {
    /// Both straight sides.
    pub(super) jamb: f64,
    /// The level head or the arch; of a circle all of it.
    pub(super) head: f64,
    pub(super) sill: f64,
}

impl Reveal {
    pub(super) fn sum(&self) -> f64 {
        self.jamb + self.sill + self.head
    }
}

/// The reveals of a void, part by part.
pub(super) fn reveal(void: &Void, faces: &Faces) -> Reveal {
    let e = &void.elevation;
    if e.top <= 0.0 {
        return Reveal::default();
    }
    if faces.curvature == 0.0 && void.splay() == 0.0 {
        straight(e, depth(void, faces))
    } else {
        let surface = Surface::new(void, faces);
        let area = |piece: Option<Piece>| piece.map_or(0.0, |piece| 2.0 * surface.area(&piece));
        let [sill, jamb, head] = half_outline(e);
        Reveal {
            jamb: area(jamb),
            head: area(head),
            sill: area(sill),
        }
    }
}

/// How deep the void is at a height, level and across the wall.
fn depth(void: &Void, faces: &Faces) -> Linear {
    match void.reach {
        Reach::Through { .. } => faces.thickness(),
        Reach::From { depth, .. } => Linear {
            base: depth,
            per_metre: 0.0,
        },
    }
}

/// Of an unsplayed void in a straight wall: the depth at each point of the outline, along the outline.
///
/// A door 0.90 x 2.00 m to the floor through 0.45 m: jambs 2 x 2.00 x 0.45 = 1.80, head 0.405.
fn straight(e: &Elevation, depth: Linear) -> Reveal {
    let mut reveal = Reveal::default();
    if 0.0 < e.springing {
        let from = e.bottom();
        reveal.jamb = 2.0 * (e.springing - from) * depth.at(0.5 * (from + e.springing));
    }
    if e.has_level_sill && 0.0 < e.sill {
        reveal.sill = e.width * depth.at(e.sill);
    }
    reveal.head = match e.head {
        Head::Level => e.width * depth.at(e.top),
        Head::Round { radius } => {
            // Half the arc turns by `angle`, is r a long and lies r (1 - cos) below the top: mean depth under the top
            // (a - sin a) r / a.
            let angle = round_half_angle(e, radius);
            let long = radius * angle;
            let fall = radius * radius * less_sine(angle);
            2.0 * (long * depth.at(e.top) - depth.per_metre * fall)
        }
        Head::Pointed => {
            let (from, to) = pointed_angles(e);
            let long = e.width * (to - from);
            let rise = e.width * e.width * (libm::cos(from) - libm::cos(to));
            2.0 * (long * depth.at(e.springing) + depth.per_metre * rise)
        }
    };
    reveal
}

/// Half the angle of a round head, as far as it stands above 0.
fn round_half_angle(e: &Elevation, radius: f64) -> f64 {
    let fall = e.top - e.springing.max(0.0);
    let half_width = (fall * (2.0 * radius - fall)).max(0.0).sqrt();
    libm::atan2(half_width, radius - fall)
}

/// From which to which angle above the level either arc of a pointed head runs, as far as it stands above 0.
fn pointed_angles(e: &Elevation) -> (f64, f64) {
    let sunk = (-e.springing / e.width).clamp(0.0, 1.0);
    (libm::asin(sunk), std::f64::consts::FRAC_PI_3)
}

/// A piece of an outline: a line or an arc on one side of its middle, u across from the middle and z up.
#[derive(Debug, Clone, Copy)]
enum Piece {
    Line {
        from: (f64, f64),
        to: (f64, f64),
    },
    /// About a centre, between two angles from the level.
    Arc {
        centre: (f64, f64),
        radius: f64,
        from: f64,
        to: f64,
    },
}

/// A point of a piece and how fast it moves: u, z, du, dz.
type Passing = (f64, f64, f64, f64);

impl Piece {
    fn at(&self, share: f64) -> Passing {
        match *self {
            Self::Line { from, to } => {
                let (du, dz) = (to.0 - from.0, to.1 - from.1);
                (from.0 + share * du, from.1 + share * dz, du, dz)
            }
            Self::Arc {
                centre,
                radius,
                from,
                to,
            } => {
                let (sine, cosine) = libm::sincos(from + share * (to - from));
                let speed = radius * (to - from);
                (
                    centre.0 + radius * cosine,
                    centre.1 + radius * sine,
                    -speed * sine,
                    speed * cosine,
                )
            }
        }
    }
}

/// The outline on one side of its middle, as far as it stands above 0: sill, jamb and head.
fn half_outline(e: &Elevation) -> [Option<Piece>; 3] {
    let half = 0.5 * e.width;
    let sill = (e.has_level_sill && 0.0 < e.sill).then_some(Piece::Line {
        from: (0.0, e.sill),
        to: (half, e.sill),
    });
    let jamb = (e.bottom() < e.springing).then(|| Piece::Line {
        from: (half, e.bottom()),
        to: (half, e.springing),
    });
    let head = match e.head {
        Head::Level => Piece::Line {
            from: (half, e.top),
            to: (0.0, e.top),
        },
        Head::Round { radius } => {
            let upright = std::f64::consts::FRAC_PI_2;
            Piece::Arc {
                centre: (0.0, e.top - radius),
                radius,
                from: upright - round_half_angle(e, radius),
                to: upright,
            }
        }
        Head::Pointed => {
            let (from, to) = pointed_angles(e);
            Piece::Arc {
                centre: (-half, e.springing),
                radius: e.width,
                from,
                to,
            }
        }
    };
    [sill, jamb, Some(head)]
}

/// The surface between the outline on one face and the outline on the other, seen from where the middle of the void is
/// on the centre line.
struct Surface {
    curvature: f64,
    /// Where the outline stands on the one face, and where on the other.
    near: Linear,
    far: Linear,
    /// Width on the other face over that on the one.
    widening: f64,
}

impl Surface {
    fn new(void: &Void, faces: &Faces) -> Self {
        let outer = faces.inner.opposite();
        let (near, far, widening) = match void.reach {
            Reach::Through { splay } => (
                faces.face(outer),
                faces.face(faces.inner),
                1.0 + splay / void.elevation.width,
            ),
            Reach::From { face, depth } => {
                let side = if face == Face::Inner {
                    faces.inner
                } else {
                    outer
                };
                let near = faces.face(side);
                let inward = if side == Side::Left { -depth } else { depth };
                (near, near.plus(inward), 1.0)
            }
        };
        Self {
            curvature: faces.curvature,
            near,
            far,
            widening,
        }
    }

    /// Where a point of the outline is in plan on a face, and how fast it moves.
    fn on(&self, face: Linear, widening: f64, (u, z, du, dz): Passing) -> (Point, Point) {
        let offset = face.at(z);
        let pose = along(self.curvature, u * widening);
        let speed = Point {
            x: du * widening * (1.0 - self.curvature * offset),
            y: face.per_metre * dz,
        };
        let place = pose.outward(Point { x: 0.0, y: offset });
        let speed = pose
            .ahead
            .times(speed.x)
            .plus(pose.ahead.left().times(speed.y));
        (place, speed)
    }

    /// Area of the surface along one piece of the outline: the double integral of the cross product of its two
    /// directions, along the outline and across the wall.
    fn area(&self, piece: &Piece) -> f64 {
        let strip = |share: f64| {
            let passing = piece.at(share);
            let (near, near_speed) = self.on(self.near, 1.0, passing);
            let (far, far_speed) = self.on(self.far, self.widening, passing);
            let across = far.minus(near);
            let dz = passing.3;
            let patch = |x: f64| {
                let speed = near_speed.times(1.0 - x).plus(far_speed.times(x));
                let level = speed.cross(across);
                let upright = dz * across.length();
                [(level * level + upright * upright).sqrt(), 0.0, 0.0]
            };
            gauss_kronrod(0.0, 1.0, Care::USUAL, &patch)
        };
        gauss_kronrod(0.0, 1.0, Care::USUAL, &strip)[0]
    }
}

#[cfg(test)]
mod tests {
    use super::super::drawing::{Batter, Opening, OpeningShape};
    use super::*;
    use hod_units::{Length, parse_decimal};

    fn length(text: &str) -> Length {
        Length::from_metres(parse_decimal(text).expect("a number"))
    }

    fn opening(shape: OpeningShape, width: &str, sill: &str, splay: &str) -> Void {
        Void::of_opening(&Opening {
            id: "o".into(),
            shape,
            width: length(width),
            sill: length(sill),
            at: length("1"),
            splay: length(splay),
        })
    }

    fn shapes() -> [OpeningShape; 5] {
        [
            OpeningShape::Rectangle {
                height: length("1.1"),
            },
            OpeningShape::Segmental {
                height: length("0.8"),
                rise: length("0.3"),
            },
            OpeningShape::Semicircular {
                height: length("0.7"),
            },
            OpeningShape::Pointed {
                height: length("0.6"),
            },
            OpeningShape::Circle,
        ]
    }

    #[test]
    fn plain_reveals_are_thickness_times_outline() {
        let faces = Faces::new(0.45, 0.0, Batter::Both, Side::Left, 0.0);
        // Door to the floor: 2 x 2.00 x 0.45 + 0.90 x 0.45 = 2.205. Window: all round, 2 x (1.1 + 0.9) x 0.45.
        let door = opening(
            OpeningShape::Rectangle {
                height: length("2"),
            },
            "0.9",
            "0",
            "0",
        );
        assert!((reveal(&door, &faces).sum() - 2.205).abs() < 1e-15);
        let window = opening(shapes()[0], "0.9", "0.9", "0");
        assert!((reveal(&window, &faces).sum() - 1.8).abs() < 1e-15);
        // Half circle over a door 0.7 to the springing: 2 x 0.7 x 0.45 + pi/2 x 0.45.
        let arched = opening(shapes()[2], "1", "0", "0");
        let expected = 0.63 + std::f64::consts::FRAC_PI_2 * 0.45;
        assert!((reveal(&arched, &faces).sum() - expected).abs() < 1e-15);
        // Circle: pi x 0.6 x 0.45.
        let round = opening(OpeningShape::Circle, "0.6", "0.9", "0");
        assert!((reveal(&round, &faces).sum() - std::f64::consts::PI * 0.27).abs() < 1e-14);
        // The segment of width 1.2 and rise 0.3 has an arc of 0.75 x 1.854590 = 1.390943.
        let segment = opening(shapes()[1], "1.2", "0", "0");
        assert!((reveal(&segment, &faces).sum() - 0.45 * (1.6 + 1.390_943)).abs() < 3e-7);
    }

    #[test]
    fn a_splayed_jamb_is_as_long_as_its_slant() {
        // Plumb wall 0.4 m, 0.3 m to each side: slant 0.5. Jambs 2 x 1.1 x 0.5; head and sill (0.9 + 1.5)/2 x 0.4.
        let faces = Faces::new(0.4, 0.0, Batter::Both, Side::Left, 0.0);
        let void = opening(shapes()[0], "0.9", "0.9", "0.6");
        assert!((reveal(&void, &faces).sum() - (1.1 + 0.96)).abs() < 1e-12);
    }

    #[test]
    fn the_surface_integral_agrees_with_the_plain_formula() {
        let faces = Faces::new(0.5, 0.08, Batter::Outer, Side::Left, 0.0);
        for shape in shapes() {
            for sill in ["-0.9", "-0.4", "0", "0.7"] {
                let void = opening(shape, "1", sill, "0");
                let surface = Surface::new(&void, &faces);
                let plain = reveal(&void, &faces);
                let parts = [plain.sill, plain.jamb, plain.head];
                for (piece, plain) in half_outline(&void.elevation).into_iter().zip(parts) {
                    let area = piece.map_or(0.0, |piece| 2.0 * surface.area(&piece));
                    assert!(
                        (area - plain).abs() < 1e-11,
                        "{shape:?} {sill}: {area} {plain}"
                    );
                }
            }
        }
    }

    #[test]
    fn on_an_arc_a_head_is_part_of_a_ring_and_jambs_are_radial() {
        // Radius 2.5, 0.5 thick, 1 m wide: head and sill 0.5 x 1 each (mean radius), jambs 2 x 1.1 x 0.5.
        let faces = Faces::new(0.5, 0.0, Batter::Both, Side::Left, 0.4);
        let void = opening(shapes()[0], "1", "0.9", "0");
        assert!((reveal(&void, &faces).sum() - 2.1).abs() < 1e-12);
    }

    #[test]
    fn facets_close_in_on_a_splayed_soffit_of_an_arc() {
        // 1500 x 60 flat quadrilaterals, each by its two triangles.
        let faces = Faces::new(0.5, 0.06, Batter::Both, Side::Right, -0.4);
        let void = opening(shapes()[3], "1", "0.2", "0.3");
        let e = void.elevation;
        let (along_count, across_count) = (1500, 60);
        let surface = Surface::new(&void, &faces);
        let mut sum = 0.0;
        for piece in half_outline(&e).into_iter().flatten() {
            let corner = |i: i32, j: i32| {
                let passing = piece.at(f64::from(i) / f64::from(along_count));
                let (near, _) = surface.on(surface.near, 1.0, passing);
                let (far, _) = surface.on(surface.far, surface.widening, passing);
                let p = near.plus(
                    far.minus(near)
                        .times(f64::from(j) / f64::from(across_count)),
                );
                [p.x, p.y, passing.1]
            };
            let triangle = |a: [f64; 3], b: [f64; 3], c: [f64; 3]| {
                let u = [b[0] - a[0], b[1] - a[1], b[2] - a[2]];
                let v = [c[0] - a[0], c[1] - a[1], c[2] - a[2]];
                let n = [
                    u[1] * v[2] - u[2] * v[1],
                    u[2] * v[0] - u[0] * v[2],
                    u[0] * v[1] - u[1] * v[0],
                ];
                0.5 * (n[0] * n[0] + n[1] * n[1] + n[2] * n[2]).sqrt()
            };
            for i in 0..along_count {
                for j in 0..across_count {
                    let (a, b) = (corner(i, j), corner(i + 1, j));
                    let (c, d) = (corner(i + 1, j + 1), corner(i, j + 1));
                    sum += triangle(a, b, c) + triangle(a, c, d);
                }
            }
        }
        let exact = reveal(&void, &faces).sum();
        assert!((2.0 * sum - exact).abs() < 2e-6, "{sum} {exact}");
    }
}
