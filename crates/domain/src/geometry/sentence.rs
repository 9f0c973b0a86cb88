//! The sentence for each fault of a drawing: which wall and part, what was found, what was expected, what to do.
//! The facts come from `fault`; nothing is found or judged here.

use std::fmt;

use hod_units::{Decimal, canonical};

use super::fault::{Fault, Limits, Place, Rule};

impl fmt::Display for Fault {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "wall {}", Quoted(&self.subject.wall))?;
        let part = Quoted(self.subject.part.as_deref().unwrap_or_default());
        match self.place {
            Place::Wall | Place::Run => {}
            Place::Opening(_) => write!(f, ", opening {part}")?,
            Place::Niche(_) => write!(f, ", niche {part}")?,
            Place::Inclusion(_) => write!(f, ", inclusion {part}")?,
            Place::Above(index) => write!(f, ", part {} above a height", index + 1)?,
        }
        write!(f, ": ")?;
        self.write_rule(f)
    }
}

impl std::error::Error for Fault {}

/// A name in quotation marks, shortened to 80 characters.
struct Quoted<'n>(&'n str);

impl fmt::Display for Quoted<'_> {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let short: String = self.0.chars().take(80).collect();
        let more = if short.len() < self.0.len() {
            "..."
        } else {
            ""
        };
        write!(f, "{:?}", short + more)
    }
}

/// A number and its unit, which a count has none of.
struct Told<'u>(Decimal, &'u str);

impl fmt::Display for Told<'_> {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&canonical(self.0))?;
        if self.1.is_empty() {
            Ok(())
        } else {
            write!(f, " {}", self.1)
        }
    }
}

impl Fault {
    fn write_rule(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let field = self.field;
        match &self.rule {
            Rule::NotPositive { found, unit } => {
                write!(
                    f,
                    "{field} is {}; give a size above zero",
                    Told(*found, unit)
                )
            }
            Rule::Negative { found, unit } => {
                write!(f, "{field} is {}; give zero or more", Told(*found, unit))
            }
            Rule::AbsurdSize(Limits {
                found,
                least,
                most,
                unit,
            }) => write!(
                f,
                "{field} is {}; {} to {} is taken, so check the figure and its unit",
                Told(*found, unit),
                canonical(*least),
                Told(*most, unit)
            ),
            Rule::MissingId => write!(f, "it has no id; give it one"),
            Rule::DuplicateId { first } => write!(
                f,
                "number {} before it has the same id; give each its own",
                first + 1
            ),
            Rule::NotFinite => write!(
                f,
                "its figures come out too large or undefined; check its sizes and those of the walls it meets"
            ),
            Rule::AbsurdArc(_)
            | Rule::ThicknessRunsOut { .. }
            | Rule::TopThickerThanBase { .. }
            | Rule::ArcTighterThanThickness { .. }
            | Rule::PeakOutsideWall { .. }
            | Rule::PeakBelowEnd { .. }
            | Rule::AboveOutsideWall { .. }
            | Rule::AboveNotAscending { .. } => self.write_shape(f),
            Rule::RiseTooHigh { .. }
            | Rule::SillBelowStemWall { .. }
            | Rule::OpeningBelowWall { .. }
            | Rule::OpeningTallerThanWall { .. }
            | Rule::OpeningOutsideWall { .. }
            | Rule::OpeningInJunction { .. }
            | Rule::OpeningsOverlap { .. }
            | Rule::NicheTooDeep { .. }
            | Rule::NichesMeet { .. }
            | Rule::InclusionsFillWall { .. }
            | Rule::OpeningsTakeWall { .. } => self.write_void(f),
            Rule::UnknownWall { .. }
            | Rule::RunsIntoItself
            | Rule::TurnOutOfRange { .. }
            | Rule::CornerTaken { .. }
            | Rule::IntoOutsideWall { .. }
            | Rule::FacesDoNotMeet { .. }
            | Rule::WallTooShortForItsCorners { .. }
            | Rule::RunDoesNotClose { .. }
            | Rule::WallDoesNotFit { .. } => self.write_junction(f),
            Rule::GuestsOverlap { .. }
            | Rule::GuestInJunction { .. }
            | Rule::GuestInOpening { .. }
            | Rule::WallsCross { .. } => self.write_crowding(f),
        }
    }

