//! Jobs: what holds for all the walls, handed down to each wall that says nothing of its own, and what there is besides
//! the walls.

use hod_domain::job::{Build, Floor, Ground, Job, Oven, StemWall, Trench, WallWork};
use hod_units::{Length, Share};
use hod_wire::v1 as wire;
use rust_decimal::dec;

use super::build::{Builds, LIFT_HEIGHT, within};
use super::build_up::build_up_change;
use super::commerce::{Commerce, commerce};
use super::finish::finishes;
use super::floor::floor;
use super::ground::ground;
use super::labour_constant::method_if_any;
use super::oven::oven;
use super::stem_wall::{stem_wall, trench};
use super::wall::{DrawnWall, STEM_HEIGHT, WholeJob, wall};
use super::{Bounds, Decoder, NAME_CHARACTERS_MAX, choice};
use crate::name::{Crews, Mixes, RulePacks, Sites};

const WASTE: Bounds = Bounds::of(dec!(0), dec!(50), "%");
const PARINGS_REUSED: Bounds = Bounds::of(dec!(0), dec!(100), "%");

/// Most walls of a job.
pub const WALLS_MAX: usize = 5000;

/// Most floors of a job.
const FLOORS_MAX: usize = 100;

/// Most ovens of a job.
const OVENS_MAX: usize = 20;

/// What could be read of a job.
pub enum Drawn {
    /// All of it.
    Job(Box<Job>),
    /// These of its walls, each with its place; so that what is wrong with them is told together with what could
    /// not be read.
    Walls {
        /// The walls.
        walls: Vec<(usize, DrawnWall)>,
        /// Whether they are all that was sent.
        are_whole: bool,
    },
}

/// Reads a job. Sizes of walls that are numbers at all are handed on, however absurd: geometry judges them.
pub fn job<'a>(decoder: &mut Decoder<'a>, wire: &'a wire::Job) -> Drawn {
    let head = head(decoder, wire);
    let (mut whole, finishes) = whole_job(decoder, wire);
    let beside = beside(decoder, wire);
    let commerce = commerce(decoder, wire);
    let sent = decoder.list("walls", &wire.walls, 1, WALLS_MAX);
    let mut walls = Vec::with_capacity(sent.len());
    for (place, sent) in sent.iter().enumerate() {
        let drawn = decoder.at("walls", place, |decoder| {
            decoder.about("wall", &sent.id, |decoder| {
                wall(decoder, (place, sent), &mut whole)
            })
        });
        walls.extend(drawn.map(|drawn| (place, drawn)));
    }
    let are_whole = walls.len() == wire.walls.len() && walls.iter().all(|(_, wall)| wall.is_whole);
    let said = finishes.and_then(|()| {
        Some((
            with_commerce(head?, commerce?),
            beside?,
            whole.builds.whole()?,
        ))
    });
    match (said, are_whole) {
        (Some(said), true) if walls.iter().all(|(_, wall)| wall.work.is_some()) => {
            Drawn::Job(Box::new(put_together(said, walls)))
        }
        _ => Drawn::Walls { walls, are_whole },
    }
}

fn put_together(
    (head, beside, builds): (Job, Beside, Vec<Build>),
    walls: Vec<(usize, DrawnWall)>,
) -> Job {
    let drawn = walls.into_iter().map(|(_, wall)| (wall.drawing, wall.work));
    let (walls, works): (Vec<_>, Vec<Option<WallWork>>) = drawn.unzip();
    Job {
        builds,
        walls,
        works: works.into_iter().flatten().collect(),
        stem_wall: beside.stem_wall,
        trench: beside.trench,
        floors: beside.floors,
        ovens: beside.ovens,
        ground: beside.ground,
        ..head
    }
}

fn with_commerce(head: Job, commerce: Commerce) -> Job {
    Job {
        scope: commerce.scope,
        costs: commerce.costs,
        site_time: commerce.site_time,
        sources: commerce.sources,
        ..head
    }
}

