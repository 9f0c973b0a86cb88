//! Every decimal of every request, found through the descriptors: what is no number is refused there, by its field,
//! whatever the field.

use prost_reflect::{
    DescriptorPool, DynamicMessage, FieldDescriptor, Kind, MessageDescriptor, ReflectMessage, Value,
};
use tonic::{Code, Status};

use crate::descriptors::Contract;
use crate::support::{Ground, reason, studio, violations};
use hod_wire::v1::{
    CreateCrewRequest, CreateJobRequest, CreateLabourConstantRequest, CreateLabourRateRequest,
    CreateMaterialRequest, CreateMixRequest, CreateMixTrialRequest, CreatePriceRequest,
    CreateRegionRequest, CreateRulePackRequest, CreateSiteRequest, CreateSoilTestRequest, Face,
    Inclusion, Job, Niche, Opening, OpeningShape, ProportionStrawClayRequest,
    ProposeTrialMixesRequest, SoilTest, Wall,
};
use prost::Message;

/// What no decimal may be, and nothing that merely looks like it.
fn no_numbers() -> Vec<String> {
    let forty_digits = "1234567890".repeat(4);
    [
        "NaN", "1_000", "1,000", "1e3", "inf", "+1", " 1", "0x10", "١٢", "1.", ".5", "-",
    ]
    .into_iter()
    .map(str::to_owned)
    .chain([forty_digits.clone(), format!("0.{forty_digits}")])
    .collect()
}

/// Whether a field holds a decimal: a text whose name ends in a unit, or one of the plain numbers of the trade.
fn is_decimal(field: &FieldDescriptor) -> bool {
    let units = [
        "_m",
        "_mm",
        "_l",
        "_kg",
        "_kg_m3",
        "_percent",
        "_deg",
        "_hours",
        "_per_hour",
        "_per_m3",
        "_m2",
        "_s",
        "_min",
        "_h",
        "_celsius",
        "_kn",
        "_km",
    ];
    let plain = [
        "unit_price",
        "parts",
        "buckets_per_part",
        "ties_per_piece",
        "hours_factor",
        "limit",
        "order_step",
        "percent",
        "minimum_charge",
        "round_price_to",
        "discount_amount",
        "weeks",
    ];
    let of_the_server = ["loaded_rate_per_hour"];
    field.kind() == Kind::String
        && !of_the_server.contains(&field.name())
        && (units.iter().any(|unit| field.name().ends_with(unit)) || plain.contains(&field.name()))
}

/// A decimal of a request.
#[derive(Debug)]
struct Decimal {
    /// Where it is, through the first item of each list.
    path: String,
    /// Just below the least and just above the most that its comment tells, where it tells any.
    beyond: Vec<String>,
}

/// All decimals below a message.
fn decimals(of: &MessageDescriptor, path: &str, found: &mut Vec<Decimal>) {
    let comments = Contract::read().comments();
    for field in of.fields() {
        // What the server tells is not read.
        let comment = &comments[&format!("{}.{}", of.name(), field.name())];
        if comment.trim_start().starts_with("Output only") {
            continue;
        }
        let list = if field.is_list() { "[0]" } else { "" };
        let here = format!("{path}{}{list}", field.name());
        match field.kind() {
            Kind::Message(inner) if inner.full_name().starts_with("hod.") => {
                decimals(&inner, &format!("{here}."), found)
            }
            _ if is_decimal(&field) => found.push(Decimal {
                path: here,
                beyond: beyond(comment),
            }),
            _ => {}
        }
    }
}

/// What is just outside the range that a comment tells: the first two numbers with `to` between them.
fn beyond(comment: &str) -> Vec<String> {
    let words: Vec<&str> = comment.split([' ', ',', ';']).collect();
    let number = |word: &str| hod_units::parse_decimal(word).ok();
    let range = words.windows(3).find_map(|three| {
        let ends = (number(three[0])?, number(three[2])?);
        (three[1] == "to").then_some(ends)
    });
    let step = hod_units::parse_decimal("0.001").expect("a number");
    range.map_or_else(Vec::new, |(least, most)| {
        [least - step, most + step]
            .map(hod_units::canonical)
            .to_vec()
    })
}

