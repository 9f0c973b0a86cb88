//! Materials: what is bought or dug, and what it weighs.

use hod_domain::id::{MaterialGroup, MaterialId};
use hod_domain::material::{Material, PieceSize};
use hod_units::{Decimal, Density, Length, Mass, Share};
use sqlx::error::BoxDynError;

use crate::exact::Exact;
use crate::fault::{DISPLAY_NAME, FIRM, ID, Rules, SOURCE, StoreFault, VERSION, broken};
use crate::row::{Fields, FromRecord, Record, values};
use crate::session::Session;
use crate::stored::{Stamp, Stored};
use crate::thing::Thing;
use crate::words::Word;

pub(crate) const RULES: Rules = &[
    ("material_firm_exists", FIRM),
    ("material_id_well_formed", ID),
    ("material_display_name_length", DISPLAY_NAME),
    (
        "material_supply_known",
        "A material is bought or dug on the site.",
    ),
    (
        "material_purchase_unit_known",
        "A material is ordered in m3, t, kg, l, m, m2, bale, bag, roll or each.",
    ),
    (
        "material_density_in_range",
        "A loose density is 10 to 4000 kg/m3.",
    ),
    ("material_bulking_in_range", "Bulking is 0 to 60 percent."),
    ("material_swell_in_range", "Swell is 0 to 100 percent."),
    (
        "material_moisture_in_range",
        "Moisture is 0 to 60 percent of the dry mass.",
    ),
    (
        "material_mass_per_unit_in_range",
        "The mass of one bale, bag, roll or piece is 0.01 to 5000 kg.",
    ),
    (
        "material_sizes_together",
        "A piece has a length, a width and a height; give all three, or none.",
    ),
    (
        "material_sizes_in_range",
        "A length, width or height of one piece is 1 to 20000 mm.",
    ),
    (
        "material_order_step_in_range",
        "A step of orders is 0.01 to 100000 of the purchase unit.",
    ),
    (
        "material_order_step_fits_its_unit",
        "A step of orders is a multiple of 0.01 in m, m2, m3 or t, and a whole number in other units.",
    ),
    (
        "material_clay_in_range",
        "Clay is 0 to 100 percent of the dry mass.",
    ),
    ("material_group_well_formed", ID),
    ("material_source_length", SOURCE),
    ("material_version_positive", VERSION),
    (
        "price_unit_is_the_materials",
        "The unit in which a material is ordered is fixed once it has a price; make a new material for another unit.",
    ),
];

/// The columns of a material, as [`FromRecord`] reads them.
macro_rules! material_fields {
    () => {
        "row(material.material_id, material.display_name, material.supply, material.purchase_unit, \
         material.density_loose_kg_m3, material.bulking_percent, material.swell_percent, \
         material.moisture_percent, material.mass_per_unit_kg, material.length_mm, material.width_mm, \
         material.height_mm, material.order_step, material.clay_percent, material.material_group, material.source, \
         material.version, material.created_at, material.updated_at)"
    };
}
pub(crate) use material_fields;

impl FromRecord for Stored<Material> {
    fn read(fields: &mut Fields<'_>) -> Result<Self, BoxDynError> {
        let material = Material {
            id: fields.id(MaterialId::parse)?,
            display_name: fields.take()?,
            supply: fields.word()?,
            purchase_unit: fields.word()?,
            density_loose: fields.optional_number(Density::from_kg_per_cubic_metre)?,
            bulking: fields.number(Share::from_percent)?,
            swell: fields.number(Share::from_percent)?,
            moisture: fields.number(Share::from_percent)?,
            mass_per_unit: fields.optional_number(Mass::from_kg)?,
            size: read_size(fields)?,
            order_step: fields.take()?,
            clay: fields.number(Share::from_percent)?,
            group: fields.optional_id(MaterialGroup::parse)?,
            source: fields.take()?,
        };
        Ok(fields.stamp()?.on(material))
    }
}

fn read_size(fields: &mut Fields<'_>) -> Result<Option<PieceSize>, BoxDynError> {
    let length = fields.optional_number(Length::from_mm)?;
    let width = fields.optional_number(Length::from_mm)?;
    let height = fields.optional_number(Length::from_mm)?;
    let sizes = length.zip(width).zip(height);
    Ok(sizes.map(|((length, width), height)| PieceSize {
        length,
        width,
        height,
    }))
}

/// The numbers of a material as they go in.
struct Numbers {
    density_loose: Option<Decimal>,
    bulking: Decimal,
    swell: Decimal,
    moisture: Decimal,
    mass_per_unit: Option<Decimal>,
    length: Option<Decimal>,
    width: Option<Decimal>,
    height: Option<Decimal>,
    order_step: Option<Decimal>,
    clay: Decimal,
}

