//! What a job draws on by name: asked of the store, and made ready for the middle. What is not there, and what makes no
//! recipe, goes to the problems, and the rest is handed on, so that all that is wrong is told at once.

use hod_domain::fault::Fault;
use hod_domain::job::Job;
use hod_domain::library::Library;
use hod_domain::mix::Recipe;
use hod_store::inputs::{self, LibraryNames, LoadedLibrary};
use hod_store::{Session, StoreFault, Thing};
use hod_wire::v1 as wire;

use super::measure::JOB;
use super::naming::field_naming;
use super::problem::Problems;
use super::store_fault::refusal;
use crate::name::{Collection, Materials, Mixes, RulePacks, Sites, SoilTests, child_name};
use crate::refusal::{Missing, Refusal};

/// What a job draws on, by name.
pub fn names(job: &Job) -> LibraryNames {
    LibraryNames {
        mixes: job.mixes(),
        materials: job.materials(),
        rule_pack: job.measurement.clone(),
        soil_test: job
            .ground
            .as_ref()
            .and_then(|ground| ground.soil_test.clone()),
    }
}

/// What was loaded of a library, ready for the middle, and what makes no recipe.
pub fn library(loaded: LoadedLibrary, names: &LibraryNames) -> (Library, Vec<Fault>) {
    let LoadedLibrary {
        mixes,
        mut materials,
        trials,
        trial_packs,
        rule_pack,
        soil_test,
    } = loaded;
    let mut faults = Vec::new();
    let mut recipes = Vec::with_capacity(mixes.len());
    for mix in mixes {
        let of_mix = materials.iter().filter(|material| mix.names(&material.id));
        let of_mix = of_mix.cloned().collect();
        match Recipe::new(mix, of_mix) {
            Ok(recipe) => recipes.push(recipe),
            Err(found) => faults.extend(found),
        }
    }
    materials.retain(|material| names.materials.contains(&material.id));
    let library = Library {
        recipes,
        materials,
        trials,
        trial_packs,
        soil_test,
        rule_pack,
    };
    (library, faults)
}

/// Loads what a job draws on, as far as it is there.
pub async fn load_library(
    session: &mut Session,
    drawing: &wire::Job,
    mut names: LibraryNames,
    problems: &mut Problems,
) -> Result<Library, Refusal> {
    loop {
        match inputs::load_library(session, &names).await {
            Ok(loaded) => {
                let (library, faults) = library(loaded, &names);
                problems.add(JOB, faults);
                return Ok(library);
            }
            Err(StoreFault::NotFound(things)) => {
                let left = without(&names, &things);
                // What was not asked for cannot be missing, so that every round asks for less.
                if left == names {
                    return Err(Refusal::internal(
                        "the store misses what it was not asked for",
                    ));
                }
                problems.missing.extend(missing(things, drawing));
                names = left;
            }
            Err(fault) => return Err(refusal(fault, |_| "")),
        }
    }
}

/// What is named and not there, each at the first field that names it.
pub fn missing(things: Vec<Thing>, drawing: &wire::Job) -> impl Iterator<Item = Missing> {
    things.into_iter().map(|Thing { noun, name }| {
        let field = field_naming(drawing, &name);
        Missing {
            field: field.map_or_else(|| JOB.to_owned(), |field| [JOB, ".", &field].concat()),
            noun,
            name,
        }
    })
}

/// The names without those of these things.
pub fn without(names: &LibraryNames, things: &[Thing]) -> LibraryNames {
    let is_there = |name: String| things.iter().all(|thing| thing.name != name);
    LibraryNames {
        mixes: left(&names.mixes, |mix| is_there(Mixes::name(mix))),
        materials: left(&names.materials, |material| {
            is_there(Materials::name(material))
        }),
        rule_pack: names
            .rule_pack
            .clone()
            .filter(|pack| is_there(RulePacks::name(pack))),
        soil_test: names
            .soil_test
            .clone()
            .filter(|(site, test)| is_there(child_name::<Sites, SoilTests>(site, test))),
    }
}

fn left<I: Clone>(ids: &[I], is_there: impl Fn(&I) -> bool) -> Vec<I> {
    ids.iter().filter(|id| is_there(id)).cloned().collect()
}
