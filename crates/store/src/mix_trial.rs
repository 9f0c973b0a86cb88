//! Mix trials: what a trial mix of a site's soil did on the bench. Append-only: a better one is a new trial. Its parts and
//! its specimens are rows of their own, written and read with it.

use hod_domain::id::{MaterialId, MixTrialId, RulePackId, SiteId, SoilTestId};
use hod_domain::mix::Ingredient;
use hod_domain::trial::{BrokenSpecimen, CrushedSpecimen, MixTrial, ShrinkageBar, TrialOutcome};
use hod_units::{Decimal, Density, Length};
use sqlx::error::BoxDynError;

use crate::exact::Exact;
use crate::fault::{ID, Rules, StoreFault, broken};
use crate::row::{Fields, FromRecord, Record, once, values};
use crate::session::Session;
use crate::site;
use crate::soil_test;
use crate::stored::{Stamp, Stored};
use crate::thing::Thing;
use crate::words::Word;

pub(crate) const RULES: Rules = &[
    (
        "mix_trial_soil_is_fit",
        "A trial that was taken is of a soil that may be built with.",
    ),
    (
        "mix_trial_made_of_its_sample",
        "A trial is made when its soil has been sampled, not before.",
    ),
    ("mix_trial_id_well_formed", ID),
    (
        "mix_trial_made_date_in_calendar",
        "The day of a trial is in the years 1900 to 2199.",
    ),
    (
        "mix_trial_straw_in_range",
        "Straw is 0 to 200 kg to a placed m3.",
    ),
    (
        "mix_trial_bar_whole",
        "A shrinkage bar is measured as moulded and when dry.",
    ),
    (
        "mix_trial_bar_in_range",
        "A shrinkage bar is 50 to 2000 mm long as moulded, and 1 to 2000 mm when dry.",
    ),
    (
        "mix_trial_bar_does_not_grow",
        "A shrinkage bar is no longer when dry than as moulded.",
    ),
    (
        "mix_trial_density_in_range",
        "A dry density is 100 to 2800 kg/m3.",
    ),
    (
        "mix_trial_outcome_known",
        "A trial is open, taken or turned down.",
    ),
    (
        "mix_trial_note_length",
        "A note has at most 2000 characters.",
    ),
    (
        "mix_trial_ingredient_trial_exists",
        "A part belongs to a trial that exists.",
    ),
    (
        "mix_trial_ingredient_material_once",
        "Each material is one part of a trial; add its parts together.",
    ),
    (
        "mix_trial_ingredient_at_most_8",
        "A trial has 1 to 8 mineral parts.",
    ),
    (
        "mix_trial_ingredient_parts_in_range",
        "Parts by volume are 0.01 to 100.",
    ),
    (
        "mix_trial_crushed_trial_exists",
        "A specimen belongs to a trial that exists.",
    ),
    (
        "mix_trial_crushed_at_most_50",
        "At most 50 specimens of a trial are crushed.",
    ),
    (
        "mix_trial_crushed_load_in_range",
        "A specimen is crushed by 0.01 to 10000 kN.",
    ),
    (
        "mix_trial_crushed_sizes_in_range",
        "A specimen that is crushed is 10 to 1000 mm wide and deep.",
    ),
    (
        "mix_trial_broken_trial_exists",
        "A specimen belongs to a trial that exists.",
    ),
    (
        "mix_trial_broken_at_most_50",
        "At most 50 specimens of a trial are broken.",
    ),
    (
        "mix_trial_broken_load_in_range",
        "A specimen is broken by 0.001 to 1000 kN.",
    ),
    (
        "mix_trial_broken_sizes_in_range",
        "A specimen that is broken spans 10 to 2000 mm and is 10 to 1000 mm wide and high.",
    ),
];

/// The columns of a trial, its parts and its specimens, as [`FromRecord`] reads them.
macro_rules! mix_trial_fields {
    () => {
        "row(mix_trial.site_id, mix_trial.mix_trial_id, mix_trial.made_date, mix_trial.soil_test_id, \
         array(select row(part.material_id, part.parts) from mix_trial_ingredient as part \
             where part.firm_id = mix_trial.firm_id and part.site_id = mix_trial.site_id \
             and part.mix_trial_id = mix_trial.mix_trial_id order by part.position), \
         mix_trial.straw_kg_per_m3, mix_trial.shrinkage_wet_mm, mix_trial.shrinkage_dry_mm, \
         array(select row(crushed.load_kn, crushed.width_mm, crushed.depth_mm) from mix_trial_crushed as crushed \
             where crushed.firm_id = mix_trial.firm_id and crushed.site_id = mix_trial.site_id \
             and crushed.mix_trial_id = mix_trial.mix_trial_id order by crushed.position), \
         array(select row(broken.load_kn, broken.span_mm, broken.width_mm, broken.height_mm) \
             from mix_trial_broken as broken \
             where broken.firm_id = mix_trial.firm_id and broken.site_id = mix_trial.site_id \
             and broken.mix_trial_id = mix_trial.mix_trial_id order by broken.position), \
         mix_trial.density_dry_kg_m3, mix_trial.rule_pack_id, mix_trial.outcome, mix_trial.note, mix_trial.created_at)"
    };
}
pub(crate) use mix_trial_fields;

