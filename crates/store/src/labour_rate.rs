//! Labour rates: money per hour for a grade in a region over a range of dates, at every version of the region's list.
//! Kept as prices are, in the same list: a new rate makes the next version and closes the one in force.

use hod_domain::id::{Grade, PriceId, RegionId};
use hod_domain::price::LabourRate;
use hod_units::{Date, DateRange, Decimal, Share};
use sqlx::error::BoxDynError;

use crate::exact::{Exact, WAGE_PLACES_MAX};
use crate::fault::{ID, Rules, StoreFault, VERSION, broken};
use crate::history;
use crate::price::CALENDAR;
use crate::region;
use crate::row::{Fields, FromRecord, Record, once, pg_range, values};
use crate::session::Session;
use crate::stored::{Stamp, Stored};
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
];

/// The columns of a labour rate, as [`FromRecord`] reads them.
macro_rules! labour_rate_fields {
    () => {
        "row(labour_rate.labour_rate_id, labour_rate.grade, labour_rate.wage_per_hour, labour_rate.burden_percent, \
         labour_rate.in_force, labour_rate.source, labour_rate.version_in, labour_rate.created_at)"
    };
}
pub(crate) use labour_rate_fields;

impl FromRecord for Stored<LabourRate> {
    fn read(fields: &mut Fields<'_>) -> Result<Self, BoxDynError> {
        let rate = LabourRate {
            id: fields.id(PriceId::parse)?,
            grade: fields.id(Grade::parse)?,
            wage: fields.take()?,
            burden: fields.number(Share::from_percent)?,
            burdens: Vec::new(),
            year: None,
            note: String::new(),
            in_force: fields.date_range()?,
            source: fields.take()?,
        };
        let version = fields.take()?;
        once(fields, version, rate)
    }
}

/// A labour rate to be put in force.
#[derive(Debug, Clone, PartialEq)]
pub struct NewLabourRate {
    /// Its id within the region, which no labour rate there has had.
    pub id: PriceId,
    /// Whose hour it is.
    pub grade: Grade,
    /// What the worker is paid an hour, 0 to 999999, 4 places at most.
    pub wage: Decimal,
    /// What comes on top, of the wage, 0 to 300 %.
    pub burden: Share,
    /// The first day.
    pub start: Date,
    /// Where it was read; may be empty.
    pub source: String,
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
    let found: Option<Record<Stored<LabourRate>>> = sqlx::query_scalar(concat!(
        "select ",
        labour_rate_fields!(),
        " from labour_rate where firm_id = $1 and region_id = $2 and labour_rate_id = $3 \
          order by version_in desc limit 1"
    ))
    .bind(session.firm_uuid())
    .bind(region.as_str())
    .bind(id.as_str())
    .fetch_optional(session.connection())
    .await?;
    found
        .map(|record| record.0)
        .ok_or_else(|| StoreFault::not_found(Thing::labour_rate(region, id)))
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
    region::check_list_version(session, region, filter.list_version).await?;
    let found: Vec<Record<Stored<LabourRate>>> = sqlx::query_scalar(concat!(
        "select ",
        labour_rate_fields!(),
        " from labour_rate where firm_id = $1 and region_id = $2 and $3 < labour_rate_id \
          and version_in <= $4 and (version_out is null or $4 < version_out) \
          and ($5::text is null or grade = $5) and ($6::date is null or in_force @> $6) \
          order by labour_rate_id limit $7"
    ))
    .bind(session.firm_uuid())
    .bind(region.as_str())
    .bind(after.map_or("", PriceId::as_str))
    .bind(filter.list_version.unwrap_or(i64::MAX))
    .bind(filter.grade.as_ref().map(Grade::as_str))
    .bind(filter.on)
    .bind(i64::from(limit))
    .fetch_all(session.connection())
    .await?;
    Ok(values(found))
}

