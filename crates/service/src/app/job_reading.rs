//! Reading a job out of a message, with everything that is wrong with it: what cannot be read and what geometry
//! refuses, in one pass where that is possible.

use hod_domain::fault::Fault;
use hod_domain::geometry::{self, End, Place, WallDrawing};
use hod_domain::job::Job;
use hod_wire::v1 as wire;

use super::heavy::compute;
use crate::decode::{self, Decoder, Drawn, DrawnWall};

/// Reads a job. What geometry refuses is told here only where the job cannot be read whole; a whole one is measured by
/// whoever wants it for something.
pub fn read_job<'a>(decoder: &mut Decoder<'a>, wire: &'a wire::Job) -> Option<Job> {
    match decode::job(decoder, wire) {
        Drawn::Job(job) => Some(*job),
        Drawn::Walls { walls, are_whole } => {
            for fault in compute(walls.len(), || refused_by_geometry(walls, are_whole)) {
                decoder.also(&fault.field, fault.reason, fault.message);
            }
            None
        }
    }
}

/// What geometry has against walls. Where some could not be read, each is judged by itself: how it meets a wall that
/// is not there cannot be.
fn refused_by_geometry(walls: Vec<(usize, DrawnWall)>, are_whole: bool) -> Vec<Fault> {
    let mut drawings: Vec<WallDrawing> = Vec::with_capacity(walls.len());
    let mut places: Vec<(usize, [Vec<usize>; 4])> = Vec::with_capacity(walls.len());
    for (place, wall) in walls {
        places.push((
            place,
            [wall.openings, wall.niches, wall.inclusions, wall.above],
        ));
        drawings.push(if are_whole {
            wall.drawing
        } else {
            standing_alone(wall.drawing)
        });
    }
    let Err(faults) = geometry::measure(&drawings) else {
        return Vec::new();
    };
    let in_what_was_sent = |mut fault: geometry::Fault| {
        let (place, [openings, niches, inclusions, above]) = places.get(fault.wall)?;
        fault.wall = *place;
        fault.place = match fault.place {
            Place::Opening(index) => Place::Opening(*openings.get(index)?),
            Place::Niche(index) => Place::Niche(*niches.get(index)?),
            Place::Inclusion(index) => Place::Inclusion(*inclusions.get(index)?),
            Place::Above(index) => Place::Above(*above.get(index)?),
            whole @ (Place::Wall | Place::Run) => whole,
        };
        Some(Fault::from(&fault))
    };
    faults.into_iter().filter_map(in_what_was_sent).collect()
}

fn standing_alone(drawing: WallDrawing) -> WallDrawing {
    WallDrawing {
        start: End::Free,
        end: End::Free,
        turn_degrees: None,
        ..drawing
    }
}

#[cfg(test)]
mod tests {
    use hod_wire::v1::{Job, Opening, OpeningShape, Wall, WallSystem};

    use super::*;

    fn opening(id: &str, width: &str, at: &str) -> Opening {
        Opening {
            id: id.into(),
            shape: OpeningShape::Rectangle.into(),
            width_m: width.into(),
            height_m: "1".into(),
            sill_m: "0.5".into(),
            at_m: at.into(),
            ..Default::default()
        }
    }

    fn wall(id: &str, thickness: &str, openings: Vec<Opening>) -> Wall {
        Wall {
            id: id.into(),
            length_m: "6.20".into(),
            height_m: "2.40".into(),
            thickness_mm: thickness.into(),
            ends: "corner:north".into(),
            openings,
            ..Default::default()
        }
    }

    #[test]
    fn what_cannot_be_read_does_not_hide_what_geometry_refuses_elsewhere() {
        let job = Job {
            display_name: "Studio".into(),
            system: WallSystem::Cob.into(),
            walls: vec![
                wall("south", "1_000", vec![]),
                wall(
                    "east",
                    "450",
                    vec![opening("door", "NaN", "1"), opening("window", "1", "9")],
                ),
            ],
            ..Default::default()
        };
        let mut decoder = Decoder::new();
        assert!(read_job(&mut decoder, &job).is_none());
        let told: Vec<String> = decoder.violations().into_iter().map(|v| v.field).collect();
        assert_eq!(
            told,
            [
                "walls[0].thickness_mm",
                "walls[1].openings[0].width_m",
                "walls[1].openings[1].at_m"
            ]
        );
    }
}
