//! Files of prices over the wire: taken whole or not at all, told row by row, and written so that they read back.

use hod_wire::v1::import_prices_request::Part;
use hod_wire::v1::price_changes_response::Event;
use hod_wire::v1::{
    CreateJobRequest, CreateMaterialRequest, ExportPricesRequest, GetRegionRequest,
    ImportPricesRequest, ImportStart, ListPricesRequest, Material, Movement, Price, PriceChange,
    PriceChangeKind, PriceChangesResponse, PriceChangesSummary, PriceFileFormat, Supply, Unit,
};
use tonic::{Code, Status, Streaming};

use crate::support::{Ground, assert_refused, new_price, reason, region, studio, violations};

pub const HEADER: &str = "region,material,supplier,unit,unit_price,start_date,end_date";
pub const SAND: &str = "north,sharp-sand,,t,33,2026-06-01,";
pub const MIB: usize = 1024 * 1024;

/// So many materials has a very large file.
const MATERIALS: usize = 500;

/// What a change of prices answers.
#[derive(Debug, Default)]
pub struct Told {
    pub faults: Vec<(i32, String, String)>,
    pub changes: Vec<PriceChange>,
    pub movements: Vec<Movement>,
    pub summary: PriceChangesSummary,
}

/// Everything that a stream of changes says; the summary is the last of it.
pub async fn told(mut events: Streaming<PriceChangesResponse>) -> Result<Told, Status> {
    let mut told = Told::default();
    while let Some(event) = events.message().await? {
        match event.event.expect("an event") {
            Event::Fault(fault) => told.faults.push((fault.row, fault.column, fault.reason)),
            Event::Change(change) => told.changes.push(change),
            Event::Movement(movement) => told.movements.push(movement),
            Event::Summary(summary) => {
                told.summary = summary;
                assert!(events.message().await?.is_none(), "the summary is the last");
                return Ok(told);
            }
        }
    }
    panic!("a stream without a summary: {told:?}")
}

impl Told {
    /// Kind, material and prices of each change.
    pub fn changed(&self) -> Vec<(PriceChangeKind, &str, &str, &str)> {
        let changes = self.changes.iter();
        changes
            .map(|change| {
                let (before, after) = (&change.before_unit_price, &change.after_unit_price);
                (
                    change.kind(),
                    change.material.as_str(),
                    before.as_str(),
                    after.as_str(),
                )
            })
            .collect()
    }
}

pub fn start(format: PriceFileFormat) -> ImportStart {
    ImportStart {
        format: format.into(),
        ..Default::default()
    }
}

pub fn csv_start() -> ImportStart {
    start(PriceFileFormat::Csv)
}

/// Sends a file in pieces.
pub async fn import(ground: &Ground, start: ImportStart, file: &[u8]) -> Result<Told, Status> {
    let pieces: Vec<Vec<u8>> = file.chunks(MIB).map(<[u8]>::to_vec).collect();
    send(ground, start, pieces).await
}

pub async fn send(
    ground: &Ground,
    start: ImportStart,
    pieces: Vec<Vec<u8>>,
) -> Result<Told, Status> {
    let of = |part| ImportPricesRequest { part: Some(part) };
    let pieces = pieces.into_iter().map(Part::Chunk);
    let messages: Vec<ImportPricesRequest> = std::iter::once(Part::Start(start))
        .chain(pieces)
        .map(of)
        .collect();
    let mut prices = ground.client.prices();
    let events = prices.import_prices(tokio_stream::iter(messages)).await?;
    told(events.into_inner()).await
}

/// A file of these rows under the usual header.
pub fn csv(rows: &[&str]) -> Vec<u8> {
    let mut text = HEADER.to_owned();
    for row in rows {
        text.push_str("\r\n");
        text.push_str(row);
    }
    text.into_bytes()
}

