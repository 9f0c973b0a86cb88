//! The takeoff: what the walls of a job measure, and how many batches of the mix that takes. No money.
//! The sizes come from `geometry`, the yield of a batch from the recipe; what is ordered and paid is for the estimate.

use hod_units::{Area, Decimal, Length, Rounding, Share, Volume};

use crate::basis::{Basis, Joint, Term};
use crate::fault::{Fault, too_large};
use crate::geometry::{self, Slice, WallDrawing, WallMeasure, Working};
use crate::job::Job;
use crate::mix::Recipe;
use crate::text::Text;
use crate::unit::Unit;

/// So many lifts are measured at once: ten to each of the most walls that a job may have.
const LIFTS_MAX: u64 = 50_000;

/// Measured quantities.
#[derive(Debug, Clone, PartialEq)]
pub struct Takeoff {
    /// The walls in the order of the job.
    pub walls: Vec<WallTakeoff>,
    /// The sums over all walls.
    pub totals: TakeoffTotals,
    /// Batches for the job; `None` without a recipe.
    pub batches: Option<BatchCount>,
}

/// A wall, measured.
#[derive(Debug, Clone, PartialEq)]
pub struct WallTakeoff {
    /// Its sizes.
    pub measure: WallMeasure,
    /// For each lift of the measure the batches that it takes alone, waste within, rounded up for its card; empty
    /// without a recipe. They do not add up to the job's.
    pub lift_batches: Vec<u32>,
    /// How the net volume came about.
    pub basis: Basis,
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

/// Batches for a job: placed volume and waste over the yield, rounded up once.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct BatchCount {
    /// How many.
    pub count: u32,
    /// How that came about.
    pub basis: Basis,
    /// What is mixed in all, in m3 as placed: placed volume and waste.
    pub mixed: Basis,
}

