//! From direct cost to price: allowances within direct cost, site overhead, firm overhead, contingency and profit, each a
//! line on what stands before it; then what the price is adjusted by (`adjust`); then taxes (`tax`). Which build-up
//! holds for a job is said in `in_force`. Terms of payment are not decided here.

use hod_units::{Decimal, Money, Share};

pub(crate) use self::adjust::multiples;
pub(crate) use self::parts::Parts;
use crate::basis::{Basis, Joint, Term};
use crate::estimate::{Line, LineKind};
use crate::fault::{Fault, too_large};
use crate::region::{AllowanceAmount, Profit};
use crate::text::Text;
use crate::unit::Unit;

mod adjust;
mod in_force;
mod parts;
mod tax;

pub use self::in_force::InForce;

/// How many lines a plain build-up has: two overheads, contingency, profit and tax.
pub(crate) const STEPS: usize = 5;

/// The lines of direct cost carried on to the price; `income` are lines below 0 that stand after profit. Refused where
/// income or discount exceed the price, and on overflow.
///
/// ```text
/// allowances      share of parts of direct cost, or of all of it before them; or an amount
/// site overhead   direct cost x share
/// firm overhead   (direct cost + site overhead) x share
/// contingency     cost so far x share
/// profit          cost x markup, or cost / (1 - margin) - cost
/// income          as its lines say, below 0
/// discount        price x share, or an amount, below 0
/// minimum charge  the least that is charged - price, where that is above 0
/// rounding        nearest multiple - price
/// taxes           each: price x share; on parts: (parts + their share of what stands after profit) x share; by line:
///                 each line's own, rounded, then added
/// ```
///
/// The two overheads, contingency, profit and tax stand there even when they come to nothing; all else does not.
///
/// Markup and margin differ: 20 % markup on 1000.00 makes the price 1200.00, 20 % margin makes it 1250.00, of which
/// 250.00 is a fifth.
pub fn build_up(
    in_force: &InForce<'_>,
    direct: Vec<Line>,
    income: Vec<Line>,
) -> Result<Vec<Line>, Fault> {
    let overflow = || too_large("the price of the job");
    let mut steps = Steps::after(in_force, direct).ok_or_else(overflow)?;
    steps.add_allowances().ok_or_else(overflow)?;
    steps.add_on_cost().ok_or_else(overflow)?;
    steps.adjust(income)?;
    steps.add_taxes().ok_or_else(overflow)?;
    Ok(steps.lines)
}

/// The lines so far, and what they come to.
struct Steps<'a> {
    in_force: &'a InForce<'a>,
    before: Money,
    lines: Vec<Line>,
}

impl<'a> Steps<'a> {
    /// Before the first step: direct cost. `None` on overflow.
    fn after(in_force: &'a InForce<'a>, direct: Vec<Line>) -> Option<Self> {
        let amounts = direct.iter().map(|line| line.amount);
        let before = Money::checked_sum(in_force.currency(), amounts).ok()?;
        Some(Self {
            in_force,
            before,
            lines: direct,
        })
    }

    /// What the lines so far come to by part. `None` on overflow.
    fn parts(&self) -> Option<Parts> {
        Parts::of(self.lines.iter().map(|line| (line.kind, line.amount)))
    }

    /// What is allowed for without being measured. All allowances are of the direct cost before the first of them.
    fn add_allowances(&mut self) -> Option<()> {
        let allowances = &self.in_force.build_up().allowances;
        if allowances.is_empty() {
            return Some(());
        }
        let (parts, direct) = (self.parts()?, self.before.amount());
        for allowance in allowances {
            let source = self.in_force.source(|change| &change.allowances);
            let (quantity, unit, basis) = match &allowance.amount {
                AllowanceAmount::Of(share, of) => {
                    let whole = || {
                        let label = "direct cost before allowances";
                        vec![Term::new(Joint::Start, direct, Unit::Money, label, "")]
                    };
                    let mut terms = if of.is_empty() {
                        whole()
                    } else {
                        parts.terms(of)
                    };
                    let percent = share.percent();
                    terms.push(percent_of(percent, "share", source));
                    (percent, Unit::Percent, Basis::of(terms))
                }
                AllowanceAmount::Fixed(amount) => {
                    let term = Term::new(Joint::Start, *amount, Unit::Money, "allowance", source);
                    (Decimal::ONE, Unit::Sum, Basis::of([term]))
                }
            };
            let item = Text::from(allowance.label.clone());
            self.add_some(LineKind::Other, item, quantity, unit, basis)?;
        }
        Some(())
    }

