//! A whole small estimate, every line worked by hand, and the rules by which its prices are found.

use hod_domain::estimate::{Estimate, Line, LineKind, estimate};
use hod_domain::region::TaxBasis;
use hod_domain::unit::Unit;
use hod_units::{Decimal, Rounding, canonical, fixed};
use rust_decimal::dec;

use crate::sample::*;

fn small_estimate() -> Estimate {
    estimate(&small_job(), &inputs()).expect("nothing is missing")
}

/// A line as `kind | item | quantity unit | unit price | amount`.
fn shown(line: &Line) -> String {
    let unit_price = line.unit_price.map_or_else(|| "-".to_owned(), canonical);
    let quantity = canonical(line.quantity);
    let unit = line.unit.word();
    format!(
        "{:?} | {} | {quantity} {unit} | {unit_price} | {}",
        line.kind,
        line.item,
        line.amount.fixed()
    )
}

#[test]
fn a_small_estimate_comes_out_as_worked_by_hand() {
    // Wall 4.00 x 2.00 x 0.50 = 4.00 m3, window 1.00 x 1.00 x 0.50 = 0.50: net 3.50 m3. Two faces of 8 - 1 = 7 m2;
    // pared 0.025 m on each: placed 3.50 + 14 x 0.025 = 3.85 m3, in lifts of 0.45 m: 5.
    // A batch yields 0.06 m3 (see the sample). 3.85 x 1.10 / 0.06 = 70.583...: 71 batches.
    // Soil 71 x 0.04 = 2.84 m3 loose, 2.84 / 1.25 = 2.272 m3 in the bank. The crew takes 1.5 times the hours, lead 40 %
    // and helper 60 %. Loaded rates 20.00 x 1.25 = 25.00 and 14.50 x 1.225 = 17.7625, so 17.76.
    let expected = [
        // 71 x 0.04
        "Material | soil | 2.84 m3 | 0 | 0.00",
        // 71 x 0.04 x 1500 / 1.25 x 1.05 / 1000 = 3.5784, up to 3.58; x 32.50 = 116.35
        "Material | sand | 3.58 t | 32.5 | 116.35",
        // 71 x 0.06 x 20 / 20 = 4.26, up to 5; x 4.80
        "Material | straw | 5 bale | 4.8 | 24.00",
        // 71 x 12.24 = 869.04
        "Material | water | 870 l | 0 | 0.00",
        // 4 h x 1.5 = 6
        "Labour | set up, lead | 2.4 h | 25 | 60.00",
        "Labour | set up, helper | 3.6 h | 17.76 | 63.94",
        // 2.272 x 2 x 1.5 = 6.816, so 6.82: 2.7264 and 4.0896, cut to 2.72 and 4.08, and a step more for each
        "Labour | dig, lead | 2.73 h | 25 | 68.25",
        "Labour | dig, helper | 4.09 h | 17.76 | 72.64",
        // 2.84 x 0.5 x 1.5 = 2.13: 0.852 and 1.278
        "Labour | screen, lead | 0.85 h | 25 | 21.25",
        "Labour | screen, helper | 1.28 h | 17.76 | 22.73",
        // 60 m are 35 beyond the first 25, so two further 25 m begun: 2.84 x (0.8 + 2 x 0.3) x 1.5 = 5.964, so 5.96:
        // 2.3856 and 3.5784, cut to 2.38 and 3.57, one step left over for the larger remainder, the helper's
        "Labour | haul, lead | 2.38 h | 25 | 59.50",
        "Labour | haul, helper | 3.58 h | 17.76 | 63.58",
        // by tarp: 71 x 0.5 x 1.5 = 53.25
        "Labour | mix, lead | 21.3 h | 25 | 532.50",
        "Labour | mix, helper | 31.95 h | 17.76 | 567.43",
        // 3.85 x 3 x 1.5 = 17.325, so 17.33: 6.93 and 10.395, and the step for the helper
        "Labour | place, lead | 6.93 h | 25 | 173.25",
        "Labour | place, helper | 10.4 h | 17.76 | 184.70",
        // 14 x 0.2 x 1.5 = 4.2
        "Labour | pare, lead | 1.68 h | 25 | 42.00",
        "Labour | pare, helper | 2.52 h | 17.76 | 44.76",
        // one opening by the constant's own make-up: 1 x 2 x 1.5
        "Labour | set openings, lead | 3 h | 25 | 75.00",
        // 5 lifts x 0.25 x 1.5 = 1.875, so 1.88: 0.75 and 1.125
        "Labour | cover, lead | 0.75 h | 25 | 18.75",
        "Labour | cover, helper | 1.13 h | 17.76 | 20.07",
        // 3 x 1.5 = 4.5
        "Labour | clean up, lead | 1.8 h | 25 | 45.00",
        "Labour | clean up, helper | 2.7 h | 17.76 | 47.95",
        // Material 140.35 and labour 1095.50 + 1087.80 = 2183.30 make 2323.65; x 6 % = 139.419
        "Overhead | site overhead | 6 percent | - | 139.42",
        // 2463.07 x 12 % = 295.5684
        "Overhead | firm overhead | 12 percent | - | 295.57",
        // 2758.64 x 8 % = 220.6912
        "Contingency | contingency | 8 percent | - | 220.69",
        // 2979.33 / 0.8 = 3724.1625, less 2979.33
        "Profit | profit, a margin on price | 20 percent | - | 744.83",
        // 3724.16 x 21 % = 782.0736
        "Tax | Sales tax | 21 percent | - | 782.07",
    ];
    let estimate = small_estimate();
    assert_eq!(
        estimate.lines.iter().map(shown).collect::<Vec<_>>(),
        expected
    );
    assert_eq!(estimate.batch_count, 71);
    let totals = estimate.totals;
    let shown = [
        totals.material,
        totals.labour,
        totals.equipment,
        totals.other,
        totals.overhead,
        totals.contingency,
        totals.profit,
        totals.tax,
        totals.total,
    ];
    let expected = [
        "140.35", "2183.30", "0.00", "0.00", "434.99", "220.69", "744.83", "782.07", "4506.23",
    ];
    assert_eq!(shown.map(|money| money.fixed()), expected);
}

