//! Density, in kilograms per cubic metre inside: what turns a volume of a material into its mass and back.
//! Which volume it belongs to, loose, bank or in place, is said by the name of whatever holds it.

use rust_decimal::{Decimal, dec};

use crate::quantity::{Unit, quantity, read};

quantity! {
    /// A density. Base unit: kilogram per cubic metre (kg/m3).
    ///
    /// ```
    /// use hod_units::{Density, DensityUnit, QuantityFault, Rounding, Volume, VolumeUnit};
    ///
    /// // A full 5 US gal pail of wet earth at 1750 kg/m3: 0.01892705892 m3 x 1750 = 33.12235311 kg.
    /// let wet_earth = Density::parse("1750 kg/m3", DensityUnit::KilogramPerCubicMetre)?;
    /// let pail = Volume::parse("1 bucket", VolumeUnit::CubicMetre)?;
    /// let mass = pail.checked_mass(wet_earth).unwrap_or_default();
    /// assert_eq!(mass.to_string(), "33.12235311 kg");
    ///
    /// // 1 lb/ft3 is 0.45359237 / 0.028316846592 kg/m3, a decimal that does not end: 28 digits are kept.
    /// let pounds = Density::parse("100 lb/ft3", DensityUnit::KilogramPerCubicMetre)?;
    /// assert_eq!(pounds.rounded(6, Rounding::default()).to_string(), "1601.846337 kg/m3");
    /// # Ok::<(), QuantityFault>(())
    /// ```
    Density in DensityUnit, from_kg_per_cubic_metre / kg_per_cubic_metre, read by read, printed as kg_per_cubic_metre in KilogramPerCubicMetre
}

/// The units of density.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum DensityUnit {
    /// kg/m3
    KilogramPerCubicMetre,
    /// lb/ft3: 0.45359237 kg in 0.028316846592 m3, about 16.018463 kg/m3
    PoundPerCubicFoot,
}

impl Unit for DensityUnit {
    const ACCEPTED: &'static str = "kg/m3 or lb/ft3";

    fn named(name: &str) -> Option<Self> {
        match name {
            "kg/m3" => Some(Self::KilogramPerCubicMetre),
            "lb/ft3" | "pcf" => Some(Self::PoundPerCubicFoot),
            _ => None,
        }
    }

    fn symbol(self) -> &'static str {
        match self {
            Self::KilogramPerCubicMetre => "kg/m3",
            Self::PoundPerCubicFoot => "lb/ft3",
        }
    }

    fn size(self) -> (Decimal, Decimal) {
        match self {
            Self::KilogramPerCubicMetre => (Decimal::ONE, Decimal::ONE),
            Self::PoundPerCubicFoot => (dec!(0.45359237), dec!(0.028316846592)),
        }
    }
}
