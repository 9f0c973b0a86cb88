//! What is written reads back, to the last digit and letter, in both formats; and the files themselves are what other
//! programs expect.

use std::io::Cursor;

use hod_domain::id::{MaterialId, PriceId, RegionId};
use hod_domain::price::{BreakRule, BreakStep, Breaks, Delivery, Price, Terms};
use hod_domain::unit::Unit;
use hod_sheet::{Format, PriceWriter};
use hod_units::{Date, DateRange, Decimal, Mass, Volume, parse_date};
use proptest::prelude::*;
use proptest::{collection, option, sample};

use crate::said::said;

fn written(format: Format, prices: &[(RegionId, Price)]) -> Vec<u8> {
    let mut writer = PriceWriter::new(format, Cursor::new(Vec::new())).expect("a header");
    for (region, price) in prices {
        writer.price(region, price).expect("a row");
    }
    writer.finish().expect("a file").into_inner()
}

/// Numbers of up to 9 digits and 6 places, from `least` millionths up.
fn number(least: i64) -> impl Strategy<Value = Decimal> {
    let any = prop_oneof![
        least..1_000,
        least..1_000_000_000,
        least..999_999_999_000_000
    ];
    any.prop_map(|millionths| Decimal::new(millionths, 6))
}

/// Texts with everything that a file might trip over, never a control character.
fn text(most: usize) -> impl Strategy<Value = String> {
    let odd = sample::select(vec![
        "=", "+", "-", "@", "'", "\"", ",", ";", " ", "=1+1", "'=x", "''", "_x0041_", "&amp;",
        "<b>", "é", "\u{2019}", "\u{a0}", "中", "🧱", "\u{feff}", "]]>", "-5", "1e3", "00123",
    ]);
    let piece =
        prop_oneof![3 => odd.prop_map(str::to_owned), 2 => "[a-z0-9 ]{0,6}", 1 => "\\PC{0,3}"];
    collection::vec(piece, 0..6)
        .prop_map(|pieces| pieces.concat())
        .prop_filter("no control character, and not too long", move |text| {
            text.chars().count() <= most && !text.chars().any(char::is_control)
        })
}

fn date() -> impl Strategy<Value = Date> {
    let first = parse_date("1900-01-01").expect("a date");
    (0_u64..100_000).prop_map(move |days| first + chrono::Days::new(days))
}

fn in_force() -> impl Strategy<Value = DateRange> {
    (date(), option::of(1_u64..800)).prop_map(|(from, days)| {
        DateRange::new(from, days.map(|days| from + chrono::Days::new(days))).expect("not empty")
    })
}

fn breaks() -> impl Strategy<Value = Option<Breaks>> {
    let steps = collection::btree_map(1_i64..1_000_000, number(0), 1..6);
    let rule = sample::select(vec![BreakRule::AllUnits, BreakRule::Incremental]);
    option::of((rule, steps).prop_map(|(rule, steps)| {
        Breaks {
            rule,
            steps: steps
                .into_iter()
                .map(|(from, unit_price)| BreakStep {
                    from: Decimal::new(from, 2),
                    unit_price,
                })
                .collect(),
        }
    }))
}

fn delivery() -> impl Strategy<Value = Option<Delivery>> {
    let load = || option::of((1_i64..100_000).prop_map(|hundredths| Decimal::new(hundredths, 2)));
    let distance = option::of((0_i64..5000).prop_map(Decimal::from));
    let all = (
        load(),
        load(),
        option::of(number(1)),
        number(0),
        number(0),
        distance,
    );
    all.prop_map(|(volume, mass, quantity, per_load, per_km, distance_km)| {
        let has_limit = volume.is_some() || mass.is_some() || quantity.is_some();
        has_limit.then(|| Delivery {
            load_volume: volume.map(Volume::from_cubic_metres),
            load_mass: mass.and_then(Mass::from_tonnes),
            load_quantity: quantity,
            per_load,
            per_km,
            distance_km,
        })
    })
}

fn terms() -> impl Strategy<Value = Terms> {
    let all = (
        option::of(number(1)),
        option::of(number(1)),
        breaks(),
        delivery(),
        0_u32..=1000,
        text(400),
    );
    all.prop_map(
        |(pack_size, minimum_order, breaks, delivery, lead_days, note)| Terms {
            pack_size,
            minimum_order,
            breaks,
            delivery,
            lead_days,
            note,
        },
    )
}

fn price() -> impl Strategy<Value = Price> {
    let unit = sample::select(vec![
        Unit::M3,
        Unit::T,
        Unit::Kg,
        Unit::L,
        Unit::M,
        Unit::M2,
        Unit::Bale,
        Unit::Bag,
        Unit::Roll,
        Unit::Each,
    ]);
    (unit, number(0), in_force(), text(120), text(400), terms()).prop_map(
        |(unit, unit_price, in_force, supplier, source, terms)| Price {
            id: PriceId::parse("p").expect("an id"),
            material: MaterialId::parse("m").expect("an id"),
            unit_price,
            unit,
            in_force,
            supplier,
            source,
            terms,
        },
    )
}

