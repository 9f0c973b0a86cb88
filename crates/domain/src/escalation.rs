//! Escalation: a price adjusted by published indices, as price-adjustment clauses do it. Which series hold for which part
//! of a price is agreed between people; whether an old quote may be adjusted at all is not decided here.

use hod_units::{Decimal, Money, Rounding, Share, canonical, round};
use rust_decimal::dec;

use crate::basis::{Basis, Joint, Term};
use crate::fault::{Fault, too_large};
use crate::text::Text;
use crate::unit::Unit;

/// The factor is shown to so many places.
const FACTOR_PLACES: u32 = 12;

/// The difference is shown in per cent to so many places.
const PERCENT_PLACES: u32 = 2;

/// Past this place of an amount stands only what divisions leave behind: an amount just half-way between two cents must not
/// fall by it.
const NOISE_PLACES: u32 = 15;

/// A part of a price that follows an index.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct IndexedPart {
    /// What it is: `labour`.
    pub label: String,
    /// Of the price; above 0.
    pub share: Share,
    /// Which series, as it is published.
    pub series: String,
    /// Its figure on the base date; above 0.
    pub base: Decimal,
    /// Its figure now; above 0.
    pub current: Decimal,
}

/// How a price follows indices: a fixed share, and shares that each follow a series. They come to the whole.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Formula {
    /// What is not adjusted, of the price.
    pub fixed: Share,
    /// What is; one at least.
    pub parts: Vec<IndexedPart>,
}

/// A price adjusted.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Escalation {
    /// The price as it was.
    pub price: Money,
    /// What it is multiplied by, to 12 places.
    pub factor: Decimal,
    /// The price adjusted, rounded once.
    pub adjusted: Money,
    /// The one less the other.
    pub difference: Money,
    /// That in per cent of the price as it was, to 0.01; 0 for a price of nothing.
    pub percent: Decimal,
    /// How the adjusted price came about.
    pub basis: Basis,
}

impl Formula {
    /// What does not hold of it. Fields are named as `fixed_percent` and `parts[0].base_index`.
    pub fn faults(&self) -> Vec<Fault> {
        let mut faults = Vec::new();
        if self.fixed.is_negative() {
            let message = format!("the fixed share is {}; give 0 % or more", self.fixed);
            faults.push(Fault::of_field("fixed_percent", "NEGATIVE", message));
        }
        for (at, part) in self.parts.iter().enumerate() {
            let figures = [
                ("percent", part.share.percent()),
                ("base_index", part.base),
                ("current_index", part.current),
            ];
            for (field, value) in figures {
                if value <= Decimal::ZERO {
                    let (label, value) = (&part.label, canonical(value));
                    faults.push(Fault::of_field(
                        format!("parts[{at}].{field}"),
                        "NOT_POSITIVE",
                        format!("{field} of {label} is {value}; give more than 0"),
                    ));
                }
            }
        }
        faults.extend(self.shares_fault());
        faults
    }

    fn shares_fault(&self) -> Option<Fault> {
        if self.parts.is_empty() {
            return Some(Fault::of_field(
                "parts",
                "NO_INDEXED_PART",
                "no part of the price follows an index, so that nothing would be adjusted; name one part at least",
            ));
        }
        let shares = std::iter::once(self.fixed).chain(self.parts.iter().map(|part| part.share));
        let whole = Share::checked_sum(shares);
        (whole != Some(Share::WHOLE)).then(|| {
            let found = whole.map_or_else(
                || "more than can be reckoned with".to_owned(),
                |whole| whole.to_string(),
            );
            Fault::of_field(
                "parts",
                "SHARES_NOT_WHOLE",
                format!(
                    "the fixed share and the parts come to {found}; they must come to exactly 100 %"
                ),
            )
        })
    }