impl FromRecord for Stored<MixTrial> {
    fn read(fields: &mut Fields<'_>) -> Result<Self, BoxDynError> {
        let trial = MixTrial {
            site: fields.id(SiteId::parse)?,
            id: fields.id(MixTrialId::parse)?,
            made: fields.take()?,
            soil_test: fields.optional_id(SoilTestId::parse)?,
            ingredients: read_ingredients(fields)?,
            straw_per_placed: fields.number(Density::from_kg_per_cubic_metre)?,
            shrinkage: read_bar(fields)?,
            crushed: read_crushed(fields)?,
            broken: read_broken(fields)?,
            density_dry: fields.optional_number(Density::from_kg_per_cubic_metre)?,
            rule_pack: fields.optional_id(RulePackId::parse)?,
            outcome: fields.word()?,
            note: fields.take()?,
        };
        once(fields, 1, trial)
    }
}

fn read_ingredients(fields: &mut Fields<'_>) -> Result<Vec<Ingredient>, BoxDynError> {
    let rows: Vec<(String, Decimal)> = fields.take()?;
    let part = |(material, parts): (String, Decimal)| {
        Ok(Ingredient {
            material: MaterialId::parse(&material)?,
            parts,
        })
    };
    rows.into_iter().map(part).collect()
}

fn read_bar(fields: &mut Fields<'_>) -> Result<Option<ShrinkageBar>, BoxDynError> {
    let wet = fields.optional_number(Length::from_mm)?;
    let dry = fields.optional_number(Length::from_mm)?;
    Ok(wet.zip(dry).map(|(wet, dry)| ShrinkageBar { wet, dry }))
}

fn read_crushed(fields: &mut Fields<'_>) -> Result<Vec<CrushedSpecimen>, BoxDynError> {
    let rows: Vec<(Decimal, Decimal, Decimal)> = fields.take()?;
    let specimen = |(load_kn, width, depth)| CrushedSpecimen {
        load_kn,
        width: Length::from_mm(width),
        depth: Length::from_mm(depth),
    };
    Ok(rows.into_iter().map(specimen).collect())
}

fn read_broken(fields: &mut Fields<'_>) -> Result<Vec<BrokenSpecimen>, BoxDynError> {
    let rows: Vec<(Decimal, Decimal, Decimal, Decimal)> = fields.take()?;
    let specimen = |(load_kn, span, width, height)| BrokenSpecimen {
        load_kn,
        span: Length::from_mm(span),
        width: Length::from_mm(width),
        height: Length::from_mm(height),
    };
    Ok(rows.into_iter().map(specimen).collect())
}

/// The numbers of a trial as they go in; those of parts and specimens by column.
struct Numbers {
    straw: Decimal,
    wet: Option<Decimal>,
    dry: Option<Decimal>,
    density: Option<Decimal>,
    parts: Vec<Decimal>,
    crushed: [Vec<Decimal>; 3],
    broken: [Vec<Decimal>; 4],
}

impl Numbers {
    fn of(trial: &MixTrial) -> Result<Self, StoreFault> {
        let mut exact = Exact::default();
        let (bar, density) = (trial.shrinkage, trial.density_dry);
        let numbers = Self {
            straw: exact.number(
                "straw_kg_per_m3",
                trial.straw_per_placed.kg_per_cubic_metre(),
            ),
            wet: exact.optional("shrinkage_wet_mm", bar.map(|bar| bar.wet.mm())),
            dry: exact.optional("shrinkage_dry_mm", bar.map(|bar| bar.dry.mm())),
            density: exact.optional(
                "density_dry_kg_m3",
                density.map(Density::kg_per_cubic_metre),
            ),
            parts: trial
                .ingredients
                .iter()
                .map(|part| exact.number(&format!("parts of {}", part.material), part.parts))
                .collect(),
            crushed: [
                column(&mut exact, "crushed", "load_kn", &trial.crushed, |each| {
                    each.load_kn
                }),
                column(&mut exact, "crushed", "width_mm", &trial.crushed, |each| {
                    each.width.mm()
                }),
                column(&mut exact, "crushed", "depth_mm", &trial.crushed, |each| {
                    each.depth.mm()
                }),
            ],
            broken: [
                column(&mut exact, "broken", "load_kn", &trial.broken, |each| {
                    each.load_kn
                }),
                column(&mut exact, "broken", "span_mm", &trial.broken, |each| {
                    each.span.mm()
                }),
                column(&mut exact, "broken", "width_mm", &trial.broken, |each| {
                    each.width.mm()
                }),
                column(&mut exact, "broken", "height_mm", &trial.broken, |each| {
                    each.height.mm()
                }),
            ],
        };
        exact.check()?;
        Ok(numbers)
    }
}

