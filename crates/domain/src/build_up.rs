//! From direct cost to price: site overhead, firm overhead, contingency, profit and tax, each a line on what stands
//! before it. Discounts, minimum charges and payment are not decided here.

use hod_units::{Money, Share};

use crate::basis::{Basis, Joint, Term};
use crate::estimate::{Line, LineKind};
use crate::region::{Profit, Region, Tax, TaxBasis};
use crate::text::Text;
use crate::unit::Unit;

/// How many lines the build-up has: two overheads, contingency, profit and tax.
pub(crate) const STEPS: usize = 5;

/// The lines from direct cost to price, for the lines of direct cost; `None` on overflow.
///
/// ```text
/// site overhead   direct cost x share
/// firm overhead   (direct cost + site overhead) x share
/// contingency     cost so far x share
/// profit          cost x markup, or cost / (1 - margin) - cost
/// tax             price x share; by line: each line's own, rounded, then added
/// ```
///
/// Markup and margin differ: 20 % markup on 1000.00 makes the price 1200.00, 20 % margin makes it 1250.00, of which
/// 250.00 is a fifth.
pub fn build_up(region: &Region, direct: &[Line]) -> Option<Vec<Line>> {
    let shares = &region.build_up;
    let mut steps = Steps::after(region, direct)?;
    steps.add_share(
        LineKind::Overhead,
        "site overhead",
        shares.site_overhead,
        "direct cost",
    )?;
    steps.add_share(
        LineKind::Overhead,
        "firm overhead",
        shares.firm_overhead,
        "direct cost and site overhead",
    )?;
    steps.add_share(
        LineKind::Contingency,
        "contingency",
        shares.contingency,
        "cost before contingency",
    )?;
    match shares.profit {
        Profit::MarkupOnCost(markup) => {
            steps.add_share(
                LineKind::Profit,
                "profit, a markup on cost",
                markup,
                "cost before profit",
            )?;
        }
        Profit::MarginOnPrice(margin) => steps.add_margin(margin)?,
    }
    let price = steps.before;
    for tax in &shares.taxes.each {
        match shares.taxes.basis {
            TaxBasis::Invoice => steps.add_tax(tax, price)?,
            TaxBasis::Line => steps.add_tax_by_line(tax, direct)?,
        }
    }
    Some(steps.lines)
}

/// The steps taken so far, and what stands before the next.
struct Steps<'a> {
    region: &'a Region,
    source: Text,
    before: Money,
    lines: Vec<Line>,
}

impl<'a> Steps<'a> {
    /// Before the first step: direct cost. `None` on overflow.
    fn after(region: &'a Region, direct: &[Line]) -> Option<Self> {
        let before =
            Money::checked_sum(region.currency, direct.iter().map(|line| line.amount)).ok()?;
        let source = Text::from(format!("regions/{}", region.id));
        Some(Self {
            region,
            source,
            before,
            lines: Vec::with_capacity(STEPS),
        })
    }

    /// A share of what stands before.
    fn add_share(
        &mut self,
        kind: LineKind,
        item: impl Into<Text>,
        share: Share,
        of: &'static str,
    ) -> Option<()> {
        let basis = Basis::of([
            Term::new(Joint::Start, self.before.amount(), Unit::Money, of, ""),
            Term::new(
                Joint::PercentOf,
                share.percent(),
                Unit::Percent,
                "share",
                &self.source,
            ),
        ]);
        self.add(kind, item.into(), share, basis)
    }

    /// Profit as a share of the price that it makes: cost over what the margin leaves, less the cost.
    fn add_margin(&mut self, margin: Share) -> Option<()> {
        let left = Share::WHOLE.checked_sub(margin)?.fraction();
        let cost = self.before.amount();
        let basis = Basis::of([
            Term::new(Joint::Start, cost, Unit::Money, "cost before profit", ""),
            Term::new(Joint::Over, left, Unit::Number, "1 - margin", &self.source),
            Term::new(Joint::Less, cost, Unit::Money, "cost before profit", ""),
        ]);
        self.add(
            LineKind::Profit,
            "profit, a margin on price".into(),
            margin,
            basis,
        )
    }

    /// Tax of the price, rounded once.
    fn add_tax(&mut self, tax: &Tax, price: Money) -> Option<()> {
        let basis = Basis::of([
            Term::new(
                Joint::Start,
                price.amount(),
                Unit::Money,
                "price before tax",
                "",
            ),
            Term::new(
                Joint::PercentOf,
                tax.share.percent(),
                Unit::Percent,
                "share",
                &self.source,
            ),
        ]);
        self.add(LineKind::Tax, label(tax), tax.share, basis)
    }

    /// Tax of each line of the price, rounded, then added.
    fn add_tax_by_line(&mut self, tax: &Tax, direct: &[Line]) -> Option<()> {
        let (item, share) = (label(tax), tax.share);
        let mut terms = Vec::with_capacity(direct.len() + self.lines.len());
        let steps = self.lines.iter().filter(|line| line.kind != LineKind::Tax);
        for line in direct.iter().chain(steps) {
            let tax = line
                .amount
                .checked_mul(share.fraction())
                .ok()?
                .rounded(self.region.rounding);
            let joint = if terms.is_empty() {
                Joint::Start
            } else {
                Joint::Plus
            };
            terms.push(Term::new(
                joint,
                tax.amount(),
                Unit::Money,
                &line.item,
                &self.source,
            ));
        }
        self.add(LineKind::Tax, item, share, Basis::of(terms))
    }

    /// Adds a step whose amount is what its basis comes to, rounded.
    fn add(&mut self, kind: LineKind, item: Text, share: Share, basis: Basis) -> Option<()> {
        let amount = Money::new(basis.work()?, self.region.currency).rounded(self.region.rounding);
        self.before = self.before.checked_add(amount).ok()?;
        self.lines.push(Line {
            kind,
            item,
            quantity: share.percent(),
            unit: Unit::Percent,
            unit_price: None,
            price_source: Text::default(),
            amount,
            basis: basis.to("to the currency's minor unit"),
            part: None,
        });
        Some(())
    }
}

/// What a tax is called on its line.
fn label(tax: &Tax) -> Text {
    Text::from(if tax.label.is_empty() {
        "tax".to_owned()
    } else {
        tax.label.clone()
    })
}
