//! Stem walls and trenches: what lies beneath the walls, on the same centre lines.

use hod_domain::geometry::{End, Path, WallDrawing};
use hod_domain::job::{Ground, Job, Masonry, ScopeHolder, StemWall, Trench};
use hod_domain::library::Library;
use hod_domain::material::{Material, PieceSize};
use hod_domain::mix::Purpose;
use hod_domain::unit::Unit;
use hod_domain::work::{Driver, Task};
use hod_units::Decimal;
use rust_decimal::dec;

use crate::commerce_sample::scope;
use crate::parts_sample::*;
use crate::sample::*;
use crate::system_sample::{amount, mix_id, orders, plumb, refused, rounded, taken_off, told};

/// 4.00 m long, 0.50 m thick, on a stem wall 0.60 m high.
fn south() -> WallDrawing {
    WallDrawing {
        stem_height: metres(dec!(0.60)),
        ..plumb("south", dec!(4.00), dec!(2.00), dec!(0.50))
    }
}

fn stone(mortar_percent: Decimal) -> StemWall {
    StemWall {
        masonry: Masonry::StoneInMortar {
            stone: material_id("stone"),
            mortar: mix_id("mortar"),
            mortar_share: percent(mortar_percent),
        },
        thickness: None,
        damp_course: None,
    }
}

fn bags() -> StemWall {
    StemWall {
        masonry: Masonry::Bags {
            bag: material_id("earth-bag"),
            fill: mix_id("fill"),
        },
        ..stone(dec!(0))
    }
}

fn on(stem: StemWall, walls: Vec<WallDrawing>) -> Job {
    Job {
        stem_wall: Some(stem),
        ..bare(walls)
    }
}

/// Stone of 2400 kg/m3 itself; bags of 500 x 380 x 125 mm as tamped, 0.02375 m3.
fn library() -> Library {
    let stone = Material {
        density_loose: Some(density(dec!(2400))),
        ..bought("stone", Unit::T)
    };
    let size = PieceSize {
        length: millimetres(dec!(500)),
        width: millimetres(dec!(380)),
        height: millimetres(dec!(125)),
    };
    let bag = Material {
        size: Some(size),
        ..bought("earth-bag", Unit::Each)
    };
    let recipes = vec![
        recipe_for("mortar", Purpose::Mortar),
        recipe_for("fill", Purpose::Fill),
    ];
    let drain = bought("drain", Unit::M);
    let sheets = ["damp-course", "fabric"].map(|id| bought(id, Unit::M2));
    let mut materials = vec![stone, bag, drain, bought("tipping", Unit::M3)];
    materials.extend(sheets);
    library_of_recipes(recipes, materials)
}

fn ring(width: Decimal, depth: Decimal, thickness: Decimal) -> Vec<WallDrawing> {
    let sides = [
        ("south", width),
        ("east", depth),
        ("north", width),
        ("west", depth),
    ];
    let next = ["east", "north", "west", "south"];
    let wall = |((id, length), next): ((&str, Decimal), &str)| WallDrawing {
        end: End::Corner {
            wall: next.to_owned(),
        },
        ..plumb(id, length, dec!(2.40), thickness)
    };
    sides.into_iter().zip(next).map(wall).collect()
}

/// 4.00 x 0.50 x 0.60 = 1.2 m3, of which 35 % are mortar, 0.42, and 65 % stone, 0.78 m3 or 1.872 t.
#[test]
fn stone_is_what_the_mortar_leaves() {
    let takeoff = taken_off(&on(stone(dec!(35)), vec![south()]), &library());
    assert_eq!(
        lines(&takeoff, "stem wall"),
        [
            "stone in mortar, wall south: 1.2 m3",
            "stone as laid: 0.78 m3"
        ]
    );
    assert_eq!(standing(&takeoff, "mortar"), dec!(0.42));
    assert_eq!(orders(&takeoff), ["soil: 0.5 m3", "stone: 1.88 t"]);
    assert_eq!(
        amount(&takeoff, Task::LayStem, Driver::M3Placed),
        Some(dec!(1.2))
    );
    // 2 x 4.00 x 0.60.
    assert_eq!(
        amount(&takeoff, Task::LayStem, Driver::M2Face),
        Some(dec!(4.8))
    );
    assert_eq!(
        amount(&takeoff, Task::LayStem, Driver::Batch),
        Some(dec!(5))
    );
}

