//! All that an estimate is made from, in two statements: one brings the things by name, the other what the lists of
//! the regions hold on the day. With the job's own read a stored estimate makes three.

use hod_domain::id::{CrewId, MixId, RegionId, SiteId};
use hod_domain::material::Material;
use hod_domain::mix::Mix;
use hod_domain::price::{LabourRate, Price, PriceList};
use hod_domain::region::Region;
use hod_domain::site::Site;
use hod_domain::work::{Crew, LabourConstant};
use hod_units::Date;
use sqlx::Row;
use sqlx::postgres::PgRow;

use crate::crew::crew_fields;
use crate::fault::StoreFault;
use crate::labour_constant::labour_constant_fields;
use crate::labour_rate::labour_rate_fields;
use crate::material::material_fields;
use crate::mix::mix_fields;
use crate::price::price_fields;
use crate::region::region_fields;
use crate::row::{FromRecord, Record};
use crate::session::Session;
use crate::site::site_fields;
use crate::stored::Stored;
use crate::thing::Thing;

/// All that an estimate is made from, besides the job.
#[derive(Debug, Clone, PartialEq)]
pub struct LoadedInputs {
    /// Where the job stands.
    pub site: Site,
    /// The site's region, then its parents, nearest first.
    pub regions: Vec<Region>,
    /// Their lists on the day, in the same order: prices of the mix's materials, labour rates of every grade.
    pub lists: Vec<PriceList>,
    /// The mix.
    pub mix: Mix,
    /// Its ingredients, straw and water, by id.
    pub materials: Vec<Material>,
    /// The crew.
    pub crew: Crew,
    /// All labour constants of the firm, by id.
    pub constants: Vec<LabourConstant>,
    /// Which version of each of these it is, lists apart, as `mixes/house-cob@3`.
    pub tags: Vec<String>,
}

/// A mix with all that is in it.
#[derive(Debug, Clone, PartialEq)]
pub struct LoadedRecipe {
    /// The mix.
    pub mix: Mix,
    /// Its ingredients, straw and water, by id.
    pub materials: Vec<Material>,
}

/// The materials of the mix `$2`.
macro_rules! materials_of_mix {
    () => {
        "select material_id from mix_ingredient where firm_id = $1 and mix_id = $2 \
         union select straw_material_id from mix where firm_id = $1 and mix_id = $2 \
         union select water_material_id from mix where firm_id = $1 and mix_id = $2"
    };
}

/// What a row of the statements below holds.
mod kind {
    pub(super) const SITE: i32 = 1;
    pub(super) const REGION: i32 = 2;
    pub(super) const MIX: i32 = 3;
    pub(super) const MATERIAL: i32 = 4;
    pub(super) const CREW: i32 = 5;
    pub(super) const CONSTANT: i32 = 6;
    pub(super) const PRICE: i32 = 7;
    pub(super) const LABOUR_RATE: i32 = 8;
}

/// Firm, mix, site, crew. The chain of regions ends by itself, for the store lets none lead back; the depth is there
/// so that a hand in the tables cannot make a statement that never ends.
const THINGS: &str = concat!(
    "with recursive chain (depth, region_id) as ( \
         select 0::bigint, region_id from site where firm_id = $1 and site_id = $3 \
         union all \
         select depth + 1, parent_region_id from chain join region using (region_id) \
         where firm_id = $1 and parent_region_id is not null and depth < 100) \
     select 1 as kind, 0::bigint as place, 0::bigint as list_version, ",
    site_fields!(),
    " as fields from site where firm_id = $1 and site_id = $3 \
     union all select 2, chain.depth, coalesce(region_list.version, 0), ",
    region_fields!(),
    " from chain join region on region.firm_id = $1 and region.region_id = chain.region_id \
         left join region_list on region_list.firm_id = $1 and region_list.region_id = chain.region_id \
     union all select 3, 0, 0, ",
    mix_fields!(),
    " from mix where firm_id = $1 and mix_id = $2 \
     union all select 4, 0, 0, ",
    material_fields!(),
    " from material where firm_id = $1 and material_id in (",
    materials_of_mix!(),
    ") \
     union all select 5, 0, 0, ",
    crew_fields!(),
    " from crew where firm_id = $1 and crew_id = $4 \
     union all select 6, 0, 0, ",
    labour_constant_fields!(),
    " from labour_constant where firm_id = $1 \
     order by kind, place"
);

