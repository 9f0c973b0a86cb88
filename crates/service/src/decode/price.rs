//! Prices and labour rates, as they are put in force: from a day, without an end.

use hod_domain::id::{Grade, PriceId};
use hod_domain::price::{LabourRate, Price};
use hod_units::{DateRange, Share, UNIT_PRICE_PLACES};
use hod_wire::v1 as wire;
use rust_decimal::dec;

use super::{Bounds, Decoder, NAME_CHARACTERS_MAX, SOURCE_CHARACTERS_MAX, choice};
use crate::name::Materials;

const UNIT_PRICE: Bounds = Bounds {
    places: UNIT_PRICE_PLACES,
    ..Bounds::of(dec!(0), dec!(999999999), "")
};
const WAGE: Bounds = Bounds {
    places: 4,
    ..Bounds::of(dec!(0), dec!(999999), "")
};
const BURDEN: Bounds = Bounds::of(dec!(0), dec!(300), "%");

/// Reads a price; its id comes from the request or from the server.
pub fn price<'a>(
    decoder: &mut Decoder<'a>,
    wire: &'a wire::Price,
    id: Option<&PriceId>,
) -> Option<Price> {
    let material = decoder.name::<Materials>("material", &wire.material);
    let unit_price = decoder.number("unit_price", &wire.unit_price, &UNIT_PRICE);
    let unit = choice::unit(decoder, "unit", wire.unit);
    let in_force = in_force(decoder, &wire.start_date);
    let supplier = decoder.text_if_any("supplier", &wire.supplier, NAME_CHARACTERS_MAX);
    let source = decoder.text_if_any("source", &wire.source, SOURCE_CHARACTERS_MAX);
    Some(Price {
        id: id?.clone(),
        material: material?,
        unit_price: unit_price?,
        unit: unit?,
        in_force: in_force?,
        supplier: supplier?,
        source: source?,
    })
}

/// Reads a labour rate; its id comes from the request or from the server.
pub fn labour_rate<'a>(
    decoder: &mut Decoder<'a>,
    wire: &'a wire::LabourRate,
    id: Option<&PriceId>,
) -> Option<LabourRate> {
    let grade = decoder.read("grade", "NOT_AN_ID", Grade::parse(&wire.grade));
    let wage = decoder.number("wage_per_hour", &wire.wage_per_hour, &WAGE);
    let burden = decoder.number_or_zero("burden_percent", &wire.burden_percent, &BURDEN);
    let in_force = in_force(decoder, &wire.start_date);
    let source = decoder.text_if_any("source", &wire.source, SOURCE_CHARACTERS_MAX);
    Some(LabourRate {
        id: id?.clone(),
        grade: grade?,
        wage: wage?,
        burden: Share::from_percent(burden?),
        in_force: in_force?,
        source: source?,
    })
}

fn in_force(decoder: &mut Decoder<'_>, start_date: &str) -> Option<DateRange> {
    let from = decoder.date("start_date", start_date)?;
    decoder.read("start_date", "NOT_A_DATE", DateRange::new(from, None))
}

/// Reads the version of a list; 0 means as it stands now.
pub fn list_version(decoder: &mut Decoder<'_>, version: i64) -> Option<Option<i64>> {
    if version < 0 {
        decoder.refuse(
            "list_version",
            "OUT_OF_RANGE",
            format!("list_version is {version}; it must not be negative"),
        );
        return None;
    }
    Some((version != 0).then_some(version))
}

/// Reads a grade that may be left out.
pub fn grade_if_any(
    decoder: &mut Decoder<'_>,
    field: &'static str,
    text: &str,
) -> Option<Option<Grade>> {
    if text.is_empty() {
        Some(None)
    } else {
        decoder
            .read(field, "NOT_AN_ID", Grade::parse(text))
            .map(Some)
    }
}
