//! The names by which things are known inside a firm. One type a noun, so that no two can be confused.
//! An id is cheap to copy: every line of an estimate carries some.

use std::fmt;
use std::sync::Arc;

/// Why a text is not an id.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error(
    "{found:?} is not an id; an id has 1 to 63 lower-case letters, digits and hyphens, starts with a letter and does not end in a hyphen"
)]
pub struct IdFault {
    /// What was found, shortened to 80 characters.
    pub found: String,
}

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
        Err(IdFault {
            found: text.chars().take(80).collect(),
        })
    }
}

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
                matches!(SiteId::parse(bad), Err(IdFault { found }) if found == bad),
                "{bad}"
            );
        }
    }
}
