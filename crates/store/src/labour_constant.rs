//! Labour constants: hours to a unit of work, by task and method. Their grades are rows of their own, written and read
//! with them.

use hod_domain::id::{LabourConstantId, Method};
use hod_domain::work::{LabourConstant, Task};
use hod_units::{Decimal, Hours};
use sqlx::error::BoxDynError;

use crate::exact::Exact;
use crate::fault::{DISPLAY_NAME, FIRM, ID, Rules, SOURCE, StoreFault, VERSION, broken};
use crate::make_up;
use crate::row::{Fields, FromRecord, Record, values};
use crate::session::Session;
use crate::stored::{Stamp, Stored};
use crate::thing::Thing;
use crate::words::Word;

const HOURS: &str = "Hours to a unit of work are 0 to 10000.";

pub(crate) const RULES: Rules = &[
    ("labour_constant_firm_exists", FIRM),
    ("labour_constant_id_well_formed", ID),
    ("labour_constant_display_name_length", DISPLAY_NAME),
    (
        "labour_constant_one_for_its_work",
        "A task has one labour constant for a method and what it is counted by; change that one.",
    ),
    (
        "labour_constant_task_known",
        "A task is one of the closed list of tasks.",
    ),
    ("labour_constant_method_well_formed", ID),
    (
        "labour_constant_driver_known",
        "A driver is one of the closed list of drivers.",
    ),
    ("labour_constant_low_in_range", HOURS),
    ("labour_constant_high_in_range", HOURS),
    (
        "labour_constant_likely_between_low_and_high",
        "The likely hours lie between the low and the high.",
    ),
    ("labour_constant_source_length", SOURCE),
    ("labour_constant_version_positive", VERSION),
    (
        "labour_constant_grade_constant_exists",
        "A grade belongs to a labour constant that exists.",
    ),
    (
        "labour_constant_grade_once",
        "Each grade stands once in a labour constant; add its shares together.",
    ),
    (
        "labour_constant_grade_at_most_20",
        "A labour constant has at most 20 grades.",
    ),
    ("labour_constant_grade_well_formed", ID),
    (
        "labour_constant_grade_share_in_range",
        "A share of a labour constant's hours is 0 to 100 percent.",
    ),
];

/// The columns of a labour constant and its grades, as [`FromRecord`] reads them.
macro_rules! labour_constant_fields {
    () => {
        "row(labour_constant.labour_constant_id, labour_constant.display_name, labour_constant.task, \
         labour_constant.method, labour_constant.driver, labour_constant.low_hours, \
         labour_constant.likely_hours, labour_constant.high_hours, \
         array(select row(share.grade, share.share_percent) from labour_constant_grade as share \
             where share.firm_id = labour_constant.firm_id \
             and share.labour_constant_id = labour_constant.labour_constant_id order by share.position), \
         labour_constant.source, labour_constant.version, labour_constant.created_at, labour_constant.updated_at)"
    };
}
pub(crate) use labour_constant_fields;

impl FromRecord for Stored<LabourConstant> {
    fn read(fields: &mut Fields<'_>) -> Result<Self, BoxDynError> {
        let constant = LabourConstant {
            id: fields.id(LabourConstantId::parse)?,
            display_name: fields.take()?,
            task: fields.word()?,
            method: fields.optional_id(Method::parse)?,
            driver: fields.word()?,
            low: fields.number(Hours::from_hours)?,
            likely: fields.number(Hours::from_hours)?,
            high: fields.number(Hours::from_hours)?,
            make_up: make_up::read(fields)?,
            source: fields.take()?,
        };
        Ok(fields.stamp()?.on(constant))
    }
}

/// Low, likely and high hours and the grades of a constant as they go in.
fn columns(constant: &LabourConstant) -> Result<([Decimal; 3], make_up::Columns<'_>), StoreFault> {
    let mut exact = Exact::default();
    let hours = [
        exact.number("low_hours", constant.low.hours()),
        exact.number("likely_hours", constant.likely.hours()),
        exact.number("high_hours", constant.high.hours()),
    ];
    let make_up = make_up::Columns::of(&constant.make_up, &mut exact);
    exact.check()?;
    Ok((hours, make_up))
}

fn refusal(error: sqlx::Error, constant: &LabourConstant) -> StoreFault {
    broken(error, RULES, |rule| {
        (rule == "labour_constant_key").then(|| StoreFault::Taken(Thing::from(&constant.id)))
    })
}

