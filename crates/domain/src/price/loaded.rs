//! What a productive hour costs the firm: the wage and all that comes on top of it, times the hours paid for every hour
//! that is productive.

use std::fmt::Write;

use hod_units::{Currency, Decimal, Money, Rounding, canonical};

use super::{BurdenAmount, LabourRate};
use crate::basis::{Basis, Joint, Term};
use crate::text::Text;
use crate::unit::Unit;

impl LabourRate {
    /// What an hour costs the firm, to the currency's minor unit. `None` on overflow, or without a productive hour.
    ///
    /// ```text
    /// loaded = (wage + wage x burden + each further burden) x hours paid / hours productive, rounded once
    /// ```
    ///
    /// ```
    /// use hod_domain::{id::{Grade, PriceId}, price::{Burden, BurdenAmount, LabourRate, PaidYear}};
    /// use hod_units::{Currency, DateRange, Hours, Rounding, Share, parse_date};
    /// use rust_decimal::dec;
    ///
    /// // 17.35 an hour and 22.5 % on top: 17.35 x 1.225 = 21.25375, so 21.25.
    /// let mut rate = LabourRate {
    ///     id: PriceId::parse("lead-2026").expect("an id"),
    ///     grade: Grade::parse("lead").expect("a grade"),
    ///     wage: dec!(17.35),
    ///     burden: Share::from_percent(dec!(22.5)),
    ///     burdens: Vec::new(),
    ///     year: None,
    ///     in_force: DateRange::new(parse_date("2026-03-01").expect("a date"), None).expect("no end"),
    ///     source: String::new(),
    ///     note: String::new(),
    /// };
    /// let euro = Currency::parse("EUR").expect("in the list");
    /// let loaded = rate.loaded(euro, Rounding::HalfAwayFromZero).expect("small");
    /// assert_eq!(loaded.to_string(), "21.25 EUR");
    ///
    /// // With 8 % holiday pay of the wage, 0.60 an hour for tools, and 1,664 of 2,080 paid hours productive:
    /// // 21.25375 + 1.388 + 0.60 = 23.24175, x 2080 / 1664 = 29.0521875, so 29.05.
    /// let on_top = |label: &str, amount| Burden { label: label.to_owned(), amount };
    /// rate.burdens = vec![
    ///     on_top("holiday pay", BurdenAmount::OfWage(Share::from_percent(dec!(8)))),
    ///     on_top("tools", BurdenAmount::PerHour(dec!(0.60))),
    /// ];
    /// rate.year = Some(PaidYear {
    ///     paid: Hours::from_hours(dec!(2080)),
    ///     productive: Hours::from_hours(dec!(1664)),
    /// });
    /// let loaded = rate.loaded(euro, Rounding::HalfAwayFromZero).expect("small");
    /// assert_eq!(loaded.to_string(), "29.05 EUR");
    /// # Ok::<(), hod_domain::id::IdFault>(())
    /// ```
    pub fn loaded(&self, currency: Currency, rounding: Rounding) -> Option<Money> {
        Some(Money::new(self.loaded_basis()?.work()?, currency).rounded(rounding))
    }

    /// How the loaded rate comes about, from left to right. A further burden of the wage stands there as the money that it
    /// comes to, since each is of the wage alone and not of what stands before it. `None` on overflow.
    pub fn loaded_basis(&self) -> Option<Basis> {
        let source = Text::default;
        let mut terms = Vec::with_capacity(2 + self.burdens.len() + 2);
        terms.push(Term::new(
            Joint::Start,
            self.wage,
            Unit::Money,
            "wage of an hour",
            source(),
        ));
        if !self.burden.is_zero() {
            let percent = self.burden.percent();
            terms.push(Term::new(
                Joint::PlusPercent,
                percent,
                Unit::Percent,
                "on top of the wage",
                source(),
            ));
        }
        for burden in &self.burdens {
            let (amount, label) = match burden.amount {
                BurdenAmount::PerHour(amount) => (amount, burden.label.clone()),
                BurdenAmount::OfWage(share) => (
                    self.wage.checked_mul(share.fraction())?,
                    format!("{}, {share} of the wage", burden.label),
                ),
            };
            terms.push(Term::new(Joint::Plus, amount, Unit::Money, label, source()));
        }
        if let Some(year) = self.year {
            let hours = [
                (Joint::Times, year.paid, "hours paid"),
                (Joint::Over, year.productive, "hours productive"),
            ];
            terms.extend(hours.map(|(joint, hours, label)| {
                Term::new(joint, hours.hours(), Unit::H, label, source())
            }));
        }
        Some(Basis::of(terms).to("to the currency's minor unit"))
    }

    /// Its make-up in short: `wage 20 and 25 % on top, tools 0.6, 1664 of 2080 paid hours productive`.
    pub(crate) fn make_up(&self) -> String {
        let mut words = format!("wage {} and {} on top", canonical(self.wage), self.burden);
        for burden in &self.burdens {
            // Writing to a string cannot fail.
            let _ = match burden.amount {
                BurdenAmount::OfWage(share) => write!(words, ", {} {share}", burden.label),
                BurdenAmount::PerHour(amount) => {
                    write!(words, ", {} {}", burden.label, canonical(amount))
                }
            };
        }
        if let Some(year) = self.year {
            let [productive, paid]: [Decimal; 2] = [year.productive, year.paid].map(|h| h.hours());
            let (productive, paid) = (canonical(productive), canonical(paid));
            let _ = write!(words, ", {productive} of {paid} paid hours productive");
        }
        words
    }
}