/// What a job says of itself, without what it is made of.
fn head<'a>(decoder: &mut Decoder<'a>, wire: &'a wire::Job) -> Option<Job> {
    let display_name = decoder.text("display_name", &wire.display_name, NAME_CHARACTERS_MAX);
    let site = decoder.name_if_any::<Sites>("site", &wire.site);
    let mixing = method_if_any(decoder, "mixing", &wire.mixing);
    let crew = decoder.name_if_any::<Crews>("crew", &wire.crew);
    let waste = decoder.number_if_any("waste_percent", &wire.waste_percent, &WASTE);
    let reused = decoder.number_or_zero(
        "parings_reused_percent",
        &wire.parings_reused_percent,
        &PARINGS_REUSED,
    );
    let measurement = decoder.name_if_any::<RulePacks>("measurement", &wire.measurement);
    let build_up = decoder.part("build_up", wire.build_up.as_ref(), build_up_change);
    let rounding = choice::rounding_if_any(decoder, "rounding", wire.rounding);
    Some(Job {
        display_name: display_name?,
        site: site?,
        mixing: mixing?,
        crew: crew?,
        waste: waste?.map(Share::from_percent),
        parings_reused: Share::from_percent(reused?),
        measurement: measurement?,
        build_up: build_up?.unwrap_or_default(),
        rounding: rounding?,
        ..Job::default()
    })
}

/// What the job says for all walls, and whether all of it could be read. What is wrong with it is told once, here, so
/// that the walls are read as if it were right.
fn whole_job<'a>(decoder: &mut Decoder<'a>, wire: &'a wire::Job) -> (WholeJob, Option<()>) {
    let mix = decoder.name_if_any::<Mixes>("mix", &wire.mix);
    let stem_height = within(decoder, "stem_height_m", &wire.stem_height_m, &STEM_HEIGHT);
    let lift_height = within(decoder, "lift_height_m", &wire.lift_height_m, &LIFT_HEIGHT);
    let lift_height = lift_height.map(Length::from_metres);
    let builds = Builds::read(
        decoder,
        wire,
        mix.as_ref().and_then(Option::as_ref),
        lift_height,
    );
    let finishes = finishes(decoder, &wire.finishes, None);
    let is_read = finishes.is_some() && mix.is_some();
    let whole = WholeJob {
        stem_height: stem_height.map_or(Length::ZERO, Length::from_metres),
        builds,
        finishes: finishes.unwrap_or_default(),
    };
    (whole, is_read.then_some(()))
}

/// What there is besides the walls.
struct Beside {
    stem_wall: Option<StemWall>,
    trench: Option<Trench>,
    floors: Vec<Floor>,
    ovens: Vec<Oven>,
    ground: Option<Ground>,
}

