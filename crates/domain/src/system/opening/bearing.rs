//! What lintels bear on: the wall beside their opening, which must be there as far as they reach. How many there are and
//! how long each is stands with what else is set into openings.

use hod_units::{Length, canonical};
use rust_decimal::dec;

use super::Place;
use crate::geometry::{Opening, OpeningMeasure, WallDrawing, WallMeasure};
use crate::takeoff::tally::Tally;

/// From where to where something reaches along a wall.
#[derive(Clone, Copy)]
struct Span {
    from: Length,
    to: Length,
}

impl Span {
    /// An opening where it is widest. `None` on overflow.
    fn of(opening: &Opening, measure: &OpeningMeasure) -> Option<Self> {
        let width = measure.width_outer.max(measure.width_inner);
        let splayed = width.checked_sub(opening.width)?.checked_mul(dec!(0.5))?;
        let from = opening.at.checked_sub(splayed)?;
        Some(Self {
            from,
            to: from.checked_add(width)?,
        })
    }

    fn wider(self, each_end: Length) -> Option<Self> {
        Some(Self {
            from: self.from.checked_sub(each_end)?,
            to: self.to.checked_add(each_end)?,
        })
    }

    fn overlaps(self, other: Self) -> bool {
        self.from < other.to && other.from < self.to
    }
}

/// A fault where the lintel of an opening reaches past its wall, a caution where it bears on another opening. A door of
/// 0.90 m drawn at 0.10 m with bearings of 200 mm begins at -0.10 m.
pub(super) fn check(
    place: &Place,
    bearing: Length,
    drawing: &WallDrawing,
    wall: &WallMeasure,
    tally: &mut Tally,
) {
    let all = || drawing.openings.iter().zip(&wall.openings);
    let own = all().find(|(opening, _)| opening.id == place.id);
    let Some((opening, measure)) = own else {
        return;
    };
    let span = Span::of(opening, measure).and_then(|span| span.wider(bearing));
    let (Some(span), Some(head)) = (span, opening.sill.checked_add(measure.height)) else {
        return;
    };
    if span.from.is_negative() || wall.length < span.to {
        refuse_past_end(place, span, wall.length, tally);
    }
    for (other, measure) in all().filter(|(other, _)| other.id != opening.id) {
        let is_beside = Span::of(other, measure).is_some_and(|other| span.overlaps(other));
        let top = other.sill.checked_add(measure.height);
        let is_as_high = other.sill <= head && top.is_some_and(|top| head <= top);
        if is_beside && is_as_high {
            caution_hollow(place, &other.id, tally);
        }
    }
}

fn refuse_past_end(place: &Place, span: Span, length: Length, tally: &mut Tally) {
    let told = |length: Length| canonical(length.metres());
    tally.refuse(
        format!("{}.bearing_mm", place.field),
        "LINTEL_PAST_WALL_END",
        format!(
            "the lintel of opening {} of {} reaches from {} m to {} m along a wall of {} m, past its end; set the opening \
             further in, or give a shorter bearing",
            place.id,
            place.part,
            told(span.from),
            told(span.to),
            told(length)
        ),
    );
}

fn caution_hollow(place: &Place, other: &str, tally: &mut Tally) {
    tally.caution(
        "LINTEL_BEARS_ON_OPENING",
        place.part.clone(),
        format!(
            "the lintel of opening {} of {} reaches over opening {other}, where there is no wall to bear on; set the openings \
             further apart, or span both with one lintel",
            place.id, place.part
        ),
    );
}
