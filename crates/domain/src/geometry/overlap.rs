//! What two walls share above a corner, where both rise away from it, and which of them has it.
//!
//! Below the lower of the two walls' heights at their corner both are mitred. Above that height each is cut square at
//! the corner point; but a wall that is lower there and rises away from it, and a neighbour that is higher or rises
//! too, would then both fill part of the inside of the corner. That part is shared out along the line of the mitre,
//! carried on upward: each wall has what lies on its own side. So nothing is counted twice and nothing is lost: the
//! two together are all that stands within either of them.

use super::curve::Curve;
use super::cut::Meeting;
use super::outline::{Edge, Keep, Outline};
use super::path::along;
use super::point::{Point, Pose};
use super::profile::Top;
use super::quadrature::Triple;
use super::section::{Faces, Side};

/// Which end of a wall.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum WallEnd {
    Start,
    Far,
}

impl WallEnd {
    pub(super) const BOTH: [Self; 2] = [Self::Start, Self::Far];

    pub(super) fn index(self) -> usize {
        match self {
            Self::Start => 0,
            Self::Far => 1,
        }
    }

    pub(super) fn other(self) -> Self {
        match self {
            Self::Start => Self::Far,
            Self::Far => Self::Start,
        }
    }

    /// Its position on a centre line of this length.
    pub(super) fn position(self, length: f64) -> f64 {
        match self {
            Self::Start => 0.0,
            Self::Far => length,
        }
    }
}

/// One wall of a corner, as far as the overlap is concerned.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Limb {
    pub(super) faces: Faces,
    pub(super) top: Top,
    /// The end that is at the corner.
    pub(super) end: WallEnd,
}

/// The overlap at one end of a wall.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Overlap {
    own: Limb,
    other: Limb,
    meeting: Meeting,
    /// How far from the corner it can reach along this wall.
    window: f64,
    other_window: f64,
    /// From this height...
    pub(super) from: f64,
    /// ...to this there may be one.
    pub(super) to: f64,
    /// About where this wall, and where the other, withdraws from the inside of the corner: there the law of the overlap
    /// changes.
    pub(super) withdrawals: [f64; 2],
}

/// The most of an arc, in radians, that an overlap is looked for along: short of a quarter turn, so that a wall's far
/// side does not come into it.
const BEND_MAX: f64 = 1.4;

impl Overlap {
    /// The overlap of two walls above `below`, if there can be one. `meeting` is as the own wall sees the other, and
    /// `back` as the other sees it.
    pub(super) fn new(
        own: Limb,
        other: Limb,
        meeting: Meeting,
        back: Meeting,
        below: f64,
    ) -> Option<Self> {
        let to = own.top.peak.min(other.top.peak);
        if meeting.turn.is_none() || to <= below {
            return None;
        }
        let window = own.window(&meeting, below, to);
        let other_window = other.window(&back, below, to);
        let to = own.highest(window).min(other.highest(other_window));
        (below < to).then(|| Self {
            own,
            other,
            meeting,
            window,
            other_window,
            from: below,
            to,
            withdrawals: [
                own.withdrawal(&meeting, below),
                other.withdrawal(&back, below),
            ],
        })
    }

    /// Plan area that the other wall has of this one at a height, and the lengths of this wall's left and right face
    /// that lie inside the other.
    pub(super) fn taken(&self, z: f64) -> Triple {
        let (low, high) = self.own.reach(z, self.window);
        let (other_low, other_high) = self.other.reach(z, self.other_window);
        if !(low < high && other_low < other_high) {
            return [0.0; 3];
        }
        let bounds = self.other_bounds(z, other_low, other_high);
        let within = |side| {
            let face = self.own_face(side, z, low, high);
            bounds.iter().fold(vec![face], |edges, (curve, keep)| {
                edges
                    .iter()
                    .flat_map(|edge| edge.kept(*curve, *keep))
                    .collect()
            })
        };
        let hidden = |side| within(side).iter().map(Edge::length).sum();
        let shared = bounds
            .iter()
            .fold(self.own_outline(z, low, high), |outline, (curve, keep)| {
                outline.kept(curve, *keep)
            });
        let mitre = self.meeting.edge(&self.own.faces, z).curve;
        let others_side = match self.own.end {
            WallEnd::Far => Keep::Right,
            WallEnd::Start => Keep::Left,
        };
        let area = shared.kept(&mitre, others_side).area();
        [area, hidden(Side::Left), hidden(Side::Right)]
    }

    /// The curves that the other wall lies between, and the sides of them. The ends come first: between them an arc's
    /// faces are less than a quarter turn long.
    fn other_bounds(&self, z: f64, low: f64, high: f64) -> [(Curve, Keep); 4] {
        let across = |s: f64| {
            let pose = self
                .meeting
                .turn
                .pose()
                .then(along(self.meeting.other_curvature, s));
            Curve::line(pose.at, pose.ahead.left())
        };
        [
            (across(low), Keep::Right),
            (across(high), Keep::Left),
            (self.meeting.other_face(Side::Left, z), Keep::Right),
            (self.meeting.other_face(Side::Right, z), Keep::Left),
        ]
    }

