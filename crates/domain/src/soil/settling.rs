//! How fast grains settle in a jar, by Stokes' law: which grain has just fallen through the water when a layer is marked.
//! What that means for the shares of a jar is in `uncertainty`.

use hod_units::{Decimal, Length, Rounding, canonical, round};
use rust_decimal::dec;

use crate::fault::Fault;

use super::decimal::square_root;

/// From silt to sand: 0.05 mm (USDA; from memory). Others draw this line at 0.063 or 0.075 mm.
pub const SAND_FROM: Length = Length::from_metres(dec!(0.00005));

/// From clay to silt: 0.002 mm (USDA; read in IRC AR102 at `https://strawbalestudio.org/light-straw-clay-code/`).
pub const SILT_FROM: Length = Length::from_metres(dec!(0.000002));

/// Density of grains, kg/m3: quartz (common practice, no source).
const GRAIN_KG_PER_M3: Decimal = dec!(2650);

/// Density of water at 20 degrees, kg/m3 (from memory). Between 0 and 40 degrees it moves by less than 0.7 %, and the
/// difference to the grain by less than 0.4 %, which is left out.
const WATER_KG_PER_M3: Decimal = dec!(998.2);

/// Acceleration of free fall, m/s2, to three digits: it differs by 0.5 % over the earth.
const FREE_FALL: Decimal = dec!(9.81);

/// Viscosity of water, mPa s, at degrees Celsius (read at
/// `https://host.engineersedge.com/physics/water__density_viscosity_specific_weight_13146.htm`, in SI units).
const VISCOSITY: [(Decimal, Decimal); 6] = [
    (dec!(0), dec!(1.787)),
    (dec!(5), dec!(1.519)),
    (dec!(10), dec!(1.307)),
    (dec!(20), dec!(1.002)),
    (dec!(30), dec!(0.798)),
    (dec!(40), dec!(0.653)),
];

/// Grains are told to this many places of a millimetre.
const GRAIN_MM_PLACES: u32 = 4;

/// When the layers of a jar were marked, and in what water.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct JarProtocol {
    /// After shaking, the sand was marked at so many seconds.
    pub sand_mark_s: Decimal,
    /// The silt, at so many minutes; later than the sand.
    pub silt_mark_min: Decimal,
    /// The clay, at so many hours; later than the silt.
    pub clay_mark_h: Option<Decimal>,
    /// From the top of the water to the bottom of the jar.
    pub water_height: Length,
    /// Temperature of the water, degrees Celsius.
    pub water_celsius: Decimal,
}

impl JarProtocol {
    /// Layers settle one after the other, and are marked so.
    pub(super) fn faults(&self) -> Vec<Fault> {
        let mut faults = Vec::new();
        let (sand, silt) = (self.sand_mark_s, self.silt_mark_min);
        if silt.saturating_mul(dec!(60)) <= sand {
            faults.push(out_of_order(
                "silt_mark_min",
                format!(
                    "silt after {} min, sand after {} s",
                    canonical(silt),
                    canonical(sand)
                ),
            ));
        }
        if let Some(clay) = self
            .clay_mark_h
            .filter(|clay| clay.saturating_mul(dec!(60)) <= silt)
        {
            faults.push(out_of_order(
                "clay_mark_h",
                format!(
                    "clay after {} h, silt after {} min",
                    canonical(clay),
                    canonical(silt)
                ),
            ));
        }
        faults
    }

    /// The grain that has just fallen through the water when the sand was marked. `None` where it cannot be reckoned.
    pub fn sand_mark_grain(&self) -> Option<Length> {
        settled_grain(self.water_height, self.sand_mark_s, self.water_celsius)
    }

    /// The grain that has just fallen through the water when the silt was marked. `None` where it cannot be reckoned.
    pub fn silt_mark_grain(&self) -> Option<Length> {
        let seconds = self.silt_mark_min.checked_mul(dec!(60))?;
        settled_grain(self.water_height, seconds, self.water_celsius)
    }
}

fn out_of_order(field: &str, found: String) -> Fault {
    Fault::of_field(
        format!("jar_protocol.{field}"),
        "JAR_MARKS_OUT_OF_ORDER",
        format!(
            "{found}: sand settles first, then silt, then clay, so each is marked later than the one before"
        ),
    )
}

