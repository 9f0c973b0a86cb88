//! Two estimates held against each other, line by line, with every difference split by what caused it: more or less of it,
//! another price, another labour constant, a line in one only, and what the build-up made of these.
//!
//! Reads two priced estimates as they were kept; what they are called and how they are shown is for others.

mod hours;
mod pair;
mod row;
mod rule;

use hod_units::{Currency, Decimal, Money};

use self::pair::pairs;
use crate::estimate::LineKind;
use crate::fault::{Fault, too_large};
use crate::quote::PricedEstimate;
use crate::unit::Unit;

/// Why an amount differs. The effects add up to the difference, to the minor unit.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Effects {
    /// More or less of it, at the old price and the old labour constants.
    pub quantity: Money,
    /// Another price or rate, at the new quantity.
    pub price: Money,
    /// Other labour constants, or hours of others, at the new quantity and the old rate.
    pub labour_constant: Money,
    /// It stands in one of the two only.
    pub scope: Money,
    /// A step of the build-up as it was before, on what now stands before it.
    pub carried: Money,
    /// Another percentage, tax, discount or rounding.
    pub build_up: Money,
}

/// A line of the one or of both.
#[derive(Debug, Clone, PartialEq)]
pub struct ComparisonRow {
    /// What it is for.
    pub kind: LineKind,
    /// What it is; as it was called before, where it stands in both.
    pub item: String,
    /// What it is counted in.
    pub unit: Unit,
    /// As it stood before; `None` when it stands only after.
    pub before: Option<RowSide>,
    /// As it stands after; `None` when it stood only before.
    pub after: Option<RowSide>,
    /// After less before.
    pub difference: Money,
    /// Why.
    pub effects: Effects,
}

/// What a line says in one of the two.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct RowSide {
    /// How much; on a step of the build-up its percentage.
    pub quantity: Decimal,
    /// Money to one unit; `None` on a step of the build-up.
    pub unit_price: Option<Decimal>,
    /// What it comes to.
    pub amount: Money,
}

/// Two estimates held against each other.
#[derive(Debug, Clone, PartialEq)]
pub struct Comparison {
    /// Of every amount.
    pub currency: Currency,
    /// The lines, in the order of an estimate, those that do not differ within.
    pub rows: Vec<ComparisonRow>,
    /// What the one came to.
    pub before_total: Money,
    /// What the other comes to.
    pub after_total: Money,
    /// After less before.
    pub difference: Money,
    /// The sums of the rows' effects.
    pub effects: Effects,
}

impl Effects {
    /// None at all.
    pub const fn none(currency: Currency) -> Self {
        let nothing = Money::zero(currency);
        Self {
            quantity: nothing,
            price: nothing,
            labour_constant: nothing,
            scope: nothing,
            carried: nothing,
            build_up: nothing,
        }
    }

    /// All of them together: the difference. `None` on overflow.
    pub fn sum(&self) -> Option<Money> {
        let each = [
            self.quantity,
            self.price,
            self.labour_constant,
            self.scope,
            self.carried,
            self.build_up,
        ];
        Money::checked_sum(self.quantity.currency(), each).ok()
    }

    fn and(self, other: Self) -> Option<Self> {
        let add = |one: Money, other| one.checked_add(other).ok();
        Some(Self {
            quantity: add(self.quantity, other.quantity)?,
            price: add(self.price, other.price)?,
            labour_constant: add(self.labour_constant, other.labour_constant)?,
            scope: add(self.scope, other.scope)?,
            carried: add(self.carried, other.carried)?,
            build_up: add(self.build_up, other.build_up)?,
        })
    }
}

