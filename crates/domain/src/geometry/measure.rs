//! Measuring: the walls of a job checked, put together and integrated, each over its lifts at once.
//! The geometry itself is in the files beside this one; here it is only called in order. What is integrated is summed
//! and brought into decimals in `telling`.

use hod_units::Volume;

use super::assembly::{Body, assemble};
use super::bands::{Band, bands};
use super::check::sizes;
use super::clearance::clearances;
use super::covered::covered;
use super::crossing::crossing;
use super::crowding::crowding;
use super::displaced::Void;
use super::drawing::{Inclusion, WallDrawing};
use super::fault::{Fault, Faults, Place, Rule};
use super::figure::{self, volume_of_steps, volume_steps};
use super::fit::fits;
use super::junction::{Link, links};
use super::lift::Levels;
use super::measured::WallMeasure;
use super::opening::openings;
use super::path::CentreLine;
use super::reveal::{Reveal, reveal};
use super::run::{Plan, lay_out};
use super::solid::Solid;
use super::telling::{Rest, Telling};
use super::voids::Voids;

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
///     zones: Vec::new(),
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
    let voids = Voids::of(walls);
    let (solids, links) = solids(walls, &voids, &mut faults);
    if 0 < faults.count() {
        return Err(faults.found());
    }
    let covered = covered(&solids, &links);
    let mut measured = Vec::with_capacity(walls.len());
    let mut scratch = Scratch::default();
    for (index, (wall, solid)) in walls.iter().zip(&solids).enumerate() {
        let covered = covered.get(index).copied().unwrap_or_default();
        match measured_wall(wall, solid, voids.of_wall(index), covered, &mut scratch) {
            Ok(wall) => measured.push(wall),
            Err((field, rule)) => faults.add(index, Place::Wall, field, rule),
        }
    }
    if 0 < faults.count() {
        Err(faults.found())
    } else {
        Ok(measured)
    }
}

/// The walls as solids, one each when there are no faults, else those that could be put together; and what each meets.
fn solids(
    walls: &[WallDrawing],
    voids: &Voids,
    faults: &mut Faults,
) -> (Vec<Solid>, Vec<[Link; 2]>) {
    let centres: Vec<Option<CentreLine>> = walls
        .iter()
        .enumerate()
        .map(|(index, wall)| sizes(index, wall, faults).then(|| CentreLine::of(&wall.path)))
        .collect();
    let links = links(walls, &centres, faults);
    let Plan { inner, places } = lay_out(&centres, &links, faults);
    let bodies: Vec<Option<Body>> = walls
        .iter()
        .zip(centres.iter().zip(inner))
        .map(|(wall, (centre, inner))| centre.map(|centre| Body::new(wall, centre, inner)))
        .collect();
    let mut solids = Vec::with_capacity(walls.len());
    for (index, (wall, body)) in walls.iter().zip(&bodies).enumerate() {
        let voids = voids.of_wall(index);
        if let Some(body) = body {
            clearances(
                index,
                wall,
                voids,
                &body.top,
                body.faces.thickness(),
                faults,
            );
        }
        let solid = assemble(index, &bodies, &links);
        if let Some(solid) = &solid {
            fits(index, wall, voids, solid, &links[index], faults);
        }
        solids.push(solid);
    }
    let pairs = crowding(walls, voids, &solids, &links, faults);
    crossing(&solids, &places, &links, &pairs, faults);
    (solids.into_iter().flatten().collect(), links)
}

/// Rows that are filled anew for each wall.
#[derive(Default)]
struct Scratch {
    breaks: Vec<f64>,
    levels: Levels,
    bands: Vec<Band>,
    reveals: Vec<Reveal>,
    telling: Telling,
}

fn measured_wall(
    wall: &WallDrawing,
    solid: &Solid,
    voids: &[Void],
    covered: [f64; 2],
    scratch: &mut Scratch,
) -> Result<WallMeasure, (&'static str, Rule)> {
    let Scratch {
        breaks,
        levels,
        bands: between,
        reveals,
        telling,
    } = scratch;
    solid.breaks(breaks);
    levels.fill(wall);
    bands(solid, &levels.heights, breaks, voids, between);
    let inclusions = inclusions(wall);
    reveals.clear();
    reveals.extend(voids.iter().map(|void| reveal(void, &solid.faces)));
    let rest = Rest {
        inclusions,
        reveals: reveals.iter().map(Reveal::sum).sum(),
        covered,
    };
    let sums = telling.sums(wall, levels, between, rest);
    if volume_steps(sums.net[0]).is_some_and(|steps| steps <= 0) {
        let wall = told(sums.gross);
        return Err(("openings", Rule::OpeningsTakeWall { wall }));
    }
    if sums.net[0] <= inclusions {
        let rule = Rule::InclusionsFillWall {
            inclusions: told(inclusions),
            wall: told(sums.net[0]),
        };
        return Err(("inclusions", rule));
    }
    openings(wall, voids, reveals, &solid.faces)
        .and_then(|openings| telling.told(wall, solid, &sums, openings, (levels, between, breaks)))
        .ok_or(("length_m", Rule::NotFinite))
}

fn told(cubic_metres: f64) -> Volume {
    volume_of_steps(volume_steps(cubic_metres).unwrap_or_default())
}

/// All inclusions, m3.
fn inclusions(wall: &WallDrawing) -> f64 {
    let volume = |inclusion: &Inclusion| {
        f64::from(inclusion.count) * figure::number(inclusion.volume.cubic_metres())
    };
    wall.inclusions.iter().map(volume).sum()
}

#[cfg(test)]
pub(super) mod tests {
    use super::*;

    /// Gross volumes before they are told in decimals, for checks that are finer than the step.
    pub(in super::super) fn gross_volumes(walls: &[WallDrawing]) -> Result<Vec<f64>, Vec<Fault>> {
        let mut faults = Faults::of(walls);
        let (solids, _) = solids(walls, &Voids::of(walls), &mut faults);
        if 0 < faults.count() {
            return Err(faults.found());
        }
        let mut scratch = Scratch::default();
        let gross = |(wall, solid): (&WallDrawing, &Solid)| {
            solid.breaks(&mut scratch.breaks);
            scratch.levels.fill(wall);
            bands(
                solid,
                &scratch.levels.heights,
                &scratch.breaks,
                &[],
                &mut scratch.bands,
            );
            scratch.bands.iter().map(|band| band.gross).sum()
        };
        Ok(walls.iter().zip(&solids).map(gross).collect())
    }
}
