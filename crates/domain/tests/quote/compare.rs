//! What changed between two estimates, worked by hand: quantity, price, scope, and what the build-up made of them.

use hod_domain::compare::{Comparison, ComparisonRow, compare};
use hod_domain::estimate::LineKind;
use hod_domain::quote::PricedEstimate;
use hod_domain::region::{
    Allowance, AllowanceAmount, BuildUp, Discount, Profit, Tax, TaxBasis, Taxes,
};
use hod_domain::unit::Unit;
use hod_units::{Currency, Decimal, Money, Rounding, Share};
use rust_decimal::dec;

use crate::sample::{
    Counted, Said, counted, full_build_up, money, percent, plain_build_up, small_job, tax,
};

pub fn compared(before: &Said, after: &Said) -> Comparison {
    compare(&before.estimate(), &after.estimate()).expect("of one currency")
}

/// Quantity, price, labour constant, scope, carried, build-up.
pub fn effects(row: &ComparisonRow) -> [Decimal; 6] {
    let effects = row.effects;
    [
        effects.quantity,
        effects.price,
        effects.labour_constant,
        effects.scope,
        effects.carried,
        effects.build_up,
    ]
    .map(Money::amount)
}

pub fn row<'a>(comparison: &'a Comparison, item: &str) -> &'a ComparisonRow {
    let mut rows = comparison.rows.iter();
    let named = rows.find(|row| row.item == item);
    named.unwrap_or_else(|| panic!("no row {item} in {:?}", comparison.rows))
}

fn sand(tonnes: Decimal, price: Decimal) -> Counted {
    counted(LineKind::Material, "sand", Unit::T, tonnes, price)
}

#[test]
fn more_of_it_is_told_at_the_old_price_and_another_price_on_the_new_quantity() {
    let before = Said::of(vec![sand(dec!(12.5), dec!(32.4))]);
    let after = Said::of(vec![sand(dec!(14.25), dec!(34.1))]);
    let comparison = compared(&before, &after);
    let row = row(&comparison, "sand");
    // 12.5 x 32.40 = 405.00; 14.25 x 32.40 = 461.70; 14.25 x 34.10 = 485.925, charged as 485.93.
    assert_eq!(effects(row)[..2], [dec!(56.70), dec!(24.23)]);
    assert_eq!(row.difference, money(dec!(80.93)));
    let side = row.after.expect("it is there");
    assert_eq!(
        (side.quantity, side.unit_price),
        (dec!(14.25), Some(dec!(34.1)))
    );
    // Tax of 20 %: 81.00 before, 97.19 (97.186) after, all of it carried.
    assert_eq!(
        effects(super::compare::row(&comparison, "VAT"))[4..],
        [dec!(16.19), dec!(0)]
    );
    assert_eq!(comparison.difference, money(dec!(97.12)));
}

#[test]
fn what_stands_in_one_only_is_scope() {
    let hire = counted(LineKind::Equipment, "mixer", Unit::Week, dec!(2), dec!(140));
    let permit = counted(LineKind::Fee, "permit", Unit::Sum, dec!(1), dec!(90));
    let before = Said::of(vec![sand(dec!(10), dec!(30)), hire]);
    let after = Said::of(vec![sand(dec!(10), dec!(30)), permit]);
    let comparison = compared(&before, &after);
    assert_eq!(effects(row(&comparison, "mixer"))[3], dec!(-280.00));
    assert_eq!(effects(row(&comparison, "permit"))[3], dec!(90.00));
    assert!(row(&comparison, "mixer").after.is_none());
    assert!(row(&comparison, "permit").before.is_none());
    assert_eq!(comparison.effects.scope, money(dec!(-190.00)));
    let order: Vec<&str> = comparison
        .rows
        .iter()
        .map(|row| row.item.as_str())
        .collect();
    assert_eq!(order[..3], ["sand", "mixer", "permit"]);
}

