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

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    fn day(text: &str) -> Date {
        parse_date(text).expect(text)
    }

    fn range(from: &str, to: Option<&str>) -> DateRange {
        DateRange::new(day(from), to.map(day)).expect(from)
    }

    #[test]
    fn dates_are_read_in_the_one_form() {
        for text in [
            "2026-05-01",
            "2024-02-29",
            "2000-02-29",
            "1900-01-01",
            "2199-12-31",
        ] {
            assert_eq!(day(text).to_string(), text);
        }
    }

    #[test]
    fn every_other_form_is_refused() {
        for text in [
            "",
            "2026-5-1",
            "2026-05-1",
            "26-05-01",
            "2026/05/01",
            "01-05-2026",
            "20260501",
            " 2026-05-01",
            "2026-05-01 ",
            "2026-05-01T00:00:00Z",
            "+2026-05-1",
            "-026-05-01",
            "2026-W18-5",
            "2026-121",
            "２０２６-05-01",
            "2026-٠5-01",
            "today",
            "infinity",
        ] {
            assert_eq!(
                parse_date(text),
                Err(DateFault::NotADate {
                    found: quoted(text)
                }),
                "{text}"
            );
        }
    }

    #[test]
    fn a_day_that_is_not_in_the_calendar_is_refused() {
        // 1900 was no leap year: divisible by 100 and not by 400.
        for text in [
            "2026-02-29",
            "1900-02-29",
            "2026-04-31",
            "2026-13-01",
            "2026-00-10",
            "2026-05-00",
        ] {
            assert_eq!(
                parse_date(text),
                Err(DateFault::NotInTheCalendar {
                    found: quoted(text)
                }),
                "{text}"
            );
        }
    }

    #[test]
    fn a_year_beyond_reason_is_refused() {
        for text in ["0001-01-01", "1899-12-31", "2200-01-01", "9999-12-31"] {
            assert_eq!(
                parse_date(text),
                Err(DateFault::YearOutOfRange {
                    found: quoted(text)
                }),
                "{text}"
            );
        }
    }

    #[test]
    fn a_range_holds_at_least_one_day() {
        assert_eq!(
            range("2026-05-01", Some("2026-05-02")).last_day(),
            Some(day("2026-05-01"))
        );
        for to in ["2026-05-01", "2026-04-30"] {
            let fault = DateFault::EmptyRange {
                from: day("2026-05-01"),
                to: day(to),
            };
            assert_eq!(DateRange::new(day("2026-05-01"), Some(day(to))), Err(fault));
        }
        assert_eq!(
            DateRange::new(day("2026-05-01"), Some(day("2026-05-01")))
                .expect_err("empty")
                .to_string(),
            "a range from 2026-05-01 up to but not including 2026-05-01 holds no day; the end must be after the start"
        );
    }

    #[test]
    fn the_first_day_is_in_and_the_end_is_out() {
        let may = range("2026-05-01", Some("2026-06-01"));
        for (text, is_in) in [
            ("2026-04-30", false),
            ("2026-05-01", true),
            ("2026-05-31", true),
            ("2026-06-01", false),
        ] {
            assert_eq!(may.contains(day(text)), is_in, "{text}");
        }
        assert!(range("2026-05-01", None).contains(day("2199-12-31")));
        assert!(!range("2026-05-01", None).contains(day("2026-04-30")));
    }

    #[test]
    fn ranges_that_meet_do_not_overlap() {
        let may = range("2026-05-01", Some("2026-06-01"));
        for (other, overlaps) in [
            (range("2026-06-01", None), false),
            (range("2026-05-31", None), true),
            (range("2026-04-01", Some("2026-05-01")), false),
            (range("2026-04-01", Some("2026-05-02")), true),
            (range("2026-01-01", None), true),
            (range("2026-05-10", Some("2026-05-11")), true),
            (may, true),
        ] {
            assert_eq!(may.overlaps(other), overlaps, "{other}");
            assert_eq!(other.overlaps(may), overlaps, "{other}");
        }
        assert!(range("2026-01-01", None).overlaps(range("2030-01-01", None)));
    }

    #[test]
    fn people_are_shown_the_last_day() {
        assert_eq!(
            range("2026-05-01", Some("2026-06-01")).to_string(),
            "2026-05-01 to 2026-05-31"
        );
        assert_eq!(
            range("2026-05-01", Some("2026-05-02")).to_string(),
            "2026-05-01"
        );
        assert_eq!(range("2026-05-01", None).to_string(), "2026-05-01 onwards");
        assert_eq!(
            range("2024-02-01", Some("2024-03-01")).to_string(),
            "2024-02-01 to 2024-02-29"
        );
    }

    fn days() -> impl Strategy<Value = Date> {
        (0_u64..300).prop_map(|later| day("2026-01-01") + chrono::Days::new(later))
    }

    fn ranges() -> impl Strategy<Value = DateRange> {
        (days(), prop::option::of(1_u64..100)).prop_map(|(from, length)| {
            DateRange::new(from, length.map(|length| from + chrono::Days::new(length)))
                .expect("not empty")
        })
    }

    proptest! {
        #[test]
        fn ranges_overlap_just_when_some_day_is_in_both(one in ranges(), other in ranges()) {
            let shared = day("2026-01-01").iter_days().take(500).any(|day| one.contains(day) && other.contains(day));
            prop_assert_eq!(one.overlaps(other), shared);
        }

        #[test]
        fn printing_and_reading_give_the_same_date(date in days()) {
            prop_assert_eq!(parse_date(&date.to_string()), Ok(date));
        }

        #[test]
        fn no_text_whatever_makes_it_panic(text in "\\PC{0,14}") {
            if let Ok(date) = parse_date(&text) {
                prop_assert_eq!(date.to_string(), text);
            }
        }
    }
}
