//! Measuring: the walls of a job checked, put together and integrated, each over its lifts at once.
//! The geometry itself is in the files beside this one; here it is only called in order and summed.

use hod_units::{Length, Volume};

use super::assembly::{Body, assemble, thickness};
use super::check::sizes;
use super::clearance::clearances;
use super::displaced::Void;
use super::drawing::WallDrawing;
use super::elevation::less;
use super::fault::{Fault, Faults, Place, Rule};
use super::figure::{self, metres, volume_of_steps, volume_steps};
use super::fit::fits;
use super::junction::{Link, links};
use super::lift::{levels, lifts};
use super::measured::WallMeasure;
use super::path::CentreLine;
use super::profile::Top;
use super::quadrature::{Triple, plus};
use super::reveal::reveal;
use super::run::lay_out;
use super::section::Side;
use super::solid::Solid;
use super::working;

/// Measures the walls of a job, each in the order given, or tells every fault of all of them.
///
/// ```
/// use hod_domain::geometry::{End, Path, Profile, WallDrawing, measure};
/// use hod_units::{Length, parse_decimal};
///
/// let metres = |text| parse_decimal(text).map(Length::from_metres);
/// let garden_wall = WallDrawing {
///     id: "garden".to_owned(),
///     path: Path::Straight { length: metres("6.20")? },
///     profile: Profile::Level { height: metres("2.40")? },
///     thickness: metres("0.450")?,
///     taper: None,
///     start: End::Free,
///     end: End::Free,
///     turn_degrees: None,
///     openings: Vec::new(),
///     niches: Vec::new(),
///     inclusions: Vec::new(),
///     lift_height: None,
///     stem_height: Length::ZERO,
///     paring: metres("0.025")?,
/// };
/// let measured = measure(&[garden_wall]).map_err(|faults| faults[0].to_string())?;
/// // 6.20 x 2.40 x 0.450 m; paring adds 2 x 6.20 x 2.40 x 0.025 m.
/// assert_eq!(measured[0].net.to_string(), "6.696 m3");
/// assert_eq!(measured[0].placed.to_string(), "7.44 m3");
/// assert_eq!(measured[0].lifts.len(), 6);
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
pub fn measure(walls: &[WallDrawing]) -> Result<Vec<WallMeasure>, Vec<Fault>> {
    let mut faults = Faults::of(walls);
    let solids = solids(walls, &mut faults);
    if 0 < faults.count() {
        return Err(faults.found());
    }
    let mut measured = Vec::with_capacity(walls.len());
    let mut scratch = Vec::new();
    for (index, (wall, solid)) in walls.iter().zip(&solids).enumerate() {
        match measured_wall(wall, solid, &mut scratch) {
            Ok(wall) => measured.push(wall),
            Err(rule) => faults.add(index, Place::Wall, field_of(&rule), rule),
        }
    }
    if 0 < faults.count() {
        Err(faults.found())
    } else {
        Ok(measured)
    }
}

/// The walls as solids, one each when there are no faults; else those that could be put together.
fn solids(walls: &[WallDrawing], faults: &mut Faults) -> Vec<Solid> {
    let centres: Vec<Option<CentreLine>> = walls
        .iter()
        .enumerate()
        .map(|(index, wall)| sizes(index, wall, faults).then(|| CentreLine::of(&wall.path)))
        .collect();
    for (index, (wall, centre)) in walls.iter().zip(&centres).enumerate() {
        if let Some(centre) = centre {
            let top = Top::of(&wall.profile, centre.length);
            clearances(index, wall, &top, thickness(wall, &top), faults);
        }
    }
    let links = links(walls, &centres, faults);
    let inner = lay_out(&centres, &links, faults);
    put_together(walls, &centres, &links, &inner, faults)
}

fn put_together(
    walls: &[WallDrawing],
    centres: &[Option<CentreLine>],
    links: &[[Link; 2]],
    inner: &[Side],
    faults: &mut Faults,
) -> Vec<Solid> {
    let bodies: Vec<Option<Body>> = walls
        .iter()
        .zip(centres.iter().zip(inner))
        .map(|(wall, (centre, inner))| centre.map(|centre| Body::new(wall, centre, *inner)))
        .collect();
    let mut solids = Vec::with_capacity(walls.len());
    for (index, wall) in walls.iter().enumerate() {
        if let Some(solid) = assemble(index, &bodies, links) {
            fits(index, wall, &solid, &links[index], faults);
            solids.push(solid);
        }
    }
    solids
}

fn field_of(rule: &Rule) -> &'static str {
    match rule {
        Rule::InclusionsFillWall { .. } => "inclusions",
        _ => "length_m",
    }
}

/// What stands between the levels of one wall's lifts: earth (m3) and the left and right face (m2), true areas.
struct Bands {
    gross: Vec<f64>,
    /// Gross, less openings and niches.
    net: Vec<Triple>,
}

