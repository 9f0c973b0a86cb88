//! Mix trials: what a trial mix of a site's soil did on the bench. The trial decides, not a recipe.
//!
//! Results are worked from what was measured, and held against the limits of a rule pack where one is named. What a
//! mix that was never tried means for an estimate is for the estimate to say.

use hod_units::{Date, Decimal, Density, Length, Rounding, canonical, round};
use rust_decimal::dec;

use crate::fault::Fault;
use crate::id::{MixTrialId, RulePackId, SiteId, SoilTestId};
use crate::mix::{Ingredient, Mix};
use crate::rules::{Rule, RuleKind, RulePack};

/// What the builder made of a trial.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum TrialOutcome {
    /// Not decided yet.
    Open,
    /// Taken: a mix may name it.
    Taken,
    /// Turned down.
    TurnedDown,
}

/// A bar moulded wet and measured again when dry.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ShrinkageBar {
    /// Length as moulded.
    pub wet: Length,
    /// Length when dry, its cracks closed by hand.
    pub dry: Length,
}

/// A specimen crushed.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct CrushedSpecimen {
    /// The greatest load that it bore, kN.
    pub load_kn: Decimal,
    /// Its width under the load.
    pub width: Length,
    /// Its depth under the load.
    pub depth: Length,
}

/// A brick or bar broken over two supports by a load in the middle.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct BrokenSpecimen {
    /// The greatest load that it bore, kN.
    pub load_kn: Decimal,
    /// Between the supports.
    pub span: Length,
    /// Its width across the span.
    pub width: Length,
    /// Its height under the load.
    pub height: Length,
}

/// What a trial mix did.
#[derive(Debug, Clone, PartialEq)]
pub struct MixTrial {
    /// Where its soil is from.
    pub site: SiteId,
    /// Its id within the site.
    pub id: MixTrialId,
    /// The day it was made.
    pub made: Date,
    /// The test of its soil, of the same site.
    pub soil_test: Option<SoilTestId>,
    /// Its mineral parts.
    pub ingredients: Vec<Ingredient>,
    /// Straw to a placed cubic metre, as a density; zero for none.
    pub straw_per_placed: Density,
    /// Its shrinkage bar.
    pub shrinkage: Option<ShrinkageBar>,
    /// Specimens crushed.
    pub crushed: Vec<CrushedSpecimen>,
    /// Specimens broken.
    pub broken: Vec<BrokenSpecimen>,
    /// Dry density of a specimen as weighed and sized.
    pub density_dry: Option<Density>,
    /// The rules that it is held against.
    pub rule_pack: Option<RulePackId>,
    /// What the builder made of it.
    pub outcome: TrialOutcome,
    /// What was seen: cracks, dusting, water needed; may be empty.
    pub note: String,
}

/// A strength as the specimens gave it, kPa, to 0.01.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Strength {
    /// Mean of the specimens.
    pub mean_kpa: Decimal,
    /// That of the weakest.
    pub min_kpa: Decimal,
}

/// How a result stands against a rule. It approves nothing: the authority and a licensed engineer judge.
#[derive(Debug, Clone, PartialEq)]
pub struct Verdict {
    /// The rule.
    pub rule: Rule,
    /// What was found, in the unit that the rule's kind names, to 0.01.
    pub found: Decimal,
    /// Whether it holds.
    pub holds: bool,
}

/// Results are told to this many places, and held against limits so: a bar is not read finer than a thousandth of its
/// length, nor a load finer than that.
const RESULT_PLACES: u32 = 2;

/// Straw of a trial and of a mix is the same up to so much, kg/m3 (judgement, no source): less is within what is weighed.
const STRAW_SAME_KG_M3: Decimal = dec!(1);