pub async fn list_version(ground: &Ground, region: &str) -> i64 {
    let name = format!("regions/{region}");
    let got = ground
        .client
        .regions()
        .get_region(GetRegionRequest { name })
        .await;
    got.expect("got").into_inner().list_version
}

pub async fn all_prices(ground: &Ground, region: &str) -> Vec<Price> {
    let request = ListPricesRequest {
        parent: format!("regions/{region}"),
        page_size: 1000,
        ..Default::default()
    };
    let listed = ground.client.prices().list_prices(request).await;
    listed.expect("listed").into_inner().prices
}

async fn export(ground: &Ground, request: ExportPricesRequest) -> Vec<u8> {
    let answer = ground.client.prices().export_prices(request).await;
    let mut pieces = answer.expect("an export").into_inner();
    let mut file = Vec::new();
    while let Some(piece) = pieces.message().await.expect("a piece") {
        file.extend_from_slice(&piece.chunk);
    }
    file
}

async fn whole(ground: &Ground, format: PriceFileFormat) -> Vec<u8> {
    let request = ExportPricesRequest {
        format: format.into(),
        ..Default::default()
    };
    export(ground, request).await
}

#[tokio::test]
async fn a_file_puts_its_prices_in_force_and_says_what_becomes_of_each() {
    let ground = Ground::priced().await;
    let before = list_version(&ground, "north").await;
    let file = csv(&[
        SAND,
        "north,straw-bale,,bale,4.20,2026-01-01,",
        "north,straw-bale,Field Farm,bale,3.90,2026-02-01,2026-08-31",
    ]);
    let told = import(&ground, csv_start(), &file).await.expect("taken");
    assert_eq!(told.faults, []);
    assert_eq!(
        told.changed(),
        [
            (
                PriceChangeKind::Raised,
                "materials/sharp-sand",
                "31.5",
                "33"
            ),
            (PriceChangeKind::New, "materials/straw-bale", "", "3.9"),
        ]
    );
    assert_eq!((told.changes[0].row, told.changes[1].row), (2, 4));
    assert_eq!(told.changes[0].start_date, "2026-06-01");
    let summary = &told.summary;
    assert_eq!(
        (
            summary.row_count,
            summary.new_count,
            summary.raised_count,
            summary.same_count,
            summary.kept
        ),
        (3, 1, 1, 1, true)
    );
    assert_eq!(list_version(&ground, "north").await, before + 1);
    let moved: Vec<(&str, i64)> = summary
        .list_versions
        .iter()
        .map(|list| (list.region.as_str(), list.version))
        .collect();
    assert_eq!(moved, [("regions/north", before + 1)]);
    let prices = all_prices(&ground, "north").await;
    let sand: Vec<(&str, &str, &str)> = prices
        .iter()
        .filter(|price| price.material == "materials/sharp-sand")
        .map(|price| {
            (
                price.unit_price.as_str(),
                price.start_date.as_str(),
                price.end_date.as_str(),
            )
        })
        .collect();
    assert_eq!(sand.len(), 2);
    assert!(
        sand.contains(&("31.5", "2026-01-01", "2026-05-31")),
        "{sand:?}"
    );
    assert!(sand.contains(&("33", "2026-06-01", "")), "{sand:?}");
}

#[tokio::test]
async fn a_trial_says_all_of_it_and_keeps_nothing() {
    let ground = Ground::priced().await;
    let before = (
        list_version(&ground, "north").await,
        all_prices(&ground, "north").await,
    );
    let trial = ImportStart {
        validate_only: true,
        ..csv_start()
    };
    let told = import(&ground, trial, &csv(&[SAND])).await.expect("tried");
    assert_eq!(
        told.changed(),
        [(
            PriceChangeKind::Raised,
            "materials/sharp-sand",
            "31.5",
            "33"
        )]
    );
    assert!(!told.summary.kept);
    let after = (
        list_version(&ground, "north").await,
        all_prices(&ground, "north").await,
    );
    assert_eq!(before, after);
}

