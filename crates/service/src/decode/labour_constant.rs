//! Labour constants.

use hod_domain::id::{LabourConstantId, Method};
use hod_domain::work::LabourConstant;
use hod_units::Hours;
use hod_wire::v1 as wire;
use rust_decimal::dec;

use super::{Bounds, Decoder, NAME_CHARACTERS_MAX, SOURCE_CHARACTERS_MAX, choice, crew};

const HOURS: Bounds = Bounds::of(dec!(0), dec!(10000), "h");

/// Reads a labour constant; its id comes from the request.
pub fn labour_constant<'a>(
    decoder: &mut Decoder<'a>,
    wire: &'a wire::LabourConstant,
    id: Option<&LabourConstantId>,
) -> Option<LabourConstant> {
    let display_name = decoder.text("display_name", &wire.display_name, NAME_CHARACTERS_MAX);
    let task = choice::task(decoder, "task", wire.task);
    let method = method_if_any(decoder, "method", &wire.method);
    let driver = choice::driver(decoder, "driver", wire.driver);
    let low = decoder.number("low_hours", &wire.low_hours, &HOURS);
    let likely = decoder.number("likely_hours", &wire.likely_hours, &HOURS);
    let high = decoder.number("high_hours", &wire.high_hours, &HOURS);
    let make_up = crew::make_up(decoder, &wire.make_up);
    let source = decoder.text("source", &wire.source, SOURCE_CHARACTERS_MAX);
    Some(LabourConstant {
        id: id?.clone(),
        display_name: display_name?,
        task: task?,
        method: method?,
        driver: driver?,
        low: Hours::from_hours(low?),
        likely: Hours::from_hours(likely?),
        high: Hours::from_hours(high?),
        make_up: make_up?,
        source: source?,
    })
}

/// Reads a method of mixing that may be left out.
pub fn method_if_any(
    decoder: &mut Decoder<'_>,
    field: &'static str,
    text: &str,
) -> Option<Option<Method>> {
    if text.is_empty() {
        Some(None)
    } else {
        decoder
            .read(field, "NOT_AN_ID", Method::parse(text))
            .map(Some)
    }
}
