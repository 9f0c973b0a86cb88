//! The nouns of the contract as they are shown: which fields each has, in which order, and which of them a list needs.
//! Calling the server for them is for `command`.

mod crew;
mod estimate;
mod job;
mod labour_constant;
mod labour_rate;
mod material;
mod mix;
mod price;
mod region;
mod site;
mod soil_test;
pub(crate) mod wall;

use crate::render::record::Record;
use crate::render::table::Side;

/// Something the server keeps.
pub trait Noun: Default + 'static {
    /// The columns of a list, units in their headings.
    const COLUMNS: &'static [Column<Self>];

    /// All its fields under the names of the contract.
    fn record(&self) -> Record;

    /// Its resource name.
    fn name(&self) -> &str;
}

/// A column of a list.
pub struct Column<T> {
    /// With the unit of what stands below it.
    pub heading: &'static str,
    /// Figures stand to the right.
    pub side: Side,
    /// What stands in it.
    pub show: fn(&T) -> String,
}

/// A column of words.
const fn words<T>(heading: &'static str, show: fn(&T) -> String) -> Column<T> {
    Column {
        heading,
        side: Side::Left,
        show,
    }
}

/// A column of figures.
const fn figures<T>(heading: &'static str, show: fn(&T) -> String) -> Column<T> {
    Column {
        heading,
        side: Side::Right,
        show,
    }
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use hod_wire::v1;
    use prost::Message;
    use prost_types::FileDescriptorSet;

    use super::*;
    use crate::output::Answer;
    use crate::render::takeoff::TakeoffAnswer;

    /// The fields of a message, as the compiled contract has them.
    fn contract(message: &str) -> Vec<String> {
        let set = FileDescriptorSet::decode(hod_wire::DESCRIPTORS).unwrap();
        let mut messages = set.file.iter().flat_map(|file| &file.message_type);
        let found = messages.find(|found| found.name() == message).unwrap();
        let mut names: Vec<String> = found
            .field
            .iter()
            .map(|field| field.name().to_owned())
            .collect();
        names.sort();
        names
    }

    fn shown<T: Noun>() -> Vec<String> {
        keys(&serde_json::to_value(T::default().record()).unwrap())
    }

    fn keys(json: &serde_json::Value) -> Vec<String> {
        json.as_object().unwrap().keys().cloned().collect()
    }

    #[test]
    fn every_field_of_the_contract_is_shown_under_its_name() {
        assert_eq!(shown::<v1::Crew>(), contract("Crew"));
        assert_eq!(shown::<v1::Estimate>(), contract("Estimate"));
        assert_eq!(shown::<v1::Job>(), contract("Job"));
        assert_eq!(shown::<v1::LabourConstant>(), contract("LabourConstant"));
        assert_eq!(shown::<v1::LabourRate>(), contract("LabourRate"));
        assert_eq!(shown::<v1::Material>(), contract("Material"));
        assert_eq!(shown::<v1::Mix>(), contract("Mix"));
        assert_eq!(shown::<v1::Price>(), contract("Price"));
        assert_eq!(shown::<v1::Region>(), contract("Region"));
        assert_eq!(shown::<v1::Site>(), contract("Site"));
        assert_eq!(shown::<v1::SoilTest>(), contract("SoilTest"));
    }

    #[test]
    fn what_is_within_is_shown_in_full_too() {
        let estimate = serde_json::to_value(
            v1::Estimate {
                lines: vec![v1::EstimateLine::default()],
                labour: vec![v1::LabourLine::default()],
                list_versions: vec![v1::ListVersion::default()],
                ..v1::Estimate::default()
            }
            .record(),
        )
        .unwrap();
        assert_eq!(keys(&estimate["lines"][0]), contract("EstimateLine"));
        assert_eq!(keys(&estimate["labour"][0]), contract("LabourLine"));
        assert_eq!(keys(&estimate["list_versions"][0]), contract("ListVersion"));
        assert_eq!(keys(&estimate["totals"]), contract("EstimateTotals"));
        assert_eq!(keys(&estimate["takeoff"]), contract("TakeoffTotals"));

        let takeoff = TakeoffAnswer {
            title: String::new(),
            takeoff: v1::Takeoff {
                walls: vec![v1::WallTakeoff {
                    lifts: vec![v1::Lift::default()],
                    ..v1::WallTakeoff::default()
                }],
                ..v1::Takeoff::default()
            },
            with_lifts: false,
            with_basis: false,
        };
        let takeoff = serde_json::to_value(takeoff.record()).unwrap();
        assert_eq!(keys(&takeoff), contract("Takeoff"));
        assert_eq!(keys(&takeoff["walls"][0]), contract("WallTakeoff"));
        assert_eq!(keys(&takeoff["walls"][0]["lifts"][0]), contract("Lift"));

        let job = v1::Job {
            walls: vec![v1::Wall {
                openings: vec![v1::Opening::default()],
                niches: vec![v1::Niche::default()],
                inclusions: vec![v1::Inclusion::default()],
                ..v1::Wall::default()
            }],
            ..v1::Job::default()
        };
        let job = serde_json::to_value(job.record()).unwrap();
        let wall = &job["walls"][0];
        assert_eq!(keys(wall), contract("Wall"));
        assert_eq!(keys(&wall["openings"][0]), contract("Opening"));
        assert_eq!(keys(&wall["niches"][0]), contract("Niche"));
        assert_eq!(keys(&wall["inclusions"][0]), contract("Inclusion"));

        let region = serde_json::to_value(v1::Region::default().record()).unwrap();
        assert_eq!(keys(&region["build_up"]), contract("BuildUp"));
    }
}