#[test]
fn stone_is_ordered_swollen_to_the_heap_where_its_swell_is_known() {
    let heap = |unit| Material {
        swell: percent(dec!(65)),
        density_loose: Some(density(dec!(1450))),
        ..bought("stone", unit)
    };
    let quantity = |stone: Material| {
        let mut library = library();
        library.materials[0] = stone;
        let takeoff = taken_off(&on(stone_of_35(), vec![south()]), &library);
        let order = takeoff
            .orders
            .into_iter()
            .find(|order| order.material == material_id("stone"));
        order.expect("stone").basis.work().expect("small")
    };
    // 0.78 x 1.65 = 1.287 m3 in the heap, 1.86615 t.
    assert_eq!(quantity(heap(Unit::M3)), dec!(1.287));
    assert_eq!(quantity(heap(Unit::T)), dec!(1.86615));
    assert_eq!(quantity(heap(Unit::Kg)), dec!(1866.15));
}

fn stone_of_35() -> StemWall {
    stone(dec!(35))
}

/// 1.2 m3 of bags of 0.02375 m3: 50.5, so 51; 0.60 m of courses of 125 mm: 4.8, so 5.
#[test]
fn bags_are_whole_and_so_are_their_courses() {
    let takeoff = taken_off(&on(bags(), vec![south()]), &library());
    assert_eq!(told(&takeoff, "stem wall", "bags laid"), "51 bag");
    assert_eq!(
        told(&takeoff, "stem wall", "courses of bags, wall south"),
        "5 each"
    );
    assert_eq!(standing(&takeoff, "fill"), dec!(1.2));
    assert_eq!(orders(&takeoff), ["soil: 1.2 m3", "earth-bag: 51 each"]);
    assert_eq!(
        amount(&takeoff, Task::LayStem, Driver::Piece),
        Some(dec!(51))
    );
    // Two walls share a bag: 2.4 m3 are 101.05, and not twice 51.
    let east = WallDrawing {
        id: "east".to_owned(),
        ..south()
    };
    let takeoff = taken_off(&on(bags(), vec![south(), east]), &library());
    assert_eq!(told(&takeoff, "stem wall", "bags laid"), "102 bag");
}

/// A door whose sill is 0.20 m below the wall takes 0.90 x 0.20 x 0.50 = 0.09 m3 out of the stem wall.
#[test]
fn a_door_cuts_the_stem_wall() {
    let mut wall = south();
    wall.openings.push(opening(
        "door",
        dec!(0.90),
        dec!(2.00),
        dec!(-0.20),
        dec!(1.00),
    ));
    let takeoff = taken_off(&on(stone(dec!(35)), vec![wall]), &library());
    assert_eq!(
        told(&takeoff, "stem wall", "stone in mortar, wall south"),
        "1.11 m3"
    );
    // 4.8 m2 of faces less 2 x 0.18.
    assert_eq!(
        amount(&takeoff, Task::LayStem, Driver::M2Face),
        Some(dec!(4.44))
    );
}

/// 4.00 x 0.50 = 2 m2 of plan less a door of 0.90 x 0.50 = 0.45 m2; splayed by 0.20 m it is 1.00 m wide on the mean, 0.5 m2.
/// A window that stands on the stem wall cuts nothing of it.
#[test]
fn the_damp_course_stops_at_a_door_that_cuts_the_stem_wall() {
    let course = |sill: Decimal, splay: Decimal| {
        let mut wall = south();
        let door = opening("door", dec!(0.90), dec!(1.80), sill, dec!(1.00));
        wall.openings.push(hod_domain::geometry::Opening {
            splay: metres(splay),
            ..door
        });
        let stem = StemWall {
            damp_course: Some(material_id("damp-course")),
            ..stone(dec!(35))
        };
        let takeoff = taken_off(&on(stem, vec![wall]), &library());
        told(&takeoff, "stem wall", "damp-proof course")
    };
    assert_eq!(course(dec!(-0.20), dec!(0)), "1.55 m2");
    assert_eq!(course(dec!(-0.20), dec!(0.20)), "1.5 m2");
    assert_eq!(course(dec!(0), dec!(0)), "2 m2");
}

