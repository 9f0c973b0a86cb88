//! What holds for every job: sums add up, hours add up, more opening never costs more earth, a price raised never
//! lowers a total, and the same question has the same answer.

use hod_domain::estimate::{Estimate, Inputs, LineKind, estimate};
use hod_domain::geometry::WallDrawing;
use hod_domain::job::Job;
use hod_domain::region::{Profit, TaxBasis};
use hod_domain::takeoff::measure;
use hod_domain::work::Task;
use hod_units::{Decimal, Rounding, Share, canonical, round};
use proptest::prelude::*;
use rust_decimal::dec;

use crate::sample::*;

/// A decimal of so many places within bounds given in units of the last.
fn decimal(units: std::ops::Range<i64>, places: u32) -> impl Strategy<Value = Decimal> {
    units.prop_map(move |units| Decimal::new(units, places))
}

/// A straight wall, with up to three openings in places of its own along it.
fn walls() -> impl Strategy<Value = Vec<WallDrawing>> {
    let sizes = (
        decimal(400..1200, 2),
        decimal(150..350, 2),
        decimal(300..600, 3),
    );
    let wall = (
        sizes,
        prop::collection::vec((decimal(20..90, 2), decimal(20..120, 2)), 0..4),
    )
        .prop_map(|((length, height, thickness), openings)| {
            let mut wall = wall("wall", length, height, thickness);
            for (at, (width, tall)) in openings.into_iter().enumerate() {
                let place = Decimal::from(at) + dec!(0.1);
                wall.openings.push(opening(
                    &format!("opening-{at}"),
                    width,
                    tall,
                    dec!(0.2),
                    place,
                ));
            }
            wall
        });
    prop::collection::vec(wall, 1..4).prop_map(|mut walls| {
        for (at, wall) in walls.iter_mut().enumerate() {
            wall.id = format!("wall-{at}");
        }
        walls
    })
}

/// The sample's inputs with other shares, prices, rates, rounding, tax basis and profit.
fn any_inputs() -> impl Strategy<Value = Inputs> {
    let money = (
        decimal(0..9_999_999, 4),
        decimal(0..99_999, 4),
        decimal(0..9_999, 2),
        decimal(0..999_999, 4),
    );
    let shares = [(); 5].map(|()| decimal(0..9_000, 2));
    let kinds = (
        prop_oneof![Just(Rounding::HalfAwayFromZero), Just(Rounding::HalfToEven)],
        prop_oneof![Just(TaxBasis::Line), Just(TaxBasis::Invoice)],
        any::<bool>(),
        prop_oneof![Just("EUR"), Just("ISK"), Just("TND")],
    );
    (money, shares, kinds, decimal(0..100, 0)).prop_map(|(money, shares, kinds, lead)| {
        let (sand, straw, wage, helper) = money;
        let (rounding, tax_basis, is_margin, currency) = kinds;
        let mut inputs = inputs();
        inputs.regions = vec![
            region("coast", Some("county"), currency),
            region("county", None, currency),
        ];
        let region = &mut inputs.regions[0];
        let [site, firm, contingency, profit, tax] = shares.map(Share::from_percent);
        region.rounding = rounding;
        region.build_up.site_overhead = site;
        region.build_up.firm_overhead = firm;
        region.build_up.contingency = contingency;
        region.build_up.profit = if is_margin {
            Profit::MarginOnPrice(profit)
        } else {
            Profit::MarkupOnCost(profit)
        };
        region.build_up.taxes.each[0].share = tax;
        region.build_up.taxes.basis = tax_basis;
        inputs.lists[0].prices[0].unit_price = sand;
        inputs.lists[1].prices[1].unit_price = straw;
        inputs.lists[0].labour_rates[0].wage = wage;
        inputs.lists[1].labour_rates[0].wage = helper;
        inputs.crew.make_up =
            crate::sample::shares(&[("lead", lead), ("helper", dec!(100) - lead)]);
        inputs
    })
}

fn estimated(job: &Job, inputs: &Inputs) -> Estimate {
    estimate(job, inputs).expect("nothing is missing")
}

