//! What holds of every price, every set of stages and every pair of estimates.

use hod_domain::compare::{Comparison, Effects, compare};
use hod_domain::estimate::LineKind;
use hod_domain::quote::{
    IssueTerms, Milestone, Offer, OfferLine, PricedEstimate, QuoteAct, QuoteStanding, Retention,
    StageTerm, offer, payments,
};
use hod_domain::region::{
    Allowance, AllowanceAmount, BuildUp, Discount, PricePart, Profit, Tax, TaxBasis, Taxes,
};
use hod_domain::unit::Unit;
use hod_domain::work::{Driver, Task};
use hod_units::{Currency, Decimal, Money, Rounding, Share};
use proptest::prelude::*;
use rust_decimal::dec;

use crate::sample::{Counted, Said, counted, day, percent, terms, work};

fn hundredths(range: std::ops::Range<i64>) -> impl Strategy<Value = Decimal> {
    range.prop_map(|value| Decimal::new(value, 2))
}

fn shares(range: std::ops::Range<i64>) -> impl Strategy<Value = Share> {
    hundredths(range).prop_map(percent)
}

/// Direct cost and income: a few things that come back, so that two estimates have some in common.
fn any_counted() -> impl Strategy<Value = Counted> {
    let things = prop::sample::select(vec![
        (LineKind::Material, "sand", Unit::T, None),
        (LineKind::Material, "straw", Unit::Bale, None),
        (LineKind::Material, "lime", Unit::Bag, Some("plate")),
        (LineKind::Labour, "place, lead", Unit::H, None),
        (LineKind::Labour, "place, helper", Unit::H, None),
        (LineKind::Labour, "mix, lead", Unit::H, None),
        (LineKind::Equipment, "mixer", Unit::Week, None),
        (LineKind::Subcontract, "rafters", Unit::M2, Some("roof")),
        (LineKind::Fee, "permit", Unit::Sum, None),
        (LineKind::Travel, "journeys", Unit::Trip, None),
        (LineKind::ProvisionalSum, "rock", Unit::Sum, None),
        (LineKind::Other, "keep", Unit::PersonDay, None),
        (LineKind::Income, "workshop", Unit::Each, None),
    ]);
    (things, hundredths(1..5_000), 0_i64..40_000_000).prop_map(|(thing, quantity, price)| {
        let (kind, item, unit, part) = thing;
        // Income that is more than the price is refused by the build-up.
        let price = match kind {
            LineKind::Income => Decimal::new(price, 7),
            _ => Decimal::new(price, 6),
        };
        let counted = counted(kind, item, unit, quantity, price);
        match part {
            Some(part) => counted.of(part),
            None => counted,
        }
    })
}

fn any_parts() -> impl Strategy<Value = Vec<PricePart>> {
    prop::sample::subsequence(PricePart::ALL.to_vec(), 0..=4)
}

fn any_allowances() -> impl Strategy<Value = Vec<Allowance>> {
    let amount = prop_oneof![
        (shares(0..500), any_parts()).prop_map(|(share, parts)| {
            let parts = parts.into_iter().filter(|part| *part != PricePart::OnCost);
            AllowanceAmount::Of(share, parts.collect())
        }),
        hundredths(0..10_000).prop_map(AllowanceAmount::Fixed),
    ];
    let named = |amounts: Vec<AllowanceAmount>| {
        let labels = ["small tools", "tarps"];
        let each = labels.iter().zip(amounts).map(|(label, amount)| Allowance {
            label: (*label).to_owned(),
            amount,
        });
        each.collect()
    };
    prop::collection::vec(amount, 0..=2).prop_map(named)
}

fn any_taxes() -> impl Strategy<Value = Taxes> {
    let taxes = prop::collection::vec((shares(0..2_500), any_parts()), 0..=3);
    let basis = prop::sample::select(vec![TaxBasis::Line, TaxBasis::Invoice]);
    (taxes, basis).prop_map(|(taxes, basis)| {
        let labels = ["VAT", "levy", ""];
        let each = labels.iter().zip(taxes).map(|(label, (share, parts))| Tax {
            label: (*label).to_owned(),
            share,
            parts,
        });
        Taxes {
            each: each.collect(),
            basis,
        }
    })
}

