//! Rammed earth: damp earth filled loose between forms and rammed, lift upon lift, with no wait for drying.
//!
//! Earth comes of the mix as everywhere: its dry density in place is that of the rammed wall, so that a batch yields less
//! than it fills loose. How high a lift stands loose is on its card (`takeoff/wall`).

use super::{Built, BuiltSums, form, mixing_of, place_earth};
use crate::takeoff::tally::{Tally, drawn};
use crate::unit::Unit;
use crate::work::Task;

/// Puts down rammed earth: earth, form and lifts.
///
/// ```text
/// h_loose = h_rammed x V_loose / V_placed
/// ```
///
/// with the loose volume of a batch and its yield. 150 mm filled loose for 100 mm rammed is a ratio of 1.5, and 1.5 to
/// 1.75 is usual (from memory). An article that has 200 mm rammed to half, a ratio of 2.0 (brighthub.com, "green living",
/// article 62599), stands alone; the ratio here is never assumed, it follows from the densities of the mix.
pub(super) fn put_down(built: &Built, sums: &BuiltSums, tally: &mut Tally) {
    let method = mixing_of(built.build, tally);
    place_earth(built.build, sums, &[Task::Ram], tally);
    form::put_down(built, sums, method.as_ref(), tally);
    for stretch in &built.stretches {
        let lifts = drawn(stretch.zone.lifts.len().into(), Unit::Lift, "lifts");
        tally.line(stretch.part(), "lifts to ram", Unit::Lift, lifts);
    }
    tally.work(Task::Ram, method.as_ref(), sums.amounts());
}