impl ShrinkageBar {
    /// How much it shrank, percent of its length as moulded, to 0.01: `(wet - dry) / wet`. `None` for a bar of no length.
    ///
    /// ```
    /// use hod_domain::trial::ShrinkageBar;
    /// use hod_units::{Length, LengthUnit};
    /// use rust_decimal::dec;
    ///
    /// // 24 in that shrank to 23 in: 1 / 24 = 4.1666.. %.
    /// let [wet, dry] = [24, 23].map(|inches| Length::of(inches.into(), LengthUnit::Inch).expect("not large"));
    /// assert_eq!(ShrinkageBar { wet, dry }.percent(), Some(dec!(4.17)));
    /// ```
    pub fn percent(&self) -> Option<Decimal> {
        let lost = self.wet.checked_sub(self.dry)?.checked_ratio(self.wet)?;
        Some(shown(lost.checked_mul(dec!(100))?))
    }
}

impl CrushedSpecimen {
    /// Its compressive strength, kPa: load over area, kN to the m2. `None` for a specimen of no size.
    fn strength(&self) -> Option<Decimal> {
        let area = self.width.metres().checked_mul(self.depth.metres())?;
        self.load_kn.checked_div(area)
    }
}

impl BrokenSpecimen {
    /// Its modulus of rupture, kPa: `3 P L / (2 b t^2)` with the load P in kN, span L, width b and height t in m
    /// (14.7.4.11 NMAC, read at
    /// `https://regulations.justia.com/states/new-mexico/title-14/chapter-7/part-4/section-14-7-4-11`).
    fn rupture(&self) -> Option<Decimal> {
        let moment = self
            .load_kn
            .checked_mul(self.span.metres())?
            .checked_mul(dec!(3))?;
        let height = self.height.metres();
        let section = self
            .width
            .metres()
            .checked_mul(height)?
            .checked_mul(height)?;
        moment.checked_div(section.checked_mul(dec!(2))?)
    }
}

impl MixTrial {
    /// Whether a mix is what was tried: the same materials in the same ratios, exactly, and straw within 1 kg/m3.
    pub fn is_of(&self, mix: &Mix) -> bool {
        let straw = self.straw_per_placed.kg_per_cubic_metre();
        let straw_off = straw
            .saturating_sub(mix.straw_per_placed().kg_per_cubic_metre())
            .abs();
        straw_off <= STRAW_SAME_KG_M3 && has_same_ratios(&self.ingredients, &mix.ingredients)
    }

    /// Shrinkage of its bar, percent of the length as moulded, to 0.01; `None` without a bar.
    pub fn shrinkage(&self) -> Option<Decimal> {
        self.shrinkage.and_then(|bar| bar.percent())
    }

    /// Compressive strength of the specimens crushed; `None` without any.
    pub fn compression(&self) -> Option<Strength> {
        Strength::of(self.crushed.iter().map(CrushedSpecimen::strength))
    }

    /// Modulus of rupture of the specimens broken; `None` without any.
    pub fn rupture(&self) -> Option<Strength> {
        Strength::of(self.broken.iter().map(BrokenSpecimen::rupture))
    }

    /// How its results stand against the rules of a pack, in the order of the pack: shrinkage as found, strengths by
    /// their mean. A rule for which nothing was measured, or that is not about trials, has no verdict.
    ///
    /// What is held against the limit is the figure that is shown, to 0.01 in the unit of the rule. So a limit of one
    /// part in 24, which does not end as a decimal, is written 4.17 %: a bar of 24 in that shrinks by 1.00 in shows
    /// 4.17 and holds, and one that shrinks by 1.01 in shows 4.21 and does not.
    pub fn verdicts(&self, pack: &RulePack) -> Vec<Verdict> {
        pack.rules
            .iter()
            .filter_map(|rule| self.verdict(rule))
            .collect()
    }

