//! A wall and what cuts its ends: its section by strips across the wall, or as a polygon, and its volume by layers.

use super::integral::integral;
use super::plain::Plain;
use super::polygon::{area, clipped, common, crossing_points, mirrored};

/// What cuts an end of a wall.
#[derive(Clone)]
pub(super) enum Met {
    Nothing,
    /// The other wall, and whether it is its start.
    Corner(Plain, bool),
    /// The host, and how high it is there.
    Host(Plain, f64),
}

/// A sign that changes where a lane crosses a cut, by halving within a metre or so of the end.
fn crossing(near: f64, sign: impl Fn(f64) -> f64) -> f64 {
    // The crossing nearest to the end: look outward step by step for a change of sign.
    let step = 0.05;
    let at_end = sign(near);
    let (mut low, mut high) = (near, near);
    for number in 1..80 {
        let (back, ahead) = (
            near - step * f64::from(number),
            near + step * f64::from(number),
        );
        if sign(back) * at_end <= 0.0 {
            (low, high) = (back, back + step);
            break;
        }
        if sign(ahead) * at_end <= 0.0 {
            (low, high) = (ahead - step, ahead);
            break;
        }
    }
    let rising = sign(low) < sign(high);
    for _ in 0..45 {
        let middle = 0.5 * (low + high);
        if (sign(middle) < 0.0) == rising {
            low = middle
        } else {
            high = middle
        }
    }
    0.5 * (low + high)
}

pub(super) struct Reckoner {
    pub(super) wall: Plain,
    pub(super) start: Met,
    pub(super) end: Met,
}

impl Reckoner {
    /// Where the faces of this wall meet those of another at a corner, as points: left, right.
    fn meeting(&self, other: &Plain, near: f64, z: f64) -> [(f64, f64); 2] {
        let ((left, right), (other_left, other_right)) = (self.wall.faces(z), other.faces(z));
        [(left, other_left), (right, other_right)].map(|(offset, other_offset)| {
            let s = crossing(near, |s| {
                other.offset(self.wall.place(s, offset).0) - other_offset
            });
            self.wall.place(s, offset).0
        })
    }

    /// Whether a corner is mitred at a height.
    fn is_mitred(&self, other: &Plain, is_start: bool, near: f64, z: f64) -> bool {
        z <= self.wall.height(near) && z <= other.height(if is_start { 0.0 } else { other.length })
    }

    /// Where a lane is cut at an end.
    fn cut(&self, met: &Met, near: f64, offset: f64, z: f64) -> f64 {
        match met {
            Met::Corner(other, is_start) if self.is_mitred(other, *is_start, near, z) => {
                let [left, right] = self.meeting(other, near, z);
                let side = |s: f64| {
                    let (x, y) = self.wall.place(s, offset).0;
                    (left.0 - right.0) * (y - right.1) - (left.1 - right.1) * (x - right.0)
                };
                crossing(near, side)
            }
            Met::Host(host, height) if z <= *height => {
                // The face nearer to where the guest comes from.
                let (left, right) = host.faces(z);
                let back = if near == 0.0 { 0.3 } else { near - 0.3 };
                let from_left = 0.0 < host.offset(self.wall.place(back, 0.0).0);
                let face = if from_left { left } else { right };
                crossing(near, |s| host.offset(self.wall.place(s, offset).0) - face)
            }
            _ => near,
        }
    }

    /// Length of a lane, less what its neighbours have of it above their corners.
    fn lane(&self, offset: f64, z: f64) -> f64 {
        let (from, to) = self.wall.reach(z);
        let low = self.cut(&self.start, 0.0, offset, z).clamp(from, to);
        let high = self
            .cut(&self.end, self.wall.length, offset, z)
            .clamp(from, to);
        let shared = self.shared(&self.start, 0.0, offset, z)
            + self.shared(&self.end, self.wall.length, offset, z);
        high - low - shared
    }

