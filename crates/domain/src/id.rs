//! The names by which things are known inside a firm. One type a noun, so that no two can be confused.
//! An id is cheap to copy: every line of an estimate carries some. What is numbered has an id made of its number.

use std::fmt;
use std::sync::Arc;

/// Why a text is not an id.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error("{found:?} is not an id; {rule}")]
pub struct IdFault {
    /// What was found, shortened to 80 characters.
    pub found: String,
    /// What such an id is.
    pub rule: &'static str,
}

impl IdFault {
    fn new(found: &str, rule: &'static str) -> Self {
        Self {
            found: found.chars().take(80).collect(),
            rule,
        }
    }
}

/// What an id is.
const ID: &str = "an id has 1 to 63 lower-case letters, digits and hyphens, starts with a letter and does not end in a hyphen";

fn check(text: &str) -> Result<(), IdFault> {
    let bytes = text.as_bytes();
    let legal = |b: &u8| b.is_ascii_lowercase() || b.is_ascii_digit() || *b == b'-';
    let good = (1..=63).contains(&bytes.len())
        && bytes[0].is_ascii_lowercase()
        && !text.ends_with('-')
        && bytes.iter().all(legal);
    if good {
        Ok(())
    } else {
        Err(IdFault::new(text, ID))
    }
}

/// The number after a letter, from 1, written without leading zeros.
fn number_after(letter: char, text: &str) -> Option<u32> {
    let digits = text.strip_prefix(letter)?;
    let plain = digits.bytes().all(|byte| byte.is_ascii_digit()) && !digits.starts_with('0');
    let number = digits.parse().ok().filter(|_| plain)?;
    (number <= NUMBER_MAX).then_some(number)
}

/// The largest number of what is numbered: a message carries it in 32 bits with a sign.
const NUMBER_MAX: u32 = i32::MAX.unsigned_abs();

macro_rules! ids {
    ($($(#[$doc:meta])* $name:ident;)*) => {$(
        $(#[$doc])*
        #[derive(Debug, Clone, PartialEq, Eq, Hash, PartialOrd, Ord)]
        pub struct $name(Arc<str>);

        impl $name {
            /// Reads one, refusing what is not an id.
            pub fn parse(text: &str) -> Result<Self, IdFault> {
                check(text)?;
                Ok(Self(text.into()))
            }

            /// The text of it.
            pub fn as_str(&self) -> &str {
                &self.0
            }
        }

        impl fmt::Display for $name {
            fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
                f.write_str(&self.0)
            }
        }
    )*};
}

macro_rules! numbered_ids {
    ($($(#[$doc:meta])* $name:ident of $letter:literal: $rule:literal;)*) => {$(
        $(#[$doc])*
        #[derive(Debug, Clone, PartialEq, Eq, Hash, PartialOrd, Ord)]
        pub struct $name {
            number: u32,
            text: Arc<str>,
        }

        impl $name {
            /// The id of a number, 1 to 2147483647.
            pub fn new(number: u32) -> Result<Self, IdFault> {
                Self::parse(&format!("{}{number}", $letter))
            }

            /// Reads one, refusing what is not such an id.
            pub fn parse(text: &str) -> Result<Self, IdFault> {
                let number = number_after($letter, text).ok_or_else(|| IdFault::new(text, $rule))?;
                Ok(Self { number, text: text.into() })
            }

            /// Its number, 1 to 2147483647.
            pub const fn number(&self) -> u32 {
                self.number
            }

            /// The text of it.
            pub fn as_str(&self) -> &str {
                &self.text
            }
        }

        impl fmt::Display for $name {
            fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
                f.write_str(&self.text)
            }
        }
    )*};
}

numbered_ids! {
    /// A quote, by its number: `q17`.
    QuoteId of 'q': "the id of a quote is the letter q and its number, such as q17";
    /// A variation, by its number under its quote: `v3`.
    VariationId of 'v': "the id of a variation is the letter v and its number, such as v3";
}

ids! {
    /// A group of materials that are priced together, such as `lime`.
    MaterialGroup;
    /// A part of the building of which a job says who does it, such as `roof`.
    ScopePart;
    /// A crew.
    CrewId;
    /// What a worker is paid and planned as: `lead`, `practised`, `helper`, `volunteer`.
    Grade;
    /// A kept estimate, within its job.
    EstimateId;
    /// A job.
    JobId;
    /// A labour constant.
    LabourConstantId;
    /// A material.
    MaterialId;
    /// A method of mixing: `tarp`, `trodden-bed`, `drum-mixer`.
    Method;
    /// A mix.
    MixId;
    /// A mix trial, within its site.
    MixTrialId;
    /// A price or a labour rate, within its region.
    PriceId;
    /// A region.
    RegionId;
    /// A rule pack.
    RulePackId;
    /// A site.
    SiteId;
    /// A soil test, within its site.
    SoilTestId;
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn an_id_is_short_lower_case_and_starts_with_a_letter() {
        for good in ["a", "long-acre", "north-2", &"a".repeat(63)] {
            assert_eq!(
                SiteId::parse(good).map(|id| id.to_string()),
                Ok(good.to_owned())
            );
        }
        for bad in [
            "",
            "2-north",
            "Long",
            "a_b",
            "a-",
            "-a",
            "ä",
            "a b",
            &"a".repeat(64),
        ] {
            assert!(
                matches!(SiteId::parse(bad), Err(IdFault { found, .. }) if found == bad),
                "{bad}"
            );
        }
    }

    #[test]
    fn the_id_of_a_quote_is_the_letter_and_the_number_and_nothing_else() {
        for (text, number) in [("q1", 1), ("q17", 17), ("q2147483647", 2_147_483_647)] {
            let id = QuoteId::parse(text);
            assert_eq!(id.as_ref().map(QuoteId::number), Ok(number));
            assert_eq!(id, QuoteId::new(number));
            assert_eq!(id.map(|id| id.to_string()), Ok(text.to_owned()));
        }
        for bad in [
            "",
            "q",
            "17",
            "q0",
            "q01",
            "q-1",
            "q+1",
            "q1a",
            "Q1",
            "v1",
            "q2147483648",
            "q99999999999",
            "q\u{661}",
        ] {
            let fault = QuoteId::parse(bad).expect_err(bad).to_string();
            assert!(fault.ends_with("such as q17"), "{fault}");
        }
        assert!(QuoteId::new(0).is_err());
        assert_eq!(VariationId::new(3), VariationId::parse("v3"));
        assert!(
            QuoteId::new(9).expect("an id") < QuoteId::new(10).expect("an id"),
            "in the order of numbers"
        );
    }
}
