//! What is buried in walls as they rise: deadmen, conduit, anchors, bearings. In which lift each must be set stands on the
//! lift's card; here is what they are made of, and the work.

use hod_units::{Length, canonical};

use super::stock::material_in;
use crate::geometry::WallMeasure;
use crate::job::Buried;
use crate::takeoff::Amounts;
use crate::takeoff::tally::{Tally, drawn};
use crate::unit::Unit;
use crate::work::{Driver, Task};

pub(super) fn put_down(measures: &[WallMeasure], tally: &mut Tally) {
    let job = tally.job;
    let mut count: u64 = 0;
    for (wall, (measure, work)) in measures.iter().zip(&job.works).enumerate() {
        for (at, buried) in work.buried.iter().enumerate() {
            let field = format!("walls[{wall}].buried[{at}]");
            if !is_in(measure, buried.height) {
                refuse_outside(buried, measure, &field, tally);
                continue;
            }
            count = count.saturating_add(buried.count.into());
            let basis = drawn(buried.count.into(), Unit::Each, "buried");
            let part = format!("wall {}", measure.id);
            tally.line(part, buried.id.clone(), Unit::Each, basis.clone());
            let Some(id) = &buried.material else {
                continue;
            };
            if material_in(&format!("{field}.material"), id, &[Unit::Each], tally).is_some() {
                tally.need(id, basis);
            }
        }
    }
    if 0 < count {
        let amounts =
            Amounts::of_job().with(Driver::Piece, count.into(), Unit::Each, "buried pieces");
        tally.work(Task::Bury, job.mixing.as_ref(), amounts);
    }
}

/// Between the foot of the wall and its greatest height.
fn is_in(measure: &WallMeasure, height: Length) -> bool {
    !height.is_negative() && top_of(measure).is_some_and(|top| height <= top)
}

fn top_of(measure: &WallMeasure) -> Option<Length> {
    measure.zones.last().map(|zone| zone.to)
}

fn refuse_outside(buried: &Buried, measure: &WallMeasure, field: &str, tally: &mut Tally) {
    let top = top_of(measure).unwrap_or_default();
    tally.refuse(
        format!("{field}.height_m"),
        "BURIED_OUTSIDE_WALL",
        format!(
            "{} is to be buried at {} m in wall {}, which reaches from 0 to {} m; give a level within it",
            buried.id,
            canonical(buried.height.metres()),
            measure.id,
            canonical(top.metres())
        ),
    );
}
