//! Openings measured one by one: their sizes, what each takes out of its wall, and its reveals part by part.
//! Openings as sums over a wall's lifts are in `bands`.

use hod_units::Length;

use super::displaced::Void;
use super::drawing::{Opening, WallDrawing};
use super::elevation::Head;
use super::figure;
use super::measured::{CutStem, OpeningMeasure};
use super::quadrature::less;
use super::reveal::Reveal;
use super::section::Faces;

/// The openings of a wall. `None` when a figure is not finite.
pub(super) fn openings(
    wall: &WallDrawing,
    voids: &[Void],
    reveals: &[Reveal],
    faces: &Faces,
) -> Option<Vec<OpeningMeasure>> {
    let mut openings = Vec::with_capacity(wall.openings.len());
    for ((opening, void), reveal) in wall.openings.iter().zip(voids).zip(reveals) {
        openings.push(measured(opening, void, reveal, faces)?);
    }
    Some(openings)
}

fn measured(
    opening: &Opening,
    void: &Void,
    reveal: &Reveal,
    faces: &Faces,
) -> Option<OpeningMeasure> {
    let e = &void.elevation;
    let above = less(e.below(e.top), e.below(e.bottom()));
    let [earth, ..] = void.taken(faces).of(above);
    let widening = 1.0 + void.splay() / e.width;
    Some(OpeningMeasure {
        width_outer: opening.width,
        width_inner: inner_width(opening)?,
        height: figure::length(e.top - e.sill)?,
        area_outer: figure::area(above[0])?,
        area_inner: figure::area(above[0] * widening)?,
        volume: figure::volume(earth)?,
        jamb: figure::area(reveal.jamb)?,
        head: figure::area(reveal.head)?,
        sill: figure::area(reveal.sill)?,
        is_arched: e.head != Head::Level,
        thickness_at_head: figure::length(faces.thickness().at(e.top))?,
        cuts_stem: cut_stem(opening)?,
        is_at_base: !opening.sill.is_positive(),
    })
}

fn inner_width(opening: &Opening) -> Option<Length> {
    if opening.splay.is_zero() {
        Some(opening.width)
    } else {
        opening.width.checked_add(opening.splay)
    }
}

/// What it cuts out of the stem wall; nothing where its sill is at or above 0.
fn cut_stem(opening: &Opening) -> Option<Option<CutStem>> {
    if !opening.sill.is_negative() {
        return Some(None);
    }
    let depth = Length::ZERO.checked_sub(opening.sill)?;
    Some(Some(CutStem {
        width: opening.width,
        depth,
    }))
}
