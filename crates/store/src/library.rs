//! The starting library: the curated files of `shared/library`, read into domain values and laid into an empty firm.
//!
//! The files travel inside the program, so that a server needs nothing beside itself. What a firm does with its copy
//! afterwards is the firm's own affair.

mod file;

use hod_domain::material::Material;
use hod_domain::mix::Mix;
use hod_domain::work::{Crew, LabourConstant};

pub use file::LibraryFault;

use crate::{Session, StoreFault, crew, labour_constant, material, mix};

/// What an empty firm begins with.
#[derive(Debug, Clone, PartialEq)]
pub struct Library {
    /// What is bought or dug.
    pub materials: Vec<Material>,
    /// Recipes of those materials.
    pub mixes: Vec<Mix>,
    /// Who works.
    pub crews: Vec<Crew>,
    /// Hours to a unit of work.
    pub labour_constants: Vec<LabourConstant>,
}

impl Library {
    /// Reads the files of `shared/library`.
    pub fn read() -> Result<Self, LibraryFault> {
        Ok(Self {
            materials: file::materials(include_str!("../../../shared/library/material.toml"))?,
            mixes: file::mixes(include_str!("../../../shared/library/mix.toml"))?,
            crews: file::crews(include_str!("../../../shared/library/crew.toml"))?,
            labour_constants: file::labour_constants(include_str!(
                "../../../shared/library/labour_constant.toml"
            ))?,
        })
    }
}

/// Lays the starting library into a firm that has none of it.
pub async fn load(session: &mut Session) -> Result<(), StoreFault> {
    let library = Library::read().map_err(|fault| StoreFault::Internal(Box::new(fault)))?;
    for each in &library.materials {
        material::insert(session, each).await?;
    }
    for each in &library.mixes {
        mix::insert(session, each).await?;
    }
    for each in &library.crews {
        crew::insert(session, each).await?;
    }
    for each in &library.labour_constants {
        labour_constant::insert(session, each).await?;
    }
    Ok(())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_entry_of_the_library_keeps_the_rules_of_its_noun() {
        let library = Library::read().expect("the library is readable");
        let faults: Vec<_> = library
            .materials
            .iter()
            .flat_map(Material::faults)
            .chain(library.mixes.iter().flat_map(Mix::faults))
            .chain(library.crews.iter().flat_map(Crew::faults))
            .chain(
                library
                    .labour_constants
                    .iter()
                    .flat_map(LabourConstant::faults),
            )
            .collect();
        assert_eq!(faults, []);
    }

    #[test]
    fn every_figure_of_the_library_has_a_source() {
        let library = Library::read().expect("the library is readable");
        let sources = library
            .materials
            .iter()
            .map(|each| (each.id.as_str(), each.source.as_str()))
            .chain(
                library
                    .mixes
                    .iter()
                    .map(|each| (each.id.as_str(), each.source.as_str())),
            )
            .chain(
                library
                    .crews
                    .iter()
                    .map(|each| (each.id.as_str(), each.source.as_str())),
            )
            .chain(
                library
                    .labour_constants
                    .iter()
                    .map(|each| (each.id.as_str(), each.source.as_str())),
            );
        for (id, source) in sources {
            assert!(
                (10..=400).contains(&source.chars().count()),
                "{id}: {source:?}"
            );
        }
    }

    #[test]
    fn every_mix_is_made_of_materials_of_the_library() {
        let library = Library::read().expect("the library is readable");
        for mix in library.mixes {
            let recipe = hod_domain::mix::Recipe::new(mix, library.materials.clone());
            assert!(recipe.is_ok(), "{recipe:?}");
        }
    }
}