#[test]
fn the_nearest_region_with_a_price_in_force_answers_and_is_named() {
    let source = |estimate: &Estimate, item: &str| {
        let line = estimate
            .lines
            .iter()
            .find(|line| &*line.item == item)
            .expect("there");
        line.price_source.to_string()
    };
    let estimate = small_estimate();
    // Both regions price sand: the site's own comes first. Only the parent prices straw and helpers.
    assert_eq!(
        source(&estimate, "sand"),
        "regions/coast/prices/sand-26, 2026-03-01"
    );
    assert_eq!(
        source(&estimate, "straw"),
        "regions/county/prices/straw-25, 2025-08-01"
    );
    assert_eq!(source(&estimate, "soil"), "from the site, at no price");
    let helper = "regions/county/labourRates/helper-26, 2026-01-01: wage 14.5 and 22.5 % on top";
    assert_eq!(source(&estimate, "mix, helper"), helper);
}

#[test]
fn a_date_in_the_past_gives_the_price_of_that_date() {
    let mut inputs = inputs();
    inputs.lists[0].prices = vec![
        price(
            "sand-a",
            "sand",
            dec!(30),
            Unit::T,
            "2026-03-01",
            Some("2026-05-01"),
        ),
        price("sand-b", "sand", dec!(36), Unit::T, "2026-05-01", None),
    ];
    let table = [
        // Before the region's own first price its parent answers.
        ("2026-02-28", dec!(28)),
        ("2026-03-01", dec!(30)),
        ("2026-04-30", dec!(30)),
        ("2026-05-01", dec!(36)),
    ];
    for (on, expected) in table {
        inputs.on = date(on);
        let estimate = estimate(&small_job(), &inputs).expect("nothing is missing");
        assert_eq!(estimate.lines[1].unit_price, Some(expected), "{on}");
    }
}

#[test]
fn every_line_comes_out_of_its_basis() {
    let mut by_line = inputs();
    by_line.regions[0].build_up.taxes.basis = TaxBasis::Line;
    for inputs in [inputs(), by_line] {
        let estimate = estimate(&small_job(), &inputs).expect("nothing is missing");
        for line in &estimate.lines {
            let worked = line.basis.work().expect("small");
            let step = match line.kind {
                LineKind::Material => line.quantity - worked,
                LineKind::Labour => (line.quantity - worked).abs(),
                _ => (line.amount.amount() - worked).abs(),
            };
            // An order is rounded up by less than a step, hours by less than 0.01 either way, money by half a cent.
            let (least, most) = match line.kind {
                LineKind::Material if matches!(line.unit, Unit::M3 | Unit::T) => {
                    (dec!(0), dec!(0.00999999))
                }
                LineKind::Material => (dec!(0), dec!(0.999999)),
                LineKind::Labour => (dec!(0), dec!(0.00999999)),
                _ => (dec!(0), dec!(0.005)),
            };
            assert!(
                least <= step && step <= most,
                "{}: {worked} shown as {}",
                line.item,
                line.quantity
            );
            assert!(
                !line.basis.terms.is_empty() && !line.basis.rounding.is_empty(),
                "{}",
                line.item
            );
        }
    }
}