/// Measures a job; with a recipe, counts its batches too. Refused with every fault of the walls.
pub fn measure(job: &Job, recipe: Option<&Recipe>) -> Result<Takeoff, Vec<Fault>> {
    if job.walls.is_empty() {
        let message = "the job has no walls; draw at least one";
        return Err(vec![Fault::of_field("walls", "JOB_HAS_NO_WALLS", message)]);
    }
    if let Some(fault) = too_many_lifts(&job.walls) {
        return Err(vec![fault]);
    }
    let measures = geometry::measure(&job.walls)
        .map_err(|faults| faults.iter().map(Fault::from).collect::<Vec<_>>())?;
    let overflow = || vec![too_large("the takeoff of the job")];
    let totals = TakeoffTotals::of(&measures).ok_or_else(overflow)?;
    let making = match recipe {
        Some(recipe) => Some(Making::of(job, recipe).ok_or_else(overflow)?),
        None => None,
    };
    let walls = measures
        .into_iter()
        .map(|measure| WallTakeoff::of(measure, making.as_ref()))
        .collect::<Option<Vec<_>>>()
        .ok_or_else(overflow)?;
    let batches = match &making {
        Some(making) => Some(making.batches(totals.placed).ok_or_else(overflow)?),
        None => None,
    };
    Ok(Takeoff {
        walls,
        totals,
        batches,
    })
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

impl WallTakeoff {
    fn of(measure: WallMeasure, making: Option<&Making>) -> Option<Self> {
        let lift_batches = match making {
            Some(making) => measure
                .lifts
                .iter()
                .map(|lift| making.count(lift.volume))
                .collect::<Option<_>>()?,
            None => Vec::new(),
        };
        let basis = net_basis(&measure);
        Some(Self {
            measure,
            lift_batches,
            basis,
        })
    }
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

/// How placed volume becomes batches in a job.
struct Making {
    waste: Share,
    waste_source: Text,
    yield_placed: Volume,
    yield_source: Text,
    batches_per_m3: Ratio,
}

impl Making {
    /// The job's own waste, or the mix's when the job says nothing. `None` on overflow.
    fn of(job: &Job, recipe: &Recipe) -> Option<Self> {
        let mix = recipe.mix();
        let yield_placed = recipe.batch().yield_placed;
        let how = if mix.batch_yield_measured.is_some() {
            "measured"
        } else {
            "by mass balance"
        };
        let (waste, waste_source) = match job.waste {
            Some(waste) => (waste, Text::from("job")),
            None => (mix.waste, Text::from(format!("mixes/{}", mix.id))),
        };
        let earth = waste.fraction().checked_add(Decimal::ONE)?;
        Some(Self {
            waste,
            waste_source,
            yield_placed,
            yield_source: Text::from(format!("mixes/{}, {how}", mix.id)),
            batches_per_m3: Ratio::of(earth, yield_placed.cubic_metres())?,
        })
    }

    /// placed x (1 + waste) / yield, up to a whole batch. `None` on overflow.
    fn count(&self, placed: Volume) -> Option<u32> {
        self.batches_per_m3.of_up_to_whole(placed.cubic_metres())
    }

    /// The same for the whole job, with its basis.
    fn batches(&self, placed: Volume) -> Option<BatchCount> {
        let placed_volume = placed.cubic_metres();
        let mixed = Basis::of([
            Term::new(Joint::Start, placed_volume, Unit::M3, "placed volume", ""),
            Term::new(
                Joint::PlusPercent,
                self.waste.percent(),
                Unit::Percent,
                "waste",
                &self.waste_source,
            ),
        ]);
        let over = Term::new(
            Joint::Over,
            self.yield_placed.cubic_metres(),
            Unit::M3,
            "yield of a batch",
            &self.yield_source,
        );
        Some(BatchCount {
            count: self.count(placed)?,
            basis: mixed.carried_on(&[over]).to("up to a whole batch"),
            mixed,
        })
    }
}

/// One decimal over another, as whole numbers: what it makes of a third is exact, so that a count that comes out
/// whole is never pushed up by the last digit of a division. A job has a lift or so to every running metre, which
/// makes this the busiest sum of a takeoff.
struct Ratio {
    over: u128,
    under: u128,
}

/// Ten to the power of every scale that a decimal can have.
const POWERS_OF_TEN: [u128; 29] = {
    let mut powers = [1; 29];
    let mut at = 1;
    while at < powers.len() {
        powers[at] = powers[at - 1] * 10;
        at += 1;
    }
    powers
};

impl Ratio {
    /// `None` when one is negative, the second is zero, or the whole numbers grow too large.
    fn of(over: Decimal, under: Decimal) -> Option<Self> {
        let (over, under) = (over.normalize(), under.normalize());
        let ratio = Self {
            over: whole(over)?.checked_mul(power_of_ten(under.scale())?)?,
            under: whole(under)?.checked_mul(power_of_ten(over.scale())?)?,
        };
        (0 < ratio.under).then_some(ratio)
    }

    /// So much of `value`, up to a whole number; `None` for a negative one, or on overflow.
    fn of_up_to_whole(&self, value: Decimal) -> Option<u32> {
        let over = whole(value)?.checked_mul(self.over)?;
        let under = power_of_ten(value.scale())?.checked_mul(self.under)?;
        let below = over.checked_div(under)?;
        let is_enough = over == below * under;
        u32::try_from(if is_enough { below } else { below + 1 }).ok()
    }
}

/// The digits of a decimal without its point; `None` for a negative one.
fn whole(value: Decimal) -> Option<u128> {
    u128::try_from(value.mantissa()).ok()
}

fn power_of_ten(scale: u32) -> Option<u128> {
    POWERS_OF_TEN.get(scale as usize).copied()
}

/// Gross from its working where that comes out at the gross as measured, else from the gross itself; less what
/// displaces earth.
fn net_basis(wall: &WallMeasure) -> Basis {
    let drawn = |joint, value, unit, label: &'static str| Term::new(joint, value, unit, label, "");
    let is_told = wall.working.volume().map(to_step) == Some(wall.gross);
    let mut terms = match &wall.working {
        Working::Product {
            length,
            is_mitred,
            mean_height,
            mean_thickness,
        } if is_told => vec![
            drawn(
                Joint::Start,
                length.metres(),
                Unit::M,
                if *is_mitred {
                    "mean length between corners"
                } else {
                    "length"
                },
            ),
            drawn(Joint::Times, mean_height.metres(), Unit::M, "mean height"),
            drawn(
                Joint::Times,
                mean_thickness.metres(),
                Unit::M,
                "mean thickness",
            ),
        ],
        Working::Slices(slices) if is_told => slices.iter().flat_map(slice_terms).collect(),
        _ => vec![drawn(
            Joint::Start,
            wall.gross.cubic_metres(),
            Unit::M3,
            "gross volume as measured",
        )],
    };
    if !wall.displaced.is_zero() {
        let displaced = wall.displaced.cubic_metres();
        terms.push(drawn(
            Joint::Less,
            displaced,
            Unit::M3,
            "openings, niches and inclusions",
        ));
    }
    Basis::of(terms).to(if is_told { "to 0.000001 m3" } else { "" })
}

/// One level slice of a wall: its height times its mean plan area.
fn slice_terms(slice: &Slice) -> [Term; 3] {
    let drawn = |joint, value, unit, label: &'static str| Term::new(joint, value, unit, label, "");
    [
        drawn(Joint::Start, slice.to.metres(), Unit::M, "upper level"),
        drawn(Joint::Less, slice.from.metres(), Unit::M, "lower level"),
        drawn(
            Joint::Times,
            slice.mean_area.square_metres(),
            Unit::M2,
            "mean plan area",
        ),
    ]
}

/// To the step at which geometry hands out volumes.
fn to_step(volume: Volume) -> Volume {
    volume.rounded(6, Rounding::HalfAwayFromZero)
}
