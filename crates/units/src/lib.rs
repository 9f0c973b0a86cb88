//! Quantities, money and dates: parse, print, convert; the only place that rounds.
//!
//! Every number is an exact decimal. What a number measures is its type, so a loose volume cannot be added
//! to a mass, and an amount in one currency cannot be added to one in another. Nothing here knows walls,
//! prices or people, reads a clock, or rounds unless it is told to.

mod area;
mod currency;
mod date;
mod density;
mod hours;
mod length;
mod mass;
mod money;
mod number;
mod quantity;
mod round;
mod share;
mod volume;

pub use area::{Area, AreaUnit};
pub use currency::{Currency, CurrencyFault};
pub use date::{Date, DateFault, DateRange, parse_date};
pub use density::{Density, DensityUnit};
pub use hours::{Hours, HoursUnit};
pub use length::{Length, LengthUnit};
pub use mass::{Mass, MassUnit};
pub use money::{Money, MoneyFault, UNIT_PRICE_PLACES};
pub use number::{NumberFault, canonical, fixed, parse_decimal};
pub use quantity::{QuantityFault, Unit};
pub use round::{Rounding, round, split};
pub use rust_decimal::Decimal;
pub use share::{Share, ShareUnit};
pub use volume::{Volume, VolumeUnit};
