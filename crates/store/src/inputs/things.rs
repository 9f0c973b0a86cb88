//! The statement that brings things by name, many kinds in one: each row says of what kind it is and holds one record.

use hod_domain::id::{MaterialId, MixId, RulePackId, SiteId, SoilTestId};
use hod_domain::material::Material;
use hod_domain::mix::Mix;
use hod_domain::region::Region;
use hod_domain::rules::RulePack;
use hod_domain::site::Site;
use hod_domain::soil::SoilTest;
use hod_domain::trial::MixTrial;
use hod_domain::work::{Crew, LabourConstant};
use sqlx::postgres::{PgArguments, PgRow};
use sqlx::query::Query;
use sqlx::{Postgres, Row};
use uuid::Uuid;

use super::{LibraryNames, LoadedLibrary, Names};
use crate::crew::crew_fields;
use crate::fault::StoreFault;
use crate::labour_constant::labour_constant_fields;
use crate::material::material_fields;
use crate::mix::mix_fields;
use crate::mix_trial::mix_trial_fields;
use crate::region::region_fields;
use crate::row::{FromRecord, Record};
use crate::rule_pack::rule_pack_fields;
use crate::session::Session;
use crate::site::site_fields;
use crate::soil_test::soil_test_fields;
use crate::stored::Stored;
use crate::thing::Thing;

/// What a row holds.
mod kind {
    pub(super) const MIX: i32 = 1;
    pub(super) const MATERIAL: i32 = 2;
    pub(super) const TRIAL: i32 = 3;
    pub(super) const RULE_PACK: i32 = 4;
    pub(super) const SOIL_TEST: i32 = 5;
    pub(super) const SITE: i32 = 6;
    pub(super) const REGION: i32 = 7;
    pub(super) const CREW: i32 = 8;
    pub(super) const CONSTANT: i32 = 9;
}

/// What a job draws on: of the firm `$1` the mixes `$2` with all that is in them and their trials with the rules of
/// those, the materials `$3`, the rule pack `$4`, and of the site `$5` the soil test `$6`.
macro_rules! of_library {
    () => {
        concat!(
            "select 1 as kind, 0::bigint as place, 0::bigint as list_version, ",
            mix_fields!(),
            " as fields from mix where firm_id = $1 and mix_id = any($2) \
             union all select 2, 0, 0, ",
            material_fields!(),
            " from material where firm_id = $1 and (material_id = any($3) or material_id in ( \
                 select material_id from mix_ingredient where firm_id = $1 and mix_id = any($2) \
                 union select straw_material_id from mix where firm_id = $1 and mix_id = any($2) \
                 union select water_material_id from mix where firm_id = $1 and mix_id = any($2))) \
             union all select 3, 0, 0, ",
            mix_trial_fields!(),
            " from mix_trial where firm_id = $1 and (site_id, mix_trial_id) in ( \
                 select trial_site_id, trial_id from mix where firm_id = $1 and mix_id = any($2)) \
             union all select 4, 0, 0, ",
            rule_pack_fields!(),
            " from rule_pack where firm_id = $1 and (rule_pack_id = $4 or rule_pack_id in ( \
                 select rule_pack_id from mix_trial where firm_id = $1 and (site_id, mix_trial_id) in ( \
                     select trial_site_id, trial_id from mix where firm_id = $1 and mix_id = any($2)))) \
             union all select 5, 0, 0, ",
            soil_test_fields!(),
            " from soil_test where firm_id = $1 and site_id = $5 and soil_test_id = $6"
        )
    };
}

/// As `of_library`.
const OF_LIBRARY: &str = of_library!();

/// As `of_library`, then site and crew. The chain of regions ends by itself, for the store lets none lead back; the
/// depth is there so that a hand in the tables cannot make a statement that never ends.
const OF_ESTIMATE: &str = concat!(
    "with recursive chain (depth, region_id) as ( \
         select 0::bigint, region_id from site where firm_id = $1 and site_id = $7 \
         union all \
         select depth + 1, parent_region_id from chain join region using (region_id) \
         where firm_id = $1 and parent_region_id is not null and depth < 100) ",
    of_library!(),
    " union all select 6, 0, 0, ",
    site_fields!(),
    " from site where firm_id = $1 and site_id = $7 \
     union all select 7, chain.depth, coalesce(region_list.version, 0), ",
    region_fields!(),
    " from chain join region on region.firm_id = $1 and region.region_id = chain.region_id \
         left join region_list on region_list.firm_id = $1 and region_list.region_id = chain.region_id \
     union all select 8, 0, 0, ",
    crew_fields!(),
    " from crew where firm_id = $1 and crew_id = $8 \
     union all select 9, 0, 0, ",
    labour_constant_fields!(),
    " from labour_constant where firm_id = $1 \
     order by kind, place"
);