fn measured_wall(
    wall: &WallDrawing,
    solid: &Solid,
    breaks: &mut Vec<f64>,
) -> Result<WallMeasure, Rule> {
    solid.breaks(breaks);
    let levels = levels(wall);
    let voids: Vec<Void> = voids(wall);
    let bands = bands(solid, &levels, &voids, breaks);
    let gross: f64 = bands.gross.iter().sum();
    let [earth, left, right] = bands
        .net
        .iter()
        .fold([0.0; 3], |sum, band| plus(sum, *band));
    let inclusions = inclusions(wall);
    if earth <= inclusions {
        return Err(Rule::InclusionsFillWall {
            inclusions: told(inclusions),
            wall: told(earth),
        });
    }
    let paring = metres(wall.paring);
    // What is built in is spread over the lifts in proportion to their earth.
    let share = 1.0 - inclusions / earth;
    let volumes: Vec<f64> = bands
        .net
        .iter()
        .map(|[earth, left, right]| earth * share + paring * (left + right))
        .collect();
    let (inner, outer) = match solid.faces.inner {
        Side::Left => (left, right),
        Side::Right => (right, left),
    };
    let reveals = voids.iter().map(|void| reveal(void, &solid.faces)).sum();
    let finished = || -> Option<WallMeasure> {
        let gross_steps = volume_steps(gross)?;
        let displaced = volume_steps(gross - earth + inclusions)?;
        let net = gross_steps.checked_sub(displaced)?;
        let placed = net.checked_add(volume_steps(paring * (left + right))?)?;
        Some(WallMeasure {
            id: wall.id.clone(),
            gross: volume_of_steps(gross_steps),
            displaced: volume_of_steps(displaced),
            net: volume_of_steps(net),
            placed: volume_of_steps(placed),
            inner_face: figure::area(inner)?,
            outer_face: figure::area(outer)?,
            reveal: figure::area(reveals)?,
            length: drawn_length(wall, solid)?,
            plan_area: figure::area(solid.section(0.0)[0])?,
            lifts: lifts(&levels, &volumes, placed)?,
            working: working::of(solid, gross, breaks)?,
        })
    };
    finished().ok_or(Rule::NotFinite)
}

fn told(cubic_metres: f64) -> Volume {
    volume_of_steps(volume_steps(cubic_metres).unwrap_or_default())
}

fn voids(wall: &WallDrawing) -> Vec<Void> {
    let openings = wall.openings.iter().map(Void::of_opening);
    openings
        .chain(wall.niches.iter().map(Void::of_niche))
        .collect()
}

fn drawn_length(wall: &WallDrawing, solid: &Solid) -> Option<Length> {
    match wall.path {
        super::drawing::Path::Straight { length } => Some(length),
        super::drawing::Path::Arc { .. } => figure::length(solid.centre.length),
    }
}

/// All inclusions, m3.
fn inclusions(wall: &WallDrawing) -> f64 {
    wall.inclusions
        .iter()
        .map(|inclusion| {
            f64::from(inclusion.count) * figure::number(inclusion.volume.cubic_metres())
        })
        .sum()
}

/// Integrates the wall between each two levels, piece by piece between the breaks, and takes the voids out.
fn bands(solid: &Solid, levels: &[Length], voids: &[Void], breaks: &[f64]) -> Bands {
    let count = levels.len() - 1;
    let mut gross = Vec::with_capacity(count);
    let mut net = Vec::with_capacity(count);
    let (left_slope, right_slope) = (
        solid.faces.slope(Side::Left),
        solid.faces.slope(Side::Right),
    );
    let mut pieces = breaks.windows(2).peekable();
    let mut from = 0.0;
    for level in &levels[1..] {
        let to = metres(*level);
        let mut sum = [0.0; 3];
        while let Some(piece) = pieces.peek() {
            let end = piece[1].min(to);
            if from < end {
                sum = plus(sum, solid.between(from, end));
                from = end;
            }
            if to < piece[1] {
                break;
            }
            pieces.next();
        }
        gross.push(sum[0]);
        net.push([sum[0], sum[1] * left_slope, sum[2] * right_slope]);
    }
    for void in voids {
        take_out(void, solid, levels, &mut net);
    }
    Bands { gross, net }
}

/// Takes a void out of the bands that it crosses.
fn take_out(void: &Void, solid: &Solid, levels: &[Length], bands: &mut [Triple]) {
    let taken = void.taken(&solid.faces);
    let (bottom, top) = (void.elevation.bottom(), void.elevation.top);
    let mut below = void.elevation.below(bottom);
    for (level, band) in levels[1..].iter().zip(bands) {
        let level = metres(*level);
        if level <= bottom {
            continue;
        }
        let here = void.elevation.below(level);
        let [earth, left, right] = taken.of(less(here, below));
        *band = [band[0] - earth, band[1] - left, band[2] - right];
        below = here;
        if top <= level {
            break;
        }
    }
}