#[test]
fn a_basis_names_where_each_number_came_from() {
    let estimate = small_estimate();
    let haul = estimate
        .lines
        .iter()
        .find(|line| &*line.item == "haul, lead")
        .expect("there");
    let terms: Vec<_> = haul
        .basis
        .terms
        .iter()
        .map(|term| {
            format!(
                "{:?} {} {} ({})",
                term.joint,
                canonical(term.value),
                term.label,
                term.source
            )
        })
        .collect();
    assert_eq!(
        terms,
        [
            "Start 71 batches ()",
            "Times 0.04 loose soil in a batch (mixes/trial-cob)",
            "Times 0.8 hours to a m3 loose (labourConstants/haul)",
            "Times 1.5 times a practised crew's hours (crews/learners)",
            "PercentOf 40 share of the hours (crews/learners)",
            "Start 71 batches ()",
            "Times 0.04 loose soil in a batch (mixes/trial-cob)",
            "Times 2 further 25 m (sites/quarry-lane)",
            "Times 0.3 hours to a m3 loose each further 25 m (labourConstants/haul-further)",
            "Times 1.5 times a practised crew's hours (crews/learners)",
            "PercentOf 40 share of the hours (crews/learners)",
        ]
    );
    // 71 x 0.04 x 0.8 x 1.5 x 40 % + 71 x 0.04 x 2 x 0.3 x 1.5 x 40 % = 1.3632 + 1.0224
    assert_eq!(haul.basis.work(), Some(dec!(2.3856)));
}

#[test]
fn hours_stand_in_the_order_of_the_work_and_match_their_lines() {
    let estimate = small_estimate();
    let lines = estimate
        .lines
        .iter()
        .filter(|line| line.kind == LineKind::Labour);
    assert_eq!(lines.clone().count(), estimate.labour.len());
    for (line, labour) in lines.zip(&estimate.labour) {
        assert_eq!(line.quantity, labour.hours.hours());
        assert_eq!(line.amount, labour.amount);
    }
    assert!(estimate.labour.is_sorted_by_key(|labour| labour.task));
}

#[test]
fn rounding_to_even_is_kept_throughout() {
    let mut even = inputs();
    even.regions[0].rounding = Rounding::HalfToEven;
    // 5 bales at 4.805 are 24.025: 24.02 to the even cent, 24.03 away from zero.
    even.lists[1].prices[1].unit_price = dec!(4.805);
    let mut away = even.clone();
    away.regions[0].rounding = Rounding::HalfAwayFromZero;
    for (inputs, expected) in [(even, "24.02"), (away, "24.03")] {
        let estimate = estimate(&small_job(), &inputs).expect("nothing is missing");
        assert_eq!(estimate.lines[2].amount.fixed(), expected);
    }
}

#[test]
fn a_currency_without_cents_gives_amounts_without_them() {
    let mut inputs = inputs();
    inputs.regions = vec![
        region("coast", Some("county"), "ISK"),
        region("county", None, "ISK"),
    ];
    let estimate = estimate(&small_job(), &inputs).expect("nothing is missing");
    for line in &estimate.lines {
        assert_eq!(
            line.amount.fixed(),
            fixed(line.amount.amount(), 0),
            "{}",
            line.item
        );
        assert!(line.amount.amount().is_integer(), "{}", line.item);
    }
    // 14.50 and 22.5 % on top are 17.7625, so 18.
    assert_eq!(estimate.lines[5].unit_price, Some(dec!(18)));
}

#[test]
fn the_same_inputs_give_the_same_estimate() {
    assert_eq!(small_estimate(), small_estimate());
    assert_eq!(
        format!("{:?}", small_estimate()),
        format!("{:?}", small_estimate())
    );
}

#[test]
fn a_price_may_be_finer_than_a_cent_and_an_amount_may_not() {
    let mut inputs = inputs();
    inputs.lists[0].prices[0].unit_price = dec!(0.123456);
    let estimate = estimate(&small_job(), &inputs).expect("nothing is missing");
    // 3.58 x 0.123456 = 0.44197248
    assert_eq!(estimate.lines[1].unit_price, Some(dec!(0.123456)));
    assert_eq!(estimate.lines[1].amount.amount(), dec!(0.44));
    assert!(estimate.lines.iter().all(|line| line.amount.is_rounded()));
    assert_eq!(Decimal::from(5), estimate.lines[2].quantity);
}
