//! Soil tests: what the ground at a site is made of. Append-only: a better test is a new test.

use hod_domain::id::{SiteId, SoilTestId};
use hod_domain::soil::{SoilEvidence, SoilShares, SoilTest};
use hod_units::{Decimal, Length, Share};
use sqlx::error::BoxDynError;

use crate::exact::Exact;
use crate::fault::{ID, Rules, StoreFault, broken};
use crate::row::{Fields, FromRecord, Record, once, values};
use crate::session::Session;
use crate::site;
use crate::stored::{Stamp, Stored};
use crate::thing::Thing;

pub(crate) const RULES: Rules = &[
    ("soil_test_id_well_formed", ID),
    (
        "soil_test_method_known",
        "A soil test is of a jar or of a laboratory.",
    ),
    (
        "soil_test_sample_date_in_calendar",
        "The day of a sample is in the years 1900 to 2199.",
    ),
    (
        "soil_test_depth_in_range",
        "The depth of a sample is 0 to 20 m.",
    ),
    (
        "soil_test_jar_has_heights",
        "A jar test has the settled heights of sand, silt and clay, and no other test has them.",
    ),
    (
        "soil_test_laboratory_has_shares",
        "A laboratory test has the shares of sand, silt and clay, and no other test has them.",
    ),
    (
        "soil_test_heights_in_range",
        "A settled height is 0 to 1000 mm.",
    ),
    (
        "soil_test_jar_not_empty",
        "The settled heights of a jar come to more than nothing.",
    ),
    (
        "soil_test_shares_in_range",
        "A share of sand, silt or clay is 0 to 100 percent.",
    ),
    (
        "soil_test_shares_total_whole",
        "The shares of sand, silt and clay add up to 100 percent.",
    ),
    (
        "soil_test_note_length",
        "A note has at most 2000 characters.",
    ),
];

/// The columns of a soil test, as [`FromRecord`] reads them.
macro_rules! soil_test_fields {
    () => {
        "row(soil_test_id, sample_date, depth_m, note, method, sand_mm, silt_mm, clay_mm, \
         sand_percent, silt_percent, clay_percent, created_at)"
    };
}

impl FromRecord for Stored<SoilTest> {
    fn read(fields: &mut Fields<'_>) -> Result<Self, BoxDynError> {
        let test = SoilTest {
            id: fields.id(SoilTestId::parse)?,
            sampled: fields.take()?,
            depth: fields.optional_number(Length::from_metres)?,
            note: fields.take()?,
            evidence: read_evidence(fields)?,
        };
        once(fields, 1, test)
    }
}

fn read_evidence(fields: &mut Fields<'_>) -> Result<SoilEvidence, BoxDynError> {
    let method: String = fields.take()?;
    let heights = three(fields, Length::from_mm)?;
    let shares = three(fields, Share::from_percent)?;
    match (method.as_str(), heights, shares) {
        ("jar", Some([sand, silt, clay]), None) => Ok(SoilEvidence::Jar { sand, silt, clay }),
        ("laboratory", None, Some([sand, silt, clay])) => {
            Ok(SoilEvidence::Laboratory(SoilShares { sand, silt, clay }))
        }
        _ => Err(format!("a {method:?} soil test has not what it should").into()),
    }
}

fn three<T>(fields: &mut Fields<'_>, of: fn(Decimal) -> T) -> Result<Option<[T; 3]>, BoxDynError> {
    let three = [
        fields.optional_number(of)?,
        fields.optional_number(of)?,
        fields.optional_number(of)?,
    ];
    Ok(match three {
        [Some(sand), Some(silt), Some(clay)] => Some([sand, silt, clay]),
        _ => None,
    })
}

/// Method and numbers as they go in.
#[derive(Default)]
struct Columns {
    method: &'static str,
    depth: Option<Decimal>,
    heights: [Option<Decimal>; 3],
    shares: [Option<Decimal>; 3],
}

