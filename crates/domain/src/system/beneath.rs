//! What lies beneath walls, a stem wall or a trench: drawn as plumb walls on the same centre lines, corner by corner and
//! junction by junction, and measured by the same geometry.

use std::collections::HashSet;

use hod_units::{Area, Length, Volume};
use rust_decimal::dec;

use crate::fault::Fault;
use crate::geometry::{self, End, Opening, OpeningShape, Profile, WallDrawing, WallMeasure, Zone};
use crate::text::Text;

/// A strip beneath a wall.
pub(super) struct Strip<'a> {
    /// The wall.
    pub wall: &'a WallDrawing,
    /// As the wall was measured.
    pub above: &'a WallMeasure,
    /// Across.
    pub thickness: Length,
    /// Up or down.
    pub height: Length,
    /// Whether openings whose sills go down below the wall cut it.
    pub is_cut: bool,
}

/// A strip, measured.
pub(super) struct StripMeasure {
    /// With nothing cut out.
    pub gross: Volume,
    /// What openings cut out.
    pub cut: Volume,
    /// The rest.
    pub net: Volume,
    /// Both faces, less what is cut.
    pub faces: [Area; 2],
    /// At its foot.
    pub plan_area: Area,
    /// Mean length between corners: with thickness and height it comes to the gross volume.
    pub mean_length: Length,
}

/// Measures strips; what does not fit is told of `field`, in the words of the wall that it lies under.
pub(super) fn measure(
    strips: &[Strip],
    field: &str,
    what: &str,
) -> Result<Vec<StripMeasure>, Vec<Fault>> {
    let ids: HashSet<&str> = strips.iter().map(|strip| strip.wall.id.as_str()).collect();
    let drawings: Vec<WallDrawing> = strips.iter().map(|strip| strip.drawing(&ids)).collect();
    if drawings.is_empty() {
        return Ok(Vec::new());
    }
    let told = |fault: &geometry::Fault| {
        let told = Fault::from(fault);
        let message = format!("{what} does not fit under the walls: {}", told.message);
        Fault::of_field(field, told.reason, message)
    };
    let measures = geometry::measure(&drawings)
        .map_err(|faults| faults.iter().map(told).collect::<Vec<_>>())?;
    Ok(measures.iter().filter_map(StripMeasure::of).collect())
}

impl Strip<'_> {
    /// How a line names what stands on it.
    pub(super) fn part(&self) -> Text {
        Text::from(["wall ", self.wall.id.as_str()].concat())
    }

    /// An opening that cuts it is drawn whole, with so much of a wall over the strip as it reaches into; that part is a
    /// zone of its own and is left out again.
    fn drawing(&self, ids: &HashSet<&str>) -> WallDrawing {
        let openings = self.openings();
        let top = openings.iter().map(|(_, top)| *top).max();
        // A metre over the highest head, so that none stands at the top.
        let over = top.and_then(|top| top.checked_add(Length::from_metres(dec!(1))));
        let zones = over.map(|_| Zone {
            from: self.height,
            lift_height: Some(LIFT),
            paring: Length::ZERO,
        });
        WallDrawing {
            id: self.wall.id.clone(),
            path: self.wall.path,
            profile: Profile::Level {
                height: over.unwrap_or(self.height),
            },
            thickness: self.thickness,
            taper: None,
            start: end_among(&self.wall.start, ids),
            end: end_among(&self.wall.end, ids),
            turn_degrees: self.wall.turn_degrees,
            openings: openings.into_iter().map(|(opening, _)| opening).collect(),
            niches: Vec::new(),
            inclusions: Vec::new(),
            zones: zones.into_iter().collect(),
            lift_height: Some(LIFT),
            stem_height: Length::ZERO,
            paring: Length::ZERO,
        }
    }

    /// Those that cut it, their sills told from its foot; each with its top.
    fn openings(&self) -> Vec<(Opening, Length)> {
        let drawn = self.wall.openings.iter().zip(&self.above.openings);
        let cutting = drawn.filter(|(opening, _)| self.is_cut && opening.sill.is_negative());
        cutting
            .filter_map(|(opening, measure)| {
                let sill = opening.sill.checked_add(self.height)?;
                let top = sill.checked_add(measure.height)?;
                let opening = Opening {
                    sill,
                    ..opening.clone()
                };
                Some((opening, top))
            })
            .collect()
    }

    /// What openings take off its top, seen from above: `mean of both widths x thickness` each. A round opening narrows
    /// towards it and is taken for none. `None` on overflow.
    pub(super) fn plan_cut(&self) -> Option<Area> {
        let drawn = self.wall.openings.iter().zip(&self.above.openings);
        let cutting = drawn.filter(|(opening, _)| {
            self.is_cut && opening.sill.is_negative() && opening.shape != OpeningShape::Circle
        });
        let areas = cutting.map(|(_, measure)| {
            let both = measure.width_outer.checked_add(measure.width_inner)?;
            both.checked_mul(dec!(0.5))?.checked_area(self.thickness)
        });
        Area::checked_sum(areas.collect::<Option<Vec<_>>>()?)
    }
}

/// Lifts are of no account here; the highest that there is makes the fewest.
const LIFT: Length = Length::from_metres(dec!(2));

/// A wall's end, free where the other wall has nothing beneath it: as of a wall of no height, it is then cut square.
fn end_among(end: &End, ids: &HashSet<&str>) -> End {
    match end {
        End::Corner { wall } | End::Into { wall, .. } if !ids.contains(wall.as_str()) => End::Free,
        end => end.clone(),
    }
}

impl StripMeasure {
    /// Of the lowest zone. `None` of a measure without zones, which there is not.
    fn of(measure: &WallMeasure) -> Option<Self> {
        let zone = measure.zones.first()?;
        Some(Self {
            gross: zone.gross,
            cut: zone.displaced,
            net: zone.net,
            faces: [zone.inner_face, zone.outer_face],
            plan_area: measure.plan_area,
            mean_length: zone.mean_length,
        })
    }
}
