//! Materials.

use hod_domain::id::{MaterialGroup, MaterialId};
use hod_domain::material::{Material, PieceSize};
use hod_domain::unit::Unit;
use hod_units::{Density, Length, Mass, Share};
use hod_wire::v1 as wire;
use rust_decimal::dec;

use super::{Bounds, Decoder, NAME_CHARACTERS_MAX, SOURCE_CHARACTERS_MAX, choice};

const DENSITY_LOOSE: Bounds = Bounds::of(dec!(10), dec!(4000), "kg/m3");
const BULKING: Bounds = Bounds::of(dec!(0), dec!(60), "%");
const SWELL: Bounds = Bounds::of(dec!(0), dec!(100), "%");
const MOISTURE: Bounds = Bounds::of(dec!(0), dec!(60), "%");
const MASS_PER_UNIT: Bounds = Bounds::of(dec!(0.01), dec!(5000), "kg");
const SIZE: Bounds = Bounds::of(dec!(1), dec!(20000), "mm");
const ORDER_STEP: Bounds = Bounds::of(dec!(0.01), dec!(100000), "");
const CLAY: Bounds = Bounds::of(dec!(0), dec!(100), "%");

/// Reads a material; its id comes from the request.
pub fn material<'a>(
    decoder: &mut Decoder<'a>,
    wire: &'a wire::Material,
    id: Option<&MaterialId>,
) -> Option<Material> {
    let display_name = decoder.text("display_name", &wire.display_name, NAME_CHARACTERS_MAX);
    let supply = choice::supply(decoder, "supply", wire.supply);
    let purchase_unit = purchase_unit(decoder, wire.purchase_unit);
    let density_loose = decoder.number_if_any(
        "density_loose_kg_m3",
        &wire.density_loose_kg_m3,
        &DENSITY_LOOSE,
    );
    let bulking = decoder.number_or_zero("bulking_percent", &wire.bulking_percent, &BULKING);
    let swell = decoder.number_or_zero("swell_percent", &wire.swell_percent, &SWELL);
    let moisture = decoder.number_or_zero("moisture_percent", &wire.moisture_percent, &MOISTURE);
    let mass_per_unit =
        decoder.number_if_any("mass_per_unit_kg", &wire.mass_per_unit_kg, &MASS_PER_UNIT);
    let size = size(decoder, wire);
    let order_step = decoder.number_if_any("order_step", &wire.order_step, &ORDER_STEP);
    let clay = decoder.number_or_zero("clay_percent", &wire.clay_percent, &CLAY);
    let group = group_if_any(decoder, "group", &wire.group);
    let source = decoder.text("source", &wire.source, SOURCE_CHARACTERS_MAX);
    Some(Material {
        id: id?.clone(),
        display_name: display_name?,
        supply: supply?,
        purchase_unit: purchase_unit?,
        density_loose: density_loose?.map(Density::from_kg_per_cubic_metre),
        bulking: Share::from_percent(bulking?),
        swell: Share::from_percent(swell?),
        moisture: Share::from_percent(moisture?),
        mass_per_unit: mass_per_unit?.map(Mass::from_kg),
        size: size?,
        order_step: order_step?,
        clay: Share::from_percent(clay?),
        group: group?,
        source: source?,
    })
}

/// The three sizes of a piece, or none: one that is missing beside the others is told.
fn size(decoder: &mut Decoder<'_>, wire: &wire::Material) -> Option<Option<PieceSize>> {
    let sizes = [
        ("length_mm", &wire.length_mm),
        ("width_mm", &wire.width_mm),
        ("height_mm", &wire.height_mm),
    ];
    if sizes.iter().all(|(_, text)| text.is_empty()) {
        return Some(None);
    }
    let [length, width, height] = sizes.map(|(field, text)| decoder.number(field, text, &SIZE));
    Some(Some(PieceSize {
        length: Length::from_mm(length?),
        width: Length::from_mm(width?),
        height: Length::from_mm(height?),
    }))
}

/// Reads a group of materials that may be left out.
pub fn group_if_any(
    decoder: &mut Decoder<'_>,
    field: &'static str,
    text: &str,
) -> Option<Option<MaterialGroup>> {
    if text.is_empty() {
        Some(None)
    } else {
        decoder
            .read(field, "NOT_AN_ID", MaterialGroup::parse(text))
            .map(Some)
    }
}

/// A unit in which things are bought.
fn purchase_unit(decoder: &mut Decoder<'_>, number: i32) -> Option<Unit> {
    let unit = choice::unit(decoder, "purchase_unit", number)?;
    if unit.order_places().is_none() {
        decoder.refuse(
            "purchase_unit",
            "NOT_A_PURCHASE_UNIT",
            format!(
                "purchase_unit is {}; nothing is bought by it: use m3, t, kg, l, m, m2, bale, bag, roll or each",
                unit.word()
            ),
        );
    }
    Some(unit)
}