    /// Overheads, contingency and profit.
    fn add_on_cost(&mut self) -> Option<()> {
        let (in_force, shares) = (self.in_force, self.in_force.build_up());
        self.add_share(
            LineKind::Overhead,
            "site overhead",
            shares.site_overhead,
            "direct cost",
            in_force.source(|change| &change.site_overhead),
        )?;
        self.add_share(
            LineKind::Overhead,
            "firm overhead",
            shares.firm_overhead,
            "direct cost and site overhead",
            in_force.source(|change| &change.firm_overhead),
        )?;
        self.add_share(
            LineKind::Contingency,
            "contingency",
            shares.contingency,
            "cost before contingency",
            in_force.source(|change| &change.contingency),
        )?;
        match shares.profit {
            Profit::MarkupOnCost(markup) => self.add_share(
                LineKind::Profit,
                "profit, a markup on cost",
                markup,
                "cost before profit",
                in_force.source(|change| &change.profit),
            ),
            Profit::MarginOnPrice(margin) => self.add_margin(margin),
        }
    }

    /// A share of what stands before.
    fn add_share(
        &mut self,
        kind: LineKind,
        item: &'static str,
        share: Share,
        of: &'static str,
        source: Text,
    ) -> Option<()> {
        let percent = share.percent();
        let basis = Basis::of([
            Term::new(Joint::Start, self.before.amount(), Unit::Money, of, ""),
            percent_of(percent, "share", source),
        ]);
        self.add(kind, item, percent, Unit::Percent, basis)
    }

    /// Profit as a share of the price that it makes: cost over what the margin leaves, less the cost.
    fn add_margin(&mut self, margin: Share) -> Option<()> {
        let left = Share::WHOLE.checked_sub(margin)?.fraction();
        let cost = self.before.amount();
        let source = self.in_force.source(|change| &change.profit);
        let basis = Basis::of([
            Term::new(Joint::Start, cost, Unit::Money, "cost before profit", ""),
            Term::new(Joint::Over, left, Unit::Number, "1 - margin", source),
            Term::new(Joint::Less, cost, Unit::Money, "cost before profit", ""),
        ]);
        self.add(
            LineKind::Profit,
            "profit, a margin on price",
            margin.percent(),
            Unit::Percent,
            basis,
        )
    }

    /// Adds a step unless it comes to nothing.
    fn add_some(
        &mut self,
        kind: LineKind,
        item: impl Into<Text>,
        quantity: Decimal,
        unit: Unit,
        basis: Basis,
    ) -> Option<()> {
        if self.rounded(basis.work()?).amount().is_zero() {
            return Some(());
        }
        self.add(kind, item, quantity, unit, basis)
    }

    /// Adds a step whose amount is what its basis comes to, rounded.
    fn add(
        &mut self,
        kind: LineKind,
        item: impl Into<Text>,
        quantity: Decimal,
        unit: Unit,
        basis: Basis,
    ) -> Option<()> {
        let amount = self.rounded(basis.work()?);
        self.before = self.before.checked_add(amount).ok()?;
        self.lines.push(Line {
            kind,
            item: item.into(),
            quantity,
            unit,
            unit_price: None,
            price_source: Text::default(),
            amount,
            basis: basis.to("to the currency's minor unit"),
            part: None,
        });
        Some(())
    }

    /// To the currency's minor unit, by the rounding that holds.
    fn rounded(&self, exact: Decimal) -> Money {
        Money::new(exact, self.in_force.currency()).rounded(self.in_force.rounding())
    }
}

fn percent_of(percent: Decimal, label: &'static str, source: Text) -> Term {
    Term::new(Joint::PercentOf, percent, Unit::Percent, label, source)
}