/// A round window 0.80 m across that reaches 0.30 m down: a segment of 0.3 m of a circle of radius 0.4 m, whose area is
/// r^2 acos(0.25) - 0.1 x sqrt(0.16 - 0.01) = 0.16 x 1.318116 - 0.0387298 = 0.1721688 m2.
#[test]
fn what_is_round_cuts_the_stem_wall_round() {
    let mut wall = south();
    let mut window = opening("eye", dec!(0.80), dec!(0.80), dec!(-0.30), dec!(1.00));
    window.shape = hod_domain::geometry::OpeningShape::Circle;
    wall.openings.push(window);
    let takeoff = taken_off(&on(stone(dec!(35)), vec![wall]), &library());
    // 1.2 - 0.1721688 x 0.50.
    assert_eq!(
        told(&takeoff, "stem wall", "stone in mortar, wall south"),
        "1.114 m3"
    );
}

#[test]
fn a_stem_wall_turns_its_corners_with_its_own_thickness() {
    let walls = ring(dec!(6.00), dec!(4.00), dec!(0.45))
        .into_iter()
        .map(|wall| WallDrawing {
            stem_height: metres(dec!(0.50)),
            ..wall
        });
    let stem = StemWall {
        thickness: Some(millimetres(dec!(600))),
        damp_course: Some(material_id("damp-course")),
        ..stone(dec!(30))
    };
    let takeoff = taken_off(&on(stem, walls.collect()), &library());
    // (6.60 x 4.60 - 5.40 x 3.40) x 0.50 = 12 x 0.5; the centre line of 20 m times 0.60 is the plan, 12 m2.
    assert_eq!(told(&takeoff, "stem wall", "damp-proof course"), "12 m2");
    assert_eq!(standing(&takeoff, "mortar"), dec!(1.8));
}

#[test]
fn walls_without_a_stem_wall_have_none() {
    let mut walls = ring(dec!(6.00), dec!(4.00), dec!(0.45));
    walls[0].stem_height = metres(dec!(0.50));
    let takeoff = taken_off(&on(stone(dec!(35)), walls.clone()), &library());
    // Cut square at its corner points: 6.00 x 0.45 x 0.50.
    assert_eq!(
        told(&takeoff, "stem wall", "stone in mortar, wall south"),
        "1.35 m3"
    );
    assert_eq!(lines(&takeoff, "stem wall").len(), 2);
    let takeoff = taken_off(
        &on(stone(dec!(35)), ring(dec!(6), dec!(4), dec!(0.45))),
        &library(),
    );
    assert!(lines(&takeoff, "stem wall").is_empty());
}

#[test]
fn a_stem_wall_that_nobody_described_is_not_counted_and_said_so() {
    let takeoff = taken_off(&bare(vec![south()]), &library());
    assert!(takeoff.lines.is_empty());
    let reasons: Vec<_> = takeoff
        .cautions
        .iter()
        .map(|caution| caution.reason)
        .collect();
    assert_eq!(reasons, ["STEM_WALL_NOT_COUNTED"]);
    let plain = plumb("south", dec!(4.00), dec!(2.00), dec!(0.50));
    assert!(
        taken_off(&bare(vec![plain]), &library())
            .cautions
            .is_empty()
    );
}

