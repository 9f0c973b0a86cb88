//! The outline of an opening or a niche as it is drawn in elevation, and how its area is spread over the height.
//! Knows nothing of the wall: how thick that is, and how the outline widens inward, is for `displaced` and `reveal`.

use super::angle::less_sine;
use super::drawing::OpeningShape;
use super::figure::metres;
use super::quadrature::{Triple, less};

/// An outline: straight sides from the sill to the springing, and a head above. Metres; heights above the stem wall.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Elevation {
    pub(super) width: f64,
    pub(super) sill: f64,
    pub(super) springing: f64,
    /// Its highest point.
    pub(super) top: f64,
    pub(super) head: Head,
    /// Whether its bottom is a level line, which a circle's is not.
    pub(super) has_level_sill: bool,
}

/// What closes an outline above its springing.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) enum Head {
    /// A level line.
    Level,
    /// Part of one circle whose highest point is the top.
    Round { radius: f64 },
    /// Two arcs, each about the other side's springing, with the width as radius.
    Pointed,
}

/// Integrals over height of the width, the width times the height, and the width times the height squared.
pub(super) type Moments = Triple;

/// The rise of an equilateral pointed arch over its width: sin 60 = 0.866025.
const POINTED_RISE: f64 = 0.866_025_403_784_438_6;

impl Elevation {
    pub(super) fn of(shape: &OpeningShape, width: f64, sill: f64) -> Self {
        let new = |height: f64, rise: f64, head| Self {
            width,
            sill,
            springing: sill + height,
            top: sill + height + rise,
            head,
            has_level_sill: true,
        };
        let half = 0.5 * width;
        match shape {
            OpeningShape::Rectangle { height } => new(metres(*height), 0.0, Head::Level),
            OpeningShape::Segmental { height, rise } => {
                let rise = metres(*rise);
                // Radius = (w^2/4 + f^2) / 2f: width 1.2, rise 0.3: 0.45/0.6 = 0.75.
                let radius = (half * half + rise * rise) / (2.0 * rise);
                new(metres(*height), rise, Head::Round { radius })
            }
            OpeningShape::Semicircular { height } => {
                new(metres(*height), half, Head::Round { radius: half })
            }
            OpeningShape::Pointed { height } => {
                new(metres(*height), POINTED_RISE * width, Head::Pointed)
            }
            OpeningShape::Circle => Self {
                has_level_sill: false,
                ..new(0.0, width, Head::Round { radius: half })
            },
        }
    }

    /// Where the wall's part of it begins: what lies below 0 is in the stem wall.
    pub(super) fn bottom(&self) -> f64 {
        self.sill.max(0.0)
    }

    /// Moments of the part below a height, from the sill up.
    pub(super) fn below(&self, z: f64) -> Moments {
        let z = z.max(self.sill).min(self.top);
        let sides = self.sides(z.min(self.springing));
        if z <= self.springing {
            return sides;
        }
        let head = match self.head {
            Head::Level => [0.0; 3],
            Head::Round { radius } => {
                less(self.above(radius, self.springing), self.above(radius, z))
            }
            Head::Pointed => self.pointed(z),
        };
        [sides[0] + head[0], sides[1] + head[1], sides[2] + head[2]]
    }

    /// Of the straight sides up to `z`: w (z - s), w (z^2 - s^2)/2, w (z^3 - s^3)/3.
    fn sides(&self, z: f64) -> Moments {
        let (w, s) = (self.width, self.sill);
        [
            w * (z - s),
            w * (z * z - s * s) / 2.0,
            w * (z * z * z - s * s * s) / 3.0,
        ]
    }

    /// Of a round head above `z`.
    ///
    /// With d the depth of z below the top, r the radius, u = r - d its height above the centre and q = sqrt(r^2 - u^2)
    /// half the width there: area A = r^2/2 (a - sin a), a = 2 atan2(q, u); first and second moment of the depth about
    /// the top r A - 2 q^3/3 and 5/4 r^2 A - 4 r q^3/3 + u q^3/2. Width 1.2, rise 0.3: r 0.75, a 1.854590, A 0.251604.
    fn above(&self, radius: f64, z: f64) -> Moments {
        let depth = (self.top - z).max(0.0);
        let height = radius - depth;
        let half_width = (depth * (2.0 * radius - depth)).max(0.0).sqrt();
        let angle = 2.0 * libm::atan2(half_width, height);
        let cube = half_width * half_width * half_width;
        let area = 0.5 * radius * radius * less_sine(angle);
        let first = radius * area - 2.0 * cube / 3.0;
        let second =
            1.25 * radius * radius * area - 4.0 * radius * cube / 3.0 + 0.5 * height * cube;
        let top = self.top;
        [
            area,
            top * area - first,
            top * top * area - 2.0 * top * first + second,
        ]
    }