/// Firm, mix.
const RECIPE: &str = concat!(
    "select 3 as kind, 0::bigint as place, ",
    mix_fields!(),
    " as fields from mix where firm_id = $1 and mix_id = $2 \
     union all select 4, 0, ",
    material_fields!(),
    " from material where firm_id = $1 and material_id in (",
    materials_of_mix!(),
    ")"
);

/// Firm, regions, versions of their lists, day, materials.
const LISTS: &str = concat!(
    "with list (region_id, version, place) as ( \
         select region_id collate \"C\", version, place - 1 \
         from unnest($2::text[], $3::bigint[]) with ordinality as asked (region_id, version, place)) \
     select 7 as kind, list.place, ",
    price_fields!(),
    " as fields from list join price on price.firm_id = $1 and price.region_id = list.region_id \
         and price.version_in <= list.version \
         and (price.version_out is null or list.version < price.version_out) \
         and price.in_force @> $4::date and price.material_id = any($5) \
     union all select 8, list.place, ",
    labour_rate_fields!(),
    " from list join labour_rate on labour_rate.firm_id = $1 and labour_rate.region_id = list.region_id \
         and labour_rate.version_in <= list.version \
         and (labour_rate.version_out is null or list.version < labour_rate.version_out) \
         and labour_rate.in_force @> $4::date"
);

/// What the first statement brought.
#[derive(Default)]
struct Things {
    site: Option<Stored<Site>>,
    regions: Vec<Stored<Region>>,
    list_versions: Vec<i64>,
    mix: Option<Stored<Mix>>,
    materials: Vec<Stored<Material>>,
    crew: Option<Stored<Crew>>,
    constants: Vec<Stored<LabourConstant>>,
}

impl Things {
    fn of(rows: &[PgRow]) -> Result<Self, sqlx::Error> {
        let mut things = Self::default();
        for row in rows {
            match row.try_get("kind")? {
                kind::SITE => things.site = Some(fields(row)?),
                kind::REGION => {
                    things.regions.push(fields(row)?);
                    things.list_versions.push(row.try_get("list_version")?);
                }
                kind::MIX => things.mix = Some(fields(row)?),
                kind::MATERIAL => things.materials.push(fields(row)?),
                kind::CREW => things.crew = Some(fields(row)?),
                kind::CONSTANT => things.constants.push(fields(row)?),
                other => return Err(unknown(other)),
            }
        }
        things
            .materials
            .sort_by(|left, right| left.value.id.cmp(&right.value.id));
        things
            .constants
            .sort_by(|left, right| left.value.id.cmp(&right.value.id));
        Ok(things)
    }

    fn tags(&self) -> Vec<String> {
        fn tags<'a, T: 'a, I>(
            of: impl IntoIterator<Item = &'a Stored<T>>,
            id: fn(&T) -> &I,
        ) -> Vec<String>
        where
            for<'i> Thing: From<&'i I>,
            I: 'a,
        {
            of.into_iter()
                .map(|stored| Thing::from(id(&stored.value)).tag(stored.version))
                .collect()
        }
        [
            tags(&self.site, |site| &site.id),
            tags(&self.regions, |region| &region.id),
            tags(&self.mix, |mix| &mix.id),
            tags(&self.materials, |material| &material.id),
            tags(&self.crew, |crew| &crew.id),
            tags(&self.constants, |constant| &constant.id),
        ]
        .concat()
    }
}

fn fields<T: FromRecord>(row: &PgRow) -> Result<T, sqlx::Error> {
    Ok(row.try_get::<Record<T>, _>("fields")?.0)
}

fn unknown(kind: i32) -> sqlx::Error {
    sqlx::Error::Decode(format!("{kind} is not a kind of row that was asked for").into())
}

