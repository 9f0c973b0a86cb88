//! The top of a wall: how high it is along its length, and along which length it reaches a height.
//! Knows nothing of thickness; beyond the wall's ends, in the outer part of a mitre, the top runs on level.

use super::drawing::Profile;
use super::figure::metres;
use super::section::Linear;

/// A top, straight from `start` up to `peak` at `peak_at`, and straight down to `end`. Metres.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Top {
    pub(super) length: f64,
    pub(super) start: f64,
    pub(super) peak: f64,
    pub(super) peak_at: f64,
    pub(super) end: f64,
}

impl Top {
    pub(super) fn of(profile: &Profile, length: f64) -> Self {
        let straight = |start: f64, end: f64| Self {
            length,
            start,
            peak: start.max(end),
            peak_at: if start < end { length } else { 0.0 },
            end,
        };
        match profile {
            Profile::Level { height } => straight(metres(*height), metres(*height)),
            Profile::Slope { height, height_end } => straight(metres(*height), metres(*height_end)),
            Profile::Peak {
                height,
                peak,
                peak_at,
                height_end,
            } => Self {
                length,
                start: metres(*height),
                peak: metres(*peak),
                peak_at: metres(*peak_at),
                end: metres(height_end.unwrap_or(*height)),
            },
        }
    }

    /// Whether it is one height all along.
    pub(super) fn is_level(&self) -> bool {
        self.start == self.peak && self.end == self.peak
    }

    /// Height at `s` metres from the start.
    pub(super) fn height(&self, s: f64) -> f64 {
        if s <= 0.0 {
            self.start
        } else if s < self.peak_at {
            self.start + (self.peak - self.start) * (s / self.peak_at)
        } else if s < self.length {
            let down = (s - self.peak_at) / (self.length - self.peak_at);
            self.peak + (self.end - self.peak) * down
        } else {
            self.end
        }
    }

    /// The greatest height between two positions: the top is highest at the peak and falls to both sides.
    pub(super) fn highest_between(&self, from: f64, to: f64) -> f64 {
        self.height(self.peak_at.max(from).min(to))
    }

    /// From where to where the wall reaches the height `z`, which is at most its greatest. Endless to a side where
    /// the end itself reaches it.
    pub(super) fn reach(&self, z: f64) -> (f64, f64) {
        if z <= self.start && z <= self.end {
            return (f64::NEG_INFINITY, f64::INFINITY);
        }
        // A slope ends at the peak, whatever rounding says of the last height below it.
        let from = if z <= self.start {
            f64::NEG_INFINITY
        } else {
            let risen = (z - self.start) / (self.peak - self.start);
            (self.peak_at * risen).min(self.peak_at)
        };
        let to = if z <= self.end {
            f64::INFINITY
        } else {
            let fallen = (z - self.end) / (self.peak - self.end);
            (self.length - (self.length - self.peak_at) * fallen).max(self.peak_at)
        };
        (from, to)
    }

    /// Where the two slopes are at a height, as they run on: up to the peak, and down from it. Not finite where there
    /// is none.
    pub(super) fn slopes(&self) -> (Linear, Linear) {
        let slope = |foot: f64, foot_height: f64| {
            let per_metre = (self.peak_at - foot) / (self.peak - foot_height);
            Linear {
                base: foot - per_metre * foot_height,
                per_metre,
            }
        };
        (slope(0.0, self.start), slope(self.length, self.end))
    }

    /// Area of the elevation between the ends, and the height of its centroid.
    ///
    /// Of each straight part, from a to b over a length l: area l (a + b)/2, moment about the base
    /// l (a^2 + ab + b^2)/6. A gable from 2.4 up to 3.6 and down again over 6 m: 18 m2, and
    /// 6 (5.76 + 8.64 + 12.96)/6 / 18 = 1.52 m.
    pub(super) fn elevation(&self) -> (f64, f64) {
        let up = (self.peak_at, self.start, self.peak);
        let down = (self.length - self.peak_at, self.peak, self.end);
        let (mut area, mut moment) = (0.0, 0.0);
        for (length, a, b) in [up, down] {
            area += length * (a + b) / 2.0;
            moment += length * (a * a + a * b + b * b) / 6.0;
        }
        (area, moment / area)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const GABLE: Top = Top {
        length: 6.0,
        start: 2.4,
        peak: 3.6,
        peak_at: 2.0,
        end: 3.0,
    };

    #[test]
    fn a_gable_rises_to_its_peak_and_falls() {
        let table = [
            (-1.0, 2.4),
            (0.0, 2.4),
            (1.0, 3.0),
            (2.0, 3.6),
            (4.0, 3.3),
            (6.0, 3.0),
            (7.0, 3.0),
        ];
        for (s, expected) in table {
            assert!((GABLE.height(s) - expected).abs() < 1e-15, "{s}");
        }
        assert_eq!(GABLE.highest_between(0.0, 1.0), GABLE.height(1.0));
        assert_eq!(GABLE.highest_between(1.0, 5.0), 3.6);
    }

    #[test]
    fn a_height_is_reached_between_the_slopes() {
        assert_eq!(GABLE.reach(2.4), (f64::NEG_INFINITY, f64::INFINITY));
        let (from, to) = GABLE.reach(3.0);
        assert!((from - 1.0).abs() < 1e-15);
        assert_eq!(to, f64::INFINITY);
        let (from, to) = GABLE.reach(3.3);
        assert!((from - 1.5).abs() < 1e-14 && (to - 4.0).abs() < 1e-14);
        let (from, to) = GABLE.reach(3.6);
        assert!((from - 2.0).abs() < 1e-15 && (to - 2.0).abs() < 1e-15);
    }

    #[test]
    fn an_elevation_has_the_centroid_of_its_trapezia() {
        let even = Top {
            length: 6.0,
            start: 2.4,
            peak: 3.6,
            peak_at: 3.0,
            end: 2.4,
        };
        let (area, centroid) = even.elevation();
        assert!((area - 18.0).abs() < 1e-14 && (centroid - 1.52).abs() < 1e-14);
    }
}
