//! Taxes: once on the invoice or on each line, on all of the price or on parts of it, several side by side.

use hod_domain::estimate::LineKind;
use hod_domain::job::Job;
use hod_domain::region::{BuildUp, Discount, PricePart, Region, Tax, TaxBasis, Taxes};
use hod_units::Decimal;
use rust_decimal::dec;

use crate::price_sample::{THREE_THOUSAND, price, region_with, steps, tax_on, terms};
use crate::sample::percent;

fn taxed(each: Vec<Tax>, basis: TaxBasis, discount: Discount) -> Region {
    region_with(
        "EUR",
        BuildUp {
            taxes: Taxes { each, basis },
            discount,
            ..BuildUp::default()
        },
    )
}

/// The tax on lines of labour, by line and by invoice.
fn by_line_and_invoice(amounts: &[Decimal], share: Decimal) -> [Decimal; 2] {
    [TaxBasis::Line, TaxBasis::Invoice].map(|basis| {
        let region = taxed(vec![tax_on("tax", share, &[])], basis, Discount::None);
        let direct: Vec<_> = amounts
            .iter()
            .map(|amount| (LineKind::Labour, *amount))
            .collect();
        let lines = price(&region, &Job::default(), &direct, &[]).expect("a price");
        lines.last().expect("a tax").amount.amount()
    })
}

#[test]
fn sales_tax_is_rounded_at_the_third_decimal_by_item_or_by_invoice() {
    // Streamlined Sales and Use Tax Agreement, section 324, as in Rhode Island General Laws 44-18.1-25, North Dakota Century
    // Code 57-39.4-25 and Kansas Statutes 79-3676: tax is carried to the third decimal place and rounded up to a whole cent
    // when the third decimal is greater than four; the seller may compute it on an item or an invoice basis. The rule is
    // the agreement's; these prices are invented, and their tax is arithmetic by hand.
    let table: [(&[Decimal], Decimal, Decimal, Decimal); 4] = [
        // 1.05 x 7 % = 0.0735: the third decimal is 3, down. Two are 0.147: 7, up.
        (&[dec!(1.05), dec!(1.05)], dec!(7), dec!(0.14), dec!(0.15)),
        // 0.50 x 7 % = 0.035: 5, up to 0.04 each. Two are 0.070.
        (&[dec!(0.50), dec!(0.50)], dec!(7), dec!(0.08), dec!(0.07)),
        // 0.92 x 7 % = 0.0644: 4, down to 0.06.
        (&[dec!(0.92)], dec!(7), dec!(0.06), dec!(0.06)),
        // 0.93 x 7 % = 0.0651: 5, up to 0.07.
        (&[dec!(0.93)], dec!(7), dec!(0.07), dec!(0.07)),
    ];
    for (amounts, share, by_line, by_invoice) in table {
        assert_eq!(
            by_line_and_invoice(amounts, share),
            [by_line, by_invoice],
            "{amounts:?}"
        );
    }
}

#[test]
fn value_added_tax_of_many_small_lines_differs_by_its_basis() {
    // Arithmetic by hand: ten lines of 0.99 at 20 % are 0.198 each, 0.20 rounded and 2.00 together; 9.90 at 20 % is 1.98.
    assert_eq!(
        by_line_and_invoice(&[dec!(0.99); 10], dec!(20)),
        [dec!(2.00), dec!(1.98)]
    );
    // Arithmetic by hand: four lines of 12.34 at 19 % are 2.3446 each, 2.34 and 9.36; 49.36 at 19 % is 9.3784.
    assert_eq!(
        by_line_and_invoice(&[dec!(12.34); 4], dec!(19)),
        [dec!(9.36), dec!(9.38)]
    );
}

#[test]
fn each_of_several_taxes_is_on_the_price_and_not_on_another_tax() {
    let each = vec![
        tax_on("federal", dec!(5), &[]),
        tax_on("provincial", dec!(9.975), &[]),
    ];
    // 3000.00 x 5 % and 3000.00 x 9.975 %
    assert_eq!(
        steps(
            &taxed(each, TaxBasis::Invoice, Discount::None),
            &THREE_THOUSAND,
            &[]
        ),
        [
            "Tax | federal | 5 percent | 150.00",
            "Tax | provincial | 9.975 percent | 299.25"
        ]
    );
}

#[test]
fn a_tax_on_parts_is_on_their_lines_and_their_share_of_the_discount() {
    let each = vec![
        tax_on("on labour", dec!(25), &[PricePart::Labour]),
        tax_on("on materials", dec!(6), &[PricePart::Material]),
        tax_on("on fees", dec!(50), &[PricePart::Fee]),
    ];
    let region = taxed(each, TaxBasis::Invoice, Discount::Fixed(dec!(100)));
    let lines = price(&region, &Job::default(), &THREE_THOUSAND, &[]).expect("a price");
    let [labour, materials, fees] = lines.last_chunk().expect("three taxes");
    // 100.00 over 1000.00 and 2000.00: 33.33 and 66.67. (2000.00 - 66.67) x 25 % = 483.3325.
    assert_eq!(labour.amount.fixed(), "483.33");
    assert_eq!(
        terms(labour),
        [
            "Start 2000 labour ()",
            "Less 66.67 share of discount ()",
            "PercentOf 25 share (regions/coast)"
        ]
    );
    // (1000.00 - 33.33) x 6 % = 58.0002
    assert_eq!(materials.amount.fixed(), "58.00");
    assert_eq!(fees.amount.fixed(), "0.00");
    assert_eq!(
        terms(fees),
        [
            "Start 0 nothing that it is on ()",
            "PercentOf 50 share (regions/coast)"
        ]
    );
}