fn any_build_up() -> impl Strategy<Value = BuildUp> {
    let profit = prop_oneof![
        shares(0..5_000).prop_map(Profit::MarkupOnCost),
        shares(0..5_000).prop_map(Profit::MarginOnPrice),
    ];
    let discount = prop_oneof![
        Just(Discount::None),
        shares(0..2_000).prop_map(Discount::Of),
        hundredths(0..500).prop_map(Discount::Fixed),
    ];
    let minimum = prop::option::of(hundredths(0..1_000_000));
    let multiple = prop::option::of(prop::sample::select(vec![
        dec!(0.05),
        dec!(1),
        dec!(10),
        dec!(250),
    ]));
    let on_cost = (shares(0..2_000), shares(0..2_000), shares(0..2_000), profit);
    let rest = (any_taxes(), any_allowances(), discount, minimum, multiple);
    (on_cost, rest).prop_map(|(on_cost, rest)| {
        let (site_overhead, firm_overhead, contingency, profit) = on_cost;
        let (taxes, allowances, discount, minimum_charge, round_price_to) = rest;
        BuildUp {
            site_overhead,
            firm_overhead,
            contingency,
            profit,
            taxes,
            allowances,
            discount,
            minimum_charge,
            round_price_to,
            daywork: Share::ZERO,
        }
    })
}

fn any_works() -> impl Strategy<Value = Vec<hod_domain::estimate::WorkLine>> {
    let tasks = prop::sample::select(vec![Task::Place, Task::Mix]);
    let methods = prop::sample::select(vec![None, Some("tarp"), Some("drum-mixer")]);
    let drivers = prop::sample::select(vec![Driver::M3Placed, Driver::Batch, Driver::Lift]);
    let line = (
        tasks,
        methods,
        drivers,
        0_i64..100_000_000,
        hundredths(0..1_000),
    );
    let line = line.prop_map(|(task, method, driver, quantity, hours)| {
        work(task, method, driver, Decimal::new(quantity, 6), hours)
    });
    prop::collection::vec(line, 0..6)
}

const ROUNDINGS: [Rounding; 3] = [
    Rounding::HalfAwayFromZero,
    Rounding::HalfToEven,
    Rounding::Down,
];

/// What a test would say of a price, in euro, yen or dinar; some are refused by the build-up.
fn any_said(code: &'static str) -> impl Strategy<Value = Said> {
    let counted = prop::collection::vec(any_counted(), 0..12);
    let rounding = prop::sample::select(ROUNDINGS.to_vec());
    (counted, any_works(), any_build_up(), rounding).prop_map(
        move |(counted, works, build_up, rounding)| Said {
            currency: Currency::parse(code).expect("in the list"),
            rounding,
            counted,
            works,
            build_up,
        },
    )
}

fn any_estimate(code: &'static str) -> impl Strategy<Value = PricedEstimate> {
    any_said(code).prop_filter_map("refused by the build-up", |said| said.built_up())
}

fn codes() -> impl Strategy<Value = &'static str> {
    prop::sample::select(vec!["EUR", "JPY", "KWD"])
}

fn some_estimate() -> impl Strategy<Value = PricedEstimate> {
    codes().prop_flat_map(any_estimate)
}

/// One that can be offered. Tax that is rounded line by line may be less than nothing on a price of next to nothing, and no
/// client is paid.
fn some_offered() -> impl Strategy<Value = PricedEstimate> {
    some_estimate().prop_filter("a total below 0", |estimate| {
        Decimal::ZERO <= total(estimate).amount()
    })
}