/// Puts a text into the field of this path, making what is on the way there.
fn put(message: &mut DynamicMessage, path: &str, text: &str) {
    let (step, rest) = path
        .split_once('.')
        .map_or((path, None), |(step, rest)| (step, Some(rest)));
    let name = step.trim_end_matches("[0]");
    let field = message.descriptor().get_field_by_name(name).expect(name);
    let Some(rest) = rest else {
        message.set_field(&field, Value::String(text.to_owned()));
        return;
    };
    let Kind::Message(inner) = field.kind() else {
        panic!("{path} leads nowhere")
    };
    match message.get_field_mut(&field) {
        Value::Message(within) => put(within, rest, text),
        Value::List(items) => {
            if items.is_empty() {
                items.push(Value::Message(DynamicMessage::new(inner)));
            }
            let Some(Value::Message(first)) = items.first_mut() else {
                panic!("{path} is no list of messages")
            };
            put(first, rest, text);
        }
        other => panic!("{path}: {other:?}"),
    }
}

/// What a decimal is replaced by.
#[derive(Clone, Copy, PartialEq)]
enum Bad {
    /// Each of what is no number.
    NoNumber,
    /// What is just out of its range.
    Beyond,
}

/// Sends each request with each decimal replaced by what is no number, and by what is just out of its range.
async fn try_all<R, F>(name: &str, request: R, skip: &[&str], call: impl Fn(R) -> F)
where
    R: Message + Default,
    F: Future<Output = Result<(), Status>>,
{
    try_each(name, &request, Bad::NoNumber, skip, &call).await;
    try_each(name, &request, Bad::Beyond, skip, &call).await;
}

async fn try_each<R, F>(name: &str, request: &R, bad: Bad, skip: &[&str], call: &impl Fn(R) -> F)
where
    R: Message + Default,
    F: Future<Output = Result<(), Status>>,
{
    let pool = DescriptorPool::decode(hod_wire::DESCRIPTORS).expect("descriptors");
    let descriptor = pool
        .get_message_by_name(&format!("hod.v1.{name}"))
        .expect(name);
    let mut paths = Vec::new();
    decimals(&descriptor, "", &mut paths);
    paths.retain(|decimal| !skip.contains(&decimal.path.as_str()));
    assert!(!paths.is_empty(), "{name}");
    for Decimal { path, beyond } in paths {
        let texts = match bad {
            Bad::NoNumber => no_numbers(),
            Bad::Beyond => beyond,
        };
        for text in texts {
            let mut sent =
                DynamicMessage::decode(descriptor.clone(), request.encode_to_vec().as_slice())
                    .expect(name);
            put(&mut sent, &path, &text);
            let sent = R::decode(sent.encode_to_vec().as_slice()).expect(name);
            let refused = call(sent).await.expect_err(&format!("{path} = {text:?}"));
            let code = reason(&refused).0;
            assert_eq!(code, Code::InvalidArgument, "{path} = {text:?}");
            let told = violations(&refused);
            let is_told = told.iter().any(|(field, rule)| {
                field == &path && (rule == "NOT_A_NUMBER") == (bad == Bad::NoNumber)
            });
            assert!(is_told, "{path} = {text:?}: {told:?}");
        }
    }
}

#[tokio::test]
async fn what_is_no_number_is_refused_in_every_decimal_of_what_is_kept() {
    let ground = Ground::with_library().await;
    let client = &ground.client;
    let region = CreateRegionRequest {
        region: Some(Default::default()),
        ..Default::default()
    };
    try_all("CreateRegionRequest", region, &[], async |r| {
        client.regions().create_region(r).await.map(drop)
    })
    .await;
    let site = CreateSiteRequest {
        site: Some(Default::default()),
        ..Default::default()
    };
    try_all("CreateSiteRequest", site, &[], async |r| {
        client.sites().create_site(r).await.map(drop)
    })
    .await;
    let material = CreateMaterialRequest {
        material: Some(Default::default()),
        ..Default::default()
    };
    try_all("CreateMaterialRequest", material, &[], async |r| {
        client.materials().create_material(r).await.map(drop)
    })
    .await;
    let mix = CreateMixRequest::default();
    try_all("CreateMixRequest", mix, &[], async |r| {
        client.mixes().create_mix(r).await.map(drop)
    })
    .await;
    let crew = CreateCrewRequest::default();
    try_all("CreateCrewRequest", crew, &[], async |r| {
        client.crews().create_crew(r).await.map(drop)
    })
    .await;
    let constant = CreateLabourConstantRequest::default();
    try_all("CreateLabourConstantRequest", constant, &[], async |r| {
        client
            .labour_constants()
            .create_labour_constant(r)
            .await
            .map(drop)
    })
    .await;
    let price = CreatePriceRequest::default();
    try_all("CreatePriceRequest", price, &[], async |r| {
        client.prices().create_price(r).await.map(drop)
    })
    .await;
    let rate = CreateLabourRateRequest::default();
    try_all("CreateLabourRateRequest", rate, &[], async |r| {
        client.labour_rates().create_labour_rate(r).await.map(drop)
    })
    .await;
}

