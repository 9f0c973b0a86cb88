//! What prices and labour rates share: entries of a region's list, each for something over a range of dates. An entry is
//! never changed. A new one makes the next version of the list; the row that it closes goes out and a copy with a shorter
//! range comes in. What an entry holds besides is for its own noun; what the dates come to, for `history`.

use chrono::{DateTime, Utc};
use hod_domain::id::{PriceId, RegionId};
use hod_units::{Date, DateRange};
use sqlx::Row;

use crate::fault::{Rules, StoreFault, broken};
use crate::history;
use crate::region;
use crate::row::{FromRecord, Record, pg_range, values};
use crate::session::Session;
use crate::stored::{Stamp, Stored};
use crate::thing::Thing;

/// An entry of a region's list.
pub(crate) trait Entry: Clone + Send + Sync {
    /// Its statements, made by [`statements`].
    const STATEMENTS: Statements;
    /// The sentences of its constraints.
    const RULES: Rules;

    fn id(&self) -> &PriceId;
    fn in_force(&self) -> DateRange;
    /// The same over another range.
    fn over(self, range: DateRange) -> Self;
    /// What it is for, as the columns of its key in their order: at most one entry of a key holds on a day.
    fn key(&self) -> Vec<&str>;
    /// What it says, in words, for somebody who has read another.
    fn told(&self) -> String;
    /// What messages call one of this id.
    fn thing(region: &RegionId, id: &PriceId) -> Thing;
    /// Writes the row of a new one and says when.
    fn write(
        &self,
        session: &mut Session,
        region: &RegionId,
        version: i64,
    ) -> impl Future<Output = Result<DateTime<Utc>, StoreFault>> + Send;
}

/// The statements of a kind of entry. Firm and region are `$1` and `$2` in each.
pub(crate) struct Statements {
    /// One of the id `$3`, as it last stood, and whether it still does.
    pub(crate) get: &'static str,
    /// Whether the id `$3` has been used.
    pub(crate) taken: &'static str,
    /// Ids and ranges of what stands of the key `$3`.
    pub(crate) standing: &'static str,
    /// What of the key `$3` came in or went out after the version `$4`.
    pub(crate) changed: &'static str,
    /// Takes out the id `$3` at the version `$4`.
    pub(crate) take_out: &'static str,
    /// Copies what `take_out` took out over the range `$5`.
    pub(crate) copy_in: &'static str,
    /// Of ids after `$3` at the version `$4`, with the parts of the key `$5` where they are given, on the day `$6`; at most `$7`.
    pub(crate) list: &'static str,
}

/// Makes [`Statements`] from a table's name, its id, its record, its key's columns and the columns that a copy keeps.
macro_rules! statements {
    (
        $table:literal, $id:literal, fields: $fields:expr, key: $key:literal, filter: $filter:literal, kept: $kept:expr
    ) => {
        $crate::dated::Statements {
            get: concat!(
                "select ",
                $fields,
                " as fields, version_out is null as stands from ",
                $table,
                " where firm_id = $1 and region_id = $2 and ",
                $id,
                " = $3 order by version_in desc limit 1"
            ),
            taken: concat!(
                "select exists (select from ",
                $table,
                " where firm_id = $1 and region_id = $2 and ",
                $id,
                " = $3)"
            ),
            standing: concat!(
                "select ",
                $id,
                ", lower(in_force), upper(in_force) from ",
                $table,
                " where firm_id = $1 and region_id = $2 and ",
                $key,
                " and version_out is null"
            ),
            changed: concat!(
                "select ",
                $fields,
                " as fields, version_in > $4 as came, version_out is not null as went from ",
                $table,
                " where firm_id = $1 and region_id = $2 and ",
                $key,
                " and (version_in > $4 or version_out > $4) \
                 order by version_in, lower(in_force)"
            ),
            take_out: concat!(
                "update ",
                $table,
                " set version_out = $4 \
                 where firm_id = $1 and region_id = $2 and ",
                $id,
                " = $3 and version_out is null"
            ),
            copy_in: concat!(
                "insert into ",
                $table,
                " (firm_id, region_id, ",
                $id,
                ", version_in, in_force, created_at, ",
                $kept,
                ") \
                 select firm_id, region_id, ",
                $id,
                ", $4, $5, created_at, ",
                $kept,
                " from ",
                $table,
                " where firm_id = $1 and region_id = $2 and ",
                $id,
                " = $3 and version_out = $4"
            ),
            list: concat!(
                "select ",
                $fields,
                " from ",
                $table,
                " where firm_id = $1 and region_id = $2 and $3 < ",
                $id,
                " and version_in <= $4 and (version_out is null or $4 < version_out) and ",
                $filter,
                " and ($6::date is null or in_force @> $6) order by ",
                $id,
                " limit $7"
            ),
        }
    };
}
pub(crate) use statements;