#[test]
fn what_a_stem_wall_is_built_of_must_be_there_and_counted_in_its_unit() {
    let mut library = library();
    library.materials[0].density_loose = None;
    library.materials[1].size = None;
    let missing = |stem| refused(&on(stem, vec![south()]), &library);
    assert_eq!(
        missing(stone(dec!(35))),
        [("density_loose_kg_m3".to_owned(), "DENSITY_MISSING")]
    );
    assert_eq!(
        missing(bags()),
        [("stem_wall.bag_material".to_owned(), "PIECE_HAS_NO_SIZE")]
    );
    let by_the_metre = StemWall {
        masonry: Masonry::StoneInMortar {
            stone: material_id("drain"),
            mortar: mix_id("putty"),
            mortar_share: percent(dec!(30)),
        },
        damp_course: Some(material_id("lead")),
        ..stone(dec!(30))
    };
    let expected = [
        ("stem_wall.stone_material", "MATERIAL_UNIT_UNFIT"),
        ("stem_wall.mortar_mix", "MIX_UNKNOWN"),
        ("stem_wall.damp_course_material", "MATERIAL_UNKNOWN"),
    ];
    assert_eq!(
        missing(by_the_metre),
        expected.map(|(field, reason)| (field.to_owned(), reason))
    );
}

#[test]
fn a_stem_wall_thicker_than_its_arc_bends_is_refused_of_its_thickness() {
    let arc = WallDrawing {
        path: Path::Arc {
            radius: metres(dec!(0.50)),
            bend_degrees: dec!(90),
        },
        ..south()
    };
    let stem = StemWall {
        thickness: Some(metres(dec!(1.20))),
        ..stone(dec!(30))
    };
    let field = "stem_wall.thickness_mm".to_owned();
    assert_eq!(
        refused(&on(stem, vec![arc]), &library()),
        [(field, "ARC_TIGHTER_THAN_THICKNESS")]
    );
}

fn trench(width: Decimal, depth: Decimal) -> Trench {
    Trench {
        width: metres(width),
        depth: metres(depth),
        fill: mix_id("fill"),
        drain: None,
        fabric: None,
    }
}

/// By the long-wall short-wall method and by the centre line alike: 39.0 m x 1.1 m x 1.0 m = 42.90 m3.
#[test]
fn a_trench_is_its_centre_line_times_its_width_and_depth() {
    let job = Job {
        trench: Some(trench(dec!(1.1), dec!(1.0))),
        ..bare(ring(dec!(11.5), dec!(8.0), dec!(0.45)))
    };
    let takeoff = taken_off(&job, &library());
    assert_eq!(standing(&takeoff, "fill"), dec!(42.90));
    assert_eq!(
        amount(&takeoff, Task::Trench, Driver::M3Bank),
        Some(dec!(42.90))
    );
    assert_eq!(
        amount(&takeoff, Task::FillTrench, Driver::M3Placed),
        Some(dec!(42.90))
    );
    assert_eq!(
        told(&takeoff, "trench", "dug and filled, wall south"),
        "12.65 m3"
    );
    // The long-wall short-wall method: two of 11.5 + 1.1 m and two of 8.0 - 1.1 m.
    let long_and_short = dec!(2) * (dec!(12.6) + dec!(6.9)) * dec!(1.1);
    assert_eq!(rounded(long_and_short, 2), "42.9");
}

#[test]
fn drain_and_cloth_run_with_the_trench() {
    let job = Job {
        trench: Some(Trench {
            drain: Some(material_id("drain")),
            fabric: Some(material_id("fabric")),
            ..trench(dec!(0.6), dec!(0.5))
        }),
        ..bare(ring(dec!(6.00), dec!(4.00), dec!(0.45)))
    };
    let takeoff = taken_off(&job, &library());
    assert_eq!(told(&takeoff, "trench", "drain"), "20 m");
    // (2 x 0.6 + 2 x 0.5) x 20.
    assert_eq!(told(&takeoff, "trench", "fabric, laps not within"), "44 m2");
    let orders = orders(&takeoff);
    assert_eq!(orders[1..], ["drain: 20 m", "fabric: 44 m2"]);
}

#[test]
fn a_trench_under_a_wall_that_runs_into_another_stops_at_its_side() {
    let mut guest = plumb("guest", dec!(3.00), dec!(2.00), dec!(0.30));
    guest.end = End::Into {
        wall: "host".to_owned(),
        at: metres(dec!(2.00)),
        turn_degrees: dec!(90),
    };
    let job = Job {
        trench: Some(Trench {
            drain: Some(material_id("drain")),
            ..trench(dec!(0.80), dec!(0.50))
        }),
        ..bare(vec![
            plumb("host", dec!(4.00), dec!(2.00), dec!(0.30)),
            guest,
        ])
    };
    let takeoff = taken_off(&job, &library());
    // 4.00 and 3.00 - 0.40, each 0.80 x 0.50; the drain runs on to the other's.
    assert_eq!(standing(&takeoff, "fill"), dec!(2.64));
    assert_eq!(told(&takeoff, "trench", "drain"), "7 m");
}

