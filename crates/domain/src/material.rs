//! Materials: what is bought or dug, and what it weighs.

use hod_units::{Decimal, Density, Length, Mass, Rounding, Share, Volume, canonical, round};

use crate::fault::Fault;
use crate::id::{MaterialGroup, MaterialId};
use crate::text::Text;
use crate::unit::{Unit, round_up};

/// Where a material comes from.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Supply {
    /// Bought at the region's price in force.
    Bought,
    /// Dug or drawn on the site: its cost is labour.
    Site,
}

/// Sizes of one adobe, bale or bag.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct PieceSize {
    /// The longest, along the wall.
    pub length: Length,
    /// Across the wall as a rule.
    pub width: Length,
    /// Up the wall as a rule.
    pub height: Length,
}

impl PieceSize {
    /// Length x width x height; `None` on overflow.
    pub fn volume(&self) -> Option<Volume> {
        let square = self.length.metres().checked_mul(self.width.metres())?;
        Some(Volume::from_cubic_metres(
            square.checked_mul(self.height.metres())?,
        ))
    }
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
    /// Sizes of one piece, for what is laid piece by piece.
    pub size: Option<PieceSize>,
    /// Orders go up to a whole multiple of this, in the purchase unit; none: the least that the unit allows.
    pub order_step: Option<Decimal>,
    /// Clay that it holds, of its dry mass.
    pub clay: Share,
    /// The group that it is priced with; may be none.
    pub group: Option<MaterialGroup>,
    /// Where these figures come from.
    pub source: String,
}

impl Material {
    /// What does not hold across its fields.
    pub fn faults(&self) -> Vec<Fault> {
        let Some(places) = self.purchase_unit.order_places() else {
            return vec![Fault::of_field(
                "purchase_unit",
                "PURCHASE_UNIT_UNFIT",
                format!(
                    "{} is ordered in {}, in which nothing is bought; use m3, t, kg, l, m, m2, bale, bag, roll or each",
                    self.id,
                    self.purchase_unit.word()
                ),
            )];
        };
        let is_too_fine = |step: &Decimal| round(*step, places, Rounding::Down) != *step;
        let step = self.order_step.filter(is_too_fine);
        step.map(|step| self.step_too_fine(step, places))
            .into_iter()
            .collect()
    }

    fn step_too_fine(&self, step: Decimal, places: u32) -> Fault {
        let (step, word) = (canonical(step), self.purchase_unit.word());
        let least = canonical(Decimal::new(1, places));
        Fault::of_field(
            "order_step",
            "ORDER_STEP_TOO_FINE",
            format!(
                "{} is ordered by steps of {step} {word}; give a multiple of {least} {word}, the least that is ordered",
                self.id
            ),
        )
    }

    /// What is ordered where so much is needed: up to a whole multiple of its step. `None` on overflow, or in a unit in
    /// which nothing is bought.
    ///
    /// ```
    /// # use hod_domain::{id::MaterialId, material::*, unit::Unit};
    /// # use hod_units::Share;
    /// # use rust_decimal::dec;
    /// # let sand = Material {
    /// #     id: MaterialId::parse("sand")?, display_name: "Sand".into(), supply: Supply::Bought, purchase_unit: Unit::T,
    /// #     density_loose: None, bulking: Share::ZERO, swell: Share::ZERO, moisture: Share::ZERO, mass_per_unit: None,
    /// #     size: None, order_step: Some(dec!(0.5)), clay: Share::ZERO, group: None, source: String::new(),
    /// # };
    /// // Sand that comes by the half tonne: 12.03 t are 25 half tonnes.
    /// assert_eq!(sand.ordered(dec!(12.03)), Some(dec!(12.5)));
    /// assert_eq!(sand.ordered(dec!(12)), Some(dec!(12)));
    /// # Ok::<(), hod_domain::id::IdFault>(())
    /// ```
    pub fn ordered(&self, needed: Decimal) -> Option<Decimal> {
        let places = self.purchase_unit.order_places()?;
        match self.order_step {
            Some(step) => round_up(needed.checked_div(step)?, 0)?.checked_mul(step),
            None => round_up(needed, places),
        }
    }

    /// How an order of it is rounded, in words.
    pub fn order_rounding(&self) -> Text {
        let word = self.purchase_unit.word();
        match self.order_step {
            Some(step) => Text::from(format!(
                "up to a whole multiple of {} {word}",
                canonical(step)
            )),
            _ => Text::from(match self.purchase_unit {
                Unit::M3 => "up to 0.01 m3",
                Unit::T => "up to 0.01 t",
                Unit::M => "up to 0.01 m",
                Unit::M2 => "up to 0.01 m2",
                Unit::L => "up to a whole litre",
                Unit::Kg => "up to a whole kg",
                Unit::Bale => "up to a whole bale",
                Unit::Bag => "up to a whole bag",
                Unit::Roll => "up to a whole roll",
                _ => "up to a whole one",
            }),
        }
    }
}
