//! The shapes of the files of `shared/library`, and their way into domain values.

use hod_domain::id::{CrewId, Grade, IdFault, LabourConstantId, MaterialId, Method, MixId};
use hod_domain::material::{Material, Supply};
use hod_domain::mix::{Ingredient, Mix, Straw};
use hod_domain::unit::Unit;
use hod_domain::work::{Crew, Driver, GradeShare, LabourConstant, Task};
use hod_units::{Decimal, Density, Hours, Mass, NumberFault, Share, Volume, parse_decimal};
use serde::Deserialize;

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
    supply: SupplyWord,
    purchase_unit: UnitWord,
    density_loose_kg_m3: Option<String>,
    bulking_percent: Option<String>,
    swell_percent: Option<String>,
    moisture_percent: Option<String>,
    mass_per_unit_kg: Option<String>,
    source: String,
}

#[derive(Deserialize)]
#[serde(rename_all = "kebab-case")]
enum SupplyWord {
    Bought,
    Site,
}

#[derive(Deserialize)]
#[serde(rename_all = "kebab-case")]
enum UnitWord {
    M3,
    T,
    L,
    Kg,
    Bale,
    Bag,
    Roll,
    Each,
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
        supply: match shape.supply {
            SupplyWord::Bought => Supply::Bought,
            SupplyWord::Site => Supply::Site,
        },
        purchase_unit: unit(shape.purchase_unit),
        density_loose: entry
            .optional(&shape.density_loose_kg_m3)?
            .map(Density::from_kg_per_cubic_metre),
        bulking: entry.percent(&shape.bulking_percent)?,
        swell: entry.percent(&shape.swell_percent)?,
        moisture: entry.percent(&shape.moisture_percent)?,
        mass_per_unit: entry.optional(&shape.mass_per_unit_kg)?.map(Mass::from_kg),
        display_name: shape.display_name,
        source: shape.source,
    })
}

fn unit(word: UnitWord) -> Unit {
    match word {
        UnitWord::M3 => Unit::M3,
        UnitWord::T => Unit::T,
        UnitWord::L => Unit::L,
        UnitWord::Kg => Unit::Kg,
        UnitWord::Bale => Unit::Bale,
        UnitWord::Bag => Unit::Bag,
        UnitWord::Roll => Unit::Roll,
        UnitWord::Each => Unit::Each,
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
    ingredients: Vec<IngredientShape>,
    bucket_l: String,
    buckets_per_part: String,
    density_dry_kg_m3: String,
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
        bucket: Volume::from_litres(entry.number(&shape.bucket_l)?),
        buckets_per_part: entry.number(&shape.buckets_per_part)?,
        density_dry: Density::from_kg_per_cubic_metre(entry.number(&shape.density_dry_kg_m3)?),
        batch_yield_measured: entry
            .optional(&shape.batch_yield_l)?
            .map(Volume::from_litres),
        straw: straw(&entry, &shape)?,
        water: shape
            .water_material
            .as_deref()
            .map(|id| entry.id(MaterialId::parse, id))
            .transpose()?,
        water_share: entry.percent(&shape.water_percent)?,
        waste: entry.percent(&shape.waste_percent)?,
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
    task: TaskWord,
    method: Option<String>,
    driver: DriverWord,
    low_hours: String,
    likely_hours: String,
    high_hours: String,
    #[serde(default)]
    make_up: Vec<GradeShape>,
    source: String,
}

#[derive(Deserialize)]
#[serde(rename_all = "kebab-case")]
enum TaskWord {
    SetUp,
    Dig,
    Screen,
    Haul,
    Mix,
    Place,
    Pare,
    SetOpening,
    Cover,
    CleanUp,
}

#[derive(Deserialize)]
#[serde(rename_all = "kebab-case")]
enum DriverWord {
    Batch,
    M3Placed,
    M3Mixed,
    M3Bank,
    M3Loose,
    #[serde(rename = "m3-loose-25m")]
    M3Loose25m,
    M2Face,
    Lift,
    Opening,
    Job,
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
        task: task(shape.task),
        method: shape
            .method
            .as_deref()
            .map(|id| entry.id(Method::parse, id))
            .transpose()?,
        driver: driver(shape.driver),
        low: Hours::from_hours(entry.number(&shape.low_hours)?),
        likely: Hours::from_hours(entry.number(&shape.likely_hours)?),
        high: Hours::from_hours(entry.number(&shape.high_hours)?),
        make_up: entry.make_up(&shape.make_up)?,
        display_name: shape.display_name,
        source: shape.source,
    })
}

fn task(word: TaskWord) -> Task {
    match word {
        TaskWord::SetUp => Task::SetUp,
        TaskWord::Dig => Task::Dig,
        TaskWord::Screen => Task::Screen,
        TaskWord::Haul => Task::Haul,
        TaskWord::Mix => Task::Mix,
        TaskWord::Place => Task::Place,
        TaskWord::Pare => Task::Pare,
        TaskWord::SetOpening => Task::SetOpening,
        TaskWord::Cover => Task::Cover,
        TaskWord::CleanUp => Task::CleanUp,
    }
}

fn driver(word: DriverWord) -> Driver {
    match word {
        DriverWord::Batch => Driver::Batch,
        DriverWord::M3Placed => Driver::M3Placed,
        DriverWord::M3Mixed => Driver::M3Mixed,
        DriverWord::M3Bank => Driver::M3Bank,
        DriverWord::M3Loose => Driver::M3Loose,
        DriverWord::M3Loose25m => Driver::M3Loose25m,
        DriverWord::M2Face => Driver::M2Face,
        DriverWord::Lift => Driver::Lift,
        DriverWord::Opening => Driver::Opening,
        DriverWord::Job => Driver::Job,
    }
}