#[test]
fn a_wall_without_a_stem_stands_on_the_floor_where_others_have_one() {
    let job = Job {
        trench: Some(trench(dec!(0.80), dec!(0.50))),
        ..bare(vec![
            south(),
            plumb("partition", dec!(3.00), dec!(2.00), dec!(0.10)),
        ])
    };
    // Under the wall with a stem alone: 4.00 x 0.80 x 0.50.
    assert_eq!(standing(&taken_off(&job, &library()), "fill"), dec!(1.60));
}

/// Nobody mixes rubble, and the batches of the job are those that are mixed.
#[test]
fn fills_are_not_among_the_batches_of_a_job() {
    let job = Job {
        trench: Some(trench(dec!(0.80), dec!(0.50))),
        ..bare(vec![south()])
    };
    let takeoff = taken_off(&job, &library());
    assert!(0 < batches(&takeoff, "fill"));
    assert_eq!(takeoff.batch_count, Some(0));
}

#[test]
fn what_is_dug_out_of_a_trench_is_loose_by_its_swell() {
    let job = Job {
        trench: Some(trench(dec!(1.1), dec!(1.0))),
        ground: Some(Ground {
            swell: percent(dec!(25)),
            tip: Some(material_id("tipping")),
            ..Ground::default()
        }),
        ..bare(ring(dec!(11.5), dec!(8.0), dec!(0.45)))
    };
    let takeoff = taken_off(&job, &library());
    assert_eq!(
        told(&takeoff, "ground", "spoil taken away, loose"),
        "53.625 m3"
    );
    assert_eq!(
        amount(&takeoff, Task::Trench, Driver::M3Loose),
        Some(dec!(53.625))
    );
    assert_eq!(
        amount(&takeoff, Task::Tip, Driver::M3Loose),
        Some(dec!(53.625))
    );
    assert_eq!(orders(&takeoff)[1], "tipping: 53.63 m3");
    let stays = Job {
        ground: Some(Ground {
            swell: percent(dec!(25)),
            ..Ground::default()
        }),
        ..job
    };
    let takeoff = taken_off(&stays, &library());
    assert_eq!(
        told(&takeoff, "ground", "spoil that stays, loose"),
        "53.625 m3"
    );
    assert_eq!(amount(&takeoff, Task::Tip, Driver::M3Loose), None);
}

#[test]
fn spoil_that_is_taken_away_and_not_said_to_swell_is_cautioned() {
    let cautions = |tip: Option<&str>, swell| {
        let job = Job {
            trench: Some(trench(dec!(1.1), dec!(1.0))),
            ground: Some(Ground {
                swell: percent(swell),
                tip: tip.map(material_id),
                ..Ground::default()
            }),
            ..bare(ring(dec!(11.5), dec!(8.0), dec!(0.45)))
        };
        let takeoff = taken_off(&job, &library());
        let all = takeoff.cautions.iter();
        all.filter(|caution| caution.reason == "SPOIL_SWELL_NOT_GIVEN")
            .count()
    };
    assert_eq!(cautions(Some("tipping"), dec!(0)), 1);
    assert_eq!(cautions(Some("tipping"), dec!(25)), 0);
    assert_eq!(cautions(None, dec!(0)), 0);
}

fn cautions(takeoff: &hod_domain::takeoff::Takeoff) -> Vec<(&'static str, &str)> {
    let all = takeoff.cautions.iter();
    let of_stem_or_trench =
        all.filter(|caution| ["stem wall", "trench"].contains(&&*caution.subject));
    of_stem_or_trench
        .map(|caution| (caution.reason, &*caution.description))
        .collect()
}