#[test]
fn what_is_bought_in_another_unit_is_another_thing() {
    let before = Said::of(vec![sand(dec!(10), dec!(30))]);
    let by_volume = counted(LineKind::Material, "sand", Unit::M3, dec!(6), dec!(52));
    let comparison = compared(&before, &Said::of(vec![by_volume]));
    assert_eq!(comparison.effects.scope, money(dec!(12.00)));
    assert_eq!(comparison.effects.price, money(dec!(0)));
}

#[test]
fn of_two_lines_alike_the_one_for_the_same_part_is_the_same() {
    let crane =
        |hours, of: &str| counted(LineKind::Equipment, "crane", Unit::H, hours, dec!(100)).of(of);
    let before = Said::of(vec![crane(dec!(2), "plate"), crane(dec!(5), "roof")]);
    let after = Said::of(vec![crane(dec!(5), "roof")]);
    let comparison = compared(&before, &after);
    assert_eq!(comparison.effects.scope, money(dec!(-200.00)));
    assert_eq!(comparison.effects.quantity, money(dec!(0)));
}

/// One direct cost of 1000.00 before and 1500.00 after, under two build-ups.
fn under(before: BuildUp, after: BuildUp) -> Comparison {
    let said = |tonnes, build_up| Said {
        build_up,
        ..Said::of(vec![sand(tonnes, dec!(100))])
    };
    compared(&said(dec!(10), before), &said(dec!(15), after))
}

#[test]
fn a_step_at_its_old_percentage_is_carried_and_the_rest_is_build_up() {
    let at = |site, firm, contingency, profit, of_tax| BuildUp {
        site_overhead: percent(site),
        firm_overhead: percent(firm),
        contingency: percent(contingency),
        profit: Profit::MarkupOnCost(percent(profit)),
        taxes: Taxes {
            each: vec![tax("VAT", of_tax)],
            basis: TaxBasis::Invoice,
        },
        ..BuildUp::default()
    };
    let comparison = under(
        at(dec!(5), dec!(10), dec!(4), dec!(20), dec!(10)),
        at(dec!(6), dec!(10), dec!(0), dec!(25), dec!(10)),
    );
    // Before: 1000.00, 50.00, 105.00, 46.20, 240.24 (20 % of 1201.20), price 1441.44, tax 144.14.
    // After: 1500.00, 90.00, 159.00, 0.00, 437.25 (25 % of 1749.00), price 2186.25, tax 218.63 (218.625).
    let table = [
        // 5 % of 1500.00 is 75.00.
        ("site overhead", dec!(25.00), dec!(15.00)),
        // 10 % of 1590.00 is 159.00.
        ("firm overhead", dec!(54.00), dec!(0.00)),
        // 4 % of 1749.00 is 69.96.
        ("contingency", dec!(23.76), dec!(-69.96)),
        // 20 % of 1749.00 is 349.80.
        ("profit, a markup on cost", dec!(109.56), dec!(87.45)),
        ("VAT", dec!(74.49), dec!(0.00)),
    ];
    for (item, carried, build_up) in table {
        assert_eq!(
            effects(row(&comparison, item))[4..],
            [carried, build_up],
            "{item}"
        );
    }
    assert_eq!(comparison.difference, money(dec!(819.30)));
}

#[test]
fn a_margin_in_place_of_a_markup_is_build_up() {
    let with = |profit| BuildUp {
        profit,
        ..plain_build_up()
    };
    let comparison = under(
        with(Profit::MarkupOnCost(percent(dec!(20)))),
        with(Profit::MarginOnPrice(percent(dec!(20)))),
    );
    // 20 % markup on 1000.00 and 1500.00 is 200.00 and 300.00; a margin of 20 % of the price on 1500.00 is 375.00.
    let row = row(&comparison, "profit, a markup on cost");
    assert_eq!(effects(row)[4..], [dec!(100.00), dec!(75.00)]);
}