    /// Of a pointed head from the springing up to `z`: twice the strip between the arc and the middle.
    ///
    /// With u the height above the springing, w the width and q = sqrt(w^2 - u^2), the width there is 2 q - w. From 0
    /// to u, the integral of q is I0 = (u q + w^2 asin(u/w))/2, of u q it is (w^3 - q^3)/3, and of u^2 q it is
    /// (w^2 I0 - u q^3)/4. The whole head of width 1: pi/3 - sqrt(3)/4 = 0.614185.
    fn pointed(&self, z: f64) -> Moments {
        let w = self.width;
        let u = z - self.springing;
        let q = ((w - u) * (w + u)).max(0.0).sqrt();
        let cube = q * q * q;
        let i0 = 0.5 * (u * q + w * w * libm::asin((u / w).min(1.0)));
        let i1 = (w * w * w - cube) / 3.0;
        let i2 = 0.25 * (w * w * i0 - u * cube);
        let area = 2.0 * i0 - w * u;
        let first = 2.0 * i1 - w * u * u / 2.0;
        let second = 2.0 * i2 - w * u * u * u / 3.0;
        let s = self.springing;
        [
            area,
            s * area + first,
            s * s * area + 2.0 * s * first + second,
        ]
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use hod_units::{Length, parse_decimal};

    fn length(text: &str) -> Length {
        Length::from_metres(parse_decimal(text).expect("a number"))
    }

    fn shapes() -> Vec<(OpeningShape, f64)> {
        vec![
            (
                OpeningShape::Rectangle {
                    height: length("1.1"),
                },
                0.9,
            ),
            (
                OpeningShape::Segmental {
                    height: length("0.8"),
                    rise: length("0.3"),
                },
                1.2,
            ),
            (
                OpeningShape::Segmental {
                    height: length("0"),
                    rise: length("0.001"),
                },
                2.0,
            ),
            (
                OpeningShape::Segmental {
                    height: length("0.5"),
                    rise: length("0.5"),
                },
                1.0,
            ),
            (
                OpeningShape::Semicircular {
                    height: length("0.7"),
                },
                1.0,
            ),
            (
                OpeningShape::Pointed {
                    height: length("0.6"),
                },
                1.0,
            ),
            (OpeningShape::Circle, 0.6),
        ]
    }

    /// The width at a height, from the shape itself and not from integrals.
    fn width_at(e: &Elevation, z: f64) -> f64 {
        if z < e.sill || e.top < z {
            return 0.0;
        }
        if z <= e.springing && e.has_level_sill {
            return e.width;
        }
        match e.head {
            Head::Level => e.width,
            Head::Round { radius } => {
                let u = z - (e.top - radius);
                2.0 * (radius * radius - u * u).max(0.0).sqrt()
            }
            Head::Pointed => {
                let u = z - e.springing;
                2.0 * (e.width * e.width - u * u).max(0.0).sqrt() - e.width
            }
        }
    }

    #[test]
    fn heads_have_the_areas_of_the_handbook() {
        // Segment of width 1.2 and rise 0.3: r 0.75, a = 2 asin(0.8) = 1.854590, r^2/2 (a - sin a) = 0.251604.
        // Half circle of width 1: pi/8. Two arcs of radius 1 on width 1: pi/3 - sqrt(3)/4 = 0.614185.
        let table = [
            (
                OpeningShape::Segmental {
                    height: length("1"),
                    rise: length("0.3"),
                },
                1.2,
                0.251_604,
            ),
            (
                OpeningShape::Semicircular {
                    height: length("1"),
                },
                1.0,
                std::f64::consts::FRAC_PI_8,
            ),
            (
                OpeningShape::Pointed {
                    height: length("1"),
                },
                1.0,
                0.614_185,
            ),
        ];
        for (shape, width, area) in table {
            let e = Elevation::of(&shape, width, 0.4);
            assert!(
                (less(e.below(9.0), e.below(1.4))[0] - area).abs() < 5e-7,
                "{shape:?}"
            );
        }
        let circle = Elevation::of(&OpeningShape::Circle, 0.6, 0.4);
        assert!(
            (less(circle.below(9.0), circle.below(0.0))[0] - 0.09 * std::f64::consts::PI).abs()
                < 1e-15
        );
    }

    #[test]
    fn moments_agree_with_strips_over_any_band() {
        for (shape, width) in shapes() {
            for sill in [-0.35, 0.0, 0.9] {
                let e = Elevation::of(&shape, width, sill);
                for (low, high) in [(0.0, 1.0), (0.1, 0.45), (0.55, 0.8), (0.93, 1.0)] {
                    let (from, to) = (sill + low * (e.top - sill), sill + high * (e.top - sill));
                    let strips = 400_000;
                    let step = (to - from) / f64::from(strips);
                    let mut sum = [0.0; 3];
                    for strip in 0..strips {
                        let z = from + (f64::from(strip) + 0.5) * step;
                        let w = width_at(&e, z) * step;
                        sum = [sum[0] + w, sum[1] + w * z, sum[2] + w * z * z];
                    }
                    let exact = less(e.below(to), e.below(from));
                    for i in 0..3 {
                        let gap = (exact[i] - sum[i]).abs();
                        assert!(
                            gap < 3e-8,
                            "{shape:?} sill {sill} {low}..{high} moment {i}: {exact:?} {sum:?}"
                        );
                    }
                }
            }
        }
    }

    #[test]
    fn bands_of_an_outline_add_up_to_it() {
        for (shape, width) in shapes() {
            let e = Elevation::of(&shape, width, 0.2);
            let whole = less(e.below(9.0), e.below(-1.0));
            let parts =
                (0..40).map(|i| less(e.below(f64::from(i + 1) * 0.1), e.below(f64::from(i) * 0.1)));
            let sum = parts.fold([0.0; 3], |a, b| [a[0] + b[0], a[1] + b[1], a[2] + b[2]]);
            for i in 0..3 {
                assert!((whole[i] - sum[i]).abs() < 1e-12, "{shape:?}");
            }
        }
    }
}
