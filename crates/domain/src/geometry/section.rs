//! The cross-section of a wall: how thick it is at a height, where its two faces stand and how far they lean.
//! Faces are told by offset from the centre line of the base, positive to the left of travel.

use super::drawing::Batter;
use super::path::swept;

/// A quantity that changes evenly with height.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Linear {
    /// At height 0.
    pub(super) base: f64,
    /// Change per metre of height.
    pub(super) per_metre: f64,
}

impl Linear {
    pub(super) fn at(&self, z: f64) -> f64 {
        self.base + self.per_metre * z
    }

    pub(super) fn times(&self, factor: f64) -> Self {
        Self {
            base: self.base * factor,
            per_metre: self.per_metre * factor,
        }
    }

    pub(super) fn plus(&self, more: f64) -> Self {
        Self {
            base: self.base + more,
            ..*self
        }
    }
}

/// Which side of a wall is its inner.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Side {
    Left,
    Right,
}

impl Side {
    pub(super) fn opposite(self) -> Self {
        match self {
            Self::Left => Self::Right,
            Self::Right => Self::Left,
        }
    }
}

/// The two faces of a wall.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Faces {
    /// Offset of the left face, m.
    pub(super) left: Linear,
    /// Offset of the right face, m; less than the left's.
    pub(super) right: Linear,
    /// Of the centre line, per m.
    pub(super) curvature: f64,
    /// Where the inner face is.
    pub(super) inner: Side,
}

impl Faces {
    /// From the thickness at the base and its loss per metre of height: (0.450 - 0.400) / 2.40 = 0.020833.
    ///
    /// At the base both faces stand half the thickness off the centre line. Under `batter` both, each leans by half
    /// of the loss; else one takes all of it and the other is plumb.
    pub(super) fn new(base: f64, loss: f64, batter: Batter, inner: Side, curvature: f64) -> Self {
        let (inner_loss, outer_loss) = match batter {
            Batter::Both => (0.5 * loss, 0.5 * loss),
            Batter::Outer => (0.0, loss),
            Batter::Inner => (loss, 0.0),
        };
        let (left_loss, right_loss) = match inner {
            Side::Left => (inner_loss, outer_loss),
            Side::Right => (outer_loss, inner_loss),
        };
        Self {
            left: Linear {
                base: 0.5 * base,
                per_metre: -left_loss,
            },
            right: Linear {
                base: -0.5 * base,
                per_metre: right_loss,
            },
            curvature,
            inner,
        }
    }

    /// The face on one side.
    pub(super) fn face(&self, side: Side) -> Linear {
        match side {
            Side::Left => self.left,
            Side::Right => self.right,
        }
    }

    /// Thickness, m.
    pub(super) fn thickness(&self) -> Linear {
        Linear {
            base: self.left.base - self.right.base,
            per_metre: self.left.per_metre - self.right.per_metre,
        }
    }

    /// Plan area per metre of centre line at a height, m: the thickness, or on an arc the thickness times the radius
    /// of its middle over the radius of the centre line.
    pub(super) fn swept(&self, z: f64) -> f64 {
        swept(self.curvature, self.left.at(z)) - swept(self.curvature, self.right.at(z))
    }

    /// Length of a face per metre of centre line: its radius over that of the centre line.
    pub(super) fn stretch(&self, side: Side) -> Linear {
        let face = self.face(side);
        Linear {
            base: 1.0 - self.curvature * face.base,
            per_metre: -self.curvature * face.per_metre,
        }
    }

    /// True area of a leaning face over its upright area: `sqrt(1 + lean^2)`, lean in metres per metre of height.
    /// A lean of 0.1 makes it 1.004988.
    pub(super) fn slope(&self, side: Side) -> f64 {
        let lean = self.face(side).per_metre;
        (1.0 + lean * lean).sqrt()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_batter_leans_the_face_it_names() {
        // 0.6 m at the base, losing 0.1 m each metre: 0.36 m at 2.4 m.
        let table = [
            (Batter::Both, Side::Left, 0.18, -0.18),
            (Batter::Outer, Side::Left, 0.30, -0.06),
            (Batter::Outer, Side::Right, 0.06, -0.30),
            (Batter::Inner, Side::Left, 0.06, -0.30),
        ];
        for (batter, inner, left, right) in table {
            let faces = Faces::new(0.6, 0.1, batter, inner, 0.0);
            assert!(
                (faces.left.at(2.4) - left).abs() < 1e-15,
                "{batter:?} {inner:?}"
            );
            assert!(
                (faces.right.at(2.4) - right).abs() < 1e-15,
                "{batter:?} {inner:?}"
            );
            assert!((faces.thickness().at(2.4) - 0.36).abs() < 1e-15);
        }
        let leaning = Faces::new(0.6, 0.1, Batter::Outer, Side::Left, 0.0);
        assert_eq!(leaning.slope(Side::Left), 1.0);
        assert!((leaning.slope(Side::Right) - 1.004_987_562).abs() < 1e-9);
    }

    #[test]
    fn on_an_arc_the_middle_of_the_wall_sweeps_its_own_radius() {
        // Radius 3, inner face plumb at 2.75, outer leaning in to 3.05 at 2 m: middle 2.9; 0.3 x 2.9 / 3 = 0.29.
        let faces = Faces::new(0.5, 0.1, Batter::Outer, Side::Left, 1.0 / 3.0);
        assert!((faces.swept(2.0) - 0.29).abs() < 1e-15);
        assert!((faces.stretch(Side::Right).at(2.0) - 3.05 / 3.0).abs() < 1e-15);
    }
}
