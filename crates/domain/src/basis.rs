//! How a figure came about: its numbers in order, each with its unit and source.
//!
//! A basis is worked strictly from left to right and can be worked again by anyone; it is put into words only where
//! it is shown. Figures here are worked from their basis, so that the two cannot come apart.

use hod_units::Decimal;
use rust_decimal::dec;

use crate::text::Text;
use crate::unit::Unit;

/// How a term joins what stands before it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Joint {
    /// The first term, and every term that begins a further product, which is added to those before it.
    Start,
    /// Added.
    Plus,
    /// Taken away.
    Less,
    /// Multiplied.
    Times,
    /// Divided.
    Over,
    /// Increased by this percentage of itself.
    PlusPercent,
    /// This percentage of what stands before.
    PercentOf,
}

/// One number of a basis.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Term {
    /// How it joins the terms before it.
    pub joint: Joint,
    /// The number.
    pub value: Decimal,
    /// What it is counted in.
    pub unit: Unit,
    /// What it is: `placed volume`, `waste`.
    pub label: Text,
    /// Where it came from; empty when it follows from the drawing.
    pub source: Text,
}

impl Term {
    /// One number, with what it is and where it came from.
    pub fn new(
        joint: Joint,
        value: Decimal,
        unit: Unit,
        label: impl Into<Text>,
        source: impl Into<Text>,
    ) -> Self {
        Self {
            joint,
            value,
            unit,
            label: label.into(),
            source: source.into(),
        }
    }

    /// This term joined to `before`; `None` on overflow or division by zero.
    pub(crate) fn join(&self, before: Decimal) -> Option<Decimal> {
        let share = || self.value.checked_mul(dec!(0.01));
        match self.joint {
            Joint::Start => Some(self.value),
            Joint::Plus => before.checked_add(self.value),
            Joint::Less => before.checked_sub(self.value),
            Joint::Times => before.checked_mul(self.value),
            Joint::Over => before.checked_div(self.value),
            Joint::PlusPercent => before.checked_mul(share()?.checked_add(Decimal::ONE)?),
            Joint::PercentOf => before.checked_mul(share()?),
        }
    }
}

/// How a figure came about.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Basis {
    /// The terms, from left to right.
    pub terms: Vec<Term>,
    /// How the result was brought to the quantity shown; empty when it was not.
    pub rounding: Text,
}

impl Basis {
    /// What the terms come to before rounding: each joins what stands before it, and a term that starts anew adds
    /// what it begins to what is already there. Without terms nothing, and `None` on overflow or division by zero.
    ///
    /// ```
    /// use hod_domain::basis::{Basis, Joint, Term};
    /// use hod_domain::unit::Unit;
    /// use hod_units::canonical;
    /// use rust_decimal::dec;
    ///
    /// // 2 x 3 m2 of one face and 4 x 5 m2 of another, and 10 % of both: (6 + 10 %) + (20 + 10 %) = 28.6.
    /// let term = |joint, value| Term::new(joint, value, Unit::M2, "", "");
    /// let basis = Basis {
    ///     terms: vec![
    ///         term(Joint::Start, dec!(2)),
    ///         term(Joint::Times, dec!(3)),
    ///         term(Joint::PlusPercent, dec!(10)),
    ///         term(Joint::Start, dec!(4)),
    ///         term(Joint::Times, dec!(5)),
    ///         term(Joint::PlusPercent, dec!(10)),
    ///     ],
    ///     ..Basis::default()
    /// };
    /// assert_eq!(basis.work().map(canonical).as_deref(), Some("28.6"));
    /// ```
    pub fn work(&self) -> Option<Decimal> {
        let (mut sum, mut product) = (Decimal::ZERO, Decimal::ZERO);
        for term in &self.terms {
            if term.joint == Joint::Start {
                sum = sum.checked_add(product)?;
            }
            product = term.join(product)?;
        }
        sum.checked_add(product)
    }

    /// The basis of one product or sum.
    pub(crate) fn of(terms: impl Into<Vec<Term>>) -> Self {
        Self {
            terms: terms.into(),
            rounding: Text::default(),
        }
    }

    /// The sum of many, each a product that begins anew.
    pub(crate) fn sum(many: impl IntoIterator<Item = Self>) -> Self {
        let mut sum = Self::default();
        for basis in many {
            sum.terms.extend(basis.terms);
        }
        sum
    }

    /// The same, with how the result is rounded said beside it.
    pub(crate) fn to(mut self, rounding: impl Into<Text>) -> Self {
        self.rounding = rounding.into();
        self
    }

    /// Every product of it carried on by the same terms: `(a + b) x c` as `a x c + b x c`.
    pub(crate) fn carried_on(&self, tail: &[Term]) -> Self {
        let products = self
            .terms
            .iter()
            .filter(|term| term.joint == Joint::Start)
            .count();
        let mut terms = Vec::with_capacity(self.terms.len() + products * tail.len());
        for (at, term) in self.terms.iter().enumerate() {
            if term.joint == Joint::Start && at != 0 {
                terms.extend_from_slice(tail);
            }
            terms.push(term.clone());
        }
        if !self.terms.is_empty() {
            terms.extend_from_slice(tail);
        }
        Self {
            terms,
            rounding: Text::default(),
        }
    }

    /// So many times it: every product begins with `count`, which multiplies what stood first. For products only,
    /// since a sum within one would be multiplied in part.
    pub(crate) fn times_over(&self, count: &Term) -> Self {
        let products = self
            .terms
            .iter()
            .filter(|term| term.joint == Joint::Start)
            .count();
        let mut terms = Vec::with_capacity(self.terms.len() + products);
        for term in &self.terms {
            if term.joint == Joint::Start {
                terms.push(count.clone());
                terms.push(Term {
                    joint: Joint::Times,
                    ..term.clone()
                });
            } else {
                terms.push(term.clone());
            }
        }
        Self {
            terms,
            rounding: Text::default(),
        }
    }
}
