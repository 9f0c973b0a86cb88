//! Crews, and the make-ups by grade that labour constants have too.

use hod_domain::id::{CrewId, Grade};
use hod_domain::work::{Crew, GradeShare};
use hod_units::Share;
use hod_wire::v1 as wire;
use rust_decimal::dec;

use super::{Bounds, Decoder, NAME_CHARACTERS_MAX, SOURCE_CHARACTERS_MAX};

const HOURS_FACTOR: Bounds = Bounds::of(dec!(0.1), dec!(10), "");
const SHARE: Bounds = Bounds::of(dec!(0), dec!(100), "%");

/// Most grades of a make-up.
const GRADES_MAX: usize = 20;

/// Reads a crew; its id comes from the request.
pub fn crew<'a>(
    decoder: &mut Decoder<'a>,
    wire: &'a wire::Crew,
    id: Option<&CrewId>,
) -> Option<Crew> {
    let display_name = decoder.text("display_name", &wire.display_name, NAME_CHARACTERS_MAX);
    let hours_factor = decoder.number("hours_factor", &wire.hours_factor, &HOURS_FACTOR);
    decoder.count("make_up", wire.make_up.len(), 1, GRADES_MAX);
    let make_up = make_up(decoder, &wire.make_up);
    let source = decoder.text("source", &wire.source, SOURCE_CHARACTERS_MAX);
    Some(Crew {
        id: id?.clone(),
        display_name: display_name?,
        hours_factor: hours_factor?,
        make_up: make_up?,
        source: source?,
    })
}

/// Reads a make-up by grade; that its shares total one is the domain's rule.
pub fn make_up<'a>(
    decoder: &mut Decoder<'a>,
    wire: &'a [wire::GradeShare],
) -> Option<Vec<GradeShare>> {
    decoder.count("make_up", wire.len(), 0, GRADES_MAX);
    decoder.each("make_up", wire, |decoder, wire| {
        let grade = decoder.read("grade", "NOT_AN_ID", Grade::parse(&wire.grade));
        let share = decoder.number("share_percent", &wire.share_percent, &SHARE);
        Some(GradeShare {
            grade: grade?,
            share: Share::from_percent(share?),
        })
    })
}
