//! What a jar cannot tell: how far its clay and its class may be out, by how it was read and when it was marked.
//!
//! Two things are reckoned with: a millimetre of reading at each boundary between layers, and grains that had not yet
//! settled, or had settled already, when a layer was marked. That layers are volumes of unequal porosity is not: no
//! figure for it was found, and it is one more reason to take a jar as a screening figure.

use hod_units::{Decimal, Length, Rounding, Share, round};
use rust_decimal::dec;

use super::decimal::logarithm;
use super::settling::{JarProtocol, SAND_FROM, SILT_FROM};
use super::{SoilEvidence, SoilTest, Texture};
use crate::unit::round_up;

/// How far a boundary between two layers may be read wrong (common practice, no source).
const READING_MM: Decimal = dec!(1);

/// The coarsest sand, 2 mm (USDA; from memory).
const SAND_TO_MM: Decimal = dec!(2);

/// The finest clay that is reckoned with, 0.0002 mm: an assumption, no source.
const CLAY_FROM_MM: Decimal = dec!(0.0002);

/// How a jar was read when nobody says: sand after 40 s and silt after half an hour in 10 cm of water at 20 degrees, the
/// earliest marks of the published instructions that were found (read at
/// `http://hotcoffee.org/Growinfo/growfaq/1135.htm`), so that an untold protocol never looks better than a told one.
const UNTOLD: JarProtocol = JarProtocol {
    sand_mark_s: dec!(40),
    silt_mark_min: dec!(30),
    clay_mark_h: None,
    water_height: Length::from_metres(dec!(0.1)),
    water_celsius: dec!(20),
};

/// Percents are told to this many places, the low ones cut down and the high ones up.
const PERCENT_PLACES: u32 = 1;

/// A boundary is tried at so many places between its lowest and its highest.
const TRIES: u32 = 24;

/// How far the shares of a jar may be out.
#[derive(Debug, Clone, PartialEq)]
pub struct Uncertainty {
    /// The clay may be as little as this.
    pub clay_low: Share,
    /// The clay may be as much as this.
    pub clay_high: Share,
    /// The other classes that lie within that, from the coarsest to the finest.
    pub textures_within: Vec<Texture>,
}

/// Where a boundary between two layers may really lie, mm above the bottom of the jar.
#[derive(Debug, Clone, Copy)]
struct Span {
    low: Decimal,
    high: Decimal,
}

impl SoilTest {
    /// How far its clay and its class may be out; `None` for all but jars.
    ///
    /// The grain that had just fallen when a layer was marked is not the one at which the layers should part. Between the
    /// two grains lies soil that was booked to the wrong layer. How much is assumed: that each kind of grain is spread
    /// evenly over the logarithm of its size (sand 0.05 to 2 mm, silt 0.002 to 0.05, clay 0.0002 to 0.002). The whole of
    /// it counts as doubtful. With silt marked after 30 minutes in 10 cm at 20 degrees the grain is 0.0079 mm:
    /// ln(0.0079/0.002) / ln(0.05/0.002) = 43 % of the silt had not settled, three quarters as much as was read as silt.
    pub fn uncertainty(&self) -> Option<Uncertainty> {
        let SoilEvidence::Jar { sand, silt, clay } = self.evidence else {
            return None;
        };
        let class = self.texture()?;
        let layers = [sand, silt, clay].map(Length::mm);
        let [sand_top, silt_top, top] = spans(layers, self.protocol.as_ref().unwrap_or(&UNTOLD))?;
        let (clay_low, clay_high) = (
            share_above(silt_top.high, top.low)?,
            share_above(silt_top.low, top.high)?,
        );
        let within = classes([sand_top, silt_top, top])?;
        Some(Uncertainty {
            clay_low: Share::from_percent(round(clay_low, PERCENT_PLACES, Rounding::Down)),
            clay_high: Share::from_percent(round_up(clay_high, PERCENT_PLACES)?),
            textures_within: within.into_iter().filter(|other| *other != class).collect(),
        })
    }
}

