//! Walls of one assembly that cross in plan where no junction is drawn: the earth there would be counted twice.
//! Compares centre lines, straight or arcs, exactly; a wall that runs into another counts from the other's face.
//! Walls that lie against each other without their centre lines meeting are not found, nor walls that no junction ties
//! together, whose places are not known.

use std::collections::HashSet;
use std::f64::consts::{PI, TAU};

use super::clearance::told;
use super::crowding::Pair;
use super::cut::kept;
use super::fault::{Faults, Place, Rule};
use super::junction::Link;
use super::overlap::WallEnd;
use super::path::{CentreLine, abreast};
use super::point::{Point, Pose};
use super::solid::Solid;

/// What floating point may add, m.
const ROUNDING: f64 = 1e-6;
/// Where two walls are drawn to meet and one is an arc, they may meet again so near by within the tolerance of a run
/// that closes, m.
const NEAR: f64 = 0.5;

/// Straight lines that turn by less than this sine lie along one another, where they are less than so far apart, m: what
/// drawings in millimetres and hundredths of a degree may leave between them.
const PARALLEL: f64 = 1e-4;
const BESIDE: f64 = 0.010;

/// A centre line in the plan of its assembly.
struct Line {
    wall: usize,
    centre: CentreLine,
    pose: Pose,
    /// From where to where along it there is a wall.
    from: f64,
    to: f64,
    low: Point,
    high: Point,
}

/// Finds the walls that cross. The later of two is told, once, with the first found that it crosses; pairs told already
/// are left out.
pub(super) fn crossing(
    solids: &[Option<Solid>],
    places: &[Option<(usize, Pose)>],
    links: &[[Link; 2]],
    told_pairs: &[Pair],
    faults: &mut Faults,
) {
    let place = |(wall, place): (usize, &Option<(usize, Pose)>)| {
        place.map(|(assembly, pose)| (assembly, wall, pose))
    };
    let mut placed: Vec<(usize, usize, Pose)> =
        places.iter().enumerate().filter_map(place).collect();
    let told_pairs: HashSet<Pair> = told_pairs
        .iter()
        .flat_map(|&(a, b)| [(a, b), (b, a)])
        .collect();
    let mut is_told = vec![false; links.len()];
    placed.sort_by_key(|(assembly, wall, _)| (*assembly, *wall));
    for assembly in placed.chunk_by(|a, b| a.0 == b.0) {
        if 1 < assembly.len() {
            let lines = assembly.iter().filter_map(|(_, wall, pose)| {
                Line::of(*wall, solids[*wall].as_ref()?, *pose, links)
            });
            sweep(lines.collect(), links, &told_pairs, &mut is_told, faults);
        }
    }
}

/// Goes along the longer side of the assembly, and compares each line with those that are not yet passed.
fn sweep(
    mut lines: Vec<Line>,
    links: &[[Link; 2]],
    told_pairs: &HashSet<Pair>,
    is_told: &mut [bool],
    faults: &mut Faults,
) {
    let (along, across) = axes(&lines);
    lines.sort_by(|a, b| along(a.low).total_cmp(&along(b.low)));
    let mut open: Vec<&Line> = Vec::new();
    for line in &lines {
        open.retain(|other| along(line.low) <= along(other.high));
        for other in &open {
            let is_apart =
                across(other.high) < across(line.low) || across(line.high) < across(other.low);
            let later = line.wall.max(other.wall);
            let pair = (line.wall, other.wall);
            if is_apart || is_told[later] || told_pairs.contains(&pair) {
                continue;
            }
            if let Some(at) = line.crosses(other, links) {
                is_told[later] = true;
                line.tell(other, at, faults);
            }
        }
        open.push(line);
    }
}

type Coordinate = fn(Point) -> f64;

/// Along the longer side of what the lines take up, and across.
fn axes(lines: &[Line]) -> (Coordinate, Coordinate) {
    let (x, y): (Coordinate, Coordinate) = (|point| point.x, |point| point.y);
    let spread = |of: Coordinate| {
        let low = lines.iter().map(|line| of(line.low));
        let high = lines.iter().map(|line| of(line.high));
        high.fold(f64::NEG_INFINITY, f64::max) - low.fold(f64::INFINITY, f64::min)
    };
    if spread(x) < spread(y) {
        (y, x)
    } else {
        (x, y)
    }
}

impl Line {
    fn of(wall: usize, solid: &Solid, pose: Pose, links: &[[Link; 2]]) -> Option<Self> {
        let centre = solid.centre;
        let [from, to] = WallEnd::BOTH.map(|end| {
            let cut = match links[wall][end.index()] {
                Link::Into { .. } => solid.cuts[end.index()].middle(&solid.faces, 0.0),
                _ => 0.0,
            };
            end.position(centre.length) + cut
        });
        let mut line = Self {
            wall,
            centre,
            pose,
            from,
            to,
            low: pose.at,
            high: pose.at,
        };
        (line.low, line.high) = line.bounds();
        // Faces that do not meet have been told already.
        (from <= to).then_some(line)
    }

    fn point(&self, s: f64) -> Point {
        self.pose.then(self.centre.along(s)).at
    }

    fn centre_of_arc(&self) -> Point {
        let left = self.pose.ahead.left();
        self.pose.at.plus(left.times(1.0 / self.centre.curvature))
    }

    fn radius(&self) -> f64 {
        1.0 / self.centre.curvature.abs()
    }