/// Reads one.
pub async fn get(
    session: &mut Session,
    id: &LabourConstantId,
) -> Result<Stored<LabourConstant>, StoreFault> {
    let found: Option<Record<Stored<LabourConstant>>> = sqlx::query_scalar(concat!(
        "select ",
        labour_constant_fields!(),
        " from labour_constant where firm_id = $1 and labour_constant_id = $2"
    ))
    .bind(session.firm_uuid())
    .bind(id.as_str())
    .fetch_optional(session.connection())
    .await?;
    found
        .map(|record| record.0)
        .ok_or_else(|| StoreFault::not_found(id.into()))
}

/// Reads at most `limit` by id, those after `after`; of one task, when one is given.
pub async fn list(
    session: &mut Session,
    task: Option<Task>,
    after: Option<&LabourConstantId>,
    limit: u32,
) -> Result<Vec<Stored<LabourConstant>>, StoreFault> {
    let found: Vec<Record<Stored<LabourConstant>>> = sqlx::query_scalar(concat!(
        "select ",
        labour_constant_fields!(),
        " from labour_constant where firm_id = $1 and $2 < labour_constant_id and ($3::text is null or task = $3) \
         order by labour_constant_id limit $4"
    ))
    .bind(session.firm_uuid())
    .bind(after.map_or("", LabourConstantId::as_str))
    .bind(task.map(Task::kept_word))
    .bind(i64::from(limit))
    .fetch_all(session.connection())
    .await?;
    Ok(values(found))
}

/// Keeps a new one.
pub async fn insert(
    session: &mut Session,
    constant: &LabourConstant,
) -> Result<Stored<LabourConstant>, StoreFault> {
    let ([low, likely, high], make_up) = columns(constant)?;
    let stamp: Result<Stamp, _> = sqlx::query_as(
        "insert into labour_constant (firm_id, labour_constant_id, display_name, task, method, driver, \
         low_hours, likely_hours, high_hours, source) values ($1, $2, $3, $4, $5, $6, $7, $8, $9, $10) \
         returning version, created_at, updated_at",
    )
    .bind(session.firm_uuid())
    .bind(constant.id.as_str())
    .bind(&constant.display_name)
    .bind(constant.task.kept_word())
    .bind(constant.method.as_ref().map(Method::as_str))
    .bind(constant.driver.kept_word())
    .bind(low)
    .bind(likely)
    .bind(high)
    .bind(&constant.source)
    .fetch_one(session.connection())
    .await;
    let stamp = stamp.map_err(|error| refusal(error, constant))?;
    insert_grades(session, constant, &make_up).await?;
    Ok(stamp.on(constant.clone()))
}

/// Puts new values in the place of the old; refused when `expected` is given and is no longer the version.
pub async fn update(
    session: &mut Session,
    constant: &LabourConstant,
    expected: Option<i64>,
) -> Result<Stored<LabourConstant>, StoreFault> {
    let ([low, likely, high], make_up) = columns(constant)?;
    let stamp: Result<Option<Stamp>, _> = sqlx::query_as(
        "update labour_constant set display_name = $3, task = $4, method = $5, driver = $6, low_hours = $7, \
         likely_hours = $8, high_hours = $9, source = $10, version = version + 1, updated_at = now() \
         where firm_id = $1 and labour_constant_id = $2 and ($11::bigint is null or version = $11) \
         returning version, created_at, updated_at",
    )
    .bind(session.firm_uuid())
    .bind(constant.id.as_str())
    .bind(&constant.display_name)
    .bind(constant.task.kept_word())
    .bind(constant.method.as_ref().map(Method::as_str))
    .bind(constant.driver.kept_word())
    .bind(low)
    .bind(likely)
    .bind(high)
    .bind(&constant.source)
    .bind(expected)
    .fetch_optional(session.connection())
    .await;
    let Some(stamp) = stamp.map_err(|error| refusal(error, constant))? else {
        get(session, &constant.id).await?;
        return Err(StoreFault::stale(Thing::from(&constant.id)));
    };
    sqlx::query("delete from labour_constant_grade where firm_id = $1 and labour_constant_id = $2")
        .bind(session.firm_uuid())
        .bind(constant.id.as_str())
        .execute(session.connection())
        .await?;
    insert_grades(session, constant, &make_up).await?;
    Ok(stamp.on(constant.clone()))
}

async fn insert_grades(
    session: &mut Session,
    constant: &LabourConstant,
    make_up: &make_up::Columns<'_>,
) -> Result<(), StoreFault> {
    sqlx::query(
        "insert into labour_constant_grade (firm_id, labour_constant_id, position, grade, share_percent) \
         select $1, $2, position, grade, share_percent \
         from unnest($3::text[], $4::numeric[]) with ordinality as part (grade, share_percent, position)",
    )
    .bind(session.firm_uuid())
    .bind(constant.id.as_str())
    .bind(&make_up.grades)
    .bind(&make_up.shares)
    .execute(session.connection())
    .await
    .map_err(|error| refusal(error, constant))?;
    Ok(())
}
