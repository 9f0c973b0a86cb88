//! What a job takes of each mix: everything that is placed of it, anywhere, makes one count of batches. And where its
//! mass goes: what goes in is what stands, was pared off, wasted or is left over.

use hod_units::{Decimal, Mass, Rounding, Share, Volume};

use super::count::Ratio;
use super::tally::{Placing, Tally};
use super::works::Amounts;
use crate::basis::{Basis, Joint, Term};
use crate::fault::{Fault, too_large};
use crate::id::{Method, MixId};
use crate::library::Library;
use crate::mix::{Mix, Purpose, Recipe};
use crate::text::Text;
use crate::unit::Unit;
use crate::work::{Driver, Task};

/// All that a job takes of a mix, and how it is mixed.
#[derive(Debug, Clone, PartialEq)]
pub struct MixTakeoff {
    /// Which.
    pub mix: MixId,
    /// How it is mixed; none where nobody says.
    pub mixing: Option<Method>,
    /// What stands finished.
    pub net: Volume,
    /// What is placed: net and what is pared.
    pub placed: Volume,
    /// What is mixed, m3 as placed: placed and waste, less the parings used again.
    pub mixed: Basis,
    /// That over the yield of a batch, rounded up once.
    pub batch_count: u32,
    /// How the batches came about.
    pub basis: Basis,
    /// Where its mass goes; none where an ingredient has no density, or the yield was measured and is no balance.
    pub masses: Option<MassBalance>,
}

/// Where the dry mass of a mix goes.
///
/// ```text
/// dry_in = standing + pared + wasted + left_over
/// ```
///
/// each of the four its volume times what a placed cubic metre weighs dry: the dry mass of a batch over its yield.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct MassBalance {
    /// Dry mass of minerals and straw in all batches.
    pub dry_in: Mass,
    /// What stands.
    pub standing: Mass,
    /// What is pared off and not used again.
    pub pared: Mass,
    /// What is wasted.
    pub wasted: Mass,
    /// What is left over, since batches are whole.
    pub left_over: Mass,
    /// Water that goes in, held and poured; it all dries out again.
    pub water: Mass,
}

/// The mixes of a tally, in the order in which the job came to them. What is wrong goes to its faults.
pub(super) fn sum_up(tally: &mut Tally) -> Vec<MixTakeoff> {
    let groups = grouped(tally);
    let mut mixes = Vec::with_capacity(groups.len());
    for Group {
        mix,
        mixing,
        placings,
    } in groups
    {
        let Some(recipe) = tally.library.recipe(&mix) else {
            continue;
        };
        let reused = tally.job.parings_reused;
        match of_group(recipe, mixing, &placings, reused) {
            Some(takeoff) => {
                add_work(tally, recipe, &takeoff, &placings);
                mixes.push(takeoff);
            }
            None => tally
                .faults
                .push(too_large(&format!("what is taken of mix {mix}"))),
        }
    }
    mixes
}

struct Group {
    mix: MixId,
    mixing: Option<Method>,
    placings: Vec<Placing>,
}

fn grouped(tally: &mut Tally) -> Vec<Group> {
    let mut groups: Vec<Group> = Vec::new();
    for placing in std::mem::take(&mut tally.placings) {
        let mixing = tally.mixing(&placing.mix, placing.mixing.as_ref());
        let is_it = |group: &&mut Group| group.mix == placing.mix && group.mixing == mixing;
        match groups.iter_mut().find(is_it) {
            Some(group) => group.placings.push(placing),
            None => groups.push(Group {
                mix: placing.mix.clone(),
                mixing,
                placings: vec![placing],
            }),
        }
    }
    groups
}

