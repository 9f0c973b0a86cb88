//! Takeoffs: measured walls and their sums.

use hod_domain::geometry::Lift;
use hod_domain::takeoff::{Takeoff, TakeoffTotals, WallTakeoff};
use hod_units::{Area, Length, Volume, canonical};
use hod_wire::v1 as wire;

use super::basis::basis;

/// A takeoff, its walls in the order of the job.
pub fn takeoff(takeoff: &Takeoff) -> wire::Takeoff {
    let batches = takeoff.batches.as_ref();
    wire::Takeoff {
        walls: takeoff.walls.iter().map(wall).collect(),
        totals: Some(totals(
            &takeoff.totals,
            batches.map(|batches| batches.count),
        )),
        batch_basis: batches.map(|batches| basis(&batches.basis)),
    }
}

/// The sums over all walls.
pub fn totals(totals: &TakeoffTotals, batch_count: Option<u32>) -> wire::TakeoffTotals {
    wire::TakeoffTotals {
        gross_volume_m3: volume(totals.gross),
        opening_volume_m3: volume(totals.displaced),
        net_volume_m3: volume(totals.net),
        placed_volume_m3: volume(totals.placed),
        inner_face_m2: area(totals.inner_face),
        outer_face_m2: area(totals.outer_face),
        reveal_m2: area(totals.reveal),
        length_m: length(totals.length),
        plan_area_m2: area(totals.plan_area),
        batch_count: batch_count.map(count),
    }
}

fn wall(wall: &WallTakeoff) -> wire::WallTakeoff {
    let measure = &wall.measure;
    wire::WallTakeoff {
        id: measure.id.clone(),
        gross_volume_m3: volume(measure.gross),
        opening_volume_m3: volume(measure.displaced),
        net_volume_m3: volume(measure.net),
        placed_volume_m3: volume(measure.placed),
        inner_face_m2: area(measure.inner_face),
        outer_face_m2: area(measure.outer_face),
        reveal_m2: area(measure.reveal),
        lifts: lifts(&measure.lifts, &wall.lift_batches),
        length_m: length(measure.length),
        plan_area_m2: area(measure.plan_area),
        basis: Some(basis(&wall.basis)),
    }
}

/// The lifts, each with the batches that it takes alone where a recipe is known.
fn lifts(lifts: &[Lift], batches: &[u32]) -> Vec<wire::Lift> {
    let batches = batches
        .iter()
        .copied()
        .map(Some)
        .chain(std::iter::repeat(None));
    lifts
        .iter()
        .zip(batches)
        .map(|(lift, batches)| wire::Lift {
            number: count(lift.number),
            from_m: length(lift.from),
            to_m: length(lift.to),
            volume_m3: volume(lift.volume),
            batch_count: batches.map(count),
        })
        .collect()
}

fn volume(volume: Volume) -> String {
    canonical(volume.cubic_metres())
}

fn area(area: Area) -> String {
    canonical(area.square_metres())
}

fn length(length: Length) -> String {
    canonical(length.metres())
}

/// A count. Two thousand million batches or lifts are more than the checked sizes of a job can come to.
pub fn count(count: u32) -> i32 {
    i32::try_from(count).unwrap_or(i32::MAX)
}