    /// Of the wall's own shape.
    fn write_shape(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match &self.rule {
            Rule::AbsurdArc(Limits {
                found,
                least,
                most,
                unit,
            }) => write!(
                f,
                "its radius and bend make it {} long; {} to {} is taken, so check both",
                Told(*found, unit),
                canonical(*least),
                Told(*most, unit)
            ),
            Rule::ThicknessRunsOut { base, top } => write!(
                f,
                "its thickness of {} mm runs out to {} mm before the top; give thickness_top_mm above zero",
                canonical(base.mm()),
                canonical(top.mm())
            ),
            Rule::TopThickerThanBase { base, top } => write!(
                f,
                "it is {} mm thick at the top and {} mm at the base; a wall does not thicken upward, so exchange the two or correct one",
                canonical(top.mm()),
                canonical(base.mm())
            ),
            Rule::ArcTighterThanThickness { radius, thickness } => write!(
                f,
                "its radius of {radius} is no more than half its thickness of {thickness}, so its inner face has none; widen the arc or thin the wall"
            ),
            Rule::PeakOutsideWall { peak_at, length } => write!(
                f,
                "its peak is at {peak_at} but the wall runs from 0 to {length}; put the peak between its ends"
            ),
            Rule::PeakBelowEnd { peak, end } => write!(
                f,
                "its peak is at a height of {peak}, below its end of {end}; heights are from the top of the stem wall, so give the peak at least the higher end's"
            ),
            Rule::AboveOutsideWall { from, height } => write!(
                f,
                "it begins at {from} but the wall reaches from 0 to {height}; begin it between, or leave it out"
            ),
            Rule::AboveNotAscending { from, before } => write!(
                f,
                "it begins at {from}, not above the {before} at which a part before it does; list the parts from the lowest up, each beginning at a height of its own"
            ),
            _ => Ok(()),
        }
    }

    /// Of what is cut or built into it.
    fn write_void(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match &self.rule {
            Rule::RiseTooHigh { rise, most } => write!(
                f,
                "its arch rises {rise} but a segmental arch rises at most half its width, {most}; lower the rise"
            ),
            Rule::SillBelowStemWall { sill, stem_height } => write!(
                f,
                "its sill at {sill} lies below the stem wall, which is {stem_height} high; raise the sill or give stem_height_m"
            ),
            Rule::OpeningBelowWall { top } => write!(
                f,
                "its top at {top} is not above the stem wall, so it lies outside the earth; leave it out or raise it"
            ),
            Rule::OpeningTallerThanWall { top, wall_height } => write!(
                f,
                "its top is at {top} but the wall is {wall_height} high there; lower the opening or raise the wall"
            ),
            Rule::OpeningOutsideWall { from, to, length } => write!(
                f,
                "it runs from {from} to {to} along the wall, which runs from 0 to {length}; move it or make it narrower"
            ),
            Rule::OpeningInJunction { other, edge, cut } => write!(
                f,
                "its side at {edge} lies beyond {cut}, where wall {} cuts this one; move it clear of the junction",
                Quoted(other)
            ),
            Rule::OpeningsOverlap { other, other_id } => write!(
                f,
                "it overlaps {} {}; move one of them",
                kind(*other),
                Quoted(other_id)
            ),
            Rule::NicheTooDeep { depth, thickness } => write!(
                f,
                "it is {} mm deep but the wall is {} mm thick at its top; make it shallower, or an opening",
                canonical(depth.mm()),
                canonical(thickness.mm())
            ),
            Rule::NichesMeet {
                other_id,
                depths,
                thickness,
            } => write!(
                f,
                "it meets niche {} behind it: together {} mm deep where the wall is {} mm thick; make one shallower or move it",
                Quoted(other_id),
                canonical(depths.mm()),
                canonical(thickness.mm())
            ),
            Rule::InclusionsFillWall { inclusions, wall } => write!(
                f,
                "its inclusions come to {inclusions} but the wall without openings is {wall}; correct their count or volume"
            ),
            Rule::OpeningsTakeWall { wall } => write!(
                f,
                "its openings and niches take the whole of its {wall}; leave some earth beside or above them"
            ),
            _ => Ok(()),
        }
    }

