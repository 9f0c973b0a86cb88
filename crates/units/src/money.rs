//! Money: an exact amount in one currency. Sums refuse to mix currencies; rounding is to the currency's minor unit.
//! How a price is built up, what is taxed and what is rounded when is not decided here.

use std::fmt;

use rust_decimal::Decimal;
use thiserror::Error;

use crate::currency::Currency;
use crate::number::{canonical, fixed};
use crate::round::{Rounding, round, split};

/// Most decimals of a unit price. A price per litre or per kilogram may need more than the minor unit; an amount
/// that is charged never has more than the currency's own.
pub const UNIT_PRICE_PLACES: u32 = 6;

/// An amount of money in a currency.
///
/// The amount may be finer than the minor unit: a unit price has up to [`UNIT_PRICE_PLACES`] decimals, and the
/// product of a quantity and a price more still. [`Money::rounded`] brings it to what can be charged.
///
/// ```
/// use hod_units::{Currency, Money, Rounding, parse_decimal};
///
/// // 37.5 bales at 32.918 EUR: 1234.425 EUR, charged as 1234.43 EUR.
/// let euro = Currency::parse("EUR").expect("in the list");
/// let price = Money::new(parse_decimal("32.918").expect("a number"), euro);
/// let line = price.checked_mul(parse_decimal("37.5").expect("a number")).expect("small");
/// assert_eq!(line.to_string(), "1234.425 EUR"); // not rounded yet, and shown so
/// assert_eq!(line.rounded(Rounding::HalfAwayFromZero).to_string(), "1234.43 EUR");
///
/// let rand = Currency::parse("ZAR").expect("in the list");
/// let refused = line.checked_add(Money::zero(rand)).unwrap_err();
/// assert_eq!(refused.to_string(), "EUR and ZAR cannot be added; bring both into one currency first");
/// ```
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub struct Money {
    amount: Decimal,
    currency: Currency,
}

/// Why two amounts make no third.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Error)]
pub enum MoneyFault {
    /// A sum over two currencies.
    #[error("{left} and {right} cannot be added; bring both into one currency first")]
    CurrenciesDiffer {
        /// The currency of the first.
        left: Currency,
        /// The currency of the second.
        right: Currency,
    },
    /// More than a decimal can hold.
    #[error("the amount in {currency} is larger than can be reckoned with")]
    TooLarge {
        /// The currency of the amount.
        currency: Currency,
    },
}

impl Money {
    /// An amount, as exact as it is given.
    pub const fn new(amount: Decimal, currency: Currency) -> Self {
        Self { amount, currency }
    }

    /// Nothing, in a currency.
    pub const fn zero(currency: Currency) -> Self {
        Self::new(Decimal::ZERO, currency)
    }

    /// The amount, in the currency's main unit.
    pub const fn amount(self) -> Decimal {
        self.amount
    }

    /// The currency.
    pub const fn currency(self) -> Currency {
        self.currency
    }

    /// How many decimals the amount really has: 1.50 has one.
    pub fn places(self) -> u32 {
        self.amount.normalize().scale()
    }

    /// Whether the amount can be charged: it has no more decimals than the currency.
    pub fn is_rounded(self) -> bool {
        self.places() <= self.currency.minor_units()
    }

    /// Rounded to the currency's minor unit.
    pub fn rounded(self, how: Rounding) -> Self {
        Self::new(
            round(self.amount, self.currency.minor_units(), how),
            self.currency,
        )
    }

    /// The sum; refused across currencies.
    pub fn checked_add(self, other: Self) -> Result<Self, MoneyFault> {
        self.same_currency(other)?;
        self.held(self.amount.checked_add(other.amount))
    }

    /// The difference; refused across currencies.
    pub fn checked_sub(self, other: Self) -> Result<Self, MoneyFault> {
        self.same_currency(other)?;
        self.held(self.amount.checked_sub(other.amount))
    }

