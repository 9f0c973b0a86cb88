//! What the client sees: lines that carry what is earned on them, what is not in the price, and what it rests on.

use hod_domain::estimate::{LineKind, ProvisionalCause, ProvisionalMatter};
use hod_domain::job::ScopeHolder;
use hod_domain::quote::{
    HourRate, IssueTerms, MeasuredItem, Offer, OfferLine, PricedCaution, PricedEstimate,
    ProvisionalReason, offer,
};
use hod_domain::region::{BuildUp, Discount, PricePart, Tax, TaxBasis, Taxes};
use hod_domain::unit::Unit;
use hod_units::{Decimal, Money};
use rust_decimal::dec;

use crate::sample::{
    Said, counted, day, full_build_up, grade, money, percent, plain_build_up, scope, small_job,
    tax, terms,
};

fn issued(estimate: &PricedEstimate, terms: &IssueTerms) -> Offer {
    offer(estimate, terms, day("2026-03-10")).expect("the terms hold")
}

fn told(lines: &[OfferLine]) -> Vec<(&str, Decimal, bool)> {
    let mut told = Vec::new();
    for line in lines {
        told.push((
            line.item.as_str(),
            line.amount.amount(),
            line.is_provisional,
        ));
    }
    told
}

fn reasons(estimate: &PricedEstimate, terms: &IssueTerms, today: &str) -> Vec<&'static str> {
    let faults = offer(estimate, terms, day(today)).expect_err("refused");
    faults.iter().map(|fault| fault.reason).collect()
}

#[test]
fn cost_stands_under_headings_that_carry_their_share_of_what_is_earned() {
    let mut estimate = small_job().estimate();
    estimate.scope = vec![scope("roof", ScopeHolder::Ours, "")];
    // Walls and works: 12.5 x 32.40 + 41.25 x 31.00 + 3 x 140.00 = 405.00 + 1278.75 + 420.00 = 2103.75.
    // Roof: 46 x 87.50 + 50 x 4.20 = 4025.00 + 210.00 = 4235.00. Provisional 600.00. Permit 380.00. Direct 7318.75.
    // Site overhead 6 % = 439.13 (439.125); firm 12 % of 7757.88 = 930.95 (930.9456); contingency 8 % of 8688.83 = 695.11
    // (695.1064); cost 9383.94; price at 20 % margin 11729.925, so profit 2345.99 (2345.985). On-cost 4411.18.
    // Shares of 4411.18: x 2103.75 / 7318.75 = 1267.9788, x 4235 = 2552.5325, x 600 = 361.6339, x 380 = 229.0348. Cut down to
    // cents they come to 4411.16, and the two cents over go to the walls (.88 of a cent) and the fees (.48).
    let offer = issued(&estimate, &terms());
    assert_eq!(
        told(&offer.lines),
        [
            ("Walls and works as measured", dec!(3371.73), false),
            ("roof", dec!(6787.53), false),
            ("rock in the trench", dec!(961.63), true),
            ("Fees for permit, engineer and tests", dec!(609.04), false),
        ]
    );
    // 7318.75 + 4411.18 = 11729.93, and 20 % tax of it is 2345.99 (2345.986).
    assert_eq!(offer.price_before_tax, money(dec!(11729.93)));
    assert_eq!(offer.taxes[0].base, money(dec!(11729.93)));
    assert_eq!(offer.total, money(dec!(14075.92)));
    assert_eq!(offer.adjustments, []);
}

#[test]
fn a_heading_that_comes_to_nothing_is_left_out() {
    let said = Said::of(vec![counted(
        LineKind::Fee,
        "permit",
        Unit::Sum,
        dec!(1),
        dec!(90),
    )]);
    let offer = issued(&said.estimate(), &terms());
    assert_eq!(
        told(&offer.lines),
        [("Fees for permit, engineer and tests", dec!(90.00), false)]
    );
}

#[test]
fn a_part_is_called_as_the_scope_calls_it_and_stands_in_the_order_of_the_scope() {
    let cost =
        |item, of: &str| counted(LineKind::Subcontract, item, Unit::Sum, dec!(1), dec!(100)).of(of);
    let mut estimate =
        Said::of(vec![cost("rafters", "roof"), cost("pipes", "drainage")]).estimate();
    let mut drainage = scope("drainage", ScopeHolder::Ours, "");
    drainage.display_name = "Drainage to the ditch".to_owned();
    estimate.scope = vec![drainage, scope("roof", ScopeHolder::Ours, "")];
    let offer = issued(&estimate, &terms());
    assert_eq!(
        told(&offer.lines),
        [
            ("Drainage to the ditch", dec!(100.00), false),
            ("roof", dec!(100.00), false)
        ]
    );
}

