//! The sizes of one wall by itself: none zero, negative or absurd, and a shape that can be.
//! What its openings must keep clear of is in `clearance`; what its neighbours do to it in `fit`.

use std::collections::HashMap;

use hod_units::{Decimal, Length};

use super::drawing::{Inclusion, OpeningShape, Path, Profile, WallDrawing};
use super::fault::{Faults, Limits, Place, Rule};
use super::figure::{length as length_of, metres, number, told};
use super::path::CentreLine;

/// What a size may be: what a wall of earth can have, with room to spare (judgement, no source). The limits keep a slip
/// of unit out, and every figure within what floating point holds to 1e-9.
struct Range {
    /// In metres, or in the unit itself.
    least: f64,
    most: f64,
    /// In which the field is told.
    unit: &'static str,
    /// Units in a metre.
    per_metre: f64,
    /// Whether it may be zero.
    or_zero: bool,
}

impl Range {
    const fn metres(least: f64, most: f64) -> Self {
        Self {
            least,
            most,
            unit: "m",
            per_metre: 1.0,
            or_zero: false,
        }
    }

    const fn millimetres(least: f64, most: f64) -> Self {
        Self {
            least,
            most,
            unit: "mm",
            per_metre: 1000.0,
            or_zero: false,
        }
    }

    const fn plain(least: f64, most: f64, unit: &'static str) -> Self {
        Self {
            least,
            most,
            unit,
            per_metre: 1.0,
            or_zero: false,
        }
    }

    const fn or_zero(self) -> Self {
        Self {
            or_zero: true,
            ..self
        }
    }

    fn has(&self, size: f64) -> bool {
        self.least <= size && size <= self.most
    }

    /// The rule that a size out of range breaks.
    fn broken_rule(&self, found: Decimal) -> Rule {
        let unit = self.unit;
        if found < Decimal::ZERO && self.or_zero {
            return Rule::Negative { found, unit };
        }
        if found <= Decimal::ZERO {
            return Rule::NotPositive { found, unit };
        }
        Rule::AbsurdSize(self.limits(found))
    }

    fn limits(&self, found: Decimal) -> Limits {
        let limit = |limit: f64| told(limit * self.per_metre, 3);
        Limits {
            found,
            least: limit(self.least),
            most: limit(self.most),
            unit: self.unit,
        }
    }
}

const LENGTH: Range = Range::metres(0.01, 1000.0);
const RADIUS: Range = Range::metres(0.01, 1000.0);
const BEND: Range = Range::plain(0.01, 360.0, "degrees");
const HEIGHT: Range = Range::metres(0.05, 30.0);
const THICKNESS: Range = Range::millimetres(0.02, 5.0);
const LIFT: Range = Range::metres(0.05, 2.0);
const WIDTH: Range = Range::metres(0.05, 20.0);
/// Under an arch the sides may be nothing: it then springs from the sill.
const SPRINGING: Range = Range::metres(0.0, 20.0).or_zero();
const RISE: Range = Range::metres(0.001, 10.0);
const STEM: Range = Range::metres(0.0, 5.0).or_zero();
const PARING: Range = Range::millimetres(0.0, 0.2).or_zero();
const SPLAY: Range = Range::millimetres(0.0, 5.0).or_zero();
const DEPTH: Range = Range::millimetres(0.001, 5.0);
const COUNT: Range = Range::plain(1.0, 100_000.0, "");
const INCLUSION: Range = Range::plain(0.001, 10_000.0, "litres");

/// One wall under examination.
struct Examined<'f, 'd> {
    index: usize,
    faults: &'f mut Faults<'d>,
}

impl Examined<'_, '_> {
    fn add(&mut self, place: Place, field: &'static str, rule: Rule) {
        self.faults.add(self.index, place, field, rule);
    }

    /// Whether a length may be; adds the fault if not.
    fn length(&mut self, place: Place, field: &'static str, length: Length, range: &Range) -> bool {
        let is_sound = range.has(metres(length));
        if !is_sound {
            let found = if range.unit == "mm" {
                length.mm()
            } else {
                length.metres()
            };
            self.add(place, field, range.broken_rule(found));
        }
        is_sound
    }

    /// Whether a number may be; adds the fault if not.
    fn number(&mut self, place: Place, field: &'static str, found: Decimal, range: &Range) -> bool {
        let is_sound = range.has(number(found));
        if !is_sound {
            self.add(place, field, range.broken_rule(found));
        }
        is_sound
    }
}

