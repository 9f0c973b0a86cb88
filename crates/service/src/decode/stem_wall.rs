//! What the walls stand on: the stem wall, and the trench under it.

use hod_domain::job::{Masonry, StemWall, Trench};
use hod_units::{Length, Share};
use hod_wire::v1 as wire;
use hod_wire::v1::StemSystem;
use rust_decimal::dec;

use super::{Bounds, Decoder};
use crate::name::{Materials, Mixes};

const THICKNESS: Bounds = Bounds::of(dec!(50), dec!(5000), "mm");
const MORTAR: Bounds = Bounds::of(dec!(0), dec!(60), "%");
const WIDTH: Bounds = Bounds::of(dec!(100), dec!(5000), "mm");
const DEPTH: Bounds = Bounds::of(dec!(50), dec!(5000), "mm");

/// Reads a stem wall.
pub fn stem_wall(decoder: &mut Decoder<'_>, wire: &wire::StemWall) -> Option<StemWall> {
    let system = decoder.choice("system", wire.system, |number| {
        StemSystem::try_from(number)
            .ok()
            .filter(|system| *system != StemSystem::Unspecified)
    });
    let thickness = decoder.number_if_any("thickness_mm", &wire.thickness_mm, &THICKNESS);
    let masonry = system.and_then(|system| match system {
        StemSystem::Unspecified | StemSystem::StoneInMortar => stone_in_mortar(decoder, wire),
        StemSystem::Bags => bags(decoder, wire),
    });
    let damp_course =
        decoder.name_if_any::<Materials>("damp_course_material", &wire.damp_course_material);
    Some(StemWall {
        masonry: masonry?,
        thickness: thickness?.map(Length::from_mm),
        damp_course: damp_course?,
    })
}

fn stone_in_mortar(decoder: &mut Decoder<'_>, wire: &wire::StemWall) -> Option<Masonry> {
    let strays = [
        ("bag_material", &wire.bag_material),
        ("fill_mix", &wire.fill_mix),
    ];
    refuse_strays(decoder, &strays, "stone in mortar");
    let stone = decoder.name_needed::<Materials>("stone_material", &wire.stone_material);
    let mortar = decoder.name_needed::<Mixes>("mortar_mix", &wire.mortar_mix);
    let share = decoder.number("mortar_percent", &wire.mortar_percent, &MORTAR);
    Some(Masonry::StoneInMortar {
        stone: stone?,
        mortar: mortar?,
        mortar_share: Share::from_percent(share?),
    })
}

fn bags(decoder: &mut Decoder<'_>, wire: &wire::StemWall) -> Option<Masonry> {
    let strays = [
        ("stone_material", &wire.stone_material),
        ("mortar_mix", &wire.mortar_mix),
        ("mortar_percent", &wire.mortar_percent),
    ];
    refuse_strays(decoder, &strays, "bags");
    let bag = decoder.name_needed::<Materials>("bag_material", &wire.bag_material);
    let fill = decoder.name_needed::<Mixes>("fill_mix", &wire.fill_mix);
    Some(Masonry::Bags {
        bag: bag?,
        fill: fill?,
    })
}

/// Refuses what belongs to the other system.
fn refuse_strays(decoder: &mut Decoder<'_>, strays: &[(&'static str, &String)], system: &str) {
    for (field, _) in strays.iter().filter(|(_, text)| !text.is_empty()) {
        decoder.refuse(
            field,
            "NOT_OF_THIS_SYSTEM",
            format!("a stem wall of {system} has no {field}; leave it out"),
        );
    }
}

/// Reads a trench.
pub fn trench(decoder: &mut Decoder<'_>, wire: &wire::Trench) -> Option<Trench> {
    let width = decoder.number("width_mm", &wire.width_mm, &WIDTH);
    let depth = decoder.number("depth_mm", &wire.depth_mm, &DEPTH);
    let fill = decoder.name_needed::<Mixes>("fill_mix", &wire.fill_mix);
    let drain = decoder.name_if_any::<Materials>("drain_material", &wire.drain_material);
    let fabric = decoder.name_if_any::<Materials>("fabric_material", &wire.fabric_material);
    Some(Trench {
        width: Length::from_mm(width?),
        depth: Length::from_mm(depth?),
        fill: fill?,
        drain: drain?,
        fabric: fabric?,
    })
}
