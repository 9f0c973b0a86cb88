//! Reading one thing out of one record. Each noun writes its columns as `row(...)` once and reads them once, in that
//! order, so that the same text and the same reader serve a query for one noun and a statement that brings several.

use std::ops::Bound;

use hod_domain::id::IdFault;
use hod_units::{Date, DateRange, Decimal};
use sqlx::error::BoxDynError;
use sqlx::postgres::types::{PgRange, PgRecordDecoder};
use sqlx::postgres::{PgTypeInfo, PgValueRef};
use sqlx::{Decode, Postgres, Type, TypeInfo};

use crate::stored::{Stamp, Stored};
use crate::words::Word;

/// What can be read out of a record.
pub(crate) trait FromRecord: Sized {
    /// Takes its fields in the order in which they were written.
    fn read(fields: &mut Fields<'_>) -> Result<Self, BoxDynError>;
}

/// The fields of a record, taken one after the other.
pub(crate) struct Fields<'r>(PgRecordDecoder<'r>);

impl Fields<'_> {
    /// The next field.
    pub(crate) fn take<T>(&mut self) -> Result<T, BoxDynError>
    where
        T: for<'a> Decode<'a, Postgres> + Type<Postgres>,
    {
        self.0.try_decode()
    }

    /// The next field, an id.
    pub(crate) fn id<T>(
        &mut self,
        parse: fn(&str) -> Result<T, IdFault>,
    ) -> Result<T, BoxDynError> {
        Ok(parse(&self.take::<String>()?)?)
    }

    /// The next field, an id or null.
    pub(crate) fn optional_id<T>(
        &mut self,
        parse: fn(&str) -> Result<T, IdFault>,
    ) -> Result<Option<T>, BoxDynError> {
        let text = self.take::<Option<String>>()?;
        Ok(text.as_deref().map(parse).transpose()?)
    }

    /// The next field, a word of a closed list.
    pub(crate) fn word<T: Word>(&mut self) -> Result<T, BoxDynError> {
        T::read(&self.take::<String>()?)
    }

    /// The next field, a number as what it measures.
    pub(crate) fn number<T>(&mut self, of: impl Fn(Decimal) -> T) -> Result<T, BoxDynError> {
        Ok(of(self.take()?))
    }

    /// The next field, a number as what it measures, or null.
    pub(crate) fn optional_number<T>(
        &mut self,
        of: impl Fn(Decimal) -> T,
    ) -> Result<Option<T>, BoxDynError> {
        Ok(self.take::<Option<Decimal>>()?.map(of))
    }

    /// The next field, a range of dates, which Postgres writes half-open.
    pub(crate) fn date_range(&mut self) -> Result<DateRange, BoxDynError> {
        let range: PgRange<Date> = self.take()?;
        match (range.start, range.end) {
            (Bound::Included(from), Bound::Excluded(to)) => Ok(DateRange::new(from, Some(to))?),
            (Bound::Included(from), Bound::Unbounded) => Ok(DateRange::new(from, None)?),
            other => {
                Err(format!("{other:?} is not a half-open range of dates with a start").into())
            }
        }
    }

    /// The next three fields: version, made, changed.
    pub(crate) fn stamp(&mut self) -> Result<Stamp, BoxDynError> {
        Ok(Stamp {
            version: self.take()?,
            created_at: self.take()?,
            updated_at: self.take()?,
        })
    }
}

/// A column that is one record.
pub(crate) struct Record<T>(pub(crate) T);

impl<T> Type<Postgres> for Record<T> {
    fn type_info() -> PgTypeInfo {
        PgTypeInfo::with_name("record")
    }

    fn compatible(found: &PgTypeInfo) -> bool {
        found.name() == "RECORD"
    }
}

impl<'r, T: FromRecord> Decode<'r, Postgres> for Record<T> {
    fn decode(value: PgValueRef<'r>) -> Result<Self, BoxDynError> {
        let mut fields = Fields(PgRecordDecoder::new(value)?);
        T::read(&mut fields).map(Self)
    }
}

/// Takes the values out of their records.
pub(crate) fn values<T>(records: Vec<Record<T>>) -> Vec<T> {
    records.into_iter().map(|record| record.0).collect()
}

/// A range of dates as Postgres takes it.
pub(crate) fn pg_range(range: DateRange) -> PgRange<Date> {
    PgRange {
        start: Bound::Included(range.from()),
        end: range.to().map_or(Bound::Unbounded, Bound::Excluded),
    }
}

/// What never changes has its time once.
pub(crate) fn once<T>(
    fields: &mut Fields<'_>,
    version: i64,
    value: T,
) -> Result<Stored<T>, BoxDynError> {
    Ok(Stamp::once(version, fields.take()?).on(value))
}
