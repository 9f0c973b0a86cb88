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
    let masonry = masonry(decoder, wire, system);
    let damp_course =
        decoder.name_if_any::<Materials>("damp_course_material", &wire.damp_course_material);
    Some(StemWall {
        masonry: masonry?,
        thickness: thickness?.map(Length::from_mm),
        damp_course: damp_course?,
    })
}

/// What it is built of: all that is said is read, what the system needs must be there and what the other needs must not.
fn masonry(
    decoder: &mut Decoder<'_>,
    wire: &wire::StemWall,
    system: Option<StemSystem>,
) -> Option<Masonry> {
    let stone = decoder.name_if_any::<Materials>("stone_material", &wire.stone_material);
    let mortar = decoder.name_if_any::<Mixes>("mortar_mix", &wire.mortar_mix);
    let share = decoder.number_if_any("mortar_percent", &wire.mortar_percent, &MORTAR);
    let bag = decoder.name_if_any::<Materials>("bag_material", &wire.bag_material);
    let fill = decoder.name_if_any::<Mixes>("fill_mix", &wire.fill_mix);
    let of_stone = [
        ("stone_material", &wire.stone_material),
        ("mortar_mix", &wire.mortar_mix),
        ("mortar_percent", &wire.mortar_percent),
    ];
    let of_bags = [
        ("bag_material", &wire.bag_material),
        ("fill_mix", &wire.fill_mix),
    ];
    match system? {
        StemSystem::Unspecified | StemSystem::StoneInMortar => {
            hold_to(decoder, "stone in mortar", &of_stone, &of_bags);
            Some(Masonry::StoneInMortar {
                stone: stone??,
                mortar: mortar??,
                mortar_share: Share::from_percent(share??),
            })
        }
        StemSystem::Bags => {
            hold_to(decoder, "bags", &of_bags, &of_stone);
            Some(Masonry::Bags {
                bag: bag??,
                fill: fill??,
            })
        }
    }
}

/// Refuses what a system needs and is not given, and what is given and belongs to the other.
fn hold_to(
    decoder: &mut Decoder<'_>,
    system: &str,
    needed: &[(&'static str, &String)],
    strays: &[(&'static str, &String)],
) {
    for (field, _) in needed.iter().filter(|(_, text)| text.is_empty()) {
        let found = format!("a stem wall of {system} needs {field}, which is empty; give it");
        decoder.refuse(field, "MISSING", found);
    }
    for (field, _) in strays.iter().filter(|(_, text)| !text.is_empty()) {
        let found = format!("a stem wall of {system} has no {field}; leave it out");
        decoder.refuse(field, "NOT_OF_THIS_SYSTEM", found);
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
