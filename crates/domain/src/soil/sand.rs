//! How much sand brings a soil to a clay that is aimed at, and a set of trial mixes around it. The trial decides, not the
//! formula: shares say nothing of how a clay shrinks, so every proposal is a mix to be made and tested.

use hod_units::{Decimal, Rounding, Share, canonical, round};
use rust_decimal::dec;

use crate::basis::{Basis, Joint, Term};
use crate::fault::{Fault, too_large};
use crate::material::Material;
use crate::text::Text;
use crate::unit::Unit;

/// Buckets of soil in a trial, at the most.
const SOIL_BUCKETS_MAX: u32 = 4;

/// Whole and half buckets can be counted.
const HALVES: Decimal = dec!(2);

/// Buckets that come this near to the clay aimed at, percentage points, are near enough: no jar and no bucket tells finer
/// (common practice, no source).
const NEAR_ENOUGH: Decimal = dec!(0.5);

/// What the trials are to be.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Aim {
    /// Clay aimed at, of the dry mineral mass.
    pub clay: Share,
    /// Clay from one trial to the next.
    pub step: Share,
    /// Trials on either side.
    pub step_count: u32,
}

/// A trial mix to be made.
#[derive(Debug, Clone, PartialEq)]
pub struct ProposedMix {
    /// Clay of its dry mineral mass, to 0.1 %; the soil's own where no sand is wanted.
    pub clay: Share,
    /// Sand to one of soil by dry mass, to 0.001.
    pub sand_by_mass: Decimal,
    /// Parts of sand to one of soil by loose volume, damp as they are measured, to 0.01.
    pub sand_parts: Decimal,
    /// Whole buckets of soil.
    pub soil_buckets: Decimal,
    /// Whole and half buckets of sand; zero for none.
    pub sand_buckets: Decimal,
    /// Clay that those buckets make, to 0.1 %.
    pub buckets_clay: Share,
    /// How the parts came about; without terms where no sand is wanted.
    pub basis: Basis,
}

/// Trial mixes to be made.
#[derive(Debug, Clone, PartialEq)]
pub struct Proposal {
    /// From the least clay to the most.
    pub mixes: Vec<ProposedMix>,
    /// What must be kept in mind.
    pub notes: Vec<String>,
}

/// Trial mixes of a soil and a sand around a clay that is aimed at; refused with every fault there is.
///
/// By dry mass `sand / soil = (c_soil - c_aim) / (c_aim - c_sand)`, since `c_aim (soil + sand) = c_soil soil + c_sand sand`.
/// By volume as measured each is divided by its loose dry density and multiplied by 1 + its bulking: sand on a damp heap
/// takes more room. Never below nothing: a soil that has no more clay than is aimed at is tried alone, and a note says so.
///
/// Builders use a soil of about 35 % clay with about one part of sand (read at
/// `https://www.deatech.com/pipermail/coblist/2003/006514.html`), which makes 17.5 %: (35 - 17.5) / (17.5 - 0) = 1.
pub fn propose(
    soil_clay: Share,
    soil_source: &str,
    soil: &Material,
    sand: &Material,
    aim: Aim,
) -> Result<Proposal, Vec<Fault>> {
    let faults = faults(soil, sand, aim);
    let (Some(soil_room), Some(sand_room), true) = (room(soil), room(sand), faults.is_empty())
    else {
        return Err(faults);
    };
    let blend = Blend {
        soil_clay,
        soil_source: Text::from(soil_source.to_owned()),
        soil,
        sand,
        rooms: [soil_room, sand_room],
        near_enough: near_enough(aim.step),
    };
    let overflow = || vec![too_large("the sand")];
    let clays = aim.clays().ok_or_else(overflow)?;
    let (lean, fat): (Vec<Share>, Vec<Share>) = clays.iter().partition(|clay| **clay < soil_clay);
    let (thin, lean): (Vec<Share>, Vec<Share>) = lean.iter().partition(|clay| **clay <= sand.clay);
    let mixes: Option<Vec<ProposedMix>> = lean.iter().map(|clay| blend.to(*clay)).collect();
    let mut mixes = mixes.ok_or_else(overflow)?;
    if !fat.is_empty() {
        mixes.push(blend.alone().ok_or_else(overflow)?);
    }
    Ok(Proposal {
        mixes,
        notes: blend.notes(aim, thin.len(), fat.len()),
    })
}

