//! Calendar dates and ranges of them: when a price, a rate or a season holds. No time of day, zone or clock:
//! what today is, the caller says.

use std::fmt;

use chrono::Datelike;
pub use chrono::NaiveDate as Date;
use thiserror::Error;

use crate::number::quoted;

/// First and last year that a date may be in; outside them a date is a slip of the finger.
const YEARS: std::ops::RangeInclusive<i32> = 1900..=2199;

/// Why a text is not a date, or two dates are not a range.
#[derive(Debug, Clone, PartialEq, Eq, Error)]
pub enum DateFault {
    /// Not four digits, two and two with hyphens between.
    #[error("{found} is not a date; write year-month-day in digits, such as 2026-05-01")]
    NotADate {
        /// The text, quoted and shortened.
        found: String,
    },
    /// Rightly written, but no such day: 30 February.
    #[error("{found} is not a day of the calendar")]
    NotInTheCalendar {
        /// The text, quoted and shortened.
        found: String,
    },
    /// A year before 1900 or after 2199.
    #[error(
        "{found} is out of range; years 1900 to 2199 are accepted, and a range without an end is left open"
    )]
    YearOutOfRange {
        /// The text, quoted and shortened.
        found: String,
    },
    /// A range that holds no day.
    #[error(
        "a range from {from} up to but not including {to} holds no day; the end must be after the start"
    )]
    EmptyRange {
        /// The first day.
        from: Date,
        /// The day after the last.
        to: Date,
    },
}

/// Reads a date written `2026-05-01`, and nothing else.
///
/// ```
/// use hod_units::{DateFault, parse_date};
///
/// assert_eq!(parse_date("2026-05-01")?.to_string(), "2026-05-01");
/// assert_eq!(
///     parse_date("1/5/2026").unwrap_err().to_string(),
///     "\"1/5/2026\" is not a date; write year-month-day in digits, such as 2026-05-01"
/// );
/// # Ok::<(), DateFault>(())
/// ```
pub fn parse_date(text: &str) -> Result<Date, DateFault> {
    let (year, month, day) = numbers(text).ok_or_else(|| DateFault::NotADate {
        found: quoted(text),
    })?;
    let date = Date::from_ymd_opt(year, month, day).ok_or_else(|| DateFault::NotInTheCalendar {
        found: quoted(text),
    })?;
    if YEARS.contains(&date.year()) {
        Ok(date)
    } else {
        Err(DateFault::YearOutOfRange {
            found: quoted(text),
        })
    }
}

/// The three numbers of `dddd-dd-dd`; `None` for any other form.
fn numbers(text: &str) -> Option<(i32, u32, u32)> {
    let is_written_so = text.len() == 10
        && text.bytes().enumerate().all(|(at, byte)| match at {
            4 | 7 => byte == b'-',
            _ => byte.is_ascii_digit(),
        });
    let mut parts = is_written_so.then(|| text.split('-'))?;
    Some((
        parts.next()?.parse().ok()?,
        parts.next()?.parse().ok()?,
        parts.next()?.parse().ok()?,
    ))
}

/// Days from one date up to but not including another, or without an end. Never empty.
///
/// Half-open, so that ranges that follow each other share a date and no day: prices to the 1st, and prices from
/// the 1st. People are shown the last day instead, here and nowhere else.
///
/// ```
/// use hod_units::{DateFault, DateRange, parse_date};
///
/// let may = DateRange::new(parse_date("2026-05-01")?, Some(parse_date("2026-06-01")?))?;
/// assert_eq!(may.to_string(), "2026-05-01 to 2026-05-31");
/// assert!(may.contains(parse_date("2026-05-31")?));
/// assert!(!may.contains(parse_date("2026-06-01")?));
///
/// let onwards = DateRange::new(parse_date("2026-06-01")?, None)?;
/// assert_eq!(onwards.to_string(), "2026-06-01 onwards");
/// assert!(!may.overlaps(onwards));
/// # Ok::<(), DateFault>(())
/// ```
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub struct DateRange {
    from: Date,
    to: Option<Date>,
}

impl DateRange {
    /// The days from `from` up to but not including `to`; refused when there are none.
    pub fn new(from: Date, to: Option<Date>) -> Result<Self, DateFault> {
        match to {
            Some(to) if to <= from => Err(DateFault::EmptyRange { from, to }),
            _ => Ok(Self { from, to }),
        }
    }

    /// The first day.
    pub const fn from(self) -> Date {
        self.from
    }

    /// The day after the last; `None` when there is no end.
    pub const fn to(self) -> Option<Date> {
        self.to
    }

    /// The last day; `None` when there is no end.
    pub fn last_day(self) -> Option<Date> {
        self.to.and_then(|to| to.pred_opt())
    }

    /// Whether the day is in it.
    pub fn contains(self, day: Date) -> bool {
        self.from <= day && self.to.is_none_or(|to| day < to)
    }

    /// Whether any day is in both.
    pub fn overlaps(self, other: Self) -> bool {
        let starts_before_end = |from: Date, to: Option<Date>| to.is_none_or(|to| from < to);
        starts_before_end(self.from, other.to) && starts_before_end(other.from, self.to)
    }
}

/// The first and the last day, both included: `2026-05-01 to 2026-05-31`, or `2026-05-01 onwards`.
impl fmt::Display for DateRange {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self.last_day() {
            Some(last) if last == self.from => write!(f, "{last}"),
            Some(last) => write!(f, "{} to {last}", self.from),
            None => write!(f, "{} onwards", self.from),
        }
    }
}