#[tokio::test]
async fn the_same_file_again_changes_nothing() {
    let ground = Ground::priced().await;
    let file = csv(&[SAND]);
    import(&ground, csv_start(), &file).await.expect("taken");
    let before = list_version(&ground, "north").await;
    let told = import(&ground, csv_start(), &file).await.expect("taken");
    assert_eq!((told.changes.len(), told.summary.same_count), (0, 1));
    assert!(told.summary.list_versions.is_empty());
    assert_eq!(list_version(&ground, "north").await, before);
}

#[tokio::test]
async fn the_same_request_again_gives_the_same_summary_and_acts_once() {
    let ground = Ground::priced().await;
    let once = ImportStart {
        request_id: "3f0f3a9e-52f5-4b8e-9a53-0d8c9d7a1a11".into(),
        ..csv_start()
    };
    let file = csv(&[SAND]);
    let first = import(&ground, once.clone(), &file).await.expect("taken");
    let again = import(&ground, once.clone(), &file).await.expect("taken");
    assert_eq!(again.summary, first.summary);
    assert_eq!(again.changes, []);
    let other = import(&ground, once, &csv(&["north,sharp-sand,,t,34,2026-06-01,"])).await;
    assert_eq!(
        reason(&other.expect_err("another file")),
        (Code::FailedPrecondition, "REQUEST_ID_REUSED".to_owned())
    );
}

#[tokio::test]
async fn what_is_written_reads_back_and_changes_nothing() {
    let ground = Ground::priced().await;
    let rows = [
        "north,sharp-sand,\"Gravel, Works\",t,21.5,2026-05-01,2026-06-30,0.5,2,all-units,10:20 20:18.5,,12,,60,0.9,14,3,\
         '=offer,\"say \"\"yard\"\"\",sand-of-gravel-works",
        "north,sharp-sand,\"Gravel, Works\",t,22.123456,2026-08-01,,,,incremental,10:20,8,,,,,,,,-5 %,",
        "north,straw-bale,Ä & Ö,bale,4.35,2026-03-01,,,,,,,,40,25,,,14,,,",
    ];
    let header = "region,material,supplier,unit,unit_price,start_date,end_date,pack_size,minimum_order,break_rule,breaks,\
                  load_m3,load_t,load_quantity,charge_per_load,charge_per_km,distance_km,lead_days,source,note,price";
    let file = format!("{header}\n{}\n", rows.join("\n"));
    let told = import(&ground, csv_start(), file.as_bytes())
        .await
        .expect("taken");
    assert_eq!(
        (told.faults.len(), told.summary.new_count),
        (0, 3),
        "{told:?}"
    );
    let kept = all_prices(&ground, "north").await;
    let before = list_version(&ground, "north").await;
    for format in [PriceFileFormat::Csv, PriceFileFormat::Xlsx] {
        let written = whole(&ground, format).await;
        let told = import(&ground, start(format), &written)
            .await
            .expect("taken");
        assert_eq!(told.faults, [], "{format:?}");
        assert_eq!(told.changes, [], "{format:?}");
        assert_eq!(told.summary.same_count as usize, kept.len());
        assert_eq!(
            whole(&ground, format).await,
            written,
            "the same prices give the same bytes"
        );
    }
    assert_eq!(list_version(&ground, "north").await, before);
    assert_eq!(all_prices(&ground, "north").await, kept);
    let named = kept
        .iter()
        .find(|price| price.name.ends_with("/sand-of-gravel-works"))
        .expect("by its id");
    assert_eq!(
        (named.source.as_str(), named.note.as_str()),
        ("=offer", "say \"yard\"")
    );
}

