//! All that an estimate is made from, in two statements: one brings the things by name, the other what the lists of
//! the regions hold on the day. With the job's own read a stored estimate makes three.
//!
//! A takeoff needs only what its job draws on by name, which is one statement. What all of it comes to is for the middle.

mod lists;
mod things;

use hod_domain::id::{CrewId, MaterialId, MixId, RulePackId, SiteId, SoilTestId};
use hod_domain::material::Material;
use hod_domain::mix::Mix;
use hod_domain::price::PriceList;
use hod_domain::region::Region;
use hod_domain::rules::RulePack;
use hod_domain::site::Site;
use hod_domain::soil::SoilTest;
use hod_domain::trial::MixTrial;
use hod_domain::work::{Crew, LabourConstant};
use hod_units::Date;

use self::things::{LibraryThings, Things, values};
use crate::fault::StoreFault;
use crate::session::Session;

/// What a job draws on, by name.
#[derive(Debug, Clone, PartialEq, Eq, Hash, Default)]
pub struct LibraryNames {
    /// Its mixes. The materials and the trial of each come with it, and the rules of that trial.
    pub mixes: Vec<MixId>,
    /// The materials that it names itself.
    pub materials: Vec<MaterialId>,
    /// The rules that its payment follows.
    pub rule_pack: Option<RulePackId>,
    /// The test of the ground that it digs.
    pub soil_test: Option<(SiteId, SoilTestId)>,
}

/// What a job is priced with, by name.
#[derive(Debug, Clone, PartialEq, Eq, Hash)]
pub struct Names {
    /// Where it stands.
    pub site: SiteId,
    /// Who works.
    pub crew: CrewId,
    /// The day whose prices and rates hold.
    pub on: Date,
    /// What it draws on.
    pub library: LibraryNames,
}

/// What a job draws on.
#[derive(Debug, Clone, PartialEq)]
pub struct LoadedLibrary {
    /// Its mixes, in the order asked.
    pub mixes: Vec<Mix>,
    /// Ingredients, straw and water of those, and the materials asked, by id, each once.
    pub materials: Vec<Material>,
    /// The trials that the mixes name, by site and id.
    pub trials: Vec<MixTrial>,
    /// The rules that those trials are held against, by id, each once.
    pub trial_packs: Vec<RulePack>,
    /// The rules, when they were asked.
    pub rule_pack: Option<RulePack>,
    /// The test, when it was asked.
    pub soil_test: Option<SoilTest>,
}

/// All that an estimate is made from, besides the job.
#[derive(Debug, Clone, PartialEq)]
pub struct LoadedInputs {
    /// Where the job stands.
    pub site: Site,
    /// The site's region, then its parents, nearest first.
    pub regions: Vec<Region>,
    /// Their lists on the day, in the same order: prices of the library's materials, labour rates of every grade.
    pub lists: Vec<PriceList>,
    /// What the job draws on.
    pub library: LoadedLibrary,
    /// The crew.
    pub crew: Crew,
    /// All labour constants of the firm, by id.
    pub constants: Vec<LabourConstant>,
    /// Which version of each of these it is, lists apart, as `mixes/house-cob@3`; of what never changes, its name.
    pub tags: Vec<String>,
}

/// Loads all that a job is priced with.
///
/// # Errors
/// [`StoreFault::NotFound`] with everything named that is not there.
pub async fn load(session: &mut Session, names: &Names) -> Result<LoadedInputs, StoreFault> {
    let things = Things::load(session, names).await?;
    let missing = things.missing(names);
    let tags = things.tags(names);
    let (Some(site), Some(crew), true) = (things.site, things.crew, missing.is_empty()) else {
        return Err(StoreFault::NotFound(missing));
    };
    let regions = values(things.regions);
    let versions = things.list_versions;
    let library = things.library.into_loaded(&names.library);
    let lists = lists::load(session, &regions, &versions, names.on, &library.materials).await?;
    Ok(LoadedInputs {
        site: site.value,
        regions,
        lists,
        library,
        crew: crew.value,
        constants: values(things.constants),
        tags,
    })
}

/// Loads what a job draws on by name, for a takeoff.
///
/// # Errors
/// [`StoreFault::NotFound`] with everything named that is not there.
pub async fn load_library(
    session: &mut Session,
    names: &LibraryNames,
) -> Result<LoadedLibrary, StoreFault> {
    let things = LibraryThings::load(session, names).await?;
    let missing = things.missing(names);
    if missing.is_empty() {
        Ok(things.into_loaded(names))
    } else {
        Err(StoreFault::NotFound(missing))
    }
}