#[test]
fn a_margin_is_carried_as_a_margin_where_a_markup_takes_its_place() {
    let with = |profit| BuildUp {
        profit,
        ..plain_build_up()
    };
    let comparison = under(
        with(Profit::MarginOnPrice(percent(dec!(20)))),
        with(Profit::MarkupOnCost(percent(dec!(20)))),
    );
    // A margin of 20 % of the price on 1000.00 and 1500.00 is 250.00 and 375.00; 20 % markup on 1500.00 is 300.00.
    let row = row(&comparison, "profit, a margin on price");
    assert_eq!(effects(row)[4..], [dec!(125.00), dec!(-75.00)]);
}

#[test]
fn a_discount_carries_with_the_price_and_a_new_one_is_build_up() {
    let with = |discount| BuildUp {
        discount,
        ..plain_build_up()
    };
    let table = [
        (
            Discount::Of(percent(dec!(5))),
            Discount::Of(percent(dec!(8))),
            [dec!(-25.00), dec!(-45.00)],
        ),
        (
            Discount::None,
            Discount::Of(percent(dec!(8))),
            [dec!(0.00), dec!(-120.00)],
        ),
        (
            Discount::Of(percent(dec!(5))),
            Discount::None,
            [dec!(-25.00), dec!(75.00)],
        ),
        (
            Discount::Fixed(dec!(40)),
            Discount::Fixed(dec!(40)),
            [dec!(0.00), dec!(0.00)],
        ),
        (
            Discount::Fixed(dec!(40)),
            Discount::Of(percent(dec!(8))),
            [dec!(0.00), dec!(-80.00)],
        ),
    ];
    for (before, after, expected) in table {
        let comparison = under(with(before), with(after));
        assert_eq!(
            effects(row(&comparison, "discount"))[4..],
            expected,
            "{before:?}, {after:?}"
        );
    }
}

#[test]
fn a_minimum_charge_that_no_longer_binds_is_carried() {
    let with = |minimum_charge| BuildUp {
        minimum_charge,
        ..plain_build_up()
    };
    let item = "up to the least that is charged";
    // 1000.00 was made up to 1200.00; 1500.00 is enough.
    let comparison = under(with(Some(dec!(1200))), with(Some(dec!(1200))));
    assert_eq!(
        effects(row(&comparison, item))[4..],
        [dec!(-200.00), dec!(0.00)]
    );
    // A new one of 1600.00: the old one would have added nothing.
    let comparison = under(with(Some(dec!(1200))), with(Some(dec!(1600))));
    assert_eq!(
        effects(row(&comparison, item))[4..],
        [dec!(-200.00), dec!(100.00)]
    );
}

#[test]
fn a_round_figure_is_carried_as_it_was_rounded() {
    let with = |round_price_to| BuildUp {
        round_price_to,
        profit: Profit::MarkupOnCost(percent(dec!(1.3))),
        ..plain_build_up()
    };
    // 1013.00 to 50 is 1000.00, -13.00; 1519.50 to 50 is 1500.00, -19.50; to 100 it is 1500.00 too.
    let comparison = under(with(Some(dec!(50))), with(Some(dec!(100))));
    assert_eq!(
        effects(row(&comparison, "to a round figure"))[4..],
        [dec!(-6.50), dec!(0.00)]
    );
    // To 1000 it is 2000.00, 480.50.
    let comparison = under(with(Some(dec!(50))), with(Some(dec!(1000))));
    assert_eq!(
        effects(row(&comparison, "to a round figure"))[4..],
        [dec!(-6.50), dec!(500.00)]
    );
}

#[test]
fn an_allowance_is_carried_at_its_old_share() {
    let with = |share| BuildUp {
        allowances: vec![Allowance {
            label: "small tools".to_owned(),
            amount: AllowanceAmount::Of(percent(share), Vec::new()),
        }],
        ..plain_build_up()
    };
    let comparison = under(with(dec!(2)), with(dec!(3)));
    assert_eq!(
        effects(row(&comparison, "small tools"))[4..],
        [dec!(10.00), dec!(15.00)]
    );
}

