//! Runs of walls laid out in plan: whether a closed run closes, which side it encloses, and whether a wall between
//! two placed walls fits. Heights and thicknesses do not come into it.

use hod_units::Decimal;

use super::angle::{less_sine, radians};
use super::fault::{Faults, Place, Rule};
use super::figure::told;
use super::junction::Link;
use super::overlap::WallEnd;
use super::path::CentreLine;
use super::point::{Point, Pose};
use super::section::Side;

/// How far a run may miss its own start, m.
const GAP_MAX: f64 = 0.010;
/// By how much its turns may miss a full turn, degrees.
const TURN_GAP_MAX: f64 = 0.1;
/// What floating point may add to either: a gap of just 10 mm is let pass.
const ROUNDING: f64 = 1e-9;

/// A chain of walls that meet end to end.
pub(super) struct Chain {
    /// From the first to the last.
    pub(super) walls: Vec<usize>,
    pub(super) is_closed: bool,
}

/// How walls lie in plan.
pub(super) struct Plan {
    /// The inner side of each.
    pub(super) inner: Vec<Side>,
    /// Of each wall: the assembly that it belongs to, and where it starts in that. None where that is not known.
    pub(super) places: Vec<Option<(usize, Pose)>>,
}

/// Lays the walls out; finds what does not close or fit, and then tells no places.
///
/// A wall whose own sizes are at fault has no centre line here; what hangs on such a wall is not judged.
pub(super) fn lay_out(
    centres: &[Option<CentreLine>],
    links: &[[Link; 2]],
    faults: &mut Faults,
) -> Plan {
    let before = faults.count();
    let mut inner: Vec<Side> = centres.iter().map(side_of_centre).collect();
    let mut layout = Layout::new(centres.len());
    for chain in chains(links) {
        let Some(legs) = legs(&chain, centres, links) else {
            continue;
        };
        if chain.is_closed {
            let side = enclosed_side(&legs);
            chain.walls.iter().for_each(|wall| inner[*wall] = side);
            check_closing(&legs, faults);
        }
        layout.add(&legs);
    }
    layout.place_guests(centres, links, faults);
    let places = if faults.count() == before {
        layout.places()
    } else {
        vec![None; centres.len()]
    };
    Plan { inner, places }
}

/// The centre's side of an arc; the left of a straight wall.
fn side_of_centre(centre: &Option<CentreLine>) -> Side {
    match centre {
        Some(centre) if centre.curvature < 0.0 => Side::Right,
        _ => Side::Left,
    }
}

pub(super) fn next(links: &[[Link; 2]], wall: usize) -> Option<usize> {
    match links[wall][WallEnd::Far.index()] {
        Link::Corner { wall, .. } => Some(wall),
        Link::Free | Link::Into { .. } | Link::Refused => None,
    }
}

/// All chains: first those with an end, from their first walls; what is left over goes round.
fn chains(links: &[[Link; 2]]) -> Vec<Chain> {
    let mut chains = Vec::new();
    let mut is_chained = vec![false; links.len()];
    let mut follow = |first: usize, is_chained: &mut Vec<bool>, is_closed: bool| {
        let mut walls = Vec::new();
        let mut wall = Some(first);
        while let Some(here) = wall.filter(|wall| !is_chained[*wall]) {
            is_chained[here] = true;
            walls.push(here);
            wall = next(links, here);
        }
        chains.push(Chain { walls, is_closed });
    };
    for (wall, ends) in links.iter().enumerate() {
        if !matches!(ends[WallEnd::Start.index()], Link::Corner { .. }) {
            follow(wall, &mut is_chained, false);
        }
    }
    for wall in 0..links.len() {
        if !is_chained[wall] {
            follow(wall, &mut is_chained, true);
        }
    }
    chains
}

/// One wall of a chain that is laid out.
pub(super) struct Leg {
    pub(super) wall: usize,
    centre: CentreLine,
    /// Where it starts.
    pub(super) pose: Pose,
    /// At its far end, in degrees.
    turn: f64,
    /// Where a wall after it starts: after the last of a closed chain, its first again.
    next: Pose,
}