/// One number of every specimen.
fn column<T>(
    exact: &mut Exact,
    list: &str,
    name: &str,
    specimens: &[T],
    of: fn(&T) -> Decimal,
) -> Vec<Decimal> {
    let number = |(at, each): (usize, &T)| exact.number(&format!("{list}[{at}].{name}"), of(each));
    specimens.iter().enumerate().map(number).collect()
}

/// Reads one.
pub async fn get(
    session: &mut Session,
    site: &SiteId,
    id: &MixTrialId,
) -> Result<Stored<MixTrial>, StoreFault> {
    let found: Option<Record<Stored<MixTrial>>> = sqlx::query_scalar(concat!(
        "select ",
        mix_trial_fields!(),
        " from mix_trial where firm_id = $1 and site_id = $2 and mix_trial_id = $3"
    ))
    .bind(session.firm_uuid())
    .bind(site.as_str())
    .bind(id.as_str())
    .fetch_optional(session.connection())
    .await?;
    found
        .map(|record| record.0)
        .ok_or_else(|| StoreFault::not_found(Thing::mix_trial(site, id)))
}

/// Reads at most `limit` of a site by id, those after `after`. The site must exist.
pub async fn list(
    session: &mut Session,
    site: &SiteId,
    after: Option<&MixTrialId>,
    limit: u32,
) -> Result<Vec<Stored<MixTrial>>, StoreFault> {
    let found: Vec<Record<Stored<MixTrial>>> = sqlx::query_scalar(concat!(
        "select ",
        mix_trial_fields!(),
        " from mix_trial where firm_id = $1 and site_id = $2 and $3 < mix_trial_id order by mix_trial_id limit $4"
    ))
    .bind(session.firm_uuid())
    .bind(site.as_str())
    .bind(after.map_or("", MixTrialId::as_str))
    .bind(i64::from(limit))
    .fetch_all(session.connection())
    .await?;
    if found.is_empty() {
        site::get(session, site).await?;
    }
    Ok(values(found))
}

/// Records one under its own site. Every material that it names and that is not there is named in the fault.
pub async fn insert(
    session: &mut Session,
    trial: &MixTrial,
) -> Result<Stored<MixTrial>, StoreFault> {
    let numbers = Numbers::of(trial)?;
    let what = format!("trial {} was made", trial.id);
    session.check_not_ahead("mix_trial_made_by_now", &what, trial.made)?;
    check_materials(session, trial).await?;
    check_soil(session, trial).await?;
    let created = sqlx::query_scalar(
        "insert into mix_trial (firm_id, site_id, mix_trial_id, made_date, soil_test_id, straw_kg_per_m3, \
         shrinkage_wet_mm, shrinkage_dry_mm, density_dry_kg_m3, rule_pack_id, outcome, note) \
         values ($1, $2, $3, $4, $5, $6, $7, $8, $9, $10, $11, $12) returning created_at",
    )
    .bind(session.firm_uuid())
    .bind(trial.site.as_str())
    .bind(trial.id.as_str())
    .bind(trial.made)
    .bind(trial.soil_test.as_ref().map(SoilTestId::as_str))
    .bind(numbers.straw)
    .bind(numbers.wet)
    .bind(numbers.dry)
    .bind(numbers.density)
    .bind(trial.rule_pack.as_ref().map(RulePackId::as_str))
    .bind(trial.outcome.kept_word())
    .bind(&trial.note)
    .fetch_one(session.connection())
    .await
    .map_err(|error| refusal(error, trial))?;
    insert_parts(session, trial, &numbers.parts).await?;
    insert_specimens(session, trial, &numbers).await?;
    Ok(Stamp::once(1, created).on(trial.clone()))
}

