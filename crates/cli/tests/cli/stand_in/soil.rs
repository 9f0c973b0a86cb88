//! Soil tests, mix trials and rule packs of the stand-in: it keeps what it was asked, and answers with made-up figures.

use hod_wire::v1 as wire;
use hod_wire::v1::mix_trial_service_server::MixTrialService;
use hod_wire::v1::rule_pack_service_server::RulePackService;
use hod_wire::v1::soil_test_service_server::SoilTestService;
use tonic::{Code, Request, Response};

use super::{Answer, Services, refused};

#[tonic::async_trait]
impl SoilTestService for Services {
    async fn get_soil_test(
        &self,
        request: Request<wire::GetSoilTestRequest>,
    ) -> Answer<wire::SoilTest> {
        let mut test = soil_test();
        test.name = request.into_inner().name;
        Ok(Response::new(test))
    }

    async fn list_soil_tests(
        &self,
        _: Request<wire::ListSoilTestsRequest>,
    ) -> Answer<wire::ListSoilTestsResponse> {
        let by_hand = wire::SoilTest {
            name: "sites/mill/soilTests/pit-2".to_owned(),
            method: wire::SoilTestMethod::ByHand.into(),
            sample_date: "2026-04-12".to_owned(),
            observations: vec![
                wire::SoilObservation::Topsoil.into(),
                wire::SoilObservation::Salts.into(),
            ],
            ..wire::SoilTest::default()
        };
        Ok(Response::new(wire::ListSoilTestsResponse {
            soil_tests: vec![soil_test(), by_hand],
            next_page_token: String::new(),
        }))
    }

    async fn create_soil_test(
        &self,
        request: Request<wire::CreateSoilTestRequest>,
    ) -> Answer<wire::SoilTest> {
        let mut request = request.into_inner();
        request.request_id = "UUID".to_owned();
        self.keep(&request);
        let test = request.soil_test.unwrap();
        if test.observations.len() == 2 {
            return Err(refused(
                Code::InvalidArgument,
                "FIELDS_HAVE_FAULTS",
                "the request has 3 faults to be mended",
                &[
                    (
                        "soil_test.jar_protocol.sand_mark_s",
                        "sand_mark_s is 0 s; it must be from 1 to 3600 s",
                    ),
                    (
                        "soil_test.observations[1]",
                        "soil test s says twice that its soil holds salts; say it once",
                    ),
                    (
                        "soil_test.jar_protocol",
                        "soil test s says how a jar was read, and is of no jar; leave it out",
                    ),
                ],
            ));
        }
        Ok(Response::new(wire::SoilTest {
            name: format!("{}/soilTests/{}", request.parent, request.soil_test_id),
            ..test
        }))
    }

    async fn propose_trial_mixes(
        &self,
        request: Request<wire::ProposeTrialMixesRequest>,
    ) -> Answer<wire::ProposeTrialMixesResponse> {
        let request = request.into_inner();
        self.keep(&request);
        if request.target_clay_percent == "1" {
            return Err(refused(
                Code::InvalidArgument,
                "FIELDS_HAVE_FAULTS",
                "the request has 2 faults to be mended",
                &[
                    (
                        "target_clay_percent",
                        "the target is 1 % clay and pit-sand itself has 2 %; aim higher",
                    ),
                    ("step_count", "step_count is 9; it must be from 0 to 4"),
                ],
            ));
        }
        Ok(Response::new(proposal()))
    }
}

#[tonic::async_trait]
impl MixTrialService for Services {
    async fn get_mix_trial(
        &self,
        request: Request<wire::GetMixTrialRequest>,
    ) -> Answer<wire::MixTrial> {
        let mut trial = mix_trial();
        trial.name = request.into_inner().name;
        Ok(Response::new(trial))
    }

    async fn list_mix_trials(
        &self,
        _: Request<wire::ListMixTrialsRequest>,
    ) -> Answer<wire::ListMixTrialsResponse> {
        let open = wire::MixTrial {
            name: "sites/mill/mixTrials/lean".to_owned(),
            made_date: "2026-04-21".to_owned(),
            ingredients: vec![part("subsoil", "1")],
            straw_kg_per_m3: "0".to_owned(),
            outcome: wire::TrialOutcome::Open.into(),
            ..wire::MixTrial::default()
        };
        Ok(Response::new(wire::ListMixTrialsResponse {
            mix_trials: vec![mix_trial(), open],
            next_page_token: String::new(),
        }))
    }

