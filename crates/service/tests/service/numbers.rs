//! Every decimal of every request, found through the descriptors: what is no number is refused there, by its field,
//! whatever the field.

use prost_reflect::{
    DescriptorPool, DynamicMessage, FieldDescriptor, Kind, MessageDescriptor, ReflectMessage, Value,
};
use tonic::{Code, Status};

use crate::support::{Ground, reason, studio, violations};
use hod_wire::v1::{
    CreateCrewRequest, CreateJobRequest, CreateLabourConstantRequest, CreateLabourRateRequest,
    CreateMaterialRequest, CreateMixRequest, CreatePriceRequest, CreateRegionRequest,
    CreateSiteRequest, CreateSoilTestRequest, Inclusion, Niche, SoilTest,
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
    ];
    let plain = ["unit_price", "parts", "buckets_per_part", "hours_factor"];
    let of_the_server = ["loaded_rate_per_hour"];
    field.kind() == Kind::String
        && !of_the_server.contains(&field.name())
        && (units.iter().any(|unit| field.name().ends_with(unit)) || plain.contains(&field.name()))
}

/// The paths of all decimals below a message, through the first item of each list.
fn decimals(of: &MessageDescriptor, path: &str, found: &mut Vec<String>) {
    for field in of.fields() {
        let here = if field.is_list() {
            format!("{path}{}[0]", field.name())
        } else {
            format!("{path}{}", field.name())
        };
        match field.kind() {
            Kind::Message(inner) if inner.full_name().starts_with("hod.") => {
                decimals(&inner, &format!("{here}."), found)
            }
            _ if is_decimal(&field) => found.push(here),
            _ => {}
        }
    }
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

/// Sends each request with each decimal replaced by each of what is no number.
async fn try_all<R, F>(name: &str, request: R, skip: &[&str], call: impl Fn(R) -> F)
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
    paths.retain(|path| !skip.contains(&path.as_str()));
    assert!(!paths.is_empty(), "{name}");
    for path in paths {
        for text in no_numbers() {
            let mut bad =
                DynamicMessage::decode(descriptor.clone(), request.encode_to_vec().as_slice())
                    .expect(name);
            put(&mut bad, &path, &text);
            let bad = R::decode(bad.encode_to_vec().as_slice()).expect(name);
            let refused = call(bad).await.expect_err(&format!("{path} = {text:?}"));
            assert_eq!(
                reason(&refused).0,
                Code::InvalidArgument,
                "{path} = {text:?}"
            );
            let told = violations(&refused);
            let is_told = told.contains(&(path.clone(), "NOT_A_NUMBER".to_owned()));
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
async fn what_is_no_number_is_refused_in_every_decimal_of_a_job() {
    let ground = Ground::with_library().await;
    let client = &ground.client;
    let mut job = studio();
    // A segmental arch has every size that an opening can have.
    let wall = &mut job.walls[0];
    wall.ends = "into:east".into();
    wall.starts = "into:west".into();
    wall.openings[0].shape = 2;
    wall.niches.push(Niche {
        id: "shelf".into(),
        shape: 2,
        face: 1,
        ..Default::default()
    });
    wall.inclusions.push(Inclusion {
        id: "bottles".into(),
        count: 3,
        ..Default::default()
    });
    let request = CreateJobRequest {
        job_id: "studio".into(),
        job: Some(job),
        ..Default::default()
    };
    try_all("CreateJobRequest", request, &[], async |r| {
        client.jobs().create_job(r).await.map(drop)
    })
    .await;
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
        assert!(found.contains(&known.to_owned()), "{known}");
    }
    // Job 4, wall 15, opening 6, niche 6, inclusion 1; build-up 5; mix 8 with its ingredient; crew 2.
    assert_eq!(found.len(), 4 + 15 + 6 + 6 + 1 + 5 + 8 + 2, "{found:#?}");
}