async fn insert_parts(
    session: &mut Session,
    trial: &MixTrial,
    parts: &[Decimal],
) -> Result<(), StoreFault> {
    let materials: Vec<&str> = trial
        .ingredients
        .iter()
        .map(|part| part.material.as_str())
        .collect();
    sqlx::query(
        "insert into mix_trial_ingredient (firm_id, site_id, mix_trial_id, position, material_id, parts) \
         select $1, $2, $3, position, material_id, parts \
         from unnest($4::text[], $5::numeric[]) with ordinality as part (material_id, parts, position)",
    )
    .bind(session.firm_uuid())
    .bind(trial.site.as_str())
    .bind(trial.id.as_str())
    .bind(&materials)
    .bind(parts)
    .execute(session.connection())
    .await
    .map_err(|error| refusal(error, trial))?;
    Ok(())
}

async fn insert_specimens(
    session: &mut Session,
    trial: &MixTrial,
    numbers: &Numbers,
) -> Result<(), StoreFault> {
    sqlx::query(
        "with crushed as ( \
             insert into mix_trial_crushed (firm_id, site_id, mix_trial_id, position, load_kn, width_mm, depth_mm) \
             select $1, $2, $3, position, load_kn, width_mm, depth_mm \
             from unnest($4::numeric[], $5::numeric[], $6::numeric[]) \
             with ordinality as specimen (load_kn, width_mm, depth_mm, position)) \
         insert into mix_trial_broken \
             (firm_id, site_id, mix_trial_id, position, load_kn, span_mm, width_mm, height_mm) \
         select $1, $2, $3, position, load_kn, span_mm, width_mm, height_mm \
         from unnest($7::numeric[], $8::numeric[], $9::numeric[], $10::numeric[]) \
         with ordinality as specimen (load_kn, span_mm, width_mm, height_mm, position)",
    )
    .bind(session.firm_uuid())
    .bind(trial.site.as_str())
    .bind(trial.id.as_str())
    .bind(&numbers.crushed[0])
    .bind(&numbers.crushed[1])
    .bind(&numbers.crushed[2])
    .bind(&numbers.broken[0])
    .bind(&numbers.broken[1])
    .bind(&numbers.broken[2])
    .bind(&numbers.broken[3])
    .execute(session.connection())
    .await
    .map_err(|error| refusal(error, trial))?;
    Ok(())
}

/// Names every material that is not there, where the foreign key would name the first alone.
async fn check_materials(session: &mut Session, trial: &MixTrial) -> Result<(), StoreFault> {
    let parts = trial.ingredients.iter();
    let mut needed: Vec<&MaterialId> = parts.map(|part| &part.material).collect();
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
        return Ok(());
    }
    Err(StoreFault::NotFound(
        needed.into_iter().map(Thing::from).collect(),
    ))
}

/// Whether the soil of a trial was there when it was made and, where the trial was taken, may be built with. A test that is
/// not there is told by its constraint.
async fn check_soil(session: &mut Session, trial: &MixTrial) -> Result<(), StoreFault> {
    let Some(id) = &trial.soil_test else {
        return Ok(());
    };
    let test = match soil_test::get(session, &trial.site, id).await {
        Ok(test) => test.value,
        Err(StoreFault::NotFound(_)) => return Ok(()),
        Err(fault) => return Err(fault),
    };
    let name = Thing::soil_test(&trial.site, id).name;
    if trial.made < test.sampled {
        let (made, sampled) = (trial.made, test.sampled);
        let message = format!(
            "the trial was made on {made} of a soil sampled on {sampled}, {name}; look at the dates"
        );
        return Err(StoreFault::refused("mix_trial_made_of_its_sample", message));
    }
    let refusals = test.refusals();
    if trial.outcome != TrialOutcome::Taken || refusals.is_empty() {
        return Ok(());
    }
    let words: Vec<String> = refusals.into_iter().map(|fault| fault.message).collect();
    Err(StoreFault::refused(
        "mix_trial_soil_is_fit",
        format!(
            "{}; record the trial as turned down, and try a soil that may be built with",
            words.join("; ")
        ),
    ))
}

fn refusal(error: sqlx::Error, trial: &MixTrial) -> StoreFault {
    broken(error, RULES, |rule| match rule {
        "mix_trial_key" => Some(StoreFault::Taken(Thing::mix_trial(&trial.site, &trial.id))),
        "mix_trial_site_exists" => Some(StoreFault::not_found(Thing::from(&trial.site))),
        "mix_trial_soil_test_exists" => trial
            .soil_test
            .as_ref()
            .map(|test| StoreFault::not_found(Thing::soil_test(&trial.site, test))),
        "mix_trial_rule_pack_exists" => trial
            .rule_pack
            .as_ref()
            .map(|pack| StoreFault::not_found(pack.into())),
        _ => None,
    })
}