    async fn create_mix_trial(
        &self,
        request: Request<wire::CreateMixTrialRequest>,
    ) -> Answer<wire::MixTrial> {
        let mut request = request.into_inner();
        request.request_id = "UUID".to_owned();
        self.keep(&request);
        let trial = request.mix_trial.unwrap();
        if trial.outcome == i32::from(wire::TrialOutcome::TurnedDown) {
            return Err(refused(
                Code::InvalidArgument,
                "FIELDS_HAVE_FAULTS",
                "the request has 4 faults to be mended",
                &[
                    (
                        "mix_trial.ingredients[0].parts",
                        "parts is 0 parts; it must be from 0.01 to 100 parts",
                    ),
                    (
                        "mix_trial.crushed[0].depth_mm",
                        "depth_mm is 9 mm; it must be from 10 to 1000 mm",
                    ),
                    (
                        "mix_trial.broken[0].load_kn",
                        "load_kn: \"much\" is not a number",
                    ),
                    ("mix_trial_id", "mix_trial_id: \"T\" is not an id"),
                ],
            ));
        }
        Ok(Response::new(wire::MixTrial {
            name: format!("{}/mixTrials/{}", request.parent, request.mix_trial_id),
            ..trial
        }))
    }
}

#[tonic::async_trait]
impl RulePackService for Services {
    async fn get_rule_pack(
        &self,
        request: Request<wire::GetRulePackRequest>,
    ) -> Answer<wire::RulePack> {
        let mut pack = rule_pack();
        pack.name = request.into_inner().name;
        Ok(Response::new(pack))
    }

    async fn list_rule_packs(
        &self,
        _: Request<wire::ListRulePacksRequest>,
    ) -> Answer<wire::ListRulePacksResponse> {
        Ok(Response::new(wire::ListRulePacksResponse {
            rule_packs: vec![rule_pack()],
            next_page_token: String::new(),
        }))
    }

    async fn create_rule_pack(
        &self,
        request: Request<wire::CreateRulePackRequest>,
    ) -> Answer<wire::RulePack> {
        let mut request = request.into_inner();
        request.request_id = "UUID".to_owned();
        self.keep(&request);
        if request.rule_pack_id == "twice" {
            return Err(refused(
                Code::InvalidArgument,
                "FIELDS_HAVE_FAULTS",
                "the request has 1 fault to be mended",
                &[(
                    "rule_pack.rules[1].kind",
                    "rule pack twice limits shrinkage twice; give each kind once, the one that holds",
                )],
            ));
        }
        Ok(Response::new(wire::RulePack {
            name: format!("rulePacks/{}", request.rule_pack_id),
            ..request.rule_pack.unwrap()
        }))
    }
}

fn soil_test() -> wire::SoilTest {
    wire::SoilTest {
        name: "sites/mill/soilTests/pit-1".to_owned(),
        method: wire::SoilTestMethod::Jar.into(),
        sample_date: "2026-04-11".to_owned(),
        depth_m: "0.6".to_owned(),
        sand_mm: "40".to_owned(),
        silt_mm: "36".to_owned(),
        clay_mm: "24".to_owned(),
        sand_percent: "40".to_owned(),
        silt_percent: "36".to_owned(),
        clay_percent: "24".to_owned(),
        jar_protocol: Some(wire::JarProtocol {
            sand_mark_s: "60".to_owned(),
            silt_mark_min: "120".to_owned(),
            water_height_mm: "100".to_owned(),
            water_celsius: "20".to_owned(),
            ..wire::JarProtocol::default()
        }),
        texture: wire::SoilTexture::Loam.into(),
        sand_mark_grain_mm: "0.0431".to_owned(),
        silt_mark_grain_mm: "0.0039".to_owned(),
        clay_percent_low: "12.7".to_owned(),
        clay_percent_high: "25.8".to_owned(),
        textures_within: vec![
            wire::SoilTexture::SandyLoam.into(),
            wire::SoilTexture::SandyClayLoam.into(),
        ],
        ..wire::SoilTest::default()
    }
}

