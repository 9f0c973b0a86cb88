//! Labour rates: money per hour for a grade in a region over a range of dates, at every version of the region's list.
//! Kept as prices are, in the same list. How a list comes to its entries is for `dated`; what an hour costs, for the
//! middle.

use chrono::{DateTime, Utc};
use hod_domain::id::{Grade, PriceId, RegionId};
use hod_domain::price::{Burden, BurdenAmount, LabourRate, PaidYear};
use hod_units::{Date, DateRange, Decimal, Hours, Share, canonical};
use sqlx::error::BoxDynError;

use crate::dated::{self, Entry, Filter, Statements, statements};
use crate::exact::{Exact, WAGE_PLACES_MAX};
use crate::fault::{ID, Rules, StoreFault, VERSION, broken};
use crate::price::{CALENDAR, days};
use crate::row::{Fields, FromRecord, once, pg_range};
use crate::session::Session;
use crate::stored::Stored;
use crate::thing::Thing;

pub(crate) const RULES: Rules = &[
    (
        "labour_rate_list_exists",
        "A labour rate belongs to a region's list.",
    ),
    ("labour_rate_id_well_formed", ID),
    ("labour_rate_grade_well_formed", ID),
    ("labour_rate_version_in_positive", VERSION),
    (
        "labour_rate_goes_out_after_it_came_in",
        "A labour rate leaves the list at a later version than it came in.",
    ),
    (
        "labour_rate_wage_in_range",
        "A wage is 0 to 999999 an hour.",
    ),
    (
        "labour_rate_burden_in_range",
        "A burden is 0 to 300 percent of the wage.",
    ),
    (
        "labour_rate_in_force_not_empty",
        "A labour rate holds for at least a day.",
    ),
    (
        "labour_rate_in_force_has_a_start",
        "A labour rate has a first day.",
    ),
    ("labour_rate_in_force_in_calendar", CALENDAR),
    (
        "labour_rate_source_length",
        "A source of a labour rate has at most 400 characters.",
    ),
    (
        "labour_rate_no_overlap",
        "Two labour rates of a grade would be in force in a region on the same day.",
    ),
    (
        "labour_rate_once_in_a_list",
        "A labour rate stands once in a list.",
    ),
    (
        "labour_rate_burdens_together",
        "Each burden has a label, and a share or an amount.",
    ),
    (
        "labour_rate_burdens_at_most_20",
        "A labour rate has at most 20 burdens by name.",
    ),
    (
        "labour_rate_burden_label_length",
        "The label of a burden has 1 to 60 characters.",
    ),
    (
        "labour_rate_burden_share_or_amount",
        "A burden is a share of the wage or an amount an hour; give one of the two.",
    ),
    (
        "labour_rate_burden_percents_in_range",
        "Each burden that is a share is 0 to 300 percent of the wage.",
    ),
    (
        "labour_rate_burden_per_hour_in_range",
        "Each burden that is an amount is 0 to 999999 an hour.",
    ),
    (
        "labour_rate_year_whole",
        "Hours paid and hours productive belong together; give both, or neither.",
    ),
    (
        "labour_rate_paid_hours_in_range",
        "Hours paid in a year are 1 to 8784.",
    ),
    (
        "labour_rate_productive_hours_in_range",
        "Productive hours are above 0 and at most the hours paid.",
    ),
    (
        "labour_rate_note_length",
        "A note on a labour rate has at most 400 characters.",
    ),
];

/// The columns of a labour rate, as [`FromRecord`] reads them.
macro_rules! labour_rate_fields {
    () => {
        "row(labour_rate.labour_rate_id, labour_rate.grade, labour_rate.wage_per_hour, labour_rate.burden_percent, \
         labour_rate.burden_label, labour_rate.burden_percents, labour_rate.burden_per_hour, labour_rate.paid_hours, \
         labour_rate.productive_hours, labour_rate.in_force, labour_rate.source, labour_rate.note, \
         labour_rate.version_in, labour_rate.created_at)"
    };
}
pub(crate) use labour_rate_fields;

/// What a labour rate says: the columns that a copy over another range keeps.
macro_rules! labour_rate_says {
    () => {
        "grade, wage_per_hour, burden_percent, burden_label, burden_percents, burden_per_hour, paid_hours, \
         productive_hours, source, note"
    };
}

