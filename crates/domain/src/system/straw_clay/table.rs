//! The table by which light straw-clay is mixed, and what a density takes by it.
//!
//! All figures are those of IRC 2018 Table AR103.2.3, *Requirements and properties of light straw-clay mixtures*
//! (Appendix R, p. 949; read at online.flipbuilder.com/mewf/mima/files/basic-html/page949.html). Its note a lets values
//! between its rows be interpolated and none beyond them; water and subsoil together are the clay slip (note b).

use hod_units::{
    Decimal, Density, DensityUnit, Length, LengthUnit, Rounding, Share, Volume, VolumeUnit, round,
};
use rust_decimal::dec;

use crate::basis::{Basis, Joint, Term};
use crate::unit::Unit;

/// How a message and a source name the table.
pub const TABLE_NAME: &str = "IRC 2018 Table AR103.2.3";

/// A row of the table, in its own units.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Row {
    /// Dry density, lb/ft3.
    pub density_pcf: Decimal,
    /// Straw, lb/ft3.
    pub straw_pcf: Decimal,
    /// Subsoil, lb/ft3.
    pub subsoil_pcf: Decimal,
    /// Water, US gal/ft3.
    pub water_gal_per_ft3: Decimal,
    /// Clay of the subsoil, percent, at the least; none where the table says `N/A`.
    pub clay_percent_min: Option<Decimal>,
    /// Clay to one of silt, at the least; none likewise.
    pub clay_to_silt_min: Option<Decimal>,
    /// Thickness of the wall, in, at the most.
    pub thickness_in_max: Decimal,
    /// Thermal resistance, h ft2 F/BTU to an inch.
    pub resistance_per_inch: Decimal,
}

/// Every row, from the lightest.
pub const TABLE: [Row; 8] = [
    row(
        [dec!(10), dec!(3.3), dec!(1.55)],
        Some((dec!(70), dec!(3.5))),
        dec!(15),
        dec!(1.80),
    ),
    row(
        [dec!(12), dec!(5.3), dec!(1.63)],
        Some((dec!(46), dec!(1.7))),
        dec!(15),
        dec!(1.72),
    ),
    row(
        [dec!(13), dec!(6.3), dec!(1.67)],
        Some((dec!(40), dec!(1.33))),
        dec!(15),
        dec!(1.69),
    ),
    row(
        [dec!(15), dec!(8.3), dec!(1.74)],
        Some((dec!(35), dec!(0.95))),
        dec!(15),
        dec!(1.63),
    ),
    row(
        [dec!(20), dec!(13.3), dec!(1.93)],
        Some((dec!(30), dec!(0.60))),
        dec!(12),
        dec!(1.48),
    ),
    row(
        [dec!(30), dec!(23.3), dec!(2.31)],
        None,
        dec!(12),
        dec!(1.22),
    ),
    row(
        [dec!(40), dec!(33.3), dec!(2.70)],
        None,
        dec!(12),
        dec!(1.01),
    ),
    row(
        [dec!(50), dec!(43.3), dec!(3.08)],
        None,
        dec!(12),
        dec!(0.84),
    ),
];

/// Straw is the same in every row, lb/ft3.
const STRAW_PCF: Decimal = dec!(6.7);

/// A row by its density, subsoil and water, its clay and clay to silt, its thickness and its resistance.
const fn row(
    [density_pcf, subsoil_pcf, water_gal_per_ft3]: [Decimal; 3],
    clay: Option<(Decimal, Decimal)>,
    thickness_in_max: Decimal,
    resistance_per_inch: Decimal,
) -> Row {
    let (clay_percent_min, clay_to_silt_min) = match clay {
        Some((percent, to_silt)) => (Some(percent), Some(to_silt)),
        None => (None, None),
    };
    Row {
        density_pcf,
        straw_pcf: STRAW_PCF,
        subsoil_pcf,
        water_gal_per_ft3,
        clay_percent_min,
        clay_to_silt_min,
        thickness_in_max,
        resistance_per_inch,
    }
}

/// Densities are written in whole kg/m3: one that is no further beyond an end of the table than half of one is that end,
/// so that 160 passes for 10 lb/ft3, 160.18.
const END_KG_M3: Decimal = dec!(0.5);

/// One that is no further from a row than half of 0.01 kg/m3 is that row, so that 240.28 passes for 15 lb/ft3, 240.2770, and
/// has the limits of that row and not the lesser ones of what is heavier.
const ROW_KG_M3: Decimal = dec!(0.005);

/// Terms have as many decimals as a number may be written with; what lies beyond is the noise of a division.
const TERM_PLACES: u32 = 12;