    /// So many times as much, not rounded: exact as long as the digits of both number at most 28 together.
    pub fn checked_mul(self, factor: Decimal) -> Result<Self, MoneyFault> {
        self.held(self.amount.checked_mul(factor))
    }

    /// The sum of many amounts of one currency, in the order given; nothing at all is zero of `currency`.
    pub fn checked_sum(
        currency: Currency,
        many: impl IntoIterator<Item = Self>,
    ) -> Result<Self, MoneyFault> {
        many.into_iter()
            .try_fold(Self::zero(currency), Self::checked_add)
    }

    /// Shared out by weights in minor units, so that the shares add up to it; see [`crate::split`] for when it is
    /// `None`.
    pub fn split(self, weights: &[Decimal]) -> Option<Vec<Self>> {
        let shares = split(self.amount, weights, self.currency.minor_units())?;
        Some(
            shares
                .into_iter()
                .map(|share| Self::new(share, self.currency))
                .collect(),
        )
    }

    /// The amount alone, with the currency's decimals: `1234.50`. Finer amounts show every decimal they have.
    pub fn fixed(self) -> String {
        fixed(self.amount, self.currency.minor_units())
    }

    /// The amount alone in its canonical form, as it is sent and stored: `1234.5`.
    pub fn canonical(self) -> String {
        canonical(self.amount)
    }

    fn same_currency(self, other: Self) -> Result<(), MoneyFault> {
        if self.currency == other.currency {
            Ok(())
        } else {
            Err(MoneyFault::CurrenciesDiffer {
                left: self.currency,
                right: other.currency,
            })
        }
    }

    fn held(self, amount: Option<Decimal>) -> Result<Self, MoneyFault> {
        let amount = amount.ok_or(MoneyFault::TooLarge {
            currency: self.currency,
        })?;
        Ok(Self::new(amount, self.currency))
    }
}