impl Columns {
    fn of(test: &SoilTest) -> Result<Self, StoreFault> {
        let mut exact = Exact::default();
        let depth = exact.optional("depth_m", test.depth.map(Length::metres));
        let columns = match &test.evidence {
            SoilEvidence::Jar { sand, silt, clay } => Self {
                method: "jar",
                depth,
                heights: [
                    Some(exact.number("sand_mm", sand.mm())),
                    Some(exact.number("silt_mm", silt.mm())),
                    Some(exact.number("clay_mm", clay.mm())),
                ],
                ..Self::default()
            },
            SoilEvidence::Laboratory(shares) => Self {
                method: "laboratory",
                depth,
                shares: [
                    Some(exact.number("sand_percent", shares.sand.percent())),
                    Some(exact.number("silt_percent", shares.silt.percent())),
                    Some(exact.number("clay_percent", shares.clay.percent())),
                ],
                ..Self::default()
            },
        };
        exact.check()?;
        Ok(columns)
    }
}

/// Reads one.
pub async fn get(
    session: &mut Session,
    site: &SiteId,
    id: &SoilTestId,
) -> Result<Stored<SoilTest>, StoreFault> {
    let found: Option<Record<Stored<SoilTest>>> = sqlx::query_scalar(concat!(
        "select ",
        soil_test_fields!(),
        " from soil_test where firm_id = $1 and site_id = $2 and soil_test_id = $3"
    ))
    .bind(session.firm_uuid())
    .bind(site.as_str())
    .bind(id.as_str())
    .fetch_optional(session.connection())
    .await?;
    found
        .map(|record| record.0)
        .ok_or_else(|| StoreFault::not_found(Thing::soil_test(site, id)))
}

/// Reads at most `limit` of a site by id, those after `after`. The site must exist.
pub async fn list(
    session: &mut Session,
    site: &SiteId,
    after: Option<&SoilTestId>,
    limit: u32,
) -> Result<Vec<Stored<SoilTest>>, StoreFault> {
    let found: Vec<Record<Stored<SoilTest>>> = sqlx::query_scalar(concat!(
        "select ",
        soil_test_fields!(),
        " from soil_test where firm_id = $1 and site_id = $2 and $3 < soil_test_id order by soil_test_id limit $4"
    ))
    .bind(session.firm_uuid())
    .bind(site.as_str())
    .bind(after.map_or("", SoilTestId::as_str))
    .bind(i64::from(limit))
    .fetch_all(session.connection())
    .await?;
    if found.is_empty() {
        site::get(session, site).await?;
    }
    Ok(values(found))
}

/// Records one.
pub async fn insert(
    session: &mut Session,
    site: &SiteId,
    test: &SoilTest,
) -> Result<Stored<SoilTest>, StoreFault> {
    let columns = Columns::of(test)?;
    let created = sqlx::query_scalar(
        "insert into soil_test (firm_id, site_id, soil_test_id, method, sample_date, depth_m, sand_mm, silt_mm, \
         clay_mm, sand_percent, silt_percent, clay_percent, note) \
         values ($1, $2, $3, $4, $5, $6, $7, $8, $9, $10, $11, $12, $13) returning created_at",
    )
    .bind(session.firm_uuid())
    .bind(site.as_str())
    .bind(test.id.as_str())
    .bind(columns.method)
    .bind(test.sampled)
    .bind(columns.depth)
    .bind(columns.heights[0])
    .bind(columns.heights[1])
    .bind(columns.heights[2])
    .bind(columns.shares[0])
    .bind(columns.shares[1])
    .bind(columns.shares[2])
    .bind(&test.note)
    .fetch_one(session.connection())
    .await
    .map_err(|error| {
        broken(error, RULES, |rule| match rule {
            "soil_test_key" => Some(StoreFault::Taken(Thing::soil_test(site, &test.id))),
            "soil_test_site_exists" => Some(StoreFault::not_found(site.into())),
            _ => None,
        })
    })?;
    Ok(Stamp::once(1, created).on(test.clone()))
}
