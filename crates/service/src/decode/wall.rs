//! Walls as drawn: the centre line, the top, the thickness and the ends. What is in one is read in `opening`, what it is
//! built of and finished with in `wall_work`.
//! Which fields go together is judged here; how large they may be is the business of geometry.

use hod_domain::geometry::{
    Batter, End, Inclusion, Niche, Opening, Path, Profile, Taper, WallDrawing,
};
use hod_domain::job::{Finish, WallWork};
use hod_units::{Decimal, Length};
use hod_wire::v1 as wire;
use rust_decimal::dec;

use super::build::Builds;
use super::opening::{inclusion, niche, opening};
use super::wall_work::{BuiltOf, built_of, work};
use super::{Bounds, Decoder, choice};

/// Height of the stem wall.
pub const STEM_HEIGHT: Bounds = Bounds::of(dec!(0), dec!(5), "m");

/// Most characters of the id of a wall and of everything else that a job names itself.
pub const ID_CHARACTERS_MAX: usize = 63;

/// Most openings, niches, inclusions or buried things of a wall.
pub const PARTS_MAX: usize = 100;

/// Degrees that a wall turns when its drawing says nothing.
const RIGHT_ANGLE: Decimal = dec!(90);

/// What the job says for every wall.
pub struct WholeJob {
    /// Height of the stem wall.
    pub stem_height: Length,
    /// What walls are built of.
    pub builds: Builds,
    /// Coats of faces for which a wall names none.
    pub finishes: Vec<Finish>,
}

/// A wall that could be read, if not all that is in it.
pub struct DrawnWall {
    /// The wall, with those of its openings, niches, inclusions and zones that could be read.
    pub drawing: WallDrawing,
    /// Where those openings stand in what was sent.
    pub openings: Vec<usize>,
    /// Where those niches do.
    pub niches: Vec<usize>,
    /// Where those inclusions do.
    pub inclusions: Vec<usize>,
    /// Where those zones do.
    pub above: Vec<usize>,
    /// Whether all of them could be read.
    pub is_whole: bool,
    /// What it is built of and finished with, where all of that could be read.
    pub work: Option<WallWork>,
}

/// Reads the wall at a place of its job.
pub fn wall<'a>(
    decoder: &mut Decoder<'a>,
    (place, wire): (usize, &'a wire::Wall),
    whole: &mut WholeJob,
) -> Option<DrawnWall> {
    let BuiltOf {
        build,
        above,
        zones,
        lift_height,
        paring,
    } = built_of(decoder, wire, &mut whole.builds);
    let drawing = drawing(decoder, wire, whole.stem_height);
    let parts = Parts::read(decoder, wire);
    let work = work(decoder, (place, wire), build.zip(above), &whole.finishes);
    let is_whole = parts.are_whole && zones.len() == wire.above.len();
    let (zone_places, zones) = zones.into_iter().unzip();
    let (openings, drawn_openings) = parts.openings.into_iter().unzip();
    let (niches, drawn_niches) = parts.niches.into_iter().unzip();
    let (inclusions, drawn_inclusions) = parts.inclusions.into_iter().unzip();
    Some(DrawnWall {
        drawing: WallDrawing {
            openings: drawn_openings,
            niches: drawn_niches,
            inclusions: drawn_inclusions,
            zones,
            lift_height: lift_height?,
            paring,
            ..drawing?
        },
        openings,
        niches,
        inclusions,
        above: zone_places,
        is_whole,
        work,
    })
}

/// What is in a wall, each with its place in what was sent.
struct Parts {
    openings: Vec<(usize, Opening)>,
    niches: Vec<(usize, Niche)>,
    inclusions: Vec<(usize, Inclusion)>,
    are_whole: bool,
}

impl Parts {
    fn read<'a>(decoder: &mut Decoder<'a>, wire: &'a wire::Wall) -> Self {
        let sent = decoder.list("openings", &wire.openings, 0, PARTS_MAX);
        let openings = decoder.each_kept("openings", sent, opening);
        let sent = decoder.list("niches", &wire.niches, 0, PARTS_MAX);
        let niches = decoder.each_kept("niches", sent, niche);
        let sent = decoder.list("inclusions", &wire.inclusions, 0, PARTS_MAX);
        let inclusions = decoder.each_kept("inclusions", sent, inclusion);
        let are_whole = openings.len() == wire.openings.len()
            && niches.len() == wire.niches.len()
            && inclusions.len() == wire.inclusions.len();
        Self {
            openings,
            niches,
            inclusions,
            are_whole,
        }
    }
}

