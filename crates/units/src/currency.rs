//! Currencies: the codes of ISO 4217 and how many decimals each is charged in.
//! Amounts are in `money`. Rounding to what a till has coins for is no part of the standard, and is not done.

use std::fmt;

use thiserror::Error;

use crate::number::quoted;

/// A currency that prices can be in: one of ISO 4217 with a minor unit.
///
/// ```
/// use hod_units::{Currency, CurrencyFault};
///
/// assert_eq!(Currency::parse("EUR")?.minor_units(), 2);
/// assert_eq!(Currency::parse("JPY")?.minor_units(), 0);
/// assert_eq!(Currency::parse("TND")?.minor_units(), 3);
/// assert_eq!(
///     Currency::parse("eur").unwrap_err().to_string(),
///     "\"eur\" is not a currency; write the three capital letters of its ISO 4217 code, such as EUR"
/// );
/// # Ok::<(), CurrencyFault>(())
/// ```
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub struct Currency {
    code: &'static str,
    minor_units: u32,
}

/// Why a text is not a currency.
#[derive(Debug, Clone, PartialEq, Eq, Error)]
pub enum CurrencyFault {
    /// Not a code of the standard's list of current currencies.
    #[error(
        "{found} is not a currency; write the three capital letters of its ISO 4217 code, such as EUR"
    )]
    Unknown {
        /// The text, quoted and shortened.
        found: String,
    },
    /// A code of the standard for what nothing is priced in: metals, units of account, tests.
    #[error(
        "{found} has no minor unit in ISO 4217, so no price can be in it; use a currency such as EUR"
    )]
    NothingIsPricedInIt {
        /// The text, quoted and shortened.
        found: String,
    },
}

impl Currency {
    /// The currency of a code, in capitals.
    pub fn parse(text: &str) -> Result<Self, CurrencyFault> {
        let listed = |(minor_units, codes): &(u32, &'static [&'static str])| {
            let at = codes.binary_search(&text).ok()?;
            Some(Self {
                code: codes[at],
                minor_units: *minor_units,
            })
        };
        LISTS.iter().find_map(listed).ok_or_else(|| {
            let found = quoted(text);
            if WITHOUT_MINOR_UNIT.contains(&text) {
                CurrencyFault::NothingIsPricedInIt { found }
            } else {
                CurrencyFault::Unknown { found }
            }
        })
    }

    /// The three capital letters.
    pub const fn code(self) -> &'static str {
        self.code
    }

    /// How many decimals an amount is charged in: 2 for the euro and its cents.
    pub const fn minor_units(self) -> u32 {
        self.minor_units
    }

    /// Every currency that prices can be in, the most usual number of decimals first.
    pub fn all() -> impl Iterator<Item = Self> {
        LISTS.iter().flat_map(|(minor_units, codes)| {
            codes.iter().map(|code| Self {
                code,
                minor_units: *minor_units,
            })
        })
    }
}

/// The code.
impl fmt::Display for Currency {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.code)
    }
}

/// ISO 4217 list one, as published on 2026-01-01, by number of decimals. Each list is in order of code.
const LISTS: [(u32, &[&str]); 4] = [
    (2, HUNDREDTHS),
    (0, UNDIVIDED),
    (3, THOUSANDTHS),
    (4, TEN_THOUSANDTHS),
];

