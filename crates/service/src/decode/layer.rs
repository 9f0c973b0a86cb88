//! Layers: so much of a mix, evenly thick, as `MIX:MM`. The coats of a finish, the layers of a floor and of an oven.

use hod_domain::job::Layer;
use hod_units::{Decimal, Length, canonical, parse_decimal};
use rust_decimal::dec;

use super::{Bounds, Decoder};
use crate::name::{Collection, Mixes, quoted};

/// The thinnest layer, mm: a wash of 0.05 l to the m2.
const THICKNESS_MIN: Decimal = dec!(0.05);

/// How many layers there may be, and how thick one may be.
pub struct Layers {
    /// At the least.
    pub least: usize,
    /// At the most.
    pub most: usize,
    /// Of one, mm.
    pub thickness_max: Decimal,
}

/// Reads layers in their order.
pub fn layers<'a>(
    decoder: &mut Decoder<'a>,
    field: &'static str,
    texts: &'a [String],
    limits: &Layers,
) -> Option<Vec<Layer>> {
    let thickness = Bounds::of(THICKNESS_MIN, limits.thickness_max, "mm");
    let sent = decoder.list(field, texts, limits.least, limits.most);
    decoder
        .each(field, sent, |decoder, text| {
            layer(decoder, text, &thickness)
        })
        .filter(|layers| layers.len() == texts.len())
}

/// Reads a layer; what is wrong with it is one fault, of the whole text.
fn layer(decoder: &mut Decoder<'_>, text: &str, thickness: &Bounds) -> Option<Layer> {
    let refuse = |decoder: &mut Decoder<'_>, reason, found: String| {
        decoder.refuse("", reason, [quoted(text), found].concat());
        None
    };
    let Some((mix, mm)) = text.split_once(':') else {
        let found = " is not MIX:MM; write the id of a mix, a colon and how thick it stands in mm, such as clay-base:12";
        return refuse(decoder, "NOT_A_LAYER", found.to_owned());
    };
    let mix = match Mixes::id(mix) {
        Ok(mix) => mix,
        Err(fault) => return refuse(decoder, "NOT_AN_ID", format!(" names no mix: {fault}")),
    };
    let mm = match parse_decimal(mm) {
        Ok(mm) => mm,
        Err(fault) => {
            return refuse(
                decoder,
                "NOT_A_NUMBER",
                format!(" has no thickness: {fault}"),
            );
        }
    };
    let Bounds { least, most, .. } = *thickness;
    if mm < least || most < mm {
        let found = format!(
            " is {} mm thick; it must be from {} to {} mm",
            canonical(mm),
            canonical(least),
            canonical(most)
        );
        return refuse(decoder, "OUT_OF_RANGE", found);
    }
    Some(Layer {
        mix,
        thickness: Length::from_mm(mm),
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    const COATS: Layers = Layers {
        least: 1,
        most: 8,
        thickness_max: dec!(200),
    };

    /// What is read of coats, and what is wrong with them.
    fn read(texts: &[&str]) -> (Option<Vec<Layer>>, Vec<(String, &'static str)>) {
        let texts: Vec<String> = texts.iter().map(ToString::to_string).collect();
        let mut decoder = Decoder::new();
        let read = layers(&mut decoder, "coats", &texts, &COATS);
        let told = decoder.violations().into_iter();
        (
            read,
            told.map(|fault| (fault.field, fault.reason)).collect(),
        )
    }

    #[test]
    fn a_layer_is_a_mix_and_how_thick_it_stands() {
        let (layers, told) = read(&["clay-base:12", "lime-wash:0.3"]);
        let layers = layers.expect("two coats");
        assert_eq!(told, []);
        assert_eq!(layers[0].mix.as_str(), "clay-base");
        assert_eq!(layers[1].thickness, Length::from_mm(dec!(0.3)));
    }

    #[test]
    fn what_is_wrong_with_a_layer_is_told_once_at_its_place() {
        let bad = [
            ("clay-base", "NOT_A_LAYER"),
            ("Clay:12", "NOT_AN_ID"),
            (":12", "NOT_AN_ID"),
            ("clay:", "NOT_A_NUMBER"),
            ("clay:1_2", "NOT_A_NUMBER"),
            ("clay:12:3", "NOT_A_NUMBER"),
            ("clay:0.04", "OUT_OF_RANGE"),
            ("clay:200.1", "OUT_OF_RANGE"),
        ];
        for (text, reason) in bad {
            let (layers, told) = read(&["clay:5", text]);
            assert_eq!(layers, None, "{text}");
            assert_eq!(told, [("coats[1]".to_owned(), reason)], "{text}");
        }
    }

    #[test]
    fn too_many_layers_are_one_fault() {
        let (layers, told) = read(&["clay"; 9]);
        assert_eq!(layers, None);
        assert_eq!(told[0], ("coats".to_owned(), "WRONG_COUNT"));
        assert_eq!(told.len(), 1 + 8);
        assert_eq!(read(&[]).1, [("coats".to_owned(), "WRONG_COUNT")]);
    }
}