/// How long a grain takes to fall through a height of water, s, to 0.1. `None` where it cannot be reckoned: a size that
/// is not positive, or one beyond any decimal.
///
/// Stokes: `v = g (rho_s - rho_f) d^2 / (18 eta)`, time = height / v; true of grains up to about 0.1 mm, since larger
/// ones fall slower than it says (common practice, no source).
///
/// ```
/// use hod_domain::soil::settling_seconds;
/// use hod_units::Length;
/// use rust_decimal::dec;
///
/// // 0.05 mm through 10 cm at 20 degrees: 9.81 x 1651.8 x (5e-5)^2 / (18 x 0.001002) = 2.246 mm/s; 100 / 2.246 = 44.5 s.
/// let (grain, height) = (Length::from_mm(dec!(0.05)), Length::from_mm(dec!(100)));
/// assert_eq!(settling_seconds(grain, height, dec!(20)), Some(dec!(44.5)));
/// ```
pub fn settling_seconds(grain: Length, height: Length, celsius: Decimal) -> Option<Decimal> {
    if !grain.is_positive() || !height.is_positive() {
        return None;
    }
    let square = grain.mm().checked_mul(grain.mm())?;
    let seconds = second_square_mm(height, celsius)?.checked_div(square)?;
    Some(round(seconds, 1, Rounding::HalfAwayFromZero))
}

/// The grain that has just fallen through a height of water after so many seconds, to 0.0001 mm. All larger ones have
/// settled by then. `None` where it cannot be reckoned.
///
/// ```
/// use hod_domain::soil::settled_grain;
/// use hod_units::Length;
/// use rust_decimal::dec;
///
/// // Half an hour in 10 cm of water at 20 degrees: only what is larger than 0.0079 mm, four times the size of clay.
/// let grain = settled_grain(Length::from_mm(dec!(100)), dec!(1800), dec!(20));
/// assert_eq!(grain, Some(Length::from_mm(dec!(0.0079))));
/// ```
pub fn settled_grain(height: Length, seconds: Decimal, celsius: Decimal) -> Option<Length> {
    if !height.is_positive() || seconds <= Decimal::ZERO {
        return None;
    }
    let square = second_square_mm(height, celsius)?.checked_div(seconds)?;
    let grain = square_root(square)?;
    Some(Length::from_mm(round(
        grain,
        GRAIN_MM_PLACES,
        Rounding::HalfAwayFromZero,
    )))
}

/// Seconds x mm2, the same for every grain in this water: `18 eta h / (g (rho_s - rho_f))` in m2 s, and 1e6 mm2 to the m2.
fn second_square_mm(height: Length, celsius: Decimal) -> Option<Decimal> {
    let resists = dec!(18)
        .checked_mul(viscosity(celsius)?)?
        .checked_mul(height.metres())?;
    let pulls = FREE_FALL.checked_mul(GRAIN_KG_PER_M3.checked_sub(WATER_KG_PER_M3)?)?;
    // mPa s to Pa s is a thousandth, m2 to mm2 a million.
    resists.checked_div(pulls)?.checked_mul(dec!(1000))
}

/// Viscosity of water, mPa s, from 0 to 40 degrees; `None` outside. Between two figures of the table its inverse runs
/// straight, which is within half a per cent of it.
fn viscosity(celsius: Decimal) -> Option<Decimal> {
    let pairs = VISCOSITY.windows(2);
    let around = |pair: &&[(Decimal, Decimal)]| pair[0].0 <= celsius && celsius <= pair[1].0;
    let [(cooler, thicker), (warmer, thinner)] = *pairs.into_iter().find(around)? else {
        return None;
    };
    let part = celsius
        .checked_sub(cooler)?
        .checked_div(warmer.checked_sub(cooler)?)?;
    let inverse = |figure: Decimal| Decimal::ONE.checked_div(figure);
    let rise = inverse(thinner)?.checked_sub(inverse(thicker)?)?;
    inverse(inverse(thicker)?.checked_add(part.checked_mul(rise)?)?)
}
