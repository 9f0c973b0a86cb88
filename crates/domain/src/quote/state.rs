//! Where a quote stands. States only move forward, and never to a day before the last. What is kept of it, and what day
//! it is, others say.

use std::fmt;

use hod_units::Date;

use crate::fault::Fault;

/// Where a quote stands.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum QuoteState {
    /// With the client.
    Issued,
    /// Accepted: what follows is a variation.
    Accepted,
    /// Declined.
    Declined,
    /// Past its validity, or ended.
    Expired,
    /// A revision stands in its place.
    Superseded,
}

impl fmt::Display for QuoteState {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.pad(match self {
            Self::Issued => "issued",
            Self::Accepted => "accepted",
            Self::Declined => "declined",
            Self::Expired => "expired",
            Self::Superseded => "superseded",
        })
    }
}

/// What can become of a quote.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum QuoteAct {
    /// The client accepts it.
    Accept,
    /// The client declines it.
    Decline,
    /// Its validity is ended.
    Expire,
    /// A revision is issued in its place.
    Supersede,
}

impl QuoteAct {
    /// The state that it leads to.
    pub const fn leads_to(self) -> QuoteState {
        match self {
            Self::Accept => QuoteState::Accepted,
            Self::Decline => QuoteState::Declined,
            Self::Expire => QuoteState::Expired,
            Self::Supersede => QuoteState::Superseded,
        }
    }

    /// From which states; what may still be revised has not been accepted.
    const fn from(self) -> &'static [QuoteState] {
        match self {
            Self::Accept | Self::Decline | Self::Expire => &[QuoteState::Issued],
            Self::Supersede => &[
                QuoteState::Issued,
                QuoteState::Declined,
                QuoteState::Expired,
            ],
        }
    }
}

/// How a quote stands: what was last kept of it, and its days.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct QuoteStanding {
    /// The state last kept; not `Expired` only because its days ran out.
    pub state: QuoteState,
    /// The day of that.
    pub since: Date,
    /// When it was issued.
    pub issue_date: Date,
    /// Its last valid day.
    pub valid_until: Date,
}

impl QuoteStanding {
    /// Just issued.
    pub const fn issued(issue_date: Date, valid_until: Date) -> Self {
        Self {
            state: QuoteState::Issued,
            since: issue_date,
            issue_date,
            valid_until,
        }
    }

    /// The state on a day at or after the last: an issued quote whose last valid day is past has expired without an act.
    ///
    /// ```
    /// use hod_domain::quote::{QuoteStanding, QuoteState};
    /// use hod_units::{DateFault, parse_date};
    ///
    /// let quote = QuoteStanding::issued(parse_date("2026-03-01")?, parse_date("2026-03-31")?);
    /// assert_eq!(quote.on(parse_date("2026-03-31")?), QuoteState::Issued);
    /// assert_eq!(quote.on(parse_date("2026-04-01")?), QuoteState::Expired);
    /// # Ok::<(), DateFault>(())
    /// ```
    pub fn on(&self, day: Date) -> QuoteState {
        match self.state {
            QuoteState::Issued if self.valid_until < day => QuoteState::Expired,
            state => state,
        }
    }

    /// How it stands after an act on a day; refused with everything that stands against it.
    ///
    /// A fault of the day names the field `date`; one of where the quote stands names none. What counts is how it stood
    /// on the day of the act: an acceptance within validity may be written down after it.
    ///
    /// ```
    /// use hod_domain::quote::{QuoteAct, QuoteStanding, QuoteState};
    /// use hod_units::{DateFault, parse_date};
    ///
    /// let quote = QuoteStanding::issued(parse_date("2026-03-01")?, parse_date("2026-03-31")?);
    /// let today = parse_date("2026-04-02")?;
    /// let accepted = quote.after(QuoteAct::Accept, parse_date("2026-03-30")?, today).expect("in time");
    /// assert_eq!(accepted.state, QuoteState::Accepted);
    ///
    /// let faults = quote.after(QuoteAct::Accept, parse_date("2026-04-01")?, today).expect_err("a day late");
    /// assert_eq!(faults[0].reason, "QUOTE_EXPIRED");
    /// let faults = accepted.after(QuoteAct::Supersede, today, today).expect_err("accepted");
    /// assert_eq!(faults[0].reason, "QUOTE_STATE_UNFIT");
    /// # Ok::<(), DateFault>(())
    /// ```
    pub fn after(&self, act: QuoteAct, date: Date, today: Date) -> Result<Self, Vec<Fault>> {
        let faults: Vec<Fault> = [
            self.state_fault(act, date),
            self.too_early(date),
            too_late(date, today),
        ]
        .into_iter()
        .flatten()
        .collect();
        if !faults.is_empty() {
            return Err(faults);
        }
        Ok(Self {
            state: act.leads_to(),
            since: date,
            ..*self
        })
    }

    fn state_fault(&self, act: QuoteAct, date: Date) -> Option<Fault> {
        let (state, to) = (self.on(date), act.leads_to());
        if act.from().contains(&state) {
            return None;
        }
        if self.state == QuoteState::Issued {
            return Some(Fault::of_field(
                "date",
                "QUOTE_EXPIRED",
                format!(
                    "its last valid day was {}, before {date}: it cannot be {to}; issue a revision",
                    self.valid_until
                ),
            ));
        }
        let instead = match self.state {
            QuoteState::Accepted => "agree a variation under it instead",
            QuoteState::Superseded => "take the revision that stands in its place",
            QuoteState::Issued | QuoteState::Declined | QuoteState::Expired => "issue a revision",
        };
        Some(Fault::of_resource(
            "",
            "QUOTE_STATE_UNFIT",
            format!(
                "it is {state} since {} and cannot be {to}; {instead}",
                self.since
            ),
        ))
    }

    fn too_early(&self, date: Date) -> Option<Fault> {
        if date < self.issue_date {
            Some(Fault::of_field(
                "date",
                "DATE_BEFORE_ISSUE",
                format!(
                    "{date} is before its issue on {}; give a day at or after that",
                    self.issue_date
                ),
            ))
        } else if date < self.since {
            Some(Fault::of_field(
                "date",
                "DATE_BEFORE_LAST_EVENT",
                format!(
                    "{date} is before {}, since when it is {}; give a day at or after that",
                    self.since, self.state
                ),
            ))
        } else {
            None
        }
    }
}

fn too_late(date: Date, today: Date) -> Option<Fault> {
    (today < date).then(|| {
        Fault::of_field(
            "date",
            "DATE_AFTER_TODAY",
            format!("{date} is still to come; give a day that has come"),
        )
    })
}