/// A wall as drawn, with nothing in it.
fn drawing(
    decoder: &mut Decoder<'_>,
    wire: &wire::Wall,
    stem_height_of_job: Length,
) -> Option<WallDrawing> {
    let id = decoder.text("id", &wire.id, ID_CHARACTERS_MAX);
    let path = path(decoder, wire);
    let profile = profile(decoder, wire);
    let thickness = decoder.any_number("thickness_mm", &wire.thickness_mm);
    let taper = taper(decoder, wire);
    let start = start(decoder, wire);
    let turn = decoder.any_number_if_any("turn_deg", &wire.turn_deg);
    let end = end(decoder, wire, turn.flatten());
    let stem_height = decoder.any_number_if_any("stem_height_m", &wire.stem_height_m);
    Some(WallDrawing {
        id: id?,
        path: path?,
        profile: profile?,
        thickness: Length::from_mm(thickness?),
        taper: taper?,
        start: start?,
        end: end?,
        turn_degrees: turn?,
        openings: Vec::new(),
        niches: Vec::new(),
        inclusions: Vec::new(),
        zones: Vec::new(),
        lift_height: None,
        stem_height: stem_height?.map_or(stem_height_of_job, Length::from_metres),
        paring: Length::ZERO,
    })
}

/// The centre line: a length, or a radius and a bend.
fn path(decoder: &mut Decoder<'_>, wire: &wire::Wall) -> Option<Path> {
    let length = decoder.any_number_if_any("length_m", &wire.length_m);
    let radius = decoder.any_number_if_any("radius_m", &wire.radius_m);
    let bend = decoder.any_number_if_any("bend_deg", &wire.bend_deg);
    match (length?, radius?, bend?) {
        (Some(length), None, None) => Some(Path::Straight {
            length: Length::from_metres(length),
        }),
        (None, Some(radius), Some(bend_degrees)) => Some(Path::Arc {
            radius: Length::from_metres(radius),
            bend_degrees,
        }),
        (None, None, None) => {
            decoder.refuse(
                "length_m",
                "MISSING",
                "the wall has no length; give length_m, or radius_m with bend_deg",
            );
            None
        }
        (None, Some(_), None) => {
            decoder.refuse(
                "bend_deg",
                "MISSING",
                "radius_m is given and bend_deg is not; say how far the arc bends",
            );
            None
        }
        (None, None, Some(_)) => {
            decoder.refuse(
                "radius_m",
                "MISSING",
                "bend_deg is given and radius_m is not; give the radius of the centre line",
            );
            None
        }
        (Some(_), _, _) => {
            decoder.refuse(
                "length_m",
                "STRAIGHT_AND_CURVED",
                "the wall has a length_m and an arc; give length_m, or radius_m with bend_deg, not both",
            );
            None
        }
    }
}

/// The top: level, sloping, or with a peak.
fn profile(decoder: &mut Decoder<'_>, wire: &wire::Wall) -> Option<Profile> {
    let height = decoder.any_number("height_m", &wire.height_m);
    let height_end = decoder.any_number_if_any("height_end_m", &wire.height_end_m);
    let peak = decoder.any_number_if_any("peak_m", &wire.peak_m);
    let peak_at = decoder.any_number_if_any("peak_at_m", &wire.peak_at_m);
    let height = Length::from_metres(height?);
    let height_end = height_end?.map(Length::from_metres);
    match (peak?, peak_at?) {
        (None, None) => Some(match height_end {
            None => Profile::Level { height },
            Some(height_end) => Profile::Slope { height, height_end },
        }),
        (Some(peak), Some(peak_at)) => Some(Profile::Peak {
            height,
            peak: Length::from_metres(peak),
            peak_at: Length::from_metres(peak_at),
            height_end,
        }),
        (Some(_), None) => {
            decoder.refuse(
                "peak_at_m",
                "MISSING",
                "peak_m is given and peak_at_m is not; say how far from the wall's start the peak stands",
            );
            None
        }
        (None, Some(_)) => {
            decoder.refuse(
                "peak_m",
                "MISSING",
                "peak_at_m is given and peak_m is not; say how high the peak stands",
            );
            None
        }
    }
}

