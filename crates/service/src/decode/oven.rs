//! Earthen ovens.

use hod_domain::job::Oven;
use hod_units::Length;
use hod_wire::v1 as wire;
use rust_decimal::dec;

use super::layer::{Layers, layers};
use super::wall::ID_CHARACTERS_MAX;
use super::{Bounds, Decoder};
use crate::name::Mixes;

const INNER_DIAMETER: Bounds = Bounds::of(dec!(0.2), dec!(3), "m");
const DOME_HEIGHT: Bounds = Bounds::of(dec!(0.1), dec!(2), "m");
const DOOR: Bounds = Bounds::of(dec!(0.05), dec!(2), "m");
const DOME: Layers = Layers {
    least: 1,
    most: 8,
    thickness_max: dec!(1000),
};
const BASE: Layers = Layers { least: 0, ..DOME };

/// Reads an oven.
pub fn oven<'a>(decoder: &mut Decoder<'a>, wire: &'a wire::Oven) -> Option<Oven> {
    decoder.about("oven", &wire.id, |decoder| {
        let id = decoder.text("id", &wire.id, ID_CHARACTERS_MAX);
        let inner_diameter =
            decoder.number("inner_diameter_m", &wire.inner_diameter_m, &INNER_DIAMETER);
        let dome_height = decoder.number_if_any("dome_height_m", &wire.dome_height_m, &DOME_HEIGHT);
        let door_width = decoder.number("door_width_m", &wire.door_width_m, &DOOR);
        let door_height = decoder.number_if_any("door_height_m", &wire.door_height_m, &DOOR);
        let dome = layers(decoder, "layers", &wire.layers, &DOME);
        let base_layers = layers(decoder, "base_layers", &wire.base_layers, &BASE);
        let form = decoder.name_if_any::<Mixes>("form_mix", &wire.form_mix);
        Some(Oven {
            id: id?,
            inner_diameter: Length::from_metres(inner_diameter?),
            dome_height: dome_height?.map(Length::from_metres),
            door_width: Length::from_metres(door_width?),
            door_height: door_height?.map(Length::from_metres),
            layers: dome?,
            base_layers: base_layers?,
            form: form?,
        })
    })
}