#[tokio::test]
async fn what_is_no_number_is_refused_in_every_decimal_of_a_soil_test() {
    let ground = Ground::with_library().await;
    let client = &ground.client;
    // A jar's shares are told by the server and not read; a laboratory's heights are not read either.
    let of = |method: i32| CreateSoilTestRequest {
        soil_test: Some(SoilTest {
            method,
            ..Default::default()
        }),
        ..Default::default()
    };
    let shares = [
        "soil_test.sand_percent",
        "soil_test.silt_percent",
        "soil_test.clay_percent",
    ];
    let heights = [
        "soil_test.sand_mm",
        "soil_test.silt_mm",
        "soil_test.clay_mm",
    ];
    for (method, skip) in [(1, shares), (2, heights)] {
        try_all("CreateSoilTestRequest", of(method), &skip, async |r| {
            client.soil_tests().create_soil_test(r).await.map(drop)
        })
        .await;
    }
}

#[tokio::test]
async fn what_is_no_number_is_refused_in_every_decimal_of_a_trial_and_of_a_rule() {
    let ground = Ground::with_library().await;
    let client = &ground.client;
    let trial = CreateMixTrialRequest::default();
    try_all("CreateMixTrialRequest", trial, &[], async |r| {
        client.mix_trials().create_mix_trial(r).await.map(drop)
    })
    .await;
    let pack = CreateRulePackRequest::default();
    try_all("CreateRulePackRequest", pack, &[], async |r| {
        client.rule_packs().create_rule_pack(r).await.map(drop)
    })
    .await;
    let proposal = ProposeTrialMixesRequest::default();
    try_all("ProposeTrialMixesRequest", proposal, &[], async |r| {
        client.soil_tests().propose_trial_mixes(r).await.map(drop)
    })
    .await;
    let straw_clay = ProportionStrawClayRequest::default();
    try_all("ProportionStrawClayRequest", straw_clay, &[], async |r| {
        client.mixes().proportion_straw_clay(r).await.map(drop)
    })
    .await;
}

#[tokio::test]
async fn what_is_no_number_is_refused_in_every_decimal_of_a_job() {
    let ground = Ground::with_library().await;
    let call = async |r| ground.client.jobs().create_job(r).await.map(drop);
    let mut request = CreateJobRequest {
        job_id: "studio".into(),
        job: Some(studio()),
        ..Default::default()
    };
    // A segmental arch has every size that an opening can have.
    let wall = &mut request.job.as_mut().expect("a job").walls[0];
    wall.ends = "into:east".into();
    wall.starts = "into:west".into();
    wall.openings[0].shape = OpeningShape::Segmental.into();
    wall.niches.push(Niche {
        id: "shelf".into(),
        shape: OpeningShape::Segmental.into(),
        face: Face::Inner.into(),
        ..Default::default()
    });
    wall.inclusions.push(Inclusion {
        id: "bottles".into(),
        count: 3,
        ..Default::default()
    });
    try_each("CreateJobRequest", &request, Bad::NoNumber, &[], &call).await;
}

/// A wall of its own with an opening, a niche and an inclusion that have every size, in order.
fn whole_wall() -> Wall {
    Wall {
        id: "long".into(),
        length_m: "12".into(),
        height_m: "3".into(),
        thickness_mm: "600".into(),
        openings: vec![Opening {
            id: "window".into(),
            shape: OpeningShape::Segmental.into(),
            width_m: "1".into(),
            height_m: "0.8".into(),
            rise_m: "0.2".into(),
            sill_m: "0.9".into(),
            at_m: "1".into(),
            ..Default::default()
        }],
        niches: vec![Niche {
            id: "shelf".into(),
            shape: OpeningShape::Segmental.into(),
            face: Face::Inner.into(),
            width_m: "0.6".into(),
            height_m: "0.4".into(),
            rise_m: "0.1".into(),
            sill_m: "1".into(),
            at_m: "4".into(),
            depth_mm: "200".into(),
        }],
        inclusions: vec![Inclusion {
            id: "bottles".into(),
            count: 3,
            volume_l: "1".into(),
        }],
        ..Default::default()
    }
}

fn with_wall(wall: Wall) -> CreateJobRequest {
    CreateJobRequest {
        job_id: "studio".into(),
        job: Some(Job {
            site: String::new(),
            walls: vec![wall],
            ..studio()
        }),
        ..Default::default()
    }
}

