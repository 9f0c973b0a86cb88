//! The takeoff: what a job measures, part by part; how many batches of each mix that takes; what is to be got; and what
//! there is to do. No money.
//!
//! The sizes of walls come from [`geometry`], what they are built of from [`system`]. Everything that a part
//! comes to is put down in a tally (`tally`), which is summed up over the whole job: mixes into batches (`mixes`), all that
//! is bought or dug into orders (`orders`), all that is done into works (`works`). Prices and hours are for the estimate.

use hod_units::{Area, Decimal, Length, Volume};

use crate::basis::Basis;
use crate::fault::{Fault, too_large};
use crate::geometry::{self, WallDrawing, WallMeasure};
use crate::job::Job;
use crate::library::Library;
use crate::system;
use crate::text::Text;
use crate::unit::Unit;

mod cautions;
mod commerce;
mod count;
mod mixes;
mod orders;
mod payment;
pub(crate) mod tally;
mod wall;
mod works;

pub use mixes::{MassBalance, MixTakeoff};
pub use orders::Order;
pub use wall::{LiftCard, WallTakeoff};
pub use works::{Amounts, Work, Works};

use tally::Tally;

/// So many lifts are measured at once: ten to each of the most walls that a job may have.
const LIFTS_MAX: u64 = 50_000;

/// Measured quantities.
#[derive(Debug, Clone, PartialEq)]
pub struct Takeoff {
    /// The walls in the order of the job.
    pub walls: Vec<WallTakeoff>,
    /// The sums over all walls.
    pub totals: TakeoffTotals,
    /// What is taken of each mix.
    pub mixes: Vec<MixTakeoff>,
    /// Batches of all mixes, fills and washes left out; `None` when the job names no mix.
    pub batch_count: Option<u32>,
    /// What was measured besides the walls themselves, part by part.
    pub lines: Vec<TakeoffLine>,
    /// What is to be got.
    pub orders: Vec<Order>,
    /// Quantities for payment.
    pub payment: Vec<PaymentLine>,
    /// What whoever reads the figures must know, the gravest first.
    pub cautions: Vec<Caution>,
    /// What there is to do.
    pub works: Works,
    /// What the job does not name and an estimate would need.
    pub lacks: Vec<Fault>,
}

/// A measured quantity of one part of the building.
#[derive(Debug, Clone, PartialEq)]
pub struct TakeoffLine {
    /// Which part: `wall south`, `floor hall`.
    pub part: Text,
    /// What.
    pub item: Text,
    /// How much.
    pub quantity: Decimal,
    /// What it is counted in.
    pub unit: Unit,
    /// How it came about.
    pub basis: Basis,
}

/// A quantity by rules of measurement. It orders nothing.
#[derive(Debug, Clone, PartialEq)]
pub struct PaymentLine {
    /// Which part.
    pub part: Text,
    /// What.
    pub item: Text,
    /// How much by the rules, to 0.01.
    pub quantity: Decimal,
    /// What it is counted in.
    pub unit: Unit,
    /// How it came about.
    pub basis: Basis,
    /// The true net quantity, to 0.01.
    pub net: Decimal,
}

/// What whoever reads the figures must know.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Caution {
    /// Which, in capitals.
    pub reason: &'static str,
    /// What it is about; empty for the whole job.
    pub subject: Text,
    /// In words.
    pub description: Text,
}

/// The sums over all walls, each as on a [`WallMeasure`].
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct TakeoffTotals {
    /// With nothing taken out.
    pub gross: Volume,
    /// Openings, niches and inclusions.
    pub displaced: Volume,
    /// Finished.
    pub net: Volume,
    /// Placed, before it is pared.
    pub placed: Volume,
    /// Inner faces, net of openings.
    pub inner_face: Area,
    /// Outer faces likewise.
    pub outer_face: Area,
    /// Jambs, heads and sills.
    pub reveal: Area,
    /// Of the centre lines.
    pub length: Length,
    /// At the base.
    pub plan_area: Area,
}

/// Measures a job with what it draws on. Refused with every fault of the walls and of what is built with.
pub fn measure(job: &Job, library: &Library) -> Result<Takeoff, Vec<Fault>> {
    let measures = walls(&job.walls).map_err(|mut faults| {
        faults.extend(job.commerce_faults());
        faults
    })?;
    let overflow = || vec![too_large("the takeoff of the job")];
    let totals = TakeoffTotals::of(&measures).ok_or_else(overflow)?;
    let mut tally = Tally::of(job, library);
    system::put_down(&measures, &totals, &mut tally);
    let mixes = mixes::sum_up(&mut tally);
    system::ground::put_down(&mixes, &mut tally);
    let orders = orders::sum_up(&mut tally, &mixes);
    let payment = payment::sum_up(&measures, &mut tally);
    commerce::put_down(&orders, &mut tally);
    let cautions = cautions::sum_up(&mut tally, &mixes, &orders);
    let walls = wall::takeoffs(measures, &mut tally);
    if !tally.faults.is_empty() {
        return Err(tally.faults);
    }
    let batch_count = mixes::batch_count(&mixes, library);
    Ok(Takeoff {
        walls,
        totals,
        mixes,
        batch_count,
        lines: tally.lines,
        orders,
        payment,
        cautions,
        works: tally.works,
        lacks: tally.lacks,
    })
}

/// Measures walls alone, as a job is looked at before anything that it draws on is known. Refused with every fault of
/// theirs.
pub fn walls(walls: &[WallDrawing]) -> Result<Vec<WallMeasure>, Vec<Fault>> {
    if walls.is_empty() {
        let message = "the job has no walls; draw at least one";
        return Err(vec![Fault::of_field("walls", "JOB_HAS_NO_WALLS", message)]);
    }
    if let Some(fault) = too_many_lifts(walls) {
        return Err(vec![fault]);
    }
    geometry::measure(walls).map_err(|faults| faults.iter().map(Fault::from).collect())
}

/// A job that would fill the memory with lifts before anybody could read them.
fn too_many_lifts(walls: &[WallDrawing]) -> Option<Fault> {
    let lifts = walls
        .iter()
        .filter_map(WallDrawing::lifts_at_most)
        .fold(0_u64, u64::saturating_add);
    (LIFTS_MAX < lifts).then(|| {
        Fault::of_field(
            "walls",
            "JOB_HAS_TOO_MANY_LIFTS",
            format!(
                "the job comes to {lifts} lifts, and at most {LIFTS_MAX} are measured at once; raise lift_height_m, or \
                 take fewer walls to a job"
            ),
        )
    })
}

impl TakeoffTotals {
    /// `None` on overflow.
    fn of(measures: &[WallMeasure]) -> Option<Self> {
        measures.iter().try_fold(Self::default(), |sum, wall| {
            Some(Self {
                gross: sum.gross.checked_add(wall.gross)?,
                displaced: sum.displaced.checked_add(wall.displaced)?,
                net: sum.net.checked_add(wall.net)?,
                placed: sum.placed.checked_add(wall.placed)?,
                inner_face: sum.inner_face.checked_add(wall.inner_face)?,
                outer_face: sum.outer_face.checked_add(wall.outer_face)?,
                reveal: sum.reveal.checked_add(wall.reveal)?,
                length: sum.length.checked_add(wall.length)?,
                plan_area: sum.plan_area.checked_add(wall.plan_area)?,
            })
        })
    }
}