/// Everything that stands in the way of reckoning.
fn faults(soil: &Material, sand: &Material, aim: Aim) -> Vec<Fault> {
    let mut faults = Vec::new();
    for (field, material) in [("soil_material", soil), ("sand_material", sand)] {
        if room(material).is_none() {
            faults.push(Fault::of_field(
                field,
                "DENSITY_LOOSE_MISSING",
                format!(
                    "{} has no loose density, so its mass cannot be told in buckets; weigh a bucket of it dry and give \
                     density_loose_kg_m3",
                    material.id
                ),
            ));
        }
    }
    if soil.id == sand.id {
        faults.push(Fault::of_field(
            "sand_material",
            "SAND_IS_THE_SOIL",
            format!(
                "{} is given as the soil and as the sand; name the sand that is to be added",
                sand.id
            ),
        ));
    }
    if aim.clay <= sand.clay {
        faults.push(Fault::of_field(
            "target_clay_percent",
            "TARGET_NOT_ABOVE_SAND",
            format!(
                "the target is {} clay and {} itself has {}; no amount of it brings a soil there: aim higher, or take a \
                 cleaner sand",
                aim.clay, sand.id, sand.clay
            ),
        ));
    }
    faults
}

/// What a kilogram of dry mass takes up loose as it is measured, m3: `(1 + bulking) / loose dry density`.
fn room(material: &Material) -> Option<Decimal> {
    let density = material.density_loose?.kg_per_cubic_metre();
    let whole = material.bulking.fraction().checked_add(Decimal::ONE)?;
    whole
        .checked_div(density)
        .filter(|room| Decimal::ZERO < *room)
}

/// A quarter of a step at most, or two trials would be the same buckets.
fn near_enough(step: Share) -> Decimal {
    step.percent().saturating_mul(dec!(0.25)).min(NEAR_ENOUGH)
}

impl Aim {
    /// The clays to be tried, from the least: the one aimed at, and so many steps to either side that stay above nothing.
    fn clays(&self) -> Option<Vec<Share>> {
        let count = i64::from(self.step_count);
        let clay = |at: i64| {
            let off = self.step.checked_mul(at.into())?;
            self.clay.checked_add(off)
        };
        let clays: Option<Vec<Share>> = (-count..=count).map(clay).collect();
        Some(
            clays?
                .into_iter()
                .filter(|clay| clay.is_positive() && *clay < Share::WHOLE)
                .collect(),
        )
    }
}

/// A soil and a sand, both weighed.
struct Blend<'a> {
    soil_clay: Share,
    soil_source: Text,
    soil: &'a Material,
    sand: &'a Material,
    /// What a kilogram of soil and of sand takes up, m3.
    rooms: [Decimal; 2],
    near_enough: Decimal,
}

