//! Batches for a job and for a lift, and how volumes come about.

use hod_domain::geometry::{Batter, End, Path, Profile, Taper, WallDrawing};
use hod_domain::library::Library;
use hod_domain::mix::{Mix, Recipe};
use hod_domain::takeoff::{Takeoff, measure};
use hod_units::{Decimal, Rounding, Volume, canonical, round};
use rust_decimal::dec;

use crate::sample::*;

fn takeoff(length: Decimal) -> Takeoff {
    let mut job = job(vec![wall("south", length, dec!(1), dec!(0.5))]);
    job.walls[0].paring = hod_units::Length::ZERO;
    job.walls[0].lift_height = Some(metres(dec!(0.5)));
    measure(&job, &library()).expect("a good wall")
}

fn count(takeoff: &Takeoff) -> Option<u32> {
    takeoff.batch_count
}

#[test]
fn batches_are_placed_volume_and_waste_over_the_yield_rounded_up_once() {
    let table = [
        // 0.5 m3 to a metre and 10 % of waste, at 0.06 m3 a batch: length x 0.55 / 0.06.
        (dec!(1.2), 11),  // 0.66 / 0.06 = 11 exactly
        (dec!(1.21), 12), // 0.6655 / 0.06 = 11.09
        (dec!(12), 110),  // exactly
        (dec!(0.02), 1),  // 0.183
    ];
    for (length, expected) in table {
        assert_eq!(count(&takeoff(length)), Some(expected), "{length} m");
    }
}

#[test]
fn a_lifts_own_batches_are_rounded_up_for_its_card() {
    // 1.2 m: two lifts of 0.3 m3, 0.33 / 0.06 = 5.5 each: 6 on each card, 11 for the job.
    let takeoff = takeoff(dec!(1.2));
    let cards = takeoff.walls[0].lifts.iter().map(|lift| lift.batches);
    assert_eq!(cards.collect::<Vec<_>>(), [Some(6), Some(6)]);
    assert_eq!(count(&takeoff), Some(11));
}

#[test]
fn a_jobs_own_waste_comes_before_the_mixes() {
    let mut job = job(vec![wall("south", dec!(12), dec!(1), dec!(0.5))]);
    job.walls[0].paring = hod_units::Length::ZERO;
    let count_of = |job: &_| count(&measure(job, &library()).expect("a good wall"));
    // 6 m3 x 1.10 / 0.06 = 110; by the mix's own 5 %: 105.
    assert_eq!(count_of(&job), Some(110));
    job.waste = None;
    assert_eq!(count_of(&job), Some(105));
}

#[test]
fn without_a_recipe_there_are_no_batches() {
    let takeoff = measure(&job_without_mix(), &Library::default()).expect("a good wall");
    assert_eq!(takeoff.batch_count, None);
    assert!(takeoff.mixes.is_empty() && takeoff.orders.is_empty());
    assert!(
        takeoff.walls[0]
            .lifts
            .iter()
            .all(|lift| lift.batches.is_none())
    );
    assert_eq!(
        takeoff
            .lacks
            .iter()
            .map(|fault| fault.reason)
            .collect::<Vec<_>>(),
        ["JOB_NAMES_NO_MIX"]
    );
    assert_eq!(takeoff.totals.placed, Volume::from_cubic_metres(dec!(3.85)));
}

#[test]
fn the_basis_of_a_wall_gives_its_net_volume() {
    let takeoff = measure(&job_without_mix(), &Library::default()).expect("a good wall");
    let basis = takeoff.walls[0].basis();
    let values: Vec<_> = basis
        .terms
        .iter()
        .map(|term| (canonical(term.value), &*term.label))
        .collect();
    assert_eq!(
        values,
        [
            ("4".to_owned(), "length"),
            ("2".to_owned(), "mean height"),
            ("0.5".to_owned(), "mean thickness"),
            ("0.5".to_owned(), "openings, niches and inclusions"),
        ]
    );
    assert_eq!(basis.work(), Some(dec!(3.5)));
}

