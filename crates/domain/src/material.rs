//! Materials: what is bought or dug, and what it weighs.

use hod_units::{Density, Mass, Share};

use crate::fault::Fault;
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

impl Material {
    /// What does not hold across its fields.
    pub fn faults(&self) -> Vec<Fault> {
        if self.purchase_unit.order_places().is_some() {
            return Vec::new();
        }
        vec![Fault::of_field(
            "purchase_unit",
            "PURCHASE_UNIT_UNFIT",
            format!(
                "{} is ordered in {}, in which nothing is bought; use m3, t, kg, l, bale, bag, roll or each",
                self.id,
                self.purchase_unit.word()
            ),
        )]
    }
}
