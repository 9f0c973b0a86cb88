//! Which wall meets which: names resolved, corners linked from both sides, runs-into placed on their hosts.
//! Whether the walls then stand where they say is for `run`; what the junctions cut off for `cut`.

use std::collections::HashMap;

use hod_units::{Decimal, Length};

use super::drawing::{End, WallDrawing};
use super::fault::{Faults, Place, Rule};
use super::figure::{self, metres, number};
use super::overlap::WallEnd;
use super::path::CentreLine;
use super::point::Turn;
use super::section::Side;

/// What one end of a wall meets.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) enum Link {
    Free,
    /// The end of another wall: a start its far end, a far end its start.
    Corner {
        wall: usize,
        /// From this wall's travel to the other's.
        turn: Turn,
    },
    /// The side of another wall.
    Into {
        host: usize,
        /// Along the host's centre line.
        at: f64,
        turn: Turn,
    },
    /// Something that it cannot meet as drawn: a fault told already, so that nothing more is made of this end.
    Refused,
}

impl Link {
    /// The wall at the other side.
    pub(super) fn wall(&self) -> Option<usize> {
        match self {
            Self::Free | Self::Refused => None,
            Self::Corner { wall, .. } => Some(*wall),
            Self::Into { host, .. } => Some(*host),
        }
    }
}

/// The face of its host that a wall's end is at. A far end arrives, when the host heads to the left, at its left face;
/// a start leaves it, when the host heads to the left, from its right.
pub(super) fn landing(end: WallEnd, turn: Turn) -> Side {
    let heads_left = 0.0 < turn.sine;
    match (end, heads_left) {
        (WallEnd::Far, true) | (WallEnd::Start, false) => Side::Left,
        (WallEnd::Far, false) | (WallEnd::Start, true) => Side::Right,
    }
}

/// How far a corner may turn, either way, degrees.
const TURN_MAX: i64 = 150;
/// How far off the host's direction a wall must run into it, degrees.
const INTO_TURN_MIN: i64 = 30;
/// The turn of a corner when none is drawn, degrees.
const TURN_USUAL: i64 = 90;
/// So many unknown names are compared with all the known ones; a file with more of them has another fault.
const NEAREST_MAX: usize = 20;

/// The links of all ends of all walls, start and far end.
pub(super) fn links(
    walls: &[WallDrawing],
    centres: &[Option<CentreLine>],
    faults: &mut Faults,
) -> Vec<[Link; 2]> {
    let mut joiner = Joiner {
        walls,
        centres,
        names: Names::of(walls, faults),
        links: vec![[Link::Free; 2]; walls.len()],
        unknown_count: 0,
        faults,
    };
    for index in 0..walls.len() {
        joiner.join(index, WallEnd::Start);
        joiner.join(index, WallEnd::Far);
    }
    joiner.links
}

/// The walls by name; of two with one name the first has it.
struct Names<'w> {
    walls: &'w [WallDrawing],
    /// Left out where the walls are few: they are sooner looked through.
    table: Option<HashMap<&'w str, usize>>,
}

/// So many walls are sooner looked through than put in a table.
const FEW: usize = 16;

impl<'w> Names<'w> {
    fn of(walls: &'w [WallDrawing], faults: &mut Faults) -> Self {
        let table = (FEW < walls.len()).then(|| HashMap::with_capacity(walls.len()));
        let mut names = Self { walls, table };
        for (index, wall) in walls.iter().enumerate() {
            let first = names.put_in(&wall.id, index);
            if wall.id.is_empty() {
                faults.add(index, Place::Wall, "id", Rule::MissingId);
            } else if first != index {
                faults.add(index, Place::Wall, "id", Rule::DuplicateId { first });
            }
        }
        names
    }

    /// Puts a wall's name into the table, and says which wall was the first to have it.
    fn put_in(&mut self, name: &'w str, index: usize) -> usize {
        match &mut self.table {
            Some(table) => *table.entry(name).or_insert(index),
            None => self.first(name).unwrap_or(index),
        }
    }

    fn first(&self, name: &str) -> Option<usize> {
        match &self.table {
            Some(table) => table.get(name).copied(),
            None => self.walls.iter().position(|wall| wall.id == name),
        }
    }
}

