//! A value together with what the store knows of it: its version and its times.

use chrono::{DateTime, Utc};

/// A value as it is kept.
#[derive(Debug, Clone, PartialEq)]
pub struct Stored<T> {
    /// The value.
    pub value: T,
    /// One more with every change, from 1: the tag against lost updates. Of a price or a labour rate: the version of
    /// the region's list that brought it in.
    pub version: i64,
    /// When it was made.
    pub created: DateTime<Utc>,
    /// When it last changed; of what never changes, when it was made.
    pub updated: DateTime<Utc>,
}

impl<T> Stored<T> {
    /// The same, with another value in it.
    pub fn map<U>(self, change: impl FnOnce(T) -> U) -> Stored<U> {
        Stored {
            value: change(self.value),
            version: self.version,
            created: self.created,
            updated: self.updated,
        }
    }
}

/// Version and times as a write returns them.
#[derive(Debug, Clone, Copy, sqlx::FromRow)]
pub(crate) struct Stamp {
    pub(crate) version: i64,
    pub(crate) created_at: DateTime<Utc>,
    pub(crate) updated_at: DateTime<Utc>,
}

impl Stamp {
    /// The stamp of what never changes.
    pub(crate) fn once(version: i64, created: DateTime<Utc>) -> Self {
        Self {
            version,
            created_at: created,
            updated_at: created,
        }
    }

    /// Puts it on a value.
    pub(crate) fn on<T>(self, value: T) -> Stored<T> {
        Stored {
            value,
            version: self.version,
            created: self.created_at,
            updated: self.updated_at,
        }
    }
}
