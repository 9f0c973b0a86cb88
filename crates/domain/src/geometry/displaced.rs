//! What an opening or a niche takes out of its wall between two heights: earth, and area of the two faces.
//! The outline's own integrals are in `elevation`, its jambs, head and sill in `reveal`.

use super::drawing::{Face, Niche, Opening};
use super::elevation::{Elevation, Moments};
use super::figure::metres;
use super::quadrature::Triple;
use super::section::{Faces, Linear, Side};

/// An opening or a niche on its wall.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Void {
    pub(super) elevation: Elevation,
    /// Near edge from the wall's start, m.
    pub(super) at: f64,
    pub(super) reach: Reach,
}

/// How far into the wall a void reaches.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) enum Reach {
    /// From face to face, wider on the inner face by this length.
    Through { splay: f64 },
    /// So deep from a face.
    From { face: Face, depth: f64 },
}

/// What a void takes per metre of its own width, as polynomials of the height: of earth (m), and of the left and right
/// face (1).
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Taken {
    earth: [f64; 3],
    left: Linear,
    right: Linear,
}

impl Void {
    pub(super) fn of_opening(opening: &Opening) -> Self {
        Self {
            elevation: Elevation::of(&opening.shape, metres(opening.width), metres(opening.sill)),
            at: metres(opening.at),
            reach: Reach::Through {
                splay: metres(opening.splay),
            },
        }
    }

    pub(super) fn of_niche(niche: &Niche) -> Self {
        Self {
            elevation: Elevation::of(&niche.shape, metres(niche.width), metres(niche.sill)),
            at: metres(niche.at),
            reach: Reach::From {
                face: niche.face,
                depth: metres(niche.depth),
            },
        }
    }

    /// Extra width on the inner face.
    pub(super) fn splay(&self) -> f64 {
        match self.reach {
            Reach::Through { splay } => splay,
            Reach::From { .. } => 0.0,
        }
    }

    /// From where to where along the wall, on its wider face.
    pub(super) fn extent(&self) -> (f64, f64) {
        let side = 0.5 * self.splay();
        (self.at - side, self.at + self.elevation.width + side)
    }

    pub(super) fn taken(&self, faces: &Faces) -> Taken {
        match self.reach {
            Reach::Through { splay } => through(faces, splay / self.elevation.width),
            Reach::From { face, depth } => hollow(faces, face, depth),
        }
    }
}

/// An opening whose width grows from the outer face to the inner by the share `splay`.
///
/// Per metre of width on the outer face it takes the thickness t times the mean, over the depth x from outer (0) to
/// inner (1), of (1 + splay x) times the radius there over the centre line's: with those ratios p and q at the two
/// faces, (p + q)/2 + splay (p/6 + q/3). On a straight wall p = q = 1: t (1 + splay/2).
/// Width 0.9, splayed to 1.5, 1.2 high through 0.5 m: 1.08 x 0.5 x (1 + 0.666667/2) = 0.720.
fn through(faces: &Faces, splay: f64) -> Taken {
    let (outer, inner) = (
        faces.stretch(faces.inner.opposite()),
        faces.stretch(faces.inner),
    );
    let mean = |p: f64, q: f64| 0.5 * (p + q) + splay * (p / 6.0 + q / 3.0);
    let mean = Linear {
        base: mean(outer.base, inner.base),
        per_metre: mean(outer.per_metre, inner.per_metre),
    };
    let loss = |side: Side| {
        let wider = if side == faces.inner {
            1.0 + splay
        } else {
            1.0
        };
        faces.stretch(side).times(wider * faces.slope(side))
    };
    Taken {
        earth: product(faces.thickness(), mean),
        left: loss(Side::Left),
        right: loss(Side::Right),
    }
}

/// A niche of this depth. Per metre of width it takes the depth, times the radius at half the depth over the centre
/// line's. Its back stands for its mouth, so of its face it takes only what the back is narrower on an arc: the depth
/// over the radius of the centre line.
fn hollow(faces: &Faces, face: Face, depth: f64) -> Taken {
    let side = match face {
        Face::Inner => faces.inner,
        Face::Outer => faces.inner.opposite(),
    };
    // Into the wall the offset falls from the left face, and rises from the right.
    let narrowing = match side {
        Side::Left => -faces.curvature * depth,
        Side::Right => faces.curvature * depth,
    };
    let middle = faces.stretch(side).plus(-0.5 * narrowing);
    let loss = Linear {
        base: narrowing * faces.slope(side),
        per_metre: 0.0,
    };
    let none = Linear {
        base: 0.0,
        per_metre: 0.0,
    };
    let (left, right) = match side {
        Side::Left => (loss, none),
        Side::Right => (none, loss),
    };
    Taken {
        earth: [depth * middle.base, depth * middle.per_metre, 0.0],
        left,
        right,
    }
}

fn product(a: Linear, b: Linear) -> [f64; 3] {
    [
        a.base * b.base,
        a.base * b.per_metre + a.per_metre * b.base,
        a.per_metre * b.per_metre,
    ]
}