/// Two of one currency: of nothing in common, or one with a few of its lines, its build-up or its works made new.
fn pairs() -> impl Strategy<Value = (PricedEstimate, PricedEstimate)> {
    codes().prop_flat_map(|code| {
        let changed =
            (any_said(code), any_said(code), any::<[bool; 4]>()).prop_map(|(one, other, keeps)| {
                let mut after = one.clone();
                if !keeps[0] {
                    let half = other.counted.len() / 2;
                    after.counted.extend(other.counted.into_iter().take(half));
                }
                if !keeps[1] {
                    after.build_up = other.build_up;
                }
                if !keeps[2] {
                    after.works = other.works;
                }
                if !keeps[3] {
                    after.rounding = other.rounding;
                }
                (one, after)
            });
        let built = |(one, other): (Said, Said)| Some((one.built_up()?, other.built_up()?));
        prop_oneof![
            (any_estimate(code), any_estimate(code)),
            changed.prop_filter_map("refused by the build-up", built),
        ]
    })
}

fn total(estimate: &PricedEstimate) -> Money {
    let amounts = estimate.lines.iter().map(|line| line.amount);
    Money::checked_sum(estimate.currency, amounts).expect("small")
}

fn sum(currency: Currency, amounts: impl IntoIterator<Item = Money>) -> Money {
    Money::checked_sum(currency, amounts).expect("small")
}

fn amounts(lines: &[OfferLine]) -> impl Iterator<Item = Money> {
    lines.iter().map(|line| line.amount)
}

fn issued(estimate: &PricedEstimate, terms: &IssueTerms) -> Offer {
    offer(estimate, terms, day("2026-03-10")).expect("the terms hold")
}

fn effects_of(effects: &Effects) -> [Money; 6] {
    [
        effects.quantity,
        effects.price,
        effects.labour_constant,
        effects.scope,
        effects.carried,
        effects.build_up,
    ]
}

fn compared(before: &PricedEstimate, after: &PricedEstimate) -> Comparison {
    compare(before, after).expect("of one currency")
}

/// Stages in the order of the work whose percents come to 100.
fn any_stages() -> impl Strategy<Value = Vec<StageTerm>> {
    let milestones = vec![
        (Milestone::Acceptance, None),
        (Milestone::Start, None),
        (Milestone::Lifts, Some(percent(dec!(33.3)))),
        (Milestone::Lifts, Some(percent(dec!(66.6)))),
        (Milestone::WallPlate, None),
        (Milestone::Roofed, None),
        (Milestone::Plastered, None),
        (Milestone::Completion, None),
    ];
    let chosen = prop::sample::subsequence(milestones, 1..=8);
    let weights = prop::collection::vec(1_u32..1_000, 8);
    (chosen, weights).prop_map(|(chosen, weights)| {
        let weights: Vec<Decimal> = weights[..chosen.len()]
            .iter()
            .map(|weight| Decimal::from(*weight))
            .collect();
        let percents = hod_units::split(dec!(100), &weights, 3).expect("they can be shared");
        let stages = chosen
            .iter()
            .zip(percents)
            .filter(|(_, percent)| !percent.is_zero());
        stages
            .map(|((milestone, lifts), of_total)| StageTerm {
                milestone: *milestone,
                share: percent(of_total),
                lifts: *lifts,
            })
            .collect()
    })
}

