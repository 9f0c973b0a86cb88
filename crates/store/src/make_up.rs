//! The make-up of a crew or of a labour constant: shares of hours by grade, rows of their own beside either.

use hod_domain::id::Grade;
use hod_domain::work::GradeShare;
use hod_units::{Decimal, Share};
use sqlx::error::BoxDynError;

use crate::exact::Exact;
use crate::row::Fields;

/// Grades and shares in the form in which they go in: one array each.
pub(crate) struct Columns<'a> {
    pub(crate) grades: Vec<&'a str>,
    pub(crate) shares: Vec<Decimal>,
}

impl<'a> Columns<'a> {
    pub(crate) fn of(make_up: &'a [GradeShare], exact: &mut Exact) -> Self {
        let share = |each: &GradeShare| {
            exact.number(
                &format!("share_percent of {}", each.grade),
                each.share.percent(),
            )
        };
        Self {
            grades: make_up.iter().map(|each| each.grade.as_str()).collect(),
            shares: make_up.iter().map(share).collect(),
        }
    }
}

/// The next field, an array of grades and shares.
pub(crate) fn read(fields: &mut Fields<'_>) -> Result<Vec<GradeShare>, BoxDynError> {
    let rows: Vec<(String, Decimal)> = fields.take()?;
    rows.into_iter()
        .map(|(grade, percent)| {
            Ok(GradeShare {
                grade: Grade::parse(&grade)?,
                share: Share::from_percent(percent),
            })
        })
        .collect()
}
