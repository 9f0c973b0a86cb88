//! The starting library: the curated files of `shared/library`, read into domain values and laid into an empty firm.
//!
//! The files travel inside the program, so that a server needs nothing beside itself. What a firm does with its copy
//! afterwards is the firm's own affair.

mod file;

use hod_domain::material::Material;
use hod_domain::mix::Mix;
use hod_domain::rules::RulePack;
use hod_domain::work::{Crew, LabourConstant};

pub use file::LibraryFault;

use crate::{Session, StoreFault, crew, labour_constant, material, mix, rule_pack};

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
    /// Limits that codes and standards set.
    pub rule_packs: Vec<RulePack>,
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
            rule_packs: file::rule_packs(include_str!("../../../shared/library/rule_pack.toml"))?,
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
    for each in &library.rule_packs {
        rule_pack::insert(session, each).await?;
    }
    Ok(())
}

#[cfg(test)]
mod tests {
    use hod_domain::mix::Purpose;
    use hod_domain::rules::{RuleKind, RuleStanding};
    use hod_domain::trial::ShrinkageBar;
    use hod_domain::work::Task;
    use hod_units::{Decimal, Length, LengthUnit, Rounding, round};
    use rust_decimal::dec;

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
            .chain(library.rule_packs.iter().flat_map(RulePack::faults))
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
    fn every_limit_says_where_it_stands_and_how_it_came_here() {
        let library = Library::read().expect("the library is readable");
        for pack in &library.rule_packs {
            for rule in &pack.rules {
                let section = rule.section.as_str();
                assert!(
                    (10..=400).contains(&section.chars().count()),
                    "{}: {section:?}",
                    pack.id
                );
                let words = match rule.standing {
                    RuleStanding::Read => "; read at ",
                    RuleStanding::Reported => "; reported at ",
                    RuleStanding::FromMemory => "; from memory",
                };
                assert!(section.contains(words), "{}: {section:?}", pack.id);
            }
        }
    }

    #[test]
    fn the_cob_pack_lets_a_bar_of_24_inches_lose_one_inch() {
        let library = Library::read().expect("the library is readable");
        let cob = library
            .rule_packs
            .iter()
            .find(|pack| pack.id.as_str() == "cob");
        let rule = cob
            .and_then(|pack| pack.limit(RuleKind::ShrinkagePercentMax))
            .expect("is there");
        let shrinkage = |lost: Decimal| {
            let wet = Length::of(Decimal::from(24), LengthUnit::Inch).expect("not large");
            let lost = Length::of(lost, LengthUnit::Inch).expect("not large");
            let dry = wet.checked_sub(lost).expect("not large");
            ShrinkageBar { wet, dry }.percent().expect("has a length")
        };
        assert!(shrinkage(Decimal::new(100, 2)) <= rule.limit);
        assert!(rule.limit < shrinkage(Decimal::new(101, 2)));
    }

    #[test]
    fn every_mix_is_whole_and_made_of_materials_of_the_library() {
        let library = Library::read().expect("the library is readable");
        for mix in library.mixes {
            let recipe = hod_domain::mix::Recipe::new(mix, library.materials.clone());
            assert!(recipe.is_ok(), "{recipe:?}");
        }
    }

    /// Mixing takes its method's own constants alone, so that a mix of another method could never be priced.
    #[test]
    fn every_method_by_which_a_mix_is_made_has_its_hours() {
        let library = Library::read().expect("the library is readable");
        for mix in &library.mixes {
            let Some(method) = &mix.mixing else { continue };
            let is_its_own = |constant: &&LabourConstant| {
                constant.task == Task::Mix && constant.method.as_ref() == Some(method)
            };
            assert!(
                library
                    .labour_constants
                    .iter()
                    .any(|each| is_its_own(&each)),
                "{} is mixed by {method}",
                mix.id
            );
        }
    }