/// Reads one, as it last stood in the list: one that another has replaced keeps the range that it had.
pub(crate) async fn get<E: Entry>(
    session: &mut Session,
    region: &RegionId,
    id: &PriceId,
) -> Result<Stored<E>, StoreFault>
where
    Stored<E>: FromRecord,
{
    Ok(last(session, region, id).await?.0)
}

/// One as it last stood, and whether it still does.
async fn last<E: Entry>(
    session: &mut Session,
    region: &RegionId,
    id: &PriceId,
) -> Result<(Stored<E>, bool), StoreFault>
where
    Stored<E>: FromRecord,
{
    let found = sqlx::query(E::STATEMENTS.get)
        .bind(session.firm_uuid())
        .bind(region.as_str())
        .bind(id.as_str())
        .fetch_optional(session.connection())
        .await?;
    let Some(row) = found else {
        return Err(StoreFault::not_found(E::thing(region, id)));
    };
    let Record(entry) = row.try_get("fields")?;
    Ok((entry, row.try_get("stands")?))
}

/// What of a list to read.
pub(crate) struct Filter<'a> {
    /// Each part of the key, where it is given.
    pub(crate) key: Vec<Option<&'a str>>,
    pub(crate) on: Option<Date>,
    pub(crate) list_version: Option<i64>,
}

/// Reads at most `limit` of a region's list by id, those after `after`. The region, and the version asked for, must
/// exist.
pub(crate) async fn list<E: Entry>(
    session: &mut Session,
    region: &RegionId,
    filter: Filter<'_>,
    after: Option<&PriceId>,
    limit: u32,
) -> Result<Vec<Stored<E>>, StoreFault>
where
    Stored<E>: FromRecord + Unpin,
{
    region::check_list_version(session, region, filter.list_version).await?;
    let found: Vec<Record<Stored<E>>> = sqlx::query_scalar(E::STATEMENTS.list)
        .bind(session.firm_uuid())
        .bind(region.as_str())
        .bind(after.map_or("", PriceId::as_str))
        .bind(filter.list_version.unwrap_or(i64::MAX))
        .bind(filter.key)
        .bind(filter.on)
        .bind(i64::from(limit))
        .fetch_all(session.connection())
        .await?;
    Ok(values(found))
}

/// Puts one in force and makes the next version of the region's list. The one in force on its first day ends the day
/// before, or is replaced when it began that same day; the new one ends where a later one begins, if not before. Refused
/// when something of its key has changed since the version `read`, if that is given.
pub(crate) async fn insert<E: Entry>(
    session: &mut Session,
    region: &RegionId,
    entry: &E,
    read: Option<i64>,
) -> Result<Stored<E>, StoreFault>
where
    Stored<E>: FromRecord,
{
    let version = region::next_list_version(session, region).await?;
    check_unchanged(session, region, entry, read, version).await?;
    check_untaken::<E>(session, region, entry.id()).await?;
    let standing = standing(session, region, entry).await?;
    let ranges: Vec<DateRange> = standing.iter().map(|(_, range)| *range).collect();
    let change = history::change(&ranges, entry.in_force())
        .map_err(|fault| StoreFault::Internal(fault.into()))?;
    if let Some((closed, _)) = change.out.and_then(|place| standing.get(place)) {
        take_out::<E>(session, region, closed, version).await?;
        if let Some(range) = change.shortened {
            copy_in::<E>(session, region, closed, version, range).await?;
        }
    }
    let entry = entry.clone().over(change.in_force);
    let created = entry.write(session, region, version).await?;
    Ok(Stamp::once(version, created).on(entry))
}

/// Ends one on a day with nothing in its place, and makes the next version of the region's list.
pub(crate) async fn close<E: Entry>(
    session: &mut Session,
    region: &RegionId,
    id: &PriceId,
    last_day: Date,
    read: Option<i64>,
) -> Result<Stored<E>, StoreFault>
where
    Stored<E>: FromRecord,
{
    let version = region::next_list_version(session, region).await?;
    let (found, stands) = last::<E>(session, region, id).await?;
    check_unchanged(session, region, &found.value, read, version).await?;
    let range = closing(
        &E::thing(region, id),
        found.value.in_force(),
        stands,
        last_day,
    )?;
    take_out::<E>(session, region, id.as_str(), version).await?;
    copy_in::<E>(session, region, id.as_str(), version, range).await?;
    let stamp = Stamp::once(version, found.created);
    Ok(stamp.on(found.value.over(range)))
}