const HUNDREDTHS: &[&str] = &[
    "AED", "AFN", "ALL", "AMD", "AOA", "ARS", "AUD", "AWG", "AZN", "BAM", "BBD", "BDT", "BMD",
    "BND", "BOB", "BOV", "BRL", "BSD", "BTN", "BWP", "BYN", "BZD", "CAD", "CDF", "CHE", "CHF",
    "CHW", "CNY", "COP", "COU", "CRC", "CUP", "CVE", "CZK", "DKK", "DOP", "DZD", "EGP", "ERN",
    "ETB", "EUR", "FJD", "FKP", "GBP", "GEL", "GHS", "GIP", "GMD", "GTQ", "GYD", "HKD", "HNL",
    "HTG", "HUF", "IDR", "ILS", "INR", "IRR", "JMD", "KES", "KGS", "KHR", "KPW", "KYD", "KZT",
    "LAK", "LBP", "LKR", "LRD", "LSL", "MAD", "MDL", "MGA", "MKD", "MMK", "MNT", "MOP", "MRU",
    "MUR", "MVR", "MWK", "MXN", "MXV", "MYR", "MZN", "NAD", "NGN", "NIO", "NOK", "NPR", "NZD",
    "PAB", "PEN", "PGK", "PHP", "PKR", "PLN", "QAR", "RON", "RSD", "RUB", "SAR", "SBD", "SCR",
    "SDG", "SEK", "SGD", "SHP", "SLE", "SOS", "SRD", "SSP", "STN", "SVC", "SYP", "SZL", "THB",
    "TJS", "TMT", "TOP", "TRY", "TTD", "TWD", "TZS", "UAH", "USD", "USN", "UYU", "UZS", "VED",
    "VES", "WST", "XAD", "XCD", "XCG", "YER", "ZAR", "ZMW", "ZWG",
];

const UNDIVIDED: &[&str] = &[
    "BIF", "CLP", "DJF", "GNF", "ISK", "JPY", "KMF", "KRW", "PYG", "RWF", "UGX", "UYI", "VND",
    "VUV", "XAF", "XOF", "XPF",
];

const THOUSANDTHS: &[&str] = &["BHD", "IQD", "JOD", "KWD", "LYD", "OMR", "TND"];

const TEN_THOUSANDTHS: &[&str] = &["CLF", "UYW"];

/// Codes of the same list whose minor unit is not applicable.
const WITHOUT_MINOR_UNIT: &[&str] = &[
    "XAG", "XAU", "XBA", "XBB", "XBC", "XBD", "XDR", "XPD", "XPT", "XSU", "XTS", "XUA", "XXX",
];

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn decimals_are_those_of_the_standard() {
        for (code, minor_units) in [
            ("USD", 2),
            ("EUR", 2),
            ("GBP", 2),
            ("NZD", 2),
            ("INR", 2),
            ("MXN", 2),
            ("JPY", 0),
            ("ISK", 0),
            ("XAF", 0),
            ("KWD", 3),
            ("TND", 3),
            ("CLF", 4),
            ("UYW", 4),
        ] {
            let currency = Currency::parse(code).expect(code);
            assert_eq!(
                (currency.code(), currency.minor_units()),
                (code, minor_units)
            );
        }
    }

    #[test]
    fn every_listed_currency_is_found_by_its_code_and_listed_once() {
        // Looking up is by halving, which needs each list in order: a code out of place would not be found.
        let all: Vec<Currency> = Currency::all().collect();
        assert_eq!(all.len(), 139 + 17 + 7 + 2);
        for currency in &all {
            assert_eq!(Currency::parse(currency.code()), Ok(*currency));
            assert_eq!(
                all.iter()
                    .filter(|other| other.code() == currency.code())
                    .count(),
                1
            );
        }
    }

    #[test]
    fn what_is_not_a_currency_is_refused() {
        for text in ["", "eur", "Eur", "EURO", "EU", " EUR", "DEM", "€"] {
            assert_eq!(
                Currency::parse(text),
                Err(CurrencyFault::Unknown {
                    found: quoted(text)
                }),
                "{text}"
            );
        }
    }

    #[test]
    fn nothing_is_priced_in_gold_or_in_the_code_for_tests() {
        for text in ["XAU", "XXX", "XTS", "XDR"] {
            let fault = CurrencyFault::NothingIsPricedInIt {
                found: quoted(text),
            };
            assert_eq!(Currency::parse(text), Err(fault), "{text}");
        }
    }
}
