//! Mass, in kilograms inside: of soil, sand, straw, water and loads.
//! Dry or wet is not told apart here: the name of whatever holds it says which.

use rust_decimal::{Decimal, dec};

use crate::density::Density;
use crate::quantity::{Unit, quantity, read};
use crate::volume::Volume;

quantity! {
    /// A mass. Base unit: kilogram (kg).
    ///
    /// ```
    /// use hod_units::{Density, DensityUnit, Mass, MassUnit, QuantityFault};
    ///
    /// // A truck of 10 short tons: 10 x 907.18474 kg.
    /// let load = Mass::parse("10 short tons", MassUnit::Kilogram)?;
    /// assert_eq!(load.to_string(), "9071.8474 kg");
    ///
    /// // Sand at 1600 kg/m3 loose: 8000 kg / 1600 kg/m3 = 5 m3.
    /// let sand = Density::parse("1600", DensityUnit::KilogramPerCubicMetre)?;
    /// let heap = Mass::parse("8 t", MassUnit::Kilogram)?.checked_volume(sand).unwrap_or_default();
    /// assert_eq!(heap.to_string(), "5 m3");
    /// # Ok::<(), QuantityFault>(())
    /// ```
    Mass in MassUnit, from_kg / kg, read by read, printed as kg in Kilogram
}

impl Mass {
    /// From tonnes. `None` on overflow.
    pub fn from_tonnes(value: Decimal) -> Option<Self> {
        Self::of(value, MassUnit::Tonne)
    }

    /// In tonnes.
    pub fn tonnes(self) -> Decimal {
        // Shrinking cannot overflow, and is exact up to 25 decimals.
        self.0 * dec!(0.001)
    }

    /// The volume that this mass fills at a density; `None` when the density is zero, or on overflow.
    pub fn checked_volume(self, density: Density) -> Option<Volume> {
        self.0
            .checked_div(density.kg_per_cubic_metre())
            .map(Volume::from_cubic_metres)
    }

    /// The density of this mass in a volume; `None` when the volume is zero, or on overflow.
    pub fn checked_density(self, volume: Volume) -> Option<Density> {
        self.0
            .checked_div(volume.cubic_metres())
            .map(Density::from_kg_per_cubic_metre)
    }
}

/// The units of mass. The avoirdupois pound is 0.45359237 kg by definition (from memory).
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum MassUnit {
    /// kg
    Kilogram,
    /// t: 1000 kg
    Tonne,
    /// lb: 0.45359237 kg, exactly
    Pound,
    /// short ton: 2000 lb = 2000 x 0.45359237 = 907.18474 kg, exactly
    ShortTon,
}

impl Unit for MassUnit {
    const ACCEPTED: &'static str = "kg, t, lb or short ton";

    fn named(name: &str) -> Option<Self> {
        match name {
            "kg" => Some(Self::Kilogram),
            "t" | "tonne" | "tonnes" => Some(Self::Tonne),
            "lb" | "lbs" | "pound" | "pounds" => Some(Self::Pound),
            "short ton" | "short tons" => Some(Self::ShortTon),
            _ => None,
        }
    }

    fn symbol(self) -> &'static str {
        match self {
            Self::Kilogram => "kg",
            Self::Tonne => "t",
            Self::Pound => "lb",
            Self::ShortTon => "short ton",
        }
    }

    fn size(self) -> (Decimal, Decimal) {
        let kilograms = match self {
            Self::Kilogram => dec!(1),
            Self::Tonne => dec!(1000),
            Self::Pound => dec!(0.45359237),
            Self::ShortTon => dec!(907.18474),
        };
        (kilograms, Decimal::ONE)
    }
}