/// The range of one that ends on a day: within the one that it has.
fn closing(
    thing: &Thing,
    has: DateRange,
    stands: bool,
    last_day: Date,
) -> Result<DateRange, StoreFault> {
    let refused = |rule, message| Err(StoreFault::refused(rule, message));
    if !stands {
        let message =
            format!("{thing} has been replaced by another and holds on no day; close that one");
        return refused("closed_while_it_stands", message);
    }
    let from = has.from();
    if last_day < from {
        let message = format!(
            "{thing} holds from {from} on and cannot end on {last_day}; give that day or a later one"
        );
        return refused("closed_within_its_range", message);
    }
    let shorter = last_day
        .succ_opt()
        .and_then(|end| DateRange::new(from, Some(end)).ok())
        .filter(|range| has.to().is_none_or(|to| range.to() < Some(to)));
    shorter.map_or_else(
        || {
            let last = has
                .last_day()
                .map_or_else(String::new, |day| format!(" on {day}"));
            let message =
                format!("{thing} ends{last} as it is; give an earlier day than {last_day}");
            refused("closed_within_its_range", message)
        },
        Ok,
    )
}

/// Refuses a change of what has changed since the version that the caller has read, and says how. The list's lock is
/// held, and `version` is the one being made.
async fn check_unchanged<E: Entry>(
    session: &mut Session,
    region: &RegionId,
    entry: &E,
    read: Option<i64>,
    version: i64,
) -> Result<(), StoreFault>
where
    Stored<E>: FromRecord,
{
    let Some(read) = read else {
        return Ok(());
    };
    region::check_reached(region, version - 1, read)?;
    let rows = sqlx::query(E::STATEMENTS.changed)
        .bind(session.firm_uuid())
        .bind(region.as_str())
        .bind(entry.key())
        .bind(read)
        .fetch_all(session.connection())
        .await?;
    if rows.is_empty() {
        return Ok(());
    }
    let mut changes = Vec::with_capacity(rows.len());
    for row in &rows {
        let Record::<Stored<E>>(stored) = row.try_get("fields")?;
        let (came, went) = (row.try_get("came")?, row.try_get("went")?);
        changes.extend(told(region, &stored.value, came, went));
    }
    Err(StoreFault::stale_because(
        E::thing(region, entry.id()),
        changes,
    ))
}

/// What has become of one since: what came and went between is no news to anybody.
pub(crate) fn told<E: Entry>(
    region: &RegionId,
    entry: &E,
    came: bool,
    went: bool,
) -> Option<String> {
    let name = E::thing(region, entry.id()).name;
    match (came, went) {
        (true, false) => Some(format!("{name} is now {}", entry.told())),
        (false, true) => Some(format!("{name} was {}", entry.told())),
        _ => None,
    }
}

/// The rows of one share its id, so no key can refuse it to another; the list's lock makes this check enough.
async fn check_untaken<E: Entry>(
    session: &mut Session,
    region: &RegionId,
    id: &PriceId,
) -> Result<(), StoreFault> {
    let taken: bool = sqlx::query_scalar(E::STATEMENTS.taken)
        .bind(session.firm_uuid())
        .bind(region.as_str())
        .bind(id.as_str())
        .fetch_one(session.connection())
        .await?;
    if taken {
        Err(StoreFault::Taken(E::thing(region, id)))
    } else {
        Ok(())
    }
}

/// What stands in a region's list now of the key of this one.
async fn standing<E: Entry>(
    session: &mut Session,
    region: &RegionId,
    entry: &E,
) -> Result<Vec<(String, DateRange)>, StoreFault> {
    let rows: Vec<(String, Date, Option<Date>)> = sqlx::query_as(E::STATEMENTS.standing)
        .bind(session.firm_uuid())
        .bind(region.as_str())
        .bind(entry.key())
        .fetch_all(session.connection())
        .await?;
    rows.into_iter()
        .map(|(id, from, to)| {
            let range = DateRange::new(from, to);
            Ok((
                id,
                range.map_err(|fault| StoreFault::Internal(fault.into()))?,
            ))
        })
        .collect()
}

async fn take_out<E: Entry>(
    session: &mut Session,
    region: &RegionId,
    id: &str,
    version: i64,
) -> Result<(), StoreFault> {
    sqlx::query(E::STATEMENTS.take_out)
        .bind(session.firm_uuid())
        .bind(region.as_str())
        .bind(id)
        .bind(version)
        .execute(session.connection())
        .await
        .map_err(|error| broken(error, E::RULES, |_| None))?;
    Ok(())
}

/// The same as the one that this version took out, over a shorter range.
async fn copy_in<E: Entry>(
    session: &mut Session,
    region: &RegionId,
    id: &str,
    version: i64,
    range: DateRange,
) -> Result<(), StoreFault> {
    sqlx::query(E::STATEMENTS.copy_in)
        .bind(session.firm_uuid())
        .bind(region.as_str())
        .bind(id)
        .bind(version)
        .bind(pg_range(range))
        .execute(session.connection())
        .await
        .map_err(|error| broken(error, E::RULES, |_| None))?;
    Ok(())
}
