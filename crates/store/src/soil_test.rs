//! Soil tests: what the ground at a site is made of. Append-only: a better test is a new test. What was seen of the soil
//! are rows of their own, written and read with it.

use hod_domain::id::{SiteId, SoilTestId};
use hod_domain::soil::{JarProtocol, SoilEvidence, SoilObservation, SoilShares, SoilTest};
use hod_units::{Decimal, Length, Share};
use sqlx::error::BoxDynError;

use crate::exact::Exact;
use crate::fault::{ID, Rules, StoreFault, broken};
use crate::row::{Fields, FromRecord, Record, once, values};
use crate::session::Session;
use crate::site;
use crate::stored::{Stamp, Stored};
use crate::thing::Thing;
use crate::words::Word;

pub(crate) const RULES: Rules = &[
    ("soil_test_id_well_formed", ID),
    (
        "soil_test_method_known",
        "A soil test is by hand, of a jar or of a laboratory.",
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
        "The shares of sand, silt and clay add up to 100 percent, within 0.1.",
    ),
    (
        "soil_test_protocol_is_of_a_jar",
        "Only a jar test says how a jar was read.",
    ),
    (
        "soil_test_protocol_whole",
        "How a jar was read has the marks of sand and silt, the height of the water and its temperature.",
    ),
    (
        "soil_test_protocol_in_range",
        "Sand is marked after 1 to 3600 s, silt after 1 to 2880 min, clay after 0.1 to 2000 h, in 20 to 1000 mm of \
         water of 0 to 40 degrees Celsius.",
    ),
    (
        "soil_test_marks_in_order",
        "Silt is marked later than sand, and clay later than silt.",
    ),
    (
        "soil_test_ribbon_in_range",
        "A ribbon breaks at 0 to 300 mm.",
    ),
    (
        "soil_test_drop_note_length",
        "What the dropped ball did is told in at most 200 characters.",
    ),
    (
        "soil_test_note_length",
        "A note has at most 2000 characters.",
    ),
    (
        "soil_observation_soil_test_exists",
        "What was seen belongs to a soil test that exists.",
    ),
    (
        "soil_observation_once",
        "What was seen of a soil is said once.",
    ),
    (
        "soil_observation_at_most_4",
        "There are four things to be seen of a soil.",
    ),
    (
        "soil_observation_known",
        "What is seen of a soil is topsoil, salts, contamination or a swelling clay.",
    ),
];

/// The columns of a soil test, as [`FromRecord`] reads them.
macro_rules! soil_test_fields {
    () => {
        "row(soil_test.soil_test_id, soil_test.sample_date, soil_test.depth_m, soil_test.jar_sand_mark_s, \
         soil_test.jar_silt_mark_min, soil_test.jar_clay_mark_h, soil_test.jar_water_height_mm, \
         soil_test.jar_water_celsius, soil_test.ribbon_mm, soil_test.drop_note, \
         array(select soil_observation.observation from soil_observation \
             where soil_observation.firm_id = soil_test.firm_id and soil_observation.site_id = soil_test.site_id \
             and soil_observation.soil_test_id = soil_test.soil_test_id order by soil_observation.position), \
         soil_test.note, soil_test.method, soil_test.sand_mm, soil_test.silt_mm, soil_test.clay_mm, \
         soil_test.sand_percent, soil_test.silt_percent, soil_test.clay_percent, soil_test.created_at)"
    };
}
pub(crate) use soil_test_fields;

impl FromRecord for Stored<SoilTest> {
    fn read(fields: &mut Fields<'_>) -> Result<Self, BoxDynError> {
        let test = SoilTest {
            id: fields.id(SoilTestId::parse)?,
            sampled: fields.take()?,
            depth: fields.optional_number(Length::from_metres)?,
            protocol: read_protocol(fields)?,
            ribbon: fields.optional_number(Length::from_mm)?,
            drop_note: fields.take()?,
            observations: read_observations(fields)?,
            note: fields.take()?,
            evidence: read_evidence(fields)?,
        };
        once(fields, 1, test)
    }
}

fn read_protocol(fields: &mut Fields<'_>) -> Result<Option<JarProtocol>, BoxDynError> {
    let sand_mark: Option<Decimal> = fields.take()?;
    let silt_mark: Option<Decimal> = fields.take()?;
    let clay_mark_h = fields.take()?;
    let height = fields.optional_number(Length::from_mm)?;
    let celsius: Option<Decimal> = fields.take()?;
    match (sand_mark, silt_mark, height, celsius) {
        (Some(sand_mark_s), Some(silt_mark_min), Some(water_height), Some(water_celsius)) => {
            Ok(Some(JarProtocol {
                sand_mark_s,
                silt_mark_min,
                clay_mark_h,
                water_height,
                water_celsius,
            }))
        }
        (None, None, None, None) => Ok(None),
        _ => Err("a soil test says by halves how its jar was read".into()),
    }
}

