//! The dates of a region's list: what a price or a rate from a date on does to those that stand. Dates only, no rows:
//! a new one closes the one in force, ends where a later one begins, and takes the place of one that began that day.

use hod_units::{Date, DateFault, DateRange};

/// What a new price or rate does.
#[derive(Debug, PartialEq, Eq)]
pub(crate) struct Change {
    /// Which of those that stand goes out, by its place among them.
    pub(crate) out: Option<usize>,
    /// The range of the copy that comes in for it; none when the new one takes its place whole.
    pub(crate) shortened: Option<DateRange>,
    /// When the new one holds.
    pub(crate) in_force: DateRange,
}

/// What one that is to hold over a range does to those that stand for the same thing, which do not overlap. One that it
/// closes does not come back when it ends.
pub(crate) fn change(standing: &[DateRange], asked: DateRange) -> Result<Change, DateFault> {
    let start = asked.from();
    let later = standing
        .iter()
        .map(|range| range.from())
        .filter(|from| start < *from)
        .min();
    let out = standing.iter().position(|range| range.contains(start));
    let began = out
        .and_then(|place| standing.get(place))
        .map(|range| range.from());
    let shortened = began
        .filter(|from| *from < start)
        .map(|from| DateRange::new(from, Some(start)));
    Ok(Change {
        out,
        shortened: shortened.transpose()?,
        in_force: DateRange::new(start, earlier(asked.to(), later))?,
    })
}

/// The earlier of two ends; none: open.
fn earlier(one: Option<Date>, other: Option<Date>) -> Option<Date> {
    match (one, other) {
        (Some(one), Some(other)) => Some(one.min(other)),
        (end, None) | (None, end) => end,
    }
}

#[cfg(test)]
mod tests {
    use hod_units::parse_date;

    use super::*;

    fn day(text: &str) -> Date {
        parse_date(text).expect("a date")
    }

    fn range(from: &str, to: &str) -> DateRange {
        let to = (!to.is_empty()).then(|| day(to));
        DateRange::new(day(from), to).expect("a range")
    }

    #[test]
    fn a_new_price_closes_the_one_in_force_and_ends_where_a_later_one_begins() {
        let standing = [range("2026-05-01", "2026-07-01"), range("2026-07-01", "")];
        // From, which goes out, the range of its copy, the range of the new one.
        let rows = [
            ("2026-01-01", None, None, range("2026-01-01", "2026-05-01")),
            (
                "2026-05-01",
                Some(0),
                None,
                range("2026-05-01", "2026-07-01"),
            ),
            (
                "2026-06-01",
                Some(0),
                Some(range("2026-05-01", "2026-06-01")),
                range("2026-06-01", "2026-07-01"),
            ),
            ("2026-07-01", Some(1), None, range("2026-07-01", "")),
            (
                "2026-09-01",
                Some(1),
                Some(range("2026-07-01", "2026-09-01")),
                range("2026-09-01", ""),
            ),
        ];
        for (from, out, shortened, in_force) in rows {
            assert_eq!(
                change(&standing, range(from, "")),
                Ok(Change {
                    out,
                    shortened,
                    in_force
                }),
                "from {from}"
            );
        }
        let first = Change {
            out: None,
            shortened: None,
            in_force: range("2026-05-01", ""),
        };
        assert_eq!(change(&[], range("2026-05-01", "")), Ok(first));
    }

    #[test]
    fn a_price_with_an_end_ends_there_or_where_a_later_one_begins() {
        let standing = [range("2026-05-01", "2026-07-01"), range("2026-08-01", "")];
        // Its end, and the end that it comes to.
        for (end, comes_to) in [
            ("2026-06-15", "2026-06-15"),
            ("2026-07-15", "2026-07-15"),
            ("2026-08-01", "2026-08-01"),
            ("2026-09-01", "2026-08-01"),
        ] {
            let change = change(&standing, range("2026-06-01", end)).expect("dates in order");
            assert_eq!(change.in_force, range("2026-06-01", comes_to), "to {end}");
            assert_eq!(change.shortened, Some(range("2026-05-01", "2026-06-01")));
        }
    }
}