/// `1234.50 EUR`.
impl fmt::Display for Money {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{} {}", self.fixed(), self.currency)
    }
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;
    use rust_decimal::dec;

    use super::*;

    fn money(amount: Decimal, code: &str) -> Money {
        Money::new(amount, Currency::parse(code).expect(code))
    }

    #[test]
    fn an_amount_prints_with_the_decimals_of_its_currency() {
        for (amount, code, expected) in [
            (dec!(1234.5), "EUR", "1234.50 EUR"),
            (dec!(1234), "JPY", "1234 JPY"),
            (dec!(1234.5), "KWD", "1234.500 KWD"),
            (dec!(-0.5), "USD", "-0.50 USD"),
            (dec!(-0.00), "USD", "0.00 USD"),
            (dec!(0.085125), "NZD", "0.085125 NZD"),
        ] {
            assert_eq!(money(amount, code).to_string(), expected);
        }
        assert_eq!(money(dec!(1234.50), "EUR").canonical(), "1234.5");
        assert_eq!(money(dec!(1234.5), "EUR").fixed(), "1234.50");
    }

    #[test]
    fn rounding_is_to_the_minor_unit_of_the_currency() {
        for (amount, code, away, even) in [
            (dec!(2.345), "EUR", dec!(2.35), dec!(2.34)),
            (dec!(1234.5), "JPY", dec!(1235), dec!(1234)),
            (dec!(0.0005), "TND", dec!(0.001), dec!(0)),
            (dec!(0.00005), "CLF", dec!(0.0001), dec!(0)),
        ] {
            assert_eq!(
                money(amount, code).rounded(Rounding::HalfAwayFromZero),
                money(away, code)
            );
            assert_eq!(
                money(amount, code).rounded(Rounding::HalfToEven),
                money(even, code)
            );
        }
    }

    #[test]
    fn an_amount_finer_than_its_minor_unit_is_known_as_such() {
        assert!(money(dec!(1.50), "EUR").is_rounded());
        assert!(money(dec!(1.500), "EUR").is_rounded());
        assert!(!money(dec!(1.505), "EUR").is_rounded());
        assert!(!money(dec!(1.5), "JPY").is_rounded());
        assert_eq!(money(dec!(0.0851250), "EUR").places(), UNIT_PRICE_PLACES);
    }

    #[test]
    fn two_currencies_are_never_added() {
        let (euro, rand) = (money(dec!(1), "EUR"), money(dec!(1), "ZAR"));
        let fault = MoneyFault::CurrenciesDiffer {
            left: euro.currency(),
            right: rand.currency(),
        };
        assert_eq!(euro.checked_add(rand), Err(fault));
        assert_eq!(euro.checked_sub(rand), Err(fault));
        assert_eq!(
            Money::checked_sum(euro.currency(), [euro, rand]),
            Err(fault)
        );
        assert_ne!(Money::zero(euro.currency()), Money::zero(rand.currency()));
    }

    #[test]
    fn sums_and_products_are_exact_until_they_are_rounded() {
        let price = money(dec!(0.1), "EUR");
        assert_eq!(
            Money::checked_sum(price.currency(), [price; 3]),
            Ok(money(dec!(0.3), "EUR"))
        );
        assert_eq!(
            Money::checked_sum(price.currency(), []),
            Ok(Money::zero(price.currency()))
        );
        assert_eq!(
            price.checked_sub(money(dec!(0.25), "EUR")),
            Ok(money(dec!(-0.15), "EUR"))
        );
        // 29.99 and a quarter on top: 37.4875, charged as 37.49.
        let price = money(dec!(29.99), "EUR")
            .checked_mul(dec!(1.25))
            .expect("small");
        assert_eq!(price, money(dec!(37.4875), "EUR"));
        assert_eq!(
            price.rounded(Rounding::default()),
            money(dec!(37.49), "EUR")
        );
    }

    #[test]
    fn more_money_than_can_be_held_is_told_with_its_currency() {
        let most = money(Decimal::MAX, "EUR");
        let fault = MoneyFault::TooLarge {
            currency: most.currency(),
        };
        assert_eq!(most.checked_add(most), Err(fault));
        assert_eq!(most.checked_mul(dec!(2)), Err(fault));
        assert_eq!(
            fault.to_string(),
            "the amount in EUR is larger than can be reckoned with"
        );
    }

    #[test]
    fn a_discount_is_shared_out_to_the_cent() {
        // 10.00 off three lines of 33.33, 33.33 and 33.34: 3.333, 3.333, 3.334, and the cent over to the third.
        let shares = money(dec!(-10), "EUR").split(&[dec!(33.33), dec!(33.33), dec!(33.34)]);
        let expected = [dec!(-3.33), dec!(-3.33), dec!(-3.34)].map(|share| money(share, "EUR"));
        assert_eq!(shares.as_deref(), Some(expected.as_slice()));
        assert_eq!(
            money(dec!(100), "JPY")
                .split(&[dec!(1); 3])
                .map(|shares| shares[0]),
            Some(money(dec!(34), "JPY"))
        );
        assert_eq!(money(dec!(0.005), "EUR").split(&[dec!(1)]), None);
    }

    proptest! {
        #[test]
        fn rounded_lines_add_up_to_the_total_shown(lines in prop::collection::vec(any::<i32>(), 0..40)) {
            let euro = Currency::parse("EUR").expect("in the list");
            let shown = |line: &i32| Money::new(Decimal::new(i64::from(*line), 4), euro).rounded(Rounding::default());
            let total = Money::checked_sum(euro, lines.iter().map(shown)).expect("small");
            prop_assert!(total.is_rounded());
            let printed: Decimal = lines.iter().map(|line| crate::parse_decimal(&shown(line).fixed()).expect("printed")).sum();
            prop_assert_eq!(crate::parse_decimal(&total.fixed()), Ok(printed));
        }
    }
}
