//! Area, in square metres inside: of wall faces, openings, reveals and plans.
//! Geometry measures it; here it is only held, read, printed and made thick.

use rust_decimal::{Decimal, dec};

use crate::length::Length;
use crate::quantity::{Unit, quantity, read};
use crate::volume::Volume;

quantity! {
    /// An area. Base unit: square metre (m2).
    ///
    /// ```
    /// use hod_units::{Area, AreaUnit, Length, LengthUnit, QuantityFault};
    ///
    /// // A face 6.20 m long and 2.40 m high is 14.88 m2; at 0.425 m mean thickness it is 6.324 m3.
    /// let length = Length::parse("6.20 m", LengthUnit::Metre)?;
    /// let height = Length::parse("2.40 m", LengthUnit::Metre)?;
    /// let thickness = Length::parse("425 mm", LengthUnit::Metre)?;
    /// let face = length.checked_area(height).unwrap_or_default();
    /// assert_eq!(face.to_string(), "14.88 m2");
    /// assert_eq!(face.checked_volume(thickness).unwrap_or_default().to_string(), "6.324 m3");
    ///
    /// // 100 ft2 x 0.09290304 m2/ft2
    /// assert_eq!(Area::parse("100 ft2", AreaUnit::SquareMetre)?.to_string(), "9.290304 m2");
    /// # Ok::<(), QuantityFault>(())
    /// ```
    Area in AreaUnit, from_square_metres / square_metres, read by read, printed as square_metres in SquareMetre
}

impl Area {
    /// The volume of this area at a thickness; `None` on overflow.
    pub fn checked_volume(self, thickness: Length) -> Option<Volume> {
        self.0
            .checked_mul(thickness.metres())
            .map(Volume::from_cubic_metres)
    }
}

impl Length {
    /// The area of a rectangle of this length and that width; `None` on overflow.
    pub fn checked_area(self, width: Length) -> Option<Area> {
        self.metres().checked_mul(width.metres()).map(Area)
    }
}

/// The units of area.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum AreaUnit {
    /// m2
    SquareMetre,
    /// ft2: 0.3048^2 = 0.09290304 m2, exactly
    SquareFoot,
}

impl Unit for AreaUnit {
    const ACCEPTED: &'static str = "m2 or ft2";

    fn named(name: &str) -> Option<Self> {
        match name {
            "m2" | "sq m" => Some(Self::SquareMetre),
            "ft2" | "sq ft" => Some(Self::SquareFoot),
            _ => None,
        }
    }

    fn symbol(self) -> &'static str {
        match self {
            Self::SquareMetre => "m2",
            Self::SquareFoot => "ft2",
        }
    }

    fn size(self) -> (Decimal, Decimal) {
        let square_metres = match self {
            Self::SquareMetre => dec!(1),
            Self::SquareFoot => dec!(0.09290304),
        };
        (square_metres, Decimal::ONE)
    }
}