/// Checks the sizes of a wall and of all that is on it. Whether nothing was found.
pub(super) fn sizes(index: usize, wall: &WallDrawing, faults: &mut Faults) -> bool {
    let before = faults.count();
    let mut examined = Examined { index, faults };
    examined.path(wall);
    examined.profile(wall);
    examined.thickness(wall);
    examined.rest(wall);
    for (index, opening) in wall.openings.iter().enumerate() {
        let place = Place::Opening(index);
        examined.outline(place, &opening.shape, opening.width);
        examined.length(place, "splay_mm", opening.splay, &SPLAY);
    }
    for (index, niche) in wall.niches.iter().enumerate() {
        let place = Place::Niche(index);
        examined.outline(place, &niche.shape, niche.width);
        examined.length(place, "depth_mm", niche.depth, &DEPTH);
    }
    for (index, inclusion) in wall.inclusions.iter().enumerate() {
        examined.inclusion(Place::Inclusion(index), inclusion);
    }
    examined.ids(wall);
    faults.count() == before
}

impl Examined<'_, '_> {
    fn path(&mut self, wall: &WallDrawing) {
        match &wall.path {
            Path::Straight { length } => {
                self.length(Place::Wall, "length_m", *length, &LENGTH);
            }
            Path::Arc {
                radius,
                bend_degrees,
            } => {
                let is_sound = self.length(Place::Wall, "radius_m", *radius, &RADIUS)
                    & self.number(Place::Wall, "bend_deg", bend_degrees.abs(), &BEND);
                if is_sound && metres(*radius) <= 0.5 * metres(wall.thickness) {
                    let thickness = wall.thickness;
                    let rule = Rule::ArcTighterThanThickness {
                        radius: *radius,
                        thickness,
                    };
                    self.add(Place::Wall, "radius_m", rule);
                }
                if is_sound {
                    self.arc_length(wall);
                }
            }
        }
    }

    /// An arc has to be as long as any wall has to be.
    fn arc_length(&mut self, wall: &WallDrawing) {
        let length = CentreLine::of(&wall.path).length;
        if !LENGTH.has(length) {
            let limits = LENGTH.limits(told(length, 6));
            self.add(Place::Wall, "radius_m", Rule::AbsurdArc(limits));
        }
    }

    fn profile(&mut self, wall: &WallDrawing) {
        match &wall.profile {
            Profile::Level { height } => {
                self.length(Place::Wall, "height_m", *height, &HEIGHT);
            }
            Profile::Slope { height, height_end } => {
                self.length(Place::Wall, "height_m", *height, &HEIGHT);
                self.length(Place::Wall, "height_end_m", *height_end, &HEIGHT);
            }
            Profile::Peak {
                height,
                peak,
                peak_at,
                height_end,
            } => {
                let end = height_end.unwrap_or(*height);
                let is_sound = self.length(Place::Wall, "height_m", *height, &HEIGHT)
                    & height_end
                        .is_none_or(|end| self.length(Place::Wall, "height_end_m", end, &HEIGHT))
                    & self.length(Place::Wall, "peak_m", *peak, &HEIGHT);
                let end = end.max(*height);
                if is_sound && *peak < end {
                    self.add(
                        Place::Wall,
                        "peak_m",
                        Rule::PeakBelowEnd { peak: *peak, end },
                    );
                }
                self.peak_at(wall, *peak_at);
            }
        }
    }

    fn peak_at(&mut self, wall: &WallDrawing, peak_at: Length) {
        let length = CentreLine::of(&wall.path).length;
        let at = metres(peak_at);
        // A wall without a length has a fault of its own.
        if at <= 0.0 || (0.0 < length && length <= at) {
            let rule = Rule::PeakOutsideWall {
                peak_at,
                length: length_of(length).unwrap_or_default(),
            };
            self.add(Place::Wall, "peak_at_m", rule);
        }
    }

    fn thickness(&mut self, wall: &WallDrawing) {
        let base = wall.thickness;
        let is_sound = self.length(Place::Wall, "thickness_mm", base, &THICKNESS);
        let Some(taper) = wall.taper else { return };
        let top = taper.thickness_top;
        if !top.is_positive() {
            self.add(
                Place::Wall,
                "thickness_top_mm",
                Rule::ThicknessRunsOut { base, top },
            );
        } else if self.length(Place::Wall, "thickness_top_mm", top, &THICKNESS)
            && is_sound
            && base < top
        {
            self.add(
                Place::Wall,
                "thickness_top_mm",
                Rule::TopThickerThanBase { base, top },
            );
        }
    }

