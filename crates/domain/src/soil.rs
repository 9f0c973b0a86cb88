//! Soil tests: what the ground at a site is made of.

use hod_units::{Date, Length, Share};

use crate::id::SoilTestId;

/// How the shares of a soil were found.
#[derive(Debug, Clone, PartialEq)]
pub enum SoilEvidence {
    /// Heights settled in a jar of water, each layer alone.
    Jar {
        /// Settled first.
        sand: Length,
        /// Settled next.
        silt: Length,
        /// Settled last.
        clay: Length,
    },
    /// Mass fractions from a laboratory.
    Laboratory(SoilShares),
}

/// Shares of sand, silt and clay; they total one.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SoilShares {
    /// Sand.
    pub sand: Share,
    /// Silt.
    pub silt: Share,
    /// Clay.
    pub clay: Share,
}

/// What the ground at a site is made of.
#[derive(Debug, Clone, PartialEq)]
pub struct SoilTest {
    /// Its id within the site.
    pub id: SoilTestId,
    /// What was found.
    pub evidence: SoilEvidence,
    /// The day the sample was taken.
    pub sampled: Date,
    /// Depth below ground.
    pub depth: Option<Length>,
    /// What was seen and smelt; may be empty.
    pub note: String,
}
