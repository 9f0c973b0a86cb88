//! The keys of a job file, and of the files beside it, section by section: what each may hold and which field of the
//! contract it fills. The tables of this folder are the format. A key that is not in them is refused, so that nothing
//! is left out in silence.

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
    (@holds texts $field:ident $list:expr) => { Holds::Texts($list, |thing, texts| thing.$field = texts) };
    (@holds date $field:ident) => { Holds::Date(|thing, date| thing.$field = date) };
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
    (@holds words $field:ident $words:expr) => {
        Holds::Words {
            accepted: || $words.iter().map(|(word, _)| *word).collect(),
            add: |thing, text| {
                let (_, value) = $words.iter().find(|(word, _)| *word == text)?;
                thing.$field.push(i32::from(*value));
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
}

mod commerce;
mod job;
mod quote;
mod wall;

use hod_wire::v1::{
    Allowance, Build, BuildUp, Buried, Cost, Finish, Floor, Ground, Inclusion, IssueQuoteRequest,
    Job, Niche, Opening, Oven, ScopeLine, SiteTime, Source, StageTerm, StemWall, Tax, Trench,
    Variation, VariationLine, Wall, WallAbove,
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

/// What the texts of a list are, for what is said of one that is none.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum ListOf {
    /// Coats or layers, `MIX:MM`.
    Coats,
    /// Sentences and names, as they are.
    Sentences,
}

/// Reads what stands under a header into its field.
type ReadBelow<T> = for<'text> fn(&mut Reader<'_, 'text>, &Found<'_, 'text>, &mut T);

/// What a key may hold.
pub(super) enum Holds<T> {
    /// Text as it is.
    Text(fn(&mut T, String)),
    /// A list of texts, each as it is.
    Texts(ListOf, fn(&mut T, Vec<String>)),
    /// A day, as it is written.
    Date(fn(&mut T, String)),
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
    /// A list of a few words; `add` gives nothing when one is none of them.
    Words {
        accepted: fn() -> Vec<&'static str>,
        add: fn(&mut T, &str) -> Option<()>,
    },
    /// Sections of their own, any number of them, each under a header with two brackets.
    Sections(&'static str, ReadBelow<T>),
    /// A section of its own, one at the most, under a header with one bracket.
    Section(&'static str, ReadBelow<T>),
}

impl<T> Holds<T> {
    /// The header under which it stands, with its brackets; none for what stands behind an `=`.
    fn header(&self) -> Option<String> {
        match self {
            Self::Sections(header, _) => Some(format!("[[{header}]]")),
            Self::Section(header, _) => Some(format!("[{header}]")),
            Self::Text(_)
            | Self::Texts(..)
            | Self::Date(_)
            | Self::Id(..)
            | Self::Number(..)
            | Self::Count(_)
            | Self::Word { .. }
            | Self::Words { .. } => None,
        }
    }
}

/// A file as a whole.
pub(super) trait Whole: Keyed {
    /// What such a file is called.
    const CALLED: &'static str;
    /// Each section of such a file, telling where in it a key of a name stands.
    const PLACES: &'static [fn(&str) -> Option<String>];
}

impl Whole for Job {
    const CALLED: &'static str = "a job file";
    const PLACES: &'static [fn(&str) -> Option<String>] = &[
        place::<Self>,
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
        place::<ScopeLine>,
        place::<Cost>,
        place::<SiteTime>,
        place::<Source>,
        place::<BuildUp>,
        place::<Tax>,
        place::<Allowance>,
    ];
}

impl Whole for IssueQuoteRequest {
    const CALLED: &'static str = "an offer file";
    const PLACES: &'static [fn(&str) -> Option<String>] = &[place::<Self>, place::<StageTerm>];
}

impl Whole for Variation {
    const CALLED: &'static str = "a variation file";
    const PLACES: &'static [fn(&str) -> Option<String>] = &[place::<Self>, place::<VariationLine>];
}

fn place<T: Keyed>(name: &str) -> Option<String> {
    let key = T::KEYS.iter().find(|key| key.name == name)?;
    Some(match key.holds.header() {
        Some(header) => format!("under a header of its own, {header}"),
        None => T::PLACE.to_owned(),
    })
}

/// Where a key of this name stands, as a sentence would say it; nothing when it is known nowhere, or nearly everywhere.
pub(super) fn places_of(name: &str, sections: &[fn(&str) -> Option<String>]) -> Vec<String> {
    let places: Vec<String> = sections.iter().filter_map(|place| place(name)).collect();
    if PLACES_MAX < places.len() {
        Vec::new()
    } else {
        places
    }
}