fn read_observations(fields: &mut Fields<'_>) -> Result<Vec<SoilObservation>, BoxDynError> {
    let words: Vec<String> = fields.take()?;
    words
        .iter()
        .map(|word| SoilObservation::read(word))
        .collect()
}

fn read_evidence(fields: &mut Fields<'_>) -> Result<SoilEvidence, BoxDynError> {
    let method: String = fields.take()?;
    let heights = three(fields, Length::from_mm)?;
    let shares = three(fields, Share::from_percent)?;
    match (method.as_str(), heights, shares) {
        ("by-hand", None, None) => Ok(SoilEvidence::ByHand),
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
    /// Marks of sand, silt and clay, height and temperature of the water.
    protocol: [Option<Decimal>; 5],
    ribbon: Option<Decimal>,
}

impl Columns {
    fn of(test: &SoilTest) -> Result<Self, StoreFault> {
        let mut exact = Exact::default();
        let mut columns = Self {
            depth: exact.optional("depth_m", test.depth.map(Length::metres)),
            ..Self::default()
        };
        columns.measure(&test.evidence, &mut exact);
        if let Some(protocol) = &test.protocol {
            columns.protocol = [
                Some(exact.number("jar_sand_mark_s", protocol.sand_mark_s)),
                Some(exact.number("jar_silt_mark_min", protocol.silt_mark_min)),
                exact.optional("jar_clay_mark_h", protocol.clay_mark_h),
                Some(exact.number("jar_water_height_mm", protocol.water_height.mm())),
                Some(exact.number("jar_water_celsius", protocol.water_celsius)),
            ];
        }
        columns.ribbon = exact.optional("ribbon_mm", test.ribbon.map(Length::mm));
        exact.check()?;
        Ok(columns)
    }

    /// The method, and the heights or shares that it has.
    fn measure(&mut self, evidence: &SoilEvidence, exact: &mut Exact) {
        match evidence {
            SoilEvidence::ByHand => self.method = "by-hand",
            SoilEvidence::Jar { sand, silt, clay } => {
                self.method = "jar";
                self.heights = [
                    Some(exact.number("sand_mm", sand.mm())),
                    Some(exact.number("silt_mm", silt.mm())),
                    Some(exact.number("clay_mm", clay.mm())),
                ];
            }
            SoilEvidence::Laboratory(shares) => {
                self.method = "laboratory";
                self.shares = [
                    Some(exact.number("sand_percent", shares.sand.percent())),
                    Some(exact.number("silt_percent", shares.silt.percent())),
                    Some(exact.number("clay_percent", shares.clay.percent())),
                ];
            }
        }
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
    let what = format!("the sample of soil test {} was taken", test.id);
    session.check_not_ahead("soil_test_sampled_by_now", &what, test.sampled)?;
    let created = sqlx::query_scalar(
        "insert into soil_test (firm_id, site_id, soil_test_id, method, sample_date, depth_m, sand_mm, silt_mm, \
         clay_mm, sand_percent, silt_percent, clay_percent, note, jar_sand_mark_s, jar_silt_mark_min, \
         jar_clay_mark_h, jar_water_height_mm, jar_water_celsius, ribbon_mm, drop_note) \
         values ($1, $2, $3, $4, $5, $6, $7, $8, $9, $10, $11, $12, $13, $14, $15, $16, $17, $18, $19, $20) \
         returning created_at",
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
    .bind(columns.protocol[0])
    .bind(columns.protocol[1])
    .bind(columns.protocol[2])
    .bind(columns.protocol[3])
    .bind(columns.protocol[4])
    .bind(columns.ribbon)
    .bind(&test.drop_note)
    .fetch_one(session.connection())
    .await
    .map_err(|error| refusal(error, site, test))?;
    insert_observations(session, site, test).await?;
    Ok(Stamp::once(1, created).on(test.clone()))
}

async fn insert_observations(
    session: &mut Session,
    site: &SiteId,
    test: &SoilTest,
) -> Result<(), StoreFault> {
    if test.observations.is_empty() {
        return Ok(());
    }
    let words: Vec<&str> = test
        .observations
        .iter()
        .map(|seen| seen.kept_word())
        .collect();
    sqlx::query(
        "insert into soil_observation (firm_id, site_id, soil_test_id, position, observation) \
         select $1, $2, $3, position, observation \
         from unnest($4::text[]) with ordinality as seen (observation, position)",
    )
    .bind(session.firm_uuid())
    .bind(site.as_str())
    .bind(test.id.as_str())
    .bind(&words)
    .execute(session.connection())
    .await
    .map_err(|error| refusal(error, site, test))?;
    Ok(())
}

fn refusal(error: sqlx::Error, site: &SiteId, test: &SoilTest) -> StoreFault {
    broken(error, RULES, |rule| match rule {
        "soil_test_key" => Some(StoreFault::Taken(Thing::soil_test(site, &test.id))),
        "soil_test_site_exists" => Some(StoreFault::not_found(site.into())),
        _ => None,
    })
}
