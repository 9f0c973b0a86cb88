//! Points, directions and places in plan, in metres.
//! Plain vector arithmetic; what stands at a point is for others.

/// A point in plan, or the step from one to another.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Point {
    pub(super) x: f64,
    pub(super) y: f64,
}

impl Point {
    pub(super) const ORIGIN: Self = Self { x: 0.0, y: 0.0 };

    pub(super) fn plus(self, other: Self) -> Self {
        Self {
            x: self.x + other.x,
            y: self.y + other.y,
        }
    }

    pub(super) fn minus(self, other: Self) -> Self {
        Self {
            x: self.x - other.x,
            y: self.y - other.y,
        }
    }

    pub(super) fn times(self, factor: f64) -> Self {
        Self {
            x: self.x * factor,
            y: self.y * factor,
        }
    }

    /// Length times length times the cosine of the angle between them.
    pub(super) fn dot(self, other: Self) -> f64 {
        self.x * other.x + self.y * other.y
    }

    /// Length times length times the sine of the angle from this to the other, to the left.
    pub(super) fn cross(self, other: Self) -> f64 {
        self.x * other.y - self.y * other.x
    }

    pub(super) fn length(self) -> f64 {
        self.dot(self).sqrt()
    }

    /// A quarter turn to the left.
    pub(super) fn left(self) -> Self {
        Self {
            x: -self.y,
            y: self.x,
        }
    }
}

/// A place to stand in plan and a direction to face.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Pose {
    pub(super) at: Point,
    /// Of length 1.
    pub(super) ahead: Point,
}

impl Pose {
    pub(super) const ORIGIN: Self = Self {
        at: Point::ORIGIN,
        ahead: Point { x: 1.0, y: 0.0 },
    };

    /// A point told as so far ahead (x) and to the left (y), seen from here.
    pub(super) fn outward(self, point: Point) -> Point {
        self.at.plus(self.turned(point))
    }

    /// A pose told as seen from here.
    pub(super) fn then(self, pose: Self) -> Self {
        Self {
            at: self.outward(pose.at),
            ahead: self.turned(pose.ahead),
        }
    }

    /// This pose as the origin sees it: `pose.then(pose.inverse())` is the origin.
    pub(super) fn inverse(self) -> Self {
        let ahead = Point {
            x: self.ahead.x,
            y: -self.ahead.y,
        };
        let back = Self {
            at: Point::ORIGIN,
            ahead,
        };
        Self {
            at: back.turned(self.at.times(-1.0)),
            ahead,
        }
    }

    fn turned(self, step: Point) -> Point {
        self.ahead
            .times(step.x)
            .plus(self.ahead.left().times(step.y))
    }
}

/// A turn on the spot, to the left.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Turn {
    pub(super) degrees: f64,
    pub(super) sine: f64,
    pub(super) cosine: f64,
}

impl Turn {
    pub(super) fn of_degrees(degrees: f64) -> Self {
        let (sine, cosine) = super::angle::sine_cosine(degrees);
        Self {
            degrees,
            sine,
            cosine,
        }
    }

    /// The same to the right.
    pub(super) fn back(self) -> Self {
        Self {
            degrees: -self.degrees,
            sine: -self.sine,
            ..self
        }
    }

    /// Tangent of half the angle; finite short of about-face.
    pub(super) fn half_tangent(self) -> f64 {
        self.sine / (1.0 + self.cosine)
    }

    pub(super) fn is_none(self) -> bool {
        self.sine == 0.0 && 0.0 < self.cosine
    }

    /// As a pose: turned, not moved.
    pub(super) fn pose(self) -> Pose {
        Pose {
            at: Point::ORIGIN,
            ahead: Point {
                x: self.cosine,
                y: self.sine,
            },
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_pose_undone_is_the_origin() {
        let pose = Pose {
            at: Point { x: 3.0, y: -2.0 },
            ahead: Turn::of_degrees(37.0).pose().ahead,
        };
        let undone = pose.then(pose.inverse());
        assert!(undone.at.length() < 1e-15);
        assert!(undone.ahead.minus(Pose::ORIGIN.ahead).length() < 1e-15);
    }

    #[test]
    fn left_of_east_is_north() {
        let east = Point { x: 1.0, y: 0.0 };
        assert_eq!(east.left(), Point { x: 0.0, y: 1.0 });
        assert!(0.0 < east.cross(east.left()));
    }
}
