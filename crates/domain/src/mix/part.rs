//! One ingredient in one batch: its loose volume, what that weighs dry, and what it was in the bank.
//! What the batch as a whole comes to is in `batch`.

use hod_units::Decimal;
use rust_decimal::dec;

use super::{Ingredient, Mix};
use crate::basis::{Basis, Joint, Term};
use crate::material::Material;
use crate::text::Text;
use crate::unit::Unit;

/// An ingredient together with its material.
pub(super) struct Part<'a> {
    /// The recipe.
    pub mix: &'a Mix,
    /// `mixes/ID`.
    pub source: Text,
    /// How many parts.
    pub ingredient: &'a Ingredient,
    /// Of what.
    pub material: &'a Material,
}

impl<'a> Part<'a> {
    /// The ingredients of a mix, in its order. One whose material is not there is left out: it is a fault elsewhere.
    pub fn all(mix: &'a Mix, materials: &'a [Material]) -> Vec<Self> {
        let source = Text::from(format!("mixes/{}", mix.id));
        let part = |ingredient: &'a Ingredient| {
            let material = materials
                .iter()
                .find(|material| material.id == ingredient.material)?;
            Some(Self {
                mix,
                source: source.clone(),
                ingredient,
                material,
            })
        };
        mix.ingredients.iter().filter_map(part).collect()
    }

    /// Its loose volume, m3: parts x buckets to a part x bucket.
    pub fn loose(&self) -> Basis {
        let term = |joint, value, unit, label| Term::new(joint, value, unit, label, &self.source);
        let parts = if self.ingredient.parts == Decimal::ONE {
            "part"
        } else {
            "parts"
        };
        Basis::of([
            term(
                Joint::Start,
                self.ingredient.parts,
                Unit::Number,
                Text::from(format!("{parts} of {}", self.material.id)),
            ),
            term(
                Joint::Times,
                self.mix.buckets_per_part,
                Unit::Number,
                self.mix.measure.to_a_part().into(),
            ),
            term(
                Joint::Times,
                self.mix.bucket.cubic_metres(),
                Unit::M3,
                self.mix.measure.word().into(),
            ),
        ])
    }

    /// Its loose volume as one figure, m3, for what counts soil by the cubic metre. `None` on overflow.
    pub fn dug_loose(&self) -> Option<Basis> {
        let volume = self.loose().work()?;
        let label = format!("loose {} in a batch", self.material.id);
        Some(Basis::of([Term::new(
            Joint::Start,
            volume,
            Unit::M3,
            label,
            &self.source,
        )]))
    }

    /// What that was in the bank, m3: loose over 1 + swell, since soil swells by a share of what it was.
    pub fn dug_bank(&self) -> Option<Basis> {
        let swell = self
            .material
            .over_one_and(self.material.swell.fraction(), "1 + swell");
        Some(self.dug_loose()?.carried_on(&swell))
    }

    /// Its dry mass, kg: loose volume x loose dry density over 1 + bulking, since bulking is a share of the dry
    /// volume. `None` without a density.
    pub fn dry(&self) -> Option<Basis> {
        let density = self.material.density_loose?.kg_per_cubic_metre();
        let mut terms =
            vec![
                self.material
                    .term(Joint::Times, density, Unit::KgPerM3, "loose dry density"),
            ];
        terms.extend(
            self.material
                .over_one_and(self.material.bulking.fraction(), "1 + bulking"),
        );
        Some(self.loose().carried_on(&terms))
    }

    /// What that weighs with the water that it holds, kg.
    pub fn moist(&self) -> Option<Basis> {
        let moisture = self.material.moisture.percent();
        let term = self
            .material
            .term(Joint::PlusPercent, moisture, Unit::Percent, "moisture");
        Some(if moisture.is_zero() {
            self.dry()?
        } else {
            self.dry()?.carried_on(&[term])
        })
    }
}

impl Material {
    /// A term of one of its figures.
    pub(super) fn term(
        &self,
        joint: Joint,
        value: Decimal,
        unit: Unit,
        label: &'static str,
    ) -> Term {
        Term::new(joint, value, unit, label, format!("materials/{}", self.id))
    }

    /// Divided by one and a share: nothing when there is none of it.
    fn over_one_and(&self, share: Decimal, label: &'static str) -> Vec<Term> {
        // A share is far below what could overflow, and saturating keeps this free of panics all the same.
        let whole = share.saturating_add(dec!(1));
        if share.is_zero() {
            Vec::new()
        } else {
            vec![self.term(Joint::Over, whole, Unit::Number, label)]
        }
    }
}
