//! Stretches told and summed: how a line names one, where its faults point, how high and thick it is, and walls that are
//! built alike summed by how thick they are. What they are built of is for the systems.

use hod_units::{Decimal, Length, Rounding, Volume, canonical, round};
use rust_decimal::dec;

use super::{Built, Stretch};
use crate::geometry::WallDrawing;
use crate::takeoff::tally::Tally;
use crate::text::Text;

/// Heights in the name of a part are told to a centimetre, thicknesses in a message to a millimetre.
const METRE_PLACES: u32 = 2;

impl Stretch<'_> {
    /// How a line names it: `wall south`, and with its levels where a wall is built of several things.
    pub(super) fn part(&self) -> Text {
        let id = &self.drawing.id;
        if self.wall.zones.len() < 2 {
            return Text::from(["wall ", id.as_str()].concat());
        }
        let [from, to] = [self.zone.from, self.zone.to].map(|level| {
            canonical(round(
                level.metres(),
                METRE_PLACES,
                Rounding::HalfAwayFromZero,
            ))
        });
        Text::from(format!("wall {id}, {from} to {to} m"))
    }

    /// The path of a field of its wall, for a fault: `walls[3].thickness_mm`.
    pub(super) fn path(&self, field: &str, tally: &Tally) -> String {
        let is_it = |wall: &WallDrawing| wall.id == self.drawing.id;
        match tally.job.walls.iter().position(is_it) {
            Some(at) => format!("walls[{at}].{field}"),
            None => field.to_owned(),
        }
    }

    /// From its lower level to its upper, at the highest. `None` on overflow.
    pub(super) fn height(&self) -> Option<Length> {
        self.zone.to.checked_sub(self.zone.from)
    }

    /// Half-way up. `None` on overflow.
    pub(super) fn thickness(&self) -> Option<Length> {
        let both = self
            .zone
            .thickness_from
            .checked_add(self.zone.thickness_to)?;
        both.checked_mul(dec!(0.5))
    }

    /// Where it is thinnest.
    pub(super) fn thickness_min(&self) -> Length {
        self.zone.thickness_from.min(self.zone.thickness_to)
    }

    /// Where it is thickest.
    pub(super) fn thickness_max(&self) -> Length {
        self.zone.thickness_from.max(self.zone.thickness_to)
    }
}

impl Built<'_> {
    /// Finished volume by thickness half-way up, in the order of the walls: what is laid piece by piece goes by the face,
    /// which is volume over thickness. `None` on overflow.
    pub(super) fn by_thickness(&self) -> Option<Vec<(Length, Volume)>> {
        let mut sums: Vec<(Length, Volume)> = Vec::new();
        for stretch in &self.stretches {
            let (thickness, net) = (stretch.thickness()?, stretch.zone.net);
            match sums.iter_mut().find(|(of, _)| *of == thickness) {
                Some((_, sum)) => *sum = sum.checked_add(net)?,
                None => sums.push((thickness, net)),
            }
        }
        Some(sums)
    }
}

/// A length in millimetres for a message, to a tenth.
pub(super) fn mm(length: Length) -> String {
    canonical(to_tenth(length.mm()))
}

fn to_tenth(value: Decimal) -> Decimal {
    round(value, 1, Rounding::HalfAwayFromZero)
}
