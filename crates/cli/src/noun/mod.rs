//! The nouns of the contract as they are shown: which fields each has, in which order, and which of them a list needs.
//! Calling the server for them is for `command`.

mod crew;
mod estimate;
pub(crate) mod job;
mod labour_constant;
mod labour_rate;
mod material;
mod mix;
mod mix_trial;
mod price;
mod quote;
pub(crate) mod region;
mod rule_pack;
mod site;
mod soil_test;
pub(crate) mod variation;
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
    use crate::render::straw_clay::StrawClayAnswer;
    use crate::render::takeoff::{Rows, TakeoffAnswer};
    use crate::render::trial_mixes::TrialMixesAnswer;

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
        assert_eq!(shown::<v1::MixTrial>(), contract("MixTrial"));
        assert_eq!(shown::<v1::Price>(), contract("Price"));
        assert_eq!(shown::<v1::Quote>(), contract("Quote"));
        assert_eq!(shown::<v1::Region>(), contract("Region"));
        assert_eq!(shown::<v1::RulePack>(), contract("RulePack"));
        assert_eq!(shown::<v1::Site>(), contract("Site"));
        assert_eq!(shown::<v1::SoilTest>(), contract("SoilTest"));
        assert_eq!(shown::<v1::Variation>(), contract("Variation"));
    }

    #[test]
    fn what_is_within_is_shown_in_full_too() {
        let estimate = serde_json::to_value(
            v1::Estimate {
                lines: vec![v1::EstimateLine::default()],
                labour: vec![v1::LabourLine::default()],
                list_versions: vec![v1::ListVersion::default()],
                mixes: vec![v1::MixTakeoff::default()],
                measured: vec![v1::TakeoffLine::default()],
                payment: vec![v1::PaymentLine::default()],
                cautions: vec![v1::Caution::default()],
                ..v1::Estimate::default()
            }
            .record(),
        )
        .unwrap();
        assert_eq!(keys(&estimate["lines"][0]), contract("EstimateLine"));
        assert_eq!(keys(&estimate["labour"][0]), contract("LabourLine"));
        assert_eq!(keys(&estimate["list_versions"][0]), contract("ListVersion"));
        assert_eq!(keys(&estimate["mixes"][0]), contract("MixTakeoff"));
        assert_eq!(keys(&estimate["measured"][0]), contract("TakeoffLine"));
        assert_eq!(keys(&estimate["payment"][0]), contract("PaymentLine"));
        assert_eq!(keys(&estimate["cautions"][0]), contract("Caution"));
        assert_eq!(keys(&estimate["totals"]), contract("EstimateTotals"));
        assert_eq!(keys(&estimate["takeoff"]), contract("TakeoffTotals"));

        let takeoff = TakeoffAnswer {
            title: String::new(),
            takeoff: v1::Takeoff {
                walls: vec![v1::WallTakeoff {
                    lifts: vec![v1::Lift {
                        buried: vec![v1::Buried::default()],
                        ..v1::Lift::default()
                    }],
                    ..v1::WallTakeoff::default()
                }],
                mixes: vec![v1::MixTakeoff {
                    masses: Some(v1::MassBalance::default()),
                    ..v1::MixTakeoff::default()
                }],
                orders: vec![v1::Order::default()],
                ..v1::Takeoff::default()
            },
            with_lifts: false,
            with_basis: false,
            rows: Rows::Walls,
        };
        let takeoff = serde_json::to_value(takeoff.record()).unwrap();
        assert_eq!(keys(&takeoff), contract("Takeoff"));
        assert_eq!(keys(&takeoff["walls"][0]), contract("WallTakeoff"));
        assert_eq!(keys(&takeoff["walls"][0]["lifts"][0]), contract("Lift"));

        let lift = &takeoff["walls"][0]["lifts"][0];
        assert_eq!(keys(&lift["buried"][0]), contract("Buried"));
        assert_eq!(
            keys(&takeoff["mixes"][0]["masses"]),
            contract("MassBalance")
        );
        assert_eq!(keys(&takeoff["orders"][0]), contract("Order"));
    }

    #[test]
    fn what_is_bought_and_what_was_not_taken_is_shown_in_full() {
        let purchase = v1::Purchase {
            hint: Some(v1::PurchaseHint::default()),
            other_offers: vec![v1::OtherOffer::default()],
            ..v1::Purchase::default()
        };
        let estimate = v1::Estimate {
            purchases: vec![purchase],
            works: vec![v1::WorkLine::default()],
            daywork_rates: vec![v1::DayworkRate::default()],
            provisional: vec![v1::ProvisionalMatter::default()],
            ..v1::Estimate::default()
        };
        let estimate = serde_json::to_value(estimate.record()).unwrap();
        let purchase = &estimate["purchases"][0];
        assert_eq!(keys(purchase), contract("Purchase"));
        assert_eq!(keys(&purchase["hint"]), contract("PurchaseHint"));
        assert_eq!(keys(&purchase["other_offers"][0]), contract("OtherOffer"));
        assert_eq!(keys(&estimate["works"][0]), contract("WorkLine"));
        assert_eq!(keys(&estimate["daywork_rates"][0]), contract("DayworkRate"));
        assert_eq!(
            keys(&estimate["provisional"][0]),
            contract("ProvisionalMatter")
        );
    }

    #[test]
    fn a_price_and_a_rate_are_shown_with_their_terms() {
        let price = v1::Price {
            breaks: vec![v1::PriceBreak::default()],
            delivery: Some(v1::Delivery::default()),
            ..v1::Price::default()
        };
        let price = serde_json::to_value(price.record()).unwrap();
        assert_eq!(keys(&price["breaks"][0]), contract("PriceBreak"));
        assert_eq!(keys(&price["delivery"]), contract("Delivery"));
        let rate = v1::LabourRate {
            burdens: vec![v1::Burden::default()],
            ..v1::LabourRate::default()
        };
        let rate = serde_json::to_value(rate.record()).unwrap();
        assert_eq!(keys(&rate["burdens"][0]), contract("Burden"));
    }

    #[test]
    fn a_quote_is_shown_in_full() {
        let offer = v1::Offer {
            lines: vec![v1::OfferLine::default()],
            taxes: vec![v1::OfferTax::default()],
            stages: vec![v1::Stage::default()],
            provisional_reasons: vec![v1::ProvisionalReason::default()],
            ..v1::Offer::default()
        };
        let comparison = v1::Comparison {
            rows: vec![v1::ComparisonRow::default()],
            ..v1::Comparison::default()
        };
        let quote = v1::Quote {
            offer: Some(offer),
            events: vec![v1::QuoteEvent::default()],
            changes: Some(comparison),
            ..v1::Quote::default()
        };
        let quote = serde_json::to_value(quote.record()).unwrap();
        let offer = &quote["offer"];
        assert_eq!(keys(offer), contract("Offer"));
        assert_eq!(keys(&offer["lines"][0]), contract("OfferLine"));
        assert_eq!(keys(&offer["taxes"][0]), contract("OfferTax"));
        assert_eq!(keys(&offer["stages"][0]), contract("Stage"));
        let reason = &offer["provisional_reasons"][0];
        assert_eq!(keys(reason), contract("ProvisionalReason"));
        assert_eq!(keys(&quote["events"][0]), contract("QuoteEvent"));
        let changes = &quote["changes"];
        assert_eq!(keys(changes), contract("Comparison"));
        assert_eq!(keys(&changes["effects"]), contract("Effects"));
        assert_eq!(keys(&changes["rows"][0]), contract("ComparisonRow"));
    }

    #[test]
    fn a_job_is_shown_in_full() {
        let job = v1::Job {
            scope: vec![v1::ScopeLine::default()],
            build_up: Some(v1::BuildUp {
                taxes: vec![v1::Tax::default()],
                allowances: vec![v1::Allowance::default()],
                ..v1::BuildUp::default()
            }),
            costs: vec![v1::Cost::default()],
            site_time: Some(v1::SiteTime::default()),
            sources: vec![v1::Source::default()],
            builds: vec![v1::Build::default()],
            finishes: vec![v1::Finish::default()],
            stem_wall: Some(v1::StemWall::default()),
            trench: Some(v1::Trench::default()),
            floors: vec![v1::Floor::default()],
            ovens: vec![v1::Oven::default()],
            ground: Some(v1::Ground::default()),
            walls: vec![v1::Wall {
                openings: vec![v1::Opening::default()],
                niches: vec![v1::Niche::default()],
                inclusions: vec![v1::Inclusion::default()],
                above: vec![v1::WallAbove::default()],
                finishes: vec![v1::Finish::default()],
                buried: vec![v1::Buried::default()],
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
        assert_eq!(keys(&wall["above"][0]), contract("WallAbove"));
        assert_eq!(keys(&wall["finishes"][0]), contract("Finish"));
        assert_eq!(keys(&wall["buried"][0]), contract("Buried"));
        assert_eq!(keys(&job["builds"][0]), contract("Build"));
        assert_eq!(keys(&job["finishes"][0]), contract("Finish"));
        assert_eq!(keys(&job["stem_wall"]), contract("StemWall"));
        assert_eq!(keys(&job["trench"]), contract("Trench"));
        assert_eq!(keys(&job["floors"][0]), contract("Floor"));
        assert_eq!(keys(&job["ovens"][0]), contract("Oven"));
        assert_eq!(keys(&job["ground"]), contract("Ground"));
        assert_eq!(keys(&job["scope"][0]), contract("ScopeLine"));
        let build_up = &job["build_up"];
        assert_eq!(keys(build_up), contract("BuildUp"));
        assert_eq!(keys(&build_up["taxes"][0]), contract("Tax"));
        assert_eq!(keys(&build_up["allowances"][0]), contract("Allowance"));
        assert_eq!(keys(&job["costs"][0]), contract("Cost"));
        assert_eq!(keys(&job["site_time"]), contract("SiteTime"));
        assert_eq!(keys(&job["sources"][0]), contract("Source"));
    }

    #[test]
    fn a_trial_is_shown_with_its_specimens_and_verdicts_and_a_soil_test_with_its_jar() {
        let trial = v1::MixTrial {
            ingredients: vec![v1::Ingredient::default()],
            crushed: vec![v1::CrushedSpecimen::default()],
            broken: vec![v1::BrokenSpecimen::default()],
            verdicts: vec![v1::Verdict {
                rule: Some(v1::Rule::default()),
                ..v1::Verdict::default()
            }],
            ..v1::MixTrial::default()
        };
        let trial = serde_json::to_value(trial.record()).unwrap();
        assert_eq!(keys(&trial["ingredients"][0]), contract("Ingredient"));
        assert_eq!(keys(&trial["crushed"][0]), contract("CrushedSpecimen"));
        assert_eq!(keys(&trial["broken"][0]), contract("BrokenSpecimen"));
        assert_eq!(keys(&trial["verdicts"][0]), contract("Verdict"));
        assert_eq!(keys(&trial["verdicts"][0]["rule"]), contract("Rule"));
        let test = v1::SoilTest {
            jar_protocol: Some(v1::JarProtocol::default()),
            ..v1::SoilTest::default()
        };
        let test = serde_json::to_value(test.record()).unwrap();
        assert_eq!(keys(&test["jar_protocol"]), contract("JarProtocol"));
        let proposal = TrialMixesAnswer {
            proposal: v1::ProposeTrialMixesResponse {
                mixes: vec![v1::ProposedMix::default()],
                notes: Vec::new(),
            },
            with_basis: false,
        };
        let proposal = serde_json::to_value(proposal.record()).unwrap();
        assert_eq!(keys(&proposal), contract("ProposeTrialMixesResponse"));
        assert_eq!(keys(&proposal["mixes"][0]), contract("ProposedMix"));
    }

    #[test]
    fn what_light_straw_clay_takes_is_shown_in_full() {
        let answer = StrawClayAnswer {
            takes: v1::ProportionStrawClayResponse::default(),
            with_basis: false,
        };
        let takes = serde_json::to_value(answer.record()).unwrap();
        assert_eq!(keys(&takes), contract("ProportionStrawClayResponse"));
    }

    #[test]
    fn a_region_is_shown_with_its_build_up() {
        let region = serde_json::to_value(v1::Region::default().record()).unwrap();
        assert_eq!(keys(&region["build_up"]), contract("BuildUp"));
    }
}