/// Holds two estimates against each other; refused across currencies.
///
/// ```text
/// material, hire ...  quantity  (new - old quantity) x old price
///                     price     new quantity x (new - old price)
/// labour              quantity  (old constants at new quantities - old hours) x old rate
///                     constant  (new hours - old constants at new quantities) x old rate
///                     price     new hours x (new - old rate)
/// in one only         scope     all of it
/// step, tax           carried   old percentage x what now stands before it - old amount
///                     build-up  new amount - old percentage x what now stands before it
/// ```
///
/// Each product is rounded as the old estimate rounds before it is taken from the next, so that what is shown adds up. What
/// another rule of rounding changes on a line is an effect of the build-up.
///
/// ```
/// use hod_domain::compare::compare;
/// use hod_domain::estimate::LineKind;
/// use hod_domain::quote::{PricedEstimate, PricedLine};
/// use hod_domain::region::{BuildUp, Profit};
/// use hod_domain::unit::Unit;
/// use hod_units::{Currency, Decimal, Money, Rounding, Share, parse_date};
/// use rust_decimal::dec;
///
/// let euro = Currency::parse("EUR")?;
/// let priced = |tonnes, price, profit_percent, profit: Decimal| -> Result<_, Box<dyn std::error::Error>> {
///     let line = |kind, item: &str, quantity, unit, unit_price, amount| PricedLine {
///         kind,
///         item: item.to_owned(),
///         quantity,
///         unit,
///         unit_price,
///         amount: Money::new(amount, euro),
///         part: None,
///     };
///     Ok(PricedEstimate {
///         display_name: "garden wall".to_owned(),
///         currency: euro,
///         rounding: Rounding::default(),
///         price_date: parse_date("2026-03-01")?,
///         lines: vec![
///             line(LineKind::Material, "sand", tonnes, Unit::T, Some(price), tonnes * price),
///             line(LineKind::Profit, "profit", profit_percent, Unit::Percent, None, profit),
///         ],
///         labour: vec![],
///         works: vec![],
///         scope: vec![],
///         measured: vec![],
///         build_up: BuildUp {
///             profit: Profit::MarkupOnCost(Share::from_percent(profit_percent)),
///             ..BuildUp::default()
///         },
///         daywork_rates: vec![],
///         cautions: vec![],
///         provisional: vec![],
///         lift_count: 4,
///     })
/// };
/// // 4 t of sand at 25.00 and 10 % profit: 110.00. Then 6 t at 30.00 and 15 %: 207.00.
/// let before = priced(dec!(4), dec!(25), dec!(10), dec!(10.00))?;
/// let after = priced(dec!(6), dec!(30), dec!(15), dec!(27.00))?;
/// let comparison = compare(&before, &after).expect("of one currency");
/// let money = |amount| Money::new(amount, euro);
/// assert_eq!(comparison.difference, money(dec!(97.00)));
/// // 2 t more at 25.00, and 5.00 more for each of 6 t.
/// assert_eq!(comparison.effects.quantity, money(dec!(50.00)));
/// assert_eq!(comparison.effects.price, money(dec!(30.00)));
/// // 10 % of 180.00 is 8.00 more than before, and 15 % another 9.00.
/// assert_eq!(comparison.effects.carried, money(dec!(8.00)));
/// assert_eq!(comparison.effects.build_up, money(dec!(9.00)));
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
pub fn compare(before: &PricedEstimate, after: &PricedEstimate) -> Result<Comparison, Vec<Fault>> {
    if before.currency != after.currency {
        return Err(vec![Fault::of_resource(
            "",
            "CURRENCIES_DIFFER",
            format!(
                "the one is in {} and the other in {}; only what is paid in one currency can be compared",
                before.currency, after.currency
            ),
        )]);
    }
    compared(before, after).ok_or_else(|| vec![too_large("what was compared")])
}

fn compared(before: &PricedEstimate, after: &PricedEstimate) -> Option<Comparison> {
    let currency = before.currency;
    let rows: Vec<ComparisonRow> = pairs(before, after)
        .into_iter()
        .map(|pair| row::row(before, after, &pair))
        .collect::<Option<_>>()?;
    let effects = rows
        .iter()
        .try_fold(Effects::none(currency), |sum, row| sum.and(row.effects))?;
    let total = |estimate: &PricedEstimate| {
        Money::checked_sum(currency, estimate.lines.iter().map(|line| line.amount)).ok()
    };
    let (before_total, after_total) = (total(before)?, total(after)?);
    Some(Comparison {
        currency,
        rows,
        before_total,
        after_total,
        difference: after_total.checked_sub(before_total).ok()?,
        effects,
    })
}