impl FromRecord for Stored<LabourRate> {
    fn read(fields: &mut Fields<'_>) -> Result<Self, BoxDynError> {
        let rate = LabourRate {
            id: fields.id(PriceId::parse)?,
            grade: fields.id(Grade::parse)?,
            wage: fields.take()?,
            burden: fields.number(Share::from_percent)?,
            burdens: read_burdens(fields)?,
            year: read_year(fields)?,
            in_force: fields.date_range()?,
            source: fields.take()?,
            note: fields.take()?,
        };
        let version = fields.take()?;
        once(fields, version, rate)
    }
}

fn read_burdens(fields: &mut Fields<'_>) -> Result<Vec<Burden>, BoxDynError> {
    let labels: Vec<String> = fields.take()?;
    let percents: Vec<Option<Decimal>> = fields.take()?;
    let per_hour: Vec<Option<Decimal>> = fields.take()?;
    let burden = |(label, amounts)| {
        let amount = match amounts {
            (Some(percent), None) => BurdenAmount::OfWage(Share::from_percent(percent)),
            (None, Some(amount)) => BurdenAmount::PerHour(amount),
            _ => {
                return Err(format!(
                    "the burden {label:?} is neither a share nor an amount"
                ));
            }
        };
        Ok(Burden { label, amount })
    };
    let amounts = percents.into_iter().zip(per_hour);
    Ok(labels
        .into_iter()
        .zip(amounts)
        .map(burden)
        .collect::<Result<_, String>>()?)
}

fn read_year(fields: &mut Fields<'_>) -> Result<Option<PaidYear>, BoxDynError> {
    let paid = fields.optional_number(Hours::from_hours)?;
    let productive = fields.optional_number(Hours::from_hours)?;
    let both = paid.zip(productive);
    Ok(both.map(|(paid, productive)| PaidYear { paid, productive }))
}

/// The numbers of a labour rate as they go in.
struct Columns<'a> {
    wage: Decimal,
    burden: Decimal,
    labels: Vec<&'a str>,
    percents: Vec<Option<Decimal>>,
    per_hour: Vec<Option<Decimal>>,
    paid_hours: Option<Decimal>,
    productive_hours: Option<Decimal>,
}

impl<'a> Columns<'a> {
    fn of(rate: &'a LabourRate) -> Result<Self, StoreFault> {
        let mut exact = Exact::default();
        let mut amounts = Vec::with_capacity(rate.burdens.len());
        for Burden { label, amount } in &rate.burdens {
            amounts.push(match amount {
                BurdenAmount::OfWage(share) => {
                    let percent = exact.number(&format!("percent of {label}"), share.percent());
                    (Some(percent), None)
                }
                BurdenAmount::PerHour(money) => {
                    let column = format!("amount_per_hour of {label}");
                    (None, Some(exact.places(&column, *money, WAGE_PLACES_MAX)))
                }
            });
        }
        let (percents, per_hour) = amounts.into_iter().unzip();
        let columns = Self {
            wage: exact.places("wage_per_hour", rate.wage, WAGE_PLACES_MAX),
            burden: exact.number("burden_percent", rate.burden.percent()),
            labels: rate
                .burdens
                .iter()
                .map(|each| each.label.as_str())
                .collect(),
            percents,
            per_hour,
            paid_hours: exact.optional("paid_hours", rate.year.map(|year| year.paid.hours())),
            productive_hours: exact.optional(
                "productive_hours",
                rate.year.map(|year| year.productive.hours()),
            ),
        };
        exact.check()?;
        Ok(columns)
    }
}

impl Entry for LabourRate {
    const STATEMENTS: Statements = statements!(
        "labour_rate", "labour_rate_id",
        fields: labour_rate_fields!(),
        key: "grade = ($3::text[])[1]",
        filter: "(($5::text[])[1] is null or grade = ($5::text[])[1])",
        kept: labour_rate_says!()
    );
    const RULES: Rules = RULES;

    fn id(&self) -> &PriceId {
        &self.id
    }

    fn in_force(&self) -> DateRange {
        self.in_force
    }

