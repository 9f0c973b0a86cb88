//! The area that a closed run of walls encloses at the base, between their inner faces: what a floor covers.
//! Walls that stand inside the run are not taken out of it.

use hod_units::Area;

use super::angle::less_sine;
use super::assembly::{Body, assemble};
use super::check::sizes;
use super::drawing::WallDrawing;
use super::fault::Faults;
use super::figure;
use super::junction::links;
use super::path::CentreLine;
use super::point::{Point, Pose};
use super::ring::{Run, run_of};
use super::section::Side;
use super::solid::Solid;

/// Why there is no area that a wall's run encloses.
#[derive(Debug, Clone, Copy, PartialEq, Eq, thiserror::Error)]
pub enum NotEnclosed {
    /// No wall has this id.
    #[error("the job has no wall of this id; name one of its walls")]
    UnknownWall,
    /// The wall belongs to no run that meets end to end and closes on itself.
    #[error(
        "the wall belongs to no closed run; name a wall of one, or give the area; a full circle is closed by ends = \"corner:ID\" of itself and turn_deg = 0"
    )]
    NotClosed,
    /// The run has faults of its own, which [`measure`](super::measure) tells.
    #[error("the run of this wall has faults of its own; correct those first")]
    HasFaults,
}

/// The area in plan between the inner faces of the closed run that a wall belongs to, at the base, to 1e-6 m2.
///
/// Openings are not added: the floor of a doorway is not counted. Walls that stand inside the run, such as a partition
/// that runs into two of its walls, are not taken out.
///
/// ```
/// use hod_domain::geometry::{End, NotEnclosed, Path, Profile, WallDrawing, enclosed_area};
/// use hod_units::{Length, parse_decimal};
///
/// let metres = |text| parse_decimal(text).map(Length::from_metres);
/// let sides = [("south", "6.20"), ("east", "4.00"), ("north", "6.20"), ("west", "4.00")];
/// let mut walls = Vec::new();
/// for (index, (id, length)) in sides.into_iter().enumerate() {
///     walls.push(WallDrawing {
///         id: id.to_owned(),
///         path: Path::Straight { length: metres(length)? },
///         profile: Profile::Level { height: metres("2.40")? },
///         thickness: metres("0.450")?,
///         taper: None,
///         start: End::Free,
///         end: End::Corner { wall: sides[(index + 1) % 4].0.to_owned() },
///         turn_degrees: None,
///         openings: Vec::new(),
///         niches: Vec::new(),
///         inclusions: Vec::new(),
///         zones: Vec::new(),
///         lift_height: None,
///         stem_height: Length::ZERO,
///         paring: Length::ZERO,
///     });
/// }
/// // (6.20 - 0.45) x (4.00 - 0.45)
/// assert_eq!(enclosed_area(&walls, "east")?.to_string(), "20.4125 m2");
/// assert_eq!(enclosed_area(&walls, "porch"), Err(NotEnclosed::UnknownWall));
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
pub fn enclosed_area(walls: &[WallDrawing], id: &str) -> Result<Area, NotEnclosed> {
    let Some(index) = walls.iter().position(|wall| wall.id == id) else {
        return Err(NotEnclosed::UnknownWall);
    };
    let mut faults = Faults::of(walls);
    let centres: Vec<Option<CentreLine>> = walls
        .iter()
        .enumerate()
        .map(|(index, wall)| sizes(index, wall, &mut faults).then(|| CentreLine::of(&wall.path)))
        .collect();
    let links = links(walls, &centres, &mut faults);
    let ring = match run_of(index, &centres, &links) {
        Run::Closed(ring) => ring,
        Run::Open => return Err(NotEnclosed::NotClosed),
        Run::Faulty => return Err(NotEnclosed::HasFaults),
    };
    let mut bodies = vec![None; walls.len()];
    for (wall, _) in &ring.walls {
        bodies[*wall] = centres[*wall].map(|centre| Body::new(&walls[*wall], centre, ring.inner));
    }
    let faces: Option<Vec<Face>> = ring
        .walls
        .iter()
        .map(|(wall, pose)| Face::inner(&assemble(*wall, &bodies, &links)?, *pose))
        .collect();
    faces
        .and_then(|faces| figure::area(area(&faces).abs()))
        .ok_or(NotEnclosed::HasFaults)
}

/// The inner face of a wall at the base, in the plan of its run.
struct Face {
    from: Point,
    to: Point,
    /// Between the face and its chord, above zero where it bends to the left, m2.
    segment: f64,
}

impl Face {
    /// `None` where the cuts of the two ends leave nothing of it.
    fn inner(solid: &Solid, pose: Pose) -> Option<Self> {
        let side = solid.faces.inner;
        let offset = solid.faces.face(side).base;
        let [start, far] = solid.cuts.map(|cut| {
            let (left, right) = cut.positions(&solid.faces, 0.0);
            if side == Side::Left { left } else { right }
        });
        let far = solid.centre.length + far;
        let spot = |s: f64| {
            let place = pose.then(solid.centre.along(s));
            place.outward(Point { x: 0.0, y: offset })
        };
        let curvature = solid.centre.curvature;
        let segment = if curvature == 0.0 {
            0.0
        } else {
            let radius = 1.0 / curvature - offset;
            0.5 * radius * radius * less_sine(curvature * (far - start))
        };
        (start < far).then(|| Self {
            from: spot(start),
            to: spot(far),
            segment,
        })
    }
}

/// Half the sum of the cross products of all corners, and what lies between each face and its chord; above zero when the
/// faces go round to the left. Where one face ends and the next begins is one corner, but for the gap that a run is let
/// pass with, or a step where a wall goes straight on in another thickness.
fn area(faces: &[Face]) -> f64 {
    let next = faces.iter().cycle().skip(1);
    faces
        .iter()
        .zip(next)
        .map(|(face, next)| {
            0.5 * (face.from.cross(face.to) + face.to.cross(next.from)) + face.segment
        })
        .sum()
}
