//! The keys of a job file, section by section: what each may hold and which field of the contract it fills.
//! These tables are the format. A key that is not in them is refused, so that nothing is left out in silence.

use hod_wire::v1::{Batter, Face, Inclusion, Job, Niche, Opening, OpeningShape, Wall, WallSystem};

use super::number::Measure;
use crate::name::collection;
use crate::word::Word;

/// A key of a section that is read into a `T`.
pub(super) struct Key<T> {
    /// As it is written in the file.
    pub(super) name: &'static str,
    /// The field of the contract that it fills; the same name but for a few.
    pub(super) field: &'static str,
    /// Whether the section is refused without it.
    pub(super) is_needed: bool,
    /// What it may hold, and where that goes.
    pub(super) holds: Holds<T>,
}

/// What a key may hold.
pub(super) enum Holds<T> {
    /// Text as it is.
    Text(fn(&mut T, String)),
    /// The id of something in a collection.
    Id(&'static str, fn(&mut T, String)),
    /// A number, kept as its digits.
    Number(Measure, fn(&mut T, String)),
    /// A whole number of things.
    Count(fn(&mut T, i32)),
    /// One of a few words; `set` gives nothing when it is none of them.
    Word {
        accepted: fn() -> Vec<&'static str>,
        set: fn(&mut T, &str) -> Option<()>,
    },
    /// Sections of their own, which whoever reads this section reads.
    Sections,
    /// A name that the format keeps for something that this version does not measure.
    Reserved(&'static str),
}

/// The keys of a section, each with the field it fills and what it may hold.
macro_rules! keys {
    ($(#[$doc:meta])* $list:ident of $thing:ty { $($need:ident $name:literal => $field:ident: $kind:ident $(($detail:expr))?,)* }) => {
        $(#[$doc])*
        pub(super) const $list: &[Key<$thing>] = &[$(Key {
            name: $name,
            field: stringify!($field),
            is_needed: keys!(@need $need),
            holds: keys!(@holds $kind $field $($detail)?),
        }),*];
    };
    (@need needed) => { true };
    (@need option) => { false };
    (@holds text $field:ident) => { Holds::Text(|thing, text| thing.$field = text) };
    (@holds id $field:ident $collection:expr) => { Holds::Id($collection, |thing, name| thing.$field = name) };
    (@holds metres $field:ident) => { Holds::Number(Measure::Metres, |thing, number| thing.$field = number) };
    (@holds millimetres $field:ident) => { Holds::Number(Measure::Millimetres, |thing, number| thing.$field = number) };
    (@holds number $field:ident) => { Holds::Number(Measure::Bare, |thing, number| thing.$field = number) };
    (@holds count $field:ident) => { Holds::Count(|thing, count| thing.$field = count) };
    (@holds word $field:ident $words:expr) => {
        Holds::Word {
            accepted: || $words.iter().map(|(word, _)| *word).collect(),
            set: |thing, text| {
                let (_, value) = $words.iter().find(|(word, _)| *word == text)?;
                thing.$field = i32::from(*value);
                Some(())
            },
        }
    };
    (@holds sections $field:ident) => { Holds::Sections };
    (@holds reserved $field:ident $what:expr) => { Holds::Reserved($what) };
}

keys! {
    /// The top of the file.
    JOB of Job {
        needed "name" => display_name: text,
        option "site" => site: id(collection::SITES),
        needed "system" => system: word(WallSystem::WORDS),
        option "mix" => mix: id(collection::MIXES),
        option "mixing" => mixing: text,
        option "crew" => crew: id(collection::CREWS),
        option "paring_mm" => paring_mm: millimetres,
        option "waste_percent" => waste_percent: number,
        option "stem_height_m" => stem_height_m: metres,
        option "lift_height_m" => lift_height_m: metres,
        option "wall" => walls: sections,
        option "scope" => scope: reserved("lines of scope, ours or by others"),
    }
}

keys! {
    /// A `[[wall]]`.
    WALL of Wall {
        needed "id" => id: text,
        option "length_m" => length_m: metres,
        option "radius_m" => radius_m: metres,
        option "bend_deg" => bend_deg: number,
        needed "height_m" => height_m: metres,
        option "height_end_m" => height_end_m: metres,
        option "peak_m" => peak_m: metres,
        option "peak_at_m" => peak_at_m: metres,
        needed "thickness_mm" => thickness_mm: millimetres,
        option "thickness_top_mm" => thickness_top_mm: millimetres,
        option "batter" => batter: word(Batter::WORDS),
        option "starts" => starts: text,
        option "ends" => ends: text,
        option "turn_deg" => turn_deg: number,
        option "into_at_m" => into_at_m: metres,
        option "start_turn_deg" => start_turn_deg: number,
        option "start_into_at_m" => start_into_at_m: metres,
        option "system" => system: word(WallSystem::WORDS),
        option "stem_height_m" => stem_height_m: metres,
        option "lift_height_m" => lift_height_m: metres,
        option "opening" => openings: sections,
        option "niche" => niches: sections,
        option "inclusion" => inclusions: sections,
        option "finish" => finish: reserved("plasters and washes"),
    }
}

keys! {
    /// A `[[wall.opening]]`.
    OPENING of Opening {
        needed "id" => id: text,
        needed "shape" => shape: word(OpeningShape::WORDS),
        needed "width_m" => width_m: metres,
        option "height_m" => height_m: metres,
        option "rise_m" => rise_m: metres,
        needed "sill_m" => sill_m: metres,
        needed "at_m" => at_m: metres,
        option "splay_mm" => splay_mm: millimetres,
    }
}

keys! {
    /// A `[[wall.niche]]`.
    NICHE of Niche {
        needed "id" => id: text,
        needed "shape" => shape: word(OpeningShape::WORDS),
        needed "width_m" => width_m: metres,
        option "height_m" => height_m: metres,
        option "rise_m" => rise_m: metres,
        needed "sill_m" => sill_m: metres,
        needed "at_m" => at_m: metres,
        needed "depth_mm" => depth_mm: millimetres,
        needed "face" => face: word(Face::WORDS),
    }
}

keys! {
    /// A `[[wall.inclusion]]`.
    INCLUSION of Inclusion {
        needed "id" => id: text,
        needed "count" => count: count,
        needed "volume_l" => volume_l: number,
    }
}

/// The sections that know a key of this name, as a sentence would call them.
pub(super) fn sections_with(name: &str) -> Vec<&'static str> {
    fn has<T>(keys: &[Key<T>], name: &str) -> bool {
        keys.iter().any(|key| key.name == name)
    }
    [
        (
            has(JOB, name),
            "at the top of the file, before the first [[wall]]",
        ),
        (
            has(WALL, name),
            "in a [[wall]], above its [[wall.opening]]s",
        ),
        (has(OPENING, name), "in a [[wall.opening]]"),
        (has(NICHE, name), "in a [[wall.niche]]"),
        (has(INCLUSION, name), "in a [[wall.inclusion]]"),
    ]
    .into_iter()
    .filter_map(|(is_known, section)| is_known.then_some(section))
    .collect()
}