/// A chain laid out from the origin; `None` when one of its walls cannot be.
pub(super) fn legs(
    chain: &Chain,
    centres: &[Option<CentreLine>],
    links: &[[Link; 2]],
) -> Option<Vec<Leg>> {
    let mut pose = Pose::ORIGIN;
    let mut legs = Vec::with_capacity(chain.walls.len());
    for wall in &chain.walls {
        let centre = centres[*wall]?;
        let mut next = pose.then(centre.end());
        let mut degrees = 0.0;
        if let Link::Corner { turn, .. } = links[*wall][WallEnd::Far.index()] {
            next = next.then(turn.pose());
            degrees = turn.degrees;
        }
        legs.push(Leg {
            wall: *wall,
            centre,
            pose,
            turn: degrees,
            next,
        });
        pose = next;
    }
    Some(legs)
}

/// The left when the area inside the centre lines, gone round to the left, is above zero.
///
/// Half the sum of the corners' cross products, and for every arc the segment between it and its chord:
/// (b - sin b) / 2 c^2, with b its bend and c its curvature; left bends add, right bends take away.
pub(super) fn enclosed_side(legs: &[Leg]) -> Side {
    let mut area = 0.0;
    for Leg {
        centre, pose, next, ..
    } in legs
    {
        area += 0.5 * pose.at.cross(next.at);
        if centre.curvature != 0.0 {
            let bend = radians(centre.bend_degrees);
            area += less_sine(bend) / (2.0 * centre.curvature * centre.curvature);
        }
    }
    if area < 0.0 { Side::Right } else { Side::Left }
}

fn check_closing(legs: &[Leg], faults: &mut Faults) {
    let Some(last) = legs.last() else { return };
    if let Some(rule) = misses_its_start(legs, last) {
        faults.add(last.wall, Place::Run, "ends", rule);
    }
}

/// The rule that a closed run breaks which does not close.
pub(super) fn misses_its_start(legs: &[Leg], last: &Leg) -> Option<Rule> {
    let gap = last.next.at.length();
    let turn_sum: f64 = legs
        .iter()
        .map(|leg| leg.centre.bend_degrees + leg.turn)
        .sum();
    let turn_gap = (turn_sum.abs() - 360.0).abs();
    // Written so that a gap that is not a number does not pass.
    let closes = gap <= GAP_MAX + ROUNDING && turn_gap <= TURN_GAP_MAX + ROUNDING;
    (!closes).then(|| Rule::RunDoesNotClose {
        gap_mm: told_mm(gap),
        turn_sum: told(turn_sum, 3),
    })
}

/// Millimetres, to a hundredth, for a message.
fn told_mm(metres: f64) -> Decimal {
    told(metres * 1000.0, 2)
}

/// Chains placed beside one another, as guests tie them to their hosts.
struct Layout {
    /// Of each wall: its chain, and where it starts in that.
    walls: Vec<Option<(usize, Pose)>>,
    /// Of each chain: the chain it is placed in, and where; itself when it stands alone.
    chains: Vec<(usize, Pose)>,
}

impl Layout {
    fn new(wall_count: usize) -> Self {
        Self {
            walls: vec![None; wall_count],
            chains: Vec::new(),
        }
    }

    fn add(&mut self, legs: &[Leg]) {
        let index = self.chains.len();
        self.chains.push((index, Pose::ORIGIN));
        for leg in legs {
            self.walls[leg.wall] = Some((index, leg.pose));
        }
    }

    /// The outermost chain that a chain is placed in, and where in that. Shortens the way for the next who asks.
    fn outermost(&mut self, chain: usize) -> (usize, Pose) {
        if self.chains[chain].0 == chain {
            return (chain, Pose::ORIGIN);
        }
        let mut way = vec![chain];
        let mut here = chain;
        while self.chains[here].0 != here {
            here = self.chains[here].0;
            way.push(here);
        }
        let mut pose = Pose::ORIGIN;
        for step in way.into_iter().rev().skip(1) {
            pose = pose.then(self.chains[step].1);
            self.chains[step] = (here, pose);
        }
        (here, pose)
    }