    fn over(mut self, range: DateRange) -> Self {
        self.in_force = range;
        self
    }

    fn key(&self) -> Vec<&str> {
        vec![self.grade.as_str()]
    }

    fn told(&self) -> String {
        let more = if self.burden == Share::ZERO && self.burdens.is_empty() {
            ""
        } else {
            " and what comes on top"
        };
        let wage = canonical(self.wage);
        format!("a wage of {wage}{more}, {}", days(self.in_force))
    }

    fn thing(region: &RegionId, id: &PriceId) -> Thing {
        Thing::labour_rate(region, id)
    }

    async fn write(
        &self,
        session: &mut Session,
        region: &RegionId,
        version: i64,
    ) -> Result<DateTime<Utc>, StoreFault> {
        let columns = Columns::of(self)?;
        sqlx::query_scalar(concat!(
            "insert into labour_rate (firm_id, region_id, labour_rate_id, version_in, in_force, ",
            labour_rate_says!(),
            ") values ($1, $2, $3, $4, $5, $6, $7, $8, $9, $10, $11, $12, $13, $14, $15) returning created_at"
        ))
        .bind(session.firm_uuid())
        .bind(region.as_str())
        .bind(self.id.as_str())
        .bind(version)
        .bind(pg_range(self.in_force))
        .bind(self.grade.as_str())
        .bind(columns.wage)
        .bind(columns.burden)
        .bind(columns.labels)
        .bind(columns.percents)
        .bind(columns.per_hour)
        .bind(columns.paid_hours)
        .bind(columns.productive_hours)
        .bind(&self.source)
        .bind(&self.note)
        .fetch_one(session.connection())
        .await
        .map_err(|error| broken(error, RULES, |_| None))
    }
}

/// Which labour rates of a region to list.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct LabourRateFilter {
    /// Of this grade only.
    pub grade: Option<Grade>,
    /// In force on this day only.
    pub on: Option<Date>,
    /// As the list stood at this version; none: as it stands now.
    pub list_version: Option<i64>,
}

/// Reads one, as it last stood in the list: a rate that another has replaced keeps the range that it had.
pub async fn get(
    session: &mut Session,
    region: &RegionId,
    id: &PriceId,
) -> Result<Stored<LabourRate>, StoreFault> {
    dated::get(session, region, id).await
}

/// Reads at most `limit` of a region's list by id, those after `after`. The region, and the version asked for, must
/// exist.
pub async fn list(
    session: &mut Session,
    region: &RegionId,
    filter: &LabourRateFilter,
    after: Option<&PriceId>,
    limit: u32,
) -> Result<Vec<Stored<LabourRate>>, StoreFault> {
    let filter = Filter {
        key: vec![filter.grade.as_ref().map(Grade::as_str)],
        on: filter.on,
        list_version: filter.list_version,
    };
    dated::list(session, region, filter, after, limit).await
}

/// Puts a labour rate in force and makes the next version of the region's list. The rate of the grade in force on its
/// first day ends the day before, or is replaced when it began that same day, and does not come back; the new one ends
/// where it says or where a later one begins.
///
/// # Errors
/// [`StoreFault::Stale`], with what changed, when the grade's rates have changed since the version `read` of the list;
/// [`StoreFault::Taken`] when a rate of the region has had its id.
pub async fn insert(
    session: &mut Session,
    region: &RegionId,
    rate: &LabourRate,
    read: Option<i64>,
) -> Result<Stored<LabourRate>, StoreFault> {
    // Before the list is locked, so that a number that does not fit holds nobody up.
    Columns::of(rate)?;
    dated::insert(session, region, rate, read).await
}

/// Ends a labour rate on a day with nothing in its place, and makes the next version of the region's list.
///
/// # Errors
/// [`StoreFault::Refused`] when the day is before its first, or not before the end that it has, or when another has
/// replaced it; [`StoreFault::Stale`] as of [`insert`].
pub async fn close(
    session: &mut Session,
    region: &RegionId,
    id: &PriceId,
    last_day: Date,
    read: Option<i64>,
) -> Result<Stored<LabourRate>, StoreFault> {
    dated::close(session, region, id, last_day, read).await
}