/// What a job draws on, as it is kept.
#[derive(Default)]
pub(super) struct LibraryThings {
    mixes: Vec<Stored<Mix>>,
    materials: Vec<Stored<Material>>,
    trials: Vec<Stored<MixTrial>>,
    /// The one asked and those of the trials, each once.
    rule_packs: Vec<Stored<RulePack>>,
    soil_test: Option<Stored<SoilTest>>,
}

/// What an estimate is made from, lists apart, as it is kept.
#[derive(Default)]
pub(super) struct Things {
    pub(super) library: LibraryThings,
    pub(super) site: Option<Stored<Site>>,
    pub(super) regions: Vec<Stored<Region>>,
    /// The version of each region's list.
    pub(super) list_versions: Vec<i64>,
    pub(super) crew: Option<Stored<Crew>>,
    pub(super) constants: Vec<Stored<LabourConstant>>,
}

impl LibraryThings {
    /// What a job draws on, asked by name.
    pub(super) async fn load(
        session: &mut Session,
        names: &LibraryNames,
    ) -> Result<Self, StoreFault> {
        let rows = of_library(OF_LIBRARY, session.firm_uuid(), names)
            .fetch_all(session.connection())
            .await?;
        Ok(Things::of(&rows, names)?.library)
    }

    /// Everything named that is not there.
    pub(super) fn missing(&self, names: &LibraryNames) -> Vec<Thing> {
        let has_mix = |id: &&MixId| self.mixes.iter().any(|mix| mix.value.id == **id);
        let has_material = |id: &&MaterialId| {
            let mut materials = self.materials.iter();
            materials.any(|material| material.value.id == **id)
        };
        let has_pack = |id: &&RulePackId| self.rule_packs.iter().any(|pack| pack.value.id == **id);
        let mixes = names.mixes.iter().filter(|id| !has_mix(id));
        let materials = names.materials.iter().filter(|id| !has_material(id));
        let test = names.soil_test.iter().filter(|_| self.soil_test.is_none());
        let pack = names.rule_pack.iter().filter(|id| !has_pack(id));
        mixes
            .map(Thing::from)
            .chain(materials.map(Thing::from))
            .chain(test.map(|(site, test)| Thing::soil_test(site, test)))
            .chain(pack.map(Thing::from))
            .collect()
    }

    /// Without what the store alone needs.
    pub(super) fn into_loaded(self, names: &LibraryNames) -> LoadedLibrary {
        let trials = values(self.trials);
        let packs = values(self.rule_packs);
        let asked = |pack: &&RulePack| names.rule_pack.as_ref() == Some(&pack.id);
        let rule_pack = packs.iter().find(asked).cloned();
        let mut trial_packs = packs;
        trial_packs.retain(|pack| {
            let mut trials = trials.iter();
            trials.any(|trial: &MixTrial| trial.rule_pack.as_ref() == Some(&pack.id))
        });
        LoadedLibrary {
            mixes: values(self.mixes),
            materials: values(self.materials),
            trials,
            trial_packs,
            rule_pack,
            soil_test: self.soil_test.map(|stored| stored.value),
        }
    }

    fn tags(&self, names: &LibraryNames) -> Vec<String> {
        let trial = |stored: &Stored<MixTrial>| {
            let MixTrial { site, id, .. } = &stored.value;
            Thing::mix_trial(site, id).name
        };
        let test = names.soil_test.iter();
        let packs = self.rule_packs.iter();
        [
            tags(&self.mixes, |mix| &mix.id),
            tags(&self.materials, |material| &material.id),
            self.trials.iter().map(trial).collect(),
            test.map(|(site, test)| Thing::soil_test(site, test).name)
                .collect(),
            packs
                .map(|stored| Thing::from(&stored.value.id).name)
                .collect(),
        ]
        .concat()
    }
}

impl Things {
    /// What an estimate is made from, asked by name.
    pub(super) async fn load(session: &mut Session, names: &Names) -> Result<Self, StoreFault> {
        let rows = of_library(OF_ESTIMATE, session.firm_uuid(), &names.library)
            .bind(names.site.as_str())
            .bind(names.crew.as_str())
            .fetch_all(session.connection())
            .await?;
        Ok(Self::of(&rows, &names.library)?)
    }

