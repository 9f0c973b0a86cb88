//! A wall as the reckoner knows it: where a place along it and beside it is, and where a point is along and beside it.

use super::drawings::float;
use super::geometry::{Batter, Path, Profile, WallDrawing};

/// A wall as the reckoner knows it.
#[derive(Clone)]
pub(super) struct Plain {
    pub(super) length: f64,
    /// 0 when straight; positive to the left.
    pub(super) bend: f64,
    pub(super) heights: Vec<(f64, f64)>,
    pub(super) base: f64,
    pub(super) loss: f64,
    /// Shares of the loss taken by the left and the right face.
    pub(super) lean: (f64, f64),
    /// Where it starts, and its heading there.
    pub(super) at: (f64, f64),
    pub(super) heading: f64,
}

impl Plain {
    pub(super) fn new(wall: &WallDrawing, inner_is_left: bool) -> Self {
        let metres = |length: hod_units::Length| float(length.metres());
        let (length, bend) = match &wall.path {
            Path::Straight { length } => (metres(*length), 0.0),
            Path::Arc {
                radius,
                bend_degrees,
            } => {
                let bend = float(*bend_degrees).to_radians();
                (metres(*radius) * bend.abs(), bend)
            }
        };
        let heights = match &wall.profile {
            Profile::Level { height } => vec![(0.0, metres(*height)), (length, metres(*height))],
            Profile::Slope { height, height_end } => {
                vec![(0.0, metres(*height)), (length, metres(*height_end))]
            }
            Profile::Peak {
                height,
                peak,
                peak_at,
                height_end,
            } => vec![
                (0.0, metres(*height)),
                (metres(*peak_at), metres(*peak)),
                (length, metres(height_end.unwrap_or(*height))),
            ],
        };
        let greatest = heights.iter().map(|(_, h)| *h).fold(0.0, f64::max);
        let base = metres(wall.thickness);
        let (loss, batter) = match wall.taper {
            None => (0.0, Batter::Both),
            Some(taper) => (
                (base - metres(taper.thickness_top)) / greatest,
                taper.batter,
            ),
        };
        let (inner, outer) = match batter {
            Batter::Both => (0.5, 0.5),
            Batter::Outer => (0.0, 1.0),
            Batter::Inner => (1.0, 0.0),
        };
        let lean = if inner_is_left {
            (inner, outer)
        } else {
            (outer, inner)
        };
        Self {
            length,
            bend,
            heights,
            base,
            loss,
            lean,
            at: (0.0, 0.0),
            heading: 0.0,
        }
    }

    /// Offsets of the left and right face at a height.
    pub(super) fn faces(&self, z: f64) -> (f64, f64) {
        (
            0.5 * self.base - self.loss * self.lean.0 * z,
            -0.5 * self.base + self.loss * self.lean.1 * z,
        )
    }

    pub(super) fn height(&self, s: f64) -> f64 {
        let s = s.clamp(0.0, self.length);
        self.heights
            .windows(2)
            .find(|pair| s <= pair[1].0)
            .map_or(self.heights[self.heights.len() - 1].1, |pair| {
                pair[0].1 + (pair[1].1 - pair[0].1) * (s - pair[0].0) / (pair[1].0 - pair[0].0)
            })
    }

    pub(super) fn greatest_height(&self) -> f64 {
        self.heights.iter().map(|(_, h)| *h).fold(0.0, f64::max)
    }

    /// Heading at a place along it, and the point at an offset to the left.
    pub(super) fn place(&self, s: f64, offset: f64) -> ((f64, f64), f64) {
        let turn = self.bend * s / self.length;
        let heading = self.heading + turn;
        let (mut x, mut y) = self.at;
        if self.bend == 0.0 {
            x += s * self.heading.cos();
            y += s * self.heading.sin();
        } else {
            let radius = self.length / self.bend;
            x += radius * (heading.sin() - self.heading.sin());
            y += radius * (self.heading.cos() - heading.cos());
        }
        (
            (x - offset * heading.sin(), y + offset * heading.cos()),
            heading,
        )
    }

    /// How far to the left of its centre line a point stands.
    pub(super) fn offset(&self, (x, y): (f64, f64)) -> f64 {
        let (dx, dy) = (x - self.at.0, y - self.at.1);
        if self.bend == 0.0 {
            return dy * self.heading.cos() - dx * self.heading.sin();
        }
        let radius = self.length / self.bend;
        let (cx, cy) = (-radius * self.heading.sin(), radius * self.heading.cos());
        let distance = (dx - cx).hypot(dy - cy);
        if 0.0 < radius {
            radius - distance
        } else {
            radius + distance
        }
    }

    /// How far along its centre line a point stands, near its start or end (within a half turn of `near`).
    pub(super) fn along(&self, (x, y): (f64, f64), near: f64) -> f64 {
        let ((px, py), heading) = self.place(near, 0.0);
        let ahead = (x - px) * heading.cos() + (y - py) * heading.sin();
        if self.bend == 0.0 {
            return near + ahead;
        }
        let left = (y - py) * heading.cos() - (x - px) * heading.sin();
        let radius = self.length / self.bend;
        near + radius * (ahead / radius).atan2(1.0 - left / radius)
    }

    /// From where to where it lies at a height.
    pub(super) fn reach(&self, z: f64) -> (f64, f64) {
        let mut from = f64::NEG_INFINITY;
        let mut to = f64::INFINITY;
        let (first, last) = (self.heights[0], self.heights[self.heights.len() - 1]);
        for pair in self.heights.windows(2) {
            let crossing =
                pair[0].0 + (pair[1].0 - pair[0].0) * (z - pair[0].1) / (pair[1].1 - pair[0].1);
            if pair[0].1 < z && z <= pair[1].1 && first.1 < z {
                from = crossing;
            }
            if pair[1].1 < z && z <= pair[0].1 && last.1 < z {
                to = crossing;
            }
        }
        (from, to)
    }
}