impl Blend<'_> {
    /// The mix of a clay between that of the sand and that of the soil.
    fn to(&self, clay: Share) -> Option<ProposedMix> {
        let by_mass = self.by_mass(clay)?;
        let basis = by_mass
            .carried_on(&self.to_parts())
            .to("to 0.01 parts of sand to one of soil");
        let parts = basis.work()?;
        let (soil_buckets, sand_buckets) = self.buckets(clay, parts)?;
        Some(ProposedMix {
            clay: tenth(clay),
            sand_by_mass: round(by_mass.work()?, 3, Rounding::HalfAwayFromZero),
            sand_parts: round(parts, 2, Rounding::HalfAwayFromZero),
            soil_buckets,
            sand_buckets,
            buckets_clay: tenth(self.clay_of(soil_buckets, sand_buckets)?),
            basis,
        })
    }

    /// The soil as it is.
    fn alone(&self) -> Option<ProposedMix> {
        Some(ProposedMix {
            clay: tenth(self.soil_clay),
            sand_by_mass: Decimal::ZERO,
            sand_parts: Decimal::ZERO,
            soil_buckets: Decimal::ONE,
            sand_buckets: Decimal::ZERO,
            buckets_clay: tenth(self.soil_clay),
            basis: Basis::default(),
        })
    }

    /// Sand to one of soil by dry mass.
    fn by_mass(&self, clay: Share) -> Option<Basis> {
        let above_sand = clay.checked_sub(self.sand.clay)?;
        let percent = |joint, share: Share, label: &'static str, source: Text| {
            Term::new(joint, share.percent(), Unit::Percent, label, source)
        };
        let of_sand = Text::from(format!("materials/{}", self.sand.id));
        Some(Basis::of([
            percent(
                Joint::Start,
                self.soil_clay,
                "clay of the soil",
                self.soil_source.clone(),
            ),
            percent(
                Joint::Less,
                clay,
                "clay of the mix",
                "the trial's aim".into(),
            ),
            percent(
                Joint::Over,
                above_sand,
                "clay of the mix less that of the sand",
                of_sand,
            ),
        ]))
    }

    /// From mass to parts by volume as measured: x soil's loose density / (1 + its bulking), and the sand's the other way.
    fn to_parts(&self) -> Vec<Term> {
        let (soil, sand) = (self.soil, self.sand);
        let mut terms = Vec::new();
        let mut both = |material: &Material, density: Joint, bulking: Joint| {
            let source = Text::from(format!("materials/{}", material.id));
            if let Some(figure) = material.density_loose {
                let figure = figure.kg_per_cubic_metre();
                terms.push(Term::new(
                    density,
                    figure,
                    Unit::KgPerM3,
                    "loose dry density",
                    &source,
                ));
            }
            if !material.bulking.is_zero() {
                let whole = material.bulking.fraction().saturating_add(Decimal::ONE);
                terms.push(Term::new(
                    bulking,
                    whole,
                    Unit::Number,
                    "1 + bulking",
                    &source,
                ));
            }
        };
        both(soil, Joint::Times, Joint::Over);
        both(sand, Joint::Over, Joint::Times);
        terms
    }

    /// The fewest buckets, soil in whole ones and sand in halves, that make a clay near enough; else the nearest.
    fn buckets(&self, clay: Share, parts: Decimal) -> Option<(Decimal, Decimal)> {
        let mut nearest: Option<(Decimal, (Decimal, Decimal))> = None;
        for soil in (1..=SOIL_BUCKETS_MAX).map(Decimal::from) {
            let halves = parts.checked_mul(soil)?.checked_mul(HALVES)?;
            let sand = round(halves, 0, Rounding::HalfAwayFromZero).checked_div(HALVES)?;
            let off = self.clay_of(soil, sand)?.checked_sub(clay)?.percent().abs();
            if off <= self.near_enough {
                return Some((soil, sand));
            }
            if nearest.is_none_or(|(least, _)| off < least) {
                nearest = Some((off, (soil, sand)));
            }
        }
        nearest.map(|(_, buckets)| buckets)
    }

    /// Clay that so many buckets make: each kind's buckets over the room of a kilogram are its dry mass.
    fn clay_of(&self, soil_buckets: Decimal, sand_buckets: Decimal) -> Option<Share> {
        let [soil_room, sand_room] = self.rooms;
        let soil = soil_buckets.checked_div(soil_room)?;
        let sand = sand_buckets.checked_div(sand_room)?;
        let of_soil = self.soil_clay.checked_mul(soil)?;
        let of_sand = self.sand.clay.checked_mul(sand)?;
        of_soil
            .checked_add(of_sand)?
            .checked_div(soil.checked_add(sand)?)
    }

    /// What must be kept in mind: trials that fell away, and why.
    fn notes(&self, aim: Aim, thin: usize, fat: usize) -> Vec<String> {
        let mut notes = Vec::new();
        if self.soil_clay <= aim.clay {
            notes.push(format!(
                "the soil has {} clay, no more than the {} aimed at: no sand is wanted, and it may be too lean; make the \
                 trial of the soil alone first, and look for a fatter soil to blend in",
                self.soil_clay, aim.clay
            ));
        } else if 0 < fat {
            notes.push(format!(
                "the soil has {} clay, so the fattest trial is the soil alone",
                self.soil_clay
            ));
        }
        if 0 < thin {
            notes.push(format!(
                "trials of {} clay or less are left out: the sand itself has {}",
                self.sand.clay, self.sand.clay
            ));
        }
        if self.sand.bulking.is_zero() {
            notes.push(format!(
                "{} is taken as measured dry: damp sand takes up to two fifths more room, so give its bulking_percent \
                 when it comes off a damp heap",
                self.sand.id
            ));
        }
        notes
    }
}

fn tenth(share: Share) -> Share {
    share.rounded(3, Rounding::HalfAwayFromZero)
}

impl ProposedMix {
    /// The buckets as they are counted: `4 soil, 4.5 sand`.
    pub fn buckets(&self) -> String {
        let soil = canonical(self.soil_buckets);
        if self.sand_buckets.is_zero() {
            format!("{soil} soil")
        } else {
            format!("{soil} soil, {} sand", canonical(self.sand_buckets))
        }
    }
}