    fn of(rows: &[PgRow], names: &LibraryNames) -> Result<Self, sqlx::Error> {
        let mut things = Self::default();
        let library = &mut things.library;
        for row in rows {
            match row.try_get("kind")? {
                kind::MIX => library.mixes.push(fields(row)?),
                kind::MATERIAL => library.materials.push(fields(row)?),
                kind::TRIAL => library.trials.push(fields(row)?),
                kind::RULE_PACK => library.rule_packs.push(fields(row)?),
                kind::SOIL_TEST => library.soil_test = Some(fields(row)?),
                kind::SITE => things.site = Some(fields(row)?),
                kind::REGION => {
                    things.regions.push(fields(row)?);
                    things.list_versions.push(row.try_get("list_version")?);
                }
                kind::CREW => things.crew = Some(fields(row)?),
                kind::CONSTANT => things.constants.push(fields(row)?),
                other => return Err(unknown(other)),
            }
        }
        // The statement leaves the order within a kind open, but for the regions.
        let place = |mix: &Stored<Mix>| names.mixes.iter().position(|id| *id == mix.value.id);
        library.mixes.sort_by_key(place);
        library
            .materials
            .sort_by(|one, two| one.value.id.cmp(&two.value.id));
        let name = |trial: &Stored<MixTrial>| (trial.value.site.clone(), trial.value.id.clone());
        library.trials.sort_by_key(name);
        library
            .rule_packs
            .sort_by(|one, two| one.value.id.cmp(&two.value.id));
        things
            .constants
            .sort_by(|one, two| one.value.id.cmp(&two.value.id));
        Ok(things)
    }

    /// Everything named that is not there.
    pub(super) fn missing(&self, names: &Names) -> Vec<Thing> {
        let site = self.site.is_none().then(|| Thing::from(&names.site));
        let crew = self.crew.is_none().then(|| Thing::from(&names.crew));
        site.into_iter()
            .chain(self.library.missing(&names.library))
            .chain(crew)
            .collect()
    }

    /// Name and version of each thing; of what never changes, its name.
    pub(super) fn tags(&self, names: &Names) -> Vec<String> {
        [
            tags(&self.site, |site| &site.id),
            tags(&self.regions, |region| &region.id),
            self.library.tags(&names.library),
            tags(&self.crew, |crew| &crew.id),
            tags(&self.constants, |constant| &constant.id),
        ]
        .concat()
    }
}

/// A statement that begins with what a job draws on, with the names of that bound.
fn of_library<'q>(
    statement: &'static str,
    firm: Uuid,
    names: &'q LibraryNames,
) -> Query<'q, Postgres, PgArguments> {
    let mixes: Vec<&str> = names.mixes.iter().map(MixId::as_str).collect();
    let materials: Vec<&str> = names.materials.iter().map(MaterialId::as_str).collect();
    let (site, test) = names
        .soil_test
        .as_ref()
        .map(|(site, test)| (site, test))
        .unzip();
    sqlx::query(statement)
        .bind(firm)
        .bind(mixes)
        .bind(materials)
        .bind(names.rule_pack.as_ref().map(RulePackId::as_str))
        .bind(site.map(SiteId::as_str))
        .bind(test.map(SoilTestId::as_str))
}

fn tags<'a, T: 'a, I: 'a>(
    of: impl IntoIterator<Item = &'a Stored<T>>,
    id: fn(&T) -> &I,
) -> Vec<String>
where
    for<'i> Thing: From<&'i I>,
{
    of.into_iter()
        .map(|stored| Thing::from(id(&stored.value)).tag(stored.version))
        .collect()
}

/// The values of what is kept.
pub(super) fn values<T>(stored: Vec<Stored<T>>) -> Vec<T> {
    stored.into_iter().map(|stored| stored.value).collect()
}

/// The record of a row.
pub(super) fn fields<T: FromRecord>(row: &PgRow) -> Result<T, sqlx::Error> {
    Ok(row.try_get::<Record<T>, _>("fields")?.0)
}

/// A row of a kind that no statement here asks for.
pub(super) fn unknown(kind: i32) -> sqlx::Error {
    sqlx::Error::Decode(format!("{kind} is not a kind of row that was asked for").into())
}