#[test]
fn shares_of_what_is_of_no_part_go_by_largest_remainder() {
    // 0.10 over three parts of 1.00: 0.04, 0.03 and 0.03, the first of equal remainders; at 100 % the tax is the base.
    let direct = [LineKind::Material, LineKind::Labour, LineKind::Fee].map(|kind| (kind, dec!(1)));
    let parts = [PricePart::Material, PricePart::Labour, PricePart::Fee];
    let each = parts.map(|part| tax_on(part.word(), dec!(100), &[part]));
    let region = taxed(
        each.to_vec(),
        TaxBasis::Invoice,
        Discount::Fixed(dec!(0.10)),
    );
    assert_eq!(
        steps(&region, &direct, &[])[1..],
        [
            "Tax | materials | 100 percent | 0.96",
            "Tax | labour | 100 percent | 0.97",
            "Tax | fees | 100 percent | 0.97"
        ]
    );
}

#[test]
fn by_line_each_line_of_the_parts_and_each_share_is_rounded() {
    let both = [PricePart::Labour, PricePart::Material];
    let each = vec![tax_on("tax", dec!(5), &both)];
    let region = taxed(each, TaxBasis::Line, Discount::Fixed(dec!(0.31)));
    let direct = [
        (LineKind::Material, dec!(1.10)),
        (LineKind::Material, dec!(1.10)),
        (LineKind::Labour, dec!(0.90)),
    ];
    let lines = price(&region, &Job::default(), &direct, &[]).expect("a price");
    let tax = lines.last().expect("a tax");
    // 1.10 x 5 % = 0.055, so 0.06 twice; 0.90 x 5 % = 0.045, so 0.05. 0.31 over 2.20 and 0.90 is 0.22 and 0.09: 0.011 and
    // 0.0045, so 0.01 and nothing.
    assert_eq!(
        terms(tax),
        [
            "Start 0.06 Material (regions/coast)",
            "Plus 0.06 Material (regions/coast)",
            "Plus 0.05 Labour (regions/coast)",
            "Less 0.01 discount, share of materials (regions/coast)",
            "Plus 0 discount, share of labour (regions/coast)",
        ]
    );
    assert_eq!(tax.amount.fixed(), "0.16");
    // On all of it by line the discount is one line: 0.31 x 5 % = 0.0155, so 0.02.
    let region = taxed(
        vec![tax_on("tax", dec!(5), &[])],
        TaxBasis::Line,
        Discount::Fixed(dec!(0.31)),
    );
    let lines = price(&region, &Job::default(), &direct, &[]).expect("a price");
    assert_eq!(lines.last().expect("a tax").amount.fixed(), "0.15");
}

#[test]
fn by_line_a_tax_on_parts_that_are_not_there_is_nothing() {
    let each = vec![tax_on("tax", dec!(5), &[PricePart::Fee])];
    let region = taxed(each, TaxBasis::Line, Discount::None);
    let lines = price(&region, &Job::default(), &THREE_THOUSAND, &[]).expect("a price");
    let tax = lines.last().expect("a tax");
    assert_eq!(
        terms(tax),
        ["Start 0 nothing that it is on (regions/coast)"]
    );
    assert_eq!(tax.amount.fixed(), "0.00");
}

#[test]
fn what_is_charged_where_nothing_costs_anything_is_taxed_with_overheads() {
    let parts = [PricePart::OnCost, PricePart::Labour];
    let each = parts.map(|part| tax_on(part.word(), dec!(10), &[part]));
    let region = region_with(
        "EUR",
        BuildUp {
            taxes: Taxes {
                each: each.to_vec(),
                basis: TaxBasis::Invoice,
            },
            minimum_charge: Some(dec!(50)),
            ..BuildUp::default()
        },
    );
    assert_eq!(
        steps(&region, &[(LineKind::Labour, dec!(0))], &[]),
        [
            "MinimumCharge | up to the least that is charged | 1 sum | 50.00",
            "Tax | overheads, contingency and profit | 10 percent | 5.00"
        ]
    );
}

#[test]
fn a_tax_on_all_parts_by_name_is_a_tax_on_the_price() {
    let whole = tax_on("whole", dec!(21), &[]);
    let named = tax_on("named", dec!(21), &PricePart::ALL);
    let region = taxed(
        vec![whole, named],
        TaxBasis::Invoice,
        Discount::Of(percent(dec!(3.7))),
    );
    let lines = price(&region, &Job::default(), &THREE_THOUSAND, &[]).expect("a price");
    let [whole, named] = lines.last_chunk().expect("two taxes");
    assert_eq!(whole.amount, named.amount);
}

#[test]
fn each_part_stands_in_its_place_and_every_direct_kind_is_of_one() {
    assert_eq!(
        PricePart::ALL.map(|part| part as usize),
        [0, 1, 2, 3, 4, 5, 6, 7, 8]
    );
    let direct = [
        LineKind::Material,
        LineKind::Labour,
        LineKind::Equipment,
        LineKind::Subcontract,
        LineKind::Fee,
        LineKind::Travel,
        LineKind::ProvisionalSum,
        LineKind::Other,
    ];
    // Kinds of direct cost stand in the order of their parts, and what adjusts the price is of none.
    assert_eq!(
        direct.map(LineKind::part),
        [0, 1, 2, 3, 4, 5, 6, 7].map(|at: usize| Some(PricePart::ALL[at]))
    );
    assert_eq!(direct.map(LineKind::place), [0, 1, 2, 3, 4, 5, 6, 7]);
    assert_eq!(LineKind::Discount.part(), None);
}