proptest! {
    #[test]
    fn the_lines_of_an_offer_add_up_to_the_price_and_the_price_to_the_estimate(estimate in some_offered()) {
        let offer = issued(&estimate, &terms());
        let shown = sum(offer.currency, amounts(&offer.lines).chain(amounts(&offer.adjustments)));
        prop_assert_eq!(shown, offer.price_before_tax);
        let taxed = sum(offer.currency, offer.taxes.iter().map(|tax| tax.amount).chain([shown]));
        prop_assert_eq!(taxed, offer.total);
        prop_assert_eq!(offer.total, total(&estimate));
        prop_assert!(amounts(&offer.lines).all(|amount| amount.is_rounded() && !amount.amount().is_zero()));
    }

    #[test]
    fn a_tax_that_is_rounded_once_is_its_share_of_what_the_offer_says_it_is_on(estimate in some_offered()) {
        let offer = issued(&estimate, &terms());
        for tax in &offer.taxes {
            let exact = tax.base.checked_mul(tax.share.fraction()).expect("small");
            if estimate.build_up.taxes.basis == TaxBasis::Invoice {
                prop_assert_eq!(exact.rounded(estimate.rounding), tax.amount, "{}", tax.label);
            } else {
                // Line by line each may be off by one of the minor unit.
                let unit = Decimal::new(1, estimate.currency.minor_units());
                let lines = Decimal::from(estimate.lines.len() * 9);
                prop_assert!((exact.amount() - tax.amount.amount()).abs() <= unit * lines);
            }
        }
    }

    #[test]
    fn what_is_earned_is_on_every_heading_in_the_proportion_of_its_cost(estimate in some_offered()) {
        let offer = issued(&estimate, &terms());
        let of = |is_of: fn(PricePart) -> bool| {
            let lines = estimate.lines.iter().filter(|line| line.kind.part().is_some_and(is_of));
            sum(estimate.currency, lines.map(|line| line.amount)).amount()
        };
        let (cost, price) = (of(|part| part != PricePart::OnCost), of(|_| true));
        let unit = Decimal::new(1, estimate.currency.minor_units());
        let fee: Decimal = estimate.lines.iter()
            .filter(|line| line.kind == LineKind::Fee)
            .map(|line| line.amount.amount())
            .sum();
        let heading = offer.lines.iter().find(|line| line.item.starts_with("Fees"));
        let shown = heading.map_or(Decimal::ZERO, |line| line.amount.amount());
        if !cost.is_zero() {
            prop_assert!((shown - fee * price / cost).abs() < unit);
        }
    }

    #[test]
    fn stages_add_up_to_the_total_and_what_is_held_back_to_the_whole_of_it(
        minor in 0_i64..10_000_000_000,
        code in codes(),
        terms in any_stages(),
        held in shares(0..2_000),
        rounding in prop::sample::select(ROUNDINGS.to_vec()),
    ) {
        let currency = Currency::parse(code).expect("in the list");
        let total = Money::new(Decimal::new(minor, currency.minor_units()), currency);
        let retention = Retention { share: held, months: 12 };
        let paid = payments(total, &terms, retention, 24, rounding).expect("the terms hold");
        prop_assert_eq!(sum(currency, paid.stages.iter().map(|stage| stage.amount)), total);
        prop_assert_eq!(sum(currency, paid.stages.iter().map(|stage| stage.retained)), paid.retained);
        let after_deposit = paid.stages.iter().filter(|stage| stage.milestone != Milestone::Acceptance);
        let after_deposit = sum(currency, after_deposit.map(|stage| stage.amount));
        prop_assert_eq!(after_deposit.checked_mul(held.fraction()).expect("small").rounded(rounding), paid.retained);
        let unit = Decimal::new(1, currency.minor_units());
        for stage in &paid.stages {
            prop_assert_eq!(stage.due.checked_add(stage.retained), Ok(stage.amount));
            prop_assert!(stage.milestone != Milestone::Acceptance || stage.retained.amount().is_zero());
            prop_assert!(Decimal::ZERO <= stage.retained.amount() && stage.retained.amount() <= stage.amount.amount());
            prop_assert!((stage.amount.amount() - total.amount() * stage.share.fraction()).abs() < unit);
        }
    }

    #[test]
    fn the_effects_of_every_row_add_up_to_its_difference_and_the_rows_to_the_whole(pair in pairs()) {
        let (before, after) = pair;
        let comparison = compared(&before, &after);
        for row in &comparison.rows {
            let nothing = Money::zero(before.currency);
            let amount = |side: Option<hod_domain::compare::RowSide>| side.map_or(nothing, |side| side.amount);
            let difference = amount(row.after).checked_sub(amount(row.before));
            prop_assert_eq!(Ok(row.difference), difference, "{}", row.item);
            prop_assert_eq!(Some(row.difference), row.effects.sum(), "{}", row.item);
            prop_assert!(effects_of(&row.effects).iter().all(|effect| effect.is_rounded()), "{}", row.item);
        }
        prop_assert_eq!(sum(before.currency, comparison.rows.iter().map(|row| row.difference)), comparison.difference);
        prop_assert_eq!(comparison.effects.sum(), Some(comparison.difference));
        prop_assert_eq!((comparison.before_total, comparison.after_total), (total(&before), total(&after)));
        prop_assert_eq!(comparison.rows.iter().filter(|row| row.before.is_some()).count(), before.lines.len());
        prop_assert_eq!(comparison.rows.iter().filter(|row| row.after.is_some()).count(), after.lines.len());
    }

    #[test]
    fn nothing_differs_from_itself(estimate in some_estimate()) {
        let comparison = compared(&estimate, &estimate);
        let nothing = Money::zero(estimate.currency);
        prop_assert_eq!(comparison.difference, nothing);
        for row in &comparison.rows {
            prop_assert_eq!(effects_of(&row.effects), [nothing; 6], "{}", &row.item);
        }
    }

    #[test]
    fn held_the_other_way_round_the_difference_is_the_other_way_round(pair in pairs()) {
        let (before, after) = pair;
        let (forth, back) = (compared(&before, &after), compared(&after, &before));
        let mirrored = back.difference.checked_mul(Decimal::NEGATIVE_ONE);
        prop_assert_eq!(mirrored, Ok(forth.difference));
        prop_assert_eq!(back.rows.len(), forth.rows.len());
        prop_assert_eq!(back.effects.scope.checked_mul(Decimal::NEGATIVE_ONE), Ok(forth.effects.scope));
    }

    #[test]
    fn under_one_build_up_and_rounding_nothing_is_an_effect_of_it(
        one in any_said("EUR"),
        other in any_said("EUR"),
    ) {
        let other = Said { build_up: one.build_up.clone(), rounding: one.rounding, ..other };
        let built = one.built_up().zip(other.built_up());
        prop_assume!(built.is_some());
        let (before, after) = built.expect("assumed");
        let comparison = compared(&before, &after);
        prop_assert_eq!(comparison.effects.build_up, Money::zero(before.currency));
    }

    #[test]
    fn a_change_of_the_build_up_alone_is_carried_or_an_effect_of_it(said in any_said("EUR"), build_up in any_build_up()) {
        let changed = Said { build_up, ..said.clone() };
        let built = said.built_up().zip(changed.built_up());
        prop_assume!(built.is_some());
        let (before, after) = built.expect("assumed");
        let effects = compared(&before, &after).effects;
        let nothing = Money::zero(before.currency);
        prop_assert_eq!([effects.quantity, effects.price, effects.labour_constant, effects.scope], [nothing; 4]);
    }

    #[test]
    fn a_tax_of_old_is_reckoned_as_the_engine_reckons_it(said in any_said("EUR"), other in any_taxes()) {
        // The taxes after are others, on the same price: what is carried of each old one is what it came to, no more.
        let changed = Said { build_up: BuildUp { taxes: other, ..said.build_up.clone() }, ..said.clone() };
        let built = said.built_up().zip(changed.built_up());
        prop_assume!(built.is_some());
        let (before, after) = built.expect("assumed");
        for row in compared(&before, &after).rows {
            prop_assert!(row.effects.carried.amount().is_zero(), "{} carries {}", row.item, row.effects.carried);
        }
    }

    #[test]
    fn a_quote_never_goes_back(acts in prop::collection::vec((0_usize..4, 0_u64..60, 0_u64..60), 0..20)) {
        let all = [QuoteAct::Accept, QuoteAct::Decline, QuoteAct::Expire, QuoteAct::Supersede];
        let later = |days: u64| day("2026-03-01").iter_days().nth(days as usize).expect("in the calendar");
        let mut quote = QuoteStanding::issued(later(10), later(40));
        for (act, date, today) in acts {
            let (date, today) = (later(date), later(today));
            let Ok(next) = quote.after(all[act], date, today) else {
                continue;
            };
            prop_assert!(quote.state < next.state, "{} to {}", quote.state, next.state);
            prop_assert!(quote.since <= next.since && next.since <= today);
            prop_assert_eq!((next.issue_date, next.valid_until), (quote.issue_date, quote.valid_until));
            quote = next;
        }
    }
}