    /// Of each wall: the outermost chain that it is placed in, and where it starts in that.
    fn places(&mut self) -> Vec<Option<(usize, Pose)>> {
        (0..self.walls.len())
            .map(|wall| {
                let (chain, start) = self.walls[wall]?;
                let (outermost, pose) = self.outermost(chain);
                Some((outermost, pose.then(start)))
            })
            .collect()
    }

    /// Ties each guest to its host: places the one chain in the other, or, when both are placed already, checks that
    /// they meet as drawn.
    fn place_guests(
        &mut self,
        centres: &[Option<CentreLine>],
        links: &[[Link; 2]],
        faults: &mut Faults,
    ) {
        for (guest, ends) in links.iter().enumerate() {
            for end in WallEnd::BOTH {
                let Link::Into { host, at, turn } = ends[end.index()] else {
                    continue;
                };
                let arrival = centres[guest].map(|centre| match end {
                    WallEnd::Start => Pose::ORIGIN,
                    WallEnd::Far => centre.end(),
                });
                // The host's pose at the meeting point, told through the guest and through the host itself.
                let by_guest = self.told_by(guest, arrival.map(|pose| pose.then(turn.pose())));
                let by_host = self.told_by(host, centres[host].map(|centre| centre.along(at)));
                let (Some(by_guest), Some(by_host)) = (by_guest, by_host) else {
                    continue;
                };
                let misfit = self.tie(by_guest, by_host);
                if let Some(misfit) = misfit.filter(|misfit| !misfit.is_within_tolerance()) {
                    let instead = match end {
                        WallEnd::Start => Vec::new(),
                        WallEnd::Far => self.instead(centres[guest], ends, by_guest, by_host),
                    };
                    let rule = misfit.rule(faults.name(host), instead);
                    faults.add(guest, Place::Run, into_field(end), rule);
                }
            }
        }
    }

    /// Turns to the other side at its two ends with which a wall between two others would fit, by their fields.
    ///
    /// The wall was placed by its start. To turn that to the other side turns the wall about its start by twice the
    /// turn; to turn its far end to the other side turns only what it expects to meet there.
    fn instead(
        &mut self,
        centre: Option<CentreLine>,
        ends: &[Link; 2],
        (chain, meeting): (usize, Pose),
        by_host: (usize, Pose),
    ) -> Vec<(&'static str, Decimal)> {
        let [
            Link::Into { turn: first, .. },
            Link::Into { turn: last, .. },
        ] = *ends
        else {
            return Vec::new();
        };
        let Some(centre) = centre else {
            return Vec::new();
        };
        let there = self.outermost(by_host.0).1.then(by_host.1);
        let way = centre.end().then(last.pose());
        let start = self.outermost(chain).1.then(meeting).then(way.inverse());
        let turned = start.then(first.pose()).then(first.pose());
        let other_way = centre.end().then(last.back().pose());
        let first = ("start_turn_deg", told(-first.degrees, 6));
        let last = ("turn_deg", told(-last.degrees, 6));
        let fits = |end: Pose| Misfit::between(end, there).is_within_tolerance();
        if fits(turned.then(way)) {
            vec![first]
        } else if fits(start.then(other_way)) {
            vec![last]
        } else if fits(turned.then(other_way)) {
            vec![first, last]
        } else {
            Vec::new()
        }
    }

    /// A pose seen from a wall's start, as the wall's chain sees it.
    fn told_by(&self, wall: usize, pose: Option<Pose>) -> Option<(usize, Pose)> {
        let (chain, start) = self.walls[wall]?;
        Some((chain, start.then(pose?)))
    }

