//! How a wall's gross volume comes about, in figures that anybody can work again.
//! Puts nothing into words; whoever shows a basis does.

use hod_units::{Area, Length, Volume};

use super::figure::working_number;
use super::solid::{Law, Solid};

/// How a wall's gross volume comes about. [`Working::volume`] works it again and is within 1e-6 m3 of the gross.
///
/// ```
/// use hod_domain::geometry::Working;
/// use hod_units::{Length, parse_decimal};
///
/// let metres = |text| parse_decimal(text).map(Length::from_metres);
/// let working = Working::Product {
///     length: metres("6.20")?,
///     is_mitred: false,
///     mean_height: metres("2.40")?,
///     mean_thickness: metres("0.425")?,
/// };
/// assert_eq!(working.volume().map(|volume| volume.to_string()), Some("6.324 m3".to_owned()));
/// # Ok::<(), hod_units::NumberFault>(())
/// ```
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
}

/// How near a product must come to the gross, as a share of it, to explain it.
const PRODUCT_TOLERANCE: f64 = 1e-10;

/// The working of a wall whose gross volume is known.
///
/// Length x mean height x thickness at the centroid of the elevation is exact for every wall whose length is the same
/// at each height: a void's or a wall's volume is its elevation area times the thickness at its centroid height. The
/// length drawn is tried, and then the mean length of the base between its cuts; only a product that does come to the
/// gross is told as its working.
pub(super) fn of(solid: &Solid, gross: f64, plan_area: f64, breaks: &[f64]) -> Option<Working> {
    let (area, centroid) = solid.top.elevation();
    let drawn = solid.centre.length;
    let thickness = solid.faces.thickness();
    let (mean_height, mean_thickness) = (area / drawn, thickness.at(centroid));
    let base = plan_area / thickness.base;
    let explains = |length: f64| {
        let product = length * mean_height * mean_thickness;
        (product - gross).abs() <= PRODUCT_TOLERANCE * gross
    };
    let Some(length) = [drawn, base].into_iter().find(|length| explains(*length)) else {
        return slices(solid, breaks);
    };
    let told = |value: f64| working_number(value).map(Length::from_metres);
    Some(Working::Product {
        length: told(length)?,
        is_mitred: length != drawn,
        mean_height: told(mean_height)?,
        mean_thickness: told(mean_thickness)?,
    })
}

fn slices(solid: &Solid, breaks: &[f64]) -> Option<Working> {
    let slices = breaks.windows(2).map(|pair| slice(solid, pair[0], pair[1]));
    slices.collect::<Option<Vec<_>>>().map(Working::Slices)
}

fn slice(solid: &Solid, from: f64, to: f64) -> Option<Slice> {
    let length = |value: f64| working_number(value).map(Length::from_metres);
    let area = |value: f64| working_number(value).map(Area::from_square_metres);
    let law = solid.law(from, to);
    let sections = match &law {
        Law::Even(cubic) => Some(Sections {
            bottom: area(cubic.at(from)[0])?,
            middle: area(cubic.at(0.5 * (from + to))[0])?,
            top: area(cubic.at(to)[0])?,
        }),
        Law::Smooth(_) | Law::Hard(_) | Law::Shared(..) => None,
    };
    Some(Slice {
        from: length(from)?,
        to: length(to)?,
        mean_area: area(law.between(from, to)[0] / (to - from))?,
        sections,
    })
}