struct Joiner<'w, 'f, 'd> {
    walls: &'w [WallDrawing],
    /// None for a wall whose own sizes are at fault.
    centres: &'w [Option<CentreLine>],
    names: Names<'w>,
    links: Vec<[Link; 2]>,
    unknown_count: usize,
    faults: &'f mut Faults<'d>,
}

impl<'w> Joiner<'w, '_, '_> {
    fn join(&mut self, index: usize, end: WallEnd) {
        let drawn = drawn(&self.walls[index], end);
        let name = match drawn {
            End::Free => return,
            End::Corner { wall } | End::Into { wall, .. } => wall,
        };
        let Some(other) = self.named(index, end, name) else {
            self.set(index, end, Link::Refused);
            return;
        };
        match drawn {
            End::Into {
                at, turn_degrees, ..
            } => self.side(index, end, other, *at, *turn_degrees),
            _ => self.corner(index, end, other),
        }
    }

    fn set(&mut self, index: usize, end: WallEnd, link: Link) {
        self.links[index][end.index()] = link;
    }

    fn named(&mut self, index: usize, end: WallEnd, name: &str) -> Option<usize> {
        let found = self.names.first(name);
        if found.is_none() {
            self.unknown_count += 1;
            let nearest = if self.unknown_count <= NEAREST_MAX {
                nearest(name, self.walls)
            } else {
                None
            };
            let rule = Rule::UnknownWall {
                named: name.to_owned(),
                nearest,
            };
            self.faults.add(index, Place::Wall, field(end), rule);
        }
        found
    }

    /// Links this end with the facing end of the other wall, unless either is drawn to meet, or already meets,
    /// something else.
    fn corner(&mut self, index: usize, end: WallEnd, other: usize) {
        let facing = end.other();
        if let Some(instead) = self.meets_instead(index, other, facing) {
            let rule = Rule::CornerTaken {
                other: self.walls[other].id.clone(),
                instead,
            };
            self.faults.add(index, Place::Wall, field(end), rule);
            self.set(index, end, Link::Refused);
            return;
        }
        if self.links[index][end.index()] != Link::Free {
            // Drawn from both sides, and linked from the other already.
            return;
        }
        let before = if end == WallEnd::Far { index } else { other };
        let (own, back) = match self.corner_turn(before) {
            None => (Link::Refused, Link::Refused),
            Some(turn) => {
                let (own, back) = if end == WallEnd::Far {
                    (turn, turn.back())
                } else {
                    (turn.back(), turn)
                };
                (
                    Link::Corner {
                        wall: other,
                        turn: own,
                    },
                    Link::Corner {
                        wall: index,
                        turn: back,
                    },
                )
            }
        };
        self.set(index, end, own);
        self.set(other, facing, back);
    }

    /// What the other wall's facing end is drawn to meet, or meets, that is not this wall; in the words of the job file.
    fn meets_instead(&self, index: usize, other: usize, facing: WallEnd) -> Option<String> {
        let meets = drawn(&self.walls[other], facing);
        let agrees = match meets {
            End::Free => true,
            End::Corner { wall } => *wall == self.walls[index].id,
            End::Into { .. } => false,
        };
        match self.links[other][facing.index()] {
            _ if !agrees => Some(words(meets)),
            Link::Corner { wall, .. } if wall != index => {
                Some(format!("corner:{}", self.walls[wall].id))
            }
            _ => None,
        }
    }

    /// The turn stands on the wall whose far end is at the corner.
    fn corner_turn(&mut self, before: usize) -> Option<Turn> {
        let degrees = self.walls[before]
            .turn_degrees
            .unwrap_or(Decimal::from(TURN_USUAL));
        self.turn(before, "turn_deg", degrees, 0)
    }