    /// A rectangle around it: around its ends, and for an arc as much more as it rises above its chord at most; around
    /// the circle where it is more than half of one.
    fn bounds(&self) -> (Point, Point) {
        let (a, b) = (self.point(self.from), self.point(self.to));
        let angle = (self.to - self.from) * self.centre.curvature.abs();
        let (a, b, more) = if angle == 0.0 {
            (a, b, 0.0)
        } else if angle <= PI {
            let sine = libm::sin(0.25 * angle);
            (a, b, 2.0 * sine * sine * self.radius())
        } else {
            (self.centre_of_arc(), self.centre_of_arc(), self.radius())
        };
        let more = Point {
            x: more + ROUNDING,
            y: more + ROUNDING,
        };
        let low = Point {
            x: a.x.min(b.x),
            y: a.y.min(b.y),
        };
        let high = Point {
            x: a.x.max(b.x),
            y: a.y.max(b.y),
        };
        (low.minus(more), high.plus(more))
    }

    /// How far along it a point of its line or circle is; `None` beyond its ends.
    fn position(&self, point: Point) -> Option<f64> {
        let curvature = self.centre.curvature;
        let mut s = abreast(curvature, self.pose.inverse().outward(point));
        // On a circle the same point comes again after a whole round.
        if curvature != 0.0 && s < self.from - ROUNDING {
            s += TAU / curvature.abs();
        }
        (self.from - ROUNDING <= s && s <= self.to + ROUNDING).then(|| kept(s, self.from, self.to))
    }

    /// A point in which both lie, and that is not where they are drawn to meet.
    fn crosses(&self, other: &Self, links: &[[Link; 2]]) -> Option<Point> {
        let is_straight = self.centre.curvature == 0.0 && other.centre.curvature == 0.0;
        let is_drawn = |line: &Self, to: &Self| {
            WallEnd::BOTH
                .map(|end| (links[line.wall][end.index()].wall() == Some(to.wall)).then_some(end))
        };
        let junctions = is_drawn(self, other)
            .map(|end| end.map(|end| self.point(end.position(self.centre.length))))
            .into_iter()
            .chain(
                is_drawn(other, self)
                    .map(|end| end.map(|end| other.point(end.position(other.centre.length)))),
            )
            .flatten();
        let junctions: Vec<Point> = junctions.collect();
        if is_straight && !junctions.is_empty() {
            return None;
        }
        let is_junction = |point: Point| {
            junctions
                .iter()
                .any(|junction| point.minus(*junction).length() < NEAR)
        };
        self.common(other).into_iter().find(|point| {
            !is_junction(*point)
                && self.position(*point).is_some()
                && other.position(*point).is_some()
        })
    }

    /// The points in which the lines or circles of both meet, as they run on; where they are one, the ends and middles
    /// of both.
    fn common(&self, other: &Self) -> Vec<Point> {
        match (self.centre.curvature == 0.0, other.centre.curvature == 0.0) {
            (true, true) => self.common_straight(other),
            (true, false) => self.common_round(other),
            (false, true) => other.common_round(self),
            (false, false) => self.common_rounds(other),
        }
    }

    fn marks(&self, other: &Self) -> Vec<Point> {
        [self, other]
            .iter()
            .flat_map(|line| {
                [line.from, 0.5 * (line.from + line.to), line.to].map(|s| line.point(s))
            })
            .collect()
    }

    fn common_straight(&self, other: &Self) -> Vec<Point> {
        let (ahead, gap) = (self.pose.ahead, other.pose.at.minus(self.pose.at));
        let sine = ahead.cross(other.pose.ahead);
        if PARALLEL < sine.abs() {
            let s = gap.cross(other.pose.ahead) / sine;
            return vec![self.point(s)];
        }
        if gap.cross(ahead).abs() < BESIDE {
            self.marks(other)
        } else {
            Vec::new()
        }
    }

    /// This one is straight, the other an arc.
    fn common_round(&self, other: &Self) -> Vec<Point> {
        let gap = other.centre_of_arc().minus(self.pose.at);
        let (foot, off) = (gap.dot(self.pose.ahead), gap.cross(self.pose.ahead));
        let square = other.radius() * other.radius() - off * off;
        if square < 0.0 {
            return Vec::new();
        }
        [foot - square.sqrt(), foot + square.sqrt()]
            .map(|s| self.point(s))
            .to_vec()
    }

    fn common_rounds(&self, other: &Self) -> Vec<Point> {
        let (r, q) = (self.radius(), other.radius());
        let gap = other.centre_of_arc().minus(self.centre_of_arc());
        let apart = gap.length();
        if apart < ROUNDING {
            return if (r - q).abs() < ROUNDING {
                self.marks(other)
            } else {
                Vec::new()
            };
        }
        let ahead = gap.times(1.0 / apart);
        let foot = 0.5 * (apart + (r - q) * (r + q) / apart);
        let square = r * r - foot * foot;
        if square < 0.0 {
            return Vec::new();
        }
        let middle = self.centre_of_arc().plus(ahead.times(foot));
        let side = ahead.left().times(square.sqrt());
        vec![middle.plus(side), middle.minus(side)]
    }

    fn tell(&self, other: &Self, at: Point, faults: &mut Faults) {
        let (line, other) = if self.wall < other.wall {
            (other, self)
        } else {
            (self, other)
        };
        let (Some(s), Some(other_s)) = (line.position(at), other.position(at)) else {
            return;
        };
        let rule = Rule::WallsCross {
            other: faults.name(other.wall).to_owned(),
            at: told(s),
            other_at: told(other_s),
        };
        let field = if line.centre.curvature == 0.0 {
            "length_m"
        } else {
            "radius_m"
        };
        faults.add(line.wall, Place::Wall, field, rule);
    }
}
