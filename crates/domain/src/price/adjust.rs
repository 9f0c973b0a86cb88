//! Prices that change by rule: by a percentage, or from one figure of a published index to another. Which prices change,
//! and from when, is for the caller.

use hod_units::{Decimal, Rounding, canonical, round};
use rust_decimal::dec;

use super::Price;
use crate::fault::Fault;

/// By how much prices change.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Adjustment {
    /// By this percentage of each: above -100, at most 1000.
    Percent(Decimal),
    /// From one figure of an index to another: times current over base.
    Index {
        /// Which series, as it is published.
        series: String,
        /// Its figure when the prices were made; above 0.
        base: Decimal,
        /// Its figure now; above 0.
        current: Decimal,
    },
}

/// The most that prices are raised by in one act, in per cent; more is a slip of the finger.
const MOST_PERCENT: Decimal = dec!(1000);

impl Adjustment {
    /// What does not hold of it.
    pub fn faults(&self) -> Vec<Fault> {
        match self {
            Self::Percent(percent) if *percent <= dec!(-100) || MOST_PERCENT < *percent => {
                vec![Fault::of_field(
                    "percent",
                    "PERCENT_OUT_OF_RANGE",
                    format!(
                        "prices cannot change by {} %; give more than -100 and at most {MOST_PERCENT}",
                        canonical(*percent)
                    ),
                )]
            }
            Self::Percent(_) => Vec::new(),
            Self::Index { base, current, .. } => [
                ("index.base_index", base),
                ("index.current_index", current),
            ]
            .into_iter()
            .filter(|(_, figure)| **figure <= Decimal::ZERO)
            .map(|(field, figure)| {
                let message = format!(
                    "a figure of an index is {}; give the published figure, which is above 0",
                    canonical(*figure)
                );
                Fault::of_field(field, "NOT_POSITIVE", message)
            })
            .collect(),
        }
    }

    /// What a price becomes, not rounded. `None` on overflow or an index that stood at 0.
    fn of(&self, unit_price: Decimal) -> Option<Decimal> {
        match self {
            Self::Percent(percent) => {
                unit_price.checked_mul(percent.checked_mul(dec!(0.01))?.checked_add(dec!(1))?)
            }
            Self::Index { base, current, .. } => {
                unit_price.checked_mul(*current)?.checked_div(*base)
            }
        }
    }
}

/// A price changed by rule: its unit price and those of its breaks, each rounded once to so many places. Everything else
/// stays as it is: its dates, its packs, and what its delivery costs, which a haulier sets and not the merchant. `None` on
/// overflow.
///
/// ```
/// # use hod_domain::{id::*, price::*, unit::Unit};
/// # use hod_units::{DateRange, Rounding, parse_date};
/// # use rust_decimal::dec;
/// # let from = DateRange::new(parse_date("2026-03-01")?, None)?;
/// # let terms = Terms {
/// #     breaks: Some(Breaks {
/// #         rule: BreakRule::AllUnits,
/// #         steps: vec![BreakStep { from: dec!(10), unit_price: dec!(29.90) }],
/// #     }),
/// #     ..Terms::default()
/// # };
/// # let sand = Price { id: PriceId::parse("sand-2026")?, material: MaterialId::parse("sand")?, unit_price: dec!(32.50),
/// #     unit: Unit::T, in_force: from, supplier: String::new(), source: String::new(), terms };
/// // Sand at 32.50 a tonne, and 29.90 from 10 t on, raised by 3.5 %: 33.6375 and 30.9465.
/// let raised = adjust(&sand, &Adjustment::Percent(dec!(3.5)), 2, Rounding::HalfAwayFromZero).expect("small");
/// assert_eq!(raised.unit_price, dec!(33.64));
/// assert_eq!(raised.terms.breaks.expect("as before").steps[0].unit_price, dec!(30.95));
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
pub fn adjust(price: &Price, by: &Adjustment, places: u32, rounding: Rounding) -> Option<Price> {
    let adjusted = |unit_price| Some(round(by.of(unit_price)?, places, rounding));
    let mut after = price.clone();
    after.unit_price = adjusted(price.unit_price)?;
    for step in after
        .terms
        .breaks
        .iter_mut()
        .flat_map(|breaks| &mut breaks.steps)
    {
        step.unit_price = adjusted(step.unit_price)?;
    }
    Some(after)
}
