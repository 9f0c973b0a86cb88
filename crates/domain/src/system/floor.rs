//! Earthen floors, layer by layer from the ground up: gravel, road base, earth, oil. A floor is as large as it is said to
//! be, or as what a closed run of walls encloses; what stands on it is not taken out.

use hod_units::Length;

use super::layer::{self, Kind, Laid};
use super::stock::material_in;
use crate::basis::{Basis, Joint, Term};
use crate::fault::too_large;
use crate::geometry::{NotEnclosed, enclosed_area};
use crate::job::{Extent, Floor};
use crate::takeoff::tally::{Tally, drawn};
use crate::unit::Unit;

pub(super) fn put_down(tally: &mut Tally) {
    let mut laid = Laid::new(Kind::Floor);
    for (at, floor) in tally.job.floors.iter().enumerate() {
        let Some(area) = area(floor, at, tally) else {
            continue;
        };
        layers(floor, at, &area, &mut laid, tally);
        sheet(floor, at, &area, tally);
    }
    laid.put_down(tally);
}

/// As it is said: so large, `length x width`, or between the inner faces of a closed run.
fn area(floor: &Floor, at: usize, tally: &mut Tally) -> Option<Basis> {
    let side = |joint, side: Length, label| Term::new(joint, side.metres(), Unit::M, label, "");
    match &floor.extent {
        Extent::Area(area) => Some(drawn(area.square_metres(), Unit::M2, "area")),
        Extent::Rectangle { length, width } => Some(Basis::of([
            side(Joint::Start, *length, "length"),
            side(Joint::Times, *width, "width"),
        ])),
        Extent::Inside(wall) => match enclosed_area(&tally.job.walls, wall) {
            Ok(area) => {
                let label = "between the inner faces of its walls";
                Some(drawn(area.square_metres(), Unit::M2, label))
            }
            Err(why) => {
                refuse_not_enclosed(floor, at, wall, why, tally);
                None
            }
        },
    }
}

fn refuse_not_enclosed(floor: &Floor, at: usize, wall: &str, why: NotEnclosed, tally: &mut Tally) {
    let reason = match why {
        NotEnclosed::UnknownWall => "UNKNOWN_WALL",
        NotEnclosed::NotClosed | NotEnclosed::HasFaults => "FLOOR_NOT_ENCLOSED",
    };
    let message = format!("floor {} is inside the run of wall {wall}: {why}", floor.id);
    tally.refuse(format!("floors[{at}].inside"), reason, message);
}

/// Each `area x thickness`: 20.4125 m2 of finish 13 mm thick are 0.2653625 m3.
fn layers(floor: &Floor, at: usize, area: &Basis, laid: &mut Laid, tally: &mut Tally) {
    let Some(square) = area.work() else {
        tally.faults.push(too_large(&format!("floor {}", floor.id)));
        return;
    };
    for (index, layer) in floor.layers.iter().enumerate() {
        let field = format!("floors[{at}].layers[{index}]");
        laid.add(layer, &field, square, Length::ZERO, tally);
        let part = format!("floor {}", floor.id);
        tally.line(part, layer::name_of(layer), Unit::M2, area.clone());
    }
}

/// The area and what laps and upstands take: 20.4125 m2 and 10 % are 22.45375 m2.
fn sheet(floor: &Floor, at: usize, area: &Basis, tally: &mut Tally) {
    let Some(sheet) = &floor.sheet else {
        return;
    };
    let field = format!("floors[{at}].sheet_material");
    if material_in(&field, &sheet.material, &[Unit::M2], tally).is_none() {
        return;
    }
    let percent = sheet.lap.percent();
    let lap = Term::new(
        Joint::PlusPercent,
        percent,
        Unit::Percent,
        "laps and upstands",
        "job",
    );
    let part = format!("floor {}", floor.id);
    let item = format!("{}, laps within", sheet.material);
    let with_laps = area.carried_on(&[lap]);
    tally.line(part, item, Unit::M2, with_laps.clone());
    tally.need(&sheet.material, with_laps);
}
