//! Crews: who works, by grade. The grades are rows of their own, written and read with the crew.

use hod_domain::id::CrewId;
use hod_domain::work::Crew;
use hod_units::Decimal;
use sqlx::error::BoxDynError;

use crate::exact::Exact;
use crate::fault::{DISPLAY_NAME, FIRM, ID, Rules, SOURCE, StoreFault, VERSION, broken};
use crate::make_up;
use crate::row::{Fields, FromRecord, Record, values};
use crate::session::Session;
use crate::stored::{Stamp, Stored};
use crate::thing::Thing;

pub(crate) const RULES: Rules = &[
    ("crew_firm_exists", FIRM),
    ("crew_id_well_formed", ID),
    ("crew_display_name_length", DISPLAY_NAME),
    (
        "crew_hours_factor_in_range",
        "A crew takes 0.1 to 10 times the hours of a practised one.",
    ),
    ("crew_source_length", SOURCE),
    ("crew_version_positive", VERSION),
    (
        "crew_grade_crew_exists",
        "A grade belongs to a crew that exists.",
    ),
    (
        "crew_grade_once",
        "Each grade stands once in a crew; add its shares together.",
    ),
    ("crew_grade_at_most_20", "A crew has at most 20 grades."),
    ("crew_grade_well_formed", ID),
    (
        "crew_grade_share_in_range",
        "A share of a crew's hours is 0 to 100 percent.",
    ),
];

/// The columns of a crew and its grades, as [`FromRecord`] reads them.
macro_rules! crew_fields {
    () => {
        "row(crew.crew_id, crew.display_name, crew.hours_factor, \
         array(select row(crew_grade.grade, crew_grade.share_percent) from crew_grade \
             where crew_grade.firm_id = crew.firm_id and crew_grade.crew_id = crew.crew_id \
             order by crew_grade.position), \
         crew.source, crew.version, crew.created_at, crew.updated_at)"
    };
}
pub(crate) use crew_fields;

impl FromRecord for Stored<Crew> {
    fn read(fields: &mut Fields<'_>) -> Result<Self, BoxDynError> {
        let crew = Crew {
            id: fields.id(CrewId::parse)?,
            display_name: fields.take()?,
            hours_factor: fields.take()?,
            make_up: make_up::read(fields)?,
            source: fields.take()?,
        };
        Ok(fields.stamp()?.on(crew))
    }
}

/// The factor and the grades of a crew as they go in.
fn columns(crew: &Crew) -> Result<(Decimal, make_up::Columns<'_>), StoreFault> {
    let mut exact = Exact::default();
    let factor = exact.number("hours_factor", crew.hours_factor);
    let make_up = make_up::Columns::of(&crew.make_up, &mut exact);
    exact.check()?;
    Ok((factor, make_up))
}

fn refusal(error: sqlx::Error, crew: &Crew) -> StoreFault {
    broken(error, RULES, |rule| {
        (rule == "crew_key").then(|| StoreFault::Taken(Thing::from(&crew.id)))
    })
}

/// Reads one.
pub async fn get(session: &mut Session, id: &CrewId) -> Result<Stored<Crew>, StoreFault> {
    let found: Option<Record<Stored<Crew>>> = sqlx::query_scalar(concat!(
        "select ",
        crew_fields!(),
        " from crew where firm_id = $1 and crew_id = $2"
    ))
    .bind(session.firm_uuid())
    .bind(id.as_str())
    .fetch_optional(session.connection())
    .await?;
    found
        .map(|record| record.0)
        .ok_or_else(|| StoreFault::not_found(id.into()))
}

/// Reads at most `limit` by id, those after `after`.
pub async fn list(
    session: &mut Session,
    after: Option<&CrewId>,
    limit: u32,
) -> Result<Vec<Stored<Crew>>, StoreFault> {
    let found: Vec<Record<Stored<Crew>>> = sqlx::query_scalar(concat!(
        "select ",
        crew_fields!(),
        " from crew where firm_id = $1 and $2 < crew_id order by crew_id limit $3"
    ))
    .bind(session.firm_uuid())
    .bind(after.map_or("", CrewId::as_str))
    .bind(i64::from(limit))
    .fetch_all(session.connection())
    .await?;
    Ok(values(found))
}

/// Keeps a new one.
pub async fn insert(session: &mut Session, crew: &Crew) -> Result<Stored<Crew>, StoreFault> {
    let (factor, make_up) = columns(crew)?;
    let stamp: Result<Stamp, _> = sqlx::query_as(
        "insert into crew (firm_id, crew_id, display_name, hours_factor, source) values ($1, $2, $3, $4, $5) \
         returning version, created_at, updated_at",
    )
    .bind(session.firm_uuid())
    .bind(crew.id.as_str())
    .bind(&crew.display_name)
    .bind(factor)
    .bind(&crew.source)
    .fetch_one(session.connection())
    .await;
    let stamp = stamp.map_err(|error| refusal(error, crew))?;
    insert_grades(session, crew, &make_up).await?;
    Ok(stamp.on(crew.clone()))
}

/// Puts new values in the place of the old; refused when `expected` is given and is no longer the version.
pub async fn update(
    session: &mut Session,
    crew: &Crew,
    expected: Option<i64>,
) -> Result<Stored<Crew>, StoreFault> {
    let (factor, make_up) = columns(crew)?;
    let stamp: Result<Option<Stamp>, _> = sqlx::query_as(
        "update crew set display_name = $3, hours_factor = $4, source = $5, \
         version = version + 1, updated_at = now() \
         where firm_id = $1 and crew_id = $2 and ($6::bigint is null or version = $6) \
         returning version, created_at, updated_at",
    )
    .bind(session.firm_uuid())
    .bind(crew.id.as_str())
    .bind(&crew.display_name)
    .bind(factor)
    .bind(&crew.source)
    .bind(expected)
    .fetch_optional(session.connection())
    .await;
    let Some(stamp) = stamp.map_err(|error| refusal(error, crew))? else {
        get(session, &crew.id).await?;
        return Err(StoreFault::stale(Thing::from(&crew.id)));
    };
    sqlx::query("delete from crew_grade where firm_id = $1 and crew_id = $2")
        .bind(session.firm_uuid())
        .bind(crew.id.as_str())
        .execute(session.connection())
        .await?;
    insert_grades(session, crew, &make_up).await?;
    Ok(stamp.on(crew.clone()))
}

async fn insert_grades(
    session: &mut Session,
    crew: &Crew,
    make_up: &make_up::Columns<'_>,
) -> Result<(), StoreFault> {
    sqlx::query(
        "insert into crew_grade (firm_id, crew_id, position, grade, share_percent) \
         select $1, $2, position, grade, share_percent \
         from unnest($3::text[], $4::numeric[]) with ordinality as part (grade, share_percent, position)",
    )
    .bind(session.firm_uuid())
    .bind(crew.id.as_str())
    .bind(&make_up.grades)
    .bind(&make_up.shares)
    .execute(session.connection())
    .await
    .map_err(|error| refusal(error, crew))?;
    Ok(())
}
