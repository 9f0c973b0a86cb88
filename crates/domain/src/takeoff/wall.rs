//! A wall of a takeoff: how its net volume came about, and a card for each of its lifts. What the wall is built of is put
//! down by its system; here is only what the card tells.

use hod_units::{Decimal, Length, Rounding, Volume};

use super::count::Ratio;
use super::tally::Tally;
use crate::basis::{Basis, Joint, Term};
use crate::fault::too_large;
use crate::geometry::{Slice, WallMeasure, Working};
use crate::job::{Build, WallSystem};
use crate::unit::Unit;

/// A wall, measured.
#[derive(Debug, Clone, PartialEq)]
pub struct WallTakeoff {
    /// Its sizes.
    pub measure: WallMeasure,
    /// A card for each lift of the measure.
    pub lifts: Vec<LiftCard>,
}

impl WallTakeoff {
    /// How the net volume came about. Told when it is asked for: it follows from the measure, and most walls of an
    /// estimate are never asked.
    pub fn basis(&self) -> Basis {
        net_basis(&self.measure)
    }
}

/// What a lift's card tells besides its sizes.
#[derive(Debug, Clone, PartialEq)]
pub struct LiftCard {
    /// Which of the job's builds it is of.
    pub build: usize,
    /// Batches that it takes alone, waste within, rounded up; none without a mix. They do not add up to the job's.
    pub batches: Option<u32>,
    /// How high it stands loose before it is rammed.
    pub loose_height: Option<Length>,
    /// Which of the wall's buried things are buried in it, by their place.
    pub buried: Vec<usize>,
}

/// The walls of a job; what is wrong goes to the tally's faults.
pub(super) fn takeoffs(measures: Vec<WallMeasure>, tally: &mut Tally) -> Vec<WallTakeoff> {
    let makings: Vec<Option<Making>> = tally
        .job
        .builds
        .iter()
        .map(|build| Making::of(build, tally))
        .collect();
    let mut walls = Vec::with_capacity(measures.len());
    for (index, measure) in measures.into_iter().enumerate() {
        match cards(index, &measure, &makings, tally) {
            Some(lifts) => walls.push(WallTakeoff { measure, lifts }),
            None => tally
                .faults
                .push(too_large(&format!("the batches of wall {}", measure.id))),
        }
    }
    walls
}

/// The cards of a wall's lifts; `None` on overflow.
fn cards(
    wall: usize,
    measure: &WallMeasure,
    makings: &[Option<Making>],
    tally: &Tally,
) -> Option<Vec<LiftCard>> {
    let work = tally.job.works.get(wall);
    let buried = work.map_or(&[][..], |work| &work.buried);
    let mut cards = Vec::with_capacity(measure.lifts.len());
    for lift in &measure.lifts {
        let build = work.map_or(0, |work| match lift.zone {
            0 => work.build,
            zone => work
                .above
                .get(zone as usize - 1)
                .copied()
                .unwrap_or(work.build),
        });
        let making = makings.get(build).and_then(Option::as_ref);
        let batches = match making {
            Some(making) => Some(making.count(lift.volume)?),
            None => None,
        };
        let loose = making.and_then(|making| making.loose_to_placed);
        let loose_height =
            loose.and_then(|ratio| lift.to.checked_sub(lift.from)?.checked_mul(ratio));
        let is_last = lift.number as usize == measure.lifts.len();
        let is_in = |height: Length| {
            lift.from <= height && (height < lift.to || is_last && height == lift.to)
        };
        // Nearly no wall has any, and a job has tens of thousands of lifts.
        let buried = if buried.is_empty() {
            Vec::new()
        } else {
            let places = buried.iter().enumerate();
            let is_here = places.filter(|(_, buried)| is_in(buried.height));
            is_here.map(|(index, _)| index).collect()
        };
        cards.push(LiftCard {
            build,
            batches,
            loose_height,
            buried,
        });
    }
    Some(cards)
}

/// How placed volume of a build becomes batches.
struct Making {
    batches_per_m3: Ratio,
    /// Loose height over placed, for what is rammed.
    loose_to_placed: Option<Decimal>,
}

impl Making {
    /// The job's own waste, or the mix's when the job says nothing; none for a build whose volume is not that of a mix.
    fn of(build: &Build, tally: &Tally) -> Option<Self> {
        let is_of_mix = !matches!(build.system, WallSystem::Adobe | WallSystem::StrawBale);
        let recipe = tally
            .library
            .recipe(build.mix.as_ref().filter(|_| is_of_mix)?)?;
        let waste = tally.job.waste.unwrap_or(recipe.mix().waste);
        // Of a wattle's volume, staves and rods are not of the mix.
        let is_woven = build.system == WallSystem::WattleAndDaub;
        let woven = Some(build.wattle.fraction()).filter(|_| is_woven);
        let of_mix = Decimal::ONE.checked_sub(woven.unwrap_or_default())?;
        let earth = waste
            .fraction()
            .checked_add(Decimal::ONE)?
            .checked_mul(of_mix)?;
        let batch_yield = recipe.batch().yield_placed.cubic_metres();
        let is_rammed = build.system == WallSystem::RammedEarth;
        Some(Self {
            batches_per_m3: Ratio::of(earth, batch_yield)?,
            loose_to_placed: recipe.loose_to_placed().filter(|_| is_rammed),
        })
    }

    /// placed x (1 + waste) / yield, up to a whole batch. `None` on overflow.
    fn count(&self, placed: Volume) -> Option<u32> {
        self.batches_per_m3.of_up_to_whole(placed.cubic_metres())
    }
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
