//! What lines come to part by part, and how a figure that is of no part is shared out over them.

use hod_units::{Decimal, Money};

use crate::basis::{Joint, Term};
use crate::estimate::LineKind;
use crate::region::PricePart;
use crate::text::Text;
use crate::unit::Unit;

/// What each part of a price comes to, in the order of [`PricePart::ALL`].
#[derive(Debug, Clone, Copy, Default)]
pub(crate) struct Parts([Decimal; PricePart::ALL.len()]);

impl Parts {
    /// The sums of lines by part; lines of no part are left out. `None` on overflow.
    pub fn of(lines: impl Iterator<Item = (LineKind, Money)>) -> Option<Self> {
        let mut parts = Self::default();
        for (kind, amount) in lines {
            if let Some(part) = kind.part() {
                let sum = &mut parts.0[part as usize];
                *sum = sum.checked_add(amount.amount())?;
            }
        }
        Some(parts)
    }

    /// An amount shared out over the parts by what they come to, to the minor unit, by largest remainder. Where they come
    /// to nothing it is all overheads, contingency and profit. `None` on overflow.
    pub fn share(&self, amount: Money) -> Option<Self> {
        let mut shares = Self::default();
        if self.0.iter().all(Decimal::is_zero) {
            shares.0[PricePart::OnCost as usize] = amount.amount();
            return Some(shares);
        }
        for (share, money) in shares.0.iter_mut().zip(amount.split(&self.0)?) {
            *share = money.amount();
        }
        Some(shares)
    }

    /// What one part comes to.
    pub fn part(&self, part: PricePart) -> Decimal {
        self.0[part as usize]
    }

    /// What several parts come to, each once; `None` on overflow.
    pub fn sum(&self, of: &[PricePart]) -> Option<Decimal> {
        named(of).try_fold(Decimal::ZERO, |sum, part| sum.checked_add(self.part(part)))
    }

    /// Several parts as the terms of a sum, those that come to nothing left out; one term at the least.
    pub fn terms(&self, of: &[PricePart]) -> Vec<Term> {
        let mut terms = Vec::with_capacity(of.len() + 2);
        for part in named(of) {
            add(&mut terms, self.part(part), || part.word().to_owned());
        }
        if terms.is_empty() {
            terms.push(Term::new(
                Joint::Start,
                Decimal::ZERO,
                Unit::Money,
                "nothing that it is on",
                "",
            ));
        }
        terms
    }
}

/// The parts that are named, in the order of the lines, each once.
pub(super) fn named(of: &[PricePart]) -> impl Iterator<Item = PricePart> {
    PricePart::ALL.into_iter().filter(|part| of.contains(part))
}

/// Adds money to the terms of a sum, or takes away what is below 0; nothing adds no term.
pub(super) fn add(terms: &mut Vec<Term>, amount: Decimal, label: impl FnOnce() -> String) {
    if !amount.is_zero() {
        push(terms, amount, &label().into(), &Text::default());
    }
}

/// The same, and nothing is a term too.
pub(super) fn push(terms: &mut Vec<Term>, amount: Decimal, label: &Text, source: &Text) {
    let (joint, amount) = match (terms.is_empty(), amount < Decimal::ZERO) {
        (true, _) => (Joint::Start, amount),
        (false, false) => (Joint::Plus, amount),
        (false, true) => (Joint::Less, amount.abs()),
    };
    terms.push(Term::new(joint, amount, Unit::Money, label, source));
}
