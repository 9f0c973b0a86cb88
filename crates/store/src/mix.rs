//! Mixes: the recipe, in parts by loose volume. Its parts are rows of their own, written and read with it.

use hod_domain::id::{MaterialId, Method, MixId, MixTrialId, SiteId};
use hod_domain::mix::{Ingredient, Mix, Straw, TrialName};
use hod_domain::trial::TrialOutcome;
use hod_units::{Decimal, Density, Share, Volume};
use sqlx::error::BoxDynError;

use crate::exact::Exact;
use crate::fault::{DISPLAY_NAME, FIRM, ID, Rules, SOURCE, StoreFault, VERSION, broken};
use crate::row::{Fields, FromRecord, Record, values};
use crate::session::Session;
use crate::stored::{Stamp, Stored};
use crate::thing::Thing;
use crate::words::Word;

pub(crate) const RULES: Rules = &[
    ("mix_firm_exists", FIRM),
    ("mix_id_well_formed", ID),
    ("mix_display_name_length", DISPLAY_NAME),
    (
        "mix_bucket_in_range",
        "A bucket, or whatever the parts are measured in, holds 0.1 to 5000 l.",
    ),
    (
        "mix_buckets_per_part_in_range",
        "Buckets to a part are 0.1 to 100.",
    ),
    (
        "mix_density_in_range",
        "A dry density in place is 100 to 2800 kg/m3.",
    ),
    (
        "mix_batch_yield_in_range",
        "A batch yields 1 to 10000 l in place.",
    ),
    (
        "mix_straw_iff_weighed",
        "A mix with straw says how much, and a mix without says nothing of it.",
    ),
    ("mix_straw_in_range", "Straw is 0 to 200 kg to a placed m3."),
    (
        "mix_water_in_range",
        "Water is 0 to 300 percent of the dry mass.",
    ),
    (
        "mix_waste_in_range",
        "Waste is 0 to 50 percent of the placed volume.",
    ),
    (
        "mix_purpose_known",
        "What a mix is for is one of the closed list of purposes.",
    ),
    (
        "mix_measure_known",
        "Parts are measured in buckets, wheelbarrows, tractor loads or mixer drums.",
    ),
    ("mix_mixing_well_formed", ID),
    (
        "mix_density_evidence_known",
        "A dry density in place is assumed or measured.",
    ),
    (
        "mix_trial_has_its_site",
        "A mix names its trial with the trial's site, or neither.",
    ),
    (
        "mix_trial_is_taken",
        "A mix is justified by a trial that was taken.",
    ),
    ("mix_source_length", SOURCE),
    ("mix_version_positive", VERSION),
    (
        "mix_ingredient_mix_exists",
        "A part belongs to a mix that exists.",
    ),
    (
        "mix_ingredient_material_once",
        "Each material is one part of a mix; add its parts together.",
    ),
    (
        "mix_ingredient_at_most_8",
        "A mix has 1 to 8 mineral parts.",
    ),
    (
        "mix_ingredient_parts_in_range",
        "Parts by volume are 0.01 to 100.",
    ),
];

/// The columns of a mix and its parts, as [`FromRecord`] reads them.
macro_rules! mix_fields {
    () => {
        "row(mix.mix_id, mix.display_name, \
         array(select row(mix_ingredient.material_id, mix_ingredient.parts) from mix_ingredient \
             where mix_ingredient.firm_id = mix.firm_id and mix_ingredient.mix_id = mix.mix_id \
             order by mix_ingredient.position), \
         mix.bucket_l, mix.buckets_per_part, mix.density_dry_kg_m3, mix.batch_yield_l, \
         mix.straw_material_id, mix.straw_kg_per_m3, mix.water_material_id, mix.water_percent, \
         mix.waste_percent, mix.purpose, mix.measure, mix.mixing, mix.density_evidence, mix.trial_site_id, \
         mix.trial_id, mix.source, mix.version, mix.created_at, mix.updated_at)"
    };
}
pub(crate) use mix_fields;