/// What a placed cubic metre of light straw-clay takes by the table.
#[derive(Debug, Clone, PartialEq)]
pub struct Proportions {
    /// The dry density, within the table.
    pub density: Density,
    /// Straw, kg.
    pub straw: Basis,
    /// Subsoil, kg dry.
    pub soil: Basis,
    /// Water, l.
    pub water: Basis,
    /// Clay of the subsoil at the least, by mass; none from 30 lb/ft3, where the table says `N/A`. Between 20 and 30, where
    /// it cannot be interpolated, that of 20.
    pub clay_min: Option<Share>,
    /// Clay to one of silt at the least; none likewise.
    pub clay_to_silt_min: Option<Decimal>,
    /// Thickness of the wall at the most: the lesser of the two rows between which the density stands, since a limit is
    /// not interpolated: 12 in from just above 15 lb/ft3.
    pub thickness_max: Length,
}

impl Proportions {
    /// Water as a share of the dry mass, straw within it, a litre weighing a kilogram. `None` on overflow, which no density
    /// of the table comes near.
    ///
    /// ```
    /// use hod_domain::system::straw_clay::proportions;
    /// use hod_units::{Density, DensityUnit, Rounding, round};
    /// use rust_decimal::dec;
    ///
    /// // At 15 lb/ft3: 1.74 gal/ft3 x 133.680556 = 232.604167 l to 240.276951 kg.
    /// let density = Density::of(dec!(15), DensityUnit::PoundPerCubicFoot).expect("small");
    /// let water = proportions(density).expect("a row").water_of_dry_mass().expect("small");
    /// assert_eq!(round(water.percent(), 4, Rounding::HalfAwayFromZero), dec!(96.8067));
    /// ```
    pub fn water_of_dry_mass(&self) -> Option<Share> {
        let dry = self.density.kg_per_cubic_metre();
        self.water
            .work()?
            .checked_div(dry)
            .map(Share::from_fraction)
    }
}

/// A density that the table does not reach.
#[derive(Debug, Clone, Copy, PartialEq, Eq, thiserror::Error)]
#[error(
    "{density} is outside {TABLE_NAME}, which goes from {lightest} to {heaviest} (10 to 50 lb/ft3) and may not be carried on \
     beyond its ends"
)]
pub struct OutsideTable {
    /// What was asked for.
    pub density: Density,
    /// The lightest of the table, to 0.01 kg/m3.
    pub lightest: Density,
    /// The heaviest.
    pub heaviest: Density,
}

/// What a density takes by the table: straight between two of its rows, and nothing beyond its ends.
///
/// ```text
/// straw = 6.7 lb/ft3 = 107.3237 kg/m3     the same in every row
/// soil  = density - straw                 so in every row
/// water = (density - d1) / (d2 - d1) x (w2 - w1) + w1
/// ```
///
/// where `d1`, `w1` and `d2`, `w2` are density, kg/m3, and water, l/m3, of the rows below and above.
///
/// ```
/// use hod_domain::system::straw_clay::proportions;
/// use hod_units::{Density, DensityUnit, Rounding, round};
/// use rust_decimal::dec;
///
/// // 25 lb/ft3 is half-way between the rows of 20 and 30: water (1.93 + 2.31) / 2 = 2.12 gal/ft3, which at
/// // 133.680556 l/m3 to a gal/ft3 is 283.402778 l; soil 18.3 lb/ft3 = 293.137880 kg.
/// let density = Density::of(dec!(25), DensityUnit::PoundPerCubicFoot).expect("small");
/// let takes = proportions(density).expect("within the table");
/// let told = |basis: &hod_domain::basis::Basis| round(basis.work().expect("small"), 6, Rounding::HalfAwayFromZero);
/// assert_eq!(told(&takes.water), dec!(283.402778));
/// assert_eq!(told(&takes.soil), dec!(293.137880));
///
/// let too_light = Density::of(dec!(9), DensityUnit::PoundPerCubicFoot).expect("small");
/// assert!(proportions(too_light).is_err());
/// ```
pub fn proportions(density: Density) -> Result<Proportions, OutsideTable> {
    let outside = || OutsideTable {
        density: density.rounded(2, Rounding::HalfAwayFromZero),
        lightest: end(&TABLE[0]),
        heaviest: end(&TABLE[TABLE.len() - 1]),
    };
    within(density)
        .and_then(|density| between(density, rows_around(density)?))
        .ok_or_else(outside)
}

/// The density of an end of the table, to 0.01 kg/m3.
fn end(row: &Row) -> Density {
    let exact = row.density().unwrap_or_default();
    exact.rounded(2, Rounding::HalfAwayFromZero)
}