#[test]
fn a_stem_wall_thinner_than_its_wall_is_cautioned_once_for_all_walls() {
    let named = |id: &str, thickness| WallDrawing {
        id: id.to_owned(),
        thickness: metres(thickness),
        ..south()
    };
    let walls = vec![
        named("south", dec!(0.50)),
        named("north", dec!(0.45)),
        named("east", dec!(0.60)),
    ];
    let of = |mm| StemWall {
        thickness: Some(millimetres(mm)),
        ..stone(dec!(35))
    };
    let takeoff = taken_off(&on(of(dec!(450)), walls.clone()), &library());
    let told = cautions(&takeoff);
    assert_eq!((told.len(), told[0].0), (1, "STEM_WALL_NARROWER_THAN_WALL"));
    assert!(
        told[0].1.contains("450 mm thick") && told[0].1.contains(", wall south and wall east:"),
        "{told:?}"
    );
    assert_eq!(
        cautions(&taken_off(&on(of(dec!(600)), walls.clone()), &library())),
        []
    );
    assert_eq!(
        cautions(&taken_off(&on(stone(dec!(35)), walls), &library())),
        []
    );
}

#[test]
fn a_stem_wall_that_no_wall_stands_on_is_cautioned() {
    let wall = plumb("south", dec!(4.00), dec!(2.00), dec!(0.50));
    let takeoff = taken_off(&on(stone(dec!(35)), vec![wall]), &library());
    assert!(lines(&takeoff, "stem wall").is_empty());
    let reasons: Vec<_> = cautions(&takeoff).iter().map(|told| told.0).collect();
    assert_eq!(reasons, ["STEM_WALL_HAS_NO_HEIGHT"]);
}

/// Walls of 0.50 m, on a stem wall of 0.60 m where one is told.
#[test]
fn a_trench_narrower_than_what_stands_on_it_is_cautioned() {
    let told = |width, stem: Option<Decimal>| {
        let stem_wall = StemWall {
            thickness: stem.map(metres),
            ..stone(dec!(35))
        };
        let job = Job {
            trench: Some(trench(width, dec!(0.5))),
            ..on(stem_wall, vec![south()])
        };
        let takeoff = taken_off(&job, &library());
        let told: Vec<String> = cautions(&takeoff)
            .iter()
            .map(|(reason, words)| format!("{reason}: {words}"))
            .collect();
        told
    };
    assert_eq!(told(dec!(0.50), None), Vec::<String>::new());
    assert_eq!(told(dec!(0.60), Some(dec!(0.60))), Vec::<String>::new());
    for (width, stem) in [(dec!(0.49), None), (dec!(0.55), Some(dec!(0.60)))] {
        let told = told(width, stem);
        assert_eq!(told.len(), 1, "{told:?}");
        assert!(told[0].starts_with("TRENCH_NARROWER_THAN_WALL: the trench is "));
        assert!(told[0].contains("under wall south:"), "{told:?}");
    }
}

#[test]
fn a_drain_in_the_trench_and_a_damp_course_price_their_parts() {
    let mut job = on(
        StemWall {
            damp_course: Some(material_id("damp-course")),
            ..stone(dec!(20))
        },
        vec![south()],
    );
    job.trench = Some(Trench {
        drain: Some(material_id("drain")),
        ..trench(dec!(0.6), dec!(0.5))
    });
    job.scope = ["drainage", "damp-proofing"]
        .map(|id| scope(id, ScopeHolder::Ours))
        .to_vec();
    let told = |job: &Job| -> Vec<String> {
        let takeoff = taken_off(job, &library());
        let of_scope = takeoff
            .cautions
            .iter()
            .filter(|caution| caution.reason == "SCOPE_NOT_PRICED");
        of_scope
            .map(|caution| caution.description.to_string())
            .collect()
    };
    assert_eq!(told(&job), Vec::<String>::new());
    if let Some(trench) = &mut job.trench {
        trench.drain = None;
    }
    let words = |parts: &str| {
        format!(
            "ours by the scope, and no cost names it: {parts}; give what it costs with its part, or say that it is by others or \
             excluded"
        )
    };
    assert_eq!(told(&job), [words("drainage")]);
    job.stem_wall = Some(stone(dec!(20)));
    assert_eq!(told(&job), [words("drainage, damp-proofing")]);
}
