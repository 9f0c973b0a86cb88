//! A recipe: a mix together with its materials, once everything in it is known and weighed as it must be.
//! From it follow the batch and what a batch takes of each material. How many batches there are is for the takeoff,
//! and what they cost for the estimate.

use hod_units::{Decimal, Rounding, Volume, round};

use super::batch::Batch;
use super::part::Part;
use super::portion::{self, Portion};
use super::{Mix, weighing};
use crate::basis::Basis;
use crate::fault::{Fault, too_large};
use crate::id::MaterialId;
use crate::material::{Material, Supply};

/// How loose stands to placed is told to three places.
const RATIO_PLACES: u32 = 3;

/// Proof that every ingredient, the straw and the water of a mix are there, and weighed as needed.
#[derive(Debug, Clone, PartialEq)]
pub struct Recipe {
    mix: Mix,
    materials: Vec<Material>,
    batch: Batch,
    portions: Vec<Portion>,
    dug_loose: Basis,
    dug_bank: Basis,
}

impl Recipe {
    /// A mix and its materials; refused with every fault there is. Materials that the mix does not name are left out.
    pub fn new(mix: Mix, materials: Vec<Material>) -> Result<Self, Vec<Fault>> {
        let materials: Vec<Material> = materials
            .into_iter()
            .filter(|material| mix.names(&material.id))
            .collect();
        let faults = faults(&mix, &materials);
        if !faults.is_empty() {
            return Err(faults);
        }
        let batch = Batch::of(&mix, &materials).map_err(|fault| vec![fault])?;
        let parts = Part::all(&mix, &materials);
        let overflow = || vec![too_large(&format!("a batch of mix {}", mix.id))];
        let portions =
            portion::all(&mix, &materials, &parts, batch.yield_placed).ok_or_else(overflow)?;
        let dug = || {
            parts
                .iter()
                .filter(|part| part.material.supply == Supply::Site)
        };
        let dug_loose: Option<Vec<Basis>> = dug().map(Part::dug_loose).collect();
        let dug_bank: Option<Vec<Basis>> = dug().map(Part::dug_bank).collect();
        let (dug_loose, dug_bank) = dug_loose.zip(dug_bank).ok_or_else(overflow)?;
        let (dug_loose, dug_bank) = (Basis::sum(dug_loose), Basis::sum(dug_bank));
        Ok(Self {
            mix,
            materials,
            batch,
            portions,
            dug_loose,
            dug_bank,
        })
    }

    /// The mix.
    pub fn mix(&self) -> &Mix {
        &self.mix
    }

    /// Its materials.
    pub fn materials(&self) -> &[Material] {
        &self.materials
    }

    /// One of its materials; `None` when the mix does not name it.
    pub fn material(&self, id: &MaterialId) -> Option<&Material> {
        self.materials.iter().find(|material| material.id == *id)
    }

    /// What one making of it takes and gives.
    pub fn batch(&self) -> &Batch {
        &self.batch
    }

    /// What one making of it takes of each material: the ingredients in the order of the mix, then straw, then water.
    /// A material of which nothing is needed is left out.
    pub fn portions(&self) -> &[Portion] {
        &self.portions
    }

    /// Water that goes into a batch, kg: what the ingredients hold and what is poured. `None` when an ingredient has no
    /// density, or on overflow.
    pub fn water_in_batch(&self) -> Option<Decimal> {
        let poured = self.batch.water.litres();
        Part::all(&self.mix, &self.materials)
            .iter()
            .try_fold(poured, |sum, part| {
                let held = part.material.moisture.fraction();
                sum.checked_add(part.dry()?.work()?.checked_mul(held)?)
            })
    }

    /// How much volume a batch has loose to one of it placed. `None` on overflow.
    pub fn loose_to_placed(&self) -> Option<Decimal> {
        let loose = self
            .batch
            .loose
            .iter()
            .try_fold(Volume::ZERO, |sum, (_, volume)| sum.checked_add(*volume))?;
        let placed = self.batch.yield_placed.cubic_metres();
        let ratio = loose.cubic_metres().checked_div(placed)?;
        Some(round(ratio, RATIO_PLACES, Rounding::HalfAwayFromZero))
    }

    /// Loose volume of the ingredients dug on the site that a batch takes, m3; without terms when all are bought.
    pub fn dug_loose(&self) -> &Basis {
        &self.dug_loose
    }

    /// What that was in the bank, m3.
    pub fn dug_bank(&self) -> &Basis {
        &self.dug_bank
    }
}

/// Everything that stands in the way: of the mix, of its materials, and of weighing them.
fn faults(mix: &Mix, materials: &[Material]) -> Vec<Fault> {
    let mut faults = mix.faults();
    for fault in &mut faults {
        fault.subject = format!("mixes/{}", mix.id);
    }
    faults.extend(missing(mix, materials));
    for material in materials {
        let subject = format!("materials/{}", material.id);
        faults.extend(
            material
                .faults()
                .into_iter()
                .map(|fault| fault.about(&subject)),
        );
    }
    faults.extend(weighing::faults(mix, materials));
    faults
}

/// A fault for each material that the mix names and that is not there.
fn missing(mix: &Mix, materials: &[Material]) -> Vec<Fault> {
    let is_there = |id: &MaterialId| materials.iter().any(|material| material.id == *id);
    let mut missing: Vec<&MaterialId> = mix.material_ids().filter(|id| !is_there(id)).collect();
    missing.dedup();
    let fault = |id: &MaterialId| {
        Fault::of_resource(
            format!("materials/{id}"),
            "MATERIAL_UNKNOWN",
            format!(
                "mix {} needs {id}, which is not among the materials; add materials/{id}, or change the mix",
                mix.id
            ),
        )
    };
    missing.into_iter().map(fault).collect()
}