#[test]
fn what_the_price_is_adjusted_by_stands_beside_the_lines() {
    let said = Said {
        build_up: BuildUp {
            discount: Discount::Of(percent(dec!(5))),
            round_price_to: Some(dec!(10)),
            ..plain_build_up()
        },
        ..Said::of(vec![
            counted(LineKind::Material, "sand", Unit::T, dec!(10), dec!(50)),
            counted(LineKind::Income, "workshop", Unit::Sum, dec!(1), dec!(80)),
        ])
    };
    let offer = issued(&said.estimate(), &terms());
    // 500.00 - 80.00 = 420.00, less 5 % = 21.00 is 399.00, to tens 400.00.
    assert_eq!(
        told(&offer.adjustments),
        [
            ("workshop", dec!(-80.00), false),
            ("discount", dec!(-21.00), false),
            ("to a round figure", dec!(1.00), false)
        ]
    );
    assert_eq!(offer.price_before_tax, money(dec!(400.00)));
    assert_eq!(offer.total, money(dec!(480.00)));
}

#[test]
fn a_tax_on_some_parts_says_what_it_is_on() {
    let on_labour = Tax {
        parts: vec![PricePart::Labour],
        ..tax("reduced", dec!(10))
    };
    let said = Said {
        build_up: BuildUp {
            discount: Discount::Fixed(dec!(30)),
            taxes: Taxes {
                each: vec![on_labour, tax("levy", dec!(1))],
                basis: TaxBasis::Invoice,
            },
            ..plain_build_up()
        },
        ..Said::of(vec![
            counted(LineKind::Material, "sand", Unit::T, dec!(4), dec!(50)),
            counted(LineKind::Labour, "place, lead", Unit::H, dec!(20), dec!(20)),
        ])
    };
    let offer = issued(&said.estimate(), &terms());
    // 200.00 of material and 400.00 of labour: two thirds of the 30.00 off, 20.00, are of labour; 10 % of 380.00.
    assert_eq!(offer.taxes[0].label, "reduced");
    assert_eq!(offer.taxes[0].base, money(dec!(380.00)));
    assert_eq!(offer.taxes[0].amount, money(dec!(38.00)));
    // 1 % of all 570.00.
    assert_eq!(offer.taxes[1].base, money(dec!(570.00)));
    assert_eq!(offer.taxes[1].amount, money(dec!(5.70)));
    assert_eq!(offer.total, money(dec!(613.70)));
}

#[test]
fn what_is_not_ours_or_was_not_spoken_of_is_said_not_to_be_in_the_price() {
    let mut estimate = small_job().estimate();
    estimate.scope = vec![
        scope(
            "roof",
            ScopeHolder::ByOthers,
            "thatch, by the client's thatcher",
        ),
        scope("engineer", ScopeHolder::Excluded, ""),
        scope("drainage", ScopeHolder::Ours, ""),
    ];
    let terms = IssueTerms {
        exclusions: vec!["painting of windows".to_owned()],
        ..terms()
    };
    assert_eq!(
        issued(&estimate, &terms).exclusions,
        [
            "roof: done by others; it is not in this price (thatch, by the client's thatcher)",
            "engineer: not part of the works; it is not in this price",
            "damp-proofing: nothing was said about it; it is not in this price",
            "plate: nothing was said about it; it is not in this price",
            "painting of windows",
        ]
    );
}

#[test]
fn of_a_drain_that_was_measured_it_is_not_said_that_it_is_not_in_the_price() {
    let mut estimate = small_job().estimate();
    let measured = |part: &str, item: &str| MeasuredItem {
        part: part.to_owned(),
        item: item.to_owned(),
    };
    estimate.measured = vec![
        measured("trench", "drain"),
        measured("stem wall", "damp-proof course"),
    ];
    assert_eq!(
        issued(&estimate, &terms()).exclusions[..3],
        [
            "drainage: nothing but the drain in the trench is in this price",
            "damp-proofing: nothing but the damp-proof course over the stem wall is in this price",
            "plate: nothing was said about it; it is not in this price",
        ]
    );
}

fn caution(reason: &str, subject: &str) -> PricedCaution {
    PricedCaution {
        reason: reason.to_owned(),
        subject: subject.to_owned(),
        description: "for the builder".to_owned(),
    }
}