/// Puts a labour rate in force and makes the next version of the region's list. The rate in force on its first day
/// ends the day before, or is replaced when it began that same day; the new one ends where a later one begins.
pub async fn insert(
    session: &mut Session,
    region: &RegionId,
    new: &NewLabourRate,
) -> Result<Stored<LabourRate>, StoreFault> {
    let mut exact = Exact::default();
    let wage = exact.places("wage_per_hour", new.wage, WAGE_PLACES_MAX);
    let burden = exact.number("burden_percent", new.burden.percent());
    exact.check()?;
    let version = region::next_list_version(session, region).await?;
    check_untaken(session, region, &new.id).await?;
    let standing = standing(session, region, &new.grade).await?;
    let ranges: Vec<DateRange> = standing.iter().map(|(_, range)| *range).collect();
    let change =
        history::change(&ranges, new.start).map_err(|fault| StoreFault::Internal(fault.into()))?;
    if let Some((closed, _)) = change.out.and_then(|place| standing.get(place)) {
        take_out(session, region, closed, version).await?;
        if let Some(range) = change.shortened {
            copy_in(session, region, closed, version, range).await?;
        }
    }
    let created = sqlx::query_scalar(
        "insert into labour_rate (firm_id, region_id, labour_rate_id, version_in, grade, wage_per_hour, \
         burden_percent, in_force, source) values ($1, $2, $3, $4, $5, $6, $7, $8, $9) returning created_at",
    )
    .bind(session.firm_uuid())
    .bind(region.as_str())
    .bind(new.id.as_str())
    .bind(version)
    .bind(new.grade.as_str())
    .bind(wage)
    .bind(burden)
    .bind(pg_range(change.in_force))
    .bind(&new.source)
    .fetch_one(session.connection())
    .await
    .map_err(|error| broken(error, RULES, |_| None))?;
    Ok(Stamp::once(version, created).on(labour_rate(new, change.in_force)))
}

fn labour_rate(new: &NewLabourRate, in_force: DateRange) -> LabourRate {
    let new = new.clone();
    LabourRate {
        id: new.id,
        grade: new.grade,
        wage: new.wage,
        burden: new.burden,
        burdens: Vec::new(),
        year: None,
        note: String::new(),
        in_force,
        source: new.source,
    }
}

/// A rate's rows share its id, so no key can refuse it to another; the list's lock makes this check enough.
async fn check_untaken(
    session: &mut Session,
    region: &RegionId,
    id: &PriceId,
) -> Result<(), StoreFault> {
    let taken: bool = sqlx::query_scalar(
        "select exists (select from labour_rate where firm_id = $1 and region_id = $2 and labour_rate_id = $3)",
    )
    .bind(session.firm_uuid())
    .bind(region.as_str())
    .bind(id.as_str())
    .fetch_one(session.connection())
    .await?;
    if taken {
        Err(StoreFault::Taken(Thing::labour_rate(region, id)))
    } else {
        Ok(())
    }
}

/// The rates of a grade that stand in a region's list now.
async fn standing(
    session: &mut Session,
    region: &RegionId,
    grade: &Grade,
) -> Result<Vec<(String, DateRange)>, StoreFault> {
    let rows: Vec<(String, Date, Option<Date>)> = sqlx::query_as(
        "select labour_rate_id, lower(in_force), upper(in_force) from labour_rate \
         where firm_id = $1 and region_id = $2 and grade = $3 and version_out is null",
    )
    .bind(session.firm_uuid())
    .bind(region.as_str())
    .bind(grade.as_str())
    .fetch_all(session.connection())
    .await?;
    rows.into_iter()
        .map(|(id, from, to)| {
            Ok((
                id,
                DateRange::new(from, to).map_err(|fault| StoreFault::Internal(fault.into()))?,
            ))
        })
        .collect()
}

async fn take_out(
    session: &mut Session,
    region: &RegionId,
    id: &str,
    version: i64,
) -> Result<(), StoreFault> {
    sqlx::query(
        "update labour_rate set version_out = $4 \
         where firm_id = $1 and region_id = $2 and labour_rate_id = $3 and version_out is null",
    )
    .bind(session.firm_uuid())
    .bind(region.as_str())
    .bind(id)
    .bind(version)
    .execute(session.connection())
    .await
    .map_err(|error| broken(error, RULES, |_| None))?;
    Ok(())
}

/// The same rate as the one that this version took out, over a shorter range.
async fn copy_in(
    session: &mut Session,
    region: &RegionId,
    id: &str,
    version: i64,
    range: DateRange,
) -> Result<(), StoreFault> {
    sqlx::query(
        "insert into labour_rate (firm_id, region_id, labour_rate_id, version_in, grade, wage_per_hour, \
         burden_percent, in_force, source, created_at) \
         select firm_id, region_id, labour_rate_id, $4, grade, wage_per_hour, burden_percent, $5, source, created_at \
         from labour_rate where firm_id = $1 and region_id = $2 and labour_rate_id = $3 and version_out = $4",
    )
    .bind(session.firm_uuid())
    .bind(region.as_str())
    .bind(id)
    .bind(version)
    .bind(pg_range(range))
    .execute(session.connection())
    .await
    .map_err(|error| broken(error, RULES, |_| None))?;
    Ok(())
}
