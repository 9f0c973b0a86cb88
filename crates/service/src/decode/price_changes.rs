//! Changes of many prices: how a file is to be taken, by which rule prices change, and what is to be written to a file.

use hod_domain::id::{MaterialGroup, MaterialId, RegionId};
use hod_domain::price::Adjustment;
use hod_sheet::Format;
use hod_units::Date;
use hod_wire::v1 as wire;
use rust_decimal::dec;

use super::{Bounds, Decoder, NAME_CHARACTERS_MAX, group_if_any, list_version};
use crate::name::{Materials, Regions};

/// Percent of a price that it rises or falls by; that it does not fall to nothing is for the middle to say.
const PERCENT: Bounds = Bounds {
    places: 6,
    ..Bounds::of(dec!(-100), dec!(1000), "%")
};
/// A figure of an index.
const INDEX: Bounds = Bounds {
    places: 6,
    ..Bounds::of(dec!(0), dec!(999999999), "")
};
const SERIES_CHARACTERS_MAX: usize = 200;
const MATERIALS_MAX: usize = 1000;
const PLACES_MAX: i32 = 6;

/// How a file of prices is to be taken.
#[derive(Debug, Clone)]
pub struct ImportAsked {
    /// How it is written.
    pub format: Format,
    /// Prices that the file does not name end the day before this.
    pub close_missing: Option<Date>,
    /// Open estimates are priced again on this day.
    pub effect: Option<Date>,
}

/// Reads how a file is to be taken.
pub fn import_start(decoder: &mut Decoder<'_>, wire: &wire::ImportStart) -> Option<ImportAsked> {
    let format = format(decoder, "format", wire.format);
    let close_missing = decoder.date_if_any("close_missing_date", &wire.close_missing_date);
    let effect = decoder.date_if_any("effect_date", &wire.effect_date);
    Some(ImportAsked {
        format: format?,
        close_missing: close_missing?,
        effect: effect?,
    })
}

/// Reads how a file is written.
fn format(decoder: &mut Decoder<'_>, field: &'static str, number: i32) -> Option<Format> {
    decoder.choice(
        field,
        number,
        |number| match wire::PriceFileFormat::try_from(number).ok()? {
            wire::PriceFileFormat::Unspecified => None,
            wire::PriceFileFormat::Csv => Some(Format::Csv),
            wire::PriceFileFormat::Xlsx => Some(Format::Workbook),
        },
    )
}

/// Which prices change, and by which rule.
#[derive(Debug, Clone)]
pub struct AdjustAsked {
    /// Whose prices.
    pub region: RegionId,
    /// Only of this group of materials.
    pub group: Option<MaterialGroup>,
    /// Only of these materials; none: of all.
    pub materials: Vec<MaterialId>,
    /// Only this supplier's; empty: everybody's.
    pub supplier: String,
    /// The rule.
    pub change: Adjustment,
    /// The first day of the new prices.
    pub start: Date,
    /// Places of the new prices; none: those of the currency.
    pub places: Option<u32>,
    /// Open estimates are priced again on this day.
    pub effect: Option<Date>,
    /// The version of the list that the caller has read.
    pub read: Option<i64>,
}

/// Reads which prices change, and by which rule.
pub fn adjust<'a>(
    decoder: &mut Decoder<'a>,
    wire: &'a wire::AdjustPricesRequest,
) -> Option<AdjustAsked> {
    let region = decoder.name_needed::<Regions>("parent", &wire.parent);
    let group = group_if_any(decoder, "group", &wire.group);
    let sent = decoder.list("materials", &wire.materials, 0, MATERIALS_MAX);
    let materials = decoder.each("materials", sent, |decoder, name| {
        decoder.name::<Materials>("", name)
    });
    let supplier = decoder.text_if_any("supplier", &wire.supplier, NAME_CHARACTERS_MAX);
    let change = change(decoder, wire.change.as_ref());
    for fault in change.iter().flat_map(Adjustment::faults) {
        decoder.also(&fault.field, fault.reason, fault.message);
    }
    let start = decoder.date("start_date", &wire.start_date);
    let places = places(decoder, wire.places);
    let effect = decoder.date_if_any("effect_date", &wire.effect_date);
    let read = list_version(decoder, wire.list_version);
    Some(AdjustAsked {
        region: region?,
        group: group?,
        materials: materials?,
        supplier: supplier?,
        change: change?,
        start: start?,
        places: places?,
        effect: effect?,
        read: read?,
    })
}

/// What is to be written to a file.
#[derive(Debug, Clone)]
pub struct ExportAsked {
    /// Only of this region; none: of all.
    pub region: Option<RegionId>,
    /// How it is to be written.
    pub format: Format,
    /// Only what is in force on this day.
    pub on: Option<Date>,
    /// Only of this group of materials.
    pub group: Option<MaterialGroup>,
}

/// Reads what is to be written to a file.
pub fn export(decoder: &mut Decoder<'_>, wire: &wire::ExportPricesRequest) -> Option<ExportAsked> {
    let region = decoder.name_if_any::<Regions>("parent", &wire.parent);
    let format = format(decoder, "format", wire.format);
    let on = decoder.date_if_any("on_date", &wire.on_date);
    let group = group_if_any(decoder, "group", &wire.group);
    Some(ExportAsked {
        region: region?,
        format: format?,
        on: on?,
        group: group?,
    })
}

fn change(
    decoder: &mut Decoder<'_>,
    wire: Option<&wire::adjust_prices_request::Change>,
) -> Option<Adjustment> {
    use wire::adjust_prices_request::Change as Sent;
    match wire {
        None => {
            let found = "neither percent nor index is given; give one of them";
            decoder.refuse("percent", "MISSING", found);
            None
        }
        Some(Sent::Percent(percent)) => {
            let percent = decoder.number("percent", percent, &PERCENT)?;
            Some(Adjustment::Percent(percent))
        }
        Some(Sent::Index(index)) => decoder.within("index", |decoder| {
            let series = decoder.text("series", &index.series, SERIES_CHARACTERS_MAX);
            let base = decoder.number("base_index", &index.base_index, &INDEX);
            let current = decoder.number("current_index", &index.current_index, &INDEX);
            Some(Adjustment::Index {
                series: series?,
                base: base?,
                current: current?,
            })
        }),
    }
}

fn places(decoder: &mut Decoder<'_>, places: Option<i32>) -> Option<Option<u32>> {
    match places {
        None => Some(None),
        Some(places) if (0..=PLACES_MAX).contains(&places) => Some(u32::try_from(places).ok()),
        Some(places) => {
            let found = format!("places is {places}; it must be from 0 to {PLACES_MAX}");
            decoder.refuse("places", "OUT_OF_RANGE", found);
            None
        }
    }
}
