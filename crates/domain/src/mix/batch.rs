//! What one making of a mix takes and gives: loose volumes, dry mass, yield, straw and water.
//! How many makings a job needs is for the takeoff.

use hod_units::{Decimal, Mass, Rounding, Volume};

use super::part::Part;
use super::{Mix, Straw};
use crate::basis::{Basis, Joint, Term};
use crate::fault::{Fault, too_large};
use crate::id::MaterialId;
use crate::material::Material;
use crate::text::Text;
use crate::unit::Unit;

/// A yield is told to a millilitre, 1e-6 m3: finer than any bucket, and what is shown works out.
const YIELD_PLACES: u32 = 6;

/// What one making of a mix takes and gives.
///
/// By mass balance, with all masses dry and all densities in kg/m3:
///
/// ```text
/// loose volume of an ingredient   V_i = parts x buckets to a part x bucket
/// dry mass of an ingredient       m_i = V_i x density_loose_i / (1 + bulking_i)
/// yield, placed                   Y   = sum m_i / (density_dry - straw to a placed m3)
/// straw                           s   = Y x straw to a placed m3
/// water to pour                   w   = sum m_i x (water share - moisture_i) + s x water share, never below 0
/// ```
///
/// The dry density in place counts the straw, as a cube of the mix on the scales does: the minerals of a placed cubic
/// metre weigh the density less the straw. With 20 kg of straw in 1650 a batch yields 1.2 % more than without it.
///
/// ```
/// # use hod_domain::{id::MaterialId, id::MixId, material::*, mix::*, unit::Unit};
/// # use hod_units::*;
/// # use rust_decimal::dec;
/// # fn kg_m3(density: Decimal) -> Density { Density::from_kg_per_cubic_metre(density) }
/// # let soil = Material {
/// #     id: MaterialId::parse("soil")?, display_name: "Soil".into(), supply: Supply::Site, purchase_unit: Unit::M3,
/// #     density_loose: Some(kg_m3(dec!(1200))), bulking: Share::ZERO, swell: Share::ZERO, moisture: Share::ZERO,
/// #     mass_per_unit: None, size: None, order_step: None, clay: Share::ZERO, group: None, source: String::new(),
/// # };
/// # let mix = Mix {
/// #     id: MixId::parse("cob")?, display_name: "Cob".into(), bucket: Volume::from_litres(dec!(20)),
/// #     ingredients: vec![Ingredient { material: soil.id.clone(), parts: dec!(1) }], buckets_per_part: dec!(4),
/// #     density_dry: kg_m3(dec!(1600)), batch_yield_measured: None, straw: None, water: None, trial: None, mixing: None,
/// #     purpose: Purpose::Structural, measure: PartMeasure::Bucket, density_evidence: DensityEvidence::Assumed,
/// #     water_share: Share::ZERO, waste: Share::ZERO, source: String::new(),
/// # };
/// // Four buckets of 20 l of soil at 1200 kg/m3 loose weigh 96 kg; at 1600 kg/m3 in place they make 60 l of wall.
/// let recipe = Recipe::new(mix, vec![soil]).expect("all is weighed");
/// assert_eq!(recipe.batch().dry_mass.map(Mass::kg), Some(dec!(96)));
/// assert_eq!(recipe.batch().yield_placed.litres(), dec!(60));
/// # Ok::<(), hod_domain::id::IdFault>(())
/// ```
#[derive(Debug, Clone, PartialEq)]
pub struct Batch {
    /// Placed volume of one batch, to 1e-6 m3: as measured at a site, else by mass balance.
    pub yield_placed: Volume,
    /// How that came about.
    pub yield_basis: Basis,
    /// Loose volume of each ingredient, in the order of the mix.
    pub loose: Vec<(MaterialId, Volume)>,
    /// Dry mass of minerals and straw; `None` when an ingredient has no density, which a measured yield allows.
    pub dry_mass: Option<Mass>,
    /// The straw.
    pub straw: Mass,
    /// Water to pour, over what the ingredients hold; none when the mix lists no water, or holds enough.
    pub water: Volume,
}

impl Batch {
    /// One batch of a mix whose materials are all there and weighed.
    pub(super) fn of(mix: &Mix, materials: &[Material]) -> Result<Self, Fault> {
        let parts = Part::all(mix, materials);
        let overflow = || too_large(&format!("a batch of mix {}", mix.id));
        let yield_basis = yield_basis(mix, &parts).ok_or_else(overflow)?;
        let worked = yield_basis.work().ok_or_else(overflow)?;
        let yield_placed =
            Volume::from_cubic_metres(worked).rounded(YIELD_PLACES, Rounding::HalfAwayFromZero);
        if !yield_placed.is_positive() {
            return Err(yields_nothing(mix, yield_placed));
        }
        Self::yielding(mix, &parts, yield_placed, yield_basis).ok_or_else(overflow)
    }