/// Prices, each of a material of its own, so that no two contradict each other.
fn prices() -> impl Strategy<Value = Vec<(RegionId, Price)>> {
    collection::vec(price(), 1..8).prop_map(|prices| {
        let named = |(at, mut price): (usize, Price)| {
            price.id = PriceId::parse(&format!("p-{at}")).expect("an id");
            price.material = MaterialId::parse(&format!("m-{at}")).expect("an id");
            (
                RegionId::parse(&format!("region-{}", at % 3)).expect("an id"),
                price,
            )
        };
        prices.into_iter().enumerate().map(named).collect()
    })
}

fn read_back(format: Format, bytes: &[u8]) -> Vec<(RegionId, Price)> {
    let said = said(bytes, format);
    assert_eq!(said.told(), [], "{:?}", said.faults);
    let price = |row: hod_domain::price::PriceRow| {
        let id = row.id.clone().expect("an id was written");
        (row.region.clone(), row.into_price(id))
    };
    said.prices.into_iter().map(price).collect()
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(200))]

    #[test]
    fn what_is_written_reads_back(prices in prices()) {
        for format in [Format::Csv, Format::Workbook] {
            let bytes = written(format, &prices);
            prop_assert_eq!(&read_back(format, &bytes), &prices);
        }
    }

    #[test]
    fn the_same_prices_give_the_same_bytes(prices in prices()) {
        for format in [Format::Csv, Format::Workbook] {
            prop_assert!(written(format, &prices) == written(format, &prices));
        }
    }

    #[test]
    fn no_cell_of_a_file_begins_as_a_formula(prices in prices()) {
        let bytes = written(Format::Csv, &prices);
        let mut reader = csv::ReaderBuilder::new().has_headers(false).from_reader(bytes.as_slice());
        for record in reader.records() {
            for cell in &record.expect("well formed") {
                prop_assert!(!cell.starts_with(['=', '+', '-', '@']), "{}", cell);
            }
        }
    }

    /// Another reader of comma-separated values sees the same cells as this one does.
    #[test]
    fn another_reader_sees_the_same_cells(prices in prices()) {
        let bytes = written(Format::Csv, &prices);
        let mut reader = csv::Reader::from_reader(bytes.as_slice());
        let names = reader.headers().expect("a header").clone();
        let place = |name: &str| names.iter().position(|column| column == name).expect("a column");
        let records: Vec<csv::StringRecord> = reader.records().map(|record| record.expect("a row")).collect();
        prop_assert_eq!(records.len(), prices.len());
        for (record, (region, price)) in records.iter().zip(&prices) {
            prop_assert_eq!(&record[place("region")], region.as_str());
            prop_assert_eq!(hod_sheet::text::undone(&record[place("note")]), price.terms.note.as_str());
            prop_assert_eq!(hod_sheet::text::undone(&record[place("supplier")]), price.supplier.as_str());
        }
    }
}

#[test]
fn a_file_of_comma_separated_values_looks_like_this() {
    let day = |text| parse_date(text).expect("a date");
    let price = Price {
        id: PriceId::parse("sand-2026").expect("an id"),
        material: MaterialId::parse("sand").expect("an id"),
        unit_price: Decimal::new(2150, 2),
        unit: Unit::T,
        in_force: DateRange::new(day("2026-05-01"), Some(day("2026-06-01"))).expect("not empty"),
        supplier: "Gravel, Works".into(),
        source: "=offer".into(),
        terms: Terms {
            pack_size: Some(Decimal::new(5, 1)),
            minimum_order: None,
            breaks: Some(Breaks {
                rule: BreakRule::AllUnits,
                steps: vec![
                    BreakStep {
                        from: Decimal::from(10),
                        unit_price: Decimal::new(2000, 2),
                    },
                    BreakStep {
                        from: Decimal::from(20),
                        unit_price: Decimal::new(185, 1),
                    },
                ],
            }),
            delivery: Some(Delivery {
                load_mass: Mass::from_tonnes(Decimal::from(12)),
                per_load: Decimal::from(60),
                ..Delivery::default()
            }),
            lead_days: 3,
            note: "say \"yard\"".into(),
        },
    };
    let bytes = written(
        Format::Csv,
        &[(RegionId::parse("coast").expect("an id"), price)],
    );
    assert_eq!(
        String::from_utf8(bytes).expect("UTF-8"),
        "region,material,supplier,unit,unit_price,start_date,end_date,pack_size,minimum_order,break_rule,breaks,\
         load_m3,load_t,load_quantity,charge_per_load,charge_per_km,distance_km,lead_days,source,note,price\r\n\
         coast,sand,\"Gravel, Works\",t,21.5,2026-05-01,2026-05-31,0.5,,all-units,10:20 20:18.5,\
         ,12,,60,,,3,'=offer,\"say \"\"yard\"\"\",sand-2026\r\n"
    );
}