#[tokio::test]
async fn an_export_holds_what_was_asked_for() {
    let ground = Ground::priced().await;
    ground
        .client
        .regions()
        .create_region(region("south"))
        .await
        .expect("a region");
    let south = "south,sharp-sand,,t,29,2026-01-01,2026-03-31";
    import(&ground, csv_start(), &csv(&[SAND, south]))
        .await
        .expect("taken");
    let lines = |file: Vec<u8>| String::from_utf8(file).expect("UTF-8").lines().count();
    let asked = |parent: &str, on_date: &str| ExportPricesRequest {
        parent: parent.into(),
        on_date: on_date.into(),
        format: PriceFileFormat::Csv.into(),
        ..Default::default()
    };
    for (parent, on_date, expected) in [
        ("", "", 4),
        ("regions/north", "", 3),
        ("regions/north", "2026-05-31", 2),
        ("regions/south", "2026-04-01", 0),
    ] {
        let file = export(&ground, asked(parent, on_date)).await;
        assert_eq!(lines(file), expected + 1, "{parent} {on_date}");
    }
    let mut prices = ground.client.prices();
    let nowhere = prices.export_prices(asked("regions/none", "")).await;
    let refused = match nowhere {
        Err(status) => status,
        Ok(answer) => answer
            .into_inner()
            .message()
            .await
            .expect_err("no such region"),
    };
    assert_refused(&refused, Code::NotFound, "NOT_FOUND", "regions/none");
}

#[tokio::test]
async fn prices_that_a_file_does_not_name_end_when_that_is_asked() {
    let ground = Ground::priced().await;
    let closing = ImportStart {
        close_missing_date: "2026-07-01".into(),
        ..csv_start()
    };
    let told = import(&ground, closing, &csv(&[SAND]))
        .await
        .expect("taken");
    assert_eq!(
        told.changed(),
        [
            (
                PriceChangeKind::Raised,
                "materials/sharp-sand",
                "31.5",
                "33"
            ),
            (PriceChangeKind::Closed, "materials/straw-bale", "4.2", ""),
        ]
    );
    assert_eq!(
        (told.summary.closed_count, told.summary.raised_count),
        (1, 1)
    );
    let prices = all_prices(&ground, "north").await;
    let straw = prices
        .iter()
        .find(|price| price.material == "materials/straw-bale")
        .expect("straw");
    assert_eq!(straw.end_date, "2026-06-30");
}

#[tokio::test]
async fn a_file_says_what_it_does_to_open_estimates() {
    let ground = Ground::priced().await;
    let job = CreateJobRequest {
        job_id: "studio".into(),
        job: Some(studio()),
        ..Default::default()
    };
    ground.client.jobs().create_job(job).await.expect("a job");
    let trial = ImportStart {
        effect_date: "2026-06-01".into(),
        validate_only: true,
        ..csv_start()
    };
    let dearer = import(&ground, trial.clone(), &csv(&[SAND]))
        .await
        .expect("tried");
    let as_it_is = import(
        &ground,
        trial,
        &csv(&["north,sharp-sand,,t,31.5,2026-06-01,"]),
    )
    .await
    .expect("tried");
    let after = |told: &Told| match told.movements.as_slice() {
        [movement] => {
            assert_eq!(
                (movement.job.as_str(), movement.faults.len()),
                ("jobs/studio", 0),
                "{movement:?}"
            );
            movement
                .after_total
                .parse::<rust_decimal::Decimal>()
                .expect("an amount")
        }
        other => panic!("one open job: {other:?}"),
    };
    assert!(after(&as_it_is) < after(&dearer));
}

