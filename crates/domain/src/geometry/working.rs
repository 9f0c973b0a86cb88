//! How a wall's gross volume comes about, in figures that anybody can work again.
//! Puts nothing into words; whoever shows a basis does.

use hod_units::{Area, Decimal, Length, Volume};

/// How a wall's gross volume comes about. [`Working::volume`] works it again and is within 1e-6 m3 of the gross.
#[derive(Debug, Clone, PartialEq)]
pub enum Working {
    /// One product, for a wall whose length between its cuts is the same at every height or evens out:
    /// `6.20 m x 2.40 m x mean 0.425 m`.
    Product {
        /// Mean length in plan, between its cuts.
        length: Length,
        /// Whether that is another length than the one drawn, because of its corners.
        is_mitred: bool,
        /// Mean height over that length.
        mean_height: Length,
        /// Thickness at the height of the elevation's centroid.
        mean_thickness: Length,
    },
    /// Slices between levels, for a wall that no single product explains. Their volumes sum to the gross.
    Slices(Vec<Slice>),
}

/// A level slice of a wall.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Slice {
    /// Its lower level.
    pub from: Length,
    /// Its upper level.
    pub to: Length,
    /// Mean plan area between the two levels.
    pub mean_area: Area,
    /// Plan areas from which the mean follows, where it does.
    pub sections: Option<Sections>,
}

/// Three plan areas of a slice, whose mean is `(bottom + 4 middle + top) / 6`: the prismoidal formula, exact where the
/// area changes at most as the cube of the height (<https://mathworld.wolfram.com/Prismatoid.html>).
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Sections {
    /// At its lower level.
    pub bottom: Area,
    /// Half-way.
    pub middle: Area,
    /// At its upper level.
    pub top: Area,
}

impl Slice {
    /// Height times mean plan area. `None` on overflow, which a measured wall cannot come to.
    pub fn volume(&self) -> Option<Volume> {
        let height = self.to.checked_sub(self.from)?;
        self.mean_area.checked_volume(height)
    }
}

impl Working {
    /// The gross volume, worked again from the figures here. `None` on overflow, which a measured wall cannot come to.
    pub fn volume(&self) -> Option<Volume> {
        match self {
            Self::Product {
                length,
                mean_height,
                mean_thickness,
                ..
            } => {
                let elevation = length.metres().checked_mul(mean_height.metres())?;
                let volume = elevation.checked_mul(mean_thickness.metres())?;
                Some(Volume::from_cubic_metres(volume))
            }
            Self::Slices(slices) => slices
                .iter()
                .try_fold(Volume::ZERO, |sum, slice| sum.checked_add(slice.volume()?)),
        }
    }

    /// The mean length in plan, when one product explains the wall.
    pub fn mean_length(&self) -> Option<Decimal> {
        match self {
            Self::Product { length, .. } => Some(length.metres()),
            Self::Slices(_) => None,
        }
    }
}