    #[test]
    fn every_task_has_hours_and_no_two_constants_are_for_the_same_work() {
        let library = Library::read().expect("the library is readable");
        let constants = &library.labour_constants;
        for task in Task::ALL {
            assert!(constants.iter().any(|each| each.task == *task), "{task:?}");
        }
        for (at, one) in constants.iter().enumerate() {
            for other in &constants[..at] {
                assert_ne!(
                    (one.task, &one.method, one.driver),
                    (other.task, &other.method, other.driver),
                    "{} and {}",
                    one.id,
                    other.id
                );
            }
        }
    }

    /// IRC 2018 table AR103.2.3: density, straw (6.7 in every row) and water, in pcf, pcf and US gal to the ft3.
    /// 1 pcf = 16.018463 kg/m3; 1 US gal to the ft3 = 133.680556 l/m3; soil and straw make the density.
    #[test]
    fn straw_clay_is_that_of_the_published_table() {
        let rows = [
            ("straw-clay-160", dec!(10), dec!(1.55)),
            ("straw-clay-192", dec!(12), dec!(1.63)),
            ("straw-clay-208", dec!(13), dec!(1.67)),
            ("straw-clay-240", dec!(15), dec!(1.74)),
            ("straw-clay-320", dec!(20), dec!(1.93)),
            ("straw-clay-480", dec!(30), dec!(2.31)),
            ("straw-clay-640", dec!(40), dec!(2.70)),
            ("straw-clay-800", dec!(50), dec!(3.08)),
        ];
        let pcf = dec!(16.018463);
        let library = Library::read().expect("the library is readable");
        let tenth = |exact| round(exact, 1, Rounding::HalfAwayFromZero);
        for (id, density, water) in rows {
            let mix = library.mixes.iter().find(|mix| mix.id.as_str() == id);
            let mix = mix.expect(id);
            let straw = mix.straw.as_ref().expect(id);
            let found = [
                mix.density_dry.kg_per_cubic_metre(),
                straw.per_placed.kg_per_cubic_metre(),
                mix.water_share.percent(),
            ];
            let share_of_dry_mass = water * dec!(133.680556) / (density * pcf) * dec!(100);
            let expected = [density * pcf, dec!(6.7) * pcf, share_of_dry_mass];
            assert_eq!(found, expected.map(tenth), "{id}");
        }
    }

    /// A loose heap closes up where it is placed, by at least a twentieth and to no less than half, but where light
    /// straw or water makes up what is placed, or nothing closes up at all.
    #[test]
    fn every_mix_of_minerals_closes_up_when_it_is_placed() {
        let library = Library::read().expect("the library is readable");
        let light = |mix: &Mix| {
            matches!(mix.purpose, Purpose::Wash)
                || mix
                    .straw
                    .as_ref()
                    .is_some_and(|straw| dec!(50) < straw.per_placed.kg_per_cubic_metre())
        };
        for mix in library.mixes.into_iter().filter(|mix| !light(mix)) {
            let id = mix.id.clone();
            let recipe = hod_domain::mix::Recipe::new(mix, library.materials.clone());
            let recipe = recipe.expect("a whole recipe");
            let loose = recipe
                .batch()
                .loose
                .iter()
                .map(|(_, volume)| volume.litres());
            let share = recipe.batch().yield_placed.litres() / loose.sum::<Decimal>();
            assert!(
                dec!(0.5) <= share && share <= dec!(0.95),
                "{id} closes up to {share}"
            );
        }
    }

    #[test]
    fn what_a_file_must_not_hold_is_refused_with_the_entry_and_the_field() {
        let adobe = "[[material]]\nid = \"adobe\"\ndisplay_name = \"Adobe\"\nsupply = \"site\"\nsource = \"made up\"\n";
        let refused = |rest: &str| {
            let text = format!("{adobe}{rest}");
            file::materials(&text).expect_err(rest).to_string()
        };
        assert_eq!(
            refused("purchase_unit = \"dozen\""),
            "adobe of the starting library has \"dozen\" for its purchase_unit, which is not a word of its list"
        );
        assert_eq!(
            refused("purchase_unit = \"each\"\nlength_mm = \"350\"\nheight_mm = \"100\""),
            "adobe of the starting library has some of length_mm, width_mm and height_mm, and not all"
        );
    }
}