fn of_group(
    recipe: &Recipe,
    mixing: Option<Method>,
    placings: &[Placing],
    reused: Share,
) -> Option<MixTakeoff> {
    let mix = recipe.mix();
    let sums = Sums::of(placings, mix.waste, reused)?;
    let mixed = mixed(&sums);
    let batch_yield = recipe.batch().yield_placed;
    let how = if mix.batch_yield_measured.is_some() {
        "measured"
    } else {
        "by mass balance"
    };
    let over = Term::new(
        Joint::Over,
        batch_yield.cubic_metres(),
        Unit::M3,
        "yield of a batch",
        format!("mixes/{}, {how}", mix.id),
    );
    let mixed_volume = mixed.work()?;
    let batch_count =
        Ratio::of(Decimal::ONE, batch_yield.cubic_metres())?.of_up_to_whole(mixed_volume)?;
    Some(MixTakeoff {
        mix: mix.id.clone(),
        mixing,
        net: sums.net,
        placed: sums.placed,
        basis: mixed.carried_on(&[over]).to("up to a whole batch"),
        masses: balance(recipe, &sums, batch_count, mixed_volume),
        mixed,
        batch_count,
    })
}

/// Volumes of a mix over all its placings, and what is wasted and pared of them.
struct Sums {
    net: Volume,
    placed: Volume,
    /// By share of waste and what is placed, each with its source.
    by_waste: Vec<(Share, Text, &'static str, Volume)>,
    /// Parings that are built in again.
    reused: Volume,
}

impl Sums {
    fn of(placings: &[Placing], waste_of_mix: Share, reused: Share) -> Option<Self> {
        let (mut net, mut placed) = (Volume::ZERO, Volume::ZERO);
        let mut by_waste: Vec<(Share, Text, &'static str, Volume)> = Vec::new();
        for placing in placings {
            net = net.checked_add(placing.net)?;
            placed = placed.checked_add(placing.placed)?;
            let (waste, source) = match &placing.waste {
                Some(waste) => waste.clone(),
                None => (waste_of_mix, Text::from(format!("mixes/{}", placing.mix))),
            };
            let is_it = |sum: &&mut (Share, Text, &str, Volume)| {
                sum.0 == waste && sum.1 == source && sum.2 == placing.label
            };
            match by_waste.iter_mut().find(is_it) {
                Some(sum) => sum.3 = sum.3.checked_add(placing.placed)?,
                None => by_waste.push((waste, source, placing.label, placing.placed)),
            }
        }
        let pared = placed.checked_sub(net)?;
        Some(Self {
            net,
            placed,
            by_waste,
            reused: pared.checked_mul(reused.fraction())?,
        })
    }

    fn wasted(&self) -> Option<Decimal> {
        self.by_waste
            .iter()
            .try_fold(Decimal::ZERO, |sum, (share, _, _, placed)| {
                sum.checked_add(placed.cubic_metres().checked_mul(share.fraction())?)
            })
    }
}

/// Placed and wasted, less the parings that are used again.
fn mixed(sums: &Sums) -> Basis {
    let mut terms = Vec::with_capacity(2 * sums.by_waste.len() + 2);
    for (share, source, label, placed) in &sums.by_waste {
        terms.push(Term::new(
            Joint::Start,
            placed.cubic_metres(),
            Unit::M3,
            *label,
            "",
        ));
        terms.push(Term::new(
            Joint::PlusPercent,
            share.percent(),
            Unit::Percent,
            "waste",
            source,
        ));
    }
    if sums.reused.is_positive() {
        let reused = sums.reused.cubic_metres();
        terms.push(Term::new(
            Joint::Less,
            reused,
            Unit::M3,
            "parings used again",
            "job",
        ));
    }
    Basis::of(terms)
}

fn balance(recipe: &Recipe, sums: &Sums, batches: u32, mixed: Decimal) -> Option<MassBalance> {
    let batch = recipe.batch();
    if recipe.mix().batch_yield_measured.is_some() {
        return None;
    }
    let dry = batch.dry_mass?.kg();
    let of = |volume: Decimal| {
        let share = volume.checked_mul(dry)?;
        Some(Mass::from_kg(
            share.checked_div(batch.yield_placed.cubic_metres())?,
        ))
    };
    let count = Decimal::from(batches);
    let made = batch.yield_placed.cubic_metres().checked_mul(count)?;
    let pared = sums
        .placed
        .checked_sub(sums.net)?
        .checked_sub(sums.reused)?;
    Some(MassBalance {
        dry_in: Mass::from_kg(dry.checked_mul(count)?),
        standing: of(sums.net.cubic_metres())?,
        pared: of(pared.cubic_metres())?,
        wasted: of(sums.wasted()?)?,
        left_over: of(made.checked_sub(mixed)?)?,
        water: Mass::from_kg(recipe.water_in_batch()?.checked_mul(count)?),
    })
}

/// The work of mixing, and of digging, screening and hauling what is dug for it.
fn add_work(tally: &mut Tally, recipe: &Recipe, takeoff: &MixTakeoff, placings: &[Placing]) {
    let batches = takeoff.batches();
    let placed = takeoff.placed.cubic_metres();
    let mut by_mix = Amounts::default()
        .with_basis(Driver::Batch, Basis::of([batches.clone()]))
        .with_basis(Driver::M3Mixed, takeoff.mixed.clone());
    let is_dug = !recipe.dug_loose().terms.is_empty();
    if is_dug {
        by_mix = by_mix
            .with_basis(Driver::M3Bank, recipe.dug_bank().times_over(&batches))
            .with_basis(Driver::M3Loose, recipe.dug_loose().times_over(&batches));
    }
    let of_mixing = by_mix.clone().and(Amounts::of_job()).with(
        Driver::M3Placed,
        placed,
        Unit::M3,
        "placed volume",
    );
    let method = takeoff.mixing.as_ref();
    let dug: &[Task] = if is_dug {
        &[Task::Dig, Task::Screen, Task::Haul]
    } else {
        &[]
    };
    for task in dug.iter().chain(&[Task::Mix]) {
        tally.work(*task, method, of_mixing.clone());
    }
    let mut tasks: Vec<Task> = placings
        .iter()
        .flat_map(|placing| placing.tasks)
        .copied()
        .collect();
    tasks.sort_unstable();
    tasks.dedup();
    for task in tasks {
        tally.work(task, method, by_mix.clone());
    }
    if is_mixed(recipe.mix()) {
        let method = tally.job.mixing.as_ref();
        tally.works.add(Task::SetUp, method, by_mix.clone());
        tally.works.add(Task::CleanUp, method, by_mix);
    }
    if takeoff.mixing.is_none() {
        tally.lack(no_mixing(&takeoff.mix));
    }
}

fn no_mixing(mix: &MixId) -> Fault {
    Fault::of_field(
        "mixing",
        "JOB_NAMES_NO_MIXING",
        format!(
            "neither the job nor mix {mix} names a method of mixing; give one that has a labour constant, such as tarp"
        ),
    )
}

/// Whether it is mixed by the batch: fills are tipped as they come, and washes stirred by the pail.
fn is_mixed(mix: &Mix) -> bool {
    !matches!(mix.purpose, Purpose::Fill | Purpose::Wash)
}

/// Batches that are mixed in all: others would tell nobody how long the crew stands at the mixing place. `None` without a
/// mix.
pub(super) fn batch_count(mixes: &[MixTakeoff], library: &Library) -> Option<u32> {
    let is_mixed = |takeoff: &&MixTakeoff| {
        let recipe = library.recipe(&takeoff.mix);
        recipe.is_some_and(|recipe| is_mixed(recipe.mix()))
    };
    let counts = mixes.iter().filter(is_mixed).map(|mix| mix.batch_count);
    // At most 100 mixes, each of which counts what a decimal could.
    (!mixes.is_empty()).then(|| counts.fold(0_u32, u32::saturating_add))
}

impl MixTakeoff {
    /// The batches, as the first term of a basis.
    pub(crate) fn batches(&self) -> Term {
        Term::new(
            Joint::Start,
            self.batch_count.into(),
            Unit::Batch,
            "batches",
            "",
        )
    }

    /// What is mixed, m3, to 1e-6; `None` on overflow.
    pub fn mixed_volume(&self) -> Option<Volume> {
        let mixed = Volume::from_cubic_metres(self.mixed.work()?);
        Some(mixed.rounded(6, Rounding::HalfAwayFromZero))
    }
}