    /// Two poses, each in its chain, that are one. `None` when that places the one chain in the other; else by how
    /// much they are not.
    fn tie(&mut self, (a, pose_a): (usize, Pose), (b, pose_b): (usize, Pose)) -> Option<Misfit> {
        let (outermost_a, a_in) = self.outermost(a);
        let (outermost_b, b_in) = self.outermost(b);
        let (here, there) = (a_in.then(pose_a), b_in.then(pose_b));
        if outermost_a == outermost_b {
            return Some(Misfit::between(here, there));
        }
        self.chains[outermost_b] = (outermost_a, here.then(there.inverse()));
        None
    }
}

/// By how much a wall between two placed walls does not fit.
struct Misfit {
    gap: Point,
    /// Radians.
    turn: f64,
}

impl Misfit {
    fn between(here: Pose, there: Pose) -> Self {
        Self {
            gap: here.at.minus(there.at),
            turn: libm::atan2(here.ahead.cross(there.ahead), here.ahead.dot(there.ahead)),
        }
    }

    fn turn_degrees(&self) -> f64 {
        self.turn / radians(1.0)
    }

    fn is_within_tolerance(&self) -> bool {
        self.gap.length() <= GAP_MAX + ROUNDING
            && self.turn_degrees().abs() <= TURN_GAP_MAX + ROUNDING
    }

    fn rule(&self, other: &str, instead: Vec<(&'static str, Decimal)>) -> Rule {
        Rule::WallDoesNotFit {
            other: other.to_owned(),
            gap_mm: told_mm(self.gap.length()),
            turn_degrees: told(self.turn_degrees(), 3),
            instead,
        }
    }
}

/// The field that says where along its host a wall's end meets it.
pub(super) fn into_field(end: WallEnd) -> &'static str {
    match end {
        WallEnd::Start => "start_into_at_m",
        WallEnd::Far => "into_at_m",
    }
}

#[cfg(test)]
mod tests {
    use super::super::point::Turn;
    use super::*;

    fn straight(length: f64) -> Option<CentreLine> {
        Some(CentreLine {
            length,
            curvature: 0.0,
            bend_degrees: 0.0,
        })
    }

    fn bend(radius: f64, bend_degrees: f64) -> Option<CentreLine> {
        Some(CentreLine {
            length: radius * radians(bend_degrees.abs()),
            curvature: 1.0_f64.copysign(bend_degrees) / radius,
            bend_degrees,
        })
    }

    /// Walls in a ring, each turning by so much at its far end.
    fn ring(count: usize, degrees: f64) -> Vec<[Link; 2]> {
        let turn = Turn::of_degrees(degrees);
        (0..count)
            .map(|wall| {
                [
                    Link::Corner {
                        wall: (wall + count - 1) % count,
                        turn: turn.back(),
                    },
                    Link::Corner {
                        wall: (wall + 1) % count,
                        turn,
                    },
                ]
            })
            .collect()
    }

    fn rules(centres: &[Option<CentreLine>], links: &[[Link; 2]]) -> (Vec<Side>, Vec<Rule>) {
        let mut faults = Faults::default();
        let inner = lay_out(centres, links, &mut faults).inner;
        (
            inner,
            faults.found().into_iter().map(|fault| fault.rule).collect(),
        )
    }

    #[test]
    fn a_run_encloses_its_left_when_it_turns_left() {
        let walls = [straight(6.2), straight(4.0), straight(6.2), straight(4.0)];
        assert_eq!(rules(&walls, &ring(4, 90.0)), (vec![Side::Left; 4], vec![]));
        assert_eq!(
            rules(&walls, &ring(4, -90.0)),
            (vec![Side::Right; 4], vec![])
        );
        // Two half circles; and one whole one that comes back on itself.
        assert_eq!(
            rules(&[bend(2.0, -180.0), bend(2.0, -180.0)], &ring(2, 0.0)),
            (vec![Side::Right; 2], vec![])
        );
        assert_eq!(
            rules(&[bend(2.0, 360.0)], &ring(1, 0.0)),
            (vec![Side::Left], vec![])
        );
    }