impl Numbers {
    fn of(material: &Material) -> Result<Self, StoreFault> {
        let mut exact = Exact::default();
        let density_loose = material.density_loose.map(Density::kg_per_cubic_metre);
        let size = |of: fn(PieceSize) -> Length| material.size.map(of).map(Length::mm);
        let numbers = Self {
            density_loose: exact.optional("density_loose_kg_m3", density_loose),
            bulking: exact.number("bulking_percent", material.bulking.percent()),
            swell: exact.number("swell_percent", material.swell.percent()),
            moisture: exact.number("moisture_percent", material.moisture.percent()),
            mass_per_unit: exact.optional("mass_per_unit_kg", material.mass_per_unit.map(Mass::kg)),
            length: exact.optional("length_mm", size(|size| size.length)),
            width: exact.optional("width_mm", size(|size| size.width)),
            height: exact.optional("height_mm", size(|size| size.height)),
            order_step: exact.optional("order_step", material.order_step),
            clay: exact.number("clay_percent", material.clay.percent()),
        };
        exact.check()?;
        Ok(numbers)
    }
}

fn refusal(error: sqlx::Error, material: &Material) -> StoreFault {
    broken(error, RULES, |rule| {
        (rule == "material_key").then(|| StoreFault::Taken(Thing::from(&material.id)))
    })
}

/// Reads one.
pub async fn get(session: &mut Session, id: &MaterialId) -> Result<Stored<Material>, StoreFault> {
    let found: Option<Record<Stored<Material>>> = sqlx::query_scalar(concat!(
        "select ",
        material_fields!(),
        " from material where firm_id = $1 and material_id = $2"
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
    after: Option<&MaterialId>,
    limit: u32,
) -> Result<Vec<Stored<Material>>, StoreFault> {
    let found: Vec<Record<Stored<Material>>> = sqlx::query_scalar(concat!(
        "select ",
        material_fields!(),
        " from material where firm_id = $1 and $2 < material_id order by material_id limit $3"
    ))
    .bind(session.firm_uuid())
    .bind(after.map_or("", MaterialId::as_str))
    .bind(i64::from(limit))
    .fetch_all(session.connection())
    .await?;
    Ok(values(found))
}

/// Keeps a new one.
pub async fn insert(
    session: &mut Session,
    material: &Material,
) -> Result<Stored<Material>, StoreFault> {
    let numbers = Numbers::of(material)?;
    let stamp: Result<Stamp, _> = sqlx::query_as(
        "insert into material (firm_id, material_id, display_name, supply, purchase_unit, density_loose_kg_m3, \
         bulking_percent, swell_percent, moisture_percent, mass_per_unit_kg, source, length_mm, width_mm, height_mm, \
         order_step, clay_percent, material_group) \
         values ($1, $2, $3, $4, $5, $6, $7, $8, $9, $10, $11, $12, $13, $14, $15, $16, $17) \
         returning version, created_at, updated_at",
    )
    .bind(session.firm_uuid())
    .bind(material.id.as_str())
    .bind(&material.display_name)
    .bind(material.supply.kept_word())
    .bind(material.purchase_unit.kept_word())
    .bind(numbers.density_loose)
    .bind(numbers.bulking)
    .bind(numbers.swell)
    .bind(numbers.moisture)
    .bind(numbers.mass_per_unit)
    .bind(&material.source)
    .bind(numbers.length)
    .bind(numbers.width)
    .bind(numbers.height)
    .bind(numbers.order_step)
    .bind(numbers.clay)
    .bind(material.group.as_ref().map(MaterialGroup::as_str))
    .fetch_one(session.connection())
    .await;
    Ok(stamp
        .map_err(|error| refusal(error, material))?
        .on(material.clone()))
}

/// Puts new values in the place of the old; refused when `expected` is given and is no longer the version.
pub async fn update(
    session: &mut Session,
    material: &Material,
    expected: Option<i64>,
) -> Result<Stored<Material>, StoreFault> {
    let numbers = Numbers::of(material)?;
    let stamp: Result<Option<Stamp>, _> = sqlx::query_as(
        "update material set display_name = $3, supply = $4, purchase_unit = $5, density_loose_kg_m3 = $6, \
         bulking_percent = $7, swell_percent = $8, moisture_percent = $9, mass_per_unit_kg = $10, source = $11, \
         length_mm = $12, width_mm = $13, height_mm = $14, order_step = $15, clay_percent = $16, \
         material_group = $17, version = version + 1, updated_at = now() \
         where firm_id = $1 and material_id = $2 and ($18::bigint is null or version = $18) \
         returning version, created_at, updated_at",
    )
    .bind(session.firm_uuid())
    .bind(material.id.as_str())
    .bind(&material.display_name)
    .bind(material.supply.kept_word())
    .bind(material.purchase_unit.kept_word())
    .bind(numbers.density_loose)
    .bind(numbers.bulking)
    .bind(numbers.swell)
    .bind(numbers.moisture)
    .bind(numbers.mass_per_unit)
    .bind(&material.source)
    .bind(numbers.length)
    .bind(numbers.width)
    .bind(numbers.height)
    .bind(numbers.order_step)
    .bind(numbers.clay)
    .bind(material.group.as_ref().map(MaterialGroup::as_str))
    .bind(expected)
    .fetch_optional(session.connection())
    .await;
    match stamp.map_err(|error| refusal(error, material))? {
        Some(stamp) => Ok(stamp.on(material.clone())),
        None => {
            get(session, &material.id).await?;
            Err(StoreFault::stale(Thing::from(&material.id)))
        }
    }
}