/// How it thins upward.
fn taper(decoder: &mut Decoder<'_>, wire: &wire::Wall) -> Option<Option<Taper>> {
    let top = decoder.any_number_if_any("thickness_top_mm", &wire.thickness_top_mm);
    let batter: Option<Batter> = choice::batter(decoder, "batter", wire.batter);
    let (top, batter) = (top?, batter?);
    if top.is_none() && wire.batter != 0 {
        decoder.refuse(
            "thickness_top_mm",
            "MISSING",
            "batter is given and thickness_top_mm is not; give the thickness at the top, or leave batter out",
        );
    }
    Some(top.map(|top| Taper {
        thickness_top: Length::from_mm(top),
        batter,
    }))
}

/// How its far end meets another wall.
fn end(decoder: &mut Decoder<'_>, wire: &wire::Wall, turn: Option<Decimal>) -> Option<End> {
    let at = decoder.any_number_if_any("into_at_m", &wire.into_at_m);
    let word = meeting(decoder, "ends", &wire.ends);
    let (at, word) = (at?, word?);
    match (word, at) {
        (Meeting::Free, None) => Some(End::Free),
        (Meeting::Corner(wall), None) => Some(End::Corner { wall }),
        (Meeting::Into(wall), Some(at)) => Some(End::Into {
            wall,
            at: Length::from_metres(at),
            turn_degrees: turn.unwrap_or(RIGHT_ANGLE),
        }),
        (Meeting::Into(wall), None) => {
            refuse_into_without_place(decoder, "into_at_m", "ends", &wall);
            None
        }
        (Meeting::Free | Meeting::Corner(_), Some(_)) => {
            refuse_place_without_into(decoder, "into_at_m", "ends");
            None
        }
    }
}

/// How its start does.
fn start(decoder: &mut Decoder<'_>, wire: &wire::Wall) -> Option<End> {
    let at = decoder.any_number_if_any("start_into_at_m", &wire.start_into_at_m);
    let turn = decoder.any_number_if_any("start_turn_deg", &wire.start_turn_deg);
    let word = meeting(decoder, "starts", &wire.starts);
    let (at, turn, word) = (at?, turn?, word?);
    if turn.is_some() && !matches!(word, Meeting::Into(_)) {
        refuse_place_without_into(decoder, "start_turn_deg", "starts");
    }
    match (word, at) {
        (Meeting::Free, None) => Some(End::Free),
        (Meeting::Corner(wall), None) => Some(End::Corner { wall }),
        (Meeting::Into(wall), Some(at)) => Some(End::Into {
            wall,
            at: Length::from_metres(at),
            turn_degrees: turn.unwrap_or(RIGHT_ANGLE),
        }),
        (Meeting::Into(wall), None) => {
            refuse_into_without_place(decoder, "start_into_at_m", "starts", &wall);
            None
        }
        (Meeting::Free | Meeting::Corner(_), Some(_)) => {
            refuse_place_without_into(decoder, "start_into_at_m", "starts");
            None
        }
    }
}

fn refuse_into_without_place(
    decoder: &mut Decoder<'_>,
    field: &'static str,
    word: &str,
    wall: &str,
) {
    decoder.refuse(
        field,
        "MISSING",
        format!(
            "{word} is into:{wall} and {field} is empty; say where on that wall's centre line, from its start"
        ),
    );
}

fn refuse_place_without_into(decoder: &mut Decoder<'_>, field: &'static str, word: &str) {
    decoder.refuse(
        field,
        "ONLY_WITH_INTO",
        format!("{field} is for a wall that runs into another; set {word} to into:ID, or leave {field} out"),
    );
}

/// How an end meets another wall, in the words of a drawing.
enum Meeting {
    Free,
    Corner(String),
    Into(String),
}

/// Reads `free`, `corner:ID` or `into:ID`; nothing means free.
fn meeting(decoder: &mut Decoder<'_>, field: &'static str, text: &str) -> Option<Meeting> {
    if text.is_empty() || text == "free" {
        return Some(Meeting::Free);
    }
    match text.split_once(':') {
        Some(("corner", wall)) if !wall.is_empty() => decoder
            .text_if_any(field, wall, ID_CHARACTERS_MAX)
            .map(Meeting::Corner),
        Some(("into", wall)) if !wall.is_empty() => decoder
            .text_if_any(field, wall, ID_CHARACTERS_MAX)
            .map(Meeting::Into),
        _ => {
            decoder.refuse(
                field,
                "NOT_A_MEETING",
                format!(
                    "{field} is {}; write free, corner:ID or into:ID, with the id of another wall",
                    crate::name::quoted(text)
                ),
            );
            None
        }
    }
}