    fn side(&mut self, index: usize, end: WallEnd, host: usize, at: Length, turn_degrees: Decimal) {
        let (turn_field, at_field) = match end {
            WallEnd::Far => ("turn_deg", "into_at_m"),
            WallEnd::Start => ("start_turn_deg", "start_into_at_m"),
        };
        let mut is_refused = host == index;
        if is_refused {
            self.faults
                .add(index, Place::Wall, field(end), Rule::RunsIntoItself);
        }
        let turn = self.turn(index, turn_field, turn_degrees, INTO_TURN_MIN);
        let along = metres(at);
        let host_length = self.centres[host].map(|centre| centre.length);
        if along < 0.0 || host_length.is_some_and(|length| length < along) {
            is_refused = true;
            let rule = Rule::IntoOutsideWall {
                at,
                other: self.walls[host].id.clone(),
                length: host_length.and_then(figure::length).unwrap_or_default(),
            };
            self.faults.add(index, Place::Wall, at_field, rule);
        }
        let link = match turn {
            Some(turn) if !is_refused => Link::Into {
                host,
                at: along,
                turn,
            },
            _ => Link::Refused,
        };
        self.set(index, end, link);
    }

    /// A turn, if it is within its limits.
    fn turn(
        &mut self,
        index: usize,
        field: &'static str,
        found: Decimal,
        least: i64,
    ) -> Option<Turn> {
        let (least, most) = (Decimal::from(least), Decimal::from(TURN_MAX));
        if found.abs() < least || most < found.abs() {
            let rule = Rule::TurnOutOfRange { found, least, most };
            self.faults.add(index, Place::Wall, field, rule);
            return None;
        }
        Some(Turn::of_degrees(number(found)))
    }
}

/// What an end is drawn to meet.
fn drawn(wall: &WallDrawing, end: WallEnd) -> &End {
    match end {
        WallEnd::Start => &wall.start,
        WallEnd::Far => &wall.end,
    }
}

/// The field that says what an end meets.
pub(super) fn field(end: WallEnd) -> &'static str {
    match end {
        WallEnd::Start => "starts",
        WallEnd::Far => "ends",
    }
}

/// An end in the words of the job file.
fn words(end: &End) -> String {
    match end {
        End::Free => "free".to_owned(),
        End::Corner { wall } => format!("corner:{wall}"),
        End::Into { wall, .. } => format!("into:{wall}"),
    }
}

/// The id that takes the fewest letters changed, added or left out to become `name`, if those are at most a third of
/// its letters, or one.
fn nearest(name: &str, walls: &[WallDrawing]) -> Option<String> {
    let length = name.chars().count();
    let most = (length / 3).max(1);
    walls
        .iter()
        .filter(|wall| wall.id.chars().count().abs_diff(length) <= most)
        .map(|wall| (changes(name, &wall.id), &wall.id))
        .min_by_key(|(changes, _)| *changes)
        .filter(|(changes, _)| *changes <= most)
        .map(|(_, id)| id.clone())
}

/// How many letters must be changed, added or left out to make one name of another (V. Levenshtein 1966: from memory).
fn changes(a: &str, b: &str) -> usize {
    let b: Vec<char> = b.chars().collect();
    let mut row: Vec<usize> = (0..=b.len()).collect();
    for (i, letter) in a.chars().enumerate() {
        let mut diagonal = row[0];
        row[0] = i + 1;
        for (j, other) in b.iter().enumerate() {
            let changed = diagonal + usize::from(letter != *other);
            diagonal = row[j + 1];
            row[j + 1] = changed.min(row[j] + 1).min(diagonal + 1);
        }
    }
    row[b.len()]
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn changes_count_letters() {
        for (a, b, count) in [
            ("south", "south", 0),
            ("sout", "south", 1),
            ("noth", "north", 1),
            ("kitten", "sitting", 3),
            ("", "abc", 3),
        ] {
            assert_eq!(changes(a, b), count, "{a} {b}");
        }
    }

    #[test]
    fn a_wall_lands_on_the_face_it_comes_from() {
        // Going east into a wall that heads north: from its west, which is its left.
        assert_eq!(landing(WallEnd::Far, Turn::of_degrees(90.0)), Side::Left);
        assert_eq!(landing(WallEnd::Far, Turn::of_degrees(-90.0)), Side::Right);
        // Leaving eastward from a wall that heads north: from its east, its right.
        assert_eq!(landing(WallEnd::Start, Turn::of_degrees(90.0)), Side::Right);
        assert_eq!(landing(WallEnd::Start, Turn::of_degrees(-60.0)), Side::Left);
    }
}