/// The density within the table, a row for one that is written for it, an end for one that is beyond it by less than can be
/// written; none for others.
fn within(density: Density) -> Option<Density> {
    let mut rows = TABLE.iter().filter_map(Row::density);
    if let Some(row) = rows.find(|row| is_near(density, *row, ROW_KG_M3)) {
        return Some(row);
    }
    let (lightest, heaviest) = (TABLE[0].density()?, TABLE[TABLE.len() - 1].density()?);
    let inside = density.clamp(lightest, heaviest);
    is_near(density, inside, END_KG_M3).then_some(inside)
}

/// Whether two densities are no further apart than so many kg/m3.
fn is_near(one: Density, other: Density, most: Decimal) -> bool {
    let apart = one.checked_sub(other).map(Density::kg_per_cubic_metre);
    apart.is_some_and(|apart| apart.abs() <= most)
}

/// The two neighbouring rows between which a density stands; where it is that of a row, that and the one above it, or at
/// the end the one below.
fn rows_around(density: Density) -> Option<(&'static Row, &'static Row)> {
    let pairs = TABLE.iter().zip(TABLE.iter().skip(1));
    let mut last = None;
    for (lower, upper) in pairs {
        last = Some((lower, upper));
        if density < upper.density()? {
            break;
        }
    }
    last
}

fn between(density: Density, (lower, upper): (&Row, &Row)) -> Option<Proportions> {
    let straw = Density::of(STRAW_PCF, DensityUnit::PoundPerCubicFoot)?.kg_per_cubic_metre();
    let wanted = density.kg_per_cubic_metre();
    let below = lower.density()?.kg_per_cubic_metre();
    let step = upper.density()?.kg_per_cubic_metre().checked_sub(below)?;
    let share = wanted.checked_sub(below)?.checked_div(step)?;
    let (w1, w2) = (lower.water_l_per_m3()?, upper.water_l_per_m3()?);
    let written = |value| round(value, TERM_PLACES, Rounding::HalfAwayFromZero);
    let of_table = |joint, value, unit, label: &'static str| {
        Term::new(joint, written(value), unit, label, TABLE_NAME)
    };
    let kg_m3 = |joint, value, label| of_table(joint, value, Unit::KgPerM3, label);
    let start = Term::new(
        Joint::Start,
        written(wanted),
        Unit::KgPerM3,
        "dry density",
        "",
    );
    Some(Proportions {
        density,
        straw: Basis::of([kg_m3(Joint::Start, straw, "straw")]),
        soil: Basis::of([start.clone(), kg_m3(Joint::Less, straw, "straw")]),
        water: Basis::of([
            start,
            kg_m3(Joint::Less, below, "density of the row below"),
            kg_m3(Joint::Over, step, "density between the rows"),
            of_table(
                Joint::Times,
                w2.checked_sub(w1)?,
                Unit::L,
                "water between the rows",
            ),
            of_table(Joint::Plus, w1, Unit::L, "water of the row below"),
        ]),
        clay_min: least(share, lower.clay_percent_min, upper.clay_percent_min)
            .map(Share::from_percent),
        clay_to_silt_min: least(share, lower.clay_to_silt_min, upper.clay_to_silt_min),
        thickness_max: if share.is_zero() {
            lower.thickness_max()?
        } else {
            lower.thickness_max()?.min(upper.thickness_max()?)
        },
    })
}

/// A least figure so far between two rows: straight between them, or that of the row below where the one above has none.
fn least(share: Decimal, below: Option<Decimal>, above: Option<Decimal>) -> Option<Decimal> {
    let (below, Some(above)) = (below?, above) else {
        return below;
    };
    let step = above.checked_sub(below)?;
    below.checked_add(step.checked_mul(share)?)
}

impl Row {
    /// Its dry density. `None` on overflow, which no row comes near.
    pub fn density(&self) -> Option<Density> {
        Density::of(self.density_pcf, DensityUnit::PoundPerCubicFoot)
    }

    /// Its water, litres to a cubic metre. `None` likewise.
    ///
    /// A US gallon to a cubic foot is 231 / 1728 of the volume, 133.680556 l/m3.
    pub fn water_l_per_m3(&self) -> Option<Decimal> {
        let gallon = Volume::of(self.water_gal_per_ft3, VolumeUnit::UsGallon)?;
        let foot = Volume::of(Decimal::ONE, VolumeUnit::CubicFoot)?;
        let share = gallon.checked_ratio(foot)?;
        Some(Volume::from_cubic_metres(share).litres())
    }

    /// Its greatest thickness of a wall. `None` likewise.
    pub fn thickness_max(&self) -> Option<Length> {
        Length::of(self.thickness_in_max, LengthUnit::Inch)
    }
}
