//! Sites: places where the firm builds.

use hod_units::Length;

use crate::id::{RegionId, SiteId};

/// A place where the firm builds.
#[derive(Debug, Clone, PartialEq)]
pub struct Site {
    /// Its id.
    pub id: SiteId,
    /// What people call it.
    pub display_name: String,
    /// Whose prices and rates hold there.
    pub region: RegionId,
    /// How far the dug soil is carried to where it is mixed.
    pub haul_distance: Length,
}