#[test]
fn what_the_estimate_did_not_know_is_told_once_in_words_for_the_client() {
    let mut estimate = small_job().estimate();
    estimate.cautions = vec![
        caution("MIX_NOT_TESTED", "mixes/house-cob"),
        caution("MIX_NOT_TESTED", "mixes/mortar"),
        caution("DENSITY_ASSUMED", "mixes/house-cob"),
        caution("SILICA_DUST", ""),
        caution("HEAVY_BUCKET", "mixes/house-cob"),
        caution("A_REASON_OF_ANOTHER_YEAR", ""),
        caution("STEM_WALL_NOT_COUNTED", "stem wall"),
    ];
    let terms = IssueTerms {
        assumptions: vec!["Water and power are on the site.".to_owned()],
        ..terms()
    };
    let offer = issued(&estimate, &terms);
    assert_eq!(
        offer.assumptions,
        [
            "The mix of the earth was not tried with the soil of this site yet; trials may change it, and with it the price.",
            "How dense the dried earth is was assumed and not measured; the materials and the work follow from it.",
            "Prices and wages are those of 2026-03-01; the price holds for an acceptance by 2026-04-04.",
            "Earth dries as the weather lets it: no day of finishing is promised.",
            "Water and power are on the site.",
        ]
    );
    assert!(offer.exclusions.contains(
        &"stem wall: nothing was said of what it is built of; it is not in this price".to_owned()
    ));
}

#[test]
fn an_hour_is_told_without_its_make_up() {
    let mut estimate = small_job().estimate();
    estimate.daywork_rates = vec![HourRate {
        grade: grade("lead"),
        rate: money(dec!(46.50)),
    }];
    let offer = issued(&estimate, &terms());
    assert_eq!(offer.daywork_rates, estimate.daywork_rates);
}

#[test]
fn a_quote_is_valid_for_so_many_days_after_its_issue() {
    let table = [
        ("2026-03-05", 1, "2026-03-06"),
        ("2026-03-05", 30, "2026-04-04"),
        ("2027-02-28", 365, "2028-02-28"),
        ("2028-02-28", 1, "2028-02-29"),
    ];
    let estimate = small_job().estimate();
    for (issue, validity_days, last) in table {
        let terms = IssueTerms {
            issue_date: day(issue),
            validity_days,
            ..terms()
        };
        let offer = offer(&estimate, &terms, day(issue)).expect("the terms hold");
        assert_eq!(
            offer.valid_until,
            day(last),
            "{validity_days} days from {issue}"
        );
    }
}

#[test]
fn terms_that_do_not_hold_are_told_all_at_once() {
    let mut estimate = small_job().estimate();
    estimate.provisional = vec![ProvisionalMatter {
        reason: ProvisionalCause::ContingencyZero,
        subject: String::new(),
        description: "nothing is put by".to_owned(),
    }];
    let mut bad = IssueTerms {
        issue_date: day("2026-02-28"),
        validity_days: 0,
        ..terms()
    };
    bad.retention.share = percent(dec!(5));
    assert_eq!(
        reasons(&estimate, &bad, "2026-02-27"),
        [
            "DATE_AFTER_TODAY",
            "ISSUED_BEFORE_ITS_PRICES",
            "VALIDITY_OUT_OF_RANGE",
            "PROVISIONAL_WITHOUT_REASON",
            "RETENTION_MONTHS_MISSING",
        ]
    );
    let long = IssueTerms {
        validity_days: 366,
        ..terms()
    };
    estimate.provisional.clear();
    assert_eq!(
        reasons(&estimate, &long, "2026-03-05"),
        ["VALIDITY_OUT_OF_RANGE"]
    );
}

#[test]
fn a_provisional_quote_carries_the_reason_that_was_written_down() {
    let mut estimate = small_job().estimate();
    estimate.provisional = vec![ProvisionalMatter {
        reason: ProvisionalCause::MixNotTested,
        subject: "mixes/house-cob".to_owned(),
        description: "no trial".to_owned(),
    }];
    let reason = ProvisionalReason {
        reason: "MIX_NOT_TESTED".to_owned(),
        explanation: "the pit is opened in April".to_owned(),
    };
    let let_through = IssueTerms {
        provisional_reasons: vec![reason.clone()],
        ..terms()
    };
    let offer = issued(&estimate, &let_through);
    assert!(offer.is_provisional());
    assert_eq!(offer.provisional_reasons, [reason]);
    assert!(!issued(&small_job().estimate(), &terms()).is_provisional());
}

#[test]
fn nothing_of_the_make_up_of_the_cost_can_be_read_off_an_offer() {
    let mut said = small_job();
    said.build_up = full_build_up();
    let printed = format!("{:?}", issued(&said.estimate(), &terms()));
    for hidden in [
        "overhead",
        "contingency",
        "profit",
        "margin",
        "markup",
        "place, lead",
        "41.25",
        "sand",
    ] {
        assert!(!printed.contains(hidden), "{hidden} in {printed}");
    }
}

#[test]
fn a_price_of_nothing_is_an_offer_of_nothing() {
    let offer = issued(&Said::of(Vec::new()).estimate(), &terms());
    assert_eq!(offer.lines, []);
    assert_eq!(offer.total, Money::zero(offer.currency));
    assert_eq!(offer.stages[0].due, offer.total);
}
