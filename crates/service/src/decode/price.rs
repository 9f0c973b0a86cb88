//! Prices, as they are put in force: from a day, until one that may be given, and on which terms.

use hod_domain::id::PriceId;
use hod_domain::price::{BreakRule, BreakStep, Breaks, Delivery, Price, Terms};
use hod_units::{DateRange, Mass, UNIT_PRICE_PLACES, Volume};
use hod_wire::v1 as wire;
use rust_decimal::dec;

use super::{Bounds, Decoder, NAME_CHARACTERS_MAX, SOURCE_CHARACTERS_MAX, choice};
use crate::name::Materials;

/// Money, for a purchase unit, a load or a kilometre of one.
const MONEY: Bounds = Bounds {
    places: UNIT_PRICE_PLACES,
    ..Bounds::of(dec!(0), dec!(999999999), "")
};
/// How much of a material, in its purchase unit; that it is above 0 is for the middle to say.
const QUANTITY: Bounds = Bounds {
    places: UNIT_PRICE_PLACES,
    ..Bounds::of(dec!(0), dec!(999999999), "")
};
const LOAD_M3: Bounds = Bounds::of(dec!(0.01), dec!(1000), "m3");
const LOAD_T: Bounds = Bounds::of(dec!(0.01), dec!(1000), "t");
const DISTANCE: Bounds = Bounds::of(dec!(0), dec!(5000), "km");

const BREAKS_MAX: usize = 20;
const LEAD_DAYS_MAX: u32 = 1000;
/// Most characters of a note.
pub(super) const NOTE_CHARACTERS_MAX: usize = 400;

/// Reads a price; its id comes from the request or from the server.
pub fn price<'a>(
    decoder: &mut Decoder<'a>,
    wire: &'a wire::Price,
    id: Option<&PriceId>,
) -> Option<Price> {
    let material = decoder.name::<Materials>("material", &wire.material);
    let unit_price = decoder.number("unit_price", &wire.unit_price, &MONEY);
    let unit = choice::unit(decoder, "unit", wire.unit);
    let in_force = in_force(decoder, &wire.start_date, &wire.end_date);
    let supplier = decoder.text_if_any("supplier", &wire.supplier, NAME_CHARACTERS_MAX);
    let source = decoder.text_if_any("source", &wire.source, SOURCE_CHARACTERS_MAX);
    let terms = terms(decoder, wire);
    Some(Price {
        id: id?.clone(),
        material: material?,
        unit_price: unit_price?,
        unit: unit?,
        in_force: in_force?,
        supplier: supplier?,
        source: source?,
        terms: terms?,
    })
}

fn terms<'a>(decoder: &mut Decoder<'a>, wire: &'a wire::Price) -> Option<Terms> {
    let pack_size = decoder.number_if_any("pack_size", &wire.pack_size, &QUANTITY);
    let minimum_order = decoder.number_if_any("minimum_order", &wire.minimum_order, &QUANTITY);
    let breaks = breaks(decoder, wire);
    let delivery = decoder.part("delivery", wire.delivery.as_ref(), delivery);
    let lead_days = decoder.whole("lead_days", wire.lead_days, 0, LEAD_DAYS_MAX);
    let note = decoder.text_if_any("note", &wire.note, NOTE_CHARACTERS_MAX);
    Some(Terms {
        pack_size: pack_size?,
        minimum_order: minimum_order?,
        breaks: breaks?,
        delivery: delivery?,
        lead_days: lead_days?,
        note: note?,
    })
}

/// Breaks with what they lower; a rule without a break is for the middle to refuse.
fn breaks<'a>(decoder: &mut Decoder<'a>, wire: &'a wire::Price) -> Option<Option<Breaks>> {
    let sent = decoder.list("breaks", &wire.breaks, 0, BREAKS_MAX);
    let steps = decoder.each("breaks", sent, break_step);
    if wire.break_rule == wire::BreakRule::Unspecified as i32 && wire.breaks.is_empty() {
        return Some(None);
    }
    let rule =
        decoder.choice(
            "break_rule",
            wire.break_rule,
            |number| match wire::BreakRule::try_from(number).ok()? {
                wire::BreakRule::Unspecified => None,
                wire::BreakRule::AllUnits => Some(BreakRule::AllUnits),
                wire::BreakRule::Incremental => Some(BreakRule::Incremental),
            },
        );
    Some(Some(Breaks {
        rule: rule?,
        steps: steps?,
    }))
}

fn break_step(decoder: &mut Decoder<'_>, wire: &wire::PriceBreak) -> Option<BreakStep> {
    let from = decoder.number("from_quantity", &wire.from_quantity, &QUANTITY);
    let unit_price = decoder.number("unit_price", &wire.unit_price, &MONEY);
    Some(BreakStep {
        from: from?,
        unit_price: unit_price?,
    })
}

fn delivery(decoder: &mut Decoder<'_>, wire: &wire::Delivery) -> Option<Delivery> {
    let load_m3 = decoder.number_if_any("load_m3", &wire.load_m3, &LOAD_M3);
    let load_t = decoder.number_if_any("load_t", &wire.load_t, &LOAD_T);
    let load_quantity = decoder.number_if_any("load_quantity", &wire.load_quantity, &QUANTITY);
    let per_load = decoder.number_or_zero("charge_per_load", &wire.charge_per_load, &MONEY);
    let per_km = decoder.number_or_zero("charge_per_km", &wire.charge_per_km, &MONEY);
    let distance_km = decoder.number_if_any("distance_km", &wire.distance_km, &DISTANCE);
    Some(Delivery {
        load_volume: load_m3?.map(Volume::from_cubic_metres),
        load_mass: load_t?.and_then(Mass::from_tonnes),
        load_quantity: load_quantity?,
        per_load: per_load?,
        per_km: per_km?,
        distance_km: distance_km?,
    })
}

/// Reads the days in force, of which the last is a day in force too.
pub(super) fn in_force(
    decoder: &mut Decoder<'_>,
    start_date: &str,
    end_date: &str,
) -> Option<DateRange> {
    let from = decoder.date("start_date", start_date);
    let last = decoder.date_if_any("end_date", end_date);
    let (from, last) = (from?, last?);
    if let Some(last) = last
        && last < from
    {
        decoder.refuse(
            "end_date",
            "END_BEFORE_START",
            format!("end_date is {last}, before the first day in force, {from}; give that day or a later one"),
        );
        return None;
    }
    let after = last.and_then(|last| last.succ_opt());
    decoder.read("start_date", "NOT_A_DATE", DateRange::new(from, after))
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
