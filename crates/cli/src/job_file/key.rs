//! The keys of a job file, section by section: what each may hold and which field of the contract it fills.
//! The tables of this folder are the format. A key that is not in them is refused, so that nothing is left out in
//! silence.

/// The keys of a section, each with the field it fills and what it may hold.
macro_rules! keys {
    ($thing:ident, $place:literal $(, called by $called:literal)? $(, one of [$($either:literal),*] or $told:literal)? {
        $($need:ident $name:literal => $field:ident: $kind:ident $(($($detail:expr),*))?,)*
    }) => {
        impl Keyed for $thing {
            const KEYS: &'static [Key<Self>] = &[$(Key {
                name: $name,
                field: stringify!($field),
                is_needed: keys!(@need $need),
                holds: keys!(@holds $kind $field $($($detail),*)?),
            }),*];
            const PLACE: &'static str = $place;
            $(const CALLED_BY: &'static str = $called;)?
            $(const ONE_OF: &'static [&'static str] = &[$($either),*];
            const NONE_OF_THEM: &'static str = $told;)?
        }
    };
    (@need needed) => { true };
    (@need option) => { false };
    (@holds text $field:ident) => { Holds::Text(|thing, text| thing.$field = text) };
    (@holds texts $field:ident) => { Holds::Texts(|thing, texts| thing.$field = texts) };
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
    (@holds sections $field:ident $header:expr) => {
        Holds::Sections($header, |reader, found, thing| thing.$field = reader.all_of(found))
    };
    (@holds section $field:ident $header:expr) => {
        Holds::Section($header, |reader, found, thing| thing.$field = reader.one_of(found))
    };
    (@holds reserved $field:ident $what:expr) => { Holds::Reserved($what) };
}

mod job;
mod wall;

use hod_wire::v1::{
    Build, Buried, Finish, Floor, Ground, Inclusion, Job, Niche, Opening, Oven, StemWall, Trench,
    Wall, WallAbove,
};

use super::number::Measure;
use super::read::{Found, Reader};

/// In more sections than this a key says nothing of where it belongs.
const PLACES_MAX: usize = 4;

/// What a section of the file is read into.
pub(super) trait Keyed: Default + 'static {
    /// All its keys.
    const KEYS: &'static [Key<Self>];
    /// Where its keys stand, as a sentence would say it.
    const PLACE: &'static str;
    /// The key by whose value one of several is called.
    const CALLED_BY: &'static str = "id";
    /// Keys of which it has one at least; the first is named when it has none.
    const ONE_OF: &'static [&'static str] = &[];
    /// What is said when it has none of them.
    const NONE_OF_THEM: &'static str = "";
}

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

/// Reads what stands under a header into its field.
type ReadBelow<T> = for<'text> fn(&mut Reader<'_, 'text>, &Found<'_, 'text>, &mut T);

/// What a key may hold.
pub(super) enum Holds<T> {
    /// Text as it is.
    Text(fn(&mut T, String)),
    /// A list of texts, each as it is.
    Texts(fn(&mut T, Vec<String>)),
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
    /// Sections of their own, any number of them, each under a header with two brackets.
    Sections(&'static str, ReadBelow<T>),
    /// A section of its own, one at the most, under a header with one bracket.
    Section(&'static str, ReadBelow<T>),
    /// A name that the format keeps for something that this version does not measure.
    Reserved(&'static str),
}

impl<T> Holds<T> {
    /// The header under which it stands, with its brackets; none for what stands behind an `=`.
    fn header(&self) -> Option<String> {
        match self {
            Self::Sections(header, _) => Some(format!("[[{header}]]")),
            Self::Section(header, _) => Some(format!("[{header}]")),
            Self::Text(_)
            | Self::Texts(_)
            | Self::Id(..)
            | Self::Number(..)
            | Self::Count(_)
            | Self::Word { .. }
            | Self::Reserved(_) => None,
        }
    }
}

/// Where a key of this name stands, as a sentence would say it; nothing when it is known nowhere, or nearly everywhere.
pub(super) fn places_of(name: &str) -> Vec<String> {
    fn place<T: Keyed>(name: &str) -> Option<String> {
        let key = T::KEYS.iter().find(|key| key.name == name)?;
        Some(match key.holds.header() {
            Some(header) => format!("under a header of its own, {header}"),
            None => T::PLACE.to_owned(),
        })
    }
    let places: Vec<String> = [
        place::<Job>,
        place::<Build>,
        place::<Finish>,
        place::<StemWall>,
        place::<Trench>,
        place::<Floor>,
        place::<Oven>,
        place::<Ground>,
        place::<Wall>,
        place::<Opening>,
        place::<Niche>,
        place::<Inclusion>,
        place::<WallAbove>,
        place::<Buried>,
    ]
    .into_iter()
    .filter_map(|place| place(name))
    .collect();
    if PLACES_MAX < places.len() {
        Vec::new()
    } else {
        places
    }
}