#[test]
fn another_tax_is_build_up() {
    let with = |each: Vec<Tax>, basis| BuildUp {
        taxes: Taxes { each, basis },
        ..plain_build_up()
    };
    let invoice = TaxBasis::Invoice;
    let comparison = under(
        with(vec![tax("VAT", dec!(10))], invoice),
        with(vec![tax("GST", dec!(10)), tax("VAT", dec!(12))], invoice),
    );
    // VAT: 10 % of 1500.00 is 150.00, 12 % is 180.00. GST was not there.
    assert_eq!(
        effects(row(&comparison, "VAT"))[4..],
        [dec!(50.00), dec!(30.00)]
    );
    assert_eq!(
        effects(row(&comparison, "GST"))[4..],
        [dec!(0.00), dec!(150.00)]
    );
    let comparison = under(
        with(vec![tax("GST", dec!(10))], invoice),
        with(vec![tax("VAT", dec!(10))], invoice),
    );
    // One that is gone: carried to 150.00 and dropped.
    assert_eq!(
        effects(row(&comparison, "GST"))[4..],
        [dec!(50.00), dec!(-150.00)]
    );
    assert_eq!(
        effects(row(&comparison, "VAT"))[4..],
        [dec!(0.00), dec!(150.00)]
    );
}

#[test]
fn another_rounding_is_build_up() {
    // 1.5 x 0.33 = 0.495: 0.50, or cut down 0.49. Tax of 20 %: 0.10 of 0.50, and 0.09 (0.098) of 0.49.
    let before = Said::of(vec![sand(dec!(1.5), dec!(0.33))]);
    let after = Said {
        rounding: Rounding::Down,
        ..before.clone()
    };
    let comparison = compared(&before, &after);
    assert_eq!(
        effects(row(&comparison, "sand")),
        [dec!(0), dec!(0), dec!(0), dec!(0), dec!(0), dec!(-0.01)]
    );
    assert_eq!(
        effects(row(&comparison, "VAT"))[4..],
        [dec!(0.00), dec!(-0.01)]
    );
}

#[test]
fn what_workshops_bring_in_is_quantity_and_price_too() {
    let workshop = |people, fee| {
        vec![
            sand(dec!(10), dec!(100)),
            counted(LineKind::Income, "workshop", Unit::Each, people, fee),
        ]
    };
    let comparison = compared(
        &Said::of(workshop(dec!(6), dec!(40))),
        &Said::of(workshop(dec!(8), dec!(50))),
    );
    // -240.00 before; 2 more at 40.00 are -80.00; 8 at 10.00 more are -80.00.
    assert_eq!(
        effects(row(&comparison, "workshop"))[..2],
        [dec!(-80.00), dec!(-80.00)]
    );
}

#[test]
fn an_estimate_held_against_itself_does_not_differ() {
    let said = small_job();
    let comparison = compared(&said, &said);
    assert_eq!(comparison.rows.len(), said.estimate().lines.len());
    for row in &comparison.rows {
        assert_eq!(effects(row), [Decimal::ZERO; 6], "{}", row.item);
    }
}

#[test]
fn two_currencies_are_not_compared() {
    let yen = Said {
        currency: Currency::parse("JPY").expect("in the list"),
        ..small_job()
    };
    let refused = compare(&small_job().estimate(), &yen.estimate()).expect_err("refused");
    assert_eq!(refused[0].reason, "CURRENCIES_DIFFER");
    assert_eq!(
        refused[0].message,
        "the one is in EUR and the other in JPY; only what is paid in one currency can be compared"
    );
}

#[test]
fn the_order_is_that_of_an_estimate_whatever_is_new() {
    let before = small_job();
    let mut after = small_job();
    after.build_up = BuildUp {
        discount: Discount::Of(Share::from_percent(dec!(3))),
        ..full_build_up()
    };
    after.counted.push(counted(
        LineKind::Travel,
        "journeys",
        Unit::Trip,
        dec!(4),
        dec!(35),
    ));
    let comparison = compared(&before, &after);
    let places: Vec<u32> = comparison.rows.iter().map(|row| row.kind.place()).collect();
    assert!(places.is_sorted(), "{places:?}");
    let estimate: PricedEstimate = after.estimate();
    assert_eq!(comparison.rows.len(), estimate.lines.len());
}
