//! Short texts that are written once and shown many times: labels, sources and the names of lines.
//! Copying one costs nothing, so that every line of an estimate can carry its whole basis.

use std::fmt;
use std::ops::Deref;
use std::sync::Arc;

/// A text that is cheap to copy: known at compile time, or made once and shared.
///
/// ```
/// use hod_domain::text::Text;
///
/// let label = Text::from("waste");
/// let source = Text::from(format!("mixes/{}", "house-cob"));
/// assert_eq!(label, "waste");
/// assert_eq!(source.clone().to_string(), "mixes/house-cob");
/// ```
#[derive(Clone)]
pub enum Text {
    /// Known at compile time.
    Fixed(&'static str),
    /// Made once.
    Shared(Arc<str>),
}

impl Deref for Text {
    type Target = str;

    fn deref(&self) -> &str {
        match self {
            Self::Fixed(text) => text,
            Self::Shared(text) => text,
        }
    }
}

impl Default for Text {
    fn default() -> Self {
        Self::Fixed("")
    }
}

impl From<&'static str> for Text {
    fn from(text: &'static str) -> Self {
        Self::Fixed(text)
    }
}

impl From<String> for Text {
    fn from(text: String) -> Self {
        Self::Shared(text.into())
    }
}

impl From<&Self> for Text {
    fn from(text: &Self) -> Self {
        text.clone()
    }
}

/// Equal when they read alike, however they are held.
impl PartialEq for Text {
    fn eq(&self, other: &Self) -> bool {
        **self == **other
    }
}

impl Eq for Text {}

impl PartialEq<&str> for Text {
    fn eq(&self, other: &&str) -> bool {
        **self == **other
    }
}

impl fmt::Debug for Text {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        fmt::Debug::fmt(&**self, f)
    }
}

impl fmt::Display for Text {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.pad(self)
    }
}
