//! A share of a whole: waste, moisture, clay content, tax, overhead. Inside 1 is the whole; people read per cent.
//! Whether a share may pass one whole or fall below nothing, and of what it is, is for whatever holds it to say.

use rust_decimal::{Decimal, dec};

use crate::quantity::{Unit, quantity, read};

quantity! {
    /// A share. Base unit: the whole, so that 0.125 is an eighth and prints `12.5 %`.
    ///
    /// ```
    /// use hod_units::{QuantityFault, Share, ShareUnit, Volume, VolumeUnit, canonical};
    ///
    /// // Waste of 12.5 % on 40 m3 placed is 5 m3.
    /// let waste = Share::parse("12.5 %", ShareUnit::Whole)?;
    /// assert_eq!(canonical(waste.fraction()), "0.125");
    /// assert_eq!(waste, Share::parse("12.5", ShareUnit::Percent)?);
    ///
    /// let placed = Volume::parse("40 m3", VolumeUnit::CubicMetre)?;
    /// let wasted = placed.checked_mul(waste.fraction()).unwrap_or_default();
    /// assert_eq!(wasted.to_string(), "5 m3");
    /// # Ok::<(), QuantityFault>(())
    /// ```
    Share in ShareUnit, from_fraction / fraction, read by read, printed as percent in Percent
}

impl Share {
    /// All of it.
    pub const WHOLE: Self = Self(Decimal::ONE);

    /// From per cent: 12.5 is an eighth.
    pub fn from_percent(value: Decimal) -> Self {
        // Shrinking cannot overflow, and is exact up to 26 decimals.
        Self(value * dec!(0.01))
    }

    /// In per cent. A share beyond 7.9e26 wholes, which no reader here lets in, stays at the largest decimal.
    pub fn percent(self) -> Decimal {
        self.0.saturating_mul(dec!(100))
    }
}

/// How a share is written.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum ShareUnit {
    /// As a fraction of the whole: 0.125
    Whole,
    /// %: 12.5
    Percent,
}

impl Unit for ShareUnit {
    const ACCEPTED: &'static str = "% after the number, such as 12.5 %, or nothing";

    fn named(name: &str) -> Option<Self> {
        matches!(name, "%" | "percent" | "per cent").then_some(Self::Percent)
    }

    fn symbol(self) -> &'static str {
        match self {
            Self::Whole => "",
            Self::Percent => "%",
        }
    }

    fn size(self) -> (Decimal, Decimal) {
        match self {
            Self::Whole => (Decimal::ONE, Decimal::ONE),
            Self::Percent => (dec!(0.01), Decimal::ONE),
        }
    }
}