    /// A price adjusted.
    ///
    /// ```text
    /// Pn = P x (a + b1 x I1n/I10 + b2 x I2n/I20 + ...)     a + b1 + b2 + ... = 1
    /// ```
    ///
    /// With `P` the price, `a` the fixed share, `bi` the share that follows series `i`, and of that series `Ii0` the figure
    /// on the base date and `Iin` the figure now. Refused with every fault.
    ///
    /// ```
    /// use hod_domain::escalation::{Formula, IndexedPart};
    /// use hod_units::{Currency, Money, Rounding, Share};
    /// use rust_decimal::dec;
    ///
    /// // 10,000.00, a fifth of it fixed and the rest by an invented series that went from 120 to 126, by a twentieth:
    /// // 10,000 x (0.2 + 0.8 x 1.05) = 10,400.00.
    /// let formula = Formula {
    ///     fixed: Share::from_percent(dec!(20)),
    ///     parts: vec![IndexedPart {
    ///         label: "labour".to_owned(),
    ///         share: Share::from_percent(dec!(80)),
    ///         series: "wages in building, invented".to_owned(),
    ///         base: dec!(120),
    ///         current: dec!(126),
    ///     }],
    /// };
    /// let euro = Currency::parse("EUR").expect("in the list");
    /// let price = Money::new(dec!(10000), euro);
    /// let escalation = formula.escalate(price, Rounding::HalfAwayFromZero).expect("nothing is wrong");
    /// assert_eq!(escalation.adjusted.to_string(), "10400.00 EUR");
    /// assert_eq!((escalation.factor, escalation.percent), (dec!(1.04), dec!(4)));
    /// ```
    pub fn escalate(&self, price: Money, rounding: Rounding) -> Result<Escalation, Vec<Fault>> {
        let faults = self.faults();
        if !faults.is_empty() {
            return Err(faults);
        }
        self.worked(price, rounding)
            .ok_or_else(|| vec![too_large("the adjusted price")])
    }

    /// `None` on overflow.
    fn worked(&self, price: Money, rounding: Rounding) -> Option<Escalation> {
        let basis = self.basis(price);
        let exact = round(basis.work()?, NOISE_PLACES, Rounding::HalfAwayFromZero);
        let adjusted = Money::new(exact, price.currency()).rounded(rounding);
        let difference = adjusted.checked_sub(price).ok()?;
        let percent = if price.amount().is_zero() {
            Decimal::ZERO
        } else {
            let hundredfold = difference.amount().checked_mul(dec!(100))?;
            hundredfold.checked_div(price.amount())?
        };
        let factor = self.factor()?;
        Some(Escalation {
            price,
            factor: round(factor, FACTOR_PLACES, Rounding::HalfAwayFromZero),
            adjusted,
            difference,
            percent: round(percent, PERCENT_PLACES, Rounding::HalfAwayFromZero),
            basis,
        })
    }

    /// What a price of one comes to; `None` on overflow.
    fn factor(&self) -> Option<Decimal> {
        let of_part = |sum: Decimal, part: &IndexedPart| {
            let share = part.share.fraction();
            sum.checked_add(share.checked_mul(part.current)?.checked_div(part.base)?)
        };
        self.parts.iter().try_fold(self.fixed.fraction(), of_part)
    }

    /// One product for the fixed share, when there is any, and one for every part.
    fn basis(&self, price: Money) -> Basis {
        let start = || {
            let label = "price before adjustment";
            Term::new(Joint::Start, price.amount(), Unit::Money, label, "")
        };
        let mut terms = Vec::with_capacity(2 + 4 * self.parts.len());
        if !self.fixed.is_zero() {
            let percent = self.fixed.percent();
            terms.push(start());
            terms.push(Term::new(
                Joint::PercentOf,
                percent,
                Unit::Percent,
                "fixed",
                "",
            ));
        }
        for part in &self.parts {
            let series = Text::from(part.series.clone());
            let label = part.label.clone();
            let percent = part.share.percent();
            terms.push(start());
            terms.push(Term::new(
                Joint::PercentOf,
                percent,
                Unit::Percent,
                label,
                "",
            ));
            terms.push(Term::new(
                Joint::Times,
                part.current,
                Unit::Number,
                "index now",
                &series,
            ));
            terms.push(Term::new(
                Joint::Over,
                part.base,
                Unit::Number,
                "index on the base date",
                &series,
            ));
        }
        Basis::of(terms).to("to the currency's minor unit")
    }
}
