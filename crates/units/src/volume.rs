//! Volume, in cubic metres inside: of walls, openings, materials and water.
//! Loose, bank or in place is not told apart here: the name of whatever holds it says which.

use rust_decimal::{Decimal, dec};

use crate::density::Density;
use crate::mass::Mass;
use crate::quantity::{Unit, quantity, read};

quantity! {
    /// A volume. Base unit: cubic metre (m3).
    ///
    /// ```
    /// use hod_units::{QuantityFault, Volume, VolumeUnit};
    ///
    /// // A load of 5 cubic yards: 5 x 0.764554857984 m3.
    /// let load = Volume::parse("5 yd3", VolumeUnit::CubicMetre)?;
    /// assert_eq!(load.to_string(), "3.82277428992 m3");
    ///
    /// // A bare "gal" is refused, for there are two gallons a fifth apart.
    /// let refused = Volume::parse("5 gal", VolumeUnit::CubicMetre).unwrap_err();
    /// assert_eq!(
    ///     refused.to_string(),
    ///     "\"gal\" is not a unit known here; use m3, L, ft3, yd3, US gal, imperial gal or bucket"
    /// );
    /// # Ok::<(), QuantityFault>(())
    /// ```
    Volume in VolumeUnit, from_cubic_metres / cubic_metres, read by read, printed as cubic_metres in CubicMetre
}

impl Volume {
    /// From litres.
    pub fn from_litres(value: Decimal) -> Self {
        // Shrinking cannot overflow, and is exact up to 25 decimals.
        Self(value * dec!(0.001))
    }

    /// In litres. A volume beyond 7.9e25 m3, which no reader here lets in, stays at the largest decimal.
    pub fn litres(self) -> Decimal {
        self.0.saturating_mul(dec!(1000))
    }

    /// The mass of this volume at a density; `None` on overflow.
    pub fn checked_mass(self, density: Density) -> Option<Mass> {
        self.0
            .checked_mul(density.kg_per_cubic_metre())
            .map(Mass::from_kg)
    }
}

/// The units of volume. The US gallon is 231 cubic inches exactly (NIST Handbook 44, Appendix C); the others follow
/// from the foot of 0.3048 m and the inch of 0.0254 m, and the imperial gallon is 4.54609 L by definition (from memory).
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum VolumeUnit {
    /// m3
    CubicMetre,
    /// L: 0.001 m3
    Litre,
    /// ft3: 0.3048^3 = 0.028316846592 m3, exactly
    CubicFoot,
    /// yd3: 27 ft3 = 27 x 0.028316846592 = 0.764554857984 m3, exactly
    CubicYard,
    /// US gal: 231 in3 = 231 x 0.0254^3 = 0.003785411784 m3, exactly
    UsGallon,
    /// imperial gal: 4.54609 L = 0.00454609 m3, exactly
    ImperialGallon,
    /// A pail of 5 US gallons: 5 x 0.003785411784 = 0.01892705892 m3, exactly.
    /// A default until the site's own bucket is measured: pails sold by that name differ, often 19 to 20 L to the
    /// brim (common practice, no source).
    Bucket,
}

impl Unit for VolumeUnit {
    const ACCEPTED: &'static str = "m3, L, ft3, yd3, US gal, imperial gal or bucket";

    fn named(name: &str) -> Option<Self> {
        match name {
            "m3" | "cu m" => Some(Self::CubicMetre),
            "l" | "litre" | "litres" | "liter" | "liters" => Some(Self::Litre),
            "ft3" | "cu ft" => Some(Self::CubicFoot),
            "yd3" | "cu yd" => Some(Self::CubicYard),
            "us gal" | "us gallon" | "us gallons" => Some(Self::UsGallon),
            "imperial gal" | "imp gal" | "imperial gallon" | "imperial gallons" => {
                Some(Self::ImperialGallon)
            }
            "bucket" | "buckets" => Some(Self::Bucket),
            _ => None,
        }
    }

    fn symbol(self) -> &'static str {
        match self {
            Self::CubicMetre => "m3",
            Self::Litre => "L",
            Self::CubicFoot => "ft3",
            Self::CubicYard => "yd3",
            Self::UsGallon => "US gal",
            Self::ImperialGallon => "imperial gal",
            Self::Bucket => "bucket",
        }
    }

    fn size(self) -> (Decimal, Decimal) {
        let cubic_metres = match self {
            Self::CubicMetre => dec!(1),
            Self::Litre => dec!(0.001),
            Self::CubicFoot => dec!(0.028316846592),
            Self::CubicYard => dec!(0.764554857984),
            Self::UsGallon => dec!(0.003785411784),
            Self::ImperialGallon => dec!(0.00454609),
            Self::Bucket => dec!(0.01892705892),
        };
        (cubic_metres, Decimal::ONE)
    }
}