/// The tops of sand, silt and clay.
fn spans([sand, silt, clay]: [Decimal; 3], protocol: &JarProtocol) -> Option<[Span; 3]> {
    let sand_mark = protocol.sand_mark_grain()?.mm();
    let silt_mark = protocol.silt_mark_grain()?.mm();
    let (sand_from, silt_from) = (SAND_FROM.mm(), SILT_FROM.mm());
    let sand_top = sand;
    let silt_top = sand.checked_add(silt)?;
    let top = silt_top.checked_add(clay)?;
    let most_fines = silt.checked_add(clay)?;
    Some(
        [
            Span {
                // Silt that had fallen before the sand was marked was read as sand.
                low: sand_top.checked_sub(beyond(
                    silt,
                    [sand_mark, sand_from],
                    [silt_from, sand_from],
                    sand,
                )?)?,
                // Sand that had not was read as silt.
                high: sand_top.checked_add(beyond(
                    sand,
                    [sand_from, sand_mark],
                    [sand_from, SAND_TO_MM],
                    most_fines,
                )?)?,
            },
            Span {
                // Clay that had fallen before the silt was marked was read as silt.
                low: silt_top.checked_sub(beyond(
                    clay,
                    [silt_mark, silt_from],
                    [CLAY_FROM_MM, silt_from],
                    silt,
                )?)?,
                // Silt that had not was read as clay.
                high: silt_top.checked_add(beyond(
                    silt,
                    [silt_from, silt_mark],
                    [silt_from, sand_from],
                    clay,
                )?)?,
            },
            Span {
                low: top,
                high: top,
            },
        ]
        .map(Span::misread),
    )
}

impl Span {
    /// With a millimetre of reading on either side.
    fn misread(self) -> Self {
        Self {
            low: self.low.saturating_sub(READING_MM).max(Decimal::ZERO),
            high: self.high.saturating_add(READING_MM),
        }
    }

    /// Places from its lowest to its highest.
    fn places(self) -> Option<Vec<Decimal>> {
        let step = self.high.checked_sub(self.low)?.checked_div(TRIES.into())?;
        let place = |at: u32| self.low.checked_add(step.checked_mul(at.into())?);
        (0..=TRIES).map(place).collect()
    }
}

/// How much of a kind of grain was booked to the neighbouring layer, mm of settled height, at most `most`: of all that
/// kind, what lies between the two sizes of `missed` is not in `read`, so it is `read x part / (1 - part)`.
fn beyond(
    read: Decimal,
    missed: [Decimal; 2],
    kind: [Decimal; 2],
    most: Decimal,
) -> Option<Decimal> {
    let [from, to] = missed.map(|size| size.clamp(kind[0], kind[1]));
    if to <= from {
        return Some(Decimal::ZERO);
    }
    let span = |from: Decimal, to: Decimal| logarithm(to.checked_div(from)?);
    let part = span(from, to)?.checked_div(span(kind[0], kind[1])?)?;
    let rest = Decimal::ONE.checked_sub(part)?;
    if rest <= Decimal::ZERO {
        return Some(most);
    }
    Some(read.checked_mul(part)?.checked_div(rest)?.min(most))
}

/// What stands above a boundary, percent of the whole height, 0 to 100.
fn share_above(boundary: Decimal, top: Decimal) -> Option<Decimal> {
    if top <= Decimal::ZERO {
        return Some(Decimal::ZERO);
    }
    let above = top.checked_sub(boundary)?.max(Decimal::ZERO);
    above.checked_mul(dec!(100))?.checked_div(top)
}

/// Every class that some place of the three boundaries gives, from the coarsest to the finest.
fn classes([sand_top, silt_top, top]: [Span; 3]) -> Option<Vec<Texture>> {
    let (sand_tops, silt_tops) = (sand_top.places()?, silt_top.places()?);
    let mut found = Vec::new();
    for top in [top.low, top.high] {
        let above = |tops: &[Decimal]| -> Option<Vec<Decimal>> {
            tops.iter().map(|place| share_above(*place, top)).collect()
        };
        let (fines, clays) = (above(&sand_tops)?, above(&silt_tops)?);
        for fines in fines {
            for clay in clays.iter().filter(|clay| **clay <= fines) {
                let class = Texture::at(fines.saturating_sub(*clay), *clay);
                if !found.contains(&class) {
                    found.push(class);
                }
            }
        }
    }
    found.sort();
    Some(found)
}
