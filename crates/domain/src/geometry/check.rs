//! The sizes of one wall by itself: none zero, negative or absurd, and a shape that can be.
//! What its openings must keep clear of is in `clearance`; what its neighbours do to it in `fit`.

use std::collections::HashMap;

use hod_units::{Decimal, Length};

use super::drawing::{Inclusion, OpeningShape, Path, Profile, WallDrawing};
use super::fault::{Faults, Limits, Place, Rule};
use super::figure::metres;

/// Limits of a size, in the unit of its field: what a wall of earth can have, with room to spare (judgement, no
/// source). They keep a slip of unit out and every figure within what floating point holds to 1e-9.
type Range = (Decimal, Decimal, &'static str);

const fn range(least: Decimal, most: Decimal, unit: &'static str) -> Range {
    (least, most, unit)
}

const fn whole(value: u32) -> Decimal {
    Decimal::from_parts(value, 0, 0, false, 0)
}

const fn hundredths(value: u32) -> Decimal {
    Decimal::from_parts(value, 0, 0, false, 2)
}

const LENGTH: Range = range(hundredths(1), whole(1000), "m");
const RADIUS: Range = range(hundredths(1), whole(1000), "m");
const BEND: Range = range(hundredths(1), whole(360), "degrees");
const HEIGHT: Range = range(hundredths(5), whole(30), "m");
const THICKNESS: Range = range(whole(20), whole(5000), "mm");
const LIFT: Range = range(hundredths(5), whole(2), "m");
const WIDTH: Range = range(hundredths(5), whole(20), "m");
const RISE: Range = range(Decimal::from_parts(1, 0, 0, false, 3), whole(10), "m");
const STEM: Range = range(Decimal::ZERO, whole(5), "m");
const PARING: Range = range(Decimal::ZERO, whole(200), "mm");
const SPLAY: Range = range(Decimal::ZERO, whole(5000), "mm");
const DEPTH: Range = range(whole(1), whole(5000), "mm");
const COUNT: Range = range(whole(1), whole(100_000), "");
const INCLUSION: Range = range(
    Decimal::from_parts(1, 0, 0, false, 3),
    whole(10_000),
    "litres",
);

/// A size, its field and what it may be.
struct Size {
    field: &'static str,
    found: Decimal,
    range: Range,
    /// Whether zero is among what it may be.
    or_zero: bool,
}

impl Size {
    /// Of a length, in the unit of the range.
    fn of(field: &'static str, length: Length, range: Range) -> Self {
        let found = if range.2 == "mm" {
            length.mm()
        } else {
            length.metres()
        };
        Self {
            field,
            found,
            range,
            or_zero: range.0.is_zero(),
        }
    }

    fn broken_rule(&self) -> Option<Rule> {
        let (least, most, unit) = self.range;
        let found = self.found;
        if found.is_zero() && self.or_zero {
            None
        } else if found < Decimal::ZERO && self.or_zero {
            Some(Rule::Negative { found, unit })
        } else if found <= Decimal::ZERO {
            Some(Rule::NotPositive { found, unit })
        } else if found < least || most < found {
            Some(Rule::AbsurdSize(Limits {
                found,
                least,
                most,
                unit,
            }))
        } else {
            None
        }
    }
}

/// One wall under examination.
struct Examined<'f, 'd> {
    index: usize,
    faults: &'f mut Faults<'d>,
}

impl Examined<'_, '_> {
    fn add(&mut self, place: Place, field: &'static str, rule: Rule) {
        self.faults.add(self.index, place, field, rule);
    }

    /// Whether a size may be; adds the fault if not.
    fn size(&mut self, place: Place, size: Size) -> bool {
        match size.broken_rule() {
            None => true,
            Some(rule) => {
                self.add(place, size.field, rule);
                false
            }
        }
    }

    fn length(&mut self, place: Place, field: &'static str, length: Length, range: Range) -> bool {
        self.size(place, Size::of(field, length, range))
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
        examined.length(place, "splay_mm", opening.splay, SPLAY);
    }
    for (index, niche) in wall.niches.iter().enumerate() {
        let place = Place::Niche(index);
        examined.outline(place, &niche.shape, niche.width);
        examined.length(place, "depth_mm", niche.depth, DEPTH);
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
                self.length(Place::Wall, "length_m", *length, LENGTH);
            }
            Path::Arc {
                radius,
                bend_degrees,
            } => {
                let bend = Size {
                    field: "bend_deg",
                    found: bend_degrees.abs(),
                    range: BEND,
                    or_zero: false,
                };
                let is_sound = self.length(Place::Wall, "radius_m", *radius, RADIUS)
                    & self.size(Place::Wall, bend);
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
        let length = super::path::CentreLine::of(&wall.path).length;
        let found = super::figure::told(length, 6);
        self.size(
            Place::Wall,
            Size {
                field: "bend_deg",
                found,
                range: LENGTH,
                or_zero: false,
            },
        );
    }

    fn profile(&mut self, wall: &WallDrawing) {
        match &wall.profile {
            Profile::Level { height } => {
                self.length(Place::Wall, "height_m", *height, HEIGHT);
            }
            Profile::Slope { height, height_end } => {
                self.length(Place::Wall, "height_m", *height, HEIGHT);
                self.length(Place::Wall, "height_end_m", *height_end, HEIGHT);
            }
            Profile::Peak {
                height,
                peak,
                peak_at,
                height_end,
            } => {
                let end = height_end.unwrap_or(*height);
                let is_sound = self.length(Place::Wall, "height_m", *height, HEIGHT)
                    & height_end
                        .is_none_or(|end| self.length(Place::Wall, "height_end_m", end, HEIGHT))
                    & self.length(Place::Wall, "peak_m", *peak, HEIGHT);
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
        let length = super::path::CentreLine::of(&wall.path).length;
        let at = metres(peak_at);
        // A wall without a length has a fault of its own.
        if at <= 0.0 || (0.0 < length && length <= at) {
            let rule = Rule::PeakOutsideWall {
                peak_at,
                length: super::figure::length(length).unwrap_or_default(),
            };
            self.add(Place::Wall, "peak_at_m", rule);
        }
    }

    fn thickness(&mut self, wall: &WallDrawing) {
        let base = wall.thickness;
        let is_sound = self.length(Place::Wall, "thickness_mm", base, THICKNESS);
        let Some(taper) = wall.taper else { return };
        let top = taper.thickness_top;
        if !top.is_positive() {
            self.add(
                Place::Wall,
                "thickness_top_mm",
                Rule::ThicknessRunsOut { base, top },
            );
        } else if self.length(Place::Wall, "thickness_top_mm", top, THICKNESS)
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
            self.length(Place::Wall, "lift_height_m", lift, LIFT);
        }
        self.length(Place::Wall, "stem_height_m", wall.stem_height, STEM);
        self.length(Place::Wall, "paring_mm", wall.paring, PARING);
    }

    fn outline(&mut self, place: Place, shape: &OpeningShape, width: Length) {
        let is_sound = self.length(place, "width_m", width, WIDTH);
        match shape {
            OpeningShape::Rectangle { height } => {
                self.length(place, "height_m", *height, WIDTH);
            }
            OpeningShape::Semicircular { height } | OpeningShape::Pointed { height } => {
                self.springing(place, *height);
            }
            OpeningShape::Segmental { height, rise } => {
                self.springing(place, *height);
                let half = Length::from_metres(width.metres() * hundredths(50));
                if self.length(place, "rise_m", *rise, RISE) && is_sound && half < *rise {
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

    /// Under an arch the sides may be nothing: it then springs from the sill.
    fn springing(&mut self, place: Place, height: Length) {
        let size = Size {
            or_zero: true,
            ..Size::of("height_m", height, WIDTH)
        };
        self.size(place, size);
    }

    fn inclusion(&mut self, place: Place, inclusion: &Inclusion) {
        let found = Decimal::from(inclusion.count);
        self.size(
            place,
            Size {
                field: "count",
                found,
                range: COUNT,
                or_zero: false,
            },
        );
        let found = inclusion.volume.litres();
        self.size(
            place,
            Size {
                field: "volume_l",
                found,
                range: INCLUSION,
                or_zero: false,
            },
        );
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

    fn distinct<'w>(&mut self, parts: impl ExactSizeIterator<Item = (Place, usize, &'w String)>) {
        if parts.len() == 0 {
            return;
        }
        let mut firsts = HashMap::with_capacity(parts.len());
        for (place, index, id) in parts {
            if id.is_empty() {
                self.add(place, "id", Rule::MissingId);
                continue;
            }
            let first = *firsts.entry(id).or_insert(index);
            if first != index {
                self.add(place, "id", Rule::DuplicateId { first });
            }
        }
    }
}

/// The height of a lift when none is drawn: the lesser of the base thickness and 0.45 m (judgement, no source).
pub(super) fn lift_height(wall: &WallDrawing) -> Length {
    let most = Length::from_metres(hundredths(45));
    wall.lift_height.unwrap_or(wall.thickness.min(most))
}