impl FromRecord for Stored<Mix> {
    fn read(fields: &mut Fields<'_>) -> Result<Self, BoxDynError> {
        let mix = Mix {
            id: fields.id(MixId::parse)?,
            display_name: fields.take()?,
            ingredients: read_ingredients(fields)?,
            bucket: fields.number(Volume::from_litres)?,
            buckets_per_part: fields.take()?,
            density_dry: fields.number(Density::from_kg_per_cubic_metre)?,
            batch_yield_measured: fields.optional_number(Volume::from_litres)?,
            straw: read_straw(fields)?,
            water: fields.optional_id(MaterialId::parse)?,
            water_share: fields.number(Share::from_percent)?,
            waste: fields.number(Share::from_percent)?,
            purpose: fields.word()?,
            measure: fields.word()?,
            mixing: fields.optional_id(Method::parse)?,
            density_evidence: fields.word()?,
            trial: read_trial(fields)?,
            source: fields.take()?,
        };
        Ok(fields.stamp()?.on(mix))
    }
}

fn read_ingredients(fields: &mut Fields<'_>) -> Result<Vec<Ingredient>, BoxDynError> {
    let rows: Vec<(String, Decimal)> = fields.take()?;
    rows.into_iter()
        .map(|(material, parts)| {
            Ok(Ingredient {
                material: MaterialId::parse(&material)?,
                parts,
            })
        })
        .collect()
}

fn read_straw(fields: &mut Fields<'_>) -> Result<Option<Straw>, BoxDynError> {
    let material = fields.optional_id(MaterialId::parse)?;
    let per_placed = fields.optional_number(Density::from_kg_per_cubic_metre)?;
    Ok(material
        .zip(per_placed)
        .map(|(material, per_placed)| Straw {
            material,
            per_placed,
        }))
}

fn read_trial(fields: &mut Fields<'_>) -> Result<Option<TrialName>, BoxDynError> {
    let site = fields.optional_id(SiteId::parse)?;
    let trial = fields.optional_id(MixTrialId::parse)?;
    Ok(site
        .zip(trial)
        .map(|(site, trial)| TrialName { site, trial }))
}

/// The numbers of a mix as they go in.
struct Numbers {
    bucket: Decimal,
    buckets_per_part: Decimal,
    density_dry: Decimal,
    batch_yield: Option<Decimal>,
    straw: Option<Decimal>,
    water: Decimal,
    waste: Decimal,
    parts: Vec<Decimal>,
}

impl Numbers {
    fn of(mix: &Mix) -> Result<Self, StoreFault> {
        let mut exact = Exact::default();
        let straw = mix
            .straw
            .as_ref()
            .map(|straw| straw.per_placed.kg_per_cubic_metre());
        let numbers = Self {
            bucket: exact.number("bucket_l", mix.bucket.litres()),
            buckets_per_part: exact.number("buckets_per_part", mix.buckets_per_part),
            density_dry: exact.number("density_dry_kg_m3", mix.density_dry.kg_per_cubic_metre()),
            batch_yield: exact.optional(
                "batch_yield_l",
                mix.batch_yield_measured.map(Volume::litres),
            ),
            straw: exact.optional("straw_kg_per_m3", straw),
            water: exact.number("water_percent", mix.water_share.percent()),
            waste: exact.number("waste_percent", mix.waste.percent()),
            parts: mix
                .ingredients
                .iter()
                .map(|part| exact.number(&format!("parts of {}", part.material), part.parts))
                .collect(),
        };
        exact.check()?;
        Ok(numbers)
    }
}

fn refusal(error: sqlx::Error, mix: &Mix) -> StoreFault {
    broken(error, RULES, |rule| match rule {
        "mix_key" => Some(StoreFault::Taken(Thing::from(&mix.id))),
        "mix_straw_exists" => Some(missing(mix.straw.iter().map(|straw| &straw.material))),
        "mix_water_exists" => Some(missing(mix.water.iter())),
        "mix_trial_exists" => mix
            .trial
            .as_ref()
            .map(|name| StoreFault::not_found(Thing::mix_trial(&name.site, &name.trial))),
        _ => None,
    })
}

fn missing<'a>(materials: impl Iterator<Item = &'a MaterialId>) -> StoreFault {
    StoreFault::NotFound(materials.map(Thing::from).collect())
}