    /// One face of this wall between two positions, forward.
    fn own_face(&self, side: Side, z: f64, low: f64, high: f64) -> Edge {
        let curvature = self.own.faces.curvature;
        let offset = self.own.faces.face(side).at(z);
        let spot = |s: f64| -> Point {
            let pose: Pose = along(curvature, s);
            pose.outward(Point { x: 0.0, y: offset })
        };
        Edge {
            from: spot(low),
            to: spot(high),
            curvature: curvature / (1.0 - curvature * offset),
        }
    }

    /// The part of this wall between two positions.
    fn own_outline(&self, z: f64, low: f64, high: f64) -> Outline {
        let right = self.own_face(Side::Right, z, low, high);
        let left = self.own_face(Side::Left, z, low, high);
        let back = Edge {
            from: left.to,
            to: left.from,
            curvature: -left.curvature,
        };
        let straight = |from, to| Edge {
            from,
            to,
            curvature: 0.0,
        };
        Outline::new(vec![
            right,
            straight(right.to, back.from),
            back,
            straight(back.to, right.from),
        ])
    }
}

impl Limb {
    /// How far from the corner the overlap can reach along this wall: to where the faces meet on the inside, or to
    /// where the other wall's square end comes, which is at most its thickness away.
    fn window(&self, meeting: &Meeting, below: f64, to: f64) -> f64 {
        let mut farthest = meeting
            .other_left
            .at(0.0)
            .abs()
            .max(meeting.other_right.at(0.0).abs());
        for z in [below, to] {
            let edge = meeting.edge(&self.faces, z);
            farthest = farthest.max(edge.left.s.abs()).max(edge.right.s.abs());
        }
        let bend_limit = BEND_MAX / self.faces.curvature.abs();
        // A tenth more, for the inner meeting point of leaning arcs need not move evenly between the two heights.
        (1.1 * farthest).min(self.top.length).min(bend_limit)
    }

    /// From where to where the wall lies at a height, from its corner and within the window.
    fn reach(&self, z: f64, window: f64) -> (f64, f64) {
        let (from, to) = self.top.reach(z);
        let corner = self.end.position(self.top.length);
        match self.end {
            WallEnd::Start => (from.max(0.0), to.min(window)),
            WallEnd::Far => ((from - corner).max(-window), (to - corner).min(0.0)),
        }
    }

    /// About the height at which the wall ends where the inner faces meet. By going round a few times: that place moves so
    /// much less than the height that it moves with.
    fn withdrawal(&self, meeting: &Meeting, below: f64) -> f64 {
        let corner = self.end.position(self.top.length);
        (0..4).fold(below, |height, _| {
            let edge = meeting.edge(&self.faces, height);
            let inner = match self.end {
                WallEnd::Start => edge.left.s.max(edge.right.s),
                WallEnd::Far => edge.left.s.min(edge.right.s),
            };
            self.top.height(corner + inner)
        })
    }