    #[test]
    fn an_arc_bent_inward_does_not_change_which_side_is_enclosed() {
        // A square whose east side is bowed in: 90 degrees of radius 4/sqrt(2), its neighbours meeting it at 135.
        let mut links = ring(4, 90.0);
        let wide = Turn::of_degrees(135.0);
        links[0][1] = Link::Corner {
            wall: 1,
            turn: wide,
        };
        links[1] = [
            Link::Corner {
                wall: 0,
                turn: wide.back(),
            },
            Link::Corner {
                wall: 2,
                turn: wide,
            },
        ];
        links[2][0] = Link::Corner {
            wall: 1,
            turn: wide.back(),
        };
        let walls = [
            straight(4.0),
            bend(4.0 / 2.0_f64.sqrt(), -90.0),
            straight(4.0),
            straight(4.0),
        ];
        assert_eq!(rules(&walls, &links), (vec![Side::Left; 4], vec![]));
    }

    #[test]
    fn ten_millimetres_are_let_pass_and_eleven_are_told() {
        let nearly = [straight(6.21), straight(4.0), straight(6.2), straight(4.0)];
        assert_eq!(rules(&nearly, &ring(4, 90.0)).1, vec![]);
        let open = [straight(6.211), straight(4.0), straight(6.2), straight(4.0)];
        let gap_mm = hod_units::Decimal::from(11);
        let turn_sum = hod_units::Decimal::from(360);
        assert_eq!(
            rules(&open, &ring(4, 90.0)).1,
            vec![Rule::RunDoesNotClose { gap_mm, turn_sum }]
        );
    }

    #[test]
    fn a_run_that_turns_twice_round_does_not_close() {
        let walls = vec![straight(4.0); 8];
        let turn_sum = hod_units::Decimal::from(720);
        let gap_mm = hod_units::Decimal::ZERO;
        assert_eq!(
            rules(&walls, &ring(8, 90.0)).1,
            vec![Rule::RunDoesNotClose { gap_mm, turn_sum }]
        );
    }

    #[test]
    fn a_partition_must_be_as_long_as_the_room_is_wide() {
        let mut links = ring(4, 90.0);
        let turn = Turn::of_degrees(90.0);
        let partition = |west: f64| {
            [
                // Eastward from the west wall, which heads south: to the right of its travel.
                Link::Into {
                    host: 3,
                    at: west,
                    turn: turn.back(),
                },
                Link::Into {
                    host: 1,
                    at: 1.5,
                    turn,
                },
            ]
        };
        let room = [
            straight(6.2),
            straight(4.0),
            straight(6.2),
            straight(4.0),
            straight(6.2),
        ];
        links.push(partition(2.5));
        assert_eq!(rules(&room, &links).1, vec![]);
        links[4] = partition(2.0);
        let misfit = rules(&room, &links).1;
        assert!(
            matches!(&misfit[..], [Rule::WallDoesNotFit { gap_mm, .. }] if *gap_mm == 500.into()),
            "{misfit:?}"
        );
    }

    #[test]
    fn guests_that_tie_two_runs_together_are_held_to_both() {
        // Two straight walls side by side, 3 m apart, and two guests across: the second must be as long as the first.
        let turn = Turn::of_degrees(90.0);
        let free = [Link::Free; 2];
        let across = |at: f64| {
            [
                Link::Into {
                    host: 0,
                    at,
                    turn: turn.back(),
                },
                Link::Into {
                    host: 1,
                    at,
                    turn: turn.back(),
                },
            ]
        };
        let links = [free, free, across(1.0), across(4.0)];
        let fits = [straight(5.0), straight(5.0), straight(3.0), straight(3.0)];
        assert_eq!(rules(&fits, &links).1, vec![]);
        let out = [straight(5.0), straight(5.0), straight(3.0), straight(3.2)];
        let misfit = rules(&out, &links).1;
        assert!(
            matches!(&misfit[..], [Rule::WallDoesNotFit { gap_mm, .. }] if *gap_mm == 200.into()),
            "{misfit:?}"
        );
    }
}