#[tokio::test]
async fn what_is_out_of_its_range_is_refused_in_every_decimal_of_a_job() {
    let ground = Ground::with_library().await;
    let call = async |r| ground.client.jobs().create_job(r).await.map(drop);
    call(with_wall(whole_wall()))
        .await
        .expect("as it is it is sound");
    // What only walls of another kind have is tried on those.
    let others = [
        "radius_m",
        "bend_deg",
        "height_end_m",
        "peak_m",
        "peak_at_m",
        "turn_deg",
        "start_turn_deg",
    ];
    // Under an arch the sides may be nothing; a rectangle has its own row below.
    let arched = ["openings[0].height_m", "niches[0].height_m"];
    let skip: Vec<String> = others
        .iter()
        .chain(&arched)
        .map(|field| format!("job.walls[0].{field}"))
        .collect();
    let skip: Vec<&str> = skip.iter().map(String::as_str).collect();
    try_each(
        "CreateJobRequest",
        &with_wall(whole_wall()),
        Bad::Beyond,
        &skip,
        &call,
    )
    .await;

    let beyond = async |wall: Wall, field: &str, texts: [&str; 2]| {
        let pool = DescriptorPool::decode(hod_wire::DESCRIPTORS).expect("descriptors");
        let descriptor = pool
            .get_message_by_name("hod.v1.CreateJobRequest")
            .expect("a message");
        let path = format!("job.walls[0].{field}");
        for text in texts {
            let whole = with_wall(wall.clone()).encode_to_vec();
            let mut sent =
                DynamicMessage::decode(descriptor.clone(), whole.as_slice()).expect("a message");
            put(&mut sent, &path, text);
            let sent =
                CreateJobRequest::decode(sent.encode_to_vec().as_slice()).expect("a message");
            let refused = call(sent).await.expect_err(&format!("{path} = {text}"));
            let told = violations(&refused);
            assert!(
                told.iter().any(|(field, _)| *field == path),
                "{path} = {text}: {told:?}"
            );
        }
    };
    let arc = Wall {
        length_m: String::new(),
        radius_m: "4".into(),
        bend_deg: "170".into(),
        ..whole_wall()
    };
    call(CreateJobRequest {
        job_id: "arc".into(),
        ..with_wall(arc.clone())
    })
    .await
    .expect("sound");
    beyond(arc.clone(), "radius_m", ["0.009", "1000.001"]).await;
    beyond(arc, "bend_deg", ["-360.001", "360.001"]).await;
    let gable = Wall {
        peak_m: "4".into(),
        peak_at_m: "6".into(),
        ..whole_wall()
    };
    call(CreateJobRequest {
        job_id: "gable".into(),
        ..with_wall(gable.clone())
    })
    .await
    .expect("sound");
    beyond(gable.clone(), "peak_m", ["0.049", "30.001"]).await;
    beyond(gable.clone(), "peak_at_m", ["-0.001", "12.001"]).await;
    beyond(gable, "height_end_m", ["0.049", "30.001"]).await;
    let mut rectangle = whole_wall();
    rectangle.openings[0].shape = OpeningShape::Rectangle.into();
    rectangle.openings[0].rise_m.clear();
    beyond(rectangle, "openings[0].height_m", ["0.049", "20.001"]).await;
    beyond(whole_wall(), "openings[0].height_m", ["-0.001", "20.001"]).await;
    beyond(whole_wall(), "niches[0].height_m", ["-0.001", "20.001"]).await;
}

#[test]
fn the_search_finds_the_decimals_that_there_are() {
    let pool = DescriptorPool::decode(hod_wire::DESCRIPTORS).expect("descriptors");
    let mut found = Vec::new();
    for name in ["Job", "Region", "Mix", "Crew"] {
        let descriptor = pool
            .get_message_by_name(&format!("hod.v1.{name}"))
            .expect(name);
        decimals(&descriptor, "", &mut found);
    }
    for known in [
        "walls[0].niches[0].depth_mm",
        "build_up.tax_percent",
        "ingredients[0].parts",
        "make_up[0].share_percent",
    ] {
        assert!(found.iter().any(|decimal| decimal.path == known), "{known}");
    }
    let ranged = found
        .iter()
        .filter(|decimal| !decimal.beyond.is_empty())
        .count();
    assert!(30 < ranged, "{ranged} with a range");
    // Job 5, wall 15, opening 7, niche 6, inclusion 1, above 1, finish 2 on a wall and 2 on the job, buried 1, build 9,
    // stem wall 2, trench 2, floor 4, oven 4, ground 4, cost 1, site time 1, source 1; build-up 12 of a job and of a
    // region; mix 8 with its ingredient; crew 2.
    let of_a_job = 5 + 15 + 7 + 6 + 1 + 1 + 2 + 2 + 1 + 9 + 2 + 2 + 4 + 4 + 4 + 3;
    assert_eq!(found.len(), of_a_job + 12 + 12 + 8 + 2, "{found:#?}");
}
