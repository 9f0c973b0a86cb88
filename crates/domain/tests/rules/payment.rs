//! Quantities for payment: what rules of measurement deduct of openings, beside the true net.

use hod_domain::geometry::{Face, Path, WallDrawing};
use hod_domain::id::RulePackId;
use hod_domain::job::{Finish, Job};
use hod_domain::library::Library;
use hod_domain::mix::Purpose;
use hod_domain::rules::{Rule, RuleKind, RulePack, RuleStanding};
use hod_domain::takeoff::{PaymentLine, Takeoff};
use hod_units::{Decimal, canonical};
use rust_decimal::dec;

use crate::parts_sample::*;
use crate::sample::*;
use crate::system_sample::{orders, plumb, refused, rounded, taken_off};

fn rule(kind: RuleKind, limit: Decimal) -> Rule {
    Rule {
        kind,
        limit,
        section: "2.1".to_owned(),
        standing: RuleStanding::Reported,
    }
}

/// IS 1200 part 3 as a specification text has it, openings to 0.1 m2; part 12, to 0.5 m2 and to 3 m2.
fn is_1200() -> RulePack {
    RulePack {
        id: RulePackId::parse("is-1200").expect("an id"),
        display_name: "IS 1200, parts 3 and 12".to_owned(),
        jurisdiction: "India".to_owned(),
        rules: vec![
            rule(RuleKind::MasonryVoidM2Max, dec!(0.1)),
            rule(RuleKind::PlasterVoidM2Max, dec!(0.5)),
            rule(RuleKind::PlasterOneFaceVoidM2Max, dec!(3)),
        ],
    }
}

fn library_with(pack: RulePack) -> Library {
    let recipes = vec![recipe_for("base", Purpose::BasePlaster)];
    Library {
        rule_pack: Some(pack),
        ..library_of_recipes(recipes, vec![])
    }
}

/// 5 x 3 m, 0.45 m thick, with one opening so wide and so high; plastered on both sides.
fn wall_with(width: Decimal, height: Decimal, sill: Decimal) -> Job {
    let mut wall = plumb("south", dec!(5), dec!(3), dec!(0.45));
    wall.openings
        .push(opening("opening", width, height, sill, dec!(1)));
    paid_by(coated(wall, both_faces()))
}

fn both_faces() -> Vec<Finish> {
    [Face::Inner, Face::Outer]
        .map(|face| finish(face, &[("base", dec!(12))]))
        .to_vec()
}

fn paid_by(job: Job) -> Job {
    Job {
        measurement: Some(RulePackId::parse("is-1200").expect("an id")),
        ..job
    }
}

fn quantity(takeoff: &Takeoff, item: &str) -> Decimal {
    line(takeoff, item).quantity
}

fn line<'a>(takeoff: &'a Takeoff, item: &str) -> &'a PaymentLine {
    let found = takeoff.payment.iter().find(|line| line.item == item);
    found.unwrap_or_else(|| panic!("no {item} in {:?}", takeoff.payment))
}

const INNER: &str = "base, inner face";
const OUTER: &str = "base, outer face";

/// Of a wall of 5 x 3 m, 0.45 m thick, with one opening: plaster of both sides, m2, and walling, m3, worked by hand from
/// the rules of IS 1200 parts 3 and 12.
#[test]
fn openings_are_deducted_by_their_size() {
    let table = [
        // 0.48 m2: no deduction of plaster; 6.75 - 0.48 x 0.45.
        (dec!(0.6), dec!(0.8), dec!(1), "30", "6.53"),
        // 1.80 m2: 30 - 1.80; 6.75 - 0.81.
        (dec!(1.2), dec!(1.5), dec!(0.9), "28.2", "5.94"),
        // A door of 4.20 m2: 30 - 8.40 + (2 x 2.1 + 2.0) x 0.45; 6.75 - 1.89.
        (dec!(2.0), dec!(2.1), dec!(0), "24.39", "4.86"),
        // On the limits: 0.50 m2, no deduction; 3.00 m2, one face.
        (dec!(1.0), dec!(0.5), dec!(1), "30", "6.53"),
        (dec!(1.5), dec!(2.0), dec!(0.5), "27", "5.4"),
        // Just over 3 m2 on both faces, with a sill: 30 - 2 x 3.015 + (2 x 2.01 + 2 x 1.5) x 0.45 = 27.129.
        (dec!(1.5), dec!(2.01), dec!(0.5), "27.13", "5.39"),
        // 0.10 m2: nothing at all.
        (dec!(0.4), dec!(0.25), dec!(1), "30", "6.75"),
    ];
    for (width, height, sill, plaster, walling) in table {
        let takeoff = taken_off(&wall_with(width, height, sill), &library_with(is_1200()));
        let both = quantity(&takeoff, INNER) + quantity(&takeoff, OUTER);
        assert_eq!(canonical(both), plaster, "{width} x {height}");
        assert_eq!(
            canonical(quantity(&takeoff, "walling")),
            walling,
            "{width} x {height}"
        );
    }
}

/// The deduction on one face is taken where the reveal is the narrower; where they are equal, half of it on either.
#[test]
fn one_face_is_the_one_with_the_narrower_reveal() {
    let faces = |shares: [Option<Decimal>; 2]| {
        let mut job = wall_with(dec!(1.2), dec!(1.5), dec!(0.9));
        for (finish, share) in job.works[0].finishes.iter_mut().zip(shares) {
            finish.reveals = share.map(percent);
        }
        let takeoff = taken_off(&job, &library_with(is_1200()));
        [INNER, OUTER].map(|item| canonical(quantity(&takeoff, item)))
    };
    // All reveals with the inner face: the outer has none.
    assert_eq!(faces([None, None]), ["15", "13.2"]);
    assert_eq!(faces([Some(dec!(30)), Some(dec!(70))]), ["13.2", "15"]);
    assert_eq!(faces([Some(dec!(50)), Some(dec!(50))]), ["14.1", "14.1"]);
}