#[tokio::test]
async fn a_hundred_thousand_rows_are_taken_in_one_go() {
    let ground = Ground::priced().await;
    for number in 0..MATERIALS {
        let material = Material {
            display_name: format!("Material {number}"),
            supply: Supply::Bought.into(),
            purchase_unit: Unit::T.into(),
            source: "invented".into(),
            ..Default::default()
        };
        let request = CreateMaterialRequest {
            material_id: format!("m-{number}"),
            material: Some(material),
            ..Default::default()
        };
        let made = ground.client.materials().create_material(request).await;
        made.expect("a material");
    }
    let mut file = csv(&[]);
    for number in 0..100_000 {
        let cents = 2000 + number % 1000;
        let row = format!(
            "\r\nnorth,m-{},Works {},t,{}.{:02},2026-06-01,",
            number % MATERIALS,
            number / MATERIALS,
            cents / 100,
            cents % 100
        );
        file.extend_from_slice(row.as_bytes());
    }
    let told = import(&ground, csv_start(), &file).await.expect("taken");
    assert_eq!(told.faults, []);
    assert_eq!(
        (told.changes.len(), told.summary.new_count),
        (100_000, 100_000)
    );
    assert!(told.summary.kept);
    let again = import(&ground, csv_start(), &file).await.expect("taken");
    assert_eq!(
        (again.changes.len(), again.summary.same_count),
        (0, 100_000)
    );
}

#[tokio::test]
async fn an_import_begins_with_how_and_comes_in_pieces() {
    let ground = Ground::priced().await;
    let mut prices = ground.client.prices();
    let piece = ImportPricesRequest {
        part: Some(Part::Chunk(csv(&[SAND]))),
    };
    let twice = ImportPricesRequest {
        part: Some(Part::Start(csv_start())),
    };
    for (messages, expected) in [
        (vec![piece], ("start", "MISSING")),
        (vec![twice.clone(), twice], ("chunk", "MISSING")),
        (Vec::new(), ("start", "MISSING")),
    ] {
        let events = prices
            .import_prices(tokio_stream::iter(messages))
            .await
            .expect("a stream");
        let refused = told(events.into_inner()).await.expect_err("refused");
        assert_eq!(
            violations(&refused),
            [(expected.0.to_owned(), expected.1.to_owned())]
        );
    }
    let large = import_large(&ground).await;
    assert_eq!(
        violations(&large),
        [("chunk".to_owned(), "TOO_LARGE".to_owned())]
    );
    let bad = ImportStart {
        close_missing_date: "tomorrow".into(),
        request_id: "once".into(),
        ..Default::default()
    };
    let refused = import(&ground, bad, &csv(&[SAND]))
        .await
        .expect_err("refused");
    assert_eq!(
        violations(&refused),
        [
            ("start.request_id".to_owned(), "NOT_A_UUID".to_owned()),
            ("start.format".to_owned(), "MISSING".to_owned()),
            (
                "start.close_missing_date".to_owned(),
                "NOT_A_DATE".to_owned()
            ),
        ]
    );
}

async fn import_large(ground: &Ground) -> Status {
    send(ground, csv_start(), vec![vec![b'x'; MIB + 1]])
        .await
        .expect_err("refused")
}

#[tokio::test]
async fn a_second_supplier_stands_beside_the_first() {
    let ground = Ground::priced().await;
    let other = "north,sharp-sand,Quarry Lane,t,30,2026-06-01,";
    let told = import(&ground, csv_start(), &csv(&[other]))
        .await
        .expect("taken");
    assert_eq!(
        told.changed(),
        [(PriceChangeKind::New, "materials/sharp-sand", "", "30")]
    );
    let on = ListPricesRequest {
        parent: "regions/north".into(),
        material: "materials/sharp-sand".into(),
        on_date: "2026-06-01".into(),
        ..Default::default()
    };
    let listed = ground
        .client
        .prices()
        .list_prices(on)
        .await
        .expect("listed")
        .into_inner();
    let mut prices: Vec<&str> = listed
        .prices
        .iter()
        .map(|price| price.unit_price.as_str())
        .collect();
    prices.sort_unstable();
    assert_eq!(prices, ["30", "31.5"]);
    let one_more = new_price("regions/north", "sharp-sand", Unit::T, "31", "2026-06-01");
    ground
        .client
        .prices()
        .create_price(one_more)
        .await
        .expect("made");
}
