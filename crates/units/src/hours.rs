//! Hours of labour or hire, as a decimal. Not a time of day and not a span between two instants.
//! Whose hours they are, and what they cost, is for whatever holds them to say.

use rust_decimal::Decimal;

use crate::quantity::{Unit, quantity, read};

quantity! {
    /// Hours. Base unit: hour (h). Minutes are not read: a third of an hour has no exact decimal.
    ///
    /// ```
    /// use hod_units::{Hours, HoursUnit, QuantityFault};
    ///
    /// // Three people for 7.5 h.
    /// let each = Hours::parse("7.5", HoursUnit::Hour)?;
    /// assert_eq!(each.checked_mul(3.into()).unwrap_or_default().to_string(), "22.5 h");
    /// # Ok::<(), QuantityFault>(())
    /// ```
    Hours in HoursUnit, from_hours / hours, read by read, printed as hours in Hour
}

/// The unit of hours: there is one, and it may be left out or written.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum HoursUnit {
    /// h
    Hour,
}

impl Unit for HoursUnit {
    const ACCEPTED: &'static str = "h, with decimals for part of an hour, such as 7.5 h";

    fn named(name: &str) -> Option<Self> {
        matches!(name, "h" | "hour" | "hours").then_some(Self::Hour)
    }

    fn symbol(self) -> &'static str {
        "h"
    }

    fn size(self) -> (Decimal, Decimal) {
        (Decimal::ONE, Decimal::ONE)
    }
}
