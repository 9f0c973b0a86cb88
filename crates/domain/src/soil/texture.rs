//! The classes of the USDA texture triangle: what a soil is called by its shares of sand, silt and clay. What a class is
//! good for is not said here: texture says nothing of a clay that swells, of roots or of salts.

use hod_units::Decimal;
use rust_decimal::dec;

use super::SoilShares;

/// A class of the USDA texture triangle.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Texture {
    /// `silt + 1.5 clay < 15`.
    Sand,
    /// `silt + 1.5 clay >= 15` and `silt + 2 clay < 30`.
    LoamySand,
    /// `silt + 2 clay >= 30`, and `7 <= clay < 20` with `sand > 52`, or `clay < 7` with `silt < 50`.
    SandyLoam,
    /// `7 <= clay < 27`, `28 <= silt < 50` and `sand <= 52`.
    Loam,
    /// `silt >= 50` with `12 <= clay < 27`, or `50 <= silt < 80` with `clay < 12`.
    SiltLoam,
    /// `silt >= 80` and `clay < 12`.
    Silt,
    /// `20 <= clay < 35`, `silt < 28` and `sand > 45`.
    SandyClayLoam,
    /// `27 <= clay < 40` and `20 < sand <= 45`.
    ClayLoam,
    /// `27 <= clay < 40` and `sand <= 20`.
    SiltyClayLoam,
    /// `clay >= 35` and `sand > 45`.
    SandyClay,
    /// `clay >= 40` and `silt >= 40`.
    SiltyClay,
    /// `clay >= 40`, `sand <= 45` and `silt < 40`.
    Clay,
}

impl Texture {
    /// All of them, from the coarsest to the finest.
    pub const ALL: [Self; 12] = [
        Self::Sand,
        Self::LoamySand,
        Self::SandyLoam,
        Self::Loam,
        Self::SiltLoam,
        Self::Silt,
        Self::SandyClayLoam,
        Self::ClayLoam,
        Self::SiltyClayLoam,
        Self::SandyClay,
        Self::SiltyClay,
        Self::Clay,
    ];

    /// The class of a soil, exactly one for every point of the triangle.
    ///
    /// Clay, clay loam, loam, loamy sand and sand as the glossary of the Soil Science Society of America has them (read
    /// at `https://bg.termwiki.com/EN:soil_texture_%E2%82%83`); the other seven from memory of the Soil Survey Manual.
    /// The glossary lets both sand and loamy sand hold the line `silt + 1.5 clay = 15`, and leaves the lines `sand = 52`
    /// and `sand = 45` to nobody. Here a point on a line belongs to the class whose rule above holds it, which is a
    /// convention: 85/15/0 is loamy sand, 52/41/7 loam, 45/28/27 clay loam.
    ///
    /// Shares that were rounded need not add up to one; then silt and clay count as given, and sand is the rest.
    ///
    /// ```
    /// use hod_domain::soil::{SoilShares, Texture};
    /// use hod_units::Share;
    ///
    /// let [sand, silt, clay] = [40, 35, 25].map(|percent| Share::from_percent(percent.into()));
    /// assert_eq!(Texture::of(SoilShares { sand, silt, clay }), Texture::Loam);
    /// ```
    pub fn of(shares: SoilShares) -> Self {
        Self::at(shares.silt.percent(), shares.clay.percent())
    }

    /// The class by the silt and the clay, percent, from the finest clay down.
    pub(super) fn at(silt: Decimal, clay: Decimal) -> Self {
        // Shares are far below what could overflow; saturating keeps this free of panics all the same.
        let fines = silt.saturating_add(clay);
        let sand = dec!(100).saturating_sub(fines);
        if dec!(40) <= clay && dec!(40) <= silt {
            Self::SiltyClay
        } else if dec!(35) <= clay && dec!(45) < sand {
            Self::SandyClay
        } else if dec!(40) <= clay {
            Self::Clay
        } else if dec!(27) <= clay {
            Self::between_27_and_40_clay(sand)
        } else if dec!(20) <= clay && silt < dec!(28) {
            Self::SandyClayLoam
        } else {
            Self::of_little_clay(silt, clay)
        }
    }

    fn between_27_and_40_clay(sand: Decimal) -> Self {
        if sand <= dec!(20) {
            Self::SiltyClayLoam
        } else if sand <= dec!(45) {
            Self::ClayLoam
        } else {
            Self::SandyClayLoam
        }
    }

    /// Below 27 clay, and below 20 where there is little silt.
    fn of_little_clay(silt: Decimal, clay: Decimal) -> Self {
        let and_clay = |times: Decimal| silt.saturating_add(clay.saturating_mul(times));
        if dec!(80) <= silt && clay < dec!(12) {
            Self::Silt
        } else if dec!(50) <= silt {
            Self::SiltLoam
        } else if and_clay(dec!(1.5)) < dec!(15) {
            Self::Sand
        } else if and_clay(dec!(2)) < dec!(30) {
            Self::LoamySand
        } else if dec!(7) <= clay && dec!(48) <= silt.saturating_add(clay) {
            Self::Loam
        } else {
            Self::SandyLoam
        }
    }

    /// How it is written.
    pub const fn words(self) -> &'static str {
        match self {
            Self::Sand => "sand",
            Self::LoamySand => "loamy sand",
            Self::SandyLoam => "sandy loam",
            Self::Loam => "loam",
            Self::SiltLoam => "silt loam",
            Self::Silt => "silt",
            Self::SandyClayLoam => "sandy clay loam",
            Self::ClayLoam => "clay loam",
            Self::SiltyClayLoam => "silty clay loam",
            Self::SandyClay => "sandy clay",
            Self::SiltyClay => "silty clay",
            Self::Clay => "clay",
        }
    }
}