    /// Of how it meets others.
    fn write_junction(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let field = self.field;
        match &self.rule {
            Rule::UnknownWall { named, nearest } => {
                write!(
                    f,
                    "{field} names wall {}, which the job does not have",
                    Quoted(named)
                )?;
                match nearest {
                    Some(nearest) => write!(f, "; did you mean {}?", Quoted(nearest)),
                    None => write!(f, "; name one of its walls"),
                }
            }
            Rule::RunsIntoItself => {
                write!(
                    f,
                    "{field} says that it runs into itself; name another wall"
                )
            }
            Rule::TurnOutOfRange { found, least, most } => write!(
                f,
                "{field} is {} degrees; {} to {} to either side is taken",
                canonical(*found),
                canonical(*least),
                canonical(*most)
            ),
            Rule::CornerTaken { other, instead } => write!(
                f,
                "{field} meets wall {}, whose end there is {}; one end meets one other, so correct one of the two",
                Quoted(other),
                Quoted(instead)
            ),
            Rule::IntoOutsideWall { at, other, length } => write!(
                f,
                "it runs into wall {} at {at}, but that wall runs from 0 to {length}; give a place between",
                Quoted(other)
            ),
            Rule::FacesDoNotMeet { other } => write!(
                f,
                "its faces and those of wall {} do not meet near their corner; turn more, make their thicknesses alike, or lengthen the shorter",
                Quoted(other)
            ),
            Rule::WallTooShortForItsCorners { length, taken } => write!(
                f,
                "it is {length} long but its two ends take {taken} of one face; lengthen it or thin the walls it meets"
            ),
            Rule::RunDoesNotClose { gap_mm, turn_sum } if *gap_mm <= Decimal::TEN => write!(
                f,
                "the run that it closes meets its start but turns by {} degrees in all, and must by 360; a corner turns by 90 when nothing is said, so where a wall goes straight on into the next, as round a circle, set turn_deg = 0",
                canonical(*turn_sum)
            ),
            Rule::RunDoesNotClose { gap_mm, turn_sum } => write!(
                f,
                "the run that it closes misses its start by {} mm and turns by {} degrees in all; it must come within 10 mm and within 0.1 degree of 360, so correct a length or a turn",
                canonical(*gap_mm),
                canonical(*turn_sum)
            ),
            Rule::WallDoesNotFit {
                other,
                gap_mm,
                turn_degrees,
                instead,
            } => {
                write!(
                    f,
                    "it misses the place on wall {} where it is drawn to meet it by {} mm and {} degrees; at most 10 mm and 0.1 degree are let pass, so correct its length, {field} or a turn",
                    Quoted(other),
                    canonical(*gap_mm),
                    canonical(*turn_degrees)
                )?;
                for (index, (turn, degrees)) in instead.iter().enumerate() {
                    let joint = if index == 0 { ": with" } else { " and" };
                    write!(f, "{joint} {turn} = {}", canonical(*degrees))?;
                }
                if instead.is_empty() {
                    Ok(())
                } else {
                    write!(f, " it would meet")
                }
            }
            _ => Ok(()),
        }
    }

    /// Of what stands where it would.
    fn write_crowding(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match &self.rule {
            Rule::GuestsOverlap {
                host,
                other,
                from,
                to,
            } => write!(
                f,
                "it runs into wall {} where wall {} does: from {from} to {to} along that both would stand on one face; move one of them",
                Quoted(host),
                Quoted(other)
            ),
            Rule::GuestInJunction {
                host,
                other,
                edge,
                cut,
            } => write!(
                f,
                "it runs into wall {} with its side at {edge} along that, beyond {cut}, where the face ends at wall {}; move it clear of the junction",
                Quoted(host),
                Quoted(other)
            ),
            Rule::GuestInOpening {
                host,
                opening,
                opening_id,
                from,
                to,
            } => write!(
                f,
                "it runs into wall {} at {} {}, in which it would stand from {from} to {to} along that wall; move one of them",
                Quoted(host),
                kind(*opening),
                Quoted(opening_id)
            ),
            Rule::WallsCross {
                other,
                at,
                other_at,
            } => write!(
                f,
                "its centre line at {at} along it crosses that of wall {} at {other_at}, where no junction is drawn; draw one, or correct a length or a turn",
                Quoted(other)
            ),
            _ => Ok(()),
        }
    }
}

/// What a part of a wall is called.
fn kind(part: Place) -> &'static str {
    if matches!(part, Place::Niche(_)) {
        "niche"
    } else {
        "opening"
    }
}
