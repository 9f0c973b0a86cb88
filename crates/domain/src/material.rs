//! Materials: what is bought or dug, and what it weighs.

use hod_units::{Density, Mass, Share};

use crate::id::MaterialId;
use crate::unit::Unit;

/// Where a material comes from.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Supply {
    /// Bought at the region's price in force.
    Bought,
    /// Dug or drawn on the site: its cost is labour.
    Site,
}

/// What is bought or dug.
#[derive(Debug, Clone, PartialEq)]
pub struct Material {
    /// Its id.
    pub id: MaterialId,
    /// What people call it.
    pub display_name: String,
    /// Where it comes from.
    pub supply: Supply,
    /// What it is ordered in.
    pub purchase_unit: Unit,
    /// Dry mass of a cubic metre of it, loose and dry.
    pub density_loose: Option<Density>,
    /// How much the damp heap stands above the same mass dry, of the dry volume.
    pub bulking: Share,
    /// How much it grows from the bank to loose, of the bank volume.
    pub swell: Share,
    /// Water it holds when used, of its dry mass.
    pub moisture: Share,
    /// Mass of one bale, bag, roll or piece.
    pub mass_per_unit: Option<Mass>,
    /// Where these figures come from.
    pub source: String,
}
