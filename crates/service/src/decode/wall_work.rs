//! What a wall is built of from its foot and above a height, what it is finished with, what is set into its openings and
//! what is buried in it.

use hod_domain::geometry::Zone;
use hod_domain::job::{Finish, OpeningWork, WallWork};
use hod_units::Length;
use hod_wire::v1 as wire;
use rust_decimal::dec;

use super::build::Builds;
use super::finish::{finishes, with_the_jobs};
use super::opening::{buried, opening_work};
use super::wall::PARTS_MAX;
use super::{Bounds, Decoder, choice};
use crate::name::quoted;

/// Where a part above a height begins.
const FROM: Bounds = Bounds::of(dec!(0.05), dec!(30), "m");

/// Most parts above a height of a wall.
const ABOVE_MAX: usize = 8;

/// What a wall is built of, as its drawing needs it and as its takeoff does.
pub struct BuiltOf {
    /// The build from its foot, where it is known.
    pub build: Option<usize>,
    /// The builds of its zones, where all are known.
    pub above: Option<Vec<usize>>,
    /// The zones that could be read, each with its place in what was sent.
    pub zones: Vec<(usize, Zone)>,
    /// Height of its lifts; `None` inside where geometry has a rule of its own, outside where it is no number.
    pub lift_height: Option<Option<Length>>,
    /// Trimmed off each face.
    pub paring: Length,
}

/// Reads what a wall is built of.
pub fn built_of<'a>(
    decoder: &mut Decoder<'a>,
    wire: &'a wire::Wall,
    builds: &mut Builds,
) -> BuiltOf {
    let build = foot(decoder, wire, builds);
    let own = decoder.any_number_if_any("lift_height_m", &wire.lift_height_m);
    let own = own.map(|own| own.map(Length::from_metres));
    // Where its build is not known, it is drawn as if the job's own held.
    let drawn_as = build.unwrap_or_default();
    let of_build = || {
        builds
            .own_lift_height(drawn_as)
            .or_else(|| builds.lift_height(drawn_as))
    };
    let lift_height = own.map(|own| own.or_else(of_build));
    let paring = builds.paring(drawn_as);
    let sent = decoder.list("above", &wire.above, 0, ABOVE_MAX);
    let own = own.flatten();
    let read = decoder.each_kept("above", sent, |decoder, wire| {
        above(decoder, wire, builds, own)
    });
    let above = read.iter().map(|(_, (_, build))| *build).collect();
    BuiltOf {
        build,
        above: above_if_whole(above, wire.above.len()),
        zones: read
            .into_iter()
            .map(|(place, (zone, _))| (place, zone))
            .collect(),
        lift_height,
        paring,
    }
}

fn above_if_whole(known: Vec<Option<usize>>, sent: usize) -> Option<Vec<usize>> {
    let known: Vec<usize> = known.into_iter().flatten().collect();
    (known.len() == sent).then_some(known)
}

/// The build from its foot: the one that it names, else the one of its system.
fn foot(decoder: &mut Decoder<'_>, wire: &wire::Wall, builds: &mut Builds) -> Option<usize> {
    let system = choice::wall_system_if_any(decoder, "system", wire.system);
    if wire.build.is_empty() {
        return system.map(|system| system.map_or(0, |system| builds.place_of_system(system)));
    }
    let place = named(decoder, &wire.build, builds)?;
    let (said, of_build) = (system?, builds.system(place));
    if let (Some(said), Some(of_build)) = (said, of_build)
        && said != of_build
    {
        decoder.refuse(
            "system",
            "SYSTEM_IS_NOT_THE_BUILDS",
            format!(
                "the wall is said to be of {} and to be built of {}, which is {}; leave system out, or name another build",
                said.word(),
                quoted(&wire.build),
                of_build.word()
            ),
        );
    }
    Some(place)
}

/// A part above a height, and its build where that is known.
fn above(
    decoder: &mut Decoder<'_>,
    wire: &wire::WallAbove,
    builds: &Builds,
    own_lift_height: Option<Length>,
) -> Option<(Zone, Option<usize>)> {
    let from = decoder.number("from_m", &wire.from_m, &FROM);
    let build = if wire.build.is_empty() {
        let found = "build is needed and empty; write the id of a build of the job";
        decoder.refuse("build", "MISSING", found);
        None
    } else {
        named(decoder, &wire.build, builds)
    };
    let drawn_as = build.unwrap_or_default();
    let of_build = builds.own_lift_height(drawn_as);
    let zone = Zone {
        from: Length::from_metres(from?),
        lift_height: of_build
            .or(own_lift_height)
            .or_else(|| builds.lift_height(drawn_as)),
        paring: builds.paring(drawn_as),
    };
    Some((zone, build))
}

/// Where the build of this id stands; an unknown one is refused.
fn named(decoder: &mut Decoder<'_>, id: &str, builds: &Builds) -> Option<usize> {
    let place = builds.place(id);
    if place.is_none() {
        let known = match builds.ids().as_slice() {
            [] => "the job has none; add one under builds".to_owned(),
            ids => format!(
                "the job has {}; name one of them, or add it",
                ids.join(", ")
            ),
        };
        let found = format!("there is no build {}; {known}", quoted(id));
        decoder.refuse("build", "UNKNOWN_BUILD", found);
    }
    place
}

/// Reads what else there is to a wall; `None` when any of it could not be read, or its builds are not known.
pub fn work<'a>(
    decoder: &mut Decoder<'a>,
    (place, wire): (usize, &'a wire::Wall),
    builds: Option<(usize, Vec<usize>)>,
    finishes_of_job: &[Finish],
) -> Option<WallWork> {
    let finishes = finishes(decoder, &wire.finishes, Some(place));
    let openings = opening_works(decoder, wire);
    let sent = decoder.list("buried", &wire.buried, 0, PARTS_MAX);
    let buried = decoder.each("buried", sent, buried);
    decoder.unlike("buried", sent.iter().map(|buried| buried.id.as_str()));
    let (build, above) = builds?;
    Some(WallWork {
        build,
        above,
        finishes: with_the_jobs(finishes?, finishes_of_job),
        openings: openings?,
        buried: buried?,
    })
}

/// What is set into its openings, in their order; nothing where nothing is set into any.
fn opening_works<'a>(decoder: &mut Decoder<'a>, wire: &'a wire::Wall) -> Option<Vec<OpeningWork>> {
    // Too many openings are told where they are drawn.
    let sent = wire.openings.get(..PARTS_MAX).unwrap_or(&wire.openings);
    let works = decoder.each("openings", sent, opening_work)?;
    let is_nothing = |work: &OpeningWork| *work == OpeningWork::default();
    if works.iter().all(is_nothing) {
        return Some(Vec::new());
    }
    Some(works)
}