    /// The greatest height within the window.
    fn highest(&self, window: f64) -> f64 {
        let length = self.top.length;
        match self.end {
            WallEnd::Start => self.top.highest_between(0.0, window),
            WallEnd::Far => self.top.highest_between(length - window, length),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::super::drawing::Batter;
    use super::super::point::Turn;
    use super::*;

    /// Two plumb straight walls 0.4 m thick at a right angle, both 2 m high at the corner and rising away from it at
    /// 1 in 2.
    fn valley() -> Overlap {
        let faces = Faces::new(0.4, 0.0, Batter::Both, Side::Left, 0.0);
        let down = Top {
            length: 4.0,
            start: 4.0,
            peak: 4.0,
            peak_at: 0.0,
            end: 2.0,
        };
        let up = Top {
            length: 4.0,
            start: 2.0,
            peak: 4.0,
            peak_at: 4.0,
            end: 4.0,
        };
        let meeting = |degrees| Meeting {
            turn: Turn::of_degrees(degrees),
            other_curvature: 0.0,
            other_left: faces.left,
            other_right: faces.right,
            follows_face: false,
        };
        let own = Limb {
            faces,
            top: down,
            end: WallEnd::Far,
        };
        let other = Limb {
            faces,
            top: up,
            end: WallEnd::Start,
        };
        Overlap::new(own, other, meeting(90.0), meeting(-90.0), 2.0).expect("both rise")
    }

    #[test]
    fn a_valley_is_shared_along_its_mitre() {
        // At 2.05 m both start 0.1 m off the corner: they share a square of 0.1 m, half each, and hide 0.1 m of
        // both inner faces.
        let [area, left, right] = valley().taken(2.05);
        assert!((area - 0.005).abs() < 1e-15);
        assert!((left - 0.1).abs() < 1e-15);
        assert_eq!(right, 0.0);
        // At 2.1 m they start 0.2 m off, where the inner faces meet: nothing is shared.
        assert!(valley().taken(2.1)[0].abs() < 1e-15);
        assert!(2.1 <= valley().to && valley().to < 2.2);
    }

    #[test]
    fn a_higher_neighbour_cut_square_shares_the_corner_too() {
        // The other stands level at 4 m: square from the corner point on. At 2.05 m the own wall ends 0.1 m before
        // it; they share 0.1 x 0.2 m, of which the other has what is beyond the diagonal: a triangle of 0.1 x 0.1 / 2.
        let valley = valley();
        let level = Top {
            length: 4.0,
            start: 4.0,
            peak: 4.0,
            peak_at: 0.0,
            end: 4.0,
        };
        let overlap = Overlap {
            other: Limb {
                top: level,
                ..valley.other
            },
            ..valley
        };
        let [area, left, right] = overlap.taken(2.05);
        assert!((area - 0.005).abs() < 1e-15, "{area}");
        assert!((left - 0.1).abs() < 1e-15);
        assert_eq!(right, 0.0);
    }

    /// How far along a wall a point stands and how far to its left, near its corner and by the wall's own figures.
    fn abreast_of(limb: &Limb, turn: Turn, point: Point) -> (f64, f64) {
        // Seen from the corner, heading as the wall does.
        let pose = turn.pose();
        let ahead = point.dot(pose.ahead);
        let left = point.dot(pose.ahead.left());
        let curvature = limb.faces.curvature;
        if curvature == 0.0 {
            return (ahead, left);
        }
        let radius = 1.0 / curvature;
        let to_centre = Point {
            x: -ahead,
            y: radius - left,
        };
        let side = 1.0_f64.copysign(radius);
        (
            crate::geometry::path::abreast(curvature, Point { x: ahead, y: left }),
            radius - side * to_centre.length(),
        )
    }

    #[test]
    fn bent_walls_share_what_a_grid_finds_in_both() {
        // A square millimetre at a time, half a metre about the corner, at one height.
        let cases = [
            (0.4, 0.0, 80.0),
            (0.0, -0.5, -70.0),
            (0.5, 0.6, 110.0),
            (-0.45, 0.5, 60.0),
            (0.6, -0.3, -120.0),
        ];
        for (curvature, other_curvature, degrees) in cases {
            let faces = Faces::new(0.4, 0.05, Batter::Outer, Side::Left, curvature);
            let other_faces = Faces::new(0.3, 0.0, Batter::Both, Side::Left, other_curvature);
            let down = Top {
                length: 2.0,
                start: 3.0,
                peak: 3.0,
                peak_at: 0.0,
                end: 2.0,
            };
            let up = Top {
                length: 2.0,
                start: 2.0,
                peak: 3.2,
                peak_at: 2.0,
                end: 3.2,
            };
            let own = Limb {
                faces,
                top: down,
                end: WallEnd::Far,
            };
            let other = Limb {
                faces: other_faces,
                top: up,
                end: WallEnd::Start,
            };
            let turn = Turn::of_degrees(degrees);
            let seen = |limb: &Limb, turn: Turn| Meeting {
                turn,
                other_curvature: limb.faces.curvature,
                other_left: limb.faces.left,
                other_right: limb.faces.right,
                follows_face: false,
            };
            let (there, back) = (seen(&other, turn), seen(&own, turn.back()));
            let overlap = Overlap::new(own, other, there, back, 2.0).expect("both rise");
            let mirror = Overlap::new(other, own, back, there, 2.0).expect("both rise");
            let z = 2.02;
            let (from, to) = (-0.02 / 0.5, 0.02 / 0.6);
            let stands = |limb: &Limb, turn: Turn, point: Point| {
                let (s, n) = abreast_of(limb, turn, point);
                let along = if limb.end == WallEnd::Far {
                    s <= from
                } else {
                    to <= s
                };
                along && limb.faces.right.at(z) <= n && n <= limb.faces.left.at(z)
            };
            let edge = there.edge(&own.faces, z);
            let (mut in_both, mut of_other) = (0_u32, 0_u32);
            let cell = 0.001;
            for column in -500..500 {
                for row in -500..500 {
                    let point = Point {
                        x: (f64::from(column) + 0.5) * cell,
                        y: (f64::from(row) + 0.5) * cell,
                    };
                    if stands(&own, Turn::of_degrees(0.0), point) && stands(&other, turn, point) {
                        in_both += 1;
                        let across = edge.left.point.minus(edge.right.point);
                        of_other += u32::from(across.cross(point.minus(edge.right.point)) < 0.0);
                    }
                }
            }
            let grid = |count: u32| f64::from(count) * cell * cell;
            let (taken, given) = (overlap.taken(z)[0], mirror.taken(z)[0]);
            assert!(1e-3 < grid(in_both), "{degrees}");
            assert!(
                (taken - grid(of_other)).abs() < 5e-5,
                "{degrees}: {taken} {}",
                grid(of_other)
            );
            assert!(
                (taken + given - grid(in_both)).abs() < 5e-5,
                "{degrees}: {taken} {given} {}",
                grid(in_both)
            );
        }
    }
}