/// Reads one.
pub async fn get(session: &mut Session, id: &MixId) -> Result<Stored<Mix>, StoreFault> {
    let found: Option<Record<Stored<Mix>>> = sqlx::query_scalar(concat!(
        "select ",
        mix_fields!(),
        " from mix where firm_id = $1 and mix_id = $2"
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
    after: Option<&MixId>,
    limit: u32,
) -> Result<Vec<Stored<Mix>>, StoreFault> {
    let found: Vec<Record<Stored<Mix>>> = sqlx::query_scalar(concat!(
        "select ",
        mix_fields!(),
        " from mix where firm_id = $1 and $2 < mix_id order by mix_id limit $3"
    ))
    .bind(session.firm_uuid())
    .bind(after.map_or("", MixId::as_str))
    .bind(i64::from(limit))
    .fetch_all(session.connection())
    .await?;
    Ok(values(found))
}

/// Keeps a new one. Every material that it names and that is not there is named in the fault.
pub async fn insert(session: &mut Session, mix: &Mix) -> Result<Stored<Mix>, StoreFault> {
    let numbers = Numbers::of(mix)?;
    check_materials(session, mix).await?;
    check_trial(session, mix).await?;
    let stamp: Result<Stamp, _> = sqlx::query_as(
        "insert into mix (firm_id, mix_id, display_name, bucket_l, buckets_per_part, density_dry_kg_m3, \
         batch_yield_l, straw_material_id, straw_kg_per_m3, water_material_id, water_percent, waste_percent, source, \
         purpose, measure, mixing, density_evidence, trial_site_id, trial_id) \
         values ($1, $2, $3, $4, $5, $6, $7, $8, $9, $10, $11, $12, $13, $14, $15, $16, $17, $18, $19) \
         returning version, created_at, updated_at",
    )
    .bind(session.firm_uuid())
    .bind(mix.id.as_str())
    .bind(&mix.display_name)
    .bind(numbers.bucket)
    .bind(numbers.buckets_per_part)
    .bind(numbers.density_dry)
    .bind(numbers.batch_yield)
    .bind(mix.straw.as_ref().map(|straw| straw.material.as_str()))
    .bind(numbers.straw)
    .bind(mix.water.as_ref().map(MaterialId::as_str))
    .bind(numbers.water)
    .bind(numbers.waste)
    .bind(&mix.source)
    .bind(mix.purpose.kept_word())
    .bind(mix.measure.kept_word())
    .bind(mix.mixing.as_ref().map(Method::as_str))
    .bind(mix.density_evidence.kept_word())
    .bind(mix.trial.as_ref().map(|trial| trial.site.as_str()))
    .bind(mix.trial.as_ref().map(|trial| trial.trial.as_str()))
    .fetch_one(session.connection())
    .await;
    let stamp = stamp.map_err(|error| refusal(error, mix))?;
    insert_parts(session, mix, &numbers.parts).await?;
    Ok(stamp.on(mix.clone()))
}

/// Puts new values in the place of the old; refused when `expected` is given and is no longer the version.
pub async fn update(
    session: &mut Session,
    mix: &Mix,
    expected: Option<i64>,
) -> Result<Stored<Mix>, StoreFault> {
    let numbers = Numbers::of(mix)?;
    check_materials(session, mix).await?;
    check_trial(session, mix).await?;
    let stamp: Result<Option<Stamp>, _> = sqlx::query_as(
        "update mix set display_name = $3, bucket_l = $4, buckets_per_part = $5, density_dry_kg_m3 = $6, \
         batch_yield_l = $7, straw_material_id = $8, straw_kg_per_m3 = $9, water_material_id = $10, \
         water_percent = $11, waste_percent = $12, source = $13, purpose = $14, measure = $15, mixing = $16, \
         density_evidence = $17, trial_site_id = $18, trial_id = $19, version = version + 1, updated_at = now() \
         where firm_id = $1 and mix_id = $2 and ($20::bigint is null or version = $20) \
         returning version, created_at, updated_at",
    )
    .bind(session.firm_uuid())
    .bind(mix.id.as_str())
    .bind(&mix.display_name)
    .bind(numbers.bucket)
    .bind(numbers.buckets_per_part)
    .bind(numbers.density_dry)
    .bind(numbers.batch_yield)
    .bind(mix.straw.as_ref().map(|straw| straw.material.as_str()))
    .bind(numbers.straw)
    .bind(mix.water.as_ref().map(MaterialId::as_str))
    .bind(numbers.water)
    .bind(numbers.waste)
    .bind(&mix.source)
    .bind(mix.purpose.kept_word())
    .bind(mix.measure.kept_word())
    .bind(mix.mixing.as_ref().map(Method::as_str))
    .bind(mix.density_evidence.kept_word())
    .bind(mix.trial.as_ref().map(|trial| trial.site.as_str()))
    .bind(mix.trial.as_ref().map(|trial| trial.trial.as_str()))
    .bind(expected)
    .fetch_optional(session.connection())
    .await;
    let Some(stamp) = stamp.map_err(|error| refusal(error, mix))? else {
        get(session, &mix.id).await?;
        return Err(StoreFault::stale(Thing::from(&mix.id)));
    };
    sqlx::query("delete from mix_ingredient where firm_id = $1 and mix_id = $2")
        .bind(session.firm_uuid())
        .bind(mix.id.as_str())
        .execute(session.connection())
        .await?;
    insert_parts(session, mix, &numbers.parts).await?;
    Ok(stamp.on(mix.clone()))
}

async fn insert_parts(
    session: &mut Session,
    mix: &Mix,
    parts: &[Decimal],
) -> Result<(), StoreFault> {
    let materials: Vec<&str> = mix
        .ingredients
        .iter()
        .map(|part| part.material.as_str())
        .collect();
    sqlx::query(
        "insert into mix_ingredient (firm_id, mix_id, position, material_id, parts) \
         select $1, $2, position, material_id, parts \
         from unnest($3::text[], $4::numeric[]) with ordinality as part (material_id, parts, position)",
    )
    .bind(session.firm_uuid())
    .bind(mix.id.as_str())
    .bind(&materials)
    .bind(parts)
    .execute(session.connection())
    .await
    .map_err(|error| refusal(error, mix))?;
    Ok(())
}

/// Names every material that is not there, where the foreign keys would name the first alone.
async fn check_materials(session: &mut Session, mix: &Mix) -> Result<(), StoreFault> {
    let ingredients = mix.ingredients.iter().map(|part| &part.material);
    let straw = mix.straw.iter().map(|straw| &straw.material);
    let mut needed: Vec<&MaterialId> = ingredients.chain(straw).chain(&mix.water).collect();
    needed.sort();
    needed.dedup();
    let names: Vec<&str> = needed.iter().map(|id| id.as_str()).collect();
    let known: Vec<String> = sqlx::query_scalar(
        "select material_id from material where firm_id = $1 and material_id = any($2)",
    )
    .bind(session.firm_uuid())
    .bind(&names)
    .fetch_all(session.connection())
    .await?;
    needed.retain(|id| !known.iter().any(|known| known == id.as_str()));
    if needed.is_empty() {
        Ok(())
    } else {
        Err(missing(needed.into_iter()))
    }
}

/// A trial that is open or was turned down justifies nothing. One that is not there is left to the foreign key.
async fn check_trial(session: &mut Session, mix: &Mix) -> Result<(), StoreFault> {
    let Some(name) = &mix.trial else {
        return Ok(());
    };
    let outcome: Option<String> = sqlx::query_scalar(
        "select outcome from mix_trial where firm_id = $1 and site_id = $2 and mix_trial_id = $3",
    )
    .bind(session.firm_uuid())
    .bind(name.site.as_str())
    .bind(name.trial.as_str())
    .fetch_optional(session.connection())
    .await?;
    match outcome {
        Some(outcome) if outcome != TrialOutcome::Taken.kept_word() => {
            let words = if outcome == TrialOutcome::Open.kept_word() {
                "is still open"
            } else {
                "was turned down"
            };
            Err(StoreFault::refused(
                "mix_trial_is_taken",
                format!(
                    "{} {words}; a mix is justified by a trial that was taken, so record such a one, or leave it out",
                    Thing::mix_trial(&name.site, &name.trial).name
                ),
            ))
        }
        Some(_) | None => Ok(()),
    }
}
