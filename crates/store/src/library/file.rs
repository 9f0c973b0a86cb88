//! The shapes of the files of `shared/library`, and their way into domain values. A word of a closed list is the one
//! that stands for it in the database.

use hod_domain::id::{
    CrewId, Grade, IdFault, LabourConstantId, MaterialGroup, MaterialId, Method, MixId, RulePackId,
};
use hod_domain::material::{Material, PieceSize};
use hod_domain::mix::{Ingredient, Mix, Straw};
use hod_domain::rules::{Rule, RulePack};
use hod_domain::work::{Crew, GradeShare, LabourConstant};
use hod_units::{Decimal, Density, Hours, Length, Mass, NumberFault, Share, Volume, parse_decimal};
use serde::Deserialize;

use crate::words::Word;

/// Why the starting library cannot be read. Its files are part of the program, so this is a fault of the program.
#[derive(Debug, thiserror::Error)]
pub enum LibraryFault {
    /// Not of the shape these files have.
    #[error("a file of the starting library is not of the shape it should have")]
    Shape(#[source] toml::de::Error),
    /// An entry holds what is not a number.
    #[error("{entry} of the starting library holds what is not a number")]
    Number {
        /// Which entry.
        entry: String,
        /// Why not.
        #[source]
        source: NumberFault,
    },
    /// An entry names something by what is not an id.
    #[error("{entry} of the starting library names something by what is not an id")]
    Id {
        /// Which entry.
        entry: String,
        /// Why not.
        #[source]
        source: IdFault,
    },
    /// An entry holds a word that its closed list does not have.
    #[error(
        "{entry} of the starting library has {word:?} for its {field}, which is not a word of its list"
    )]
    Word {
        /// Which entry.
        entry: String,
        /// Which field of it.
        field: &'static str,
        /// What was found.
        word: String,
    },
    /// A piece that has some of its sizes.
    #[error(
        "{0} of the starting library has some of length_mm, width_mm and height_mm, and not all"
    )]
    PartialSize(String),
}

/// An entry being read, so that a fault can name it.
struct Entry<'a>(&'a str);