fn proposal() -> wire::ProposeTrialMixesResponse {
    let term = |joint: wire::Joint, value: &str, unit: wire::Unit, label: &str, source: &str| {
        wire::BasisTerm {
            joint: joint.into(),
            value: value.to_owned(),
            unit: unit.into(),
            label: label.to_owned(),
            source: source.to_owned(),
        }
    };
    let mixed = wire::ProposedMix {
        clay_percent: "17.5".to_owned(),
        sand_to_soil_by_mass: "0.371".to_owned(),
        sand_parts: "0.37".to_owned(),
        buckets: "4 soil, 1.5 sand".to_owned(),
        buckets_clay_percent: "17.5".to_owned(),
        basis: Some(wire::Basis {
            terms: vec![
                term(
                    wire::Joint::Start,
                    "24",
                    wire::Unit::Percent,
                    "clay of the soil",
                    "sites/mill/soilTests/pit-1",
                ),
                term(
                    wire::Joint::Less,
                    "17.5",
                    wire::Unit::Percent,
                    "clay of the mix",
                    "the trial's aim",
                ),
                term(
                    wire::Joint::Over,
                    "17.5",
                    wire::Unit::Percent,
                    "clay of the mix less that of the sand",
                    "materials/sharp-sand",
                ),
            ],
            rounding: "to 0.01 parts of sand to one of soil".to_owned(),
        }),
    };
    let alone = wire::ProposedMix {
        clay_percent: "24".to_owned(),
        sand_to_soil_by_mass: "0".to_owned(),
        sand_parts: "0".to_owned(),
        buckets: "1 soil".to_owned(),
        buckets_clay_percent: "24".to_owned(),
        basis: Some(wire::Basis::default()),
    };
    wire::ProposeTrialMixesResponse {
        mixes: vec![mixed, alone],
        notes: vec![
            "the clay was read in a jar, by settled height: it may be from 12.7 % to 25.8 %; a laboratory tells it by mass"
                .to_owned(),
            "the soil has 24 % clay, so the fattest trial is the soil alone".to_owned(),
        ],
    }
}

fn part(material: &str, parts: &str) -> wire::Ingredient {
    wire::Ingredient {
        material: format!("materials/{material}"),
        parts: parts.to_owned(),
    }
}

fn rule(kind: wire::RuleKind, limit: &str, standing: wire::RuleStanding) -> wire::Rule {
    wire::Rule {
        kind: kind.into(),
        limit: limit.to_owned(),
        section: "made up for a test".to_owned(),
        standing: standing.into(),
    }
}

fn rule_pack() -> wire::RulePack {
    wire::RulePack {
        name: "rulePacks/valley".to_owned(),
        display_name: "Valley rules".to_owned(),
        jurisdiction: "the valley".to_owned(),
        rules: vec![
            rule(
                wire::RuleKind::ShrinkagePercentMax,
                "4.17",
                wire::RuleStanding::Read,
            ),
            rule(
                wire::RuleKind::CompressionKpaMin,
                "413.69",
                wire::RuleStanding::Reported,
            ),
        ],
        ..wire::RulePack::default()
    }
}

fn mix_trial() -> wire::MixTrial {
    let verdict = |rule: wire::Rule, found: &str, holds: bool| wire::Verdict {
        rule: Some(rule),
        found: found.to_owned(),
        holds,
    };
    let rules = rule_pack().rules;
    wire::MixTrial {
        name: "sites/mill/mixTrials/april-2".to_owned(),
        made_date: "2026-04-20".to_owned(),
        soil_test: "sites/mill/soilTests/pit-1".to_owned(),
        ingredients: vec![part("subsoil", "2"), part("sharp-sand", "1")],
        straw_kg_per_m3: "20".to_owned(),
        shrinkage_wet_mm: "609.6".to_owned(),
        shrinkage_dry_mm: "590".to_owned(),
        crushed: vec![wire::CrushedSpecimen {
            load_kn: "4.1".to_owned(),
            width_mm: "102".to_owned(),
            depth_mm: "102".to_owned(),
        }],
        rule_pack: "rulePacks/valley".to_owned(),
        outcome: wire::TrialOutcome::Taken.into(),
        shrinkage_percent: "3.22".to_owned(),
        compression_mean_kpa: "394.08".to_owned(),
        compression_min_kpa: "394.08".to_owned(),
        verdicts: vec![
            verdict(rules[0].clone(), "3.22", true),
            verdict(rules[1].clone(), "394.08", false),
        ],
        ..wire::MixTrial::default()
    }
}