impl Taken {
    /// Of a band of the outline with these moments: earth (m3), and true area of the left and right face (m2).
    pub(super) fn of(&self, [area, first, second]: Moments) -> Triple {
        let [a, b, c] = self.earth;
        [
            a * area + b * first + c * second,
            self.left.base * area + self.left.per_metre * first,
            self.right.base * area + self.right.per_metre * first,
        ]
    }
}

#[cfg(test)]
mod tests {
    use super::super::drawing::{Batter, OpeningShape};
    use super::super::quadrature::less;
    use super::*;
    use hod_units::{Length, parse_decimal};

    fn length(text: &str) -> Length {
        Length::from_metres(parse_decimal(text).expect("a number"))
    }

    fn opening(shape: OpeningShape, width: &str, splay: &str) -> Void {
        Void::of_opening(&Opening {
            id: "o".into(),
            shape,
            width: length(width),
            sill: length("0"),
            at: length("1"),
            splay: length(splay),
        })
    }

    fn whole(void: &Void, faces: &Faces) -> Triple {
        let e = &void.elevation;
        void.taken(faces).of(less(e.below(99.0), e.below(0.0)))
    }

    #[test]
    fn a_splayed_opening_is_a_prismatoid() {
        // 0.5/6 x (0.9 + 4 x 1.2 + 1.5) x 1.2 = 0.720
        let faces = Faces::new(0.5, 0.0, Batter::Both, Side::Left, 0.0);
        let void = opening(
            OpeningShape::Rectangle {
                height: length("1.2"),
            },
            "0.9",
            "0.6",
        );
        let [earth, inner, outer] = whole(&void, &faces);
        assert!((earth - 0.720).abs() < 1e-15);
        assert!((inner - 1.8).abs() < 1e-15 && (outer - 1.08).abs() < 1e-15);
        let (from, to) = void.extent();
        assert!((from - 0.7).abs() < 1e-15 && (to - 2.2).abs() < 1e-15);
    }

    #[test]
    fn an_opening_takes_its_area_times_the_thickness_at_its_centroid() {
        // 0.90 x 2.00 m, centroid at 1.00 m; 0.450 - 0.020833 x 1.00 = 0.429167; x 1.8 = 0.7725.
        let faces = Faces::new(0.45, 0.05 / 2.4, Batter::Both, Side::Left, 0.0);
        let void = opening(
            OpeningShape::Rectangle {
                height: length("2.0"),
            },
            "0.9",
            "0",
        );
        assert!((whole(&void, &faces)[0] - 0.7725).abs() < 1e-15);
    }

    #[test]
    fn on_an_arc_an_opening_widens_with_the_radius() {
        // By layers over the depth and strips over the height, of a splayed circle through a wall that leans outside.
        let faces = Faces::new(0.5, 0.06, Batter::Outer, Side::Left, 0.4);
        let void = opening(OpeningShape::Circle, "0.8", "0.3");
        let exact = whole(&void, &faces)[0];
        let (layers, strips) = (100, 20_000);
        let mut sum = 0.0;
        for strip in 0..strips {
            let z = (f64::from(strip) + 0.5) / f64::from(strips) * 0.8;
            let width = 2.0 * (0.16 - (z - 0.4) * (z - 0.4)).sqrt();
            let (outer, inner) = (faces.right.at(z), faces.left.at(z));
            for layer in 0..layers {
                let x = (f64::from(layer) + 0.5) / f64::from(layers);
                let radius = 2.5 - (outer + x * (inner - outer));
                let slab = (inner - outer) / f64::from(layers) * 0.8 / f64::from(strips);
                sum += width * (1.0 + 0.3 / 0.8 * x) * radius / 2.5 * slab;
            }
        }
        assert!((exact - sum).abs() < 3e-7, "{exact} {sum}");
    }

    #[test]
    fn a_niche_takes_its_depth_at_half_the_depth() {
        // 0.6 x 1.0 m, 0.2 deep, from the outer face of an arc of radius 2.5 that is 0.5 thick: middle of the niche at
        // radius 2.65: 0.6 x 0.2 x 2.65/2.5 = 0.1272. Its back, at 2.55, is 0.6 x 0.2/2.5 = 0.048 narrower than its
        // mouth.
        let niche = |face| {
            Void::of_niche(&Niche {
                id: "n".into(),
                shape: OpeningShape::Rectangle {
                    height: length("1"),
                },
                width: length("0.6"),
                sill: length("0.5"),
                at: length("1"),
                depth: length("0.2"),
                face,
            })
        };
        let faces = Faces::new(0.5, 0.0, Batter::Both, Side::Left, 0.4);
        let [earth, left, right] = whole(&niche(Face::Outer), &faces);
        assert!((earth - 0.1272).abs() < 1e-15 && left == 0.0 && (right - 0.048).abs() < 1e-15);
        // From the inner face, radius 2.25, the middle is at 2.35 and the back is wider.
        let [earth, left, right] = whole(&niche(Face::Inner), &faces);
        assert!((earth - 0.1128).abs() < 1e-15 && (left + 0.048).abs() < 1e-15 && right == 0.0);
    }
}
