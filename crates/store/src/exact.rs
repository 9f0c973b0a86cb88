//! Refusing a number that its column could not hold as it is. Postgres would round the places away without a word;
//! nothing is rounded here, and every number of a thing that does not fit is named at once.

use hod_units::{Decimal, canonical};

use crate::fault::StoreFault;

/// Places after the point that a column holds unless said otherwise: as many as a request may carry.
pub const PLACES_MAX: u32 = 12;
/// Places of a unit price.
pub const UNIT_PRICE_PLACES_MAX: u32 = 6;
/// Places of a wage.
pub const WAGE_PLACES_MAX: u32 = 4;
/// Places of a total: as many as any currency's minor unit has.
pub(crate) const TOTAL_PLACES_MAX: u32 = 4;

/// One more than the largest whole number that any column holds: 15 digits, as many as a request may carry. Each column
/// has a narrower rule of its own.
const WHOLE_LIMIT: Decimal = Decimal::from_parts(2_764_472_320, 232_830, 0, false, 0);

/// The numbers of one thing on their way to their columns.
#[derive(Default)]
pub(crate) struct Exact {
    complaints: Vec<String>,
}

impl Exact {
    /// A number for a column of `PLACES_MAX` places.
    pub(crate) fn number(&mut self, column: &str, value: Decimal) -> Decimal {
        self.places(column, value, PLACES_MAX)
    }

    /// A number for a column of `PLACES_MAX` places, when there is one.
    pub(crate) fn optional(&mut self, column: &str, value: Option<Decimal>) -> Option<Decimal> {
        value.map(|value| self.number(column, value))
    }

    /// A number for a column of so many places.
    pub(crate) fn places(&mut self, column: &str, value: Decimal, places: u32) -> Decimal {
        let value = value.normalize();
        let found = value.scale();
        if places < found {
            let value = canonical(value);
            self.complaints.push(format!(
                "{column} is {value}, with {found} decimals; at most {places} are kept"
            ));
        }
        if WHOLE_LIMIT <= value.abs() {
            let value = canonical(value);
            self.complaints.push(format!(
                "{column} is {value}; at most 15 digits before the point are kept"
            ));
        }
        value
    }

    /// Refuses the thing when a number of it does not fit, naming every one.
    pub(crate) fn check(self) -> Result<(), StoreFault> {
        if self.complaints.is_empty() {
            return Ok(());
        }
        Err(StoreFault::refused(
            "number_fits_its_column",
            self.complaints.join("; "),
        ))
    }
}