fn of_kind(estimate: &Estimate, kind: LineKind) -> Decimal {
    estimate
        .lines
        .iter()
        .filter(|line| line.kind == kind)
        .map(|line| line.amount.amount())
        .sum()
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 128, ..ProptestConfig::default() })]

    #[test]
    fn lines_add_up_to_their_totals_under_every_rounding_and_tax(walls in walls(), inputs in any_inputs()) {
        let estimate = estimated(&job(walls), &inputs);
        let totals = estimate.totals;
        let by_kind = [
            (LineKind::Material, totals.material),
            (LineKind::Labour, totals.labour),
            (LineKind::Overhead, totals.overhead),
            (LineKind::Contingency, totals.contingency),
            (LineKind::Profit, totals.profit),
            (LineKind::Tax, totals.tax),
        ];
        for (kind, total) in by_kind {
            prop_assert_eq!(of_kind(&estimate, kind), total.amount());
        }
        let sum: Decimal = by_kind.iter().map(|(_, total)| total.amount()).sum();
        prop_assert_eq!(sum, totals.total.amount());
        prop_assert!(estimate.lines.iter().all(|line| line.amount.is_rounded()));
        prop_assert!(estimate.lines.is_sorted_by_key(|line| line.kind.place()));
    }

    #[test]
    fn an_amount_is_the_quantity_shown_times_the_unit_price_shown(walls in walls(), inputs in any_inputs()) {
        let estimate = estimated(&job(walls), &inputs);
        for line in &estimate.lines {
            if let Some(unit_price) = line.unit_price {
                let places = estimate.currency.minor_units();
                prop_assert_eq!(round(line.quantity * unit_price, places, inputs.regions[0].rounding), line.amount.amount());
            }
        }
    }

    #[test]
    fn hours_by_grade_add_up_to_the_task(walls in walls(), inputs in any_inputs()) {
        let estimate = estimated(&job(walls), &inputs);
        for task in Task::ALL {
            let labour = estimate.labour.iter().zip(estimate.lines.iter().filter(|line| line.kind == LineKind::Labour));
            let of_task: Vec<_> = labour.filter(|(labour, _)| labour.task == *task).collect();
            let shown: Decimal = of_task.iter().map(|(labour, _)| labour.hours.hours()).sum();
            let worked: Decimal = of_task.iter().map(|(_, line)| line.basis.work().expect("small")).sum();
            prop_assert_eq!(round(worked, 2, Rounding::HalfAwayFromZero), shown, "{}", task.word());
            for (labour, line) in of_task {
                let off = (labour.hours.hours() - line.basis.work().expect("small")).abs();
                prop_assert!(off < dec!(0.01), "{} is off by {}", &*line.item, off);
            }
        }
    }

    #[test]
    fn an_order_is_enough_and_less_than_a_step_too_much(walls in walls(), inputs in any_inputs()) {
        let estimate = estimated(&job(walls), &inputs);
        for line in estimate.lines.iter().filter(|line| line.kind == LineKind::Material) {
            let worked = round(line.basis.work().expect("small"), 12, Rounding::HalfAwayFromZero);
            let step = Decimal::new(1, line.unit.order_places().expect("ordered"));
            prop_assert!(worked <= line.quantity && line.quantity < worked + step, "{}", &*line.item);
        }
    }

    #[test]
    fn a_basis_worked_again_gives_the_net_volume_and_the_batches(walls in walls()) {
        let takeoff = measure(&job(walls), &library()).expect("good walls");
        for wall in &takeoff.walls {
            let worked = round(wall.basis().work().expect("small"), 6, Rounding::HalfAwayFromZero);
            prop_assert_eq!(worked, wall.measure.net.cubic_metres());
        }
        let batches = &takeoff.mixes[0];
        let worked = batches.basis.work().expect("small");
        let count = Decimal::from(batches.batch_count);
        prop_assert!(count - Decimal::ONE < worked && worked <= count, "{} for {}", count, canonical(worked));
        let lifts = takeoff.walls.iter().flat_map(|wall| &wall.lifts);
        let cards: u32 = lifts.filter_map(|lift| lift.batches).sum();
        prop_assert!(batches.batch_count <= cards);
    }

    #[test]
    fn more_opening_never_costs_more_earth(walls in walls(), width in decimal(10..60, 2), inputs in any_inputs()) {
        let mut opened = walls.clone();
        // Beyond the places that the other openings may take: a wall is 4 m at the least.
        opened[0].openings.push(opening("one-more", width, dec!(0.5), dec!(0.2), dec!(3.3)));
        let (before, after) = (estimated(&job(walls), &inputs), estimated(&job(opened), &inputs));
        prop_assert!(after.takeoff.totals.net < before.takeoff.totals.net);
        prop_assert!(after.takeoff.totals.placed < before.takeoff.totals.placed);
        prop_assert!(after.batch_count <= before.batch_count);
        prop_assert!(after.totals.material.amount() <= before.totals.material.amount());
    }

    #[test]
    fn a_price_or_wage_raised_never_lowers_the_total(walls in walls(), inputs in any_inputs(), by in decimal(0..99_999, 4)) {
        let mut dearer = inputs.clone();
        dearer.lists[0].prices[0].unit_price += by;
        dearer.lists[1].labour_rates[0].wage += by;
        let job = job(walls);
        let (before, after) = (estimated(&job, &inputs), estimated(&job, &dearer));
        prop_assert!(before.totals.total.amount() <= after.totals.total.amount());
    }

    #[test]
    fn the_same_question_has_the_same_answer(walls in walls(), inputs in any_inputs()) {
        let job = job(walls);
        prop_assert_eq!(estimate(&job, &inputs), estimate(&job.clone(), &inputs.clone()));
    }
}