/// Loads all that an estimate at `site`, with `mix` and `crew`, on the day `on` is made from.
///
/// # Errors
/// [`StoreFault::NotFound`] with every one of site, mix and crew that is not there.
pub async fn load(
    session: &mut Session,
    site: &SiteId,
    mix: &MixId,
    crew: &CrewId,
    on: Date,
) -> Result<LoadedInputs, StoreFault> {
    let rows = sqlx::query(THINGS)
        .bind(session.firm_uuid())
        .bind(mix.as_str())
        .bind(site.as_str())
        .bind(crew.as_str())
        .fetch_all(session.connection())
        .await?;
    let things = Things::of(&rows)?;
    let tags = things.tags();
    let (Some(site), Some(mix), Some(crew)) = (&things.site, &things.mix, &things.crew) else {
        let missing = [
            things.site.is_none().then(|| Thing::from(site)),
            things.mix.is_none().then(|| Thing::from(mix)),
            things.crew.is_none().then(|| Thing::from(crew)),
        ];
        return Err(StoreFault::NotFound(
            missing.into_iter().flatten().collect(),
        ));
    };
    let (site, mix, crew) = (site.value.clone(), mix.value.clone(), crew.value.clone());
    let regions: Vec<Region> = things
        .regions
        .into_iter()
        .map(|stored| stored.value)
        .collect();
    let materials: Vec<Material> = things
        .materials
        .into_iter()
        .map(|stored| stored.value)
        .collect();
    let lists = load_lists(session, &regions, &things.list_versions, on, &materials).await?;
    let constants = things
        .constants
        .into_iter()
        .map(|stored| stored.value)
        .collect();
    Ok(LoadedInputs {
        site,
        regions,
        lists,
        mix,
        materials,
        crew,
        constants,
        tags,
    })
}

async fn load_lists(
    session: &mut Session,
    regions: &[Region],
    versions: &[i64],
    on: Date,
    materials: &[Material],
) -> Result<Vec<PriceList>, StoreFault> {
    let region_names: Vec<&str> = regions.iter().map(|region| region.id.as_str()).collect();
    let material_names: Vec<&str> = materials
        .iter()
        .map(|material| material.id.as_str())
        .collect();
    let rows = sqlx::query(LISTS)
        .bind(session.firm_uuid())
        .bind(&region_names)
        .bind(versions)
        .bind(on)
        .bind(&material_names)
        .fetch_all(session.connection())
        .await?;
    let empty = |(region, version): (&Region, &i64)| empty_list(region.id.clone(), *version);
    let mut lists: Vec<PriceList> = regions.iter().zip(versions).map(empty).collect();
    for row in &rows {
        let place = row.try_get::<i64, _>("place")?;
        let list = usize::try_from(place)
            .ok()
            .and_then(|place| lists.get_mut(place));
        let Some(list) = list else {
            return Err(StoreFault::Internal(
                format!("list {place} was not asked for").into(),
            ));
        };
        match row.try_get("kind")? {
            kind::PRICE => list.prices.push(fields::<Stored<Price>>(row)?.value),
            kind::LABOUR_RATE => list
                .labour_rates
                .push(fields::<Stored<LabourRate>>(row)?.value),
            other => return Err(unknown(other).into()),
        }
    }
    for list in &mut lists {
        list.prices.sort_by(|left, right| left.id.cmp(&right.id));
        list.labour_rates
            .sort_by(|left, right| left.id.cmp(&right.id));
    }
    Ok(lists)
}

fn empty_list(region: RegionId, version: i64) -> PriceList {
    PriceList {
        region,
        version,
        prices: Vec::new(),
        labour_rates: Vec::new(),
    }
}

/// Loads a mix with all that is in it, for a takeoff's batches.
pub async fn load_recipe(session: &mut Session, mix: &MixId) -> Result<LoadedRecipe, StoreFault> {
    let rows = sqlx::query(RECIPE)
        .bind(session.firm_uuid())
        .bind(mix.as_str())
        .fetch_all(session.connection())
        .await?;
    let things = Things::of(&rows)?;
    let materials = things
        .materials
        .into_iter()
        .map(|stored| stored.value)
        .collect();
    let mix = things
        .mix
        .ok_or_else(|| StoreFault::not_found(mix.into()))?
        .value;
    Ok(LoadedRecipe { mix, materials })
}