    /// The rest, once the yield is known; `None` on overflow.
    fn yielding(
        mix: &Mix,
        parts: &[Part],
        yield_placed: Volume,
        yield_basis: Basis,
    ) -> Option<Self> {
        let loose = |part: &Part| {
            Some((
                part.material.id.clone(),
                Volume::from_cubic_metres(part.loose().work()?),
            ))
        };
        let straw = match straw_basis(mix, yield_placed) {
            Some(basis) => Mass::from_kg(basis.work()?),
            None => Mass::ZERO,
        };
        let minerals = parts.iter().map(Part::dry).collect::<Option<Vec<Basis>>>();
        let dry_mass = match minerals {
            Some(minerals) => Some(Mass::from_kg(Basis::sum(minerals).work()?).checked_add(straw)?),
            None => None,
        };
        let water = match water_basis(mix, parts, yield_placed) {
            Some(basis) => basis.work()?.max(Decimal::ZERO),
            None => Decimal::ZERO,
        };
        Some(Self {
            yield_placed,
            yield_basis,
            loose: parts.iter().map(loose).collect::<Option<_>>()?,
            dry_mass,
            straw,
            water: Volume::from_litres(water),
        })
    }
}

/// The yield as measured, or by mass balance; `None` when an ingredient has no density.
fn yield_basis(mix: &Mix, parts: &[Part]) -> Option<Basis> {
    let source = format!("mixes/{}", mix.id);
    if let Some(measured) = mix.batch_yield_measured {
        let value = measured.cubic_metres();
        let mut basis = Basis::of([Term::new(
            Joint::Start,
            value,
            Unit::M3,
            "yield measured at a site",
            source,
        )]);
        if YIELD_PLACES < value.normalize().scale() {
            basis.rounding = Text::from("to 0.000001 m3");
        }
        return Some(basis);
    }
    let straw = mix
        .straw
        .as_ref()
        .map_or(Decimal::ZERO, |straw| straw.per_placed.kg_per_cubic_metre());
    let minerals = mix.density_dry.kg_per_cubic_metre().checked_sub(straw)?;
    let over = Term::new(
        Joint::Over,
        minerals,
        Unit::KgPerM3,
        format!(
            "dry density in place less straw, {}",
            mix.density_evidence.word()
        ),
        source,
    );
    let dry = parts
        .iter()
        .map(Part::dry)
        .collect::<Option<Vec<Basis>>>()?;
    Some(Basis::sum(dry).carried_on(&[over]).to("to 0.000001 m3"))
}

/// Straw in a batch, kg; `None` when the mix has none.
pub(super) fn straw_basis(mix: &Mix, yield_placed: Volume) -> Option<Basis> {
    let Straw { per_placed, .. } = mix
        .straw
        .as_ref()
        .filter(|straw| straw.per_placed.is_positive())?;
    let source = Text::from(format!("mixes/{}", mix.id));
    Some(Basis::of([
        Term::new(
            Joint::Start,
            yield_placed.cubic_metres(),
            Unit::M3,
            "yield of a batch",
            &source,
        ),
        Term::new(
            Joint::Times,
            per_placed.kg_per_cubic_metre(),
            Unit::KgPerM3,
            "straw to a placed m3",
            &source,
        ),
    ]))
}

/// Water to pour into a batch, kg and so litres: for each ingredient what it lacks, and all that the straw is to have.
/// May come out below zero, when the ingredients hold more than is wanted. `None` when the mix lists no water.
pub(super) fn water_basis(mix: &Mix, parts: &[Part], yield_placed: Volume) -> Option<Basis> {
    mix.water
        .as_ref()
        .filter(|_| mix.water_share.is_positive())?;
    let source = Text::from(format!("mixes/{}", mix.id));
    let wanted = mix.water_share.percent();
    let share = |percent, label: &'static str| {
        Term::new(Joint::PercentOf, percent, Unit::Percent, label, &source)
    };
    let lacking = |part: &Part| {
        let lacks = wanted.checked_sub(part.material.moisture.percent())?;
        Some(
            part.dry()?
                .carried_on(&[share(lacks, "water wanted less moisture held")]),
        )
    };
    let mut all = parts.iter().map(lacking).collect::<Option<Vec<Basis>>>()?;
    all.extend(
        straw_basis(mix, yield_placed)
            .map(|straw| straw.carried_on(&[share(wanted, "water wanted")])),
    );
    Some(Basis::sum(all))
}

fn yields_nothing(mix: &Mix, yield_placed: Volume) -> Fault {
    Fault::of_field(
        "batch_yield_l",
        "BATCH_YIELDS_NOTHING",
        format!(
            "a batch of mix {} yields {yield_placed} placed; look at its bucket, parts and densities",
            mix.id
        ),
    )
    .about(format!("mixes/{}", mix.id))
}