    fn rest(&mut self, wall: &WallDrawing) {
        if let Some(lift) = wall.lift_height {
            self.length(Place::Wall, "lift_height_m", lift, &LIFT);
        }
        self.length(Place::Wall, "stem_height_m", wall.stem_height, &STEM);
        self.length(Place::Wall, "paring_mm", wall.paring, &PARING);
        self.zones(wall);
    }

    /// Zones begin one above the other, inside the wall.
    fn zones(&mut self, wall: &WallDrawing) {
        let height = wall.profile.highest();
        let mut before = Length::ZERO;
        for (index, zone) in wall.zones.iter().enumerate() {
            let (place, from) = (Place::Above(index), zone.from);
            if let Some(lift) = zone.lift_height {
                self.length(place, "lift_height_m", lift, &LIFT);
            }
            self.length(place, "paring_mm", zone.paring, &PARING);
            let at = metres(from);
            if at <= 0.0 || metres(height) <= at {
                self.add(place, "from_m", Rule::AboveOutsideWall { from, height });
            } else if at <= metres(before) {
                self.add(place, "from_m", Rule::AboveNotAscending { from, before });
            }
            before = before.max(from);
        }
    }

    fn outline(&mut self, place: Place, shape: &OpeningShape, width: Length) {
        let is_sound = self.length(place, "width_m", width, &WIDTH);
        match shape {
            OpeningShape::Rectangle { height } => {
                self.length(place, "height_m", *height, &WIDTH);
            }
            OpeningShape::Semicircular { height } | OpeningShape::Pointed { height } => {
                self.length(place, "height_m", *height, &SPRINGING);
            }
            OpeningShape::Segmental { height, rise } => {
                self.length(place, "height_m", *height, &SPRINGING);
                let half = Length::from_metres(width.metres() * Decimal::new(5, 1));
                if self.length(place, "rise_m", *rise, &RISE) && is_sound && half < *rise {
                    self.add(
                        place,
                        "rise_m",
                        Rule::RiseTooHigh {
                            rise: *rise,
                            most: half,
                        },
                    );
                }
            }
            OpeningShape::Circle => {}
        }
    }

    fn inclusion(&mut self, place: Place, inclusion: &Inclusion) {
        self.number(place, "count", Decimal::from(inclusion.count), &COUNT);
        self.number(place, "volume_l", inclusion.volume.litres(), &INCLUSION);
    }

    /// Ids tell openings, niches and inclusions of a wall apart.
    fn ids(&mut self, wall: &WallDrawing) {
        let openings = wall
            .openings
            .iter()
            .enumerate()
            .map(|(i, part)| (Place::Opening(i), i, &part.id));
        self.distinct(openings);
        let niches = wall
            .niches
            .iter()
            .enumerate()
            .map(|(i, part)| (Place::Niche(i), i, &part.id));
        self.distinct(niches);
        let inclusions = wall
            .inclusions
            .iter()
            .enumerate()
            .map(|(i, part)| (Place::Inclusion(i), i, &part.id));
        self.distinct(inclusions);
    }

    fn distinct<'w>(
        &mut self,
        parts: impl ExactSizeIterator<Item = (Place, usize, &'w String)> + Clone,
    ) {
        // A few are compared by eye; many by a table.
        let mut firsts = HashMap::new();
        let is_few = parts.len() <= FEW;
        for (place, index, id) in parts.clone() {
            if id.is_empty() {
                self.add(place, "id", Rule::MissingId);
                continue;
            }
            let first = if is_few {
                parts
                    .clone()
                    .position(|(_, _, other)| other == id)
                    .unwrap_or(index)
            } else {
                *firsts.entry(id).or_insert(index)
            };
            if first != index {
                self.add(place, "id", Rule::DuplicateId { first });
            }
        }
    }
}

/// So many ids are sooner compared one by one.
const FEW: usize = 8;

/// The height of a lift when none is drawn: the lesser of the base thickness and 0.45 m (judgement, no source).
pub(super) fn lift_height(wall: &WallDrawing, drawn: Option<Length>) -> Length {
    let most = Length::from_metres(Decimal::new(45, 2));
    drawn.unwrap_or(wall.thickness.min(most))
}