    fn shared(&self, met: &Met, near: f64, offset: f64, z: f64) -> f64 {
        let Met::Corner(other, is_start) = met else {
            return 0.0;
        };
        if self.is_mitred(other, *is_start, near, z)
            || z > self.wall.greatest_height()
            || z > other.greatest_height()
        {
            return 0.0;
        }
        let [left, right] = self.meeting(other, near, z);
        let (from, to) = self.wall.reach(z);
        let (other_from, other_to) = other.reach(z);
        let (other_left, other_right) = other.faces(z);
        let other_near = if *is_start { 0.0 } else { other.length };
        let is_shared = |s: f64| {
            let point = self.wall.place(s, offset).0;
            let (along, across) = (other.along(point, other_near), other.offset(point));
            let side =
                (left.0 - right.0) * (point.1 - right.1) - (left.1 - right.1) * (point.0 - right.0);
            // This wall lies to the left of the line from its right face to its left at its far end.
            let others = if near == 0.0 { 0.0 < side } else { side < 0.0 };
            (from..=to).contains(&s)
                && others
                && other_right < across
                && across < other_left
                && along.max(0.0).min(other.length) == along
                && (other_from..=other_to).contains(&along)
        };
        let (low, high) = if near == 0.0 {
            (0.0, 1.5)
        } else {
            (near - 1.5, near)
        };
        let steps = 750;
        let step = (high - low) / f64::from(steps);
        (0..steps)
            .filter(|at| is_shared(low + (f64::from(*at) + 0.5) * step))
            .count() as f64
            * step
    }

    /// From level to level, each integrated by `between`.
    pub(super) fn volume(&self, between: impl Fn(f64, f64) -> f64) -> f64 {
        let mut levels = vec![0.0];
        levels.extend(self.wall.heights.iter().map(|(_, h)| *h));
        for met in [&self.start, &self.end] {
            match met {
                Met::Corner(other, is_start) => {
                    levels.push(other.height(if *is_start { 0.0 } else { other.length }));
                }
                Met::Host(_, height) => levels.push(*height),
                Met::Nothing => {}
            }
        }
        let greatest = self.wall.greatest_height();
        levels.retain(|level| *level <= greatest);
        levels.sort_by(f64::total_cmp);
        levels.dedup();
        levels
            .windows(2)
            .map(|pair| between(pair[0], pair[1]))
            .sum()
    }

    pub(super) fn by_strips(&self, strips: usize, z: f64) -> f64 {
        let curvature = self.wall.bend / self.wall.length;
        let (left, right) = self.wall.faces(z);
        integral(right, left, strips, |n| {
            (1.0 - curvature * n) * self.lane(n, z)
        })
    }

    /// Section of a straight wall as a polygon: its strip, cut by lines; less what a neighbour has of it.
    pub(super) fn by_polygon(&self, z: f64) -> f64 {
        let mut own = self.wall.strip(z);
        let mut taken = 0.0;
        for (met, near) in [(&self.start, 0.0), (&self.end, self.wall.length)] {
            match met {
                Met::Corner(other, is_start) => {
                    let line = crossing_points(&self.wall, other, z);
                    if self.is_mitred(other, *is_start, near, z) {
                        own = clipped(&own, line, self.wall.middle());
                        continue;
                    }
                    if z <= other.greatest_height() {
                        let both = self.wall.squared(z, near);
                        let other_near = if *is_start { 0.0 } else { other.length };
                        let both = common(&both, &other.squared(z, other_near));
                        taken += area(&clipped(&both, line, mirrored(self.wall.middle(), line)));
                    }
                    own = clipped(&own, self.wall.across(near), self.wall.middle());
                }
                Met::Host(host, height) if z <= *height => {
                    let (left, right) = host.faces(z);
                    let from_left = 0.0 < host.offset(self.wall.middle());
                    let face = if from_left { left } else { right };
                    let line = (host.place(0.0, face).0, host.place(1.0, face).0);
                    own = clipped(&own, line, self.wall.middle());
                }
                _ => own = clipped(&own, self.wall.across(near), self.wall.middle()),
            }
        }
        area(&own) - taken
    }
}