#[test]
fn the_basis_of_a_batch_count_comes_out_just_below_it() {
    let takeoff = measure(&small_job(), &library()).expect("a good wall");
    let batches = &takeoff.mixes[0];
    // 3.85 + 10 % = 4.235; / 0.06 = 70.583333
    let worked = batches.basis.work().expect("small");
    assert_eq!(
        round(worked, 6, Rounding::HalfAwayFromZero),
        dec!(70.583333)
    );
    assert_eq!(batches.batch_count, 71);
    let sources: Vec<_> = batches
        .basis
        .terms
        .iter()
        .map(|term| term.source.to_string())
        .collect();
    assert_eq!(sources, ["", "job", "mixes/trial-cob, by mass balance"]);
}

#[test]
fn the_source_of_a_yield_says_whether_it_was_measured() {
    let mix = Mix {
        batch_yield_measured: Some(Volume::from_litres(dec!(57))),
        ..mix()
    };
    let recipe = Recipe::new(mix, materials()).expect("weighed");
    let takeoff = measure(&small_job(), &library_of(recipe)).expect("a good wall");
    let batches = &takeoff.mixes[0];
    assert_eq!(batches.basis.terms[2].source, "mixes/trial-cob, measured");
}

#[test]
fn totals_are_the_sums_of_the_walls() {
    let job = job(vec![
        wall("south", dec!(4), dec!(2), dec!(0.5)),
        wall("shed", dec!(3), dec!(1), dec!(0.4)),
    ]);
    let totals = measure(&job, &library()).expect("good walls").totals;
    // 4.0 + 1.2 m3; faces 8 + 3 m2 on each side; 7 m; 4 x 0.5 + 3 x 0.4 m2.
    assert_eq!(totals.net, Volume::from_cubic_metres(dec!(5.2)));
    assert_eq!(totals.inner_face.square_metres(), dec!(11));
    assert_eq!(totals.outer_face.square_metres(), dec!(11));
    assert_eq!(totals.length, metres(dec!(7)));
    assert_eq!(totals.plan_area.square_metres(), dec!(3.2));
    // 5.2 + 22 x 0.025
    assert_eq!(totals.placed, Volume::from_cubic_metres(dec!(5.75)));
}

/// The walls of a closed run, tapered by a batter, with a gable on the second.
fn closed_run(batter: Batter) -> Vec<WallDrawing> {
    let ids = ["south", "east", "north", "west"];
    let side = |at: usize| {
        let length = if at.is_multiple_of(2) {
            dec!(6.20)
        } else {
            dec!(4.00)
        };
        WallDrawing {
            taper: Some(Taper {
                thickness_top: metres(dec!(0.40)),
                batter,
            }),
            end: End::Corner {
                wall: ids[(at + 1) % 4].to_owned(),
            },
            ..wall(ids[at], length, dec!(2.40), dec!(0.45))
        }
    };
    let mut walls: Vec<WallDrawing> = (0..4).map(side).collect();
    walls[1].profile = Profile::Peak {
        height: metres(dec!(2.40)),
        peak: metres(dec!(3.60)),
        peak_at: metres(dec!(2)),
        height_end: None,
    };
    walls[0]
        .openings
        .push(opening("door", dec!(0.90), dec!(2.00), dec!(0), dec!(1.10)));
    walls
}

#[test]
fn the_basis_of_every_kind_of_wall_gives_its_net_volume() {
    let arc = WallDrawing {
        path: Path::Arc {
            radius: metres(dec!(3)),
            bend_degrees: dec!(120),
        },
        taper: Some(Taper {
            thickness_top: metres(dec!(0.30)),
            batter: Batter::Outer,
        }),
        ..wall("arc", dec!(1), dec!(1.80), dec!(0.50))
    };
    let jobs = [
        closed_run(Batter::Both),
        closed_run(Batter::Outer),
        closed_run(Batter::Inner),
        vec![arc],
    ];
    for walls in jobs {
        let takeoff = measure(&job(walls), &library()).expect("good walls");
        for wall in &takeoff.walls {
            let basis = wall.basis();
            let worked = basis.work().expect("small");
            let net = wall.measure.net.cubic_metres();
            assert_eq!(
                round(worked, 6, Rounding::HalfAwayFromZero),
                net,
                "{}",
                wall.measure.id
            );
            assert!(
                basis.terms.len() <= 40,
                "{} has {} terms",
                wall.measure.id,
                basis.terms.len()
            );
            assert_ne!(
                basis.terms[0].label, "gross volume as measured",
                "{}",
                wall.measure.id
            );
        }
    }
}