fn beside<'a>(decoder: &mut Decoder<'a>, wire: &'a wire::Job) -> Option<Beside> {
    let stem_wall = decoder.part("stem_wall", wire.stem_wall.as_ref(), stem_wall);
    let trench = decoder.part("trench", wire.trench.as_ref(), trench);
    let sent = decoder.list("floors", &wire.floors, 0, FLOORS_MAX);
    let floors = decoder.each("floors", sent, floor);
    decoder.unlike("floors", sent.iter().map(|floor| floor.id.as_str()));
    let sent = decoder.list("ovens", &wire.ovens, 0, OVENS_MAX);
    let ovens = decoder.each("ovens", sent, oven);
    decoder.unlike("ovens", sent.iter().map(|oven| oven.id.as_str()));
    let ground = decoder.part("ground", wire.ground.as_ref(), ground);
    Some(Beside {
        stem_wall: stem_wall?,
        trench: trench?,
        floors: floors?,
        ovens: ovens?,
        ground: ground?,
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn build(id: &str, system: wire::WallSystem) -> wire::Build {
        wire::Build {
            id: id.into(),
            system: system.into(),
            ..Default::default()
        }
    }

    /// A job of one wall, of cob with a mix; `change` makes it what a test needs.
    fn drawn(change: impl FnOnce(&mut wire::Job)) -> wire::Job {
        let wall = wire::Wall {
            id: "south".into(),
            length_m: "6".into(),
            height_m: "2.4".into(),
            thickness_mm: "450".into(),
            ..Default::default()
        };
        let mut wire = wire::Job {
            display_name: "Studio".into(),
            system: wire::WallSystem::Cob.into(),
            mix: "mixes/house-cob".into(),
            builds: vec![
                build("adobe", wire::WallSystem::Adobe),
                build("bale", wire::WallSystem::StrawBale),
                build("infill", wire::WallSystem::LightStrawClay),
            ],
            walls: vec![wall],
            ..Default::default()
        };
        change(&mut wire);
        wire
    }

    fn read(change: impl FnOnce(&mut wire::Job)) -> Job {
        let wire = drawn(change);
        let mut decoder = Decoder::new();
        let read = job(&mut decoder, &wire);
        assert_eq!(decoder.violations(), []);
        match read {
            Drawn::Job(job) => *job,
            Drawn::Walls { .. } => panic!("a job that reads well"),
        }
    }

    /// Height of a lift in mm of the wall, and of its zone where it has one.
    fn lifts(job: &Job) -> (Option<Length>, Option<Length>) {
        let wall = &job.walls[0];
        let zone = wall.zones.first();
        (wall.lift_height, zone.and_then(|zone| zone.lift_height))
    }

    fn mm(mm: i64) -> Option<Length> {
        Some(Length::from_mm(mm.into()))
    }

    #[test]
    fn a_lift_is_as_high_as_the_wall_says_else_its_build_else_the_job_else_its_system() {
        let of = |build: &str| read(|job| job.walls[0].build = build.into());
        assert_eq!(lifts(&read(|_| {})).0, None, "cob, as geometry has it");
        assert_eq!(lifts(&of("adobe")).0, mm(600));
        assert_eq!(lifts(&of("infill")).0, mm(150));
        assert_eq!(lifts(&of("bale")).0, mm(2000));

        let all = |wall: &str, build: &str, whole: &str| {
            let job = read(|job| {
                job.walls[0].build = "adobe".into();
                job.walls[0].lift_height_m = wall.into();
                job.builds[0].lift_height_m = build.into();
                job.lift_height_m = whole.into();
            });
            lifts(&job).0
        };
        assert_eq!(all("0.5", "0.4", "0.3"), mm(500));
        assert_eq!(all("", "0.4", "0.3"), mm(400));
        assert_eq!(all("", "", "0.3"), mm(300));
    }

    #[test]
    fn a_zones_lift_is_as_high_as_its_build_says_else_the_wall_else_the_job_else_its_system() {
        let all = |build: &str, wall: &str, whole: &str| {
            let job = read(|job| {
                job.walls[0].above = vec![wire::WallAbove {
                    from_m: "1.2".into(),
                    build: "infill".into(),
                }];
                job.walls[0].lift_height_m = wall.into();
                job.builds[2].lift_height_m = build.into();
                job.lift_height_m = whole.into();
            });
            lifts(&job).1
        };
        assert_eq!(all("0.2", "0.5", "0.3"), mm(200));
        assert_eq!(all("", "0.5", "0.3"), mm(500));
        assert_eq!(all("", "", "0.3"), mm(300));
        assert_eq!(all("", "", ""), mm(150));
    }

    #[test]
    fn cob_is_pared_as_its_build_says_else_the_job_and_nothing_else_is_pared() {
        let paring = |build: &str, own: &str, whole: &str| {
            let job = read(|job| {
                let cob = wire::Build {
                    id: "thick".into(),
                    system: wire::WallSystem::Cob.into(),
                    paring_mm: own.into(),
                    ..Default::default()
                };
                job.builds.push(cob);
                job.walls[0].build = build.into();
                job.paring_mm = whole.into();
            });
            Some(job.walls[0].paring)
        };
        assert_eq!(paring("", "", ""), mm(25));
        assert_eq!(paring("", "", "10"), mm(10));
        assert_eq!(paring("adobe", "", "10"), mm(0));
        assert_eq!(paring("thick", "", "10"), mm(10));
        assert_eq!(paring("thick", "5", "10"), mm(5));
        assert_eq!(paring("thick", "0", "10"), mm(0));
    }

    #[test]
    fn paring_of_anything_but_cob_is_refused() {
        let refused = |change: fn(&mut wire::Job)| {
            let wire = drawn(change);
            let mut decoder = Decoder::new();
            job(&mut decoder, &wire);
            let violations = decoder.violations().into_iter();
            let told = violations.map(|violation| (violation.field, violation.description));
            told.collect::<Vec<_>>()
        };
        let told = refused(|job| job.builds[0].paring_mm = "25".into());
        let [(field, description)] = &told[..] else {
            panic!("one fault, not {told:?}");
        };
        assert_eq!(field, "builds[0].paring_mm");
        assert!(
            description.ends_with(
                "paring_mm is of cob alone, and adobe is not pared; leave it out, or give 0"
            ),
            "{description}"
        );
        assert_eq!(refused(|job| job.builds[0].paring_mm = "0".into()), []);

        // The job's own is for whatever in it is of cob.
        let told = refused(|job| {
            job.system = wire::WallSystem::RammedEarth.into();
            job.paring_mm = "25".into();
        });
        assert_eq!(told.len(), 1, "{told:?}");
        assert_eq!(told[0].0, "paring_mm");
        let of_a_wall = refused(|job| {
            job.system = wire::WallSystem::RammedEarth.into();
            job.paring_mm = "25".into();
            job.walls[0].system = wire::WallSystem::Cob.into();
        });
        assert_eq!(of_a_wall, []);
    }

    #[test]
    fn what_a_wall_says_by_system_alone_is_built_once_for_each_system_of_the_jobs_mix() {
        let job = read(|job| {
            let of = |id: &str, system: wire::WallSystem| wire::Wall {
                id: id.into(),
                system: system.into(),
                ..job.walls[0].clone()
            };
            job.walls = vec![
                of("a", wire::WallSystem::Unspecified),
                of("b", wire::WallSystem::RammedEarth),
                of("c", wire::WallSystem::Cob),
                of("d", wire::WallSystem::RammedEarth),
                of("e", wire::WallSystem::StrawBale),
            ];
        });
        let builds: Vec<usize> = job.works.iter().map(|work| work.build).collect();
        // After the job's own and the three that it says.
        assert_eq!(builds, [0, 4, 0, 4, 5]);
        let rammed = &job.builds[4];
        assert_eq!((rammed.id.as_str(), rammed.field.as_str()), ("", ""));
        assert_eq!(rammed.mix, job.builds[0].mix);
        assert!(rammed.mix.is_some());
        assert_eq!(job.builds[5].mix, None, "bales have none");
        assert_eq!(job.builds[1].field, "builds[0]");
    }

    #[test]
    fn a_face_for_which_a_wall_names_no_finish_has_the_jobs() {
        let coats = |face: wire::Face, coat: &str| wire::Finish {
            face: face.into(),
            coats: vec![coat.into()],
            ..Default::default()
        };
        let job = read(|job| {
            job.finishes = vec![
                coats(wire::Face::Inner, "clay:12"),
                coats(wire::Face::Outer, "lime:15"),
            ];
            job.walls[0].finishes = vec![coats(wire::Face::Outer, "limewash:0.3")];
        });
        let finishes = job.works[0].finishes.iter();
        let told: Vec<(&str, &str)> = finishes
            .map(|finish| (finish.field.as_str(), finish.coats[0].mix.as_str()))
            .collect();
        assert_eq!(
            told,
            [
                ("walls[0].finishes[0]", "limewash"),
                ("finishes[0]", "clay")
            ]
        );
    }
}