impl Entry<'_> {
    fn id<T>(&self, read: fn(&str) -> Result<T, IdFault>, text: &str) -> Result<T, LibraryFault> {
        read(text).map_err(|source| LibraryFault::Id {
            entry: self.0.to_owned(),
            source,
        })
    }

    fn optional_id<T>(
        &self,
        read: fn(&str) -> Result<T, IdFault>,
        text: &Option<String>,
    ) -> Result<Option<T>, LibraryFault> {
        text.as_deref().map(|text| self.id(read, text)).transpose()
    }

    fn word<T: Word>(&self, field: &'static str, text: &str) -> Result<T, LibraryFault> {
        T::read(text).map_err(|_| LibraryFault::Word {
            entry: self.0.to_owned(),
            field,
            word: text.to_owned(),
        })
    }

    /// A word that has a meaning when it is left out.
    fn word_or_default<T: Word + Default>(
        &self,
        field: &'static str,
        text: &Option<String>,
    ) -> Result<T, LibraryFault> {
        match text {
            Some(text) => self.word(field, text),
            None => Ok(T::default()),
        }
    }

    fn number(&self, text: &str) -> Result<Decimal, LibraryFault> {
        parse_decimal(text).map_err(|source| LibraryFault::Number {
            entry: self.0.to_owned(),
            source,
        })
    }

    fn optional(&self, text: &Option<String>) -> Result<Option<Decimal>, LibraryFault> {
        text.as_deref().map(|text| self.number(text)).transpose()
    }

    fn percent(&self, text: &Option<String>) -> Result<Share, LibraryFault> {
        Ok(self
            .optional(text)?
            .map_or(Share::ZERO, Share::from_percent))
    }

    fn make_up(&self, shapes: &[GradeShape]) -> Result<Vec<GradeShare>, LibraryFault> {
        shapes
            .iter()
            .map(|each| {
                Ok(GradeShare {
                    grade: self.id(Grade::parse, &each.grade)?,
                    share: Share::from_percent(self.number(&each.share_percent)?),
                })
            })
            .collect()
    }
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct MaterialFile {
    material: Vec<MaterialShape>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct MaterialShape {
    id: String,
    display_name: String,
    supply: String,
    purchase_unit: String,
    density_loose_kg_m3: Option<String>,
    bulking_percent: Option<String>,
    swell_percent: Option<String>,
    moisture_percent: Option<String>,
    mass_per_unit_kg: Option<String>,
    length_mm: Option<String>,
    width_mm: Option<String>,
    height_mm: Option<String>,
    order_step: Option<String>,
    clay_percent: Option<String>,
    group: Option<String>,
    source: String,
}

/// Reads materials.
pub(super) fn materials(text: &str) -> Result<Vec<Material>, LibraryFault> {
    let file: MaterialFile = toml::from_str(text).map_err(LibraryFault::Shape)?;
    file.material.into_iter().map(material).collect()
}

fn material(shape: MaterialShape) -> Result<Material, LibraryFault> {
    let entry = Entry(&shape.id);
    Ok(Material {
        id: entry.id(MaterialId::parse, &shape.id)?,
        supply: entry.word("supply", &shape.supply)?,
        purchase_unit: entry.word("purchase_unit", &shape.purchase_unit)?,
        density_loose: entry
            .optional(&shape.density_loose_kg_m3)?
            .map(Density::from_kg_per_cubic_metre),
        bulking: entry.percent(&shape.bulking_percent)?,
        swell: entry.percent(&shape.swell_percent)?,
        moisture: entry.percent(&shape.moisture_percent)?,
        mass_per_unit: entry.optional(&shape.mass_per_unit_kg)?.map(Mass::from_kg),
        size: size(&entry, &shape)?,
        order_step: entry.optional(&shape.order_step)?,
        clay: entry.percent(&shape.clay_percent)?,
        group: entry.optional_id(MaterialGroup::parse, &shape.group)?,
        display_name: shape.display_name,
        source: shape.source,
    })
}

fn size(entry: &Entry<'_>, shape: &MaterialShape) -> Result<Option<PieceSize>, LibraryFault> {
    let size = |text| Ok(entry.optional(text)?.map(Length::from_mm));
    let sizes = (
        size(&shape.length_mm)?,
        size(&shape.width_mm)?,
        size(&shape.height_mm)?,
    );
    match sizes {
        (None, None, None) => Ok(None),
        (Some(length), Some(width), Some(height)) => Ok(Some(PieceSize {
            length,
            width,
            height,
        })),
        _ => Err(LibraryFault::PartialSize(entry.0.to_owned())),
    }
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct MixFile {
    mix: Vec<MixShape>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct MixShape {
    id: String,
    display_name: String,
    purpose: Option<String>,
    ingredients: Vec<IngredientShape>,
    measure: Option<String>,
    bucket_l: String,
    buckets_per_part: String,
    mixing: Option<String>,
    density_dry_kg_m3: String,
    density_evidence: Option<String>,
    batch_yield_l: Option<String>,
    straw_material: Option<String>,
    straw_kg_per_m3: Option<String>,
    water_material: Option<String>,
    water_percent: Option<String>,
    waste_percent: Option<String>,
    source: String,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct IngredientShape {
    material: String,
    parts: String,
}

/// Reads mixes.
pub(super) fn mixes(text: &str) -> Result<Vec<Mix>, LibraryFault> {
    let file: MixFile = toml::from_str(text).map_err(LibraryFault::Shape)?;
    file.mix.into_iter().map(mix).collect()
}

fn mix(shape: MixShape) -> Result<Mix, LibraryFault> {
    let entry = Entry(&shape.id);
    Ok(Mix {
        id: entry.id(MixId::parse, &shape.id)?,
        ingredients: shape
            .ingredients
            .iter()
            .map(|each| ingredient(&entry, each))
            .collect::<Result<_, _>>()?,
        purpose: entry.word_or_default("purpose", &shape.purpose)?,
        measure: entry.word_or_default("measure", &shape.measure)?,
        bucket: Volume::from_litres(entry.number(&shape.bucket_l)?),
        buckets_per_part: entry.number(&shape.buckets_per_part)?,
        mixing: entry.optional_id(Method::parse, &shape.mixing)?,
        density_dry: Density::from_kg_per_cubic_metre(entry.number(&shape.density_dry_kg_m3)?),
        density_evidence: entry.word_or_default("density_evidence", &shape.density_evidence)?,
        batch_yield_measured: entry
            .optional(&shape.batch_yield_l)?
            .map(Volume::from_litres),
        straw: straw(&entry, &shape)?,
        water: entry.optional_id(MaterialId::parse, &shape.water_material)?,
        water_share: entry.percent(&shape.water_percent)?,
        waste: entry.percent(&shape.waste_percent)?,
        // A firm that begins has no site yet, of whose soil there could be a trial.
        trial: None,
        display_name: shape.display_name,
        source: shape.source,
    })
}

fn ingredient(entry: &Entry<'_>, shape: &IngredientShape) -> Result<Ingredient, LibraryFault> {
    Ok(Ingredient {
        material: entry.id(MaterialId::parse, &shape.material)?,
        parts: entry.number(&shape.parts)?,
    })
}

fn straw(entry: &Entry<'_>, shape: &MixShape) -> Result<Option<Straw>, LibraryFault> {
    let Some(id) = &shape.straw_material else {
        return Ok(None);
    };
    let per_placed = entry.optional(&shape.straw_kg_per_m3)?.unwrap_or_default();
    Ok(Some(Straw {
        material: entry.id(MaterialId::parse, id)?,
        per_placed: Density::from_kg_per_cubic_metre(per_placed),
    }))
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct CrewFile {
    crew: Vec<CrewShape>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct CrewShape {
    id: String,
    display_name: String,
    hours_factor: String,
    make_up: Vec<GradeShape>,
    source: String,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct GradeShape {
    grade: String,
    share_percent: String,
}

/// Reads crews.
pub(super) fn crews(text: &str) -> Result<Vec<Crew>, LibraryFault> {
    let file: CrewFile = toml::from_str(text).map_err(LibraryFault::Shape)?;
    file.crew.into_iter().map(crew).collect()
}

fn crew(shape: CrewShape) -> Result<Crew, LibraryFault> {
    let entry = Entry(&shape.id);
    Ok(Crew {
        id: entry.id(CrewId::parse, &shape.id)?,
        hours_factor: entry.number(&shape.hours_factor)?,
        make_up: entry.make_up(&shape.make_up)?,
        display_name: shape.display_name,
        source: shape.source,
    })
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct LabourConstantFile {
    labour_constant: Vec<LabourConstantShape>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct LabourConstantShape {
    id: String,
    display_name: String,
    task: String,
    method: Option<String>,
    driver: String,
    low_hours: String,
    likely_hours: String,
    high_hours: String,
    #[serde(default)]
    make_up: Vec<GradeShape>,
    source: String,
}

/// Reads labour constants.
pub(super) fn labour_constants(text: &str) -> Result<Vec<LabourConstant>, LibraryFault> {
    let file: LabourConstantFile = toml::from_str(text).map_err(LibraryFault::Shape)?;
    file.labour_constant
        .into_iter()
        .map(labour_constant)
        .collect()
}

fn labour_constant(shape: LabourConstantShape) -> Result<LabourConstant, LibraryFault> {
    let entry = Entry(&shape.id);
    Ok(LabourConstant {
        id: entry.id(LabourConstantId::parse, &shape.id)?,
        task: entry.word("task", &shape.task)?,
        method: entry.optional_id(Method::parse, &shape.method)?,
        driver: entry.word("driver", &shape.driver)?,
        low: Hours::from_hours(entry.number(&shape.low_hours)?),
        likely: Hours::from_hours(entry.number(&shape.likely_hours)?),
        high: Hours::from_hours(entry.number(&shape.high_hours)?),
        make_up: entry.make_up(&shape.make_up)?,
        display_name: shape.display_name,
        source: shape.source,
    })
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct RulePackFile {
    rule_pack: Vec<RulePackShape>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct RulePackShape {
    id: String,
    display_name: String,
    jurisdiction: String,
    rules: Vec<RuleShape>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct RuleShape {
    kind: String,
    limit: String,
    section: String,
    standing: String,
}

/// Reads rule packs.
pub(super) fn rule_packs(text: &str) -> Result<Vec<RulePack>, LibraryFault> {
    let file: RulePackFile = toml::from_str(text).map_err(LibraryFault::Shape)?;
    file.rule_pack.into_iter().map(rule_pack).collect()
}

fn rule_pack(shape: RulePackShape) -> Result<RulePack, LibraryFault> {
    let entry = Entry(&shape.id);
    let rule = |each: RuleShape| {
        Ok(Rule {
            kind: entry.word("kind", &each.kind)?,
            limit: entry.number(&each.limit)?,
            standing: entry.word("standing", &each.standing)?,
            section: each.section,
        })
    };
    Ok(RulePack {
        id: entry.id(RulePackId::parse, &shape.id)?,
        display_name: shape.display_name,
        jurisdiction: shape.jurisdiction,
        rules: shape
            .rules
            .into_iter()
            .map(rule)
            .collect::<Result<_, _>>()?,
    })
}
