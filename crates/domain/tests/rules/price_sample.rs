//! Prices put together from lines of known amounts, for the rules from direct cost to price.

use hod_domain::basis::Basis;
use hod_domain::build_up::{InForce, build_up};
use hod_domain::estimate::{Line, LineKind};
use hod_domain::fault::Fault;
use hod_domain::job::Job;
use hod_domain::region::{BuildUp, PricePart, Region, Tax};
use hod_domain::text::Text;
use hod_domain::unit::Unit;
use hod_units::{Currency, Decimal, Money, canonical};
use rust_decimal::dec;

use crate::sample::{percent, region};

/// A region that adds nothing but what a test gives it.
pub fn region_with(currency: &str, build_up: BuildUp) -> Region {
    Region {
        build_up,
        ..region("coast", None, currency)
    }
}

/// A line of so much money.
pub fn of(kind: LineKind, amount: Decimal, currency: Currency) -> Line {
    Line {
        kind,
        item: Text::from(format!("{kind:?}")),
        quantity: Decimal::ONE,
        unit: Unit::Sum,
        unit_price: Some(amount),
        price_source: Text::default(),
        amount: Money::new(amount, currency),
        basis: Basis::default(),
        part: None,
    }
}

pub fn tax_on(label: &str, share: Decimal, parts: &[PricePart]) -> Tax {
    Tax {
        label: label.to_owned(),
        share: percent(share),
        parts: parts.to_vec(),
    }
}

/// All lines of a price; each is checked to come out of its basis.
pub fn price(
    region: &Region,
    job: &Job,
    direct: &[(LineKind, Decimal)],
    income: &[Decimal],
) -> Result<Vec<Line>, Fault> {
    let of = |(kind, amount): &(LineKind, Decimal)| of(*kind, *amount, region.currency);
    let income: Vec<Line> = income
        .iter()
        .map(|amount| of(&(LineKind::Income, *amount)))
        .collect();
    let in_force = InForce::of(region, job);
    let lines = build_up(&in_force, direct.iter().map(of).collect(), income)?;
    for line in lines.iter().filter(|line| line.unit_price.is_none()) {
        let worked = Money::new(line.basis.work().expect("small"), region.currency);
        assert_eq!(
            worked.rounded(in_force.rounding()),
            line.amount,
            "{}: {:?}",
            line.item,
            line.basis
        );
        assert!(!line.basis.terms.is_empty(), "{}", line.item);
    }
    Ok(lines)
}

/// The lines that are neither direct cost as given nor a step at nothing, as `kind | item | quantity unit | amount`.
pub fn steps(region: &Region, direct: &[(LineKind, Decimal)], income: &[Decimal]) -> Vec<String> {
    let lines = price(region, &Job::default(), direct, income).expect("a price");
    lines[direct.len()..]
        .iter()
        .filter(|line| !line.amount.amount().is_zero())
        .map(shown)
        .collect()
}

pub fn shown(line: &Line) -> String {
    format!(
        "{:?} | {} | {} {} | {}",
        line.kind,
        line.item,
        canonical(line.quantity),
        line.unit.word(),
        line.amount.fixed()
    )
}

/// What all lines come to.
pub fn total(lines: &[Line]) -> Decimal {
    lines.iter().map(|line| line.amount.amount()).sum()
}

/// The terms of a line's basis, as `joint value label (source)`.
pub fn terms(line: &Line) -> Vec<String> {
    let term = |term: &hod_domain::basis::Term| {
        let (value, label, source) = (canonical(term.value), &term.label, &term.source);
        format!("{:?} {value} {label} ({source})", term.joint)
    };
    line.basis.terms.iter().map(term).collect()
}

/// 1000.00 of material and 2000.00 of labour.
pub const THREE_THOUSAND: [(LineKind, Decimal); 2] = [
    (LineKind::Material, dec!(1000)),
    (LineKind::Labour, dec!(2000)),
];