#[test]
fn where_one_face_alone_is_plastered_it_is_the_one() {
    let mut job = wall_with(dec!(1.2), dec!(1.5), dec!(0.9));
    job.works[0].finishes.truncate(1);
    let takeoff = taken_off(&job, &library_with(is_1200()));
    assert_eq!(quantity(&takeoff, INNER), dec!(13.2));
}

/// The net of the wall with a window of 1.80 m2: 13.20 m2 a face, and 5.4 x 0.45 = 2.43 m2 of reveals with the inner.
#[test]
fn the_true_net_stands_beside_and_orders_follow_it_alone() {
    let job = wall_with(dec!(1.2), dec!(1.5), dec!(0.9));
    let takeoff = taken_off(&job, &library_with(is_1200()));
    assert_eq!(line(&takeoff, INNER).net, dec!(15.63));
    assert_eq!(line(&takeoff, OUTER).net, dec!(13.2));
    assert_eq!(line(&takeoff, "walling").net, dec!(5.94));
    let unpaid = Job {
        measurement: None,
        ..job
    };
    let plain = taken_off(&unpaid, &library_with(is_1200()));
    assert!(plain.payment.is_empty());
    assert_eq!(orders(&plain), orders(&takeoff));
    assert_eq!(plain.works, takeoff.works);
    // 15.63 and 13.20 m2 at 12 mm.
    assert_eq!(standing(&takeoff, "base"), dec!(0.34596));
}

#[test]
fn a_line_says_which_rules_it_goes_by() {
    let takeoff = taken_off(
        &wall_with(dec!(1.2), dec!(1.5), dec!(0.9)),
        &library_with(is_1200()),
    );
    for line in &takeoff.payment {
        let by_rule = line
            .basis
            .terms
            .iter()
            .filter(|term| term.source == "rulePacks/is-1200");
        assert!(0 < by_rule.count(), "{line:?}");
        let worked = line.basis.work().expect("small");
        assert_eq!(rounded(worked, 2), canonical(line.quantity));
    }
}

/// "Openings at the boundaries always deducted irrespective of size" (SMM style, as a rule pack may say).
#[test]
fn an_opening_at_the_edge_is_deducted_where_the_pack_says_so() {
    let with_edges = |limit| {
        let mut pack = is_1200();
        pack.rules.push(rule(RuleKind::BoundaryVoidDeducted, limit));
        let hatch = wall_with(dec!(0.4), dec!(0.25), dec!(0));
        let takeoff = taken_off(&hatch, &library_with(pack));
        ["walling", INNER, OUTER].map(|item| canonical(quantity(&takeoff, item)))
    };
    // 6.75 - 0.1 x 0.45 = 6.705; 15 - 0.1.
    assert_eq!(with_edges(dec!(1)), ["6.71", "14.9", "14.9"]);
    assert_eq!(with_edges(dec!(0)), ["6.75", "15", "15"]);
}

/// A quarter of a circle of radius 3 m, 0.4 m thick and 2.5 m high: what an opening that is not deducted takes of the inner
/// face is put back as it is there, narrower than along the centre line.
#[test]
fn what_is_not_deducted_on_a_curve_is_the_true_face() {
    let mut wall = WallDrawing {
        path: Path::Arc {
            radius: metres(dec!(3)),
            bend_degrees: dec!(90),
        },
        ..plumb("apse", dec!(1), dec!(2.5), dec!(0.4))
    };
    wall.openings
        .push(opening("slit", dec!(0.5), dec!(0.8), dec!(1), dec!(1)));
    let takeoff = taken_off(
        &paid_by(coated(wall, both_faces())),
        &library_with(is_1200()),
    );
    // 2.8 and 3.2 m x pi / 2 x 2.5 m.
    assert_eq!(canonical(quantity(&takeoff, INNER)), "11");
    assert_eq!(canonical(quantity(&takeoff, OUTER)), "12.57");
}

#[test]
fn a_pack_that_is_not_known_or_has_not_what_is_needed_is_refused() {
    let job = wall_with(dec!(1.2), dec!(1.5), dec!(0.9));
    let field = || "measurement".to_owned();
    let other = RulePack {
        id: RulePackId::parse("smm-7").expect("an id"),
        ..is_1200()
    };
    assert_eq!(
        refused(&job, &library_with(other)),
        [(field(), "RULE_PACK_UNKNOWN")]
    );
    let mut masonry_only = is_1200();
    masonry_only.rules.truncate(1);
    let library = library_with(masonry_only);
    assert_eq!(refused(&job, &library), [(field(), "RULE_PACK_LACKS_RULE")]);
    // Where nothing is plastered it is enough.
    let bare = paid_by(bare(job.walls.clone()));
    assert_eq!(quantity(&taken_off(&bare, &library), "walling"), dec!(5.94));
    let mut plaster_only = is_1200();
    plaster_only.rules.remove(0);
    assert_eq!(
        refused(&job, &library_with(plaster_only)),
        [(field(), "RULE_PACK_LACKS_RULE")]
    );
}