    fn verdict(&self, rule: &Rule) -> Option<Verdict> {
        let (found, is_most) = match rule.kind {
            RuleKind::ShrinkagePercentMax => (self.shrinkage()?, true),
            RuleKind::CompressionKpaMin | RuleKind::CompressionBracingKpaMin => {
                (self.compression()?.mean_kpa, false)
            }
            RuleKind::RuptureKpaMin => (self.rupture()?.mean_kpa, false),
            RuleKind::MasonryVoidM2Max
            | RuleKind::PlasterVoidM2Max
            | RuleKind::PlasterOneFaceVoidM2Max
            | RuleKind::BoundaryVoidDeducted => return None,
        };
        let holds = if is_most {
            found <= rule.limit
        } else {
            rule.limit <= found
        };
        Some(Verdict {
            rule: rule.clone(),
            found,
            holds,
        })
    }

    /// What does not hold across its fields.
    pub fn faults(&self) -> Vec<Fault> {
        let mut faults = Vec::new();
        if self.ingredients.is_empty() {
            faults.push(Fault::of_field(
                "ingredients",
                "TRIAL_HAS_NO_INGREDIENT",
                format!(
                    "trial {} has no ingredients; give at least its soil",
                    self.id
                ),
            ));
        }
        for (at, ingredient) in self.ingredients.iter().enumerate() {
            let mut earlier = self.ingredients[..at].iter();
            if earlier.any(|earlier| earlier.material == ingredient.material) {
                faults.push(Fault::of_field(
                    format!("ingredients[{at}].material"),
                    "MATERIAL_TWICE",
                    format!(
                        "trial {} has {} twice; give each material once, with all its parts",
                        self.id, ingredient.material
                    ),
                ));
            }
        }
        faults.extend(self.bar_that_grew());
        faults
    }

    fn bar_that_grew(&self) -> Option<Fault> {
        let bar = self.shrinkage.filter(|bar| bar.wet < bar.dry)?;
        Some(Fault::of_field(
            "shrinkage_dry_mm",
            "SHRINKAGE_BAR_GREW",
            format!(
                "the bar of trial {} is {} mm dry and was {} mm as moulded; a bar does not grow: close its cracks and \
                 measure it again, or look whether the two are exchanged",
                self.id,
                canonical(bar.dry.mm()),
                canonical(bar.wet.mm())
            ),
        ))
    }
}

impl Strength {
    /// Mean and least of the specimens, each rounded once; `None` without any or where one cannot be reckoned.
    fn of(specimens: impl Iterator<Item = Option<Decimal>>) -> Option<Self> {
        let all: Vec<Decimal> = specimens.collect::<Option<_>>()?;
        let least = *all.iter().min()?;
        let sum = all
            .iter()
            .try_fold(Decimal::ZERO, |sum, each| sum.checked_add(*each))?;
        let mean = sum.checked_div(Decimal::from(all.len()))?;
        Some(Self {
            mean_kpa: shown(mean),
            min_kpa: shown(least),
        })
    }
}

/// Whether two lists hold the same materials in the same ratios, in any order. Worked crosswise against the first part,
/// so that no quotient is rounded; what is too large to work is not the same.
fn has_same_ratios(one: &[Ingredient], other: &[Ingredient]) -> bool {
    let find = |part: &Ingredient| {
        let mut others = other.iter();
        others.find(|other| other.material == part.material)
    };
    let pairs: Option<Vec<_>> = one
        .iter()
        .map(|part| Some((part.parts, find(part)?.parts)))
        .collect();
    let Some(pairs) = pairs.filter(|pairs| pairs.len() == other.len()) else {
        return false;
    };
    let Some((first, first_other)) = pairs.first().copied() else {
        return true;
    };
    pairs.iter().all(|(part, part_other)| {
        let crosswise = part
            .checked_mul(first_other)
            .zip(part_other.checked_mul(first));
        crosswise.is_some_and(|(left, right)| left == right)
    })
}

fn shown(value: Decimal) -> Decimal {
    round(value, RESULT_PLACES, Rounding::HalfAwayFromZero)
}
