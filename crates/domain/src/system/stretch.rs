//! Stretches told and summed: how a line names one, where its faults point, how high and thick it is, and the faces over
//! which pieces are counted. What they are built of is for the systems.

use hod_units::{Area, Length, Rounding, Volume, canonical, round};
use rust_decimal::dec;

use super::{Built, Stretch};
use crate::geometry::WallDrawing;
use crate::takeoff::tally::Tally;
use crate::text::Text;

/// Heights in the name of a part are told to a centimetre.
const METRE_PLACES: u32 = 2;

/// The face that pieces are counted over is cut to this, m2.
const FACE_PLACES: u32 = 4;

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

    /// The face that its pieces are counted over. `None` on overflow.
    pub(super) fn piece_face(&self) -> Option<Area> {
        face(self.zone.net, self.thickness()?)
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
    /// Faces by thickness half-way up, in the order of the walls. `None` on overflow.
    pub(super) fn by_thickness(&self) -> Option<Vec<(Length, Area)>> {
        let mut sums: Vec<(Length, Volume)> = Vec::new();
        for stretch in &self.stretches {
            let (thickness, net) = (stretch.thickness()?, stretch.zone.net);
            match sums.iter_mut().find(|(of, _)| *of == thickness) {
                Some((_, sum)) => *sum = sum.checked_add(net)?,
                None => sums.push((thickness, net)),
            }
        }
        let face = |(thickness, net)| Some((thickness, face(net, thickness)?));
        sums.into_iter().map(face).collect()
    }
}

/// The face that pieces are counted over: `A = V / t`, the finished volume over the thickness half-way up, so that what a
/// corner shares is counted once. Volumes are told to 1e-6 m3, and a wall that is drawn in whole pieces must not take one
/// more for the last digit of that: the face is cut to 0.0001 m2, a four-hundredth of an adobe. `None` on overflow.
///
/// 2.831685 m3 over 0.254 m are 11.148366 m2, counted as 11.1483.
pub(super) fn face(net: Volume, thickness: Length) -> Option<Area> {
    let exact = net.cubic_metres().checked_div(thickness.metres())?;
    Some(Area::from_square_metres(round(
        exact,
        FACE_PLACES,
        Rounding::Down,
    )))
}

/// A length in millimetres for a message, to a tenth.
pub(super) fn mm(length: Length) -> String {
    canonical(round(length.mm(), 1, Rounding::HalfAwayFromZero))
}

/// Parts by what is said of them, in the order in which each is first said.
pub(super) fn alike<K: PartialEq>(said: impl Iterator<Item = (K, Text)>) -> Vec<(K, Vec<Text>)> {
    let mut groups: Vec<(K, Vec<Text>)> = Vec::new();
    for (key, part) in said {
        match groups.iter_mut().find(|(of, _)| *of == key) {
            Some((_, parts)) => parts.push(part),
            None => groups.push((key, vec![part])),
        }
    }
    groups
}

/// `wall south, wall east and wall north`.
pub(super) fn listed(parts: &[Text]) -> String {
    let words: Vec<&str> = parts.iter().map(|part| &**part).collect();
    match words.as_slice() {
        [many @ .., last] if !many.is_empty() => format!("{} and {last}", many.join(", ")),
        few => few.concat(),
    }
}
