//! What light straw-clay takes, as the stand-in has it: of one density by which it is mixed with clay, of one without, and
//! a density that is refused.

use hod_wire::v1 as wire;
use tonic::{Code, Response};

use super::{Answer, refused};

pub fn takes(density_kg_m3: &str) -> Answer<wire::ProportionStrawClayResponse> {
    match density_kg_m3 {
        "240" => Ok(Response::new(with_clay())),
        "400.46" => Ok(Response::new(without_clay())),
        other => Err(refused(
            Code::InvalidArgument,
            "FIELDS_HAVE_FAULTS",
            "the request has 1 fault to be mended",
            &[(
                "density_kg_m3",
                &format!(
                    "density_kg_m3: {other} kg/m3 is outside the table; give a density within it"
                ),
            )],
        )),
    }
}

fn with_clay() -> wire::ProportionStrawClayResponse {
    wire::ProportionStrawClayResponse {
        density_kg_m3: "240".to_owned(),
        straw_kg_per_m3: "107.3".to_owned(),
        soil_kg_per_m3: "132.7".to_owned(),
        water_l_per_m3: "233".to_owned(),
        water_percent: "96.9".to_owned(),
        clay_percent_min: "35.1".to_owned(),
        clay_to_silt_min: "0.96".to_owned(),
        thickness_mm_max: "381".to_owned(),
        source: "Table 7".to_owned(),
        straw_basis: Some(wire::Basis {
            terms: vec![straw(wire::Joint::Start)],
            rounding: "to 0.1 kg".to_owned(),
        }),
        soil_basis: Some(wire::Basis {
            terms: vec![
                wire::BasisTerm {
                    joint: wire::Joint::Start.into(),
                    value: "240".to_owned(),
                    unit: wire::Unit::KgPerM3.into(),
                    label: "dry density".to_owned(),
                    source: String::new(),
                },
                straw(wire::Joint::Less),
            ],
            rounding: "to 0.1 kg".to_owned(),
        }),
        water_basis: Some(wire::Basis::default()),
    }
}

fn without_clay() -> wire::ProportionStrawClayResponse {
    wire::ProportionStrawClayResponse {
        density_kg_m3: "400.46".to_owned(),
        soil_kg_per_m3: "293.1".to_owned(),
        clay_percent_min: String::new(),
        clay_to_silt_min: String::new(),
        ..with_clay()
    }
}

fn straw(joint: wire::Joint) -> wire::BasisTerm {
    wire::BasisTerm {
        joint: joint.into(),
        value: "107.32".to_owned(),
        unit: wire::Unit::KgPerM3.into(),
        label: "straw".to_owned(),
        source: "Table 7".to_owned(),
    }
}
