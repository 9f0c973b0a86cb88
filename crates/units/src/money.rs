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

    /// So many times as much, not rounded.
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
