//! What the price is lowered or raised by between profit and tax: workshop income, discount, the least that is charged, a
//! round figure. Each is a line of its own, and none where it comes to nothing.

use hod_units::{Decimal, Rounding, round};

use super::Steps;
use crate::basis::{Basis, Joint, Term};
use crate::estimate::{Line, LineKind};
use crate::fault::{Fault, too_large};
use crate::region::Discount;
use crate::unit::Unit;

impl Steps<'_> {
    /// From the price after profit to the price before tax. Refused where income or discount exceed the price.
    pub(super) fn adjust(&mut self, income: Vec<Line>) -> Result<(), Fault> {
        let overflow = || too_large("the price of the job");
        self.add_income(income)?;
        self.add_discount()?;
        self.add_minimum().ok_or_else(overflow)?;
        self.add_rounding().ok_or_else(overflow)
    }

    /// What people pay to learn at the work, taken off.
    fn add_income(&mut self, income: Vec<Line>) -> Result<(), Fault> {
        let price = self.before;
        for line in income {
            self.before = self
                .before
                .checked_add(line.amount)
                .map_err(|_| too_large("the income of workshops"))?;
            self.lines.push(line);
        }
        if self.before.amount() < Decimal::ZERO {
            let message = format!(
                "workshops bring in more than the price of {price}, by {}; look for a slip, or reckon them apart from the job",
                self.rounded(self.before.amount().abs())
            );
            return Err(Fault::of_field("costs", "INCOME_EXCEEDS_PRICE", message));
        }
        Ok(())
    }

    /// A share of what stands before it, or an amount.
    ///
    /// 1000.00 less 2.5 % is 975.00: `1000.00 x -2.5 % = -25.00`.
    fn add_discount(&mut self) -> Result<(), Fault> {
        let price = self.before;
        let source = self.in_force.source(|change| &change.discount);
        let (quantity, unit, basis) = match self.in_force.build_up().discount {
            Discount::None => return Ok(()),
            Discount::Of(share) => {
                let percent = share.percent();
                let off = Term::new(
                    Joint::PercentOf,
                    -percent,
                    Unit::Percent,
                    "discount",
                    source,
                );
                let of = Term::new(
                    Joint::Start,
                    price.amount(),
                    Unit::Money,
                    "price before discount",
                    "",
                );
                (percent, Unit::Percent, Basis::of([of, off]))
            }
            Discount::Fixed(amount) => {
                let off = Term::new(Joint::Start, -amount, Unit::Money, "discount", source);
                (Decimal::ONE, Unit::Sum, Basis::of([off]))
            }
        };
        self.add_some(LineKind::Discount, "discount", quantity, unit, basis)
            .ok_or_else(|| too_large("the discount"))?;
        if self.before.amount() < Decimal::ZERO {
            return Err(self.discount_exceeds(price.to_string()));
        }
        Ok(())
    }

    fn discount_exceeds(&self, price: String) -> Fault {
        let field = match self.in_force.build_up().discount {
            Discount::Of(_) => "build_up.discount_percent",
            Discount::None | Discount::Fixed(_) => "build_up.discount_amount",
        };
        let fault = Fault::of_field(
            field,
            "DISCOUNT_EXCEEDS_PRICE",
            format!("the discount is more than the price of {price}; give {price} at the most"),
        );
        if self.in_force.change().discount.is_some() {
            fault
        } else {
            fault.about(self.in_force.region_name())
        }
    }

    /// Up to the least that is charged, where the price is below it.
    fn add_minimum(&mut self) -> Option<()> {
        let price = self.before.amount();
        let Some(least) = self.in_force.build_up().minimum_charge else {
            return Some(());
        };
        if least <= price {
            return Some(());
        }
        let source = self.in_force.source(|change| &change.minimum_charge);
        let basis = Basis::of([
            Term::new(
                Joint::Start,
                least,
                Unit::Money,
                "the least that is charged",
                source,
            ),
            Term::new(Joint::Less, price, Unit::Money, "price before it", ""),
        ]);
        self.add_some(
            LineKind::MinimumCharge,
            "up to the least that is charged",
            Decimal::ONE,
            Unit::Sum,
            basis,
        )
    }

    /// To the nearest multiple, by the rounding that holds; to the next one up where that would be less than the least
    /// that is charged.
    ///
    /// 1234.56 to tens: 123.456, so 123 x 10 = 1230.00, which is -4.56.
    fn add_rounding(&mut self) -> Option<()> {
        let is_step = |step: &Decimal| Decimal::ZERO < *step;
        let Some(step) = self.in_force.build_up().round_price_to.filter(is_step) else {
            return Some(());
        };
        let price = self.before.amount();
        let least = self.in_force.build_up().minimum_charge;
        let count = multiples(price, step, least, self.in_force.rounding())?;
        let source = self.in_force.source(|change| &change.round_price_to);
        let basis = Basis::of([
            Term::new(Joint::Start, count, Unit::Number, "multiples", ""),
            Term::new(Joint::Times, step, Unit::Money, "of this", source),
            Term::new(Joint::Less, price, Unit::Money, "price before rounding", ""),
        ]);
        self.add_some(
            LineKind::Rounding,
            "to a round figure",
            Decimal::ONE,
            Unit::Sum,
            basis,
        )
    }
}

/// How many times a step, above 0, the round figure nearest to a price is; the next one up where that would be less than
/// the least that is charged. `None` on overflow.
pub(crate) fn multiples(
    price: Decimal,
    step: Decimal,
    least: Option<Decimal>,
    rounding: Rounding,
) -> Option<Decimal> {
    let nearest = round(price.checked_div(step)?, 0, rounding);
    let below = nearest.checked_mul(step)?;
    if least.is_some_and(|least| least <= price && below < least) {
        nearest.checked_add(Decimal::ONE)
    } else {
        Some(nearest)
    }
}
